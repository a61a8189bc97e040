"""The archive of a season: one zip that an auditor can check and recompute without the ledger.

An unchanged ledger gives the same bytes: making an archive is told in the chain, but the head of
an archive is the last event that is no export.
"""

import csv
import hashlib
import io
import re
import zlib
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from importlib.resources import files as resources
from pathlib import Path
from typing import Any
from zipfile import ZIP_DEFLATED, ZipFile, ZipInfo

from sqlalchemy import Connection, func, select

from app.exports.archive_figures import (
    DEFAULTS_FILE,
    FIGURES_FILE,
    MEASURES_FILE,
    default_rows,
    figure_rows,
    measure_rows,
)
from app.exports.archive_package import data_package, read_me
from app.exports.archive_tables import (
    NAMES,
    File,
    Incomplete,
    Row,
    chain_rows,
    count_of,
    entry_rows,
    file_of,
    record_rows,
    rows_of,
)
from app.language import ENGLISH, speaking
from app.ledger import chain, mills, tables
from app.ledger.canonical import canonical, digest, written
from app.ledger.chain import About, Head
from app.ledger.mills import Season
from app.ledger.people import Person
from app.reports.version import program_version

EXPORT = "export"
MANIFEST = "MANIFEST.json"
TRAVELLING = ("recompute.py", "verify.py")
MAY_ARCHIVE = ("auditor", "manager", "chief chemist", "administrator")

_NAME_OF_A_FILE = re.compile(r"[A-Za-z0-9][A-Za-z0-9._-]*")


@dataclass(frozen=True)
class Archive:
    """An archive that was made: of which season, its head, and the SHA-256 of the zip."""

    season: Season
    head: Head
    sha256: str

    @property
    def name(self) -> str:
        """What its file is called when it is handed out."""
        return f"season-{self.season.name}-to-event-{self.head.number}.zip"


def tell_archive(connection: Connection, made: Archive, by: Person, at: datetime) -> None:
    """Tell in the chain that an archive was made."""
    said = {"season": made.season.name, "sha256": made.sha256, "head": made.head.short}
    chain.tell(connection, EXPORT, said, by=by, at=at, about=About(made.season.id))


@speaking(ENGLISH)
def make_archive(connection: Connection, season_name: str, path: Path) -> Archive:
    """Make the archive of a season at `path` from one state of the ledger; writes no event.

    Raises LookupError for a season that is not there, Incomplete where not all could be held.
    """
    season = mills.season_named(connection, mills.the_mill(connection), season_name)
    if season is None:
        raise LookupError(f"There is no season called {season_name}")
    head = head_of(connection)
    held = _files(connection, season, head)
    with ZipFile(path, "w", ZIP_DEFLATED) as archive:
        for name in sorted(held, key=lambda name: (name == MANIFEST, name)):
            _put(archive, name, held[name])
    return Archive(season, head, hashlib.sha256(path.read_bytes()).hexdigest())


def head_of(connection: Connection) -> Head:
    """Return the last event that is no export."""
    e = tables.event.c
    query = select(e.number, e.hash, e.at).where(e.kind != EXPORT).order_by(e.number.desc())
    row = connection.execute(query.limit(1)).one()
    return Head(*row)


def _put(archive: ZipFile, name: str, content: bytes) -> None:
    info = ZipInfo(name, (1980, 1, 1, 0, 0, 0))
    info.create_system, info.external_attr = 3, 0o100644 << 16
    archive.writestr(info, content, ZIP_DEFLATED, 6)


def _files(connection: Connection, season: Season, head: Head) -> dict[str, bytes]:
    mill = mills.mill_of(connection, season)
    e = tables.event.c
    # the order of events is not that of their times
    now = connection.scalars(select(func.max(e.at)).where(e.number <= head.number)).one()
    frozen, issue_files = _issue_files(connection, season)
    last_day, figures = figure_rows(connection, mill, season, now)
    special: dict[str, Iterable[Row]] = {
        "entries": entry_rows(connection, season),
        "records": record_rows(connection, season),
        "issue_files": issue_files,
        "chain": chain_rows(connection, season, head),
    }
    texts: dict[File, bytes] = {}
    counts: dict[str, int] = {}
    for table, name in NAMES.items():
        rows = list(special.get(name) or rows_of(connection, table, season))
        counts[name] = len(rows)
        if len(rows) != count_of(connection, table, season, head):
            raise Incomplete(f"{name}.csv would not hold every row of its table: none is made")
        file = file_of(table)
        texts[file] = csv_of(file, rows)
    for file, others in (
        (MEASURES_FILE, measure_rows()), (FIGURES_FILE, figures), (DEFAULTS_FILE, default_rows()),
    ):  # fmt: skip
        texts[file] = csv_of(file, others)
    facts = {"mill": mill.name, "season": season.name, "number": str(head.number)}
    facts |= {"hash": head.hash, "at": written(head.at)}
    files = {file.path: text for file, text in texts.items()} | frozen
    files |= {name: _travelling(name) for name in TRAVELLING}
    files["datapackage.json"] = data_package(texts, facts)
    files["README.txt"] = read_me(list(texts), facts)
    says = {
        "archive": 1,
        "head": {"at": head.at, "hash": head.hash, "number": head.number},
        "last_day": last_day,
        "mill": mill.name,
        "program": program_version(),
        "rows": counts,
        "season": season.name,
    }
    return files | {MANIFEST: manifest(files, says)}


def csv_of(file: File, rows: Iterable[Row]) -> bytes:
    """Return a file of RFC 4180 whose values are written in the canonical form, texts exactly."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(file.columns)
    for row in rows:
        writer.writerow([_cell(row.get(column)) for column in file.columns])
    return out.getvalue().encode()


def _cell(value: Any) -> str:
    if value is None:
        return ""
    return value if isinstance(value, str) else str(written(value))


def manifest(files: dict[str, bytes], says: dict[str, Any]) -> bytes:
    """Return the manifest: what it says, every file, and last the digest of all that."""
    named = {
        name: {"bytes": len(content), "sha256": hashlib.sha256(content).hexdigest()}
        for name, content in files.items()
    }
    whole = says | {"files": named}
    return canonical(whole | {"sha256": digest("archive 1", canonical(whole))}).encode()


def _travelling(name: str) -> bytes:
    return (resources("app.exports.travelling") / name).read_bytes()


def _issue_files(connection: Connection, season: Season) -> tuple[dict[str, bytes], list[Row]]:
    """Return the frozen files by their paths in the archive, and the rows that tell of them."""
    issue, file = tables.issue.c, tables.issue_file.c
    query = (
        select(issue.day, issue.number, file.id, file.issue_id, file.name, file.sha256, file.packed)
        .join(tables.issue, issue.id == file.issue_id)
        .where(issue.season_id == season.id)
        .order_by(file.id)
    )
    frozen: dict[str, bytes] = {}
    rows: list[Row] = []
    for row in connection.execute(query).mappings():
        path = f"issues/{row['day']}-{row['number']}-{row['name']}"
        if not _NAME_OF_A_FILE.fullmatch(row["name"]) or path in frozen:
            raise Incomplete(f"{path} cannot be the name of a file in an archive")
        frozen[path] = zlib.decompress(row["packed"])
        rows.append({**row, "path": path})
    return frozen, rows
