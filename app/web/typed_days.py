"""The days from and to which a page is asked for, as a person types them."""

from collections.abc import Mapping
from datetime import date

from app.language import _

FIRST, LAST = "first", "last"


def read_days(typed: Mapping[str, str], wrong: dict[str, str]) -> dict[str, date]:
    """Return the days of a first and a last that are typed; `wrong` is told what is wrong."""
    found = {}
    for name, text in typed.items():
        try:
            found[name] = date.fromisoformat(text)
        except ValueError:
            wrong[name] = _("Type a day like 2026-07-14")
    if len(found) == 2 and found[LAST] < found[FIRST]:
        wrong[LAST] = _("The last day is before the first")
    return found
