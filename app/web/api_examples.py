"""Examples of what is sent and asked for; each is tried on the demonstration."""

from collections.abc import Mapping
from typing import Any, NamedTuple


class Example(NamedTuple):
    """What somebody sends where, in words and as it is sent."""

    name: str
    title: str
    path: str
    sends: Any


EXAMPLES = (
    Example(
        "polarimeter",
        "A polarimeter sends the pol of the sample that was due at noon",
        "/api/results",
        {"at": "2026-10-28T12:06:00+04:00", "measure": "mixed_juice_pol", "typed": "11.87"},
    ),
    Example(
        "refractometer",
        "A refractometer sends two tests of the fourth sample, which make its mean",
        "/api/results",
        [
            {
                "day": "2026-10-28", "shift": 1, "sample": 4, "measure": "mixed_juice_brix",
                "typed": "14.06",
            },
            {
                "day": "2026-10-28", "shift": 1, "sample": 4, "measure": "mixed_juice_brix",
                "typed": "14.10", "determination": 2,
            },
        ],
    ),
    Example(
        "historian",
        "The historian of a control system sends what is sampled by the hour",
        "/api/results",
        [
            {"at": "2026-10-28T12:00:00+04:00", "measure": "limed_juice_ph", "typed": "7.72"},
            {"at": "2026-10-28T12:00:00+04:00", "measure": "clear_juice_ph", "typed": "7.08"},
        ],
    ),
    Example(
        "weighbridge",
        "A weighbridge sends a consignment of cane",
        "/api/records",
        {
            "book": "consignments", "at": "2026-10-28T12:05:00+04:00",
            "fields": {
                "ticket": "W-48213", "weighed": "12:05", "grower": "G-17", "gross": "38.42",
                "tare": "14.10",
            },
        },
    ),
    Example(
        "stops",
        "A control system sends a stop that is over",
        "/api/records",
        {
            "book": "stops", "at": "2026-10-28T11:40:00+04:00",
            "fields": {
                "begins": "11:40", "ends": "11:55", "cause": "mechanical_stop",
                "crushing": "stopped", "what": "carrier tripped",
            },
        },
    ),
)  # fmt: skip

# what is asked for: the parts of an address that are chosen
ASKED: Mapping[str, Mapping[str, str]] = {
    "/api/days/{day}": {"day": "2026-10-27"},
    "/api/reports/{kind}/{name}": {"kind": "weeks", "name": "2026-W43"},
    "/api/reports/shifts/{day}/{number}": {"day": "2026-10-27", "number": "1"},
    "/api/reports/runs/{first}/{last}": {"first": "2026-10-12", "last": "2026-10-22"},
    "/api/reports/seasons/{name}/return": {"name": "2026"},
}

# what lies in the watched folder: a title, and the text of a file
FILES = (
    ("Results in a table, by shift", "day,shift,measure,typed\n2026-10-28,1,sugar_pol,98.7\n"),
    (
        "Results in a table, by moment",
        "at,measure,typed\n2026-10-28T12:00:00+04:00,clear_juice_ph,7.08\n",
    ),
    (
        "Records of another book in a table: its fields are the columns",
        "book,at,ticket,weighed,grower,gross,tare\n"
        "consignments,2026-10-28T12:05:00+04:00,W-48213,12:05,G-17,38.42,14.10\n",
    ),
)
