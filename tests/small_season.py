"""A season of a few days, loaded into the ledger of a bench: weights and analyses of each shift."""

from collections.abc import Iterable, Iterator, Mapping
from datetime import date, datetime, timedelta

from app.database import writing
from app.exports.books import books_of
from app.ledger.history import HistoryEntry, load_history
from app.ledger.plan import Change, choose
from tests.bench import Bench

JUNE = [date(2026, 6, day) for day in range(1, 8)]

# what a mill of middling work enters on each shift, and on the last one of a day
EACH_SHIFT = {
    "cane": 1200.0, "imbibition": 400.0, "mixed_juice": 1260.0, "crushing_hours": 7.5,
    "mixed_juice_brix": 14.2, "mixed_juice_pol": 12.0, "mixed_juice_suspended_solids": 0.4,
    "first_expressed_juice_brix": 18.5, "first_expressed_juice_pol": 16.2,
    "last_expressed_juice_brix": 4.1, "last_expressed_juice_pol": 3.0,
    "bagasse_pol": 1.8, "bagasse_moisture": 50.0, "filter_cake": 45.0, "filter_cake_pol": 1.5,
    "filter_cake_moisture": 74.0, "clear_juice_brix": 13.8, "clear_juice_pol": 11.9,
    "clear_juice_ph": 7.1, "syrup_brix": 64.0, "syrup_pol": 55.0, "lime": 1.1, "sugar": 130.0,
    "sugar_pol": 98.6, "sugar_moisture": 0.3,
}  # fmt: skip
EACH_DAY = {
    "final_molasses": 140.0, "final_molasses_brix": 85.5, "final_molasses_pol": 30.5,
    "final_molasses_reducing_sugars": 14.0, "final_molasses_ash": 12.0,
}  # fmt: skip


def results(days: Iterable[date], leaving_out: Iterable[str] = ()) -> Iterator[tuple]:
    """Yield day, shift, measure and value of a season, a little more from shift to shift."""
    out = set(leaving_out)
    for n, day in enumerate(days):
        for number in (1, 2, 3):
            taken = EACH_SHIFT | (EACH_DAY if number == 3 else {})
            for measure, value in taken.items():
                if measure not in out:
                    yield day, number, measure, value * (1 + 0.0005 * (3 * n + number))


def load(bench: Bench, rows: Iterable[tuple]) -> None:
    """Enter results, each an hour before its shift ends, as Ann would have."""
    written = []
    for day, number, measure, value in sorted(rows, key=lambda row: row[:2]):
        _, ends = bench.mill.clock.shift_bounds(day, number)
        at: datetime = ends - timedelta(hours=1)
        text = f"{value:.3f}0" if f"{value:.3f}"[-4] == "." else f"{value}"
        written.append(HistoryEntry(day, number, measure, text, None, bench.ann.id, at, False))
    with writing(bench.engine) as connection:
        load_history(connection, bench.season, written)


def chosen(bench: Bench, change: Change, at: datetime) -> None:
    """Choose something for the bench's mill."""
    with writing(bench.engine) as connection:
        choose(connection, bench.mill, change, by=bench.ann, at=at)


def books(bench: Bench, **otherwise: object):
    """Return the books of the bench's season."""
    return bench.read(lambda c: books_of(c, bench.mill, bench.season, **otherwise))


def over(season, names: Iterable[str], first: date, last: date) -> Mapping[str, float]:
    """Return figures over some days."""
    result = season.over(season.between(first, last))
    return {name: float(result.values[name][0]) for name in names}
