"""What somebody wishes of a period: what may be wished, how it is read, and what cannot be."""

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal

import numpy as np

from app.figures import FIGURES
from app.figures.declare import Values
from app.figures.points import ASKED as OF_POINTS
from app.figures.what_if import UNDETERMINED, changes
from app.language import _, either
from app.plant.typed import Unreadable, both_readings, number, plain
from app.reports.lines import Cell
from app.reports.numbers import plus_minus, printed
from app.reports.points import DECIMALS, OF_JUICE, signed

RECOVERY, POL_IN_CANE, POL_IN_SUGAR = "overall_recovery", "pol_in_cane", "pol_in_sugar"
BAGGED, MADE = "sugar", "sugar_made_and_estimated"
JUICE, SUGAR, MOLASSES = "mixed_juice_purity", "sugar_purity", "final_molasses_purity"
PRICE, CURRENCY = "price", "currency"
OTHERS = {PRICE: "Price of a tonne of sugar", CURRENCY: "In which money"}
# conventions, where a mill has them
STATED_PRICE, STATED_CURRENCY, NO_CURRENCY = "sugar_price", "sugar_price_currency", "none"
LARGEST_PRICE, LONGEST_CURRENCY = 1e9, 12


@dataclass(frozen=True)
class Box:
    """A figure that may be wished otherwise: its limits, and the step that is told of it."""

    name: str
    low: float
    step: float
    title: str
    unit: str = ""


BOXES = tuple(
    Box(name, low, step, FIGURES[titled].title, unit or FIGURES[name].unit)
    for name, low, step, titled, unit in (
        ("pol_extraction", 1, 0.1, "pol_extraction", ""),
        ("filter_cake_loss_on_mixed_juice", 0, -0.1, "filter_cake_loss", OF_JUICE),
        (MOLASSES, 1, -1, MOLASSES, ""),
        (JUICE, 1, 1, JUICE, ""),
        (SUGAR, 1, 0.1, SUGAR, ""),
        (UNDETERMINED, 0, -0.1, UNDETERMINED, ""),
    )
)
# tonnes of pol by place, in the order of CHANGES
PLACES = (
    POL_IN_SUGAR, "pol_in_bagasse", "pol_in_filter_cake", "pol_in_final_molasses",
    "undetermined_pol",
)  # fmt: skip
ASKED = (
    *OF_POINTS, POL_IN_CANE, *PLACES, BAGGED, MADE, *(box.name for box in BOXES),
)  # fmt: skip
FIELDS = (*(box.name for box in BOXES), PRICE, CURRENCY)


@dataclass(frozen=True)
class Stand:
    """Where a period stands: its figures, tonnes, the sugar of a tonne of pol, and a price."""

    figures: Values
    cells: Mapping[str, Cell]
    sugar_name: str
    price: float | None = None
    currency: str = ""

    def value(self, name: str) -> float:
        """Return the exact value of a figure that is there."""
        return self.cells[name].value or 0.0

    @property
    def pol_per_point(self) -> float:
        """Tonnes of pol of one point of recovery."""
        return self.value(POL_IN_CANE) / 100

    @property
    def sugar_per_pol(self) -> float:
        """Tonnes of sugar that hold a tonne of pol."""
        return self.value(self.sugar_name) / self.value(POL_IN_SUGAR)

    def money(self, sugar: float) -> str:
        """Return what tonnes of sugar are worth; "" without a price."""
        if self.price is None:
            return ""
        return printed(sugar * self.price, self._decimals)

    def money_more(self, sugar: float) -> str:
        """Return the same with its sign."""
        return "" if self.price is None else signed(sugar * self.price, self._decimals)

    def money_unsure(self, sugar: float) -> str:
        """Return "± 310", of the standard uncertainty of tonnes of sugar."""
        return "" if self.price is None else plus_minus(sugar * self.price, self._decimals)

    @property
    def _decimals(self) -> int:
        return 0 if self.price is None or self.price >= 10 else DECIMALS


