"""What a period would have been with other figures, in tonnes and money beside what it was."""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

import numpy as np

from app.figures import FIGURES
from app.figures.declare import Values
from app.figures.periods import Result
from app.figures.points import ASKED as OF_POINTS
from app.figures.points import FACTORS, Standing, parts
from app.figures.sheets import Period
from app.figures.what_if import CHANGES, WISHED, as_wished, uncertainties
from app.language import _
from app.reports.lines import Cell, cell
from app.reports.numbers import COVERAGE_FACTOR, plus_minus, printed
from app.reports.points import DECIMALS, signed
from app.reports.season_books import SeasonBooks
from app.reports.wishes import (
    ASKED,
    BAGGED,
    BOXES,
    CURRENCY,
    LONGEST_CURRENCY,
    MADE,
    OTHERS,
    PLACES,
    POL_IN_CANE,
    POL_IN_SUGAR,
    RECOVERY,
    Box,
    Stand,
    below_nothing,
    change_of,
    out_of_order,
    price_of,
    wishes,
)  # fmt: skip


@dataclass(frozen=True)
class Row:
    """One number as it is and as it would be; `name` is the figure that it opens to, if one."""

    name: str
    title: str
    unit: str
    real: str
    would_be: str
    difference: str
    plus_minus: str = ""
    total: bool = False


@dataclass(frozen=True)
class StepRow:
    """What one step of a figure is worth; nothing where it cannot be taken."""

    box: Box
    step: str
    points: str = ""
    pol: str = ""
    sugar: str = ""
    money: str = ""


@dataclass(frozen=True)
class WhatIf:
    """A period as it is and as somebody wishes it.

    `lacks` says why nothing can be worked out, `stood` so of a mill that crushed no cane, `wrong`
    by field why what was typed will not do. `shares` tells what each wish makes of the points of
    recovery.
    """

    typed: Mapping[str, str]
    real: Mapping[str, Cell] = field(default_factory=dict)
    lacks: tuple[str, ...] = ()
    stood: str = ""
    wrong: Mapping[str, str] = field(default_factory=dict)
    shares: Mapping[str, str] = field(default_factory=dict)
    rows: tuple[Row, ...] = ()
    steps: tuple[StepRow, ...] = ()
    says: tuple[str, ...] = ()
    currency: str = ""

    @property
    def problems(self) -> list[tuple[str, str]]:
        """What is wrong, each with the address of its box."""
        titles = {box.name: box.title for box in BOXES} | OTHERS
        return [
            (f"{_(titles[where])}: {words}.", f"#{where}") for where, words in self.wrong.items()
        ]


def what_if(books: SeasonBooks, period: Period, typed: Mapping[str, str]) -> WhatIf:
    """Return what was typed for a period worked out beside what it was, or why it cannot be."""
    books.need(ASKED)
    result = books.over(period)
    cells = {name: cell(name, result, 0, books) for name in ASKED}
    bagged = result.conventions["sugar_accounted"][0] == "bagged"
    figures = np.array([float(result.values[name][0]) for name in OF_POINTS])
    stand = Stand(figures, cells, BAGGED if bagged else MADE)
    if cells[POL_IN_CANE].value == 0:
        return WhatIf(typed, cells, stood=_("The mill stood: there is nothing to try here."))
    lacks = _lacks(stand)
    if lacks:
        return WhatIf(typed, cells, lacks)
    wrong: dict[str, str] = {}
    wished = wishes(typed, stand, wrong)
    price = price_of(typed, wrong)
    currency = " ".join(typed.get(CURRENCY, "").split())
    if len(currency) > LONGEST_CURRENCY:
        wrong[CURRENCY] = _("Write at most {count} characters", count=LONGEST_CURRENCY)
    if wrong:
        return WhatIf(typed, cells, wrong=wrong)
    stand = replace(stand, price=price, currency=currency)
    steps = tuple(_step(box, stand) for box in BOXES)
    change = change_of(stand, wished)
    standard = uncertainties(_moved(result, figures), wished) if wished else np.zeros_like(change)
    return WhatIf(
        typed, cells, shares=_shares(stand, wished), rows=_rows(stand, change, standard),
        steps=steps, says=_said(stand, change, standard) if wished else (), currency=currency,
    )  # fmt: skip


def _moved(result: Result, figures: Values) -> Standing:
    """Return figures with how each may have been moved, which takes most of a page's time."""
    result.certainty.cover(OF_POINTS)
    return Standing(figures, tuple(result.certainty.moves(name) for name in OF_POINTS))


