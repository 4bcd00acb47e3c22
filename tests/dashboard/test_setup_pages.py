"""The set-up pages over real files: settings that are set, backups that are made, and that the station was moved."""

import io
import re
import zipfile
from dataclasses import replace
from datetime import datetime
from pathlib import Path

import pytest

from dashboard.lent import NOTHING
from dashboard.views.settings import restart_command
from station.config import PlaceSettings
from station.domain.moments import moment_text
from station.settings_file import SET_UP
from station.store.backup import restore
from station.store.notebook import Notebook
from station.store.shelf_moves import ShelfMoves
from tests.dashboard.forming import mark_of
from tests.dashboard.reading import Words, read
from tests.dashboard.world import Shelf, anew

TYPED = {
    "lat_deg": "50",
    "lon_deg": "8",
    "zone": "Europe/Lisbon",
    "temperature": "C",
    "amounts": "metric",
    "cold_c": "14",
    "hot_c": "26.7",
    "sun_lx": "7000",
    "bright_lx": "1000",
    "damp_margin_pct": "5",
    "silent_min": "10",
    "evening": "19:00",
    "drip_until": "07:00",
}


def sent(shelf: Shelf, **changes: object) -> tuple[int, str]:
    """Send the settings form and return status and page."""
    with shelf.client() as client:
        mark = mark_of(client.get("/setup/settings").text)
        answer = client.post("/setup/settings", data=TYPED | {"mark": mark} | changes, follow_redirects=False)
    return answer.status_code, answer.text


def test_what_is_set_goes_over_the_file_and_is_in_use_after_a_restart(own: Shelf) -> None:
    assert sent(own, cold_c="13,5", days_away=["tue", "sun"], evening="18:30")[0] == 303

    settings = anew(own)
    assert (settings.limits.cold_c, settings.strain.days_away) == (13.5, ("tue", "sun"))
    kept = (own.folder / SET_UP).read_text()
    assert "cold_c = 13.5" in kept
    assert "hot_c" not in kept  # as the file has it
    page = read(own, "/setup").text
    assert "Set, and not in use yet" in page
    assert "Too cold below, °C: 14 → 13.5" in page
    assert "Strain at: 19:00 → 18:30" in page
    assert "start jarside watch and jarside dashboard again" in page
    assert "Set, and not in use yet" not in read(replace(own, settings=settings), "/setup").text


def test_set_back_to_what_the_file_says_it_follows_the_file_again(own: Shelf) -> None:
    sent(own, cold_c="12")
    sent(own)

    assert "cold_c" not in (own.folder / SET_UP).read_text()
    assert anew(own).limits.cold_c == 14.0


def test_the_form_shows_what_is_set_now(own: Shelf) -> None:
    sent(own, cold_c="12.5", temperature="F", days_away=["tue"])
    page = read(own, "/setup/settings")

    fields = {
        one.get("name"): one.get("value") for tag, one in page.tags if tag == "input" and one.get("type") != "radio"
    }
    assert fields["cold_c"] == "12.5"
    ticked = [one["value"] for tag, one in page.tags if tag == "input" and "checked" in one]
    assert ticked == ["F", "metric", "tue"]


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"cold_c": "warm"}, "'warm' is not a number"),
        ({"cold_c": "99"}, "No kitchen shelf is like that"),
        ({"cold_c": "26.5"}, "Too cold must lie more than a degree below too hot"),
        ({"zone": "Nowhere/Land"}, "not a time zone"),
        ({"lat_deg": "91"}, "Latitude should be less than or equal to 90"),
        ({"lat_deg": ""}, "Latitude and longitude go together"),
        ({"evening": "late"}, "'late' is not a time of day"),
        ({"evening": ""}, "A time is needed"),
        ({"days_away": ["mon", "tue", "wed", "thu", "fri", "sat", "sun"]}, "Some evening must be left"),
        ({"days_away": ["someday"]}, "Not on should be 'mon'"),
        ({"temperature": "K"}, "Temperatures should be 'C' or 'F'"),
        ({"mark": "stale.mark"}, "Send it once more"),
    ],
)
def test_what_cannot_be_set_is_said_in_place_and_nothing_changes(
    own: Shelf, changes: dict[str, object], said: str
) -> None:
    status, page = sent(own, **changes)

    assert status == (422 if "mark" in changes else 200)
    words = Words(page)
    assert said.lower() in words.text.lower()
    assert not (own.folder / SET_UP).exists()
    values = {one.get("name"): one.get("value") for tag, one in words.tags if tag == "input"}
    for name, value in changes.items():
        if isinstance(value, str) and name not in ("mark", "temperature"):
            assert values[name] == value or not value


