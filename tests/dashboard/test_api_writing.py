"""What programs write is what the notebook holds afterwards; what does not fit is refused and changes nothing."""

from collections.abc import Iterator
from datetime import timedelta
from typing import Any
from urllib.parse import quote

import pytest
from fastapi.testclient import TestClient

from station.store.bottles import Bottles
from station.store.feedings import Feedings
from station.store.notebook import Notebook
from station.store.own_plants import OwnPlants
from station.store.trials import Trials
from tests.builders import a_reading
from tests.dashboard.world import Shelf, at


@pytest.fixture
def program(shelf: Shelf) -> Iterator[TestClient]:
    shelf.now_at = at(10)
    with shelf.client() as client:
        yield client


def written(program: TestClient, path: str, status: int = 200, key: str = "", **body: Any) -> Any:
    """Send a writing, and return what came back."""
    headers = {"idempotency-key": key} if key else {}
    answer = program.post(f"/api{path}", json=body, headers=headers)
    assert answer.status_code == status, answer.text
    return answer.json()


def test_a_jar_goes_from_packing_to_bottles(program: TestClient, shelf: Shelf) -> None:
    jar = written(program, "/jars", 201, plant="Comfrey", plant_g=260, sugar_g=260, at=at(1).isoformat())
    assert (jar["id"], jar["plant"], jar["stage"]) == ("comfrey-1", "comfrey", "working")
    assert any("Over-filled" in text for text in jar["warnings"])

    noted = written(program, "/jars/comfrey-1/notes", text="grey", surface="fuzzy", at=at(2).isoformat())
    assert [one["act"] for one in noted["advice"]] == ["discard"]
    assert noted["jar"]["notes"][0]["surface"] == "fuzzy"

    strained = written(program, "/jars/comfrey-1/strain", judgement="right", at=at(6).isoformat())
    assert (strained["stage"], strained["judgement"]) == ("draining", "right")
    assert written(program, "/jars/comfrey-1/judge", judgement=None, at=at(7).isoformat())["judgement"] is None

    fills = [{"volume_ml": 200, "bottle_ml": 330}, {"volume_ml": 130}]
    bottles = written(program, "/jars/comfrey-1/bottle", fills=fills, at=at(7).isoformat())
    assert [one["id"] for one in bottles] == ["comfrey-1-a", "comfrey-1-b"]
    with Notebook.open(shelf.folder / "notebook.db") as notebook:
        assert notebook.jar("comfrey-1").juice_ml == 330.0
        assert [one.left_ml for one in Bottles(notebook).bottles()] == [200.0, 130.0]


def test_a_bottle_is_filled_drawn_from_moved_closed_and_emptied(program: TestClient) -> None:
    bottle = written(program, "/bottles", 201, plant="nettle", volume_ml=500, at=at(1).isoformat())
    assert (bottle["id"], bottle["jar"], bottle["left_ml"]) == ("nettle-a", None, 500.0)
    path = "/bottles/nettle-a/record"

    assert written(program, path, what="drawn", volume_ml=20)["left_ml"] == 480.0
    assert written(program, path, what="moved", storage="room")["storage"] == "room"
    assert written(program, path, what="lid closed")["warnings"]
    refused = written(program, path, 409, what="drawn", volume_ml=481)
    assert "left" in refused["what"]
    assert written(program, path, what="drawn", volume_ml=481, anyway=True)["over_ml"] == 1.0
    assert written(program, path, what="emptied", reason="spilt")["in_store"] is False
    assert program.get("/api/bottles", params={"in_store_only": "true"}).json() == []


