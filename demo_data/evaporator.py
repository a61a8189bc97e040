"""The invented evaporator: four effects in series, whose tubes scale between two cleanings.

Brix of each effect follows from its share of the water, so that the juice of one is what enters the
next; temperature of the juice is that of its vapour, the elevation of its boiling point and a head.
"""

import numpy as np

from app.chemistry.boiling_point import boiling_point_elevation
from app.chemistry.steam import saturation_pressure

from .factory import DAYS, SHIFTS, SHIFTS_A_DAY, Balance, Draw, Values

SURFACES = (1850, 1850, 1750, 1700)  # m²
ECONOMY = 3.2  # t of water for each t of steam, some vapour being bled to heaters
SHARES = (30.0, 26.0, 23.0)  # % of the water, and the rest to the last effect
VAPOURS = (107.6, 96.9, 83.2, 55.8)  # °C
HEADS = (0.4, 0.5, 0.8, 1.1)  # K
STEAM, SCALE = 115.9, 2.2  # °C of steam to clean tubes, and K that scale adds until they are


def evaporator(balance: Balance, due: dict[str, Values], draw: Draw) -> dict[str, Values]:
    """Return steam to the evaporator, its temperature, and brix and temperatures of each effect."""
    juice, syrup = due["clear_juice_brix"], due["syrup_brix"]
    evaporated = balance.solids["clear_juice"] * 100 * (1 / juice - 1 / syrup)
    found = {
        "evaporator_steam": np.nan_to_num(evaporated) / draw.wander(ECONOMY, 0.05),
        "evaporator_steam_temperature": STEAM + SCALE * _scale(balance) + draw.wander(0, 0.3),
    }
    shares = [draw.wander(share, 0.3) for share in SHARES]
    leaving = np.cumsum([*shares, 100 - np.sum(shares, axis=0)], axis=0)
    for n, (taken, vapour, head) in enumerate(zip(leaving, VAPOURS, HEADS, strict=True), 1):
        brix = 1 / (1 / juice - taken / 100 * (1 / juice - 1 / syrup))
        above = draw.wander(vapour, 0.5)
        elevation = boiling_point_elevation(brix, saturation_pressure(above))
        found[f"effect_{n}_brix"] = brix
        found[f"effect_{n}_temperature"] = above + elevation + draw.wander(head, 0.1)
        found[f"effect_{n}_vapour_temperature"] = above
    return found


def _scale(balance: Balance) -> Values:
    """Return how far tubes have scaled, 0 to 1: they are cleaned on days with a shift's stop."""
    stood = (balance.hours.reshape(DAYS, SHIFTS_A_DAY) == 0).any(axis=1)
    since, days = 0, np.zeros(DAYS)
    for day in range(DAYS):
        since = 0 if stood[day] else since + 1
        days[day] = since
    return np.repeat(np.minimum(days / 14, 1), SHIFTS // DAYS)
