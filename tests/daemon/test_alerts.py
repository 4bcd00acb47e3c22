"""The life of an alert."""

from dataclasses import replace
from datetime import UTC, datetime, time, timedelta

from station.alerts import Change, Happening, QuietHours, Step, stepped
from station.causes import Cause, jar_causes
from station.domain.alert import Alert, AlertKind
from station.domain.jars import Stage
from station.domain.outlook import Outlook
from station.domain.warmth import fresh
from station.ports import Answer
from tests.builders import START, a_reading

QUIET = QuietHours(time(21, 30), time(6, 30), UTC)
NOON = START + timedelta(hours=6)
NIGHT = START + timedelta(hours=17)


def a_cause(kind: AlertKind = AlertKind.COLD, **changes: object) -> Cause:
    return replace(Cause(kind, "", NOON, 14.0, 13.5), **changes)  # type: ignore[arg-type]


def minute(step: Step, at: datetime, *causes: Cause, answers: tuple[Answer, ...] = ()) -> Step:
    reading = replace(a_reading(), measured_at=at, boot_s=(at - START).total_seconds())
    return stepped(step.open_alerts, list(causes), answers, reading, QUIET)


NOTHING = Step((), ())


def happenings(step: Step) -> list[tuple[Happening, bool]]:
    return [(change.happening, change.notify) for change in step.changes]


def an_open_alert(kind: AlertKind = AlertKind.COLD, at: datetime = NOON) -> Step:
    return minute(NOTHING, at, a_cause(kind))


def test_a_cause_raises_once_and_its_end_clears() -> None:
    step = an_open_alert()
    assert happenings(step) == [(Happening.RAISED, True)]
    step = minute(step, NOON + timedelta(minutes=1), a_cause())
    assert step.changes == ()
    step = minute(step, NOON + timedelta(minutes=2))
    assert happenings(step) == [(Happening.CLEARED, False)]
    assert step.open_alerts == ()
    assert step.changes[0].alert.cleared_at == NOON + timedelta(minutes=2)


def test_an_alert_keeps_its_id_and_the_worst_value() -> None:
    step = an_open_alert()
    later = minute(step, NOON + timedelta(minutes=1), a_cause(peak=11.0))
    assert later.open_alerts[0].id == step.open_alerts[0].id
    assert later.open_alerts[0].peak == 11.0


def test_two_raises_have_two_ids() -> None:
    first = an_open_alert().open_alerts[0]
    second = an_open_alert(at=NOON + timedelta(hours=3)).open_alerts[0]
    assert first.id != second.id


def test_quiet_hours_hold_back_all_but_hot_and_silent() -> None:
    assert happenings(an_open_alert(AlertKind.COLD, NIGHT)) == [(Happening.RAISED, False)]
    assert happenings(an_open_alert(AlertKind.HOT, NIGHT)) == [(Happening.RAISED, True)]
    assert happenings(an_open_alert(AlertKind.SILENT, NIGHT)) == [(Happening.RAISED, True)]


def test_what_was_held_back_comes_when_the_quiet_hours_end() -> None:
    step = an_open_alert(AlertKind.COLD, NIGHT)
    morning = datetime(2026, 5, 5, 6, 29, tzinfo=UTC)
    assert minute(step, morning, a_cause()).changes == ()
    assert happenings(minute(step, morning + timedelta(minutes=1), a_cause())) == [(Happening.REMINDED, True)]


def test_quiet_hours_within_one_day_are_understood_too() -> None:
    nap = QuietHours(time(13, 0), time(15, 0), UTC)
    assert nap.cover(NOON + timedelta(hours=1))
    assert not nap.cover(NOON + timedelta(hours=3))


def test_an_unanswered_alert_reminds_after_six_hours_and_then_again() -> None:
    step = an_open_alert(AlertKind.HOT)
    told = []
    for minutes in range(1, 13 * 60):
        step = minute(step, NOON + timedelta(minutes=minutes), a_cause(AlertKind.HOT))
        told += [minutes / 60 for change in step.changes if change.notify]
    assert told == [6.0, 12.0]


def test_an_acknowledged_alert_never_reminds() -> None:
    step = an_open_alert(AlertKind.HOT)
    answer = Answer(step.open_alerts[0].id, NOON + timedelta(minutes=5))
    step = minute(step, NOON + timedelta(minutes=6), a_cause(AlertKind.HOT), answers=(answer,))
    assert happenings(step) == [(Happening.ACKNOWLEDGED, False)]
    for hours in range(1, 48):
        step = minute(step, NOON + timedelta(hours=hours), a_cause(AlertKind.HOT), answers=(answer,))
        assert step.changes == ()


