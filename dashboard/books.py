"""The two files of the data folder, as the pages read them. A file that is not there yet is an empty one."""

import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from threading import Lock
from typing import TypeVar, cast

from dashboard.present import Present
from station.domain.jars import Jar
from station.store.ids import chosen
from station.store.notebook import Notebook
from station.store.shelf_reader import ShelfReader
from station.store.tokens import made_by

Answer = TypeVar("Answer")

SHELF_LOG, NOTEBOOK = "shelf.db", "notebook.db"
SETTLED_NS = 100_000_000

Mark = tuple[tuple[int, int, int], ...]


def settled(mark: Mark) -> bool:
    """Return whether what was read under a mark may be remembered.

    A file changed more recently than `SETTLED_NS` may change again within the same tick of its time.
    """
    return time.time_ns() - max(changed_ns for _, _, changed_ns in mark) > SETTLED_NS


class Books:
    """The shelf log and the notebook of one data folder.

    What changes once a minute at most is read once and remembered until a file changes: a page costs the same with
    five seasons of notes as with one, and ten open pages cost the memory card no more than one. May be used from
    several threads.

    Args:
        folder: the data folder; may be missing.
    """

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.shelf = ShelfReader(folder / SHELF_LOG)
        self._files = (folder / SHELF_LOG, folder / f"{SHELF_LOG}-wal", folder / NOTEBOOK)
        self._path = folder / NOTEBOOK
        self._lock = Lock()
        self._watched: Notebook | None = None
        self._version: int | None = None
        self._answers: dict[Callable[[Notebook], object], object] = {}
        self._present: tuple[Mark, tuple[str, ...], Present] | None = None

    def mark(self) -> Mark:
        """Something that changes whenever a file does; costs no question to a database."""
        return tuple(_mark(path) for path in self._files)

    def notebook_mark(self) -> Mark:
        """The same of the notebook alone, for what does not change with every minute of the shelf."""
        return self.mark()[-1:]

    def present(self, jars: tuple[Jar, ...]) -> Present:
        """Return how the shelf is now, with what the station thinks of some jars.

        Raises:
            StoreError: the shelf log cannot be read.
        """
        mark, ids = self.mark(), tuple([jar.id for jar in jars])
        known = self._present
        if known is not None and known[:2] == (mark, ids):
            return known[2]
        with self.shelf.together() as shelf:
            outlooks = {jar_id: outlook for jar_id in ids if (outlook := shelf.outlook(jar_id)) is not None}
            present = Present(shelf.latest(), shelf.conditions(), shelf.alerts(open_only=True), outlooks)
        self._present = (mark, ids, present) if settled(mark) else None
        return present

    def jars(self) -> tuple[Jar, ...]:
        """Every jar, the latest packed first.

        Raises:
            StoreError: the notebook cannot be read.
        """
        return self.remembered(Notebook.jars, ())

    def whole_jar(self, jar_id: str) -> Jar | None:
        """Return the jar of a whole id, or None: what a bottle holds may come from elsewhere."""
        return next((jar for jar in self.jars() if jar.id == jar_id), None)

    def remembered(self, read: Callable[[Notebook], Answer], empty: Answer) -> Answer:
        """Return what `read` finds in the notebook, asked once until anyone has written there.

        Args:
            read: a function of a module, so that it is the same at the next request.
            empty: the answer while there is no notebook.

        Raises:
            StoreError: the notebook cannot be read.
        """
        if not self._path.is_file():
            return empty
        with self._lock:
            notebook = self._fresh()
            if read not in self._answers:
                self._answers[read] = read(notebook)
            return cast(Answer, self._answers[read])

    def _fresh(self) -> Notebook:
        """Return the watched notebook, with all answers forgotten that another program's writing made old."""
        if self._watched is None:
            self._watched = Notebook.open(self._path)
        version = self._watched.version()
        if version != self._version:
            self._version = version
            self._answers.clear()
        return self._watched

    @contextmanager
    def writing(self) -> Iterator[Notebook]:
        """Lend the notebook, made if it was not there, to write what a person recorded.

        Raises:
            StoreError: it cannot be opened, or another program kept it for too long.
        """
        self.folder.mkdir(parents=True, exist_ok=True)
        with Notebook.open(self._path) as notebook:
            yield notebook

    def recorded(self, token: str) -> bool:
        """Return whether what a form or a program sent under this token was recorded before.

        Raises:
            StoreError: the notebook cannot be read.
        """
        with self.writing() as notebook, notebook.reading() as connection:
            return made_by(connection, token) is not None

    def jar(self, name: str) -> Jar:
        """Return a jar by its id or an unambiguous beginning of it.

        Raises:
            NotebookError: there is none, or more than one.
        """
        jars = {jar.id: jar for jar in self.jars()}
        return jars[chosen(name.strip().lower(), sorted(jars))]

    def close(self) -> None:
        """Let go of the notebook."""
        with self._lock:
            if self._watched is not None:
                self._watched.close()
            self._watched, self._version = None, None
            self._answers.clear()


def _mark(path: Path) -> tuple[int, int, int]:
    """Return which file it is, how long, and when it last changed; zeros while there is none."""
    try:
        found = path.stat()
    except OSError:
        return 0, 0, 0
    return found.st_ino, found.st_size, found.st_mtime_ns