def test_a_feeding_is_drawn_from_its_bottle_and_counts_for_its_round(program: TestClient, shelf: Shelf) -> None:
    written(program, "/bottles", 201, plant="nettle", volume_ml=500, at=at(1).isoformat())
    spray = written(program, "/rounds", 201, place="beans", least_days=7, most_days=10, first_on="2026-05-10")
    assert (spray["id"], spray["standing"], spray["until_on"]) == ("beans-1", "late", "2026-05-13")

    fed = written(
        program, "/feedings", 201, method="leaf spray", juice_ml=10, water_ml=5000, bottle="nettle", round="beans-1"
    )
    assert (fed["id"], fed["bottle"]) == ("feed-1", "nettle-a")
    (spray,) = program.get("/api/rounds").json()
    assert (spray["standing"], spray["from_on"]) == ("waiting", "2026-05-21")
    assert written(program, "/rounds/beans-1/skip", reason="rain")["skipped_at"]
    changed = program.put("/api/rounds/beans-1", json={"place": "peas"}).json()
    assert (changed["place"], changed["done_at"]) == ("peas", [fed["at"]])
    assert written(program, "/rounds/beans-1/stop")["standing"] == "stopped"
    with Notebook.open(shelf.folder / "notebook.db") as notebook:
        assert [one.juice_ml for one in Feedings(notebook).feedings()] == [10.0]
        assert Bottles(notebook).bottle("nettle-a").left_ml == 490.0


def test_seeds_are_taken_out_once(program: TestClient, shelf: Shelf) -> None:
    soak = {"method": "seed soak", "juice_ml": 0.2, "water_ml": 100, "at": at(9.9).isoformat()}
    fed = written(program, "/feedings", 201, **soak)
    assert fed["until_at"] is None
    path = f"/feedings/{fed['id']}/out"
    assert "they went in at" in written(program, path, 409, at=at(9.8).isoformat())["what"]

    out = written(program, path, key="out", at=at(9.95).isoformat())
    assert out == written(program, path, key="out", at=at(9.95).isoformat())
    assert out["until_at"] == at(9.95).isoformat().replace("+00:00", "Z")
    assert "taken out" in written(program, path, 409)["what"]
    written(program, "/feedings/feed-9/out", 404)
    drench = written(program, "/feedings", 201, method="drench", juice_ml=10, water_ml=5000)
    assert "no seed soak" in written(program, f"/feedings/{drench['id']}/out", 409)["what"]
    with Notebook.open(shelf.folder / "notebook.db") as notebook:
        assert [one.until_at for one in Feedings(notebook).feedings()] == [None, at(9.95)]


def test_a_plant_of_ones_own_is_added_changed_and_dropped(program: TestClient, shelf: Shelf) -> None:
    balm = {"name": "Lemon balm", "moisture": "medium", "parts": "leaves", "cautions": ["wash it"], "also": ["melissa"]}
    added = written(program, "/plants/own", 201, **balm)
    assert (added["own"], added["cautions"], added["also"]) == (True, ["wash it"], ["melissa"])
    assert added in program.get("/api/plants").json()
    assert program.get("/api/mix", params={"plant": "melissa", "plant_g": 100}).status_code == 200
    changed = written(program, "/plants/own", 201, name="lemon balm", moisture="juicy")
    assert [one["moisture"] for one in program.get("/api/plants").json() if one["own"]] == [changed["moisture"]]
    assert "+" in written(program, "/plants/own", 409, name="a+b", moisture="dry")["remedy"]
    written(program, "/plants/own", 409, name="  ", moisture="dry")
    written(program, "/plants/own", 422, name="balm", moisture="wet")

    for _ in range(2):
        dropped = program.delete("/api/plants/own/Lemon%20balm", headers={"idempotency-key": "drop"})
        assert (dropped.status_code, dropped.json()) == (200, {"name": "lemon balm"})
    for name in ("lemon balm", "comfrey"):  # comfrey is known here, but not one's own
        assert program.delete(f"/api/plants/own/{name}").status_code == 404, name
    with Notebook.open(shelf.folder / "notebook.db") as notebook:
        assert OwnPlants(notebook).plants() == ()


def test_a_plant_with_strange_signs_in_its_name_can_be_dropped(program: TestClient) -> None:
    name = "half/half? 50 % <b>"
    written(program, "/plants/own", 201, name=name, moisture="dry")
    assert program.delete(f"/api/plants/own/{quote(name, safe='')}").json() == {"name": name}


