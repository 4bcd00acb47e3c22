from pathlib import Path

import pytest

from dashboard import books as module
from dashboard.books import Books
from station.errors import NotebookError, StoreError
from tests.builders import a_reading
from tests.dashboard.world import Shelf, at


def test_a_missing_folder_is_an_empty_shelf(tmp_path: Path) -> None:
    books = Books(tmp_path / "not there")

    assert books.jars() == ()
    present = books.present(())
    assert (present.reading, present.alerts, present.outlooks) == (None, (), {})
    with pytest.raises(NotebookError):
        books.jar("comfrey")


def test_what_another_program_writes_is_seen(shelf: Shelf) -> None:
    books = Books(shelf.folder)
    assert books.jars() == ()

    shelf.pack("comfrey")
    assert [jar.id for jar in books.jars()] == ["comfrey-1"]
    shelf.pack("mugwort", at(1))
    assert [jar.id for jar in books.jars()] == ["mugwort-1", "comfrey-1"]
    books.close()


def test_every_new_minute_is_seen(shelf: Shelf) -> None:
    books = Books(shelf.folder)

    for minute in range(5):
        shelf.live([a_reading(minute)])
        present = books.present(())
        assert present.reading is not None
        assert present.reading.boot_s == 60.0 * minute


def test_a_settled_file_is_asked_once(shelf: Shelf, monkeypatch: pytest.MonkeyPatch) -> None:
    shelf.live([a_reading(0)])
    books = Books(shelf.folder)
    monkeypatch.setattr(module, "SETTLED_NS", 0)
    books.present(())  # with no station running the first look makes an empty write-ahead file

    assert books.present(()) is books.present(())
    shelf.live([a_reading(1)])
    assert books.present(()).reading is not None
    assert books.present(()).reading.boot_s == 60.0  # type: ignore[union-attr]


def test_a_file_that_changed_just_now_is_not_remembered(shelf: Shelf, monkeypatch: pytest.MonkeyPatch) -> None:
    """It could change again within the same tick of its time and go unseen."""
    shelf.live([a_reading(0)])
    books = Books(shelf.folder)
    monkeypatch.setattr(module, "SETTLED_NS", 10**18)

    assert books.present(()) is not books.present(())


def test_the_jars_asked_for_are_part_of_the_question(shelf: Shelf, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(module, "SETTLED_NS", 0)
    jar = shelf.pack("comfrey")
    shelf.live([a_reading(minute) for minute in range(1, 4)])
    books = Books(shelf.folder)

    assert books.present(()).outlooks == {}
    assert set(books.present((jar,)).outlooks) == {"comfrey-1"}


def test_a_damaged_notebook_is_an_error_with_a_remedy(shelf: Shelf) -> None:
    (shelf.folder / "notebook.db").write_bytes(b"nothing of ours" * 100)

    with pytest.raises(StoreError, match="not a database"):
        Books(shelf.folder).jars()
