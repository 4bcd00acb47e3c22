"""Past alerts by the local day on which they were raised: a day of clouds is one line."""

from collections.abc import Iterable
from dataclasses import replace
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from dashboard.views.past_alerts import Day, past_days
from station.domain.alert import Alert, AlertKind
from tests.dashboard.world import MANNER, at

PLANTS = {"mint-1": "mint"}


def an_alert(kind: AlertKind, since_at: datetime, hours: float = 1.0, **changes: object) -> Alert:
    alert = Alert(f"{kind}-{since_at:%d%H}", kind, since_at, since_at, cleared_at=since_at + timedelta(hours=hours))
    return replace(alert, **changes)  # type: ignore[arg-type]


def sun(hours: float, peak: float = 20000.0) -> Alert:
    return an_alert(AlertKind.SUN, at(hours=hours), 0.5, peak=peak)


def told(days: Iterable[Day]) -> dict[str, list[str]]:
    return {day.name: [group.text or group.lines[0].text for group in day.groups] for day in days}


def test_a_day_of_clouds_is_one_line_that_holds_each_alert() -> None:
    """START is at 07:00 in Lisbon, the zone of these pages."""
    days = past_days([sun(33), sun(8), sun(6, peak=54600.0), sun(4)], {}, MANNER)

    assert told(days) == {
        "Tue 5 May": ["The shelf was in direct sun: 20,000 lx at worst, from 16:00 to 16:30."],
        "Mon 4 May": ["The shelf was in direct sun 3 times: 54,600 lx at worst, between 11:00 and 15:30."],
    }
    assert [line.text for line in days[1].groups[0].lines] == [
        "The shelf was in direct sun: 20,000 lx at worst, from 15:00 to 15:30.",
        "The shelf was in direct sun: 54,600 lx at worst, from 13:00 to 13:30.",
        "The shelf was in direct sun: 20,000 lx at worst, from 11:00 to 11:30.",
    ]


def test_each_alert_about_a_jar_stands_by_itself_and_leads_to_its_jar() -> None:
    looks = [an_alert(AlertKind.NO_JUICE, at(hours=hours), jar_id="mint-1") for hours in (8, 4)]
    (day,) = past_days([sun(9), looks[0], sun(6), looks[1]], PLANTS, MANNER)

    assert [group.text for group in day.groups] == [
        "The shelf was in direct sun 2 times: 20,000 lx at worst, between 13:00 and 16:30.",
        "",
        "",
    ]
    assert [group.lines[0].jar_id for group in day.groups] == ["", "mint-1", "mint-1"]
    assert day.groups[1].lines[0].text == "No juice seen: the jar of mint, from 15:00 to 16:00."


def test_what_is_open_or_asks_for_nothing_makes_no_day() -> None:
    still_open, bright = replace(sun(6), cleared_at=None), an_alert(AlertKind.BRIGHT, at(hours=8))

    assert past_days([bright, still_open], {}, MANNER) == ()


def test_an_alert_stands_on_the_day_on_which_it_was_raised_and_names_others() -> None:
    damp = an_alert(AlertKind.DAMP, at(hours=16), 10.0, raised_at=at(hours=19), acknowledged_at=at(hours=25), peak=-3.0)

    (day,) = past_days([damp], {}, MANNER)  # since 23:00 on Monday, raised at 02:00 on Tuesday

    assert day.name == "Tue 5 May"
    assert day.groups[0].lines[0].text == (
        "The shelf was damp: 3 % below where mould can start at worst, from Mon 4 May 23:00 to Tue 5 May 09:00."
    )
    assert day.groups[0].lines[0].done == "acknowledged 08:00"
    (elsewhere,) = past_days([damp], {}, replace(MANNER, zone=ZoneInfo("America/New_York")))
    assert elsewhere.name == "Mon 4 May"
