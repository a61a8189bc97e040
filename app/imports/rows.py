"""Reads the rows of a table by what its columns are: results of a sheet, or records of a book."""

import re
from collections.abc import Mapping, Sequence
from datetime import date

from app.imports.columns import (
    DAY,
    DAY_FIRST,
    MEASURE,
    PERSON,
    SHIFT,
    TIME,
    VALUE,
    YEAR_FIRST,
    Columns,
    letter,
    measure_called,
)
from app.imports.files import Row, Rows
from app.language import _
from app.ledger.importing import Cell, Fault
from app.ledger.importing_records import Line

_DAY = re.compile(r"(\d{1,4})([-/.])(\d{1,2})\2(\d{1,4})\.?", re.ASCII)
_SHIFT = re.compile(r"(?:\w+ )?([1-9])", re.ASCII)


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
                typed = {what: self._text(row, what) for what in self.columns.measures.values()}
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

    def _cells(self, row: Row) -> list[Cell]:
        number, texts = row
        said = [
            (place, what, texts[place])
            for place, what in self._measured(row).items()
            if place < len(texts) and texts[place]
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


def read_day(text: str, order: str) -> date:
    """Return the day that a text names; one whose year comes first is read in every order.

    Raises ValueError, with words.
    """
    found = _DAY.fullmatch(text)
    if not found:
        raise ValueError(_("Write the day like 2026-07-14"))
    parts = (found[1], found[3], found[4])
    if len(parts[0]) == 4:
        year, month, day = parts
    elif order == YEAR_FIRST or len(parts[2]) != 4:
        raise ValueError(_("Write the day like 2026-07-14"))
    else:
        day, month, year = parts if order == DAY_FIRST else (parts[1], parts[0], parts[2])
    try:
        read = date(int(year), int(month), int(day))
    except ValueError:
        raise ValueError(_("The calendar has no such day")) from None
    if not 1900 <= read.year < 2200:
        raise ValueError(_("Write the day like 2026-07-14"))
    return read
