"""What a laboratory may also look for in juice, bagasse, cake, sugar and molasses, as it truly is.

Reducing sugars and ash of juice are such as molasses and sugar hold in the end, and sucrose lies a
little above pol, which fructose turns back.
"""

import numpy as np

from app.chemistry.density import sucrose_solution_density

from .factory import Balance, Draw, Values
from .samples import BRIXES

ON_BRIX = {"reducing_sugars": (3.4, 0.12), "ash": (3.4, 0.1)}  # of mixed juice
# juice of the mills after the first: its brix, and how far its purity has fallen to the last's
MILL_JUICES = {2: (11.4, 0.4), 3: (8.2, 0.65), 4: (5.9, 0.85)}
AT_STRIKE = {"a": 64, "b": 65, "c": 66}  # °C of massecuite
MOLASSES = {"a": "a_molasses", "b": "b_molasses", "c": "final_molasses"}

# What stands outside the balance: its level, and how far that wanders.
BESIDE = {
    "bagasse_ash": (2.4, 0.25),
    "mixed_juice_colour": (14_500, 700),
    "mixed_juice_phosphate": (275, 18),
    "mud_suspended_solids": (7, 0.35),
    "filtrate_suspended_solids": (1.4, 0.12),
    "c_massecuite_cooled_temperature": (43, 0.6),
    "c_massecuite_reheated_temperature": (54, 0.5),
    "sugar_reducing_sugars": (0.25, 0.02),
    "sugar_ash": (0.22, 0.015),
    "sugar_grain_size": (0.78, 0.025),
    "sugar_grain_variation": (31, 1.2),
    "final_molasses_temperature": (43, 1.5),
}


def juices(balance: Balance, due: dict[str, Values], draw: Draw) -> dict[str, Values]:
    """Return what is analysed from the mills to molasses, and what is dosed and struck."""
    found = {name: draw.wander(*level) for name, level in BESIDE.items()}
    found["clear_juice_colour"] = found["mixed_juice_colour"] * draw.wander(0.67, 0.012)
    found["syrup_colour"] = found["clear_juice_colour"] * draw.wander(1.07, 0.01)
    found["flocculant"] = balance.mass["cane"] * draw.wander(3.3, 0.2) / 1000  # kg
    found["filter_wash"] = balance.mass["filter_cake"] * draw.wander(1.2, 0.06)
    dissolved = due["filter_cake_pol"] * due["filtrate_brix"] / due["filtrate_pol"]
    found["filter_cake_suspended_solids"] = 100 - due["filter_cake_moisture"] - dissolved
    return (
        found | _mill_juices(due, draw) | _on_brix(due, draw) | _sucrose(due, draw)
        | _massecuites(balance, due, draw) | _mother_liquors(due, draw)
    )  # fmt: skip


def _purity(due: dict[str, Values], stream: str) -> Values:
    return 100 * due[f"{stream}_pol"] / due[f"{stream}_brix"]


def _mill_juices(due: dict[str, Values], draw: Draw) -> dict[str, Values]:
    first = due["first_expressed_juice_brix"] * draw.wander(0.985, 0.003)
    purity, last = (_purity(due, f"{which}_expressed_juice") for which in ("first", "last"))
    found = {"mill_1_juice_brix": first, "mill_1_juice_pol": first * (purity - 0.6) / 100}
    for n, (brix, fallen) in MILL_JUICES.items():
        leaves = first / 18.7 * draw.wander(brix, 0.15)
        found[f"mill_{n}_juice_brix"] = leaves
        found[f"mill_{n}_juice_pol"] = leaves * (purity + fallen * (last - purity)) / 100
    return found


def _on_brix(due: dict[str, Values], draw: Draw) -> dict[str, Values]:
    """Reducing sugars, of which lime destroys some and heat makes some, and ash of the juices."""
    found = {}
    for prop, level in ON_BRIX.items():
        mixed = draw.wander(*level)
        clear = mixed * (0.975 if prop == "reducing_sugars" else 0.99)
        syrup = clear + (0.2 if prop == "reducing_sugars" else 0)
        for stream, part in (("mixed_juice", mixed), ("clear_juice", clear), ("syrup", syrup)):
            found[f"{stream}_{prop}"] = due[f"{stream}_brix"] * part / 100
    return found


def _sucrose(due: dict[str, Values], draw: Draw) -> dict[str, Values]:
    true_purity = _purity(due, "final_molasses") + draw.wander(4.6, 0.25)
    return {
        "mixed_juice_sucrose": due["mixed_juice_pol"] * draw.wander(1.0125, 0.0015),
        "bagasse_sucrose": due["bagasse_pol"] * draw.wander(1.012, 0.002),
        "filter_cake_sucrose": due["filter_cake_pol"] * draw.wander(1.01, 0.002),
        "sugar_sucrose": due["sugar_pol"] + draw.wander(0.07, 0.01),
        "final_molasses_true_purity": true_purity,
        "final_molasses_sucrose": due["final_molasses_brix"] * true_purity / 100,
    }


def _massecuites(balance: Balance, due: dict[str, Values], draw: Draw) -> dict[str, Values]:
    """Volume struck of each massecuite: that of the solids that passed."""
    found = {"c_massecuite_temperature": draw.wander(AT_STRIKE["c"], 0.7)}
    for grade, temperature in AT_STRIKE.items():
        name = f"{grade}_massecuite"
        brix = np.nan_to_num(due[f"{name}_brix"], nan=BRIXES[name][0])
        density = sucrose_solution_density(brix, temperature) / 1000
        found[f"{name}_volume"] = 100 * balance.solids[name] / brix / density
    return found


def _mother_liquors(due: dict[str, Values], draw: Draw) -> dict[str, Values]:
    """Mother liquors, whose purity rises again in the centrifugals."""
    molasses = due | {"final_molasses_purity": _purity(due, "final_molasses")}
    found = {
        f"{grade}_mother_liquor_purity": molasses[f"{run_off}_purity"] - draw.wander(2, 0.2)
        for grade, run_off in MOLASSES.items()
    }
    at_strike = found["c_mother_liquor_purity"] + draw.wander(4, 0.3)
    return found | {"c_mother_liquor_at_strike_purity": at_strike}
