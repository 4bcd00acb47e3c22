"""The alerts page over real files: answered by forms, tested by a button, leafed through by month."""

import re
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest

from dashboard.lent import Lent
from station.config import Settings
from station.domain.way import Way, WayState
from station.store.notebook import Notebook
from tests.dashboard.forming import mark_of
from tests.dashboard.reading import Words, read
from tests.dashboard.world import Shelf, a_day_of, at


@pytest.fixture
def cold(tmp_path: Path) -> Shelf:
    """A shelf that is too cold at the moment."""
    shelf = Shelf(tmp_path)
    shelf.live(a_day_of(temp_c=12.0, swing_c=0.1, days=0.1))
    return shelf


def answers(shelf: Shelf) -> list[tuple[str, timedelta | None]]:
    with Notebook.open(shelf.folder / "notebook.db") as notebook:
        found = notebook.answers(at(-1))
    return [(one.alert_id, one.until_at - one.at if one.until_at else None) for one in found]


def alert_id(shelf: Shelf) -> str:
    with shelf.client() as client:
        found = re.search(r'name="alert" value="([^"]+)"', client.get("/alerts").text)
    assert found
    return found[1]


def test_an_alert_is_acknowledged_once_however_often_the_button_is_pressed(cold: Shelf) -> None:
    name = alert_id(cold)
    with cold.client() as client:
        fields = {"mark": mark_of(client.get("/alerts").text), "alert": name, "do": "acknowledge"}
        for _ in range(2):
            answer = client.post("/alerts", data=fields, follow_redirects=False)
            assert (answer.status_code, answer.headers["location"]) == (303, "/alerts")
        page = Words(client.get("/alerts").text).text
    assert answers(cold) == [(name, None)]
    assert "Acknowledged" in page
    assert "Put off" not in page


def test_an_acknowledgement_is_taken_back_with_one_tap(cold: Shelf) -> None:
    name = alert_id(cold)
    with cold.client() as client:
        for do in ("acknowledge", "take-back"):
            page = client.get("/alerts").text
            assert f'value="{do}"' in page
            for _ in range(2):
                client.post("/alerts", data={"mark": mark_of(page), "alert": name, "do": do})
        page = client.get("/alerts").text
    assert answers(cold) == [(name, None), (name, timedelta(0))]
    assert "Acknowledged" not in Words(page).text
    assert 'value="acknowledge"' in page
    assert 'value="take-back"' not in page


@pytest.mark.parametrize(("do", "hours"), [("soon", 2.0), ("later", 6.0)])
def test_an_alert_is_put_off_and_the_page_it_came_from_shows_again(cold: Shelf, do: str, hours: float) -> None:
    name = alert_id(cold)
    with cold.client() as client:
        fields = {"mark": mark_of(client.get("/alerts").text), "alert": name, "do": do, "back": "shelf"}
        answer = client.post("/alerts", data=fields, follow_redirects=False)
        assert answer.headers["location"] == "/"
        assert "put off until" in Words(client.get("/alerts").text).text.lower()
    assert answers(cold) == [(name, timedelta(hours=hours))]


def test_the_first_page_answers_an_alert_and_shows_itself_again(cold: Shelf) -> None:
    with cold.client() as client:
        page = client.get("/").text
        name = re.search(r'name="alert" value="([^"]+)"', page)
        assert name
        fields = {"mark": mark_of(page), "alert": name[1], "do": "acknowledge", "back": "shelf"}
        assert client.post("/alerts", data=fields, follow_redirects=False).headers["location"] == "/"
        assert 'name="alert"' not in client.get("/").text  # though the station has not heard of it yet
    assert answers(cold) == [(name[1], None)]


@pytest.mark.parametrize("changes", [{"mark": "stale.mark"}, {"alert": "nowhere"}, {"do": "dance"}, {"do": ""}])
def test_what_cannot_be_answered_changes_nothing(cold: Shelf, changes: dict[str, str]) -> None:
    name = alert_id(cold)
    with cold.client() as client:
        fields = {"mark": mark_of(client.get("/alerts").text), "alert": name, "do": "acknowledge"}
        answer = client.post("/alerts", data=fields | changes)
    assert answer.status_code == (422 if "mark" in changes else 200)
    assert "Open" in answer.text
    assert answers(cold) == []


def test_the_station_takes_the_answer_at_its_next_minute(cold: Shelf) -> None:
    name = alert_id(cold)
    with cold.client() as client:
        fields = {"mark": mark_of(client.get("/alerts").text), "alert": name, "do": "acknowledge"}
        client.post("/alerts", data=fields)
    cold.live(a_day_of(temp_c=12.0, swing_c=0.1, days=0.01, from_day=0.1))
    with cold.client() as client:
        (alert,) = client.get("/api/alerts").json()
    assert alert["acknowledged_at"] is not None


