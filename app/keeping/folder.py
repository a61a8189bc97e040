"""Watches a folder in which instruments lay files, while the ledger is served.

Below it each instrument has a folder of its own. What is taken is moved to `taken` there, what is
not to `refused`, beside a text that says why; nothing is ever deleted. A listing every few seconds
works on network shares too, which tell nobody of changes. A table whose last line does not end is
waited for: half a number is a number too.
"""

import hashlib
import logging
import os
import stat
import threading
import time
from collections.abc import Callable
from datetime import datetime, timedelta
from pathlib import Path
from typing import NamedTuple

from sqlalchemy import Engine

from app.database import reading, writing
from app.keeping.laid import REFUSED, Refusal, astray, is_meant, refusals_in, shown, stamp
from app.language import _, speaking
from app.ledger import instruments
from app.ledger.incoming import DAYS_BACK
from app.ledger.incoming_records import take_records
from app.ledger.incoming_results import take_results
from app.ledger.instruments import Instrument
from app.ledger.sent import NotTaken, Problem, read_file

LARGEST = 1_000_000  # bytes
TAKEN = "taken"

_LOOK_EVERY, _SETTLED, _SILENT = 5.0, 3.0, 60.0  # seconds
_UNFINISHED = 60.0  # seconds, for which the end of a table is waited for
_KNOWN = 500  # refusals, of which pages tell
_LONGEST_NAME = 180  # bytes, so that there is room for what is put before and after it

_log = logging.getLogger("uvicorn.error")


class _Seen(NamedTuple):
    """A file as it was found: what tells that it changed, and since when it has not."""

    size: int
    changed: int
    node: int
    since: float


class Unwanted(Exception):
    """A file is not taken; `lines` are why."""

    def __init__(self, *lines: str) -> None:
        super().__init__(*lines)
        self.lines = lines


class Folder:
    """Takes the files of instruments as they come, and knows what keeps it from that."""

    def __init__(  # noqa: PLR0913  each is set apart by whoever serves it, or tests it
        self,
        engine: Engine,
        path: Path,
        *,
        clock: Callable[[], datetime],
        closed: Callable[[], str],
        refusals: dict[int, tuple[datetime, str]],
        language: str = "en",
        settled: float = _SETTLED,
        back: timedelta = DAYS_BACK,
    ) -> None:
        """Watch `path`; `closed` says why nothing may be written, and `refusals` is added to.

        `back` is how long after a shift is over an instrument may write into it.
        """
        self.path = path
        self._engine, self._clock, self._closed = engine, clock, closed
        self._refusals, self._language, self._settled = refusals, language, settled
        self._back = back
        self._seen: dict[Path, _Seen] = {}
        self._troubles: list[str] = []
        self._looking_since: float | None = None
        self._refused: list[Refusal] | None = None
        self.astray: list[str] = []
        self._over = threading.Event()

    def start(self) -> None:
        """Look every few seconds, until `stop`."""
        self._over.clear()
        self._thread = threading.Thread(target=self._run, name="folder", daemon=True)
        self._thread.start()

    def stop(self) -> None:
        """Look no more; what is being taken is taken whole."""
        self._over.set()
        self._thread.join(5)

    def _run(self) -> None:
        while not self._over.is_set():
            self.look()
            self._over.wait(_LOOK_EVERY)

    @property
    def trouble(self) -> str:
        """What keeps files from being taken; empty where nothing does."""
        since = self._looking_since
        if since is not None and (silent := time.monotonic() - since) > _SILENT:
            return _(
                "The folder of the instruments does not answer for {count} seconds",
                count=int(silent),
            )
        return " ".join(self._troubles[:3])

    @property
    def refused(self) -> list[Refusal]:
        """The newest files that were refused, the newest first."""
        return list(self._refused or ())

    def look(self) -> None:
        """Look through the folder once, and take what has settled."""
        self._looking_since = time.monotonic()
        with speaking(self._language):
            troubles: list[str] = []
            found = [] if self._closed() else self._files(troubles)
            there = set(found)
            self._seen = {file: seen for file, seen in self._seen.items() if file in there}
            for file in found:
                try:
                    self._look_at(file)
                except Exception as problem:  # noqa: BLE001  one file keeps no other waiting
                    troubles.append(_trouble(file, problem))
        for trouble in troubles:
            if trouble not in self._troubles:
                _log.warning("%s", trouble)
        self._troubles, self._looking_since = troubles, None

    def _files(self, troubles: list[str]) -> list[Path]:
        """Return the files of all instruments, by name; adds to `troubles` what cannot be read."""
        found: list[Path] = []
        try:
            lies = sorted(self.path.iterdir())
            homes = [each for each in lies if each.is_dir()]
            if self._refused is None:
                self._refused = refusals_in(homes, _KNOWN)
            with reading(self._engine) as connection:
                known = {each.folder for each in instruments.instruments(connection)}
            self.astray = astray(lies, known)
        except OSError as problem:
            troubles.append(_trouble(self.path, problem))
            return []
        for home in homes:
            if home.is_symlink():
                said = _(
                    "The folder of the instruments: {name} is a link and not looked into.",
                    name=shown(home),
                )
                troubles.append(said)
                continue
            try:
                found += sorted(each for each in home.iterdir() if is_meant(each))
            except OSError as problem:
                troubles.append(_trouble(home, problem))
        return found

    def _look_at(self, file: Path) -> None:
        told = file.lstat()
        now, before = time.monotonic(), self._seen.get(file)
        if before is None or before[:3] != _state(told):
            self._seen[file] = _Seen(*_state(told), now)
        elif now - before.since >= self._settled:
            self._take(file, before)

    def _take(self, file: Path, seen: _Seen) -> None:
        digest, table, waits = "000000000000", file.suffix.lower() == ".csv", False
        try:
            with reading(self._engine) as connection:
                instrument = instruments.of_folder(connection, file.parent.name)
            try:
                if instrument is None:
                    raise _no_instrument(file)
                body = _body(file, seen)
                if body is None:  # it is still being written
                    return
                digest = hashlib.sha256(body).hexdigest()[:12]
                if table and not body.endswith((b"\n", b"\r")):
                    waits = time.monotonic() - seen.since < _UNFINISHED
                    if waits:
                        return
                    raise Unwanted(_("Its last line does not end, so half of it may be lacking"))
                self._write(file, body, table=table)
            except Unwanted as why:
                self._refuse(file, digest, instrument, why.lines)
            else:
                _move(file, TAKEN, self._clock(), digest)
        finally:
            if not waits:
                self._seen.pop(file, None)  # what could not be moved is looked at again, and waits

    def _write(self, file: Path, body: bytes, *, table: bool) -> None:
        """Write all that a file holds; Unwanted, with each thing that is wrong, for none of it."""
        problems: list[Problem] = []
        try:
            results, records = read_file(body, table=table)
        except NotTaken as why:
            (results, records), problems = why.rest, [*why.problems]
        try:
            with writing(self._engine) as connection:
                # asked again: it may have been revoked while others wrote
                instrument = instruments.of_folder(connection, file.parent.name)
                if instrument is None:
                    raise _no_instrument(file)
                try:
                    if results:
                        take_results(connection, instrument, results, self._clock(), self._back)
                    if records:
                        take_records(connection, instrument, records, self._clock(), self._back)
                except NotTaken as why:
                    problems += why.problems
                if problems:
                    raise NotTaken(sorted(problems, key=lambda problem: problem.item or 0))
        except NotTaken as why:
            raise Unwanted(*why.said(table=table)) from None

    def _refuse(
        self, file: Path, digest: str, instrument: Instrument | None, lines: tuple[str, ...]
    ) -> None:
        now = self._clock()
        if instrument:
            self._refusals[instrument.person.id] = (now, f"{shown(file)}: {lines[0]}")
        moved = _move(file, REFUSED, now, digest)
        said = [_("{name} was not taken; nothing of it was written.", name=shown(file)), *lines]
        reason = moved.with_name(f"{moved.name}.txt")
        with reason.open("x", encoding="utf-8", errors="backslashreplace") as text:
            text.write("\n".join(said) + "\n")
        told = Refusal(now, file.parent.name, shown(file), lines)
        self._refused = [told, *self.refused][:_KNOWN]


