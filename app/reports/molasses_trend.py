"""Final molasses against its target: both purities, and how far they are apart."""

from collections.abc import Sequence
from dataclasses import dataclass

from app.figures import FIGURES
from app.language import _
from app.pictures.lines import Series, lines
from app.pictures.sizes import Drawn
from app.reports.numbers import printed
from app.reports.season_books import SeasonBooks
from app.reports.series import Place, figures_over

TARGET, DIFFERENCE = "final_molasses_target_purity", "target_purity_difference"
PURITIES = {"apparent": "final_molasses_purity", "true": "final_molasses_true_purity"}


@dataclass(frozen=True)
class MolassesRow:
    """One day or week: its words and address, purity, target and difference as printed."""

    title: str
    address: str
    numbers: tuple[str, str, str]


@dataclass(frozen=True)
class MolassesTrend:
    """The titles of the three columns with their figures, a row each, and the picture."""

    columns: tuple[tuple[str, str], ...]
    rows: tuple[MolassesRow, ...]
    picture: Drawn
    known: bool


def molasses_trend(books: SeasonBooks, places: Sequence[Place]) -> MolassesTrend:
    """Return the purity that the mill compares, its target and the difference, place by place."""
    names = (TARGET, DIFFERENCE, *PURITIES.values())
    compared = _compared(books)
    shown = (compared, TARGET, DIFFERENCE)
    columns = figures_over(books, names, [place.period for place in places])
    found = [columns[name] for name in shown]
    rows = tuple(
        MolassesRow(
            place.title, place.address,
            (
                printed(found[0][n], FIGURES[compared].decimals),
                printed(found[1][n], FIGURES[TARGET].decimals),
                printed(found[2][n], FIGURES[DIFFERENCE].decimals),
            ),
        )
        for n, place in enumerate(places)
    )  # fmt: skip
    series = [
        Series(
            _(FIGURES[name].title),
            [None if v is None else round(v, FIGURES[name].decimals) for v in column],
        )
        for name, column in zip(shown[:2], found[:2], strict=True)
    ]
    return MolassesTrend(
        tuple((name, FIGURES[name].title) for name in shown), rows,
        lines([place.title for place in places], series, _(FIGURES[TARGET].unit)),
        any(value is not None for value in found[2]),
    )  # fmt: skip


def _compared(books: SeasonBooks) -> str:
    """Return the purity that the convention in force on the last day compares with the target."""
    day = books.days[-1]
    chosen = {each.name: each.value for each in books.in_force(day)}
    return PURITIES[chosen["molasses_purity_compared"]]
