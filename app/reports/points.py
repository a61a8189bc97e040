"""Where the points of overall recovery went: the change against a target or another period."""

import math
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from app.figures import FIGURES
from app.figures.declare import Values
from app.figures.periods import Result
from app.figures.points import ASKED, FACTORS, Standing, factors, parts, uncertainties
from app.figures.sheets import Period
from app.language import _
from app.pictures.sizes import Drawn
from app.pictures.waterfall import Step, waterfall
from app.reports.lines import cell
from app.reports.numbers import COVERAGE_FACTOR, plus_minus, printed
from app.reports.season_books import SeasonBooks

DECIMALS = 2
RECOVERY = ASKED[0]
# without which nothing is shared out; the rest is told in two where undetermined is known as well
NEEDED = ASKED[:-1]
POL = "pol_in_cane"
OF_CANE, OF_JUICE = "% pol in cane", "per 100 pol in mixed juice"
REST = "per 100 pol in cane"


@dataclass(frozen=True)
class Kind:
    """A part of the change: what pages call it, the unit of its factor, and what to open next."""

    title: str
    unit: str
    opens: tuple[str, ...] = ()


KINDS = {
    "extraction": Kind(
        "Extraction", OF_CANE, ("reduced_extraction", "imbibition_on_fibre", "bagasse_loss")
    ),
    "juice_purity": Kind(
        "Mixed juice purity", "%", ("first_expressed_juice_purity", "mixed_juice_purity_drop")
    ),
    "filter_cake": Kind("Filter cake", OF_JUICE, ("filter_cake_on_cane", "filter_cake_loss")),
    "molasses_purity": Kind(
        "Final molasses purity", "%", ("target_purity_difference", "c_massecuite_exhaustion")
    ),
    "sugar_quality": Kind("Sugar quality", "%", ("sugar_purity",)),
    "rest": Kind(
        "Undetermined or unexplained", REST,
        ("undetermined_loss", "final_molasses_loss", "non_sucrose_ratio"),
    ),
    "of_undetermined": Kind("of it, undetermined loss", REST),
    "of_molasses": Kind("of it, molasses weighed against purities", REST),
    "change": Kind("Overall recovery", OF_CANE),
}  # fmt: skip


@dataclass(frozen=True)
class Side:
    """A side of the comparison: its name, its figures, and why some of them are not there.

    One that `stood` crushed no cane, of which nothing can be recovered.
    """

    name: str
    standing: Standing
    lacks: Mapping[str, str]
    stood: bool = False


@dataclass(frozen=True)
class Part:
    """What one factor made of the change: exactly, and as it is printed."""

    name: str
    kind: Kind
    was: float
    became: float
    change: float
    standard: float
    tonnes: float

    @property
    def before(self) -> str:
        """The factor on the side it is held against."""
        return printed(self.was, DECIMALS)

    @property
    def now(self) -> str:
        """The factor as it is now."""
        return printed(self.became, DECIMALS)

    @property
    def points(self) -> str:
        """The change with its sign: "+0.31"."""
        return signed(self.change)

    @property
    def marked(self) -> str:
        """The change with a mark of its direction; what prints as nothing has none."""
        if self.points == printed(0, DECIMALS):
            return self.points
        return f"{'▼' if self.change < 0 else '▲'} {self.points}"

    @property
    def plus_minus(self) -> str:
        """Twice its standard uncertainty: "± 0.12"."""
        return plus_minus(self.standard, DECIMALS)

    @property
    def tonnes_printed(self) -> str:
        """Tonnes of pol that the points are, of the cane of this period."""
        return signed(self.tonnes, 1)

    @property
    def is_real(self) -> bool:
        """Whether it is more than measuring error; not where no ± is known of it."""
        return abs(self.change) > COVERAGE_FACTOR * self.standard

    @property
    def verdict(self) -> str:
        """Say whether it is more than measuring error."""
        if not math.isfinite(self.standard):
            return _("its measuring error is not known")
        if self.is_real:
            return _("more than measuring error")
        return _("measuring error alone may explain it")

    @property
    def shortly(self) -> str:
        """The verdict, as a table has room for it."""
        if not math.isfinite(self.standard):
            return _("error not known")
        return _("more than error") if self.is_real else _("within error")


@dataclass(frozen=True)
class Points:
    """A change of overall recovery shared out; `lacks` says why it is not, if it is not.

    Where that is since the mill `stood`, it says so instead.
    """

    before: Side
    now: Side
    parts: tuple[Part, ...] = ()
    of_rest: tuple[Part, ...] = ()
    change: Part | None = None
    lacks: tuple[str, ...] = ()
    stood: str = ""
    says: tuple[str, ...] = ()
    first: Part | None = None

    @cached_property
    def picture(self) -> Drawn | None:
        """The change as a picture, drawn when it is asked for."""
        return _drawn(self.before, self.now, self.parts, self.change) if self.change else None


def signed(value: float, decimals: int = DECIMALS) -> str:
    """Return "+0.31" or "−0.31" as pages print it; nothing has no sign."""
    text = printed(value, decimals)
    return f"+{text}" if value > 0 and text != printed(0, decimals) else text


def side_of(name: str, books: SeasonBooks, period: Period, season: str) -> Side:
    """Return a period as a side of a comparison."""
    books.need((*ASKED, POL))
    return side_in(name, books, books.over(period), season)


