"""A folder on a disk that keeps only what was flushed, and whose power can be cut."""

import os
import random
import shutil
import struct
import subprocess
from collections.abc import Iterator
from pathlib import Path
from typing import NamedTuple

from tests.run import find_compiler

SOURCE = Path(__file__).with_suffix(".c")
_NOTE = struct.Struct("=6q")
LOST, TORN, KEPT = 0, 1, 2  # halves of a write that reached the disk though nobody flushed it


class Note(NamedTuple):
    """What the library noted: which call, on which file, and what stood there before it."""

    kind: str
    inode: int
    old_size: int
    at: int
    length: int
    told: bytes


def compiled(folder: Path) -> Path:
    """Compile the library into a folder; FileNotFoundError where there is no compiler."""
    compiler = find_compiler()
    if not compiler:
        raise FileNotFoundError(
            "the tests of power cuts need a compiler of C; python3 tests/run.py installs one"
        )
    library = folder / "unsafe_disk.so"
    options = ["-Wall", "-Wextra", "-Werror", "-O1", "-shared", "-fPIC", "-pthread"]
    subprocess.run([compiler, *options, "-o", library, SOURCE], check=True)
    return library


class UnsafeDisk:
    """The folder `data`: what programs started with `environment` write is kept once flushed."""

    def __init__(self, folder: Path, library: Path) -> None:
        self.data, self._undo, self._fault = folder / "data", folder / "undo", folder / "fault"
        self._unlinked = folder / "unlinked"
        for made in (self.data, self._unlinked):
            made.mkdir(parents=True)
        self.environment = {"LD_PRELOAD": str(library), "UNSAFE_DISK": str(folder)}

    def fault(self, words: str) -> None:
        """Let something go wrong from now on, as the library has it; nothing for "" ."""
        self._fault.write_text(words)

    def cut(self, chance: random.Random | None = None) -> int:
        """Cut the power once the programs are dead; returns how many writes were put back.

        With `chance` some of what was not flushed is kept, in whole or the first half of a write.
        """
        notes = list(self._not_flushed())
        files = self._files()
        floors: dict[int, int] = {}
        for note in notes:
            if note.kind in "wt" and note.inode in files:
                keeps = chance.choice((LOST, TORN, KEPT)) if chance and note.kind == "w" else LOST
                _put_back(files[note.inode], note, keeps, floors)
        for file in files.values():
            os.close(file)
        for note in notes:
            self._put_name_back(note)
        shutil.rmtree(self._unlinked)
        self._unlinked.mkdir()
        self._undo.write_bytes(b"")
        for shared_memory in self.data.glob("*-shm"):
            shared_memory.unlink()
        return len(notes)

    def _not_flushed(self) -> Iterator[Note]:
        """Yield what is to be put back, the newest first."""
        flushed: set[int] = set()
        names_too = False
        for note in reversed(list(self._notes())):
            if note.kind == "f":
                flushed.add(note.inode)
            elif note.kind == "d":
                names_too = True
            elif (note.kind in "cur" and not names_too) or (
                note.kind in "wt" and note.inode not in flushed
            ):
                yield note

    def _notes(self) -> Iterator[Note]:
        whole = self._undo.read_bytes() if self._undo.exists() else b""
        at = 0
        while at + _NOTE.size <= len(whole):
            kind, *numbers, told = _NOTE.unpack_from(whole, at)
            at += _NOTE.size + told
            if at > len(whole):
                return  # killed while it was written down, so the call was not made
            yield Note(chr(kind), *numbers, whole[at - told : at])

    def _files(self) -> dict[int, int]:
        paths = [*self.data.iterdir(), *self._unlinked.iterdir()]
        return {path.stat().st_ino: os.open(path, os.O_RDWR) for path in paths if path.is_file()}

    def _put_name_back(self, note: Note) -> None:
        kept = self._unlinked / str(note.inode)
        if note.kind == "c":
            Path(note.told.decode()).unlink(missing_ok=True)
        elif note.kind == "u":
            kept.rename(note.told.decode())
        elif note.kind == "r":
            old, new = note.told.decode().split("\n")
            if not Path(old).exists():  # else killed before it was renamed
                Path(new).rename(old)
            if note.inode:
                kept.rename(new)


def _put_back(file: int, note: Note, keeps: int, floors: dict[int, int]) -> None:
    """Undo a write from its `keeps` halves on; what was kept of later ones holds the size up."""
    end = note.at + (note.length if note.kind == "w" else len(note.told))
    start = note.at + keeps * (end - note.at) // 2
    if start > note.at:
        floors[note.inode] = max(floors.get(note.inode, 0), start)
    size = max(note.old_size, floors.get(note.inode, 0))
    old = note.told.ljust(end - note.at, b"\0")[start - note.at :]
    os.pwrite(file, old, start)
    os.ftruncate(file, size)
