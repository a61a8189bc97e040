"""The invented mill run forwards: what really went through it on each shift of the season.

Cane, juice, bagasse, stock, sugar and molasses balance exactly here, in tonnes of mass, dissolved
solids and pol; `samples` tells what an analysis of them would truly be, and `season` measures that
as people and instruments do.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Values = NDArray[np.float64]

SEED = 20260601
DAYS = 150
SHIFTS_A_DAY = 3
SHIFTS = DAYS * SHIFTS_A_DAY

ENTRAINED = 0.004  # of the solids and pol of the juice evaporated
INVERTED_IN_EVAPORATORS = 0.003  # of pol, which becomes non-pol
INVERTED_IN_PANS = 0.005
POL_ONLY = np.array([0.0, 1.0])  # inversion leaves the solids as they are
SYRUP_TO_B_GRAIN = 0.13
A_MOLASSES_TO_C_GRAIN = 0.28
B_MAGMA_REMELTED = 0.35

# mean hours that the contents of each vessel stay in it
STAYS = {
    "juice_tanks": 3.0,
    "syrup_tanks": 4.0,
    "a_pans": 6.0,
    "b_pans": 12.0,
    "c_pans": 40.0,
    "a_molasses_tanks": 5.0,
    "b_molasses_tanks": 8.0,
    "magma_mixers": 6.0,
    "remelt_tank": 4.0,
}

# Long stops for rain and for a broken shaft: first shift of the season that stands, shifts.
LONG_STOPS = ((166, 6), (299, 7))


@dataclass(frozen=True)
class Balance:
    """What happened, one value a shift.

    `mass`, `solids` and `pol` are tonnes by stream or place of loss; `percent` what the tandem
    worked at; `held` the solids and pol of each vessel at the end of the shift.
    """

    hours: Values
    mass: dict[str, Values]
    solids: dict[str, Values]
    pol: dict[str, Values]
    percent: dict[str, Values]
    held: dict[str, tuple[Values, Values]]


class Draw:
    """Values that wander from shift to shift about their mean, the same at every run."""

    def __init__(self, seed: int = SEED) -> None:
        self.random = np.random.Generator(np.random.PCG64(seed))

    def wander(self, mean: float | Values, spread: float, memory: float = 0.93) -> Values:
        """Return `mean` and a slow disturbance of standard deviation `spread`."""
        steps = self.random.normal(0, spread * np.sqrt(1 - memory**2), SHIFTS)
        now = self.random.normal(0, spread)
        found = np.empty(SHIFTS)
        for shift, step in enumerate(steps):
            now = memory * now + step
            found[shift] = now
        return mean + found


def _season(*values: float) -> Values:
    """Return a value for each shift, through `values` evenly spaced over the season."""
    return np.interp(np.linspace(0, 1, SHIFTS), np.linspace(0, 1, len(values)), values)


def _crushing_hours(draw: Draw) -> Values:
    hours = 8 - np.minimum(0.6, draw.random.exponential(0.12, SHIFTS))
    part_stops = draw.random.random(SHIFTS) < 0.12
    hours[part_stops] -= draw.random.uniform(0.5, 4, part_stops.sum())
    for number, day in enumerate(range(9, DAYS - 4, 14)):
        first = day * SHIFTS_A_DAY
        hours[first : first + 1 + number % 2] = 0
    for first, shifts in LONG_STOPS:
        hours[first : first + shifts] = 0
    return np.round(hours, 2)


def _cane(draw: Draw) -> dict[str, Values]:
    hours = _crushing_hours(draw)
    return {
        "crushing_hours": hours,
        "cane": hours * draw.wander(231, 6, 0.7),
        "fibre": np.clip(draw.wander(_season(14.0, 14.1, 14.3, 14.6), 0.3), 13, 15.5),
        "purity": draw.wander(_season(81.7, 83.6, 85.2, 85.3, 84.4, 83.1), 0.3),
        "pol": draw.wander(_season(12.4, 13.1, 13.6, 13.7, 13.3, 12.9), 0.15),
    }


def _tandem(draw: Draw, came: dict[str, Values]) -> Balance:
    """Return what left the tandem: the absolute juice lost in bagasse, on fibre, decides all."""
    cane, fibre = came["cane"], came["cane"] * came["fibre"] / 100
    on_fibre = draw.wander(2.2, 0.07)
    lost = draw.wander(25.0, 0.8) - 4 * (on_fibre - 2.2)
    pol_in_cane = cane * came["pol"] / 100
    brix_in_cane = pol_in_cane / came["purity"] * 100
    brix_in_bagasse = brix_in_cane * lost / 100 * came["fibre"] / (100 - came["fibre"])
    residual_purity = came["purity"] + draw.wander(-12.2, 0.6)
    pol_in_bagasse = brix_in_bagasse * residual_purity / 100
    moisture, insoluble = draw.wander(50.0, 0.4), draw.wander(0.5, 0.05)
    dry, solids = 1 - moisture / 100, insoluble / 100
    arrived = cane + fibre * on_fibre
    juice = (arrived - (fibre + brix_in_bagasse) / dry) / (1 - solids / dry)
    return Balance(
        came["crushing_hours"],
        {
            "cane": cane, "imbibition": fibre * on_fibre, "mixed_juice": juice,
            "bagasse": arrived - juice, "fibre": fibre, "suspended_solids": juice * solids,
        },
        {"cane": brix_in_cane, "bagasse": brix_in_bagasse},
        {"cane": pol_in_cane, "bagasse": pol_in_bagasse},
        {
            "bagasse_moisture": moisture, "mixed_juice_suspended_solids": insoluble,
            "last_expressed_juice_purity": residual_purity, "cane_purity": came["purity"],
            "absolute_juice_brix": 1e4 * came["pol"] / came["purity"] / (100 - came["fibre"]),
        },
        {},
    )  # fmt: skip


def _clarify(draw: Draw, balance: Balance) -> None:
    """Add mixed juice, filter cake and clear juice: pol leaves with cake, non-pol is taken out."""
    mass, solids, pol = balance.mass, balance.solids, balance.pol
    for tonnes in (solids, pol):
        tonnes["mixed_juice"] = tonnes["cane"] - tonnes["bagasse"]
    mass["filter_cake"] = mass["cane"] * draw.wander(3.5, 0.15) / 100
    balance.percent["filter_cake_pol"] = np.clip(draw.wander(1.75, 0.2), 1.2, 2.4)
    pol["filter_cake"] = mass["filter_cake"] * balance.percent["filter_cake_pol"] / 100
    pol["clear_juice"] = pol["mixed_juice"] - pol["filter_cake"]
    purity = percentage(pol["mixed_juice"], solids["mixed_juice"]) + draw.wander(0.8, 0.12)
    solids["clear_juice"] = np.nan_to_num(100 * pol["clear_juice"] / purity)
    solids["filter_cake"] = solids["mixed_juice"] - solids["clear_juice"]


def percentage(part: Values, whole: Values) -> Values:
    """Return `part` in 100 of `whole`, NaN where there is none of it."""
    with np.errstate(divide="ignore", invalid="ignore"):
        return np.where(whole > 0, 100 * part / whole, np.nan)


class Vessel:
    """A well-mixed vessel: tonnes of solids and of pol held, and the hours that they stay."""

    def __init__(self, stay: float) -> None:
        self.stay, self.held = stay, np.zeros(2)

    def pass_on(self, inflow: Values, hours: float) -> Values:
        """Take `inflow` evenly over `hours`; return what left in them."""
        left = np.exp(-hours / self.stay)
        closing = left * self.held + (1 - left) * self.stay / hours * inflow
        outflow = self.held + inflow - closing
        self.held = closing
        return outflow

    def draw_off(self, hours: float) -> Values:
        """Return what leaves in `hours` while nothing comes in."""
        return self.pass_on(np.zeros(2), hours)


def spin(massecuite: Values, crystal: float, liquor: float) -> tuple[Values, Values]:
    """Return crystals and mother liquor of those purities, together the `massecuite`."""
    purity = 100 * massecuite[1] / massecuite[0]
    solids = massecuite[0] * (purity - liquor) / (crystal - liquor)
    crystals = np.array([solids, solids * crystal / 100])
    return crystals, massecuite - crystals


class BoilingHouse:
    """Juice to sugar and molasses by three boilings; pans stand while the mill stands."""

    def __init__(self) -> None:
        self.vessels = {name: Vessel(stay) for name, stay in STAYS.items()}

    def run(self, clear_juice: Values, hours: float, purity: dict[str, float]) -> dict[str, Values]:
        """Return the flows, [solids, pol] in tonnes, of a shift of so many crushing `hours`."""
        vessel = self.vessels
        juice = vessel["juice_tanks"].pass_on(clear_juice, hours)
        entrained = juice * ENTRAINED
        inverted = (juice - entrained) * INVERTED_IN_EVAPORATORS * POL_ONLY
        syrup = juice - entrained - inverted
        boiled = vessel["syrup_tanks"].pass_on(syrup, hours)
        inverted_later = boiled * INVERTED_IN_PANS * POL_ONLY
        magma, remelt = (vessel[name].draw_off(hours) for name in ("magma_mixers", "remelt_tank"))
        flows = self._boil(boiled - inverted_later, magma + remelt, hours, purity)
        melted = flows["c_magma"] + flows["b_magma"] * B_MAGMA_REMELTED
        vessel["magma_mixers"].held += flows["b_magma"] * (1 - B_MAGMA_REMELTED)
        vessel["remelt_tank"].held += melted
        lost = entrained + inverted + inverted_later
        return {**flows, "syrup": syrup, "remelt": melted, "undetermined": lost}

    def _boil(
        self, syrup: Values, returned: Values, hours: float, purity: dict[str, float]
    ) -> dict[str, Values]:
        vessel = self.vessels
        a = vessel["a_pans"].pass_on(syrup * (1 - SYRUP_TO_B_GRAIN) + returned, hours)
        a_liquor = purity["a_molasses"] + 0.8 * (100 * a[1] / a[0] - 86)
        sugar, a_molasses = spin(a, purity["sugar"], a_liquor)
        drawn = vessel["a_molasses_tanks"].pass_on(a_molasses, hours)
        b_feed = drawn * (1 - A_MOLASSES_TO_C_GRAIN) + syrup * SYRUP_TO_B_GRAIN
        b = vessel["b_pans"].pass_on(b_feed, hours)
        b_magma, b_molasses = spin(b, purity["b_magma"], purity["b_molasses"])
        c_feed = vessel["b_molasses_tanks"].pass_on(b_molasses, hours)
        c = vessel["c_pans"].pass_on(c_feed + drawn * A_MOLASSES_TO_C_GRAIN, hours)
        c_magma, molasses = spin(c, purity["c_magma"], purity["final_molasses"])
        return {
            "a_massecuite": a, "b_massecuite": b, "c_massecuite": c,
            "a_molasses": a_molasses, "b_molasses": b_molasses, "final_molasses": molasses,
            "b_magma": b_magma, "c_magma": c_magma, "sugar": sugar,
        }  # fmt: skip

    def stock(self) -> Values:
        """Return what each vessel holds, in the order of STAYS: rows of solids and pol."""
        return np.array([vessel.held for vessel in self.vessels.values()])


def _boil_season(draw: Draw, balance: Balance) -> None:
    """Add every flow of the boiling house, and what its vessels hold, to the balance."""
    purities = {
        "a_molasses": draw.wander(68.0, 0.4),
        "b_molasses": draw.wander(49.3, 0.5),
        "final_molasses": draw.wander(_season(35.0, 35.6, 36.4, 37.2, 36.6, 36.0), 0.35),
        "sugar": np.minimum(draw.wander(99.15, 0.08), 99.4),
        "b_magma": draw.wander(93.2, 0.4),
        "c_magma": draw.wander(82.5, 0.6),
    }
    house, flows, held = BoilingHouse(), [], []
    for shift, hours in enumerate(balance.hours):
        juice = np.array([balance.solids["clear_juice"][shift], balance.pol["clear_juice"][shift]])
        now = {name: values[shift] for name, values in purities.items()}
        flows.append(house.run(juice, hours, now) if hours else {})
        held.append(house.stock())
    for name in flows[0]:
        both = np.array([flow.get(name, np.zeros(2)) for flow in flows])
        balance.solids[name], balance.pol[name] = both.T
    for number, name in enumerate(STAYS):
        balance.held[name] = tuple(np.array(held)[:, number].T)


def run_season(draw: Draw) -> Balance:
    """Return the balance of every shift of the season, from the empty factory of its first day."""
    balance = _tandem(draw, _cane(draw))
    _clarify(draw, balance)
    _boil_season(draw, balance)
    return balance
