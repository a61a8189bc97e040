"""Weighted means of analyses, and the estimates that stand in for a gap in a total."""

from collections.abc import Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

Values = NDArray[np.float64]

OTHER = {"brix": "pol", "pol": "brix"}  # with which it makes a purity


def estimated(
    entered: Mapping[str, Values],
    weights: Mapping[str, Values],
    carriers: Mapping[str, str],
    day: NDArray[np.int64],
    week: NDArray[np.int64],
) -> dict[str, Values]:
    """Return `entered` with each gap of an analysis filled by the mean of its day, else its week.

    Means are weighted by the carrier. Where nothing was carried and there is no mean, any number
    will do. A brix or pol is not guessed where the purity was entered instead of both.
    """
    filled = dict(entered)
    for name, carrier in carriers.items():
        column = entered.get(name)
        if column is None or carrier not in weights:
            continue
        lacks = np.isnan(column)
        if lacks.all() or not lacks.any():
            continue
        weight = weights[carrier]
        mean = _group_means(column, weight, day)
        mean = np.where(np.isnan(mean), _group_means(column, weight, week), mean)
        mean = np.where(np.isnan(mean) & (weight == 0), 1.0, mean)
        filled[name] = np.where(lacks, mean, column)
    return {
        name: np.where(_purity_alone(name, entered, filled), np.nan, column)
        if column is not entered[name] else column
        for name, column in filled.items()
    }  # fmt: skip


def _purity_alone(
    name: str, entered: Mapping[str, Values], filled: Mapping[str, Values]
) -> NDArray[np.bool_]:
    """Tell where a purity stands for brix and pol: a guess of both would speak against it."""
    column = entered[name]
    stream, _, prop = name.rpartition("_")
    purity, other = f"{stream}_purity", f"{stream}_{OTHER.get(prop)}"
    if purity not in entered or other not in entered:
        return np.zeros(len(column), dtype=bool)
    return np.isnan(column) & ~np.isnan(entered[purity]) & ~np.isnan(filled[other])


def _group_means(column: Values, weight: Values, group: NDArray[np.int64]) -> Values:
    real = ~np.isnan(column) & ~np.isnan(weight)
    carried = np.where(real, weight, 0.0)
    products = np.where(real, carried * np.where(real, column, 0.0), 0.0)
    sums = np.bincount(group, carried)
    means = np.divide(
        np.bincount(group, products), sums, out=np.full(len(sums), np.nan), where=sums > 0
    )
    return means[group]


def weighted_means(
    entered: Mapping[str, Values],
    weights: Mapping[str, Values],
    carriers: Mapping[str, str],
    periods: Sequence[slice],
) -> dict[str, Values]:
    """Return the mean of each analysis by its carrier over each period, from real results only."""
    found = {}
    for name, carrier in carriers.items():
        column = entered.get(name)
        if column is None or carrier not in weights:
            continue
        real = ~np.isnan(column) & ~np.isnan(weights[carrier])
        carried = np.where(real, weights[carrier], 0.0)
        products = carried * np.where(real, column, 0.0)
        sums = np.array([carried[p].sum() for p in periods])
        totals = np.array([products[p].sum() for p in periods])
        found[name] = np.divide(totals, sums, out=np.full(len(periods), np.nan), where=sums > 0)
    return found
