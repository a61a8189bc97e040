"""The watch over a ledger while it is served: its soundness, its disk, its clock, its backups."""

import logging
import os
import secrets
import shutil
import tempfile
import threading
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta

from babel.dates import format_date
from sqlalchemy import Engine, insert
from sqlalchemy.exc import SQLAlchemyError

from app.database import file_of, reading, writing
from app.keeping.fitness import share_of
from app.keeping.folder import Folder
from app.keeping.signs import CLOCK, Signs, signs_of, tell_found
from app.language import _, chosen, locale_of
from app.ledger import chain, soundness, tables
from app.ledger.soundness import Fault

TAIL = 2000  # events, verified before the first page is answered
WHOLE_EVERY = timedelta(hours=24)
BACKUP_EVERY = timedelta(hours=26)
_WHOLE_AFTER, _LOOK_EVERY = 10.0, 60.0  # seconds
_CLOCK_BACK, _CLOCK_LEAP = timedelta(minutes=1), timedelta(minutes=2)
_CLOCK_SAID_FOR = timedelta(hours=24)
_LEAST_FREE = 500_000_000  # bytes, or a tenth of the disk where that is more
_PROBE = bytes(65536)
_WENT_WRONG = (SQLAlchemyError, OSError)

_log = logging.getLogger("uvicorn.error")


def _steady() -> float:
    """Return seconds that no setting of the clock moves, and that a sleeping machine counts too."""
    return time.clock_gettime(getattr(time, "CLOCK_BOOTTIME", time.CLOCK_MONOTONIC))


@dataclass(frozen=True)
class Verified:
    """A verification: when, whether of all events, how long it took, and what it found."""

    at: datetime
    whole: bool
    seconds: float
    faults: tuple[Fault, ...]


