"""How the issues of a day were handed out, and why not, in words."""

from collections.abc import Sequence
from datetime import date

from app.keeping.sending import BACK, Sending, Trouble
from app.language import _
from app.ledger.handed_out import MAIL, handed_out
from app.ledger.issues import Issue
from app.reports.dates import moment
from app.web.periods import Asked, Finder


def sent(find: Finder, asked: Asked, day: date) -> dict[str, list[str]]:
    """Say of each issue how it was handed out."""
    found: dict[str, list[str]] = {}
    for each in handed_out(find.connection, asked.season.id, day):
        at = moment(each.at, asked.mill.clock)
        said = _("laid into {where} on {at}", where=each.where, at=at)
        if each.way == MAIL:
            said = _("sent to {where} on {at}", where=each.where, at=at)
        found.setdefault(each.issue, []).append(said)
    return found


def unsent(
    sending: Sending, find: Finder, asked: Asked, made: Sequence[Issue]
) -> dict[str, list[tuple[str, str]]]:
    """Say of each issue that still lacks somewhere why, and what becomes of that."""
    found: dict[str, list[tuple[str, str]]] = {}
    for issue in made:
        given_up = issue.recorded_at < find.now - BACK
        for way, where in sending.lacking(find.connection, asked.season, issue).items():
            if trouble := sending.troubles.get((issue.name, way)):
                at = moment(trouble.at, asked.mill.clock)
                again = _("This is given up.") if given_up else _again(trouble)
                said = _why(trouble, way, trouble.where or where, at), again
                found.setdefault(issue.name, []).append(said)
    return found


def _again(trouble: Trouble) -> str:
    return _("It is tried again.") if trouble.where else _("That is tried again.")


def _why(trouble: Trouble, way: str, where: str, at: str) -> str:
    told = {"where": where, "at": at, "why": trouble.why}
    if not trouble.where:
        return _("went to {where}, but on {at} the ledger could not note that: {why}", **told)
    if way == MAIL:
        return _("could not be sent to {where} on {at}: {why}", **told)
    return _("could not be laid into {where} on {at}: {why}", **told)
