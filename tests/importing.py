"""A table brought into the ledger of a test, as the page does it."""

from datetime import UTC, date, datetime, timedelta

from app.database import writing
from app.imports.bringing import Bringing, Table
from app.imports.columns import SHEET, Columns, guess
from app.imports.days import DAY_FIRST, day_orders
from app.imports.files import read_file

LATER = datetime(2026, 8, 31, 12, tzinfo=UTC)  # all of June is over
FIRST = date(2026, 6, 1)


def bringing(text, target=SHEET, order=None, name="june.csv", **of):
    """A table of a file, its columns guessed by their headings, but for those given by letter."""
    brought = read_file(name, text.encode() if isinstance(text, str) else text)
    table = Table(brought, next(iter(brought.sheets)), 0)
    columns = guess(table.headings, target) | {ord(key) - ord("A"): of[key] for key in of}
    place = next(place for place, what in columns.items() if what == "day")
    orders = day_orders([texts[place] for _, texts in table.rows if place < len(texts)])
    return Bringing(table, Columns(target, columns, order or min(orders, default=DAY_FIRST)))


def check(bench, text, now=LATER, **otherwise):
    """What would become of a table."""
    return bench.read(bringing(text, **otherwise).check, now)


def bring_in(bench, text, by=None, now=LATER, **otherwise):
    """Check a table and write it, if nothing is wrong with it."""
    brought = bringing(text, **otherwise)
    checked = bench.read(brought.check, now)
    with writing(bench.engine) as connection:
        return brought.write(connection, checked, by=by or bench.ann, at=now)


def reasons(checked):
    """What is wrong, by row and column."""
    return {(fault.row, fault.column): fault.words for fault in checked.faults}


def season(shifts, *, bad=()):
    """A CSV of so many shifts with cane and the brix of mixed juice; `bad` rows have no number."""
    rows = ["Day,Shift,Cane (t),mixed_juice_brix"]
    for n in range(shifts):
        day = FIRST + timedelta(days=n // 3)
        brix = "unreadable" if n in bad else f"14.{n % 90 + 10}"
        rows.append(f"{day},{n % 3 + 1},1{n:03},{brix}")
    return "\n".join(rows) + "\n"
