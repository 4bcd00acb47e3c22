"""What programs do to set-up is what the pages would have done: settings, moves, tests and backups."""

import io
import zipfile
from dataclasses import replace
from datetime import timedelta
from typing import Any

import pytest
from httpx2 import Response

from dashboard.lent import Lent
from station.domain.way import Way, WayState
from station.settings_file import SET_UP
from station.store.notebook import Notebook
from station.store.shelf_moves import ShelfMoves
from tests.dashboard.world import Shelf, anew

AT = "/api/set-up/settings"


def put(shelf: Shelf, **changes: Any) -> Response:
    """Read the settings, change some, and send them back."""
    with shelf.client() as client:
        now = client.get(AT).json()
        limits = now["limits"] | changes.pop("limits", {})
        return client.put(AT, json=now | {"limits": limits} | changes)


def test_settings_read_changed_and_sent_back_are_those_of_the_next_start(own: Shelf) -> None:
    answer = put(own, zone="Europe/Paris", temperature="F", limits={"cold_c": 12.5}, evening="20:15", days_away=["tue"])

    assert answer.status_code == 200, answer.text
    assert answer.json()["limits"]["cold_c"] == 12.5
    settings = anew(own)
    assert (settings.place.zone, settings.units.temperature, settings.limits.cold_c) == ("Europe/Paris", "F", 12.5)
    assert (f"{settings.strain.evening:%H:%M}", settings.strain.days_away) == ("20:15", ("tue",))
    assert settings.place.lat_deg == 50.0
    with own.client() as client:
        assert client.get(AT).json() == answer.json()
        told = client.get("/api/set-up").json()
    assert told["set"]["limits"]["cold_c"] == 14.0, "in use until the programs begin anew"
    assert "limits.cold_c" in {one["name"] for one in told["waiting"]}


def test_what_is_sent_back_unchanged_leaves_the_settings_file_in_force(own: Shelf) -> None:
    assert put(own).status_code == 200
    kept = (own.folder / SET_UP).read_text()
    assert [line for line in kept.splitlines() if line and not line.startswith("#")] == []


@pytest.mark.parametrize(
    ("changes", "status", "said"),
    [
        ({"limits": {"cold_c": 99.0}}, 409, "no kitchen shelf is like that"),
        ({"limits": {"cold_c": 26.5}}, 409, "more than a degree below too hot"),
        ({"limits": {"cold_c": "14"}}, 422, "cold_c"),
        ({"lat_deg": 91.0}, 409, "less than or equal to 90"),
        ({"lat_deg": None}, 409, "latitude and longitude go together"),
        ({"zone": "Nowhere/Land"}, 409, "not a time zone"),
        ({"evening": "late"}, 422, "evening"),
        ({"temperature": "K"}, 422, "temperature"),
        ({"days_away": ["mon", "tue", "wed", "thu", "fri", "sat", "sun"]}, 409, "some evening must be left"),
        ({"mqtt": {"host": "elsewhere.example"}}, 422, "mqtt"),
    ],
)
def test_what_the_settings_page_would_refuse_is_refused_and_nothing_is_kept(
    own: Shelf, changes: dict[str, object], status: int, said: str
) -> None:
    answer = put(own, **changes)

    assert (answer.status_code, said in answer.json()["what"]) == (status, True), answer.text
    assert not (own.folder / SET_UP).exists()


def test_no_place_sent_has_the_place_of_the_settings_file_again(own: Shelf) -> None:
    assert put(own, lat_deg=10.0, lon_deg=20.0).json()["lat_deg"] == 10.0
    told = put(own, lat_deg=None, lon_deg=None).json()
    assert (told["lat_deg"], told["lon_deg"]) == (50.0, 8.0)


def test_a_settings_file_that_was_broken_meanwhile_is_answered_as_described(own: Shelf) -> None:
    (own.folder.parent / "jarside.toml").write_text("[place\n")
    with own.client() as client:
        answer = client.get(AT)
        described = client.get("/api/openapi.json").json()["paths"][AT]["get"]["responses"]
    assert (answer.status_code, "jarside.toml" in answer.json()["what"]) == (409, True)
    assert "409" in described


