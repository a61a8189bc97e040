"""The records of a book as CSV: what was typed, and what follows in each at full precision."""

import csv
import io
from collections.abc import Iterable, Mapping
from datetime import datetime

from app.exports.csv import inert
from app.language import ENGLISH, speaking
from app.ledger.canonical import written
from app.ledger.records import Record
from app.plant.books.declare import Book, Value
from app.reports.books import columns_of


@speaking(ENGLISH)
def csv_of_records(
    book: Book, records: Iterable[Record], values: Mapping[int, Mapping[str, Value]]
) -> str:
    """Return the records of a book as RFC 4180: a point as decimal sign, instants in UTC.

    `values` has what each record that counts says and what follows in it, by its id.
    """
    columns = columns_of(book)
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    names = [column.name for column in columns]
    writer.writerow(
        ["day", "shift", "record", "state", *names, "reason", "recorded_by", "recorded_at"]
    )
    for record in records:
        said = values.get(record.id, {})
        cells = [_cell(said.get(name), record.fields.get(name, "")) for name in names]
        writer.writerow([
            record.day, record.number, record.id, record.state, *cells,
            inert(record.reason or ""), inert(record.recorded_name), written(record.recorded_at),
        ])  # fmt: skip
    return out.getvalue()


def _cell(value: Value | None, typed: str) -> str:
    if isinstance(value, float | int):
        return repr(float(value))
    if isinstance(value, datetime):
        return str(written(value))
    return inert(f"{value}" if value is not None else typed)