def _no_instrument(file: Path) -> Unwanted:
    return Unwanted(_("No instrument called {name} may write here", name=shown(file.parent)))


def _state(told: os.stat_result) -> tuple[int, int, int]:
    return told.st_size, told.st_mtime_ns, told.st_ino


def _body(file: Path, seen: _Seen) -> bytes | None:
    """Return what a file holds, None where it changed since it was seen; Unwanted for no file."""
    if not stat.S_ISREG(file.lstat().st_mode):
        raise Unwanted(_("It is no file of its own, but a link or the like"))
    descriptor = os.open(file, os.O_RDONLY | os.O_NOFOLLOW | os.O_NONBLOCK)
    with os.fdopen(descriptor, "rb") as opened:
        body = opened.read(LARGEST + 1)
        if _state(os.fstat(descriptor)) != seen[:3]:
            return None
    if len(body) > LARGEST:
        raise Unwanted(_("It is larger than {count} bytes", count=LARGEST))
    return body


def _move(file: Path, where: str, now: datetime, digest: str) -> Path:
    """Move a file to a folder beside it, under its name with the time and its digest before it."""
    place = file.parent / where
    place.mkdir(exist_ok=True)
    if place.is_symlink():
        raise OSError(f"{place} is a link")
    name = os.fsdecode(os.fsencode(file.name)[-_LONGEST_NAME:])
    begins = f"{stamp(now)}-{digest}"
    moved, others = place / f"{begins}-{name}", 1
    while os.path.lexists(moved):  # the same file in the same second
        others += 1
        moved = place / f"{begins}-{others}-{name}"
    return file.rename(moved)


def _trouble(path: Path, problem: Exception) -> str:
    said = problem.strerror if isinstance(problem, OSError) and problem.strerror else None
    return _(
        "The folder of the instruments: {name} could not be taken ({problem}).",
        name=shown(path),
        problem=said or type(problem).__name__,
    )