def test_a_trial_is_sown_counted_and_ended(program: TestClient, shelf: Shelf) -> None:
    arms = [{"name": "soaked", "dishes": [20, 20]}, {"name": "plain", "dishes": [20, 20]}]
    trial = written(program, "/trials", 201, seeds="beans", arms=arms, at=at(1).isoformat())
    assert (trial["id"], trial["control"]) == ("beans-1", "plain")

    counts = [{"arm": "soaked", "dish": 1, "germinated": 15}, {"arm": "plain", "dish": 2, "germinated": 9}]
    counted = written(program, "/trials/beans-1/counts", counts=counts, at=at(6).isoformat())
    assert [arm["germinated"] for arm in counted["arms"]] == [15, 9]
    falls = [{"arm": "soaked", "germinated": 16}, {"arm": "plain", "dish": 2, "germinated": 8}]
    assert "germinated" in written(program, "/trials/beans-1/counts", 409, counts=falls, at=at(7).isoformat())["what"]
    assert written(program, "/trials/beans-1/end")["ended_at"]
    with Notebook.open(shelf.folder / "notebook.db") as notebook:
        assert len(Trials(notebook).trial("beans-1").counts) == 2, "all of a refused count was left out"


def test_an_alert_is_acknowledged_or_put_off(program: TestClient, shelf: Shelf) -> None:
    shelf.live([a_reading(minute, temp_c=12.0) for minute in range(40)])
    (cold,) = [one for one in program.get("/api/alerts?open_only=true").json() if one["kind"] == "cold"]

    until_at = written(program, f"/alerts/{cold['id']}/put-off", hours=3)["put_off_until_at"]
    assert written(program, f"/alerts/{cold['id']}/acknowledge")["put_off_until_at"] is None
    with Notebook.open(shelf.folder / "notebook.db") as notebook:
        put_off, acknowledged = notebook.answers(at(0))
    assert (put_off.alert_id, acknowledged.alert_id) == (cold["id"], cold["id"])
    assert until_at == put_off.until_at.isoformat().replace("+00:00", "Z")  # type: ignore[union-attr]
    assert acknowledged.until_at is None
    (told,) = [one for one in program.get("/api/alerts").json() if one["id"] == cold["id"]]
    assert told["acknowledged_at"], "before the station hears of it, as on the page"
    assert written(program, f"/alerts/{cold['id']}/take-back")["taken_back"]
    (told,) = [one for one in program.get("/api/alerts").json() if one["id"] == cold["id"]]
    assert told["acknowledged_at"] is None
    written(program, "/alerts/cold-never-1/acknowledge", 404)
    written(program, f"/alerts/{cold['id']}/put-off", 422, hours=25)
    shelf.live([a_reading(minute, temp_c=20.0) for minute in range(40, 100)])
    assert "cleared" in written(program, f"/alerts/{cold['id']}/acknowledge", 409)["what"]


def test_an_alert_put_off_again_with_the_same_key_comes_back_when_it_was_said_first(
    program: TestClient, shelf: Shelf
) -> None:
    shelf.live(a_reading(minute, temp_c=10.0) for minute in range(120))
    (cold,) = program.get("/api/alerts").json()
    path = f"/alerts/{cold['id']}/put-off"
    first = written(program, path, key="once", hours=2)
    shelf.now_at += timedelta(minutes=5)
    assert written(program, path, key="once", hours=2) == first
    assert written(program, path, key="another", hours=2) != first


def test_the_same_key_writes_once_and_brings_back_what_was_made(program: TestClient) -> None:
    first = written(program, "/jars", 201, key="one", plant="comfrey")
    assert written(program, "/jars", 201, key="one", plant="comfrey") == first
    assert written(program, "/jars", 201, key="two", plant="comfrey")["id"] == "comfrey-2"
    assert written(program, "/bottles", 201, key="one", plant="comfrey", volume_ml=5)["id"] == "comfrey-a"
    for _ in range(2):
        written(program, "/jars/comfrey-1/notes", key="one", text="sweet")
        written(program, "/jars/comfrey-1/strain", key="one", judgement="right")
    assert len(program.get("/api/jars/comfrey-1").json()["notes"]) == 1
    assert len(program.get("/api/jars").json()) == 2


