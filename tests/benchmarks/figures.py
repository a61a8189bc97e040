"""All figures with their uncertainty over 600 shifts, beside the same arithmetic in bare numpy.

The bare arithmetic knows already which formula each figure takes and what depends on what. It
moves each measure up and down by its uncertainty along one more axis, through the very functions
of the figures, and adds the squares: no gaps, no choice among formulas, no coverage, no names.
"""

import statistics
import time
from collections.abc import Callable

import numpy as np

from app.figures import CONVENTIONS, FIGURES
from app.figures.declare import ENTERED
from app.figures.evaluate import ORDER, calculation, in_force, worked_out_by_way
from app.figures.periods import Books
from app.figures.sheets import Period, Sheets
from app.figures.uncertainties import default_uncertainty
from app.plant.measures import ASKED, CARRIERS, MEASURES

SHIFTS = 600
RUNS = 7


def entered() -> dict[str, np.ndarray]:
    """Every measure within its usual range on every shift, bagasse as the weights leave it."""
    random = np.random.default_rng(1)
    found = {name: random.uniform(*measure.usual, SHIFTS) for name, measure in MEASURES.items()}
    found["bagasse"] = found["cane"] + found["imbibition"] - found["mixed_juice"]
    return found | {"gross_hours": np.full(SHIFTS, 8.0)}


def by_the_ledger(measures: dict[str, np.ndarray]) -> dict[str, np.ndarray]:
    """All figures of every shift, and their standard uncertainties, a column each."""
    day = np.arange(SHIFTS) // 3
    sheets = Sheets(measures, in_force({}, SHIFTS), day, day // 7, CARRIERS, asked=ASKED)
    result = Books(sheets).over([Period(row, row + 1) for row in range(SHIFTS)])
    result.certainty.cover(tuple(FIGURES))
    return {name: result.certainty.of_single(name) for name in FIGURES}


def bare(measures: dict[str, np.ndarray]) -> Callable[[], dict[str, np.ndarray]]:
    """Return the bare arithmetic, everything about its order found out beforehand."""
    conventions = in_force({}, SHIFTS)
    known = {ENTERED + name: column for name, column in measures.items()}
    _, ways = worked_out_by_way(known, conventions)
    taken = {name: FIGURES[name].ways[ways[name][0]] for name in ORDER if ways[name][0] >= 0}
    nothing = np.full(SHIFTS, np.nan)
    given = {name: nothing for way in taken.values() for name in way.inputs} | conventions | known
    below: dict[str, list[str]] = {name: [] for name in known}
    above: dict[str, set[str]] = {}
    for name, way in taken.items():
        above[name] = {i for i in way.inputs if i in known}
        above[name] |= {deep for i in way.inputs for deep in above.get(i, ())}
        for measure in above[name]:
            below[measure].append(name)
    spreads = {
        name: np.hypot(u.random, u.systematic) * (column / 100 if u.relative else 1.0)
        for name, column in known.items()
        for u in [default_uncertainty(name.removeprefix(ENTERED))]
    }

    def run() -> dict[str, np.ndarray]:
        values = dict(given)
        with calculation():
            for name, way in taken.items():
                values[name] = way.function(*(values[i] for i in way.inputs))
            variance = {name: np.zeros(SHIFTS) for name in taken}
            for measure, names in below.items():
                moved = dict(values)
                step = spreads[measure]
                moved[measure] = np.stack([known[measure] + step, known[measure] - step])
                for name in names:
                    way = taken[name]
                    found = way.function(*(moved[i] for i in way.inputs))
                    moved[name] = found
                    variance[name] += np.square((found[0] - found[1]) / 2)
        return {name: np.sqrt(found) for name, found in variance.items()}

    return run


def seconds(run: Callable[[], object]) -> float:
    """Return the median time of several runs."""
    times = []
    for _ in range(RUNS):
        begun = time.perf_counter()
        run()
        times.append(time.perf_counter() - begun)
    return statistics.median(times)


def main() -> None:
    """Print both times and their ratio, and how far the results lie apart."""
    measures = entered()
    floor = bare(measures)
    ours, theirs = by_the_ledger(measures), floor()
    apart = [
        np.nanmax(np.abs(ours[name] - found) / found)
        for name, found in theirs.items()
        if np.isfinite(found).any() and (found > 0).any()
    ]
    ledger, straight = seconds(lambda: by_the_ledger(measures)), seconds(floor)
    print(f"{len(FIGURES)} figures, {len(CONVENTIONS)} conventions, {SHIFTS} shifts")
    print(f"by the ledger  {1000 * ledger:7.1f} ms")
    print(f"bare numpy     {1000 * straight:7.1f} ms")
    print(f"ratio          {ledger / straight:7.2f}")
    print(f"medians differ by {np.median(apart):.1e}, relative")


if __name__ == "__main__":
    main()
