"""Reads the rows of a table by what its columns are: results of a sheet, or records of a book."""

import re
from collections.abc import Mapping, Sequence
from datetime import date

from app.imports.columns import (
    DAY,
    MEASURE,
    PERSON,
    SHEET,
    SHIFT,
    TIME,
    VALUE,
    Columns,
    letter,
    measure_called,
)
from app.imports.days import read_day
from app.imports.files import Row, Rows
from app.language import _
from app.ledger.importing import Cell, Fault
from app.ledger.importing_records import Line
from app.plant.typed import Unreadable, both_readings, plain, read

# 1, Shift 1, Turno: 1, Équipe 1, Nº 1, or 1.0 as a spreadsheet may write it
_SHIFT = re.compile(r"(?:[^\W\d][^\s\d]* )?([1-9])(?:[.,]0)?")


class _Wrong(ValueError):
    """What one cell of a row says cannot be read; the message says why."""

    def __init__(self, place: int, words: str) -> None:
        super().__init__(words)
        self.place = place


class Reader:
    """Reads rows under some headings by what their columns are; `faults` is what it could not."""

    def __init__(self, headings: Sequence[str], columns: Columns) -> None:
        self.columns = columns
        self.faults: list[Fault] = []
        self._headings = headings

    def heading(self, place: int) -> str:
        """Return how a column is called: by its heading, else by its letter."""
        heading = self._headings[place] if place < len(self._headings) else ""
        return heading or letter(place)

    def cells(self, rows: Rows) -> list[Cell]:
        """Return the results of some rows; a blank cell is none."""
        found = []
        for row in rows:
            try:
                found += self._cells(row)
            except _Wrong as why:
                self._note(row, why)
        return found

    def lines(self, rows: Rows) -> list[Line]:
        """Return the records of some rows."""
        found = []
        for row in rows:
            try:
                day, number = self._where(row)
                if number is None:
                    raise _Wrong(self.columns.place(SHIFT) or 0, _("Say which shift"))
                typed = {what: self._said(row, at) for at, what in self.columns.measures.items()}
                found.append(Line(row[0], day, number, typed, self._text(row, PERSON)))
            except _Wrong as why:
                self._note(row, why)
        return found

    def _note(self, row: Row, why: _Wrong) -> None:
        texts = row[1]
        typed = texts[why.place] if why.place < len(texts) else ""
        self.faults.append(Fault(row[0], self.heading(why.place), typed, str(why)))

    def _text(self, row: Row, what: str) -> str:
        place = self.columns.place(what)
        return row[1][place] if place is not None and place < len(row[1]) else ""

    def _said(self, row: Row, place: int) -> str:
        """Return what a row says in a column of results, read as the columns were said to be."""
        text = row[1][place] if place < len(row[1]) else ""
        if text.casefold() in self.columns.unmeasured:
            return "nm" if self.columns.target == SHEET else ""
        if self.columns.decimal and (readings := both_readings(text)):
            text = readings[self.columns.decimal in text]
        return percent(text) if place in self.columns.shares else text

    def _cells(self, row: Row) -> list[Cell]:
        number = row[0]
        said = [
            (place, what, text)
            for place, what in self._measured(row).items()
            if (text := self._said(row, place))
        ]
        if not said:
            return []
        where = self._where(row)
        time, person = self._text(row, TIME), self._text(row, PERSON)
        return [
            Cell(number, self.heading(place), *where, what, text, time, person)
            for place, what, text in said
        ]

    def _measured(self, row: Row) -> Mapping[int, str]:
        """Return the columns of a row that hold a result, and of which measure."""
        place, value = self.columns.place(MEASURE), self.columns.place(VALUE)
        if place is None or value is None:
            return self.columns.measures
        words = self._text(row, MEASURE)
        measure = measure_called(words)
        if measure is None:
            raise _Wrong(place, _("There is no measure called {name}", name=words[:60]))
        return {value: measure}

    def _where(self, row: Row) -> tuple[date, int | None]:
        place = self.columns.place(DAY) or 0
        text = self._text(row, DAY)
        try:
            day = read_day(text, self.columns.order)
        except ValueError as why:
            raise _Wrong(place, str(why)) from None
        shift = self._text(row, SHIFT)
        if not shift:
            return day, None
        found = _SHIFT.fullmatch(shift)
        if not found:
            raise _Wrong(self.columns.place(SHIFT) or 0, _("Write the number of the shift"))
        return day, int(found[1])


def percent(share: str) -> str:
    """Return a share of one as percent; what is no number is left as it is."""
    try:
        _state, value = read(share)
    except Unreadable:
        return share
    return share if value is None else plain(100 * value)
