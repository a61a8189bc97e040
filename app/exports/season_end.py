"""The forecast of a season's end as CSV: what is forecast, and the season week by week."""

import csv
import io
from collections.abc import Iterator
from datetime import timedelta

from app.figures.forecast import SHARE, Forecast, Span
from app.language import ENGLISH, speaking
from app.reports.season_end import SeasonEnd

COLUMNS = (
    "season", "known_to", "record", "name", "day", "unit", "likeliest", "low", "high", "share",
)  # fmt: skip


@speaking(ENGLISH)
def csv_of_forecast(season: str, page: SeasonEnd) -> str:
    """Return RFC 4180 text, numbers at full precision; its heading alone where there is none."""
    out = io.StringIO()
    writer = csv.DictWriter(out, COLUMNS, restval="", lineterminator="\r\n")
    writer.writeheader()
    if page.forecast is not None:
        said = {"season": season, "known_to": f"{page.last}", "share": f"{SHARE}"}
        writer.writerows(said | row for row in _rows(page, page.forecast))
    return out.getvalue()


def _rows(page: SeasonEnd, forecast: Forecast) -> Iterator[dict[str, str]]:
    crushed, made = forecast.crushed, forecast.made
    cane = forecast.cane_at_end
    yield _row("end", "cane_left", "t", Span(forecast.left, cane.reach), 0)
    yield _row("end", "cane_of_season", "t", cane, crushed)
    yield _row("end", "days_left", "days", forecast.days, 0)
    yield _row("end", "sugar_per_cane", "t/t", forecast.sugar_per_cane, 0)
    yield _row("end", f"{page.sugar_is}_of_season", "t", forecast.sugar_at_end, made)
    ahead = sorted({(week.day - page.last).days for week in page.weeks if not week.gone})
    for days in ahead:
        day = {"day": f"{page.last + timedelta(days=days)}"}
        yield day | _row("to_date", "cane", "t", forecast.cane_after(days), crushed)
        yield day | _row("to_date", page.sugar_is, "t", forecast.sugar_after(days), made)


def _row(record: str, name: str, unit: str, span: Span, least: float) -> dict[str, str]:
    return {
        "record": record, "name": name, "unit": unit, "likeliest": repr(span.middle),
        "low": repr(span.low(least)), "high": repr(span.high),
    }  # fmt: skip
