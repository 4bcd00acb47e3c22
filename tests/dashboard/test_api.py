"""What programs are told, checked against what was written."""

from collections.abc import Iterator
from datetime import datetime

import pytest
from fastapi.testclient import TestClient

from tests.builders import a_reading
from tests.dashboard.world import Shelf, a_day_of, at


@pytest.fixture(scope="module")
def client(kitchen: Shelf) -> Iterator[TestClient]:
    with kitchen.client() as client:
        yield client


def test_the_shelf_tells_its_reading_conditions_and_verdict(client: TestClient, kitchen: Shelf) -> None:
    shelf = client.get("/api/shelf").json()

    assert shelf["level"] == "good"
    assert shelf["verdict"].startswith("The shelf is fine: ")
    assert shelf["reading"]["measured_at"] == kitchen.now_at.isoformat().replace("+00:00", "Z")
    assert {one["kind"] for one in shelf["conditions"]} == {"silent", "sun", "hot", "cold", "damp", "bright"}


def test_jars_come_with_their_outlook(client: TestClient) -> None:
    jars = {jar["id"]: jar for jar in client.get("/api/jars").json()}

    assert list(jars) == ["comfrey-1", "dandelion-1", "stinging-nettle-1"]
    assert jars["dandelion-1"]["stage"] == "draining"
    assert jars["stinging-nettle-1"]["stage"] == "ready"
    assert jars["stinging-nettle-1"] == client.get("/api/jars/stinging").json()


def test_a_constant_shelf_gives_the_warmth_that_arithmetic_gives(shelf: Shelf) -> None:
    """24 h at 20 °C are 24 × (20 − 7) = 312 °C·h above 7 °C, one warm-day by definition."""
    shelf.pack("comfrey", at(0))
    shelf.live(a_day_of(temp_c=20.0, swing_c=0.0, days=1.0))
    shelf.live([a_reading(1440, temp_c=20.0)])

    with shelf.client() as client:
        outlook = client.get("/api/jars/comfrey-1").json()["outlook"]

    assert outlook["degree_hours"] == pytest.approx(312.0, rel=0.01)
    assert outlook["warm_days"] == pytest.approx(1.0, rel=0.01)
    assert outlook["missing_h"] == 0.0


def test_readings_come_back_as_they_were_written(shelf: Shelf) -> None:
    written = [a_reading(minute, temp_c=20.0 + minute / 100) for minute in range(30)]
    shelf.live(written)

    with shelf.client() as client:
        since, until = written[5].measured_at.isoformat(), written[9].measured_at.isoformat()
        answered = client.get("/api/readings", params={"since": since, "until": until}).json()

    assert [one["temp_c"] for one in answered] == [20.05, 20.06, 20.07, 20.08, 20.09]
    assert answered[0]["rh_pct"] == 55.0
    assert answered[0]["light_lx"] == 120.0


def test_a_course_leaves_out_what_was_not_written(client: TestClient) -> None:
    week = client.get("/api/climate", params={"span": "week"}).json()
    day = client.get("/api/climate").json()

    assert {step["span_s"] for step in week["steps"]} == {7200.0}
    # 24 h are 120 steps of 12 minutes; since steps begin on full ones, those at both ends are there in part.
    assert ({step["span_s"] for step in day["steps"]}, len(day["steps"])) == ({720.0}, 121)
    # Measured were 3 + 2 + 0.5 + 1 days of the week; the first reading of each stretch ends on the hour, so that its
    # middle belongs to the hour before.
    assert len(week["steps"]) == 12 * 6.5 + 2
    assert all(step["temp_c"]["low"] <= step["temp_c"]["mean"] <= step["temp_c"]["high"] for step in week["steps"])


def test_alerts_say_the_sentence_that_people_read(client: TestClient) -> None:
    alerts = client.get("/api/alerts").json()
    still = client.get("/api/alerts", params={"open_only": "true"}).json()

    assert any(one["kind"] == "cold" and one["text"].startswith("Too cold: ") for one in alerts)
    assert all(one["cleared_at"] is None for one in still)
    assert len(client.get("/api/alerts", params={"limit": 1}).json()) == 1


def test_a_value_has_the_unit_that_is_told_and_an_evening_is_a_time(client: TestClient, kitchen: Shelf) -> None:
    """An evening as seconds since 1970 would be taken for degrees, and whether nothing is measured has no unit."""
    alerts = client.get("/api/alerts").json()
    (cold,) = [one for one in alerts if one["kind"] == "cold"]
    strain = [one for one in alerts if one["kind"] == "strain"]
    assert cold["value"] < kitchen.settings.limits.cold_c
    assert cold["evening_at"] is None
    assert strain
    for one in strain:
        assert (one["value"], one["peak"]) == (None, None)
        evening_at = datetime.fromisoformat(one["evening_at"]).astimezone(kitchen.settings.zone)
        assert evening_at.time() == kitchen.settings.strain.evening
    (silent,) = [one for one in client.get("/api/shelf").json()["conditions"] if one["kind"] == "silent"]
    assert (silent["value"], silent["peak"]) == (None, None)


