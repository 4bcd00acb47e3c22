"""A backup is whole or it is not there; a restored folder is the one that was saved."""

import os
import sqlite3
import zipfile
from contextlib import closing
from pathlib import Path

import pytest

from station.errors import JarsideError, SettingsError, StoreError
from station.ports import Minute
from station.settings_file import SET_UP
from station.store import writing_aside
from station.store.backup import back_up, check, restore
from station.store.migrations import SHELF_LOG
from station.store.notebook import Notebook
from station.store.set_up import keep_set_up
from station.store.shelf_log import ShelfLog
from station.store.shelf_reader import ShelfReader
from tests.builders import START, a_reading
from tests.store.worlds import a_minute, a_shelf_log, everything, forget_that_a_temperature_may_be_missing

FILES = ("notebook.db", "shelf.db")


@pytest.fixture
def data(tmp_path: Path) -> Path:
    folder = tmp_path / "data"
    folder.mkdir()
    with a_shelf_log(folder) as log:
        for number in range(1, 30):
            log.commit(a_minute(number))
    with Notebook.open(folder / "notebook.db") as notebook:
        notebook.pack("comfrey", START, 1000.0, now_at=START)
    return folder


@pytest.fixture
def saved(data: Path, tmp_path: Path) -> Path:
    back_up(data, tmp_path / "saved.zip")
    return tmp_path / "saved.zip"


def contents(folder: Path) -> list[object]:
    return [everything(folder / name) for name in FILES]


