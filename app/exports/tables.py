"""Tables of a report as CSV: a row a number, exact, with all that is known of it."""

import csv
import io
from collections.abc import Iterator

from app.language import ENGLISH, speaking
from app.reports.tabled import Tabled

COLUMNS = (
    "group", "name", "title", "unit", "of", "value", "standard_uncertainty", "coverage",
    "missing", "lacks",
)  # fmt: skip


@speaking(ENGLISH)
def csv_of_tables(tabled: Tabled) -> str:
    """Return RFC 4180 text. What the tables say in words must have been made in English too."""
    out = io.StringIO()
    writer = csv.DictWriter(out, COLUMNS, restval="", lineterminator="\r\n")
    writer.writeheader()
    writer.writerows(_rows(tabled))
    return out.getvalue()


def _rows(tabled: Tabled) -> Iterator[dict[str, str]]:
    for table in tabled.tables:
        for row in table.rows:
            for column, number in zip(table.columns, row.numbers, strict=True):
                yield {
                    "group": table.title, "name": row.name, "title": row.title, "unit": row.unit,
                    "of": column, "value": _exact(number.value),
                    "standard_uncertainty": _exact(number.standard),
                    "coverage": _exact(number.coverage), "missing": " ".join(number.missing),
                    "lacks": number.lacks,
                }  # fmt: skip


def _exact(value: float | None) -> str:
    return "" if value is None else repr(value)
