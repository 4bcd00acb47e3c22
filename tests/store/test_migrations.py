"""Files are brought up to date step by step; files that are not ours, or of the future, are left alone."""

import sqlite3
import threading
from contextlib import closing
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from station.errors import StoreError
from station.store import shelf_reader
from station.store.connection import connect
from station.store.migrations import NOTEBOOK, SHELF_LOG, FileKind, identify, migrate, up_to_date
from station.store.notebook import Notebook
from station.store.shelf_log import ShelfLog
from station.store.shelf_reader import ShelfReader
from tests.builders import START
from tests.store.worlds import a_shelf_log, rows

if TYPE_CHECKING:
    from sqlite_utils import Database


def first(db: "Database") -> None:
    db.table("jugs").create({"id": int, "name": str}, pk="id")


def second(db: "Database") -> None:
    db.table("jugs").add_column("size_ml", float)
    db.table("jugs").insert({"id": 1, "name": "blue"})


def broken(db: "Database") -> None:
    db.table("jugs").add_column("glaze", str)
    db.execute("SELECT * FROM nowhere")


def a_kind(*steps: object) -> FileKind:
    return FileKind("jug list", 77, steps)  # type: ignore[arg-type]


def test_steps_are_taken_in_order_and_recorded(tmp_path: Path) -> None:
    path = tmp_path / "jugs.db"
    with closing(connect(path)) as connection:
        migrate(connection, path, a_kind(first))
        assert identify(connection, path, a_kind(first, second)) == 1
        migrate(connection, path, a_kind(first, second))
        assert identify(connection, path, a_kind(first, second)) == 2
        assert connection.execute("SELECT * FROM jugs").fetchall() == [(1, "blue", None)]


def test_a_step_that_fails_leaves_the_file_at_the_step_before(tmp_path: Path) -> None:
    path = tmp_path / "jugs.db"
    with closing(connect(path)) as connection:
        with pytest.raises(StoreError, match="nowhere"):
            migrate(connection, path, a_kind(first, broken))
        assert identify(connection, path, a_kind(first, broken)) == 1
        assert [row[1] for row in connection.execute("PRAGMA table_info(jugs)")] == ["id", "name"]
        migrate(connection, path, a_kind(first, second))


def test_two_programs_that_open_a_new_file_at_once_both_succeed(tmp_path: Path) -> None:
    together = threading.Barrier(4)
    failures: list[Exception] = []

    def open_it() -> None:
        together.wait()
        try:
            Notebook.open(tmp_path / "notebook.db").close()
        except Exception as error:  # noqa: BLE001
            failures.append(error)

    threads = [threading.Thread(target=open_it) for _ in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert failures == []


@pytest.mark.parametrize(("kind", "name"), [(SHELF_LOG, "shelf.db"), (NOTEBOOK, "notebook.db")])
class TestRefused:
    def opened(self, path: Path) -> None:
        (ShelfLog if path.name == "shelf.db" else Notebook).open(path).close()

    def test_a_file_of_the_future(self, kind: FileKind, name: str, tmp_path: Path) -> None:
        path = tmp_path / name
        self.opened(path)
        with closing(sqlite3.connect(path)) as connection:
            connection.execute(f"PRAGMA user_version = {len(kind.steps) + 4}")
        before = path.read_bytes()
        with pytest.raises(StoreError) as refused:
            self.opened(path)
        assert str(path) in refused.value.what
        assert f"format {len(kind.steps) + 4}" in refused.value.what
        assert f"up to {len(kind.steps)}" in refused.value.what
        assert "Update Jarside" in refused.value.remedy
        assert path.read_bytes() == before

    def test_a_file_that_is_no_database(self, kind: FileKind, name: str, tmp_path: Path) -> None:
        path = tmp_path / name
        path.write_bytes(b"time,temp_c\n" * 200)
        with pytest.raises(StoreError, match=f"{name} is not a database") as refused:
            self.opened(path)
        assert refused.value.remedy
        assert path.read_bytes() == b"time,temp_c\n" * 200

    def test_a_database_of_another_program(self, kind: FileKind, name: str, tmp_path: Path) -> None:
        path = tmp_path / name
        with closing(sqlite3.connect(path)) as connection:
            connection.execute("CREATE TABLE songs (title)")
            connection.commit()
        before = path.read_bytes()
        with pytest.raises(StoreError, match=f"not a {kind.name}"):
            self.opened(path)
        assert path.read_bytes() == before

    def test_the_other_file_of_the_folder(self, kind: FileKind, name: str, tmp_path: Path) -> None:
        path = tmp_path / name
        other = Notebook if name == "shelf.db" else ShelfLog
        other.open(path).close()
        with pytest.raises(StoreError, match=f"not a {kind.name}"):
            self.opened(path)

    def test_a_missing_folder(self, kind: FileKind, name: str, tmp_path: Path) -> None:
        with pytest.raises(StoreError, match="does not exist") as refused:
            self.opened(tmp_path / "nowhere" / name)
        assert "mkdir" in refused.value.remedy
        assert not (tmp_path / "nowhere").exists()

    def test_a_file_in_place_of_the_folder(self, kind: FileKind, name: str, tmp_path: Path) -> None:
        (tmp_path / "data").write_text("not a folder")
        with pytest.raises(StoreError, match="is not a folder"):
            self.opened(tmp_path / "data" / name)

    def test_a_folder_in_place_of_the_file(self, kind: FileKind, name: str, tmp_path: Path) -> None:
        (tmp_path / name).mkdir()
        with pytest.raises(StoreError, match="cannot be opened") as refused:
            self.opened(tmp_path / name)
        assert refused.value.remedy

    def test_the_name_may_hold_anything_a_file_name_may(self, kind: FileKind, name: str, tmp_path: Path) -> None:
        folder = tmp_path / "my jars? 100% #1"
        folder.mkdir()
        self.opened(folder / name)
        assert rows(folder / name, "PRAGMA application_id") == [(kind.application_id,)]


def test_a_reader_asks_for_a_restart_when_the_file_is_older_than_itself(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    a_shelf_log(tmp_path).close()
    steps = len(SHELF_LOG.steps)
    newer = FileKind(SHELF_LOG.name, SHELF_LOG.application_id, (*SHELF_LOG.steps, second))
    monkeypatch.setattr(shelf_reader, "SHELF_LOG", newer)
    with pytest.raises(StoreError, match=f"format {steps}; this version reads format {steps + 1}") as refused:
        ShelfReader(tmp_path / "shelf.db").latest()
    assert "Restart" in refused.value.remedy


def test_a_new_file_is_not_up_to_date(tmp_path: Path) -> None:
    path = tmp_path / "shelf.db"
    with closing(connect(path)) as connection:
        assert not up_to_date(connection, path, SHELF_LOG)
    assert ShelfReader(path).readings(START) is not None
    assert ShelfReader(path).conditions() == ()
