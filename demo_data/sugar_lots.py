"""Sugar of the invented mill after the dryers: lots bagged, loads dispatched, and the store."""

from collections.abc import Iterator, Mapping, Sequence
from datetime import timedelta

import numpy as np

from .books import SINCE, Kept, Shift, Written
from .factory import SEED, SHIFTS, SHIFTS_A_DAY, Values
from .typed import FIRST_DAY

BAG = 50  # kg
LOTS_A_SHIFT = 3
IN_STORE = 4180.0  # t, two days before lots are written
SPILT = 0.4  # t a day, swept up and melted again

# analysis of a lot: decimals, and how far the lots of a shift lie apart
ANALYSES = {
    "pol": (2, 0.03), "moisture": (2, 0.01), "colour": (0, 30), "temperature": (1, 0.4),
    "reducing_sugars": (2, 0.01), "ash": (2, 0.01), "grain_size": (2, 0.01),
}  # fmt: skip
DUE = ("pol", "moisture", "colour", "temperature")
CUSTOMERS = ("K21", "K34", "K08")
LOADS = {1: 9, 2: 6, 3: 3}  # by shift of the day


def _bags(texts: Mapping[str, str]) -> list[int]:
    whole = round(1000 * float(texts["sugar"]) / BAG)
    of_lots = [whole // LOTS_A_SHIFT] * LOTS_A_SHIFT
    of_lots[-1] += whole - sum(of_lots)
    return of_lots if whole else []


def lot_name(number: int, lot: int) -> str:
    """Return how a lot is called: by the day of the season, its shift and its place there."""
    day, of_day = divmod(number, SHIFTS_A_DAY)
    return f"S{day + 1}-{of_day + 1}{'ABC'[lot]}"


def lots(shift: Shift) -> Iterator[Written]:
    """Yield the lots of a shift: their analyses lie about what the shift has."""
    of_lots = _bags(shift.texts)
    for lot, bags in enumerate(of_lots):
        minutes = (lot + 1) * 480 / len(of_lots) - 2
        away = lot - (len(of_lots) - 1) / 2
        yield minutes + 2, {
            "lot": lot_name(shift.number, lot), "ended": shift.clock(minutes),
            "bags": f"{bags}", "bag_mass": f"{BAG}", **_analysed(shift.texts, away),
        }  # fmt: skip


def _analysed(texts: Mapping[str, str], away: float) -> dict[str, str]:
    return {
        name: f"{float(texts[f'sugar_{name}']) + away * apart:.{decimals}f}"
        for name, (decimals, apart) in ANALYSES.items()
        if texts.get(f"sugar_{name}", "")[:1].isdigit()
    }


def loads_of(number: int) -> Sequence[float]:
    """Return the tonnes of each load that leaves the store on a shift."""
    random = np.random.default_rng(SEED + 50 + number)
    count = LOADS[number % SHIFTS_A_DAY + 1]
    return [round(float(tonnes), 2) for tonnes in 30 + random.normal(0, 0.4, count)]


def dispatched(shift: Shift) -> Iterator[Written]:
    """Yield the loads of a shift, of lots that were bagged a day before."""
    for load, tonnes in enumerate(loads_of(shift.number)):
        minutes = 40 + 45 * load
        yield minutes + 5, {
            "ticket": f"{70_000 + shift.number % 1000 * 20 + load}", "left": shift.clock(minutes),
            "lot": lot_name(shift.number - SHIFTS_A_DAY - load // 3, load % LOTS_A_SHIFT),
            "customer": CUSTOMERS[load % len(CUSTOMERS)], "vehicle": f"TR {110 + load % 4}",
            "seal": f"{5200 + shift.number % 100 * 10 + load}", "tonnes": f"{tonnes:.2f}",
            "certificate": "yes" if load % 3 == 0 else "no",
        }  # fmt: skip


def store_of_season(sugar: Values) -> Values:
    """Return the tonnes counted by shift, NaN but at the end of each day once they are counted."""
    found, held = np.full(SHIFTS, np.nan), IN_STORE
    first = (SINCE - FIRST_DAY - timedelta(days=1)).days * SHIFTS_A_DAY
    for number in range(first, SHIFTS):
        kept_book = number >= first + SHIFTS_A_DAY
        held += float(sugar[number]) - (sum(loads_of(number)) if kept_book else 0)
        if number % SHIFTS_A_DAY == SHIFTS_A_DAY - 1:
            held -= SPILT if kept_book else 0
            found[number] = held
    return found


BAGGING = Kept("bagging", lots, frozenset({"sugar", *(f"sugar_{name}" for name in ANALYSES)}))
DISPATCH = Kept("dispatch", dispatched)
