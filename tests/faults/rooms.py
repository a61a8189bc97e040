"""A folder with little room, which is used up and made again; or one nobody may write in."""

import os
import resource
import subprocess
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Protocol

SIZE = 12_000_000  # bytes: the write-ahead file alone takes 4 MB


class Room(Protocol):
    """A folder that can be filled up."""

    folder: Path
    how: str

    def fill(self, left: int) -> None:
        """Leave room for so many bytes and no more."""

    def free(self) -> None:
        """Make room again."""


def may_mount() -> bool:
    """Tell whether a small file system of its own can be had here."""
    probe = ["unshare", "--mount", "mount", "-t", "tmpfs", "tmpfs", "/mnt"]
    return os.geteuid() == 0 and subprocess.run(probe, capture_output=True).returncode == 0


@contextmanager
def mounted(folder: Path, options: str) -> Iterator[Path]:
    """Put a file system in memory over a folder while the block runs."""
    folder.mkdir()
    subprocess.run(["mount", "-t", "tmpfs", "-o", options, "tmpfs", folder], check=True)
    try:
        yield folder
    finally:
        subprocess.run(["umount", "--lazy", folder], check=True)


def make_read_only(folder: Path) -> None:
    """Let nobody write in a mounted folder any more."""
    subprocess.run(["mount", "-o", "remount,ro", folder], check=True)


def without_names(folder: Path) -> None:
    """Let no more files be made in a mounted folder."""
    subprocess.run(["mount", "-o", "remount,nr_inodes=8", folder], check=True)
    for number in range(8):
        try:
            (folder / f"file {number}").touch()
        except OSError:
            return
    raise AssertionError("there is no end of files")


class SmallDisk:
    """A mounted folder, full but for what is left."""

    how = "tmpfs of 12 MB filled, then freed"

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self._ballast = folder / "ballast"

    def fill(self, left: int) -> None:
        disk = os.statvfs(self.folder)
        self._ballast.write_bytes(bytes(disk.f_bavail * disk.f_frsize - left))

    def free(self) -> None:
        self._ballast.unlink()


class SmallFiles:
    """A plain folder, where this process may not make any file longer than so much."""

    how = "file-size limit of the process (nothing can be mounted here), then lifted"

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self._usual = resource.getrlimit(resource.RLIMIT_FSIZE)

    def fill(self, left: int) -> None:
        longest = max(path.stat().st_size for path in self.folder.iterdir())
        resource.setrlimit(resource.RLIMIT_FSIZE, (longest + left, self._usual[1]))

    def free(self) -> None:
        resource.setrlimit(resource.RLIMIT_FSIZE, self._usual)


@contextmanager
def small_room(folder: Path) -> Iterator[Room]:
    """Give a folder with little room: a file system of its own where one can be mounted."""
    if may_mount():
        with mounted(folder, f"size={SIZE}") as place:
            yield SmallDisk(place)
        return
    folder.mkdir()
    room = SmallFiles(folder)
    try:
        yield room
    finally:
        room.free()
