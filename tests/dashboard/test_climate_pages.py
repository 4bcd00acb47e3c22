"""The climate page over real files: every span, the way back, the read-out and the log file."""

from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

from dashboard.views.spans import Span, window
from station.domain.readings import Reading
from station.store.log_files import read_log
from station.store.shelf_reader import ShelfReader
from tests.builders import a_reading
from tests.dashboard.reading import read
from tests.dashboard.world import Shelf, a_day_of, at


@pytest.mark.parametrize("span", ["day", "week", "month", "season"])
def test_every_span_has_three_curves_a_table_and_a_way_back(kitchen: Shelf, span: str) -> None:
    page = read(kitchen, f"/climate?span={span}")

    assert page.text.count("The same as a table") == 1
    assert [attributes["data-chart"] for _, attributes in page.tags if "data-chart" in attributes] == [
        "temperature",
        "humidity",
        "light",
    ]
    if span != "day":  # by hand: the cold evening ends at 13 + 1.5 × sin(223.75°), a warm afternoon stands at 20 + 1.5
        assert f"The last {span}: 12.0 °C to 21.5 °C" in page.text
    (earlier,) = [one["href"] for tag, one in page.tags if tag == "a" and one.get("rel") == "prev"]
    assert read(kitchen, str(earlier)).text


def test_an_earlier_day_says_which_and_leads_back_to_now(kitchen: Shelf) -> None:
    page = read(kitchen, "/climate?span=day&until=2026-05-06")

    assert "Wed 6 May 2026: 18.5 °C to 21.5 °C" in page.text
    links = {one.get("rel"): one["href"] for tag, one in page.tags if tag == "a"}
    assert links["prev"] == "/climate?span=day&until=2026-05-05"
    assert links["next"] == "/climate?span=day&until=2026-05-07"


def test_a_stretch_without_a_reading_says_so(kitchen: Shelf) -> None:
    page = read(kitchen, "/climate?span=week&until=2020-05-01")

    assert "nothing was measured." in page.text
    assert "Start the station" not in page.text


@pytest.mark.parametrize("path", ["/climate", "/climate.csv", "/climate/steps"])
def test_what_is_no_day_is_refused_in_words(kitchen: Shelf, path: str) -> None:
    with kitchen.client() as client:
        answer = client.get(path, params={"until": "<b>soon</b>"})
    assert answer.status_code == 422
    assert "<b>soon" not in answer.text


def test_an_unknown_span_is_a_day(kitchen: Shelf) -> None:
    assert "The last day:" in read(kitchen, "/climate?span=century").text


def test_the_file_is_a_log_file_of_the_same_readings(kitchen: Shelf, tmp_path: Path) -> None:
    with kitchen.client() as client:
        answer = client.get("/climate.csv?span=day&until=2026-05-06")
    path = tmp_path / "day.csv"
    path.write_bytes(answer.content)

    def told(reading: Reading) -> tuple[object, ...]:
        return reading.measured_at, reading.temp_c, reading.rh_pct, reading.light_lx

    since_at, until_at = at(1, hours=17), at(2, hours=17)  # midnights in Lisbon, an hour ahead of UTC in May
    kept = ShelfReader(kitchen.folder / "shelf.db").readings(since_at, until_at)
    assert [told(one) for one in read_log(path)] == [told(one) for one in kept]
    assert answer.headers["content-type"].startswith("text/csv")
    assert 'filename="jarside-shelf-day-2026-05-06.csv"' in answer.headers["content-disposition"]


def test_the_read_out_says_what_the_log_has(kitchen: Shelf) -> None:
    with kitchen.client() as client:
        charts = client.get("/climate/steps?span=month").json()
    assert set(charts) == {"temperature", "humidity", "light"}
    places = [x for x, _ in charts["temperature"]]
    assert places == sorted(places)
    assert 0.0 <= places[0] < places[-1] <= 1.0
    shown = window(Span.MONTH, None, kitchen.now_at, ZoneInfo("Europe/Lisbon"))
    reader = ShelfReader(kitchen.folder / "shelf.db")
    parts = reader.steps(shown.steps_since_at, shown.until_at, shown.span.step_s)
    assert len(places) == len([part for part in parts if part.temp_c])
    last = parts[-1].temp_c
    assert last is not None
    assert f"{last.mean:.1f} °C ({last.low:.1f} °C to {last.high:.1f} °C)" in charts["temperature"][-1][1]


def test_a_new_reading_shows_although_pages_are_remembered(tmp_path: Path) -> None:
    shelf = Shelf(tmp_path)
    shelf.live(a_day_of(temp_c=20.0, days=0.5))
    with shelf.client() as client:
        assert "36.0" not in client.get("/climate").text
        assert "36.0" not in client.get("/climate").text
        shelf.live([a_reading(721, temp_c=36.0)])
        assert "to 36.0" in client.get("/climate").text.replace("\u00a0", " ")
