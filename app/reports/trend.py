"""The trend of one column of a report: its picture; the numbers stand in the report's table."""

from dataclasses import dataclass

from app.figures import FIGURES
from app.language import _
from app.pictures.lines import Limit, Series, lines
from app.pictures.sizes import Drawn
from app.reports.table import KEY_FIGURES, PeriodReport

USUAL = "overall_recovery"


@dataclass(frozen=True)
class Trend:
    """The name of the figure shown and its picture."""

    name: str
    picture: Drawn


def trend_of(page: PeriodReport, asked: str) -> Trend:
    """Return the trend of the figure asked for down the rows of a report.

    A figure that the report does not have is answered with that of overall recovery.
    """
    name = asked if asked in KEY_FIGURES else USUAL
    column = KEY_FIGURES.index(name)
    heading = page.headings[column]
    # rounded as the table prints it, so that picture and table never differ
    values = [
        None if (value := row.cells[column].value) is None
        else round(value, FIGURES[name].decimals) for row in page.rows
    ]  # fmt: skip
    limits = []
    if heading.aim is not None:
        limits.append(Limit(_("target {value}", value=heading.target), heading.aim))
    series = Series(_(heading.title), values)
    return Trend(name, lines([row.title for row in page.rows], [series], _(heading.unit), limits))
