"""Files with secrets in them that every user of this machine can read."""

import stat
from collections.abc import Iterator
from pathlib import Path

from station.config import Settings


def open_files(settings: Settings, settings_file: Path) -> Iterator[str]:
    """Yield a sentence for each file with a secret that everybody can read, and what to do about it.

    Args:
        settings: which files there are, and whether the settings themselves hold a secret: the addresses of phones do.
        settings_file: where the settings are from.
    """
    paths = [settings_file] if settings.notify else []
    if settings.mqtt.password_file is not None:
        paths.append(settings.mqtt.password_file)
    for path in paths:
        if path.is_file() and path.stat().st_mode & stat.S_IROTH:
            yield f"{path} holds a secret, and every user of this machine can read it. Run: chmod o-rwx {path}"