def change_of(stand: Stand, wished: Mapping[str, float]) -> Values:
    """Return CHANGES, per 100 pol in cane."""
    return changes(stand.figures[:, np.newaxis], wished)[:, 0]


def wishes(typed: Mapping[str, str], stand: Stand, wrong: dict[str, str]) -> dict[str, float]:
    """Read what is wished; what is wrong with it, alone or together, is put into `wrong`."""
    wished = {
        box.name: read_number(typed[box.name], box.low, 100, box.name, wrong)
        for box in BOXES
        if typed.get(box.name, "").strip()
    }
    if not wrong:
        wrong |= out_of_order(wished, stand)
    if not wrong:
        wrong |= below_nothing(wished, stand)
    return wished


def price_of(typed: Mapping[str, str], wrong: dict[str, str]) -> float | None:
    """Read the price of a tonne of sugar; None where none was typed."""
    text = typed.get(PRICE, "").strip()
    return read_number(text, 0, LARGEST_PRICE, PRICE, wrong) if text else None


def read_number(text: str, low: float, high: float, name: str, wrong: dict[str, str]) -> float:
    """Read a number between two others; what is wrong with it is put into `wrong`."""
    readings = both_readings(text)
    try:
        value = float(number(text))
    except Unreadable:
        wrong[name] = _("Write a number like 1234.5 or 1234,5, with no other mark or letter")
        return 0.0
    if not low <= value <= high:
        ends = {"low": printed(Decimal(low), 0), "high": printed(Decimal(high), 0)}
        wrong[name] = _("Write a number from {low} to {high}", **ends)
    elif readings and all(low <= float(each) <= high for each in readings):
        wrong[name] = _("{typed}: write {readings}", typed=text.strip(), readings=either(readings))
    return value


def out_of_order(wished: Mapping[str, float], stand: Stand) -> dict[str, str]:
    """Return what is wrong where molasses is not less pure than juice, and juice than sugar."""
    purity = {name: wished.get(name, stand.value(name)) for name in (MOLASSES, JUICE, SUGAR)}
    for poorer, purer in ((MOLASSES, JUICE), (JUICE, SUGAR)):
        if purity[poorer] >= purity[purer]:
            where = poorer if poorer in wished else purer
            told = {
                "poorer": _(FIGURES[poorer].title), "purer": _(FIGURES[purer].title),
                "low": printed(purity[poorer], DECIMALS), "high": printed(purity[purer], DECIMALS),
            }  # fmt: skip
            return {where: _("{poorer} ({low}) must be below {purer} ({high})", **told)}
    return {}


def below_nothing(wished: Mapping[str, float], stand: Stand) -> dict[str, str]:
    """Return what is wrong where a place would hold less than nothing, by what does most of it."""
    change = change_of(stand, wished)
    for n, name in enumerate(PLACES[:-1]):
        would_be = stand.value(name) + float(change[n]) * stand.pol_per_point
        if change[n] < 0 and would_be < 0:
            alone = {each: change_of(stand, {each: value})[n] for each, value in wished.items()}
            where = min(alone, key=lambda each: float(alone[each]))
            return {
                where: _(
                    "{place} would be {tonnes} t, less than nothing",
                    place=_(FIGURES[name].title), tonnes=printed(would_be, 1),
                )
            }  # fmt: skip
    return {}


def stated_price(in_force: Mapping[str, str]) -> dict[str, str]:
    """Return the price that a mill states among its conventions, as it is typed, and its money."""
    try:
        price = number(in_force.get(STATED_PRICE, ""))
    except Unreadable:
        return {}
    if price <= 0:
        return {}
    word = in_force.get(STATED_CURRENCY, NO_CURRENCY)
    return {PRICE: plain(price), CURRENCY: "" if word == NO_CURRENCY else word}
