"""Where the points went, as CSV: the parts of a change of overall recovery, and the flow of pol."""

import csv
import io
import math

from app.language import ENGLISH, speaking
from app.reports.points import Part, Points
from app.reports.pol_flow import FlowRow, PolFlow

COLUMNS = (
    "record", "period", "against", "name", "title", "unit", "before", "now", "points",
    "standard_uncertainty", "from", "to", "tonnes", "per_100_pol_in_cane",
)  # fmt: skip


@speaking(ENGLISH)
def csv_of_points(period: str, against: str, points: Points | None, flow: PolFlow) -> str:
    """Return RFC 4180 text: numbers at full precision, a row a part and a row a branch."""
    out = io.StringIO()
    writer = csv.DictWriter(out, COLUMNS, restval="", lineterminator="\r\n")
    writer.writeheader()
    rows: list[dict[str, str]] = []
    if points and points.change:
        rows += [_of_part(part) for part in (*points.parts, *points.of_rest, points.change)]
    rows += [{"record": "flow", "to": "Cane", "tonnes": _exact(flow.cane.value)}]
    rows += [_of_branch(row) for row in flow.rows]
    writer.writerows({"period": period, "against": against} | row for row in rows)
    return out.getvalue()


def _of_part(part: Part) -> dict[str, str]:
    return {
        "record": "change" if part.name == "change" else "part", "name": part.name,
        "title": part.kind.title, "unit": part.kind.unit,
        "before": repr(part.was), "now": repr(part.became), "points": repr(part.change),
        "standard_uncertainty": _exact(part.standard), "tonnes": repr(part.tonnes),
    }  # fmt: skip


def _of_branch(row: FlowRow) -> dict[str, str]:
    return {
        "record": "flow", "name": row.opens[0] if row.opens else "", "from": row.source,
        "to": row.target, "tonnes": _exact(row.tonnes.value),
        "per_100_pol_in_cane": _exact(row.share.value),
    }  # fmt: skip


def _exact(value: float | None) -> str:
    return "" if value is None or math.isnan(value) else repr(value)
