"""What the samples of a shift make, and the tests of a sample: read, and added up."""

import math
from collections.abc import Mapping, Sequence
from datetime import date
from typing import Any

import numpy as np
from numpy.typing import NDArray
from sqlalchemy import ColumnElement, Connection, Select, func, select

from app.ledger import tables
from app.ledger.mills import Season
from app.plant.measures import Measure
from app.plant.samples import LAST, SUM, result, result_of_sum

_shift, _standing = tables.shift.c, tables.standing.c

FURTHER = (_standing.sample > 1) | (_standing.determination > 1)


def add_samples(
    connection: Connection,
    within: ColumnElement[bool],
    rows: Mapping[int | None, int],
    measures: Mapping[str, NDArray[np.float64]],
    taken: Sequence[Mapping[str, Measure]],
    hours: Sequence[float],
) -> None:
    """Let `measures`, which have the first samples, hold what all samples of each shift make.

    `rows` has the row of each shift, `taken` the measures as the mill takes them on that row, and
    `hours` how long the shift lasts. A sum of which a sample lacks is no number.
    """
    apart = []
    counts: dict[tuple[int, str], int] = {}
    for shift_id, measure, total, count, tests in _sums(connection, within):
        if measure not in measures:
            continue
        row = rows[shift_id]
        rule = taken[row][measure].rule
        if tests > 1 or rule == LAST:
            apart.append((shift_id, measure))
            continue
        first = float(measures[measure][row])
        if not math.isnan(first):
            total, count = total + first, count + 1
        counts[row, measure] = count
        measures[measure][row] = result_of_sum(rule, total, count)
    for (shift_id, measure), samples in _one_by_one(connection, apart).items():
        means = [math.fsum(tests) / len(tests) for _, tests in sorted(samples.items())]
        row = rows[shift_id]
        counts[row, measure] = len(means)
        measures[measure][row] = result(taken[row][measure].rule, means)
    _withhold_part_sums(measures, taken, hours, counts)


def _withhold_part_sums(
    measures: Mapping[str, NDArray[np.float64]],
    taken: Sequence[Mapping[str, Measure]],
    hours: Sequence[float],
    counts: Mapping[tuple[int, str], int],
) -> None:
    """Take out each sum of which a sample lacks: what was not weighed is not nothing."""
    summed = {key: _summed(plan) for key, plan in {id(plan): plan for plan in taken}.items()}
    for row, plan in enumerate(taken):
        for name in summed[id(plan)]:
            due = math.ceil(hours[row] / plan[name].every)
            if counts.get((row, name), 1) < due:
                measures[name][row] = math.nan


def _summed(plan: Mapping[str, Measure]) -> tuple[str, ...]:
    return tuple(name for name, m in plan.items() if m.every and m.rule == SUM)


def _sums(
    connection: Connection, within: ColumnElement[bool]
) -> list[tuple[int, str, float, int, int]]:
    """Return what further samples and tests add up to, of each shift and measure.

    With the sum come how many there are, and the highest number of a test. The database adds, for
    it is several times as fast.
    """
    query = (
        select(
            _standing.shift_id, _standing.measure, func.sum(_standing.value), func.count(),
            func.max(_standing.determination),
        )
        .join(tables.shift, _shift.id == _standing.shift_id)
        .where(within, _standing.value.is_not(None), FURTHER)
        .group_by(_standing.shift_id, _standing.measure)
    )  # fmt: skip
    return tuples(connection, query)


def _one_by_one(
    connection: Connection, apart: list[tuple[int, str]]
) -> dict[tuple[int, str], dict[int, list[float]]]:
    """Return the numbers of some shifts and measures by sample: where order counts, and tests."""
    if not apart:
        return {}
    query = select(
        _standing.shift_id, _standing.measure, _standing.sample, _standing.value
    ).where(
        _standing.shift_id.in_({shift_id for shift_id, _ in apart}),
        _standing.measure.in_({measure for _, measure in apart}),
        _standing.value.is_not(None),
    )  # fmt: skip
    found: dict[tuple[int, str], dict[int, list[float]]] = {place: {} for place in apart}
    for shift_id, measure, sample, value in tuples(connection, query):
        if (shift_id, measure) in found:
            found[shift_id, measure].setdefault(sample, []).append(value)
    return found


def counts_of(
    connection: Connection, season: Season, first_day: date, last_day: date
) -> dict[tuple[date, int, str], int]:
    """Return how many numbers make a shift's result, by day, shift and measure, where several."""
    query = (
        select(_shift.day, _shift.number, _standing.measure, func.count())
        .join(tables.shift, _shift.id == _standing.shift_id)
        .where(_shift.season_id == season.id, _shift.day.between(first_day, last_day))
        .where(_standing.value.is_not(None))
        .group_by(_shift.day, _shift.number, _standing.measure)
        .having(func.count() > 1)
    )
    return {(day, number, name): n for day, number, name, n in connection.execute(query)}


def tuples(connection: Connection, query: Select[Any]) -> list[tuple[Any, ...]]:
    """Return all that a query finds."""
    # the driver's own tuples: row objects cost several times more over a season
    cursor = connection.execute(query).cursor
    return list(cursor.fetchall()) if cursor else []
