"""The records of a book as CSV: what was typed, and what follows in each at full precision."""

import csv
import io
from collections.abc import Iterable, Mapping
from datetime import datetime

from app.exports.columns import AFTER_FIELDS, BEFORE_FIELDS, STANDING, TAKEN_OUT, FileColumn
from app.exports.csv import inert, instant
from app.language import ENGLISH, speaking
from app.ledger.records import VOID, Record
from app.plant.books.declare import Book, Value
from app.reports.books import columns_of


@speaking(ENGLISH)
def csv_of_records(
    book: Book, records: Iterable[Record], values: Mapping[int, Mapping[str, Value]]
) -> str:
    """Return the records of a book as RFC 4180: a point as decimal sign, instants in UTC.

    `values` has what each record that counts says and what follows in it, by its id; of one that
    was taken out nothing follows.
    """
    names = [column.name for column in columns_of(book)]
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow([*BEFORE_FIELDS, *names, *AFTER_FIELDS])
    for record in records:
        said = values.get(record.id, record.values)
        cells = [_cell(said.get(name), record.fields.get(name, "")) for name in names]
        writer.writerow([
            record.day, record.number, record.id,
            TAKEN_OUT if record.state == VOID else STANDING, record.supersedes_id, *cells,
            inert(record.reason or ""), inert(record.recorded_name), instant(record.recorded_at),
        ])  # fmt: skip
    return out.getvalue()


def columns_of_file(book: Book) -> dict[str, FileColumn]:
    """Return what the columns of that file hold, by name, in their order."""
    of_book = {
        column.name: FileColumn(column.title, {}, column.unit) for column in columns_of(book)
    }
    for each in book.fields:
        of_book[each.name] = FileColumn(each.title, each.choices, each.unit)
    return {**BEFORE_FIELDS, **of_book, **AFTER_FIELDS}


def _cell(value: Value | None, typed: str) -> str:
    if isinstance(value, float | int):
        return repr(float(value))
    if isinstance(value, datetime):
        return instant(value)
    return inert(f"{value}" if value is not None else typed)