@pytest.mark.parametrize(("most", "told"), [(1, True), (300, False)])
def test_a_month_of_more_alerts_than_are_listed_says_so(
    kitchen: Shelf, most: int, told: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("dashboard.pages.alerts.MOST_PAST", most)
    assert ("Only the newest 1 alerts" in read(kitchen, "/alerts?month=2026-05").text) == told


def test_past_alerts_are_found_by_month(kitchen: Shelf) -> None:
    assert "cold" in read(kitchen, "/alerts?month=2026-05").text
    page = read(kitchen, "/alerts?month=2026-04")
    assert "Past: April 2026 No alert of this month has cleared." in page.text
    assert [one["href"] for tag, one in page.tags if tag == "a" and one.get("rel")] == [
        "/alerts?month=2026-03#past",
        "/alerts?month=2026-05#past",
    ]


class Sender:
    """Tests the ways, and counts how often."""

    def __init__(self) -> None:
        self.count = 0

    def test(self) -> tuple[Way, ...]:
        self.count += 1
        return (
            Way("phone", WayState.TROUBLE, f"Test {self.count} did not arrive.", "Check the address."),
            Way("broker", WayState.WORKING, "broker took the test."),
        )


def with_ways(settings: Settings) -> Settings:
    """Settings with a phone, whose address holds a secret, and a broker."""
    ways = {"notify": [{"name": "phone", "address": "json://secret@127.0.0.1"}], "mqtt": {"host": "broker.home.arpa"}}
    return settings.model_validate(settings.model_dump(by_alias=True) | ways)


def test_a_test_is_sent_once_and_its_outcome_shown(shelf: Shelf) -> None:
    sender = Sender()
    shelf.lent = Lent(test_ways=sender.test)
    shelf.settings = with_ways(shelf.settings)
    with shelf.client() as client:
        fields = {"mark": mark_of(client.get("/alerts").text)}
        for _ in range(2):
            assert client.post("/alerts/test", data=fields, follow_redirects=False).status_code == 303
        page = Words(client.get("/alerts").text).text
        assert client.post("/alerts/test", data={"mark": "stale.mark"}).status_code == 422
    assert sender.count == 1
    outcome = "Phone trouble Test 1 did not arrive. Check the address. Broker working broker took the test."
    assert page.split("The latest test ")[1].startswith(outcome)
    assert page.count("Nothing delivered yet") == 1  # not of the test: it has just said what became of it
    assert page.count("Last delivered just now (a test)") == 1  # the broker's, and only where the ways are told
    assert "Phone waiting The station has not used phone yet. Start or restart jarside watch. Nothing delivered" in page


def test_a_test_that_a_program_sent_is_the_latest_wherever_it_is_told(shelf: Shelf) -> None:
    shelf.lent = Lent(test_ways=Sender().test)
    shelf.settings = with_ways(shelf.settings)
    with shelf.client() as client:
        client.post("/alerts/test", data={"mark": mark_of(client.get("/alerts").text)})
        client.post("/api/ways/test")
        page = Words(client.get("/alerts").text).text
        ways = {way["name"]: way for way in client.get("/api/status").json()["ways"]}
    assert "Test 2 did not arrive." in page
    assert "Test 1" not in page
    assert (ways["broker"]["delivered_at"], ways["broker"]["by_test"]) == ("2026-05-04T06:00:00Z", True)
    assert (ways["phone"]["delivered_at"], ways["phone"]["by_test"]) == (None, False)


def test_without_a_way_to_test_the_shell_is_named(shelf: Shelf) -> None:
    page = read(shelf, "/alerts").text

    assert "None is set up: alerts stand on these pages only." in page
    assert "broker" not in page.casefold()  # a word for those who have one
    assert "jarside alerts test" in page


@pytest.mark.parametrize(("minutes", "stopped"), [(3.0, False), (3.5, True)])
def test_while_the_station_is_not_running_nothing_is_said_to_work(cold: Shelf, minutes: float, stopped: bool) -> None:
    late = replace(cold, settings=with_ways(cold.settings), now_at=cold.now_at + timedelta(minutes=minutes))
    with late.client() as client:
        alerts, setup, shelf = (Words(client.get(path).text).text for path in ("/alerts", "/setup", "/"))
        states = {way["state"] for way in client.get("/api/status").json()["ways"]}

    for page in (alerts, setup, shelf):
        assert ("The station is not writing: it last wrote 4 minutes ago, at " in page) is stopped
    for page in (alerts, setup):
        assert ("Phone not known The station is not running. Nothing delivered yet" in page) is stopped
        assert ("Start or restart jarside watch." in page) is not stopped
    assert ("What you answer, the station hears once it runs again." in alerts) is stopped
    assert states == ({"not known"} if stopped else {"waiting"})


def test_that_no_alert_is_open_is_not_said_of_a_shelf_that_nobody_minds(shelf: Shelf) -> None:
    shelf.live(a_day_of(temp_c=20.0, days=0.1))
    assert "None. The station speaks up when the shelf needs you." in read(shelf, "/alerts").text
    late = replace(shelf, now_at=shelf.now_at + timedelta(hours=5))
    assert "None was open when the station last wrote." in read(late, "/alerts").text


def test_what_the_station_says_of_its_ways_is_shown(shelf: Shelf) -> None:
    page = read(replace(shelf, settings=with_ways(shelf.settings)), "/alerts").text

    assert "The station has not used phone yet." in page
    assert "secret" not in page