def test_an_acknowledgement_that_is_taken_back_lets_the_alert_remind_as_before() -> None:
    step = an_open_alert(AlertKind.HOT)
    of, cause = step.open_alerts[0].id, a_cause(AlertKind.HOT)
    slip = Answer(of, NOON + timedelta(seconds=70))
    back = Answer(of, NOON + timedelta(seconds=200), NOON + timedelta(seconds=200))
    told: list[tuple[int, Happening]] = []
    for minutes in range(1, 13 * 60):
        answers = (slip,) if minutes < 4 else (slip, back)
        step = minute(step, NOON + timedelta(minutes=minutes), cause, answers=answers)
        told += [(minutes, happening) for happening, _ in happenings(step)]
    assert told == [
        (1, Happening.ACKNOWLEDGED),
        (4, Happening.TAKEN_BACK),
        (360, Happening.REMINDED),
        (720, Happening.REMINDED),
    ]


def test_what_is_acknowledged_after_it_was_taken_back_stays_so_however_often_the_answers_are_read() -> None:
    step = an_open_alert(AlertKind.HOT)
    of, cause = step.open_alerts[0].id, a_cause(AlertKind.HOT)
    times = [NOON + timedelta(seconds=seconds) for seconds in (70, 200, 320)]
    slip, back, meant = Answer(of, times[0]), Answer(of, times[1], times[1]), Answer(of, times[2])
    for minutes, answers, expected in (
        (2, (slip,), [Happening.ACKNOWLEDGED]),
        (4, (slip, back), [Happening.TAKEN_BACK]),
        (5, (slip, back), []),
        (6, (slip, back, meant), [Happening.ACKNOWLEDGED]),
        (7, (slip, back, meant), []),
        (600, (slip, back, meant), []),
    ):
        step = minute(step, NOON + timedelta(minutes=minutes), cause, answers=answers)
        assert [happening for happening, _ in happenings(step)] == expected
    assert step.open_alerts[0].acknowledged_at == times[2]


def test_putting_off_ends_by_itself() -> None:
    step = an_open_alert(AlertKind.HOT)
    answer = Answer(step.open_alerts[0].id, NOON, NOON + timedelta(hours=8))
    step = minute(step, NOON + timedelta(minutes=1), a_cause(AlertKind.HOT), answers=(answer,))
    assert happenings(step) == [(Happening.PUT_OFF, False)]
    step = minute(step, NOON + timedelta(hours=7, minutes=59), a_cause(AlertKind.HOT), answers=(answer,))
    assert step.changes == ()
    step = minute(step, NOON + timedelta(hours=8), a_cause(AlertKind.HOT), answers=(answer,))
    assert happenings(step) == [(Happening.REMINDED, True)]
    assert minute(step, NOON + timedelta(hours=9), a_cause(AlertKind.HOT), answers=(answer,)).changes == ()


def test_nobody_can_put_off_for_longer_than_a_day() -> None:
    step = an_open_alert(AlertKind.HOT)
    answer = Answer(step.open_alerts[0].id, NOON, NOON + timedelta(days=30))
    step = minute(step, NOON + timedelta(minutes=1), a_cause(AlertKind.HOT), answers=(answer,))
    assert step.open_alerts[0].put_off_until_at == NOON + timedelta(hours=24)


def test_the_latest_of_two_delays_counts_even_if_it_is_the_shorter_one() -> None:
    step = an_open_alert(AlertKind.HOT)
    longer, shorter = (
        Answer(step.open_alerts[0].id, NOON + timedelta(minutes=late), NOON + timedelta(hours=hours))
        for late, hours in ((1, 6), (5, 2))
    )
    for minutes, answers in ((2, (longer,)), (6, (longer, shorter)), (7, (longer, shorter))):
        step = minute(step, NOON + timedelta(minutes=minutes), a_cause(AlertKind.HOT), answers=answers)
        assert happenings(step) == ([] if minutes == 7 else [(Happening.PUT_OFF, False)])
    assert step.open_alerts[0].put_off_until_at == shorter.until_at
    at = NOON + timedelta(hours=2)
    step = minute(step, at, a_cause(AlertKind.HOT), answers=(longer, shorter))
    assert happenings(step) == [(Happening.REMINDED, True)]
    assert minute(step, at + timedelta(minutes=1), a_cause(AlertKind.HOT), answers=(longer, shorter)).changes == ()


def test_of_two_answers_of_a_kind_in_one_minute_the_latter_is_told() -> None:
    """A change is known by its alert, what happened and when: two in one minute could not be told apart."""
    step = an_open_alert(AlertKind.HOT)
    of = step.open_alerts[0].id
    answers = (
        Answer(of, NOON + timedelta(seconds=5), NOON + timedelta(hours=2)),
        Answer(of, NOON + timedelta(seconds=10), NOON + timedelta(hours=6)),
        Answer(of, NOON + timedelta(seconds=20)),
        Answer(of, NOON + timedelta(seconds=21)),
    )
    step = minute(step, NOON + timedelta(minutes=1), a_cause(AlertKind.HOT), answers=answers)
    assert happenings(step) == [(Happening.PUT_OFF, False), (Happening.ACKNOWLEDGED, False)]
    assert step.open_alerts[0].put_off_until_at == NOON + timedelta(hours=6)
    assert step.open_alerts[0].acknowledged_at == NOON + timedelta(seconds=21)