def side_in(name: str, books: SeasonBooks, result: Result, season: str, index: int = 0) -> Side:
    """Return one period of a result as a side of a comparison."""
    cells = {asked: cell(asked, result, index, books) for asked in ASKED}
    figures = np.array([float(result.values[asked][index]) for asked in ASKED])
    result.certainty.need(ASKED)
    moves = tuple(
        {} if found.value is None else result.certainty.moves(asked, index)
        for asked, found in cells.items()
    )
    lacks = {asked: found.missing for asked, found in cells.items() if found.value is None}
    stood = bool(result.values[POL][index] == 0)
    return Side(name, Standing(figures, moves, season), lacks, stood)


def target_side(targets: Mapping[str, float]) -> Side:
    """Return the targets in force as a side of a comparison; they are exact."""
    figures = np.array([targets.get(asked, math.nan) for asked in ASKED])
    lacks = {asked: _("has no target") for asked in ASKED if asked not in targets}
    return Side(_("Target"), Standing(figures), lacks)


def points(before: Side, now: Side, pol_in_cane: float) -> Points:
    """Return the change from one side to the other, shared out, or why it cannot be."""
    if now.stood:
        return Points(before, now, stood=_("The mill stood: there is no recovery to judge."))
    if before.stood:
        stood = _("The mill stood, {side}: there is no recovery to compare.", side=before.name)
        return Points(before, now, stood=stood)
    lacks = [
        _("{side}: {figure} {why}", side=side.name, figure=_(FIGURES[name].title), why=why)
        for side in (before, now)
        for name, why in side.lacks.items()
        if name in NEEDED
    ]
    old, new = (_column(side) for side in (before, now))
    shared = parts(old, new)[:, 0]
    if not lacks and not np.isfinite(shared[: len(FACTORS)]).all():
        lacks = [_("Final molasses must be less pure than mixed juice, and mixed juice than sugar")]
    if lacks:
        return Points(before, now, lacks=tuple(lacks))
    spread = uncertainties(before.standing, now.standing)
    were, are = (_told_factors(column) for column in (old, new))
    found = tuple(
        Part(name, kind, were[n], are[n], float(shared[n]), float(spread[n]),
             float(shared[n]) * pol_in_cane / 100)
        for n, (name, kind) in enumerate(KINDS.items())
        if np.isfinite(shared[n])
    )  # fmt: skip
    of, of_rest, change = found[: len(FACTORS)], found[len(FACTORS) : -1], found[-1]
    return Points(
        before, now, of, of_rest, change,
        says=tuple(_said(of, change, before.name)), first=_first(of),
    )  # fmt: skip


def _column(side: Side) -> Values:
    return side.standing.figures[:, np.newaxis]


def _told_factors(column: Values) -> list[float]:
    """Return the factors in the units of KINDS and in their order, the rest as losses."""
    extraction, juice, cake, molasses, sugar, rest = factors(column)[:, 0]
    undetermined = column[-1, 0]
    values = (100 * extraction, juice, 100 * cake, molasses, sugar, -rest, undetermined,
              -rest - undetermined, column[0, 0])  # fmt: skip
    return [float(value) for value in values]


def _first(of: tuple[Part, ...]) -> Part | None:
    """Return the greatest loss that is more than measuring error, else the greatest loss."""
    losses = sorted((part for part in of if part.change < 0), key=lambda part: part.change)
    return next((part for part in losses if part.is_real), losses[0] if losses else None)


def _said(of: tuple[Part, ...], change: Part, against: str) -> list[str]:
    """Say what the change is, where most was lost, and whether that is real."""
    told = {"now": change.now, "against": against, "before": change.before,
            "points": printed(abs(change.change), DECIMALS),
            "tonnes": printed(abs(change.tonnes), 1), "verdict": change.verdict}  # fmt: skip
    if change.points == printed(0, DECIMALS):
        said = [_("Overall recovery {now} against {before} ({against}): the same.", **told)]
    elif change.change < 0:
        said = [
            _(
                "Overall recovery {now} against {before} ({against}): {points} points less, "
                "{tonnes} t of pol; {verdict}.",
                **told,
            )
        ]
    else:
        said = [
            _(
                "Overall recovery {now} against {before} ({against}): {points} points more, "
                "{tonnes} t of pol; {verdict}.",
                **told,
            )
        ]
    least, most = min(of, key=lambda part: part.change), max(of, key=lambda part: part.change)
    first = _first(of)
    if first:
        if not first.is_real and math.isfinite(first.standard):
            said.append(_("No loss is more than measuring error: look at more days before acting."))
        said.append(_("Most was lost by: {part}, {points} points, {tonnes} t; {verdict}.",
                      **_told(least)))  # fmt: skip
        if first is not least:
            said.append(_("The greatest loss that is more than measuring error: {part}, {points} "
                          "points, {tonnes} t.", **_told(first)))  # fmt: skip
    else:
        said.append(_("Nothing was lost."))
    if most.change > 0 and (most.is_real or not math.isfinite(most.standard)):
        said.append(_("Most was gained by: {part}, {points} points, {tonnes} t; {verdict}.",
                      **_told(most)))  # fmt: skip
    return said


def _told(part: Part) -> dict[str, str]:
    return {"part": _(part.kind.title), "points": printed(abs(part.change), DECIMALS),
            "tonnes": printed(abs(part.tonnes), 1), "verdict": part.verdict}  # fmt: skip


def _drawn(before: Side, now: Side, of: tuple[Part, ...], change: Part) -> Drawn:
    steps = [Step(_(part.kind.title), part.change, part.marked) for part in of]
    was, became = (float(side.standing.figures[0]) for side in (before, now))
    return waterfall((before.name, was, change.before), steps, (now.name, became, change.now))
