"""What the invented laboratory takes of its own choice, how often, and what it would truly find."""

import numpy as np

from .cane_loads import yard_of_season
from .energy import energy
from .evaporator import evaporator
from .factory import SEED, SHIFTS, SHIFTS_A_DAY, Balance, Draw, Values
from .juices import juices
from .stops import hours_stopped
from .sugar_lots import store_of_season

METERED = (
    "filter_wash", "flocculant", "evaporator_steam", "a_massecuite_volume", "b_massecuite_volume",
    "c_massecuite_volume", "bagasse_burnt", "power_sold", "power_bought", "condenser_outlet",
)  # fmt: skip
EACH_SHIFT = ("steam_pressure", "steam_temperature", "feed_water_temperature")
# on the first and the last shift: two of three suffice for a period
TWICE_A_DAY = (
    *(f"{stream}_{prop}" for stream in ("mixed_juice", "clear_juice", "syrup")
      for prop in ("reducing_sugars", "colour")),
    "mixed_juice_phosphate", "filtrate_suspended_solids", "filter_cake_suspended_solids",
    "evaporator_steam_temperature", "sugar_reducing_sugars", "sugar_ash",
    "condensate_sugar_trace",
)  # fmt: skip
DAILY = (
    "mixed_juice_ash", "clear_juice_ash", "syrup_ash", "mud_suspended_solids",
    *(f"effect_{n}_{prop}" for n in range(1, 5)
      for prop in ("brix", "temperature", "vapour_temperature")),
    *(f"c_massecuite_{prop}"
      for prop in ("temperature", "cooled_temperature", "reheated_temperature")),
    "sugar_grain_size", "sugar_grain_variation",
    "final_molasses_temperature", "flue_gas_temperature", "flue_gas_oxygen", "air_temperature",
    "condenser_inlet_sugar_trace", "condenser_outlet_sugar_trace",
)  # fmt: skip
WEEKLY = (
    *(f"mill_{n}_juice_{prop}" for n in range(1, 5) for prop in ("brix", "pol")),
    "bagasse_ash", "a_mother_liquor_purity", "b_mother_liquor_purity",
    "c_mother_liquor_at_strike_purity", "c_mother_liquor_purity", "mixed_juice_sucrose",
    "bagasse_sucrose", "filter_cake_sucrose", "sugar_sucrose", "final_molasses_sucrose",
    "final_molasses_true_purity",
)  # fmt: skip


def chosen_measures(balance: Balance, due: dict[str, Values]) -> dict[str, Values]:
    """Return the true value of each measure of the laboratory's choice, NaN where not taken.

    `due` has those of the due measures. A meter is read on every shift; nothing is sampled of a
    mill that stands.
    """
    draw = Draw(SEED + 3)
    true = juices(balance, due, draw) | evaporator(balance, due, draw) | energy(balance, due, draw)
    found = {name: true[name] for name in METERED}
    for names, when in (
        (EACH_SHIFT, every(1)), (TWICE_A_DAY, ~every(SHIFTS_A_DAY, 2)),
        (DAILY, every(SHIFTS_A_DAY)), (WEEKLY, every(7 * SHIFTS_A_DAY)),
    ):  # fmt: skip
        taken = when & (balance.hours > 0)
        found |= {name: np.where(taken, true[name], np.nan) for name in names}
    counted = {"cane_in_yard": yard_of_season(), "sugar_in_store": store_of_season(due["sugar"])}
    return found | hours_stopped(balance.hours) | counted


def every(shifts: int, of: int = 0) -> np.ndarray:
    """Tell of each shift whether it is the one numbered `of`, the last by itself, of so many."""
    return np.arange(SHIFTS) % shifts == (of or shifts) - 1
