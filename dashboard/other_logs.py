"""Log files from elsewhere: those that lie in a folder of the data folder."""

from pathlib import Path

from dashboard.desk import Desk

LOGS = "logs"
"""The folder's name."""
MOST_FILES = 50


def folder_of_logs(desk: Desk) -> Path:
    """Return where log files from elsewhere belong."""
    return desk.books.folder / LOGS


def log_files(desk: Desk) -> list[Path]:
    """Return the log files from elsewhere, by name."""
    return sorted(path for path in folder_of_logs(desk).glob("*.csv") if path.is_file())[:MOST_FILES]
