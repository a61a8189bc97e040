"""Shifts on which instruments were written down, and the results left to follow from them."""

import numpy as np

from app.chemistry.polarimetry import DRY_CLARIFICATION, pol_of_undiluted

from .factory import SEED

TURNED = ("mixed_juice_brix", "mixed_juice_pol")
DRIED = "bagasse_moisture"
SHIFTS_WITH, OF_EACH = 20, 12  # some of the shifts have both

Cell = tuple[int, str]


def readings_for(texts: dict[str, list[str]], not_in: set[Cell]) -> dict[Cell, dict[str, str]]:
    """Return readings by the cell of the result that follows from them, for some 20 shifts.

    Of shifts that have those results, and none of the cells `not_in`.
    """
    random = np.random.Generator(np.random.PCG64(SEED + 5))
    names = (*TURNED, DRIED)
    shifts = [
        shift
        for shift in range(len(texts[DRIED]) - 30)  # the last days are as people like them
        if all(texts[n][shift][:1].isdigit() and (shift, n) not in not_in for n in names)
    ]
    chosen = random.choice(shifts, SHIFTS_WITH, replace=False).tolist()
    found: dict[Cell, dict[str, str]] = {}
    for shift in chosen[:OF_EACH]:
        brix, pol = (texts[name][shift] for name in TURNED)
        found[shift, TURNED[0]] = {"mixed_juice_refractometer_reading": brix}
        found[shift, TURNED[1]] = {"mixed_juice_polarimeter_reading": _turned(brix, pol)}
    for shift in chosen[-OF_EACH:]:
        found[shift, DRIED] = _dish(float(texts[DRIED][shift]), random)
    return found


def _turned(brix: str, pol: str) -> str:
    """Return the polarimeter reading, °Z, of juice of that brix and pol."""
    of_one = pol_of_undiluted(1.0, float(brix), DRY_CLARIFICATION)
    return f"{float(pol) / of_one:.2f}"


def _dish(moisture: float, random: np.random.Generator) -> dict[str, str]:
    """Return the masses, g, of an empty dish, with bagasse in it, and dried."""
    dish, sample = random.uniform(82, 88), random.uniform(99, 101)
    masses = {"dish": dish, "wet": dish + sample, "dried": dish + sample * (1 - moisture / 100)}
    return {f"bagasse_{which}_mass": f"{mass:.4f}" for which, mass in masses.items()}