def test_limits_are_set_in_fahrenheit_by_those_who_read_it(own: Shelf) -> None:
    units = own.settings.units.model_copy(update={"temperature": "F"})
    fahrenheit = replace(own, settings=own.settings.model_copy(update={"units": units}))
    assert sent(fahrenheit, temperature="F", cold_c="59", hot_c="80.06")[0] == 303

    limits = anew(own).limits
    assert (limits.cold_c, limits.hot_c) == (15.0, 26.7)  # 59 °F is 15 °C; 80.06 °F is the 26.7 °C of the defaults


def in_fahrenheit(shelf: Shelf) -> Shelf:
    units = shelf.settings.units.model_copy(update={"temperature": "F"})
    return replace(shelf, settings=shelf.settings.model_copy(update={"units": units}))


def test_a_limit_shown_in_fahrenheit_and_not_touched_stays_to_the_last_digit(own: Shelf) -> None:
    """26.7 °C is 80.06 °F, shown to a tenth as 80.1, which would be 26.72 °C."""
    sent(own, cold_c="15.55")
    shelf = in_fahrenheit(own)
    fields = {one.get("name"): one.get("value") for tag, one in read(shelf, "/setup/settings").tags if tag == "input"}
    assert (fields["cold_c"], fields["hot_c"]) == ("60", "80.1")  # 15.55 °C is 59.99 °F

    assert sent(shelf, temperature="F", cold_c="60", hot_c="80.1", silent_min="12")[0] == 303
    limits = anew(own).limits
    assert (limits.cold_c, limits.hot_c, limits.silent_min) == (15.55, 26.7, 12.0)


def test_what_an_empty_limit_means_stands_beside_it(own: Shelf) -> None:
    page = read(own, "/setup/settings").text
    assert "Empty: 14 °C, as in the settings file." in page
    assert "Empty: 26.7 °C, the default." in page
    assert "Empty: 80.1 °F, the default." in read(in_fahrenheit(own), "/setup/settings").text

    assert sent(own, cold_c="")[0] == 303
    assert anew(own).limits.cold_c == 14.0


def test_one_word_that_is_no_number_hides_no_other_fault(own: Shelf) -> None:
    _, page = sent(own, cold_c="abc", lat_deg="91", zone="Nowhere/Land")
    for said in ("&#39;abc&#39; is not a number", "Latitude should be less", "not a time zone"):
        assert said in page


def test_what_was_emptied_comes_back_empty_with_what_is_wrong(own: Shelf) -> None:
    """Else the limit that was to go is in its field again, and kept when the form is sent once more."""
    _, page = sent(own, cold_c="", evening="", days_away=["tue"], lat_deg="91")
    fields = {one.get("name"): one for tag, one in Words(page).tags if tag == "input" and one.get("type") != "checkbox"}
    assert (fields["cold_c"]["value"], fields["evening"]["value"]) == ("", "")
    assert re.findall(r'name="days_away" value="(\w+)" checked', page) == ["tue"]


def test_the_place_is_asked_for_until_it_is_set(own: Shelf) -> None:
    nowhere = replace(own, settings=own.settings.model_copy(update={"place": PlaceSettings()}))
    assert "Set it below" in read(replace(nowhere, lent=NOTHING), "/setup").text
    assert "Set it below" not in read(nowhere, "/setup").text  # the file knows it; it is in use after a restart


@pytest.mark.parametrize(("folder", "words"), [("/var/lib/jarside", "sudo systemctl restart"), ("/home/ann/shelf", "")])
def test_only_where_it_was_installed_is_systemd_spoken_of(folder: str, words: str) -> None:
    assert restart_command(Path(folder)).startswith(words)
    assert bool(restart_command(Path(folder))) is bool(words)


def test_a_backup_is_dated_by_the_clock_of_its_name(own: Shelf) -> None:
    """The simulated shelf has a clock of its own; the card keeps the machine's."""
    with own.client() as client:
        fields = {"mark": mark_of(client.get("/setup").text)}
        client.post("/setup/backup", data=fields)
        (made,) = client.get("/api/set-up/backups").json()
        page = read(own, "/setup").text
    assert datetime.fromisoformat(made["made_at"]) == own.now_at.replace(microsecond=0)
    assert moment_text(own.now_at, own.settings.zone) in page


def test_only_what_may_be_set_on_a_page_goes_over_the_file(own: Shelf, tmp_path: Path) -> None:
    (own.folder / SET_UP).write_text('[mqtt]\nhost = "elsewhere.example"\n')
    from station.errors import SettingsError

    with pytest.raises(SettingsError, match="mqtt: host may not be set here"):
        anew(own)
    assert "may not be set here" in read(own, "/setup").text


