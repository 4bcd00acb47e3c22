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
    folder = folder_of_logs(desk)
    return sorted(folder.glob("*.csv"))[:MOST_FILES] if folder.is_dir() else []