@pytest.mark.parametrize(
    ("path", "body", "status", "names"),
    [
        ("/jars", {"plant": ""}, 422, "plant"),
        ("/jars", {"plant": "  "}, 422, "plant"),
        ("/jars", {"plant": "comfrey", "plant_g": "260g"}, 422, "plant_g"),
        ("/jars", {"plant": "comfrey", "plant_g": -1}, 422, "plant_g"),
        ("/jars", {"plant": "comfrey", "weight": 260}, 422, "weight"),
        ("/jars", {"plant": "comfrey", "at": "2030-01-01T00:00:00Z"}, 409, "future"),
        ("/jars", {"plant": "comfrey", "at": 1777874400}, 422, "at"),
        ("/jars", {"plant": "comfrey", "at": "2026-05-04T06:00:00"}, 422, "at"),
        ("/jars", {"plant": "comfrey", "sugar_g": 10, "cap_g": 11}, 409, "cap"),
        ("/jars", {"plant": "comfrey", "probe": "under-it"}, 409, "under-it"),
        ("/jars", {"plant": "nettle:200g+clover:60g", "plant_g": 260}, 409, "blend"),
        ("/jars/comfrey-1/notes", {}, 409, "empty"),
        ("/jars/comfrey-1/bottle", {}, 409, "cannot be bottled"),
        ("/jars/tansy/strain", {}, 404, "tansy"),
        (
            "/trials",
            {"seeds": "beans", "arms": [{"name": "a", "dishes": [1]}, {"name": "A", "dishes": [1]}]},
            409,
            "arms",
        ),
        ("/feedings", {"method": "drench", "juice_ml": 1, "water_ml": 1, "bottle": "none-such"}, 404, "none-such"),
    ],
)
def test_what_does_not_fit_is_refused_and_changes_nothing(
    program: TestClient, shelf: Shelf, path: str, body: dict[str, Any], status: int, names: str
) -> None:
    shelf.pack("comfrey")
    before = (shelf.folder / "notebook.db").read_bytes()

    problem = written(program, path, status, **body)

    assert set(problem) == {"what", "remedy"}
    assert names in problem["what"]
    assert (shelf.folder / "notebook.db").read_bytes() == before


@pytest.mark.parametrize("kind", ["text/plain", "application/x-www-form-urlencoded", "multipart/form-data; boundary=x"])
def test_a_body_that_any_site_could_send_is_not_read_as_json(program: TestClient, shelf: Shelf, kind: str) -> None:
    """A form of another site can send these kinds without asking; JSON it cannot (Fetch standard: CORS-safelisted)."""
    answer = program.post("/api/jars", content=b'{"plant": "comfrey"}', headers={"content-type": kind})

    assert answer.status_code == 422
    assert not (shelf.folder / "notebook.db").exists()


def test_what_cannot_be_read_is_said_to_be_so(program: TestClient) -> None:
    for body in (b"", b"{", b"[]", b"null", b"\xff", b'{"plant": NaN}', b'{"plant": "\\ud800"}'):
        answer = program.post("/api/jars", content=body, headers={"content-type": "application/json"})
        assert answer.status_code in (400, 422), body
        assert set(answer.json()) == {"what", "remedy"}


def test_a_program_says_that_a_lid_was_loosened(program: TestClient) -> None:
    jar = written(program, "/jars", 201, plant="comfrey", cover="tight lid")
    assert any("Tight lid" in text for text in jar["warnings"])
    noted = written(program, "/jars/comfrey-1/notes", cover="loose lid")
    assert noted["jar"]["notes"][0]["cover"] == "loose lid"
    assert (noted["jar"]["packing"]["cover"], noted["jar"]["warnings"]) == ("loose lid", [])


@pytest.mark.parametrize("blank", ["\x85", "\ufeff", "\x1c", "\u3000", " "])
def test_a_name_that_any_language_calls_blank_is_refused(program: TestClient, blank: str) -> None:
    """Found by schemathesis: to the description a next-line sign was a letter, to the server it was not."""
    written(program, "/jars", 422, plant=blank)
    written(program, "/jars", 201, plant=f"{blank}comfrey")


