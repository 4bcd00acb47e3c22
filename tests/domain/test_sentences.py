"""What is said to people. The wording of the sun alert is the one the project was asked for; the rest is our own."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from station.domain.alert import Alert, AlertKind
from station.domain.conditions import Kind, State
from station.domain.readings import Mark
from station.domain.sentences import alert_sentence, not_writing, several_sentence, verdict
from tests.builders import START, a_reading

LISBON = ZoneInfo("Europe/Lisbon")  # an hour ahead of UTC in May


def since(hours: float) -> datetime:
    return START + timedelta(hours=hours)


def an_alert(kind: AlertKind, **changes: object) -> Alert:
    return replace(Alert(str(kind), kind, START, START), **changes)  # type: ignore[arg-type]


def test_a_good_shelf_is_fine_dark_and_dry() -> None:
    assert verdict((), a_reading(temp_c=20.44), "C", LISBON) == "The shelf is fine: 20.4 °C, dark and dry."


def test_only_what_was_measured_is_said() -> None:
    bare = a_reading(temp_c=20.0, rh_pct=None, light_lx=None)

    assert verdict((), bare, "C", LISBON) == "The shelf is fine: 20.0 °C."
    assert verdict((), a_reading(temp_c=None), "C", LISBON) == (
        "The shelf's temperature is not known; it is dark and dry."
    )
    assert verdict((), None, "C", LISBON) == "Nothing has been measured yet."


def test_a_shelf_outside_the_good_range_says_what_that_means() -> None:
    assert verdict((), a_reading(temp_c=16.8), "C", LISBON) == (
        "The shelf is a little cool: 16.8 °C, dark and dry. Jars take longer."
    )
    assert "a little warm" in verdict((), a_reading(temp_c=24.8), "C", LISBON)


def test_a_cold_shelf_says_since_when_and_what_to_do() -> None:
    cold = State(Kind.COLD, True, since_at=since(-2.83), peak=13.5, value=13.9)

    assert verdict((cold,), a_reading(temp_c=13.9), "C", LISBON) == (
        "Too cold: 13.9 °C since 04:10. Move the jars somewhere warmer."
    )
    assert "57.0 °F" in verdict((cold,), a_reading(temp_c=13.9), "F", LISBON)


def test_the_gravest_condition_speaks_first() -> None:
    hot = State(Kind.HOT, True, since_at=since(-1), value=28.0)
    sun = State(Kind.SUN, True, since_at=since(-0.5), value=17001.0)  # as it was kept, some minutes ago

    said = verdict((hot, sun), a_reading(temp_c=28.0, light_lx=18437.0, marks=Mark.SUNLIT), "C", LISBON)

    assert said == "The shelf is in direct sun: 18,400 lx since 06:30. Move the jars or draw the blind. Also too warm."


def test_a_condition_that_is_coming_is_named_before_it_holds() -> None:
    coming = State(Kind.COLD, False, held_s=300.0, since_at=since(-0.1), value=15.2)

    assert verdict((coming,), a_reading(temp_c=15.2), "C", LISBON) == "Getting too cold: 15.2 °C since 06:54."


def test_a_bright_shelf_is_fine_all_the_same() -> None:
    bright = State(Kind.BRIGHT, True, value=1432.0)

    said = verdict((bright,), a_reading(temp_c=20.0, light_lx=1500.0), "C", LISBON)

    assert said == (
        "The shelf is fine: 20.0 °C. But it is bright: the mean of two hours went above 1,000 lx. "
        "Hang a cloth in front of the jars."
    )


def test_a_damp_shelf_tells_its_humidity() -> None:
    damp = State(Kind.DAMP, True, since_at=since(-4), value=-2.0)

    said = verdict((damp,), a_reading(temp_c=16.0, rh_pct=83.6), "C", LISBON)

    assert said == "The shelf is damp: 84 % humidity since 03:00. Air the shelf and keep the covers dry."


def test_a_silent_shelf_has_no_number() -> None:
    silent = State(Kind.SILENT, True, since_at=since(-1), value=1.0)

    assert verdict((silent,), a_reading(temp_c=None, rh_pct=None, light_lx=None), "C", LISBON) == (
        "Nothing measured since 06:00. Check the station's plug and its sensors."
    )


def test_a_station_that_stopped_is_said_to_have_stopped() -> None:
    assert not_writing(START, since(3), LISBON) == (
        "The station is not writing: it last wrote 3 hours ago, at 07:00. Check its plug, or start it."
    )


def test_the_sun_alert_reads_as_asked() -> None:
    alert = an_alert(AlertKind.SUN, since_at=datetime(2026, 5, 4, 14, 12, tzinfo=UTC), value=18437.0)

    assert alert_sentence(alert, LISBON, "C") == (
        "The shelf is in direct sun: 18,400 lx since 15:12. Move the jars or draw the blind."
    )


def test_an_alert_read_on_another_day_names_the_day() -> None:
    alert = an_alert(AlertKind.COLD, value=15.1)

    assert "since 07:00." in alert_sentence(alert, LISBON, "C")
    assert "since Mon 4 May 07:00." in alert_sentence(alert, LISBON, "C", now_at=since(24))


def test_a_cleared_alert_speaks_of_the_past() -> None:
    cold = an_alert(AlertKind.COLD, value=15.1, peak=13.2, cleared_at=since(5))
    silent = an_alert(AlertKind.SILENT, value=1.0, peak=1.0, cleared_at=since(1))

    assert alert_sentence(cold, LISBON, "C") == "Too cold: 13.2 °C at worst, from 07:00 to 12:00."
    sun = an_alert(AlertKind.SUN, value=9000.0, peak=18400.0, cleared_at=since(2))
    assert alert_sentence(sun, LISBON, "C").startswith("The shelf was in direct sun: 18,400 lx at worst, from 07:00")
    assert "The shelf is in direct sun" in alert_sentence(an_alert(AlertKind.SUN, value=9000.0), LISBON, "C")
    assert alert_sentence(silent, LISBON, "C") == "Nothing measured, from 07:00 to 08:00."


def test_several_alerts_of_a_day_are_told_by_their_worst() -> None:
    def several(kind: AlertKind, *peaks: float | None) -> str:
        of_day = [
            an_alert(kind, since_at=since(hours), raised_at=since(hours), peak=peak, cleared_at=since(hours + 1))
            for hours, peak in zip((16.5, 4, 2), peaks, strict=True)
        ]
        return several_sentence(of_day, LISBON, "C")

    sun = several(AlertKind.SUN, 20000.0, 54600.0, 9000.0)
    assert sun == "The shelf was in direct sun 3 times: 54,600 lx at worst, between 09:00 and Tue 5 May 00:30."
    assert several(AlertKind.COLD, 14.0, None, 13.2).startswith("Too cold 3 times: 13.2 °C at worst, between")
    assert several(AlertKind.HOT, 28.0, 29.0, 27.0).startswith("Too warm 3 times: 29.0 °C at worst, between")
    assert several(AlertKind.DAMP, -4.0, 2.0, -1.0).startswith("The shelf was damp 3 times: 2 % above where")
    assert several(AlertKind.SILENT, 1.0, 1.0, 1.0).startswith("Nothing measured 3 times, between 09:00")


def test_an_open_alert_that_is_read_later_says_that_its_number_is_of_when_it_was_raised() -> None:
    alert = an_alert(AlertKind.SUN, value=54600.0)

    assert alert_sentence(alert, LISBON, "C", now_at=alert.raised_at) == (
        "The shelf is in direct sun: 54,600 lx since 07:00. Move the jars or draw the blind."
    )
    assert alert_sentence(alert, LISBON, "C", now_at=alert.raised_at + timedelta(hours=1)) == (
        "The shelf is in direct sun: 54,600 lx when it was raised, since 07:00. Move the jars or draw the blind."
    )


def test_a_damp_alert_tells_how_near_mould_is() -> None:
    assert "4 % below where mould can start" in alert_sentence(an_alert(AlertKind.DAMP, value=-4.0), LISBON, "C")
    assert "2 % above where mould can start" in alert_sentence(an_alert(AlertKind.DAMP, value=2.0), LISBON, "C")


def test_a_strain_alert_names_the_jar_and_its_evening() -> None:
    evening = datetime(2026, 5, 14, 18, 0, tzinfo=UTC).timestamp()
    alert = an_alert(AlertKind.STRAIN, jar_id="comfrey-1", value=evening)

    assert alert_sentence(alert, LISBON, "C", "comfrey") == (
        "Strain the jar of comfrey on Thu 14 May 19:00 and let it drip overnight, without squeezing."
    )
    assert alert_sentence(replace(alert, cleared_at=since(12)), LISBON, "C", "comfrey") == (
        "Due for straining on Thu 14 May 19:00: the jar of comfrey, told from 07:00 to 19:00."
    )


@pytest.mark.parametrize("kind", list(AlertKind))
@pytest.mark.parametrize("cleared_at", [None, since(1)])
def test_every_alert_has_a_sentence(kind: AlertKind, cleared_at: datetime | None) -> None:
    said = alert_sentence(an_alert(kind, jar_id="comfrey-1", cleared_at=cleared_at), LISBON, "C")

    assert said.endswith(".")
    assert "None" not in said
