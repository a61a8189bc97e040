"""How long a season's history takes to come in: `.venv/bin/python -m tests.benchmarks.importing`.

Prints, for 150 days of 3 shifts and 60 measures as CSV and as a workbook, the seconds of each step,
how long others could not write, and the most memory that the reading program and its helper had.
"""

import csv
import io
import resource
import tempfile
import time
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import xlsxwriter

from app.database import migrate, open_database, reading, writing
from app.imports.columns import SHEET, Columns, guess
from app.imports.files import read_file
from app.imports.rows import Reader
from app.ledger import importing
from app.plant.plan import Plan
from app.plant.streams import Equipment
from tests.bench import new_bench

DAYS, MEASURES_TAKEN = 150, 60
NOW = datetime(2027, 3, 1, 12, tzinfo=UTC)
FIRST = date(2026, 6, 1)


def season() -> list[list[str]]:
    """A table with a row for each shift and a column for each of sixty measures."""
    plan = Plan([(date.min, Equipment("tandem", 5))])
    taken = [m for m in plan.on(FIRST).values() if m.grain == "shift"][:MEASURES_TAKEN]
    rows = [["Day", "Shift", *(f"{m.title} ({m.unit})" for m in taken)]]
    for count in range(DAYS * 3):
        day = FIRST + timedelta(days=count // 3)
        share = 0.3 + 0.4 * (count * 37 % 101) / 101
        values = [m.usual[0] + share * (m.usual[1] - m.usual[0]) for m in taken]
        said = [f"{v:.{m.decimals}f}" for v, m in zip(values, taken, strict=True)]
        rows.append([f"{day}", f"{count % 3 + 1}", *said])
    return rows


def as_csv(rows: list[list[str]]) -> bytes:
    """The table as CSV."""
    out = io.StringIO()
    csv.writer(out).writerows(rows)
    return out.getvalue().encode()


def as_workbook(rows: list[list[str]]) -> bytes:
    """The table as a workbook, its days and numbers as such."""
    out = io.BytesIO()
    book = xlsxwriter.Workbook(out)
    sheet, day_format = book.add_worksheet("Season"), book.add_format({"num_format": "dd/mm/yyyy"})
    sheet.write_row(0, 0, rows[0])
    for n, (day, *values) in enumerate(rows[1:], 1):
        sheet.write_datetime(n, 0, datetime.fromisoformat(day), day_format)
        sheet.write_row(n, 1, [float(value) for value in values])
    book.close()
    return out.getvalue()


def bring_in(name: str, body: bytes) -> None:
    """Bring a file into a new ledger, and print what it took."""
    with tempfile.TemporaryDirectory() as folder:
        engine = open_database(f"sqlite:///{Path(folder) / 'ledger.db'}", create=True)
        migrate(engine)
        bench = new_bench(engine)
        began = time.perf_counter()
        brought = read_file(name, body)
        (_, headings), *rows = next(iter(brought.sheets.values()))
        reader = Reader(headings, Columns(SHEET, guess(headings, SHEET)))
        cells = reader.cells(rows)
        read = time.perf_counter()

        def check(connection):
            return importing.check(connection, cells, now=NOW, reason=brought.short)

        with reading(engine) as connection:
            checked = check(connection)
        assert not checked.faults, checked.faults[:3]
        assert not reader.faults
        done = time.perf_counter()
        with writing(engine) as connection:
            locked = time.perf_counter()
            importing.write(connection, checked, check, by=bench.ann, at=NOW, told={})
        written = time.perf_counter()
        engine.dispose()
    ours, helper = (
        resource.getrusage(who).ru_maxrss / 1024
        for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN)
    )
    print(
        f"{name}: {checked.count} results; read {read - began:.1f} s, checked {done - read:.1f} s, "
        f"written {written - done:.1f} s; locked {written - locked:.1f} s; "
        f"memory {ours:.0f} MB, of its helper {helper:.0f} MB"
    )


if __name__ == "__main__":
    rows = season()
    bring_in("season.csv", as_csv(rows))
    bring_in("season.xlsx", as_workbook(rows))
