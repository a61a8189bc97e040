"""What is to be known of records by the laboratory's own books: what failed, what is too old."""

from collections.abc import Iterable, Mapping
from datetime import date
from typing import Any

from app.language import _
from app.reports.dates import calendar_day
from app.reports.numbers import enough_decimals, printed

Values = Mapping[str, Any]

# book: the field in which it names the lot of a reagent
NAMES_A_LOT = {"standard_checks": "standard_code", "dosing": "lot"}


def failed(record: Values) -> str:
    """Return that a standard check failed, and asks what was done; nothing where it passed."""
    share = record.get("error_on_tolerance")
    if share is None or share <= 100:
        return ""
    error, allowed = record["error"], record["tolerance"]
    said = {
        "error": printed(error, enough_decimals(error, 3)),
        "allowed": printed(allowed, enough_decimals(allowed, 3)),
    }
    if record.get("done"):
        return _("failed: off by {error}, {allowed} is allowed", **said)
    return _("failed: off by {error}, {allowed} is allowed; write what was done", **said)


def expired(record: Values, today: date) -> str:
    """Return that a reagent is good no more; nothing where it is, or does not say."""
    good_until = record.get("good_until")
    if not good_until or date.fromisoformat(good_until) >= today:
        return ""
    return _("expired: it was good until {day}", day=calendar_day(good_until))


def good_until_of(reagents: Iterable[Values]) -> dict[str, date]:
    """Return until when each lot of a reagent is good, as far as its record says."""
    return {
        each["lot"].casefold(): date.fromisoformat(each["good_until"])
        for each in reagents
        if each.get("good_until")
    }


def used_too_late(lot: str, day: date, good_until: Mapping[str, date]) -> str:
    """Return that a lot was used on a day on which it was good no more; nothing where it was."""
    last = good_until.get(lot.casefold())
    if last is None or last >= day:
        return ""
    until = calendar_day(last)
    return _("lot {lot} was good until {day} only: say why it was used", lot=lot, day=until)
