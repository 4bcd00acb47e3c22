"""What tests take from the npm registry, packed once into the user's cache; skipped by name where it cannot be had."""

import os
import shutil
import subprocess
import tempfile
from pathlib import Path
from typing import NoReturn

import platformdirs
import pytest

CACHE = platformdirs.user_cache_path("jarside-tests")


def unavailable(why: str) -> NoReturn:
    """Skip by name on a desk without a service or network; on the build machine that is a failure."""
    if os.environ.get("CI") == "true":
        pytest.fail(why)
    pytest.skip(why)


def packed(package: str, called: str) -> Path:
    """Return the archive of `name@version`, which npm packs; `called` is what people call it."""
    target = CACHE / f"{package.removeprefix('@').replace('/', '-')}.tgz"
    if not target.exists():
        _fetch(package, called, target)
    return target


def _fetch(package: str, called: str, target: Path) -> None:
    """Let npm pack it, and move it to its place in one go, so that no half file is ever read."""
    npm = shutil.which("npm")
    if npm is None:
        unavailable(f"{called} needs npm, which is not installed")
    target.parent.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory(dir=target.parent) as folder:
        command = [npm, "pack", package, "--pack-destination", folder, "--fetch-retries=1", "--fetch-timeout=30000"]
        try:
            subprocess.run(command, cwd=folder, capture_output=True, text=True, timeout=180, check=True)
        except subprocess.SubprocessError as failure:
            unavailable(f"npm could not fetch {package} ({type(failure).__name__})")
        next(Path(folder).glob("*.tgz")).replace(target)