def test_a_note_by_mistake_is_taken_back(program: TestClient) -> None:
    written(program, "/jars", 201, plant="nettle", at=at(1).isoformat())
    path = "/jars/nettle-1/notes"
    slip = written(program, path, smell="foul", at=at(2).isoformat())["jar"]["notes"][0]
    noted = written(program, path, smell="sweet", at=at(3).isoformat())
    assert [one["act"] for one in noted["advice"]] == ["discard"]

    left = written(program, f"{path}/take-back", key="once", at=slip["at"])
    assert [note["smell"] for note in left["notes"]] == ["sweet"]
    assert written(program, f"{path}/take-back", key="once", at=slip["at"]) == left
    assert "no note" in written(program, f"{path}/take-back", 409, at=slip["at"])["what"]
    assert written(program, f"{path}/take-back")["notes"] == []
    written(program, f"{path}/take-back", 409)


def test_a_count_typed_too_high_is_taken_back(program: TestClient) -> None:
    arms = [{"name": "soaked", "dishes": [20]}, {"name": "plain", "dishes": [20]}]
    written(program, "/trials", 201, seeds="beans", arms=arms, at=at(1).isoformat())
    path = "/trials/beans-1/counts"
    written(program, f"{path}/take-back", 409)
    for day, germinated in ((5, 3), (6, 19)):
        counts = [{"arm": "soaked", "germinated": germinated}]
        last_at = written(program, path, counts=counts, at=at(day).isoformat())["counts"][-1]["at"]

    left = written(program, f"{path}/take-back", key="once", at=last_at)
    assert [one["germinated"] for one in left["counts"]] == [3]
    assert written(program, f"{path}/take-back", key="once", at=last_at) == left
    assert "no count" in written(program, f"{path}/take-back", 409, at=last_at)["what"]
    assert written(program, f"{path}/take-back")["counts"] == []


def test_a_feeding_is_taken_back_and_its_juice_returns(program: TestClient) -> None:
    written(program, "/bottles", 201, plant="nettle", volume_ml=500, at=at(1).isoformat())
    fed = written(program, "/feedings", 201, method="drench", juice_ml=90, water_ml=5000, bottle="nettle")
    path = f"/feedings/{fed['id']}/take-back"
    assert written(program, path, key="once") == fed
    assert written(program, path, key="once") == fed
    assert program.get("/api/feedings").json() == []
    bottle = program.get("/api/bottles/nettle-a").json()
    assert bottle["left_ml"] == 500.0
    assert "taken back" in written(program, path, 409)["what"]
    written(program, "/feedings/feed-9/take-back", 404)


def test_more_juice_than_a_jar_holds_is_refused_unless_it_is_meant(program: TestClient) -> None:
    written(program, "/jars", 201, plant="nettle", plant_g=125, sugar_g=125, at=at(1).isoformat())
    written(program, "/jars/nettle-1/strain", at=at(6).isoformat())
    sent = {"juice_ml": 5000, "at": at(7).isoformat()}
    assert "which holds 1 L" in written(program, "/jars/nettle-1/bottle", 409, **sent)["what"]
    written(program, "/jars/nettle-1/bottle", anyway=True, **sent)
    jar = program.get("/api/jars/nettle-1").json()
    assert jar["juice_ml"] == 5000.0
    assert any("plant and sugar that went in" in text for text in jar["warnings"])


def test_what_was_packed_is_corrected(program: TestClient) -> None:
    written(program, "/jars", 201, plant="netle", plant_g=25, sugar_g=80, at=at(1).isoformat())
    right = written(program, "/jars/netle-1/correct", plant="nettle", plant_g=125, jar_ml=2000)
    assert (right["id"], right["plant"], right["plant_g"], right["sugar_g"]) == ("netle-1", "nettle", 125.0, 80.0)
    assert right["jar_ml"] == 2000.0
    assert "nothing" in written(program, "/jars/netle-1/correct", 409)["what"]
