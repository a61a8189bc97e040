"""Backups: made while the ledger is in use, examined at once, kept for a while, and tried."""

import os
import re
import shutil
import tempfile
import time
from collections.abc import Callable, Hashable, Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime
from pathlib import Path

from sqlalchemy import Connection, Engine, insert, inspect, select

from app.database import reading, writing
from app.keeping.copies import Examined, Unsound, copy_into, counts_of, examine, flush
from app.keeping.restoring import restore_sqlite
from app.ledger import chain, tables
from app.ledger.chain import Head

DAYS, WEEKS = 14, 8  # of which the newest backup is kept; of a season, the last one always
_NAME = re.compile(r"mill-ledger-(\d{8}T\d{6}Z)-(\d+)\.db")
_WHEN = "%Y%m%dT%H%M%SZ"


@dataclass(frozen=True)
class Kept:
    """A file in a folder of backups, and what its name says: when, and where its chain ends."""

    path: Path
    at: datetime
    number: int


@dataclass(frozen=True)
class Drill:
    """A restore that was tried: of which backup, and how long it took, examination included."""

    backup: Path
    head: Head
    seconds: float


def back_up(engine: Engine, folder: Path, *, at: datetime) -> Examined:
    """Copy the ledger into `folder`, examine the copy and return it; Unsound, OSError.

    A copy has its name only once it was found whole: one that was cut short never looks finished.
    """
    folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    with reading(engine) as connection:
        head = _head(connection)
        counts = counts_of(connection)
        path = folder / f"mill-ledger-{at.astimezone(UTC):{_WHEN}}-{head.number}.db"
        unfinished = _unfinished(path)
        copy_into(connection, unfinished)
    found = examine(unfinished)
    if found.counts != counts or (head.number and found.head.hash != head.hash):
        raise Unsound(f"{unfinished} does not hold what the ledger held when it was begun")
    _finish(unfinished, path)
    return replace(found, path=path)


def _head(connection: Connection) -> Head:
    """Return the end of the chain; number 0 in an older ledger, which has none yet."""
    has_chain = inspect(connection).has_table("event")
    return chain.head(connection) if has_chain else Head(0, "")


def _unfinished(path: Path) -> Path:
    return path.with_name(f"{path.name}.{os.getpid()}.unfinished")


def _finish(unfinished: Path, path: Path) -> None:
    unfinished.rename(path)
    flush(path.parent)


def copy_to(backup: Path, folder: Path) -> Path:
    """Copy a finished backup to a folder of a second device; OSError where that is not there.

    The folder is not made: where a device is not mounted, it would be made in its place.
    """
    path = folder / backup.name
    unfinished = _unfinished(path)
    if not folder.is_dir():
        raise NotADirectoryError(f"There is no folder {folder}: is the second device there?")
    shutil.copyfile(backup, unfinished)
    unfinished.chmod(0o600)
    flush(unfinished)
    if unfinished.read_bytes() != backup.read_bytes():
        raise Unsound(f"{unfinished} is not what was copied")
    _finish(unfinished, path)
    return path


def record(engine: Engine, kind: str, place: Path, head: Head, at: datetime) -> None:
    """Note in the ledger a backup that was made, or a drill that succeeded."""
    values = {"at": at, "place": str(place.resolve()), "kind": kind}
    values |= {"chain_number": head.number, "chain_hash": head.hash}
    with writing(engine) as connection:
        connection.execute(insert(tables.backup).values(values))


def kept_in(folder: Path) -> list[Kept]:
    """Return the finished backups in `folder`, the newest first."""
    found = []
    for path in folder.iterdir() if folder.is_dir() else ():
        if named := _NAME.fullmatch(path.name):
            at = datetime.strptime(named[1], _WHEN).replace(tzinfo=UTC)
            found.append(Kept(path, at, int(named[2])))
    return sorted(found, key=lambda kept: (kept.at, kept.number), reverse=True)


def prune(folder: Path, season_starts: Sequence[date], sound: Path | None = None) -> list[Path]:
    """Take away backups that need be kept no longer, and return them; never the newest sound one.

    `sound` is a backup known to be sound; without it the newest that proves sound is looked for.
    """
    kept = kept_in(folder)
    stays = _that_stay(kept, season_starts)
    stays.add(sound or next((each.path for each in kept if _is_sound(each.path)), None))
    if None in stays:
        return []
    gone = [each.path for each in kept if each.path not in stays]
    for path in gone:
        path.unlink()
    return gone


def _that_stay(kept: Sequence[Kept], season_starts: Sequence[date]) -> set[Path | None]:
    def season(day: date) -> int:
        return sum(first <= day for first in season_starts)

    return {
        *_newest_of_each(kept, date.toordinal, DAYS),
        *_newest_of_each(kept, lambda day: day.isocalendar()[:2], WEEKS),
        *_newest_of_each(kept, season, len(season_starts) + 1),
    }


def _newest_of_each(
    kept: Iterable[Kept], period: Callable[[date], Hashable], most: int
) -> list[Path]:
    newest: dict[Hashable, Path] = {}
    for each in kept:
        newest.setdefault(period(each.at.date()), each.path)
    return list(newest.values())[:most]


def _is_sound(path: Path) -> bool:
    try:
        examine(path)
    except Unsound:
        return False
    return True


def season_starts(connection: Connection) -> list[date]:
    """Return the first day of every season, the earliest first."""
    first_day = tables.season.c.first_day
    return list(connection.scalars(select(first_day).order_by(first_day)))


def drill(folder: Path) -> Drill:
    """Restore the newest backup in `folder` to a scratch place, and examine it; Unsound."""
    kept = kept_in(folder)
    if not kept:
        raise FileNotFoundError(f"There is no backup in {folder}")
    began = time.monotonic()
    with tempfile.TemporaryDirectory() as scratch:
        path = Path(scratch) / "ledger.db"
        restored = restore_sqlite(examine(kept[0].path), path)
    return Drill(kept[0].path, restored.head, time.monotonic() - began)
