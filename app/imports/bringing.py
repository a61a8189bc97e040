"""Brings a table of a file in: its rows, by what its columns are, into the sheet or a book."""

import csv
import io
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import Connection

from app.exports.csv import inert
from app.imports.columns import SHEET, Columns
from app.imports.files import Brought, Rows
from app.imports.rows import Reader
from app.language import _
from app.ledger import importing
from app.ledger.importing import Checked, Fault, Progress
from app.ledger.importing_records import check_records
from app.ledger.people import Person
from app.plant.books import BOOKS


@dataclass(frozen=True)
class Table:
    """One table of a file: the sheet it is on, and its row of headings by place among those."""

    brought: Brought
    sheet: str
    heading: int

    @property
    def headings(self) -> list[str]:
        """What stands above its columns, as far as its rows are wide."""
        widest = max(len(texts) for _number, texts in self._all[self.heading :])
        texts = self._all[self.heading][1]
        return [*texts, *([""] * (widest - len(texts)))]

    @property
    def rows(self) -> Rows:
        """Its rows below the headings."""
        return self._all[self.heading + 1 :]

    @property
    def _all(self) -> Rows:
        return self.brought.sheets[self.sheet]


class Bringing:
    """A table that is brought in by what its columns are."""

    def __init__(self, table: Table, columns: Columns) -> None:
        self.table, self.columns = table, columns
        reader = Reader(table.headings, columns)
        of_sheet = columns.target == SHEET
        self._cells = reader.cells(table.rows) if of_sheet else []
        self._lines = [] if of_sheet else reader.lines(table.rows)
        self._unread = reader.faults

    @property
    def count(self) -> int:
        """How many results, or records of a book, there are in it."""
        return len(self._cells) + len(self._lines)

    def check(
        self, connection: Connection, now: datetime, progress: Progress = lambda _done: None
    ) -> Checked:
        """Return what would become of it; the faults in the order of the rows."""
        # kept with each result, so that its trail tells where it came from; it stays English
        reason = f"brought in from {self.table.brought.short}"
        if self.columns.target == SHEET:
            checked = importing.check(
                connection, self._cells, now=now, reason=reason, progress=progress
            )
        else:
            book = BOOKS[self.columns.target]
            checked = check_records(
                connection, book, self._lines, now=now, reason=reason, progress=progress
            )
        faults = [*self._unread, *checked.faults]
        checked.faults = sorted(faults, key=lambda fault: (fault.row, fault.column != ""))
        return checked

    def write(
        self, connection: Connection, checked: Checked, *, by: Person, at: datetime
    ) -> Checked:
        """Write it all, if still nothing is wrong with it, and return what was written."""
        brought = self.table.brought
        told = {
            "file": brought.name, "sha256": brought.sha256, "sheet": self.table.sheet,
            "target": self.columns.target, "rows": len(self.table.rows),
        }  # fmt: skip
        return importing.write(
            connection, checked, lambda again: self.check(again, at), by=by, at=at, told=told
        )

    def rejected(self, faults: Sequence[Fault]) -> str:
        """Return the rows that cannot be brought in as CSV, as they came, each with its reasons."""
        reasons: dict[int, list[str]] = {}
        for fault in faults:
            words = f"{fault.column}: {fault.words}" if fault.column else fault.words
            reasons.setdefault(fault.row, []).append(words)
        headings, out = self.table.headings, io.StringIO()
        writer = csv.writer(out, lineterminator="\r\n")
        writer.writerow([*map(inert, headings), _("row"), _("reason")])
        for number, texts in self.table.rows:
            if number in reasons:
                cells = [*texts, *([""] * (len(headings) - len(texts)))]
                writer.writerow([*map(inert, cells), number, inert("; ".join(reasons[number]))])
        return out.getvalue()
