"""Reads a file that somebody brings, CSV or a workbook, as rows of texts."""

import csv
import hashlib
import io
import json
import subprocess
import sys
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from itertools import islice
from threading import Lock

from app.language import _
from app.ledger.cells import readable

LARGEST = 20_000_000  # bytes
MOST_CELLS, MOST_COLUMNS = 1_000_000, 500
LONGEST_CELL = 2000  # characters of a workbook, as many as any field of a book takes
LONGEST_NAME = 100

Row = tuple[int, list[str]]  # its number as a spreadsheet shows it, and its texts
Rows = list[Row]

_MARKS = "\t;,"
_SECONDS = 60  # for which a workbook may be read
_reading_one = Lock()  # each may take as much memory as a workbook may
_UTF_16 = (b"\xff\xfe", b"\xfe\xff")
_ZIP, _OLD = b"PK\x03\x04", b"\xd0\xcf\x11\xe0"  # how .xlsx and .ods begin; .xls, or locked


class NoTable(ValueError):
    """A file cannot be read as a table; the message says why."""


@dataclass(frozen=True)
class Brought:
    """A file as it was read: the rows of each of its sheets, of which a CSV has one, without name.

    `as_western` tells that its text was no UTF-8, and read as Windows writes western Europe's;
    `is_workbook` that its numbers are numbers, and no texts; `mark` parts its columns, as text.
    """

    name: str
    sha256: str
    sheets: Mapping[str, Rows]
    as_western: bool = False
    is_workbook: bool = False
    mark: str = ","

    @property
    def short(self) -> str:
        """How entries name it: its name, and 12 digits of its hash."""
        return f"{self.name} (sha256 {self.sha256[:12]})"


def read_file(name: str, body: bytes) -> Brought:
    """Return what a file holds; raises NoTable."""
    if len(body) > LARGEST:
        raise NoTable(_("It is larger than {count} MB", count=LARGEST // 1_000_000))
    if body.startswith(_OLD):
        raise NoTable(
            _("It is an old workbook, or one with a password: save it as .xlsx, .ods or CSV")
        )
    as_western, is_workbook, mark = False, body.startswith(_ZIP), ","
    if is_workbook:
        found: Iterable[tuple[str, Iterable[Row]]] = _workbook(body).items()
    else:
        text, as_western = _text(body)
        mark = _mark_of(text)
        found = [("", _table(text, mark))]
    sheets, room = {}, MOST_CELLS
    for title, rows in found:
        if kept := _trimmed(rows, room):
            sheets[title] = kept
            room -= sum(len(cells) for _number, cells in kept)
    if not sheets:
        raise NoTable(_("There is nothing in it"))
    digest = hashlib.sha256(body).hexdigest()
    return Brought(_readable_name(name), digest, sheets, as_western, is_workbook, mark)


def _readable_name(name: str) -> str:
    """Return the last part of a name as it can be printed anywhere, at most so long."""
    return shown(name.replace("\\", "/").rpartition("/")[2])[-LONGEST_NAME:] or "table"


def shown(text: str) -> str:
    """Return a text on one line, with a blank for each sign in it that nobody can see."""
    return " ".join("".join(sign if readable(sign) else " " for sign in text).split())


def _text(body: bytes) -> tuple[str, bool]:
    """Return a file's text, and whether it is read as western Windows writes it."""
    try:
        if body.startswith(_UTF_16):
            text, as_western = body.decode("utf-16"), False
        else:
            text, as_western = body.decode("utf-8-sig"), False
    except UnicodeDecodeError:
        try:
            text, as_western = body.decode("cp1252"), True
        except UnicodeDecodeError:
            raise NoTable(_("It is neither a workbook nor text")) from None
    if "\0" in text:
        raise NoTable(_("It is neither a workbook nor text"))
    return text, as_western


def _mark_of(text: str) -> str:
    """Return whichever mark gives the first rows of a CSV the most columns alike."""
    lines = list(islice(io.StringIO(text, newline=""), 20))
    return max(_MARKS, key=lambda mark: _columns_alike(lines, mark))


def _table(text: str, mark: str) -> Iterator[Row]:
    """Yield the rows of a CSV."""
    source = io.StringIO(text, newline="")
    number = 0
    try:
        for row in csv.reader(source, delimiter=mark, strict=True):
            number += 1
            yield number, row
    except csv.Error as error:
        raise NoTable(
            _("Row {number} cannot be read: {error}", number=number + 1, error=error)
        ) from None


def _columns_alike(lines: list[str], mark: str) -> int:
    """Return how many columns a mark makes of the first lines, where it makes as many of each."""
    try:
        widths = [len(row) for row in csv.reader(lines, delimiter=mark) if any(row)]
    except csv.Error:
        return 0
    most = max(widths, key=widths.count, default=0)  # a title above the table has fewer
    return most if most > 1 else 0


def _workbook(body: bytes) -> Mapping[str, Rows]:
    """Return the sheets of a workbook, read by a program of its own.

    A cell far from all others can ask for more memory than there is, and end who reads it.
    """
    command = [sys.executable, "-m", "app.imports.workbook"]
    if not _reading_one.acquire(timeout=_SECONDS):
        raise NoTable(_("Other workbooks are being read: bring it again in a minute"))
    try:
        done = subprocess.run(  # noqa: S603  our own module
            command, input=body, capture_output=True, timeout=_SECONDS, check=False
        )
    except subprocess.TimeoutExpired:
        raise NoTable(_("It takes too long to read: bring it in by parts")) from None
    finally:
        _reading_one.release()
    if done.returncode == 1:
        raise NoTable(_("It is no workbook that can be read: save it anew, or as CSV"))
    if done.returncode == 3:
        raise NoTable(
            _("There is a cell of more than {count} characters in it", count=LONGEST_CELL)
        )
    if done.returncode:
        raise NoTable(
            _("It is too large to read: look for a cell far from the others, or save it as CSV")
        )
    sheets: Mapping[str, Rows] = json.loads(done.stdout)
    return sheets


def _trimmed(rows: Iterable[Row], room: int) -> Rows:
    """Return the rows that say anything, without blanks around their cells and at their end.

    Raises NoTable as soon as there are more cells than `room`: nothing beyond them is kept.
    """
    found = []
    for number, row in rows:
        while row and not row[-1].strip():
            row.pop()
        room -= len(row)
        if room < 0:
            raise NoTable(
                _("It has more than {count} cells: bring it in by parts", count=MOST_CELLS)
            )
        if len(row) > MOST_COLUMNS:
            raise NoTable(_("It has more than {count} columns", count=MOST_COLUMNS))
        if row:
            found.append((number, [" ".join(cell.split()) for cell in row]))
    return found
