"""Brings a table of a file in: its rows, by what its columns are, into the sheet or a book."""

import csv
import io
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import Connection

from app.exports.csv import inert
from app.imports.columns import SHEET, Columns, headings_of, letter
from app.imports.files import LONGEST_NAME, Brought, Rows, shown
from app.imports.rows import Reader
from app.language import _
from app.ledger import imported, importing
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
        """What stands above its columns, as far as its rows are wide, so long as it may be kept."""
        widest = max(len(texts) for _number, texts in self._all[self.heading :])
        texts = [shown(text)[:LONGEST_NAME] for text in headings_of(self._all, self.heading)]
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
    def left_out(self) -> list[tuple[str, str]]:
        """The columns with something in them that are not brought in: letter and heading."""
        return [
            (letter(place), heading)
            for place, heading in enumerate(self.table.headings)
            if place not in self.columns.of
            and any(texts[place] for _number, texts in self.table.rows if place < len(texts))
        ]

    @property
    def count(self) -> int:
        """How many results, or records of a book, there are in it."""
        return len(self._cells) + len(self._lines)

    def check(
        self, connection: Connection, now: datetime, progress: Progress = lambda _done: None
    ) -> Checked:
        """Return what would become of it; the faults in the order of the rows."""
        # kept with each result, so that its trail tells where it came from
        reason = imported.brought_in_from(self.table.brought.name, self.table.brought.sha256)
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
            "file": brought.name, "sha256": brought.sha256,
            "sheet": shown(self.table.sheet)[:LONGEST_NAME],
            "target": self.columns.target, "rows": len(self.table.rows),
        }  # fmt: skip
        written = importing.write(
            connection, checked, lambda again: self.check(again, at), by=by, at=at, told=told
        )
        if not written.faults:
            self._remember(connection, by=by, at=at)
        return written

    def _remember(self, connection: Connection, *, by: Person, at: datetime) -> None:
        """Keep what the columns were said to be, for the next table with such headings."""
        said = [
            (heading, self.columns.of.get(place, ""))
            for place, heading in enumerate(self.table.headings)
            if heading
        ]
        imported.remember(connection, self.columns.target, self.columns.order, said, by=by, at=at)

    def rejected(self, faults: Sequence[Fault]) -> str:
        """Return the rows that cannot be brought in as CSV, as they came, each with its reasons."""
        reasons: dict[int, list[str]] = {}
        for fault in faults:
            words = f"{fault.column}: {fault.words}" if fault.column else fault.words
            reasons.setdefault(fault.row, []).append(words)
        headings, out = self.table.headings, io.StringIO()
        writer = csv.writer(out, delimiter=self.table.brought.mark, lineterminator="\r\n")
        writer.writerow([*map(inert, headings), _("row"), _("reason")])
        for number, texts in self.table.rows:
            if number in reasons:
                cells = [*texts, *([""] * (len(headings) - len(texts)))]
                writer.writerow([*map(inert, cells), number, inert("; ".join(reasons[number]))])
        return out.getvalue()