def test_a_clock_that_was_set_back_delays_no_reminder() -> None:
    step = an_open_alert(AlertKind.HOT)
    told, set_back_to = [], NOON - timedelta(days=3)
    for minutes in range(13 * 60):
        at = set_back_to + timedelta(minutes=minutes)
        step = minute(step, at, a_cause(AlertKind.HOT))
        told += [minutes / 60 for change in step.changes if change.notify]
    assert told == [6.0, 12.0]


def test_an_answer_to_an_alert_that_is_gone_changes_nothing() -> None:
    assert minute(NOTHING, NOON, answers=(Answer("cold-x-1", NOON),)) == NOTHING


def test_bright_never_notifies() -> None:
    step = an_open_alert(AlertKind.BRIGHT)
    assert happenings(step) == [(Happening.RAISED, False)]
    for hours in range(1, 24):
        step = minute(step, NOON + timedelta(hours=hours), a_cause(AlertKind.BRIGHT))
        assert step.changes == ()


EVENING = START + timedelta(days=2, hours=13)


def an_outlook(stage: Stage = Stage.WORKING, evening_at: datetime | None = EVENING) -> Outlook:
    return Outlook("comfrey-1", START, fresh(START), stage, 0.2, 0.0, 4.5, 5.5, 6.7, evening_at=evening_at)


def told(outlooks: list[tuple[datetime, Outlook]]) -> list[tuple[datetime, Change]]:
    step, heard = NOTHING, []
    for at, outlook in outlooks:
        step = minute(step, at, *jar_causes([outlook], step.open_alerts, at))
        heard += [(at, change) for change in step.changes]
    return heard


def every(minutes: int, since: datetime, until: datetime) -> list[datetime]:
    steps = int((until - since).total_seconds() / 60 / minutes)
    return [since + timedelta(minutes=minutes * number) for number in range(steps + 1)]


def test_a_strain_evening_is_told_the_day_before_and_on_it() -> None:
    heard = told([(at, an_outlook()) for at in every(10, START, EVENING + timedelta(hours=2))])
    notified = [at for at, change in heard if change.notify and change.alert.kind is AlertKind.STRAIN]
    assert notified[0] == EVENING - timedelta(days=1)
    assert EVENING - timedelta(hours=2) <= notified[-1] <= EVENING
    assert len([at for at in notified if at.date() == EVENING.date()]) >= 1


def test_a_strain_evening_is_told_on_it_to_one_who_took_note_in_quiet_hours() -> None:
    """Raised at night and acknowledged before it was told: as one that was told is called for again, so is this."""
    raised_at = NIGHT - timedelta(days=1)
    evening_at = raised_at + timedelta(hours=20)
    outlook = an_outlook(evening_at=evening_at)
    step = minute(NOTHING, raised_at, *jar_causes([outlook], (), raised_at))
    assert happenings(step) == [(Happening.RAISED, False)]
    answer = Answer(step.open_alerts[0].id, raised_at + timedelta(minutes=1))
    notified = []
    for at in every(10, raised_at + timedelta(minutes=10), evening_at):
        step = minute(step, at, *jar_causes([outlook], step.open_alerts, at), answers=(answer,))
        notified += [at for change in step.changes if change.notify]
    assert notified == [evening_at - timedelta(hours=1)]


def test_a_strain_alert_does_not_flicker_when_the_evening_moves_a_little() -> None:
    moved = an_outlook(evening_at=EVENING + timedelta(hours=6))
    heard = told([(EVENING - timedelta(hours=24), an_outlook()), (EVENING - timedelta(hours=23, minutes=50), moved)])
    assert [change.happening for _, change in heard] == [Happening.RAISED]


def test_a_jar_that_is_past_ready_says_that_instead() -> None:
    heard = told([(EVENING, an_outlook()), (EVENING + timedelta(minutes=1), an_outlook(Stage.PAST_READY))])
    kinds = [(change.happening, change.alert.kind) for _, change in heard]
    assert (Happening.CLEARED, AlertKind.STRAIN) in kinds
    assert (Happening.RAISED, AlertKind.PAST_READY) in kinds


def test_a_strained_jar_and_one_without_an_evening_say_nothing() -> None:
    assert told([(EVENING, an_outlook(Stage.DRAINING))]) == []
    assert told([(EVENING, an_outlook(evening_at=None))]) == []


def test_an_alert_of_an_untrusted_clock_says_so() -> None:
    reading = replace(a_reading(), trusted=False)
    alert: Alert = stepped((), [a_cause()], (), reading, QUIET).open_alerts[0]
    assert not alert.trusted