def _lacks(stand: Stand) -> tuple[str, ...]:
    """Say what is not known of a period, without which nothing is worked out."""
    lacks: dict[str, str] = {}
    for name in (*OF_POINTS, *PLACES, POL_IN_CANE, stand.sugar_name):
        found = stand.cells[name]
        if found.value is None:  # one figure for each reason
            words = _("{figure} {why}", figure=_(FIGURES[name].title), why=found.missing)
            lacks.setdefault(found.missing, words)
    if lacks:
        return tuple(lacks.values())
    if not np.isfinite(change_of(stand, {})).all():
        return (_("Final molasses must be less pure than mixed juice, and mixed juice than sugar"),)
    if stand.value(stand.sugar_name) <= 0 or stand.value(POL_IN_SUGAR) <= 0:
        return (_("No sugar is in the account of this period"),)
    return ()


def _shares(stand: Stand, wished: Mapping[str, float]) -> dict[str, str]:
    """Return by figure what it makes of the change of recovery; together exactly that."""
    here = stand.figures[:, np.newaxis]
    shared = parts(here, as_wished(here, wished))[: len(FACTORS), 0]
    return {name: signed(float(shared[WISHED.index(name)])) for name in wished}


def _rows(stand: Stand, change: Values, standard: Values) -> tuple[Row, ...]:
    """Return recovery, sugar and its money, and the pol of cane by place."""
    places = []
    for n, name in enumerate(PLACES):
        places.append(
            _row(stand, name, float(change[n]) * stand.pol_per_point,
                 float(standard[n]) * stand.pol_per_point)
        )  # fmt: skip
    more, unsure = (_sugar(stand, of) for of in (change, standard))
    first = [
        _row(stand, RECOVERY, float(change[0]), float(standard[0])),
        _row(stand, stand.sugar_name, more, unsure),
    ]
    if stand.price is not None:
        sugar = stand.value(stand.sugar_name)
        first.append(
            Row("", _("Money for sugar"), stand.currency, stand.money(sugar),
                stand.money(sugar + more), stand.money_more(more),
                stand.money_unsure(unsure) if more else "")
        )  # fmt: skip
    whole = _row(stand, POL_IN_CANE, 0.0, 0.0)
    return (*first, *places, replace(whole, total=True))


def _row(stand: Stand, name: str, change: float, standard: float) -> Row:
    figure, value = FIGURES[name], stand.value(name)
    return Row(
        name, _(figure.title), _(figure.unit), stand.cells[name].text,
        printed(value + change, figure.decimals), signed(change, figure.decimals),
        plus_minus(standard, figure.decimals) if change else "",
    )  # fmt: skip


def _step(box: Box, stand: Stand) -> StepRow:
    """Return what one step of a figure is worth, from where the period stands."""
    step = signed(box.step, 1 if abs(box.step) < 1 else 0)
    value = stand.value(box.name) + box.step
    wished = {box.name: value}
    barred = not box.low <= value <= 100 or out_of_order(wished, stand)
    if barred or below_nothing(wished, stand):
        return StepRow(box, step)
    change = change_of(stand, wished)
    points, sugar = float(change[0]), _sugar(stand, change)
    return StepRow(
        box, step, signed(points), signed(points * stand.pol_per_point), signed(sugar),
        stand.money_more(sugar),
    )  # fmt: skip


def _said(stand: Stand, change: Values, standard: Values) -> tuple[str, ...]:
    """Say what the wishes come to, and whether measuring is sure enough to tell."""
    sugar, unsure = (_sugar(stand, of) for of in (change, standard))
    before = stand.value(RECOVERY)
    told = {
        "tonnes": printed(abs(sugar), 1), "before": printed(before, DECIMALS),
        "now": printed(before + change[0], DECIMALS),
    }  # fmt: skip
    if sugar < 0:
        words = _("{tonnes} t less sugar; overall recovery {now} instead of {before}.", **told)
    else:
        words = _("{tonnes} t more sugar; overall recovery {now} instead of {before}.", **told)
    said = [words]
    if stand.price is not None:
        money = f"{stand.money(abs(sugar))} {stand.currency}".strip()
        said.append(_("That is {money}.", money=money))
    doubt = plus_minus(unsure, 1)
    if doubt and abs(sugar) <= COVERAGE_FACTOR * unsure:
        said.append(_("{doubt} t: measuring error alone may explain it.", doubt=doubt))
    elif doubt:
        said.append(_("{doubt} t: more than measuring error.", doubt=doubt))
    return tuple(said)


def _sugar(stand: Stand, change: Values) -> float:
    """Return tonnes of sugar as made, of a change or its uncertainty."""
    share = float(change[CHANGES.index("as_made")])
    return share * stand.pol_per_point * stand.sugar_per_pol