def test_the_status_says_whether_the_station_writes(shelf: Shelf) -> None:
    with shelf.client() as client:
        assert client.get("/api/status").json()["writing"] is False
        shelf.live([a_reading(0)])
        status = client.get("/api/status").json()
        assert (status["writing"], status["age_s"], status["clock_trusted"]) == (True, 0.0, True)
        assert status["free_bytes"] > 0
        shelf.now_at = at(hours=1)
        assert client.get("/api/status").json()["writing"] is False


@pytest.mark.parametrize(
    "path",
    [
        f"/api/{name}"
        for name in ["shelf", "jars", "readings", "climate", "alerts", "bottles", "feedings", "rounds", "trials"]
    ],
)
def test_an_empty_folder_gives_empty_answers(shelf: Shelf, path: str) -> None:
    with shelf.client() as client:
        answer = client.get(path)

    assert answer.status_code == 200
    assert answer.json() == [] or answer.json().get("reading") is None or answer.json()["steps"] == []


@pytest.mark.parametrize(
    ("path", "status", "names"),
    [
        ("/api/jars/tansy", 404, "tansy"),
        ("/api/nowhere", 404, "no such page"),
        ("/api/readings?since=2026-05-04T06:00:00", 422, "since"),  # no offset
        ("/api/readings?since=yesterday", 422, "since"),
        ("/api/readings?since=1777874400", 422, "since"),  # seconds since 1970 are no time
        ("/api/readings?since=0001-01-01T00:00:00%2B14:00", 409, "year 1"),
        ("/api/alerts?open_only=1", 422, "open_only"),
        ("/api/mix?plant_g=nan&moisture=dry", 422, "plant_g"),
        ("/api/mix?plant_g=260", 409, "no known plant"),
        ("/api/dilute", 409, "no amount"),
        ("/api/dilute?water_ml=inf", 422, "water_ml"),
        ("/api/bottles/tansy", 404, "tansy"),
        ("/api/trials/tansy", 404, "tansy"),
        ("/api/rounds/tansy", 404, "tansy"),
        ("/api/jars/Comfrey!", 422, "name"),
        ("/api/readings?since=2026-05-04T06:00:00Z&until=2026-05-04T05:00:00Z", 409, "not before"),
        ("/api/readings?since=2026-05-01T06:00:00Z&until=2026-05-09T05:00:00Z", 409, "7 days"),
        ("/api/climate?span=year", 422, "span"),
        ("/api/alerts?limit=0", 422, "limit"),
        ("/api/jars?limit=100000", 422, "limit"),
    ],
)
def test_a_wrong_question_is_answered_with_what_and_remedy(
    client: TestClient, path: str, status: int, names: str
) -> None:
    answer = client.get(path)

    assert answer.status_code == status
    problem = answer.json()
    assert set(problem) == {"what", "remedy"}
    assert names in problem["what"]
    assert problem["remedy"]


@pytest.mark.parametrize("path", ["/api", "/api/nowhere"])
def test_a_program_that_looks_around_is_led_to_the_description(client: TestClient, path: str) -> None:
    assert "/api/openapi.json" in client.get(path).json()["remedy"]


def test_a_question_is_asked_and_not_posted(client: TestClient) -> None:
    answer = client.post("/api/shelf")

    assert answer.status_code == 405
    assert answer.headers["allow"] == "GET"
    assert set(answer.json()) == {"what", "remedy"}