class Watch:
    """Knows at any time whether the ledger may be written in, and what people should be told."""

    def __init__(
        self, engine: Engine, clock: Callable[[], datetime], *, invented: bool = False
    ) -> None:
        """Look at the end of the chain at once; an `invented` clock is not minded."""
        self._engine, self._clock, self._invented = engine, clock, invented
        self._file = file_of(engine)
        self._share = share_of(self._file) if self._file else None
        self._over, self._verifying = threading.Event(), threading.Lock()
        self._last_look = (clock(), _steady())
        self.verified: Verified | None = None
        self.signs = Signs()
        self._problem = ""
        self.folder: Folder | None = None
        self._try(self._look_at_the_tail)
        self._try(self.look_around)

    def start(self) -> None:
        """Go on looking, the whole ledger first, until `stop`."""
        self._over.clear()
        self._thread = threading.Thread(target=self._run, name="watch", daemon=True)
        self._thread.start()

    def stop(self) -> None:
        """Look no more."""
        self._over.set()
        self._thread.join(1)

    def _run(self) -> None:
        self._over.wait(_WHOLE_AFTER)
        due = 0.0
        while not self._over.is_set():
            if _steady() >= due:
                due = _steady() + WHOLE_EVERY.total_seconds()
                self._try(self.verify)
            self._try(self.look_around)
            self._over.wait(_LOOK_EVERY)

    def _try(self, look: Callable[[], None]) -> None:
        try:
            look()
            self._problem = ""
        except _WENT_WRONG as problem:
            self._problem = str(problem)
            _log.warning("The ledger could not be looked at: %s", problem)

    def verify(self) -> None:
        """Verify the whole ledger now."""
        with self._verifying:
            self._note(since=0)

    def _look_at_the_tail(self) -> None:
        with reading(self._engine) as connection:
            last = chain.head(connection).number
        self._note(since=max(0, last - TAIL))

    def _note(self, since: int) -> None:
        began, whole = _steady(), since == 0
        with reading(self._engine) as connection:
            found = tuple(soundness.faults(connection, since=since))
            self.signs = signs_of(connection)
        self.verified = Verified(self._clock(), whole, _steady() - began, found)
        for fault in found[:20]:
            _log.error("%s", fault)
        if found or self.signs.faults:  # so that a restart does not forget it
            with writing(self._engine) as connection:
                tell_found(connection, found, whole=whole, at=self._clock())
                self.signs = signs_of(connection)

    def look_around(self) -> None:
        """Look at the clock, and at what the ledger tells of backups and accepted faults."""
        with reading(self._engine) as connection:
            self.signs = signs_of(connection)
        if not self._invented and (changed := self._clock_changed()):
            content = {"says": changed}
            with writing(self._engine) as connection:
                chain.tell(connection, CLOCK, content, by=None, at=self._clock())
                self.signs = signs_of(connection)

    def _clock_changed(self) -> str:
        now, steady = self._clock(), _steady()
        (then, was), self._last_look = self._last_look, (now, steady)
        leap = now - then - timedelta(seconds=steady - was)
        last = self.signs.head.at
        if abs(leap) > _CLOCK_LEAP:
            return f"The clock was changed by {leap.total_seconds() / 60:+.0f} minutes"
        if last and now < last - _CLOCK_BACK:
            behind = (last - now).total_seconds() / 60
            return f"The clock is {behind:.0f} minutes behind the last event"
        return ""

    @property
    def unable(self) -> str:
        """Why the ledger could not be looked at the last time, in words; empty where it could."""
        if not self._problem:
            return ""
        return _("The ledger could not be looked at: {problem}", problem=self._problem)

    @property
    def faults(self) -> list[str]:
        """What is not as it was written, by the last look at all of it and what came after."""
        done = self.verified
        before = () if done and done.whole else self.signs.faults
        return list(dict.fromkeys([*map(str, done.faults if done else ()), *before]))

    @property
    def closed(self) -> str:
        """Why nothing may be written in the ledger, in words; empty where it may."""
        accepted = self.signs.accepted.faults if self.signs.accepted else frozenset()
        new = [fault for fault in self.faults if fault not in accepted]
        if not new:
            return ""
        return _(
            "Nothing can be written for now, because the ledger is not as it was written. {fault}. "
            "Reading works. Tell your administrator, who restores the newest sound backup, or "
            "accepts the fault and says why.",
            fault=new[0],
        )

    def notices(self, role: str) -> list[str]:
        """Return what somebody of `role` is told on every page."""
        return [notice for notice in self._notices(role) if notice]

    def _notices(self, role: str) -> Iterator[str]:
        yield self.closed
        yield self._accepted()
        if self._share:
            yield _(
                "The ledger lies on a network file system ({kind}): it may lose results.",
                kind=self._share,
            )
        yield self.disk_is_low()
        if (told := self.signs.clock) and abs(self._clock() - told[0]) < _CLOCK_SAID_FOR:
            yield _(
                "{change}. Events keep their order; look at the times beside them.", change=told[1]
            )
        if role in ("manager", "administrator"):
            yield self.backup_is_due()
        if role == "administrator" and self.folder:
            yield self.folder.trouble

    def _accepted(self) -> str:
        accepted, done = self.signs.accepted, self.verified
        if accepted is None or self.closed or (done and done.whole and not done.faults):
            return ""
        return _(
            "Faults of this ledger were accepted by {name} on {day}: {reason}",
            name=accepted.name,
            day=format_date(accepted.at, "d MMMM y", locale_of(chosen())),
            reason=accepted.reason,
        )

    def disk_is_low(self) -> str:
        """Say how little space is left where a SQLite ledger lies; empty where there is enough."""
        if not self._file:
            return ""
        disk = shutil.disk_usage(self._file.parent)
        if disk.free >= max(_LEAST_FREE, disk.total // 10):
            return ""
        return _(
            "The disk of the ledger is nearly full: {free} MB of {total} MB are free. Tell your "
            "administrator.",
            free=f"{disk.free / 1e6:,.0f}",
            total=f"{disk.total / 1e6:,.0f}",
        )

    def backup_is_due(self) -> str:
        """Say that there was no backup for too long; empty where there was, or nothing is real."""
        last = self.signs.backup.at if self.signs.backup else self.signs.begun_at
        if self._invented or last is None or self._clock() - last < BACKUP_EVERY:
            return ""
        hours = (self._clock() - last).total_seconds() / 3600
        return _(
            "There was no backup for {hours} hours. Make one: mill-ledger backup FOLDER",
            hours=f"{hours:.0f}",
        )

    def ails(self) -> dict[str, str]:
        """Return what keeps the ledger from being well, by name; it is read and written to tell."""
        found = {
            "reading": self._cannot(self._read),
            "writing": self._cannot(self._write),
            "disk": self.disk_is_low(),
            "chain": self.closed or self.unable,
            "backup": self.backup_is_due(),
            "folder": self.folder.trouble if self.folder else "",
        }
        return {name: problem for name, problem in found.items() if problem}

    def _cannot(self, do: Callable[[], None]) -> str:
        try:
            do()
        except _WENT_WRONG as problem:
            return f"failed: {type(problem).__name__}"
        return ""

    def _read(self) -> None:
        with reading(self._engine) as connection:
            signs_of(connection)

    def _write(self) -> None:
        """Write as much as a sheet beside the ledger, and a row in it that is not kept."""
        if self._file:
            with tempfile.TemporaryFile(dir=self._file.parent) as probe:
                probe.write(_PROBE)
                probe.flush()
                os.fsync(probe.fileno())
        with writing(self._engine) as connection, connection.begin_nested() as tried:
            # a key that no form can have taken
            values: dict[str, object] = {"key": secrets.token_hex(64), "digest": "", "location": ""}
            values["at"] = self._clock()
            connection.execute(insert(tables.answered).values(values))
            tried.rollback()
