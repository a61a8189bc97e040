"""What an archive says of its figures: their values, the measures, and what holds by default."""

from collections.abc import Iterator
from datetime import date, datetime

from sqlalchemy import Connection

from app.exports.archive_tables import File, Row
from app.exports.books import books_of
from app.exports.csv import of_books, of_readings, shares, totals
from app.figures import CONVENTIONS
from app.ledger.mills import Mill, Season
from app.plant.measures import MEASURES
from app.reports.season_books import SeasonBooks

FIGURES_FILE = File(
    "figures",
    {
        "record": "string", "day": "date", "shift": "integer", "name": "string",
        "title": "string", "value": "number", "printed": "number", "unit": "string",
        "state": "string", "standard_uncertainty": "number", "coverage": "number",
        "missing": "string", "formula": "string", "source": "string",
    },
    ("record", "day", "shift", "name"),
    needed=frozenset({"record", "day", "name"}),
)  # fmt: skip
MEASURES_FILE = File(
    "measures",
    {
        "name": "string", "title": "string", "stream": "string", "station": "string",
        "property": "string", "unit": "string", "decimals": "integer", "usual_low": "number",
        "usual_high": "number", "hard_low": "number", "hard_high": "number", "grain": "string",
        "carrier": "string", "due": "boolean", "every": "integer", "rule": "string",
    },
    ("name",),
    needed=frozenset({"name", "decimals", "hard_low", "hard_high", "grain", "due", "rule"}),
)  # fmt: skip
DEFAULTS_FILE = File(
    "convention_defaults",
    {
        "name": "string", "title": "string", "value": "string", "unit": "string",
        "choices": "string", "source": "string", "note": "string",
    },
    ("name",),
    needed=frozenset({"name", "value"}),
)  # fmt: skip


def last_day_over(books: SeasonBooks, mill: Mill, at: datetime) -> date | None:
    """Return the last day of a season that goes into its totals, as it was at a moment."""
    days = sorted(set(books.days))
    runs = len(days) > 1 and mill.clock.shift_bounds(days[-1], mill.shifts_a_day)[1] > at
    return (days[:-1] if runs else days)[-1] if days else None


def figure_rows(
    connection: Connection, mill: Mill, season: Season, at: datetime
) -> tuple[date | None, list[Row]]:
    """Return the last day of the totals as they were at a moment, and all that was worked out."""
    books = books_of(connection, mill, season)
    last = last_day_over(books, mill, at)
    if last is None:
        return None, []
    period = books.to(last)
    found: list[Row] = [{"day": last} | row for row in totals(books, period)]
    # a reading of a day that still runs may stand in the mean of its week
    whole = books.whole()
    of_others = [*of_readings(books, whole), *of_books(books, whole)]
    return last, [*found, *shares(books, period), *of_others]


def measure_rows() -> Iterator[Row]:
    """Yield every measure."""
    for measure in MEASURES.values():
        yield {
            "name": measure.name,
            "title": measure.title,
            "stream": measure.stream,
            "station": measure.station,
            "property": measure.prop,
            "unit": measure.unit,
            "decimals": measure.decimals,
            "usual_low": float(measure.usual[0]),
            "usual_high": float(measure.usual[1]),
            "hard_low": float(measure.hard[0]),
            "hard_high": float(measure.hard[1]),
            "grain": measure.grain,
            "carrier": measure.carrier,
            "due": measure.due,
            "every": measure.every,
            "rule": measure.rule,
        }


def default_rows() -> Iterator[Row]:
    """Yield what holds of each convention where nothing was chosen."""
    for convention in CONVENTIONS.values():
        yield {
            "name": convention.name,
            "title": convention.title,
            "value": convention.default,
            "unit": convention.unit,
            "choices": "|".join(convention.choices),
            "source": str(convention.source),
            "note": convention.note,
        }
