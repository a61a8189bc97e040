"""What a period would have been with other figures: its sugar, and what is lost by place.

The relation is that of `app.figures.points`: what is not changed is held, and so is the rest that
purities do not explain, but for undetermined pol, of which it is a part. Filter cake is held per
pol in mixed juice. Pol in molasses is what the others leave, so that all adds to the pol of cane.
"""

from collections.abc import Mapping

import numpy as np

from app.figures.declare import Values
from app.figures.evaluate import calculation
from app.figures.points import Standing, factors, recovered, spread, steps_of

# figures that may be wished otherwise, the first five in the order of the factors
EXTRACTION, UNDETERMINED = "pol_extraction", "undetermined_loss"
WISHED = (
    EXTRACTION, "mixed_juice_purity", "filter_cake_loss_on_mixed_juice", "final_molasses_purity",
    "sugar_purity", UNDETERMINED,
)  # fmt: skip
SHARES = (EXTRACTION, "filter_cake_loss_on_mixed_juice")  # which factors have as 0 to 1
# what changes, per 100 pol in cane: pol by place, and sugar as made, as pol in that of the period
CHANGES = ("sugar", "bagasse", "filter_cake", "final_molasses", "undetermined", "as_made")


def as_wished(figures: Values, wished: Mapping[str, float]) -> Values:
    """Return figures, as ASKED names them, as they would be with some of WISHED otherwise.

    Columns are periods. Not a number where purities are out of the range of the s-j-m rule.
    """
    recovery, extraction, cake_loss, _, _, _, undetermined = figures
    *known, rest = factors(figures)
    old = np.array(known)
    new = old.copy()
    for place, name in enumerate(WISHED[: len(known)]):
        if name in wished:
            new[place] = wished[name] / 100 if name in SHARES else wished[name]
    lost = undetermined + 0 * recovery
    if UNDETERMINED in wished:
        lost = wished[UNDETERMINED] + 0 * recovery
    with calculation():
        nothing = np.zeros_like(rest)
        gained = recovered(new, nothing) - recovered(old, nothing) - (lost - undetermined)
        cake = cake_loss + 100 * (new[0] * new[2] - old[0] * old[2])
        extraction = extraction + 100 * (new[0] - old[0])
    return np.array([recovery + gained, extraction, cake, new[1], new[4], new[3], lost])


def changes(figures: Values, wished: Mapping[str, float]) -> Values:
    """Return CHANGES from figures as they are to figures as wished; the places add to nothing.

    Sugar of another purity is taken at the same moisture, so that its pol follows its purity.
    """
    would_be = as_wished(figures, wished)
    with calculation():
        sugar, undetermined = would_be[0] - figures[0], would_be[-1] - figures[-1]
        bagasse, cake = figures[1] - would_be[1], would_be[2] - figures[2]
        molasses = 0 - sugar - bagasse - cake - undetermined
        as_made = would_be[0] * (figures[4] / would_be[4]) - figures[0]
    return np.array([sugar, bagasse, cake, molasses, undetermined, as_made])


def uncertainties(of: Standing, wished: Mapping[str, float]) -> Values:
    """Return the standard uncertainty of each of CHANGES, by central differences.

    What is wished is exact; where the period stands now is as unsure as it was measured.
    """
    steps = np.array(steps_of(of))
    here = of.figures[:, np.newaxis]
    rise = changes(here + np.diag(steps), wished) - changes(here - np.diag(steps), wished)
    slopes = np.divide(rise, 2 * steps, out=np.zeros_like(rise), where=steps != 0)
    return spread(of, slopes)