ROUTES = """
GET /api/alerts
POST /api/alerts/{alert}/acknowledge
POST /api/alerts/{alert}/put-off
POST /api/alerts/{alert}/take-back
GET /api/bottles
POST /api/bottles
GET /api/bottles/{name}
POST /api/bottles/{name}/record
GET /api/climate
GET /api/dilute
GET /api/feedings
POST /api/feedings
POST /api/feedings/{name}/out
GET /api/jars
POST /api/jars
GET /api/jars/{name}
POST /api/jars/{name}/bottle
POST /api/jars/{name}/discard
POST /api/jars/{name}/judge
POST /api/jars/{name}/notes
POST /api/jars/{name}/strain
GET /api/mix
GET /api/plants
POST /api/plants/own
DELETE /api/plants/own/{name}
GET /api/readings
POST /api/feedings/{name}/take-back
POST /api/jars/{name}/correct
POST /api/jars/{name}/notes/take-back
GET /api/rounds
POST /api/rounds
GET /api/rounds/{name}
PUT /api/rounds/{name}
POST /api/rounds/{name}/skip
POST /api/rounds/{name}/stop
GET /api/set-up
GET /api/set-up/settings
PUT /api/set-up/settings
POST /api/set-up/moved
GET /api/set-up/backups
POST /api/set-up/backups
GET /api/set-up/backups/{name}
POST /api/ways/test
GET /api/replay
GET /api/to-do
GET /api/sun
GET /api/logs
GET /api/logs/survey
GET /api/jars/{name}/course
GET /api/jars/{name}/guide
GET /api/bottles/{name}/history
GET /api/feeding/now
GET /api/seeds-needed
GET /api/jars/{name}/label
GET /api/bottles/{name}/label
GET /api/labels
GET /api/shelf
GET /api/status
GET /api/survey
GET /api/trials
POST /api/trials
GET /api/trials/{name}
POST /api/trials/{name}/counts
POST /api/trials/{name}/counts/take-back
POST /api/trials/{name}/end
"""
UNITS = ("_c", "_pct", "_lx", "_ml", "_g", "_h", "_s", "_bar", "_bytes")
PROBLEM = {"$ref": "#/components/schemas/Problem"}


def test_the_description_names_every_route_and_every_unit(client: TestClient) -> None:
    description = client.get("/api/openapi.json").json()
    operations = {
        f"{method.upper()} {path}": operation
        for path, methods in description["paths"].items()
        for method, operation in methods.items()
    }

    assert sorted(operations) == sorted(ROUTES.strip().split("\n"))
    for name, operation in operations.items():
        assert operation["summary"], name
        assert operation["tags"], name
        assert operation["security"] == [{"token": []}, {"session": []}], name
        for status in ("400", "401", "403", "422", "503"):
            assert operation["responses"][status]["content"]["application/json"]["schema"] == PROBLEM, (name, status)
    for name, schema in description["components"]["schemas"].items():
        for field, about in schema.get("properties", {}).items():
            assert not field.endswith(UNITS) or about["description"], f"{name}.{field} does not say its unit"
    assert set(description["components"]["schemas"]["Problem"]["properties"]) == {"what", "remedy"}
    assert "HTTPValidationError" not in str(description)


def test_the_spot_is_summed_up(client: TestClient) -> None:
    spot = client.get("/api/survey", params={"since": at(0).isoformat()}).json()

    # 3 + 2 + 0.5 + 1 days were written, the half day at 13 °C, colder than the good range.
    assert spot["covered_h"] == pytest.approx(24 * 6.5, abs=1.0)
    assert spot["good_h"] == pytest.approx(24 * 6.0, rel=0.05)
    assert spot["least_c"] == pytest.approx(13.0 - 1.5 * 0.5**0.5, abs=0.05), "an eighth of a day before its coldest"
    assert spot["verdict"]


def test_the_arithmetic_is_that_of_the_kitchen(client: TestClient) -> None:
    """Common practice: 260 g of a juicy plant takes 260 g of sugar; 1 to 500 in 10 L is 20 mL."""
    mix = client.get("/api/mix", params={"plant": "comfrey", "plant_g": 260, "jar_ml": 1000}).json()
    blend = client.get("/api/mix", params={"plant": "nettle:200g+clover:60g"}).json()
    dilution = client.get("/api/dilute", params={"water_ml": 10_000, "can_ml": 5010}).json()
    strong = client.get("/api/dilute", params={"water_ml": 100, "juice_ml": 10}).json()

    assert (mix["sugar_g"], mix["jar_ml"], mix["jars"]) == (260.0, 2080.0, 2)
    assert any("alkaloids" in text for text in mix["cautions"])
    assert blend["plant_g"] == 260.0
    assert (dilution["juice_ml"], dilution["parts"], dilution["cans"]["full"]) == (20.0, 500.0, 2)
    assert (strong["parts"], strong["water_to_add_ml"]) == (10.0, 4900.0)
    assert strong["warnings"]


def test_plants_are_listed_with_their_cautions(client: TestClient) -> None:
    plants = {plant["name"]: plant for plant in client.get("/api/plants").json()}

    assert list(plants) == sorted(plants)
    assert plants["comfrey"]["moisture"] == "juicy"
    assert plants["comfrey"]["cautions"]


@pytest.mark.parametrize("path", ["/docs", "/redoc", "/openapi.json"])
def test_there_are_no_pages_that_fetch_scripts_from_elsewhere(client: TestClient, path: str) -> None:
    assert client.get(path).status_code == 404
