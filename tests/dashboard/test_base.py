"""The base temperature of the settings: wherever warm-days are told, they are those that the station goes by.

By definition (design of the project) a day at temperature T gives (T − base) / (20 − base) warm-days.
"""

from dataclasses import replace
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from station.config import Settings, StrainSettings
from station.domain.jars import Judged, Judgement, Strained
from station.messages import jar_state
from station.store.shelf_reader import ShelfReader
from tests.builders import a_reading
from tests.cli.shell import jarside
from tests.dashboard.world import SETTINGS, Shelf, a_jar, an_outlook, at

BASE_C = 4.0
DAYS = 12
HAD = DAYS * (12.0 - BASE_C) / (20.0 - BASE_C)
"""6.0 warm-days; at the usual base of 7 °C they would be 4.6, and the jar not ready."""


@pytest.fixture
def cold(tmp_path: Path) -> Shelf:
    """A shelf at 12 °C with a jar on it, and the base set to 4 °C."""
    settings: Settings = SETTINGS.model_copy(update={"strain": StrainSettings(base_c=BASE_C)})
    (tmp_path / "base.toml").write_text(f"[strain]\nbase_c = {BASE_C}\n", encoding="utf-8")
    shelf = Shelf(tmp_path, settings=settings)
    shelf.pack("comfrey", at(0))
    shelf.live(a_reading(minute, temp_c=12.0, span_s=3600.0) for minute in range(60, DAYS * 1440 + 1, 60))
    return shelf


def told(cold: Shelf, *words: str) -> str:
    return jarside(*words, data=cold.folder, config=cold.folder / "base.toml").out


def page(client: TestClient, path: str) -> str:
    """A page with its words breakable anywhere."""
    return client.get(path).text.replace("\u00a0", " ").replace("\u2011", "-")


def test_the_station_calls_a_jar_ready_at_the_warm_days_that_it_tells(cold: Shelf) -> None:
    outlook = ShelfReader(cold.folder / "shelf.db").outlook("comfrey-1")
    assert outlook is not None
    assert outlook.warm_days == pytest.approx(HAD, rel=1e-3)
    assert outlook.degree_hours == pytest.approx(DAYS * 24 * (12.0 - BASE_C), rel=1e-3)
    assert outlook.ready_at is not None
    assert (outlook.ready_at - at(0)).total_seconds() / 86400 * 0.5 == pytest.approx(outlook.need_likely, abs=0.01)
    assert f'"warm_days":{HAD:g}' in jar_state(cold.jars[0], outlook).payload.decode().replace(" ", "")


def test_pages_and_programs_tell_the_same(cold: Shelf) -> None:
    with cold.client() as client:
        assert "6.0 of about 5.5 warm-days" in page(client, "/jars")
        assert "6.0 of about 5.5 warm-days" in page(client, "/jars/comfrey-1")
        outlook = client.get("/api/jars/comfrey-1").json()["outlook"]
        spot = client.get("/api/survey").json()
        assert "0.50 warm-days a day" in page(client, "/survey")
    assert outlook["warm_days"] == pytest.approx(HAD, rel=1e-3)
    assert outlook["degree_hours"] == pytest.approx(DAYS * 24 * (12.0 - outlook["base_c"]), rel=1e-3)
    assert outlook["base_c"] == BASE_C
    assert spot["warm_days_a_day"] == pytest.approx(0.5)


def test_the_shell_tells_the_same(cold: Shelf) -> None:
    # The shell reads it by the real clock, long after the log has ended: most of the jar's time is missing by then.
    assert "6.0 warm-days in the 288 of " in told(cold, "jar", "list")
    assert "6.00 of about 5.5 warm-days (2,304 °C·h" in told(cold, "jar", "show", "comfrey-1")
    assert "0.50 warm-days a day" in told(cold, "survey")
    cold.record(Strained("comfrey-1", cold.now_at), Judged("comfrey-1", cold.now_at, Judgement.RIGHT))
    assert "at 6.0 warm-days, right" in told(cold, "need", "show", "comfrey")
    assert "6.0 warm-days" in told(cold, "season")


def test_a_replay_tells_the_same(cold: Shelf) -> None:
    told(cold, "export", str(cold.folder / "log.csv"))
    out = told(cold, "replay", str(cold.folder / "log.csv"), "--jar", f"comfrey@{at(0).isoformat()}")
    assert "6.00 of about 5.5 warm-days (2,304 °C·h" in out


def test_an_outlook_keeps_the_base_it_was_made_with() -> None:
    outlook = an_outlook(2.75)
    assert outlook.warm_days == pytest.approx(2.75)
    assert replace(outlook, base_c=4.0).degree_hours == pytest.approx(2.75 * 24 * 16)
    assert a_jar().id == outlook.jar_id
