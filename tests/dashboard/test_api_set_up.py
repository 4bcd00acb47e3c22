"""What programs are told of set-up, checked against what was recorded and set."""

from dataclasses import replace

import pytest

from dashboard.lent import Lent
from station.domain.corrections import Point, humidity_correction
from station.store.corrections import Corrections
from station.store.notebook import Notebook
from station.store.shelf_moves import ShelfMoves
from tests.builders import a_reading
from tests.dashboard.forming import mark_of
from tests.dashboard.world import SETTINGS, Shelf, at


def test_an_untouched_folder_has_no_sign_of_life(shelf: Shelf) -> None:
    with shelf.client() as client:
        told = client.get("/api/set-up").json()

    assert (told["heartbeat"], told["corrections"], told["moved_at"], told["backups"]) == (None, [], None, [])
    assert told["samples"] == {"good": 0, "missed": 0, "good_pct": None, "readings": 0, "untrusted": 0}
    assert [(way["name"], way["state"]) for way in told["ways"]] == [("broker", "off")]


def test_samples_of_the_last_day_are_counted(shelf: Shelf) -> None:
    """By hand: of 4 readings with 9 good samples and 3 missed, 36 of 48 are good, three quarters."""
    shelf.live([replace(a_reading(minute), good=9, missed=3) for minute in range(4)])
    with shelf.client() as client:
        told = client.get("/api/set-up").json()

    assert (told["samples"]["good"], told["samples"]["missed"]) == (36, 12)
    assert told["samples"]["good_pct"] == pytest.approx(75.0)
    assert any(text.startswith("Only 75 % of the samples were good") for text in told["warnings"])
    assert told["heartbeat"]["last_reading_at"] == shelf.now_at.isoformat().replace("+00:00", "Z")
    assert told["card"]["log_bytes"] >= (shelf.folder / "shelf.db").stat().st_size > 0


def test_a_correction_and_a_move_are_told(shelf: Shelf) -> None:
    """By hand: the sensor said 70.3 where 75.3 %RH was true (NaCl at 25 °C, Greenspan 1977): an offset of 5."""
    shelf.now_at = at(400)
    correction = humidity_correction("air", [Point(70.3, 75.3, "sodium-chloride at 25 °C", at(1))], at(1))
    with Notebook.open(shelf.folder / "notebook.db") as notebook:
        Corrections(notebook).make(correction, now_at=at(1))
        ShelfMoves(notebook).move(at(2), now_at=at(2))
    with shelf.client() as client:
        told = client.get("/api/set-up").json()

    (kept,) = told["corrections"]
    assert (kept["sensor"], kept["quantity"], kept["gain"], kept["points"]) == ("air", "humidity", 1.0, 1)
    assert kept["offset"] == pytest.approx(5.0)
    assert kept["due_again"], "humidity is done again after a year"
    assert told["moved_at"] == at(2).isoformat().replace("+00:00", "Z")


def test_what_is_set_and_what_waits_for_a_restart_are_told_apart(shelf: Shelf) -> None:
    limits = SETTINGS.limits.model_copy(update={"cold_c": 13.5})
    later = SETTINGS.model_copy(update={"limits": limits})
    with replace(shelf, lent=Lent(settings=lambda _: later)).client() as client:
        told = client.get("/api/set-up").json()

    assert (told["set"]["lat_deg"], told["set"]["zone"], told["set"]["evening"]) == (50.0, "Europe/Lisbon", "19:00")
    assert told["set"]["limits"]["cold_c"] == SETTINGS.limits.cold_c
    assert [(one["name"], one["set"]) for one in told["waiting"]] == [("limits.cold_c", "13.5")]


def test_a_backup_made_on_the_page_is_listed(shelf: Shelf) -> None:
    shelf.live([a_reading(0)])
    with shelf.client() as client:
        client.post("/setup/backup", data={"mark": mark_of(client.get("/setup").text)})
        (backup,) = client.get("/api/set-up").json()["backups"]

    (file,) = (shelf.folder / "backups").iterdir()
    assert (backup["name"], backup["size_bytes"]) == (file.name, file.stat().st_size)
