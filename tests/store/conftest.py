"""What several of the store's tests stand on."""

import subprocess
from collections.abc import Iterator
from pathlib import Path

import pytest


@pytest.fixture
def small_disk(tmp_path: Path) -> Iterator[Path]:
    """A file system of one megabyte; needs the right to mount."""
    disk = tmp_path / "disk"
    disk.mkdir()
    mounted = subprocess.run(["mount", "-t", "tmpfs", "-o", "size=1m", "none", str(disk)], capture_output=True)
    if mounted.returncode:
        pytest.skip("a small disk needs the right to mount: run as root")
    yield disk
    subprocess.run(["umount", str(disk)], check=True)