def test_a_simulated_shelf_cannot_be_set(shelf: Shelf) -> None:
    assert "cannot be changed here" in read(shelf, "/setup/settings").text
    with shelf.client() as client:
        mark = mark_of(client.get("/setup").text)
        assert client.post("/setup/settings", data=TYPED | {"mark": mark}).status_code == 200
    assert not (shelf.folder / SET_UP).exists()


def test_a_backup_is_made_once_downloaded_and_can_be_put_back(own: Shelf, tmp_path: Path) -> None:
    with own.client() as client:
        fields = {"mark": mark_of(client.get("/setup").text)}
        for _ in range(2):
            assert client.post("/setup/backup", data=fields, follow_redirects=False).status_code == 303
        links = re.findall(r'href="(/setup/backups/[^"]+)"', client.get("/setup").text)
        archive = client.get(links[0])
    assert len(links) == 1
    assert archive.headers["content-type"] == "application/zip"
    with zipfile.ZipFile(io.BytesIO(archive.content)) as bundle:
        assert sorted(bundle.namelist()) == ["notebook.db", "shelf.db"]
    (tmp_path / "saved.zip").write_bytes(archive.content)
    (tmp_path / "new").mkdir()
    assert set(restore(tmp_path / "saved.zip", tmp_path / "new")) == {"notebook.db", "shelf.db"}


def test_only_the_latest_backups_are_kept(own: Shelf) -> None:
    folder = own.folder / "backups"
    folder.mkdir()
    old = [folder / f"jarside-2026-01-0{day}-120000.zip" for day in range(1, 8)]
    for path in (*old, folder / "mine.zip"):
        path.write_bytes(b"x")
    with own.client() as client:
        client.post("/setup/backup", data={"mark": mark_of(client.get("/setup").text)})
    names = sorted(path.name for path in folder.iterdir())
    assert names == [*(path.name for path in old[3:]), "jarside-2026-05-04-070400.zip", "mine.zip"]


def test_a_backup_made_after_a_clock_ran_ahead_is_not_the_one_let_go(own: Shelf) -> None:
    folder = own.folder / "backups"
    folder.mkdir()
    for day in range(1, 6):
        (folder / f"jarside-2031-01-0{day}-120000.zip").write_bytes(b"x")
    with own.client() as client:
        made = client.post("/api/set-up/backups")
        assert (made.status_code, client.get(f"/api/set-up/backups/{made.json()['name']}").status_code) == (201, 200)
    assert [path.name for path in sorted(folder.iterdir())][:2] == [
        "jarside-2026-05-04-070400.zip",
        "jarside-2031-01-02-120000.zip",
    ]


@pytest.mark.parametrize("name", ["mine.zip", "..%2Fnotebook.db", "%2E%2E%2Fshelf.db", "jarside-2026-01-01-120000.zip"])
def test_only_backups_are_served(own: Shelf, name: str) -> None:
    with own.client() as client:
        assert client.get(f"/setup/backups/{name}").status_code == 404


def test_a_backup_that_has_no_place_is_said_to_have_failed(own: Shelf) -> None:
    (own.folder / "backups").write_text("in the way")
    with own.client() as client:
        answer = client.post("/setup/backup", data={"mark": mark_of(client.get("/setup").text)})
    assert (answer.status_code, "cannot be made: File exists" in answer.text) == (503, True)


def test_nothing_to_save_is_said(shelf: Shelf) -> None:
    with shelf.client() as client:
        answer = client.post("/setup/backup", data={"mark": mark_of(client.get("/setup").text)})
    assert answer.status_code == 200
    assert "holds nothing to save" in answer.text


def test_a_move_is_recorded_once(own: Shelf) -> None:
    with own.client() as client:
        fields = {"mark": mark_of(client.get("/setup").text)}
        for _ in range(2):
            assert client.post("/setup/moved", data=fields, follow_redirects=False).status_code == 303
        page = Words(client.get("/setup").text).text
    with Notebook.open(own.folder / "notebook.db") as notebook:
        moves = ShelfMoves(notebook)
        assert moves.last_at() == own.now_at
        moves.take_back(now_at=own.now_at)
        assert moves.last_at() is None
    assert "Last moved Mon 4 May 07:04" in page


def test_a_stale_form_changes_nothing(own: Shelf) -> None:
    with own.client() as client:
        for path in ("/setup", "/setup/backup", "/setup/moved"):
            assert client.post(path, data={"mark": "stale.mark"}).status_code == 422
    assert not (own.folder / "backups").exists()
