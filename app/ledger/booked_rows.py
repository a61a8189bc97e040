"""What the other books give of measures, put in its places in the table of shifts."""

from collections.abc import Iterable, Mapping, Sequence
from datetime import date, timedelta
from typing import Any

import numpy as np
from numpy.typing import NDArray
from sqlalchemy import Connection, select

from app.ledger import tables
from app.ledger.booked import GIVEN, end_of_week
from app.ledger.mills import Season
from app.ledger.sampled import tuples
from app.plant.books import DUE_OF_EACH
from app.plant.books.giving import Given, together
from app.plant.grains import DAY, SHIFT, WEEK
from app.plant.measures import MEASURES, Measure

_b, _shift = tables.booked.c, tables.shift.c

Place = tuple[int, str]  # a row and a measure


def add_booked(
    connection: Connection,
    season: Season,
    rows: Mapping[int | None, int],
    days: Sequence[date],
    measures: Mapping[str, NDArray[np.float64]],
    taken: Sequence[Mapping[str, Measure]],
    stated: Iterable[Place],
) -> tuple[frozenset[Place], dict[Place, float]]:
    """Let `measures` hold what the books give where no result stands.

    Returns where they do, and what share of it was really analysed where that is not all: nothing
    where records tell of a measure and it is none. What is taken once a day stands on the last row
    of its day, and once a week on that of the last day of its week, made of all its shifts.
    `stated` are the rows and measures where a named state stands.
    """
    taken_places = set(stated)
    found, shares = set(), {}
    parts = _parts(connection, season, rows, days, taken) if days else {}
    for (row, measure), given in parts.items():
        if not np.isnan(measures[measure][row]) or (row, measure) in taken_places:
            continue
        whole = together(given)
        if whole.value is not None:
            measures[measure][row] = whole.value
            found.add((row, measure))
        if whole.share < 1 and (whole.value is None or measure in DUE_OF_EACH):
            shares[row, measure] = whole.share
    return frozenset(found), shares


def _parts(
    connection: Connection,
    season: Season,
    rows: Mapping[int | None, int],
    days: Sequence[date],
    taken: Sequence[Mapping[str, Measure]],
) -> dict[Place, list[Given]]:
    """Return what each shift gives to the place of a measure, in the order of the shifts."""
    first = days[0] - timedelta(days=days[0].weekday())
    query = (
        select(_b.shift_id, *GIVEN)
        .join(tables.shift, _shift.id == _b.shift_id)
        .where(_shift.season_id == season.id, _shift.day.between(first, days[-1]))
        .order_by(_shift.day, _shift.number)
    )
    parts: dict[Place, list[Given]] = {}
    ends = _ends(season, days)
    for shift_id, measure, *given in tuples(connection, query):
        if measure not in MEASURES:
            continue
        row = rows.get(shift_id, 0)  # else it lies in the week of the first row, before it
        grain = taken[row][measure].grain
        if shift_id not in rows and grain != WEEK:
            continue
        place = row if grain == SHIFT else ends.get((grain, _span(grain, days[row])))
        if place is not None:
            parts.setdefault((place, measure), []).append(Given(measure, *given))
    return parts


def _span(grain: str, day: date) -> Any:
    return day if grain == DAY else day.isocalendar()[:2]


def _ends(season: Season, days: Sequence[date]) -> dict[tuple[str, Any], int]:
    """Return the last row of each day, and of each week the last row of its last day."""
    found: dict[tuple[str, Any], int] = {}
    for row, day in enumerate(days):
        found[DAY, _span(DAY, day)] = row
        if day == end_of_week(season, day):
            found[WEEK, _span(WEEK, day)] = row
    return found
