"""The two files of the data folder, as the pages read them. A file that is not there yet is an empty one."""

from pathlib import Path
from threading import Lock

from station.domain.jars import Jar
from station.store.notebook import Notebook, chosen
from station.store.shelf_reader import ShelfReader

SHELF_LOG, NOTEBOOK = "shelf.db", "notebook.db"


class Books:
    """The shelf log and the notebook of one data folder.

    The jars are read again only when somebody has written in the notebook, so that a page costs the same with one
    season of notes as with five. May be used from several threads.

    Args:
        folder: the data folder; may be missing.
    """

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.shelf = ShelfReader(folder / SHELF_LOG)
        self._path = folder / NOTEBOOK
        self._lock = Lock()
        self._watched: Notebook | None = None
        self._version: int | None = None
        self._jars: tuple[Jar, ...] = ()

    def has_notebook(self) -> bool:
        """Whether anything was ever recorded here."""
        return self._path.is_file()

    def jars(self) -> tuple[Jar, ...]:
        """Every jar, the latest packed first.

        Raises:
            StoreError: the notebook cannot be read.
        """
        if not self.has_notebook():
            return ()
        with self._lock:
            self._reread()
            return self._jars

    def version(self) -> int:
        """A number that changes whenever somebody has written in the notebook."""
        if not self.has_notebook():
            return -1
        with self._lock:
            self._reread()
            return self._version or 0

    def _reread(self) -> None:
        if self._watched is None:
            self._watched = Notebook.open(self._path)
        version = self._watched.version()
        if version != self._version:
            self._version, self._jars = version, self._watched.jars()

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