def test_a_simulated_shelf_cannot_be_set(shelf: Shelf) -> None:
    answer = put(shelf)
    assert (answer.status_code, answer.json()["remedy"]) == (409, "Change them in the settings file.")
    assert not (shelf.folder / SET_UP).exists()


def test_a_move_is_recorded_once_and_not_in_the_future(own: Shelf) -> None:
    at = own.now_at - timedelta(minutes=2)
    with own.client() as client:
        for _ in range(2):
            answer = client.post(
                "/api/set-up/moved", json={"at": at.isoformat()}, headers={"idempotency-key": "the move"}
            )
            assert answer.json() == {"moved_at": at.isoformat().replace("+00:00", "Z")}
        late = client.post("/api/set-up/moved", json={"at": (own.now_at + timedelta(days=1)).isoformat()})
        assert (late.status_code, "future" in late.json()["what"]) == (409, True)
    with Notebook.open(own.folder / "notebook.db") as notebook:
        moves = ShelfMoves(notebook)
        assert moves.last_at() == at
        moves.take_back(now_at=own.now_at)
        assert moves.last_at() is None, "it was recorded once"


def test_a_test_is_sent_once_for_one_key_and_its_outcome_told(own: Shelf) -> None:
    sent: list[str] = []

    def send() -> tuple[Way, ...]:
        sent.append("test")
        return (Way("phone", WayState.TROUBLE, f"Test {len(sent)} did not arrive.", "Check the address."),)

    with replace(own, lent=Lent(test_ways=send)).client() as client:
        for _ in range(2):
            (told,) = client.post("/api/ways/test", headers={"idempotency-key": "one"}).json()
        assert (told["name"], told["state"], told["line"]) == ("phone", "trouble", "Test 1 did not arrive.")
        (told,) = client.post("/api/ways/test").json()
        assert told["line"] == "Test 2 did not arrive."
    assert len(sent) == 2


def test_without_a_way_to_send_the_shell_is_named(shelf: Shelf) -> None:
    with shelf.client() as client:
        answer = client.post("/api/ways/test")
    assert (answer.status_code, "jarside alerts test" in answer.json()["remedy"]) == (409, True)


def test_a_backup_is_made_once_listed_and_fetched(own: Shelf) -> None:
    path = "/api/set-up/backups"
    with own.client() as client:
        made = [client.post(path, headers={"idempotency-key": "nightly"}) for _ in range(2)]
        assert [one.status_code for one in made] == [201, 201]
        (kept,) = client.get(path).json()
        assert [one.json() for one in made] == [kept, kept]
        fetched = client.get(f"{path}/{kept['name']}")
    assert fetched.headers["content-type"] == "application/zip"
    assert zipfile.ZipFile(io.BytesIO(fetched.content)).namelist() == ["notebook.db", "shelf.db"]
    assert len(fetched.content) == kept["size_bytes"]


def test_an_empty_shelf_has_nothing_to_save(shelf: Shelf) -> None:
    with shelf.client() as client:
        answer = client.post("/api/set-up/backups")
    assert (answer.status_code, "nothing to save" in answer.json()["what"]) == (409, True)


@pytest.mark.parametrize(
    ("name", "status"), [("jarside-2026-01-01-120000.zip", 404), ("mine.zip", 422), ("..%2Fnotebook.db", 404)]
)
def test_nothing_but_backups_is_fetched(own: Shelf, name: str, status: int) -> None:
    (own.folder / "backups").mkdir()
    (own.folder / "backups" / "mine.zip").write_bytes(b"mine")
    (own.folder / "backups" / "jarside-2026-01-01-120000.zip").mkdir()
    with own.client() as client:
        assert client.get(f"/api/set-up/backups/{name}").status_code == status
