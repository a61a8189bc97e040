"""Plausible mills, made forwards: cane and fibre, extraction, juice, losses, sugar and molasses.

What a mill was made of is known, so that figures can be asked to find it again.
"""

from collections.abc import Mapping

import numpy as np
from hypothesis import Phase, settings
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from app.figures import FIGURES
from app.figures.evaluate import behind, in_force, worked_out_by_way

RANGES = {
    "cane": (600, 2600),
    "fibre": (10.5, 17),
    "brix": (12.5, 17),
    "purity": (80, 88),
    "imbibition_on_fibre": (150, 350),
    "extraction": (91, 98),
    "bagasse_moisture": (47, 53),
    "residual_purity": (64, 78),
    "suspended_solids": (0, 0.9),
    "cake_on_cane": (2, 5),
    "cake_pol": (0.8, 2.5),
    "undetermined": (-0.5, 2),
    "sugar_pol": (97.8, 99.2),
    "sugar_moisture": (0.1, 0.4),
    "molasses_brix": (80, 89),
    "molasses_purity": (30, 38),
    "reducing_sugars": (8, 20),
    "ash": (8, 18),
}

# The same examples at every run; what is worked out is fast, so that time needs no limit.
plausible = settings(
    max_examples=25,
    deadline=None,
    derandomize=True,
    phases=(Phase.generate, Phase.shrink),  # an explanation takes a minute where it helps least
)
several_plausible = settings(plausible, max_examples=10)


def mills(at_least: int = 1, at_most: int = 5) -> st.SearchStrategy[dict[str, np.ndarray]]:
    """What some mills, or some shifts of one mill, are made of: an array for each of RANGES."""
    return st.integers(at_least, at_most).flatmap(_mills)


def _mills(size: int) -> st.SearchStrategy[dict[str, np.ndarray]]:
    def scaled(unit: np.ndarray) -> dict[str, np.ndarray]:
        return {
            name: low + unit[i] * (high - low)
            for i, (name, (low, high)) in enumerate(RANGES.items())
        }

    return arrays(float, (len(RANGES), size), elements=st.floats(0, 1)).map(scaled)


def one_mill(**parts: float) -> dict[str, np.ndarray]:
    """A mill in the middle of every range, but for `parts`."""
    middle = {name: (low + high) / 2 for name, (low, high) in RANGES.items()}
    return {name: np.array([value]) for name, value in (middle | parts).items()}


def measured(
    made_of: dict[str, np.ndarray], *, solids_as_fibre: bool = False
) -> dict[str, np.ndarray]:
    """Return the weights and analyses that exact instruments would find in such a mill."""
    of = made_of
    cane, brix = of["cane"], of["cane"] * of["brix"] / 100
    pol, fibre = brix * of["purity"] / 100, cane * of["fibre"] / 100
    water = fibre * of["imbibition_on_fibre"] / 100
    pol_left = pol * (1 - of["extraction"] / 100)
    brix_left = 100 * pol_left / of["residual_purity"]
    solids = of["suspended_solids"] / 100 if solids_as_fibre else 0 * cane
    dry = 1 - of["bagasse_moisture"] / 100
    juice = (cane + water - (fibre + brix_left) / dry) / (1 - solids / dry)
    bagasse = cane + water - juice
    net = juice * (1 - solids)
    found = {
        "cane": cane,
        "imbibition": water,
        "mixed_juice": juice,
        "bagasse": bagasse,
        "bagasse_moisture": of["bagasse_moisture"],
        "bagasse_pol": 100 * pol_left / bagasse,
        "last_expressed_juice_brix": np.full_like(cane, 4.0),
        "last_expressed_juice_pol": 4.0 * of["residual_purity"] / 100,
        "mixed_juice_brix": 100 * (brix - brix_left) / net,
        "mixed_juice_pol": 100 * (pol - pol_left) / net,
        "mixed_juice_suspended_solids": of["suspended_solids"],
    }
    return found | _boiling_house(of, pol, pol - pol_left, brix - brix_left)


def _boiling_house(of, pol_in_cane, pol, brix):
    cake = of["cane"] * of["cake_on_cane"] / 100
    rest = pol - cake * of["cake_pol"] / 100 - pol_in_cane * of["undetermined"] / 100
    juice, molasses = 100 * pol / brix, of["molasses_purity"]
    purity = 100 * of["sugar_pol"] / (100 - of["sugar_moisture"])
    into_sugar = rest * purity * (juice - molasses) / (juice * (purity - molasses))
    molasses_pol = of["molasses_brix"] * molasses / 100
    return {
        "filter_cake": cake,
        "filter_cake_pol": of["cake_pol"],
        "sugar": 100 * into_sugar / of["sugar_pol"],
        "sugar_pol": of["sugar_pol"],
        "sugar_moisture": of["sugar_moisture"],
        "final_molasses": 100 * (rest - into_sugar) / molasses_pol,
        "final_molasses_brix": of["molasses_brix"],
        "final_molasses_pol": molasses_pol,
        "final_molasses_reducing_sugars": of["reducing_sugars"],
        "final_molasses_ash": of["ash"],
    }


class Asked(Mapping[str, np.ndarray]):
    """Every figure of some sheets, each worked out when it is asked for."""

    def __init__(self, known: dict[str, np.ndarray], conventions: dict[str, np.ndarray]) -> None:
        self._known, self._conventions = known, conventions
        self._found: dict[str, np.ndarray] = {}

    def __getitem__(self, name: str) -> np.ndarray:
        if name not in self._found:
            worked_out, _ = worked_out_by_way(self._known, self._conventions, behind((name,)))
            self._found |= worked_out
        return self._found[name]

    def __iter__(self):
        return iter(FIGURES)

    def __len__(self) -> int:
        return len(FIGURES)


def figures_of(entered: dict[str, object], **conventions: object) -> Asked:
    """Work figures out of what was entered, one row a sheet."""
    known = {f"entered_{name}": np.atleast_1d(np.asarray(v, float)) for name, v in entered.items()}
    size = len(next(iter(known.values())))
    return Asked(known, in_force(conventions, size))