class TestBackup:
    def test_a_restored_folder_holds_the_same(self, data: Path, saved: Path, tmp_path: Path) -> None:
        other = tmp_path / "other"
        other.mkdir()
        assert restore(saved, other) == FILES
        assert contents(other) == contents(data)
        with ShelfLog.open(other / "shelf.db") as log:
            log.commit(a_minute(30))

    def test_it_is_made_while_the_station_writes(self, data: Path, tmp_path: Path) -> None:
        with a_shelf_log(data) as log:
            log.commit(Minute(a_reading(900)))
            assert back_up(data, tmp_path / "saved.zip") == FILES
            log.commit(Minute(a_reading(901)))
        other = tmp_path / "other"
        other.mkdir()
        restore(tmp_path / "saved.zip", other)
        assert ShelfReader(other / "shelf.db").latest() == a_reading(900)

    def test_one_file_is_enough(self, data: Path, tmp_path: Path) -> None:
        (data / "shelf.db").unlink()
        assert back_up(data, tmp_path / "saved.zip") == ("notebook.db",)

    def test_an_empty_folder_has_nothing_to_save(self, tmp_path: Path) -> None:
        with pytest.raises(JarsideError, match="holds nothing to save") as refused:
            back_up(tmp_path, tmp_path / "saved.zip")
        assert refused.value.remedy
        assert not (tmp_path / "saved.zip").exists()

    @pytest.mark.parametrize("name", ["notebook.db", "shelf.db", SET_UP])
    def test_it_may_be_called_like_one_of_the_files_in_it(self, data: Path, tmp_path: Path, name: str) -> None:
        keep_set_up(data, {"units": {"temperature": "F"}})
        assert len(back_up(data, tmp_path / name)) == 3
        (tmp_path / "other").mkdir()
        restore(tmp_path / name, tmp_path / "other")
        assert contents(tmp_path / "other") == contents(data)

    def test_an_archive_that_is_there_is_not_overwritten_unasked(self, data: Path, saved: Path) -> None:
        before = saved.read_bytes()
        with pytest.raises(StoreError, match="is there already"):
            back_up(data, saved)
        assert saved.read_bytes() == before
        assert back_up(data, saved, overwrite=True) == FILES

    def test_a_damaged_file_is_not_saved_as_if_it_were_whole(self, data: Path, tmp_path: Path) -> None:
        damaged = bytearray((data / "shelf.db").read_bytes())
        damaged[5 * 1024 : 15 * 1024] = b"\xff" * (10 * 1024)
        (data / "shelf.db").write_bytes(damaged)
        with pytest.raises(StoreError, match="is damaged") as refused:
            back_up(data, tmp_path / "saved.zip")
        assert refused.value.remedy
        assert sorted(one.name for one in tmp_path.iterdir()) == ["data"]

    def test_a_copy_is_looked_through(self, data: Path) -> None:
        with a_shelf_log(data) as log:
            log.commit(Minute(a_reading(900, temp_c=None)))
        check(data / "shelf.db", SHELF_LOG)
        forget_that_a_temperature_may_be_missing(data / "shelf.db")
        with pytest.raises(StoreError, match=r"is damaged: NULL value in readings\.temp"):
            check(data / "shelf.db", SHELF_LOG)

    def test_the_archive_is_read_back(self, data: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
        monkeypatch.setattr(zipfile.ZipFile, "testzip", lambda _: "shelf.db")  # what it says when the card turned a bit
        with pytest.raises(StoreError, match=r"shelf\.db in it cannot be read"):
            back_up(data, tmp_path / "saved.zip")
        assert not (tmp_path / "saved.zip").exists()

    def test_a_disk_that_is_full(self, data: Path, small_disk: Path) -> None:
        (small_disk / "filler").write_bytes(b"x" * 1_040_000)
        with pytest.raises(StoreError) as refused:
            back_up(data, small_disk / "saved.zip")
        assert refused.value.remedy
        assert [one.name for one in small_disk.iterdir()] == ["filler"]

    def test_another_programs_file_is_not_saved(self, data: Path, tmp_path: Path) -> None:
        (data / "notebook.db").unlink()
        with closing(sqlite3.connect(data / "notebook.db")) as connection:
            connection.execute("CREATE TABLE songs (title)")
            connection.commit()
        with pytest.raises(StoreError, match="not a notebook"):
            back_up(data, tmp_path / "saved.zip")

    def test_it_has_reached_the_disk_before_it_gets_its_name(
        self, data: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        steps: list[str] = []
        replace = Path.replace

        def synced(path: Path) -> None:
            steps.append(f"sync {path.name}")

        def named(aside: Path, path: Path) -> Path:
            steps.append(f"name {path.name}")
            return replace(aside, path)

        monkeypatch.setattr(writing_aside, "make_durable", synced)
        monkeypatch.setattr(Path, "replace", named)
        back_up(data, tmp_path / "saved.zip")
        assert steps == ["sync saved.zip", "name saved.zip", f"sync {tmp_path.name}"]

    def test_a_place_that_cannot_be_written(self, data: Path, tmp_path: Path) -> None:
        with pytest.raises(StoreError, match="cannot be written"):
            back_up(data, tmp_path / "nowhere" / "saved.zip")


class TestSetUp:
    """What was set on the pages lies beside the databases, and goes with them."""

    def test_it_comes_back_as_it_was(self, data: Path, tmp_path: Path) -> None:
        keep_set_up(data, {"limits": {"cold_c": 14.0}, "place": {"zone": "Europe/Lisbon"}})
        text = (data / SET_UP).read_text(encoding="utf-8")
        assert back_up(data, tmp_path / "saved.zip") == (*FILES, SET_UP)
        other = tmp_path / "other"
        other.mkdir()
        assert restore(tmp_path / "saved.zip", other) == (*FILES, SET_UP)
        assert (other / SET_UP).read_text(encoding="utf-8") == text

    def test_one_that_is_there_is_not_overwritten_unasked(self, data: Path, tmp_path: Path) -> None:
        keep_set_up(data, {"limits": {"cold_c": 14.0}})
        back_up(data, tmp_path / "saved.zip")
        other = tmp_path / "other"
        other.mkdir()
        keep_set_up(other, {"limits": {"cold_c": 12.0}})
        with pytest.raises(StoreError, match=r"holds set-up\.toml already"):
            restore(tmp_path / "saved.zip", other)
        assert sorted(path.name for path in other.iterdir()) == [SET_UP]
        assert "cold_c = 12.0" in (other / SET_UP).read_text(encoding="utf-8")
        restore(tmp_path / "saved.zip", other, overwrite=True)
        assert "cold_c = 14.0" in (other / SET_UP).read_text(encoding="utf-8")

    def test_a_backup_without_one_leaves_it_alone(self, data: Path, saved: Path) -> None:
        keep_set_up(data, {"limits": {"cold_c": 14.0}})
        assert restore(saved, data, overwrite=True) == FILES
        assert "cold_c = 14.0" in (data / SET_UP).read_text(encoding="utf-8")

    @pytest.mark.parametrize("text", ["[limits\n", "[mqtt]\nhost = 'elsewhere'\n", "station = 'x'\n"])
    def test_one_that_cannot_be_is_neither_saved_nor_restored(self, data: Path, saved: Path, text: str) -> None:
        with zipfile.ZipFile(saved, "a") as bundle:
            bundle.writestr(SET_UP, text)
        before = contents(data)
        with pytest.raises(StoreError, match=r"saved\.zip: set-up\.toml in it: ") as refused:
            restore(saved, data, overwrite=True)
        assert refused.value.remedy
        assert contents(data) == before
        assert not (data / SET_UP).exists()
        (data / SET_UP).write_text(text, encoding="utf-8")
        with pytest.raises(SettingsError, match=r"set-up\.toml"):
            back_up(data, saved.with_name("other.zip"))
        assert not saved.with_name("other.zip").exists()


class TestRestore:
    def test_files_that_are_there_are_not_overwritten_unasked(self, data: Path, saved: Path) -> None:
        with Notebook.open(data / "notebook.db") as notebook:
            notebook.pack("yarrow", START, 1000.0, now_at=START)
        before = contents(data)
        with pytest.raises(StoreError, match=r"holds notebook\.db and shelf\.db already") as refused:
            restore(saved, data)
        assert refused.value.remedy
        assert contents(data) == before
        restore(saved, data, overwrite=True)
        assert contents(data) != before

    def test_what_was_left_beside_the_old_file_is_not_mixed_in(self, data: Path, saved: Path) -> None:
        before = contents(data)
        log = ShelfLog.open(data / "shelf.db")
        log.commit(Minute(a_reading(900)))
        wal = (data / "shelf.db-wal").read_bytes()
        log.close()
        (data / "shelf.db-wal").write_bytes(wal)  # as after a crash
        (data / "notebook.db-journal").write_bytes(b"left by a crash")
        restore(saved, data, overwrite=True)
        assert contents(data) == before

    def test_not_while_the_station_runs(self, data: Path, saved: Path) -> None:
        with a_shelf_log(data), pytest.raises(StoreError, match=f"process {os.getpid()}"):
            restore(saved, data, overwrite=True)

    def test_a_missing_folder(self, saved: Path, tmp_path: Path) -> None:
        with pytest.raises(StoreError, match="does not exist"):
            restore(saved, tmp_path / "nowhere")

    def test_a_disk_that_is_full(self, saved: Path, small_disk: Path) -> None:
        (small_disk / "filler").write_bytes(b"x" * 1_040_000)
        with pytest.raises(StoreError, match="cannot be written: No space left") as refused:
            restore(saved, small_disk)
        assert "full" in refused.value.remedy
        assert not (small_disk / "shelf.db").exists()

    @pytest.mark.parametrize(
        "bad", ["missing", "text", "other archive", "cut off", "bits turned", "newer", "damaged inside"]
    )
    def test_a_bad_archive_changes_nothing(self, data: Path, saved: Path, bad: str) -> None:
        spoil(saved, bad)
        before = contents(data)
        with pytest.raises(StoreError) as refused:
            restore(saved, data, overwrite=True)
        assert refused.value.remedy
        assert contents(data) == before
        assert not [one for one in data.iterdir() if one.name.startswith(".restore")]

    def test_wherever_bits_are_turned_it_is_refused_or_it_did_not_matter(self, data: Path, saved: Path) -> None:
        whole, before = saved.read_bytes(), contents(data)
        refused: list[str] = []
        for place in (*range(0, len(whole), 71), *range(len(whole) - 160, len(whole), 7)):
            saved.write_bytes(whole[:place] + bytes([whole[place] ^ 0x11]) + whole[place + 1 :])
            try:
                restore(saved, data, overwrite=True)
            except StoreError as error:
                refused.append(error.what)
            assert contents(data) == before
        assert len(refused) > 50
        assert not [
            why for why in refused if not why.startswith((f"{saved} is damaged: ", f"{saved} is not a backup: "))
        ]
        assert not [why for why in refused if why.endswith(": ")]

    def test_an_archive_that_names_another_packing_is_what_is_damaged_not_the_folder(
        self, data: Path, saved: Path
    ) -> None:
        whole = bytearray(saved.read_bytes())
        for entry, packing_at in ((b"PK\x03\x04", 8), (b"PK\x01\x02", 10)):  # APPNOTE 4.3.7 and 4.3.12
            whole[whole.index(entry) + packing_at] ^= 4  # deflated (8) becomes bzip2 (12), 4.4.5
        saved.write_bytes(whole)
        with pytest.raises(StoreError, match=r"saved\.zip is damaged: .+ Use another backup"):
            restore(saved, data, overwrite=True)


def spoil(archive: Path, how: str) -> None:
    whole = archive.read_bytes()
    if how == "missing":
        archive.unlink()
    elif how == "text":
        archive.write_text("not an archive")
    elif how == "other archive":
        with zipfile.ZipFile(archive, "w") as bundle:
            bundle.writestr("songs.txt", "la la")
    elif how == "cut off":
        archive.write_bytes(whole[: len(whole) // 2])
    elif how == "bits turned":
        middle = len(whole) // 2
        archive.write_bytes(
            whole[:middle] + bytes(255 - one for one in whole[middle : middle + 9]) + whole[middle + 9 :]
        )
    else:
        changed_inside(archive, newer=how == "newer")


def changed_inside(archive: Path, *, newer: bool) -> None:
    inside = archive.with_name("inside")
    with zipfile.ZipFile(archive) as bundle:
        bundle.extractall(inside)
    if newer:
        with closing(sqlite3.connect(inside / "shelf.db")) as connection:
            connection.execute("PRAGMA user_version = 99")
    else:
        content = bytearray((inside / "shelf.db").read_bytes())
        content[5 * 1024 : 15 * 1024] = b"\xff" * (10 * 1024)
        (inside / "shelf.db").write_bytes(content)
    with zipfile.ZipFile(archive, "w") as bundle:
        for name in FILES:
            bundle.write(inside / name, name)
