"""The names of backups made here: they tell when, by the shelf's own clock."""

import re
from datetime import datetime
from pathlib import Path
from zoneinfo import ZoneInfo

NAME = re.compile(r"jarside-\d{4}-\d{2}-\d{2}-\d{6}\.zip")
_FORM = "jarside-%Y-%m-%d-%H%M%S.zip"


def name_at(at: datetime, zone: ZoneInfo) -> str:
    """Return the name of a backup made at a moment, aware."""
    return at.astimezone(zone).strftime(_FORM)


def made_at(path: Path, zone: ZoneInfo) -> datetime:
    """Return when a backup was made, as its name says; as the card says where the name is no time."""
    try:
        return datetime.strptime(path.name, _FORM).replace(tzinfo=zone)
    except ValueError:
        return datetime.fromtimestamp(path.stat().st_mtime, zone)
