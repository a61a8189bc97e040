"""What must hold of a database, and of where it is kept, before the ledger is served from it."""

import sqlite3
from collections.abc import Mapping
from contextlib import closing
from pathlib import Path
from urllib.parse import quote

from alembic.migration import MigrationContext
from alembic.script import ScriptDirectory
from sqlalchemy import Connection, Engine

from app.database import NoDatabase, Unfit, file_of, migrations, reading
from app.language import _
from app.ledger.mills import the_mill

_SHARES = {
    "nfs", "nfs4", "cifs", "smb3", "smbfs", "9p", "virtiofs", "afs", "ceph", "glusterfs", "lustre",
    "vboxsf", "prl_fs", "davfs", "ncpfs", "coda", "ocfs2", "gfs2",
}  # fmt: skip
_MOUNTS = Path("/proc/self/mountinfo")
_WANTED = {"fsync": "on", "full_page_writes": "on"}
_RESTORE = "Restore the newest backup: mill-ledger restore FILE --replace"


class Damaged(Unfit):
    """A file is no database, or its structure is damaged."""


def must_be_a_ledger(path: Path) -> None:
    """Refuse a file that is missing, no database or damaged in its structure.

    NoDatabase, Damaged; Unfit where it cannot be read.
    """
    if not path.is_file():
        raise NoDatabase(f"There is no ledger at {path}. Make one first, or give its address.")
    if path.stat().st_size == 0:
        raise Damaged(f"{path} is an empty file, no ledger. {_RESTORE}")
    try:
        with closing(sqlite3.connect(f"file:{quote(str(path))}?mode=rw", uri=True)) as connection:
            said = connection.execute("PRAGMA quick_check(3)").fetchall()
            made = connection.execute("SELECT count(*) FROM sqlite_master").fetchone()
    except sqlite3.OperationalError as problem:
        raise Unfit(f"{path} cannot be read: {problem}. Can its folder be written in?") from None
    except sqlite3.DatabaseError as problem:
        raise Damaged(f"{path} is no ledger, or it is damaged: {problem}. {_RESTORE}") from None
    if said != [("ok",)]:
        raise Damaged(f"{path} is damaged: {said[0][0]}. {_RESTORE}")
    if made == (0,):
        raise Unfit(f"{path} holds no tables, so it is no ledger. {_RESTORE}")


def revision_of(connection: Connection) -> str | None:
    """Return the migration that a database stands at; None where it holds no ledger."""
    return MigrationContext.configure(connection).get_current_revision()


def must_be_up_to_date(connection: Connection) -> None:
    """Refuse a ledger made by a newer program, and one that an upgrade must bring up first."""
    revision, known = known_revision(connection)
    if revision != known.get_current_head():
        raise Unfit(
            f"This ledger stands at “{revision}”, which is older than this program. "
            "Run: mill-ledger upgrade"
        )


def known_revision(connection: Connection) -> tuple[str, ScriptDirectory]:
    """Return the migration a ledger stands at, and all that are known; Unfit for another."""
    revision = revision_of(connection)
    known = ScriptDirectory.from_config(migrations(connection))
    if revision is None:
        raise Unfit("This database holds no ledger. Make one first: mill-ledger init --help")
    if revision not in {script.revision for script in known.walk_revisions()}:
        raise Unfit(
            f"This ledger was written by a newer program: it stands at “{revision}”, which this "
            "one does not know. Install the newer program; nothing was changed."
        )
    return revision, known


def share_of(path: Path, mounts: Path = _MOUNTS) -> str | None:
    """Return the kind of network or virtual file system that `path` lies on; None for a disk.

    Where the system does not list what is mounted, nothing is known, and None is returned.
    """
    if not mounts.exists():
        return None
    found: dict[Path, str] = {}
    for line in mounts.read_text(encoding="utf-8", errors="replace").splitlines():
        before, _, after = line.partition(" - ")
        place = before.split()[4].replace("\\040", " ")
        found[Path(place)] = after.split()[0]
    places = [place for place in (path.resolve(), *path.resolve().parents) if place in found]
    kind = found[places[0]] if places else ""
    return kind if kind in _SHARES or kind.startswith("fuse") else None


def must_not_lie_on_a_share(path: Path) -> None:
    """Refuse a SQLite file on a network file system, whose locks and flushes cannot be trusted."""
    if kind := share_of(path):
        raise Unfit(
            f"{path} lies on a network or virtual file system ({kind}), where what was saved can "
            "be lost and two writers can damage it. Keep it on a disk of this computer, or serve "
            "it with --accept-share REASON --by NAME"
        )


def unsafe_settings(said: Mapping[str, str]) -> list[str]:
    """Return which settings of a PostgreSQL server let it lose what it has confirmed."""
    wrong = [f"{name} is {said[name]}" for name, wanted in _WANTED.items() if said[name] != wanted]
    if said["synchronous_commit"] == "off":
        wrong.append("synchronous_commit is off")
    return wrong


def settings_of(connection: Connection) -> dict[str, str]:
    """Return how a PostgreSQL server flushes what it writes, and whether it keeps checksums."""
    names = (*_WANTED, "synchronous_commit", "data_checksums")
    return {name: str(connection.exec_driver_sql(f"SHOW {name}").scalar()) for name in names}


def sqlite_verdict(version: tuple[int, ...] = sqlite3.sqlite_version_info) -> tuple[bool, str]:
    """Tell whether a version of SQLite can lose writes between two that checkpoint, in words."""
    mended = version >= (3, 51, 3) or any(
        version[:2] == branch and version >= since
        for branch, since in (((3, 50), (3, 50, 7)), ((3, 44), (3, 44, 6)))
    )
    faulty = version >= (3, 7, 0) and not mended
    name = f"SQLite {'.'.join(map(str, version[:3]))}"
    if not faulty:
        return False, _("{program}: one connection at a time writes.", program=name)
    return True, _(
        "{program} has a known fault: it can lose writes where two connections write and "
        "checkpoint at once. The ledger avoids it: one connection at a time writes.",
        program=name,
    )


def _must_have_a_mill(connection: Connection) -> None:
    try:
        the_mill(connection)
    except LookupError:
        raise Unfit("No mill is set up in this ledger. Run: mill-ledger init") from None


def check_before_serving(engine: Engine, *, share_accepted: bool = False) -> list[str]:
    """Refuse, with Unfit, to serve what cannot be trusted; returns what to print about the rest."""
    file = file_of(engine)
    if file:
        must_be_a_ledger(file)
        if not share_accepted:
            must_not_lie_on_a_share(file)
    with reading(engine) as connection:
        must_be_up_to_date(connection)
        _must_have_a_mill(connection)
        if file:
            faulty, says = sqlite_verdict()
            return [says] if faulty else []
        said = settings_of(connection)
    if wrong := unsafe_settings(said):
        raise Unfit(f"PostgreSQL may lose what it has confirmed: {', '.join(wrong)}")
    if said["data_checksums"] == "on":
        return []
    return ["PostgreSQL keeps no data checksums: a failing disk would be noticed later."]
