"""The book: writes entries, each by the rules that hold of its shift."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import date, datetime

from sqlalchemy import Connection

from app.language import _
from app.ledger.cells import Change, Refused, readable_reason, understand
from app.ledger.chain import About
from app.ledger.entering import Placed, open_shift, write_changes
from app.ledger.entries import Entry, entries_of_shift, sheet, trail
from app.ledger.mills import Season, mill_of
from app.ledger.people import Person, either_of
from app.ledger.plan import plan_of
from app.ledger.signed import Place as Signable
from app.ledger.signed import Signed, signed
from app.plant.calendar import LATE_AFTER
from app.plant.measures import Measure
from app.plant.samples import Place, times
from app.plant.typed import LEFT_OUT

MAY_CORRECT_SIGNED = ("chief chemist",)

# who may still write on a signed shift, and what they do
CORRECTS = "This shift is signed by {name}: the {who} corrects it, or opens it again"
NOTES = "This shift is signed by {name}: the {who} notes something on it, or opens it again"

__all__ = ["Refused", "sheet", "trail"]  # used with the book, though kept elsewhere


@dataclass(frozen=True)
class Typed:
    """What one cell of a sheet sends: the text, the entry it was based on, and a reason.

    `late_reason` is why it comes late, if it does; `observed_by` who saw it, if somebody else did;
    `carried` tells that it repeats what stood before and was not measured anew; `left_out` whether
    a test, whose text stays, counts in the mean of its sample, where that is said.
    """

    measure: str
    typed: str
    based_on: int | None = None
    reason: str | None = None
    late_reason: str | None = None
    observed_by: str | None = None
    sample: int = 1
    determination: int = 1
    carried: bool = False
    left_out: bool | None = None

    @property
    def key(self) -> str:
        """How forms and failures name its place."""
        return Place(self.measure, self.sample, self.determination).key


class NeedsReason(Exception):
    """The cell was filled before, or its shift signed: a correction says why."""

    def __init__(self, standing: Entry | None) -> None:
        stands = (standing.typed if standing else "") or _("An empty cell")
        super().__init__(_("{stands} stands here: give a reason", stands=stands))
        self.standing = standing


class Late(Exception):
    """The cell is filled for the first time long after its shift: somebody says why."""


class Closed(Exception):
    """The shift is signed, or its day approved: nobody of this role writes in it any more."""


@dataclass(frozen=True)
class Rules:
    """What holds of a shift at the time somebody writes in it."""

    measures: Mapping[str, Measure]
    bounds: tuple[datetime, datetime]
    signed: bool = False
    late: bool = False
    instrument: str = "none"
    whole: bool = True


class Conflict(Exception):
    """Somebody else wrote in this cell since it was read."""

    def __init__(self, standing: Entry) -> None:
        says = standing.typed or _("nothing")
        super().__init__(
            _("{name} has meanwhile written {says} here", name=standing.recorded_name, says=says)
        )
        self.standing = standing


def record_sheet(  # noqa: PLR0913  a shift is found by three things and written by four
    connection: Connection,
    *,
    season: Season,
    day: date,
    number: int,
    cells: Iterable[Typed],
    by: Person,
    at: datetime,
    instrument: str = "none",
    whole: bool = True,
) -> dict[str, Exception]:
    """Write the cells of a shift and return what is wrong, by the keys of their places.

    `whole` writes all of them or none, and leaves alone what still says what its writer was shown;
    else each stands for itself, and was sent because somebody typed there. Raises Refused for a day
    outside the season, ValueError for a shift the mill does not have, Closed where the writer may
    not write in it any more.
    """
    if day not in season:
        raise Refused(_("{day} is not a day of the season {name}", day=day, name=season.name))
    entries = entries_of_shift(connection, season, day, number)
    rules = _rules(connection, season, day, number, by=by, at=at, instrument=instrument)
    rules = replace(rules, whole=whole)
    changes, failures = _changes(cells, {entry.id: entry for entry in entries}, rules)
    if changes and not (whole and failures):
        shift_id = open_shift(connection, season, day, number, by=by, at=at)
        about = About(season.id, day)
        placed = [Placed(shift_id, about, change) for change in changes]
        write_changes(connection, placed, by=by, at=at)
    return failures


def _rules(
    connection: Connection,
    season: Season,
    day: date,
    number: int,
    *,
    by: Person,
    at: datetime,
    instrument: str,
) -> Rules:
    signed_already = refuse_closed(connection, season, day, number, by, CORRECTS)
    mill = mill_of(connection, season)
    bounds = mill.clock.shift_bounds(day, number)
    measures = plan_of(connection, mill).every(day)
    return Rules(measures, bounds, signed_already, at > bounds[1] + LATE_AFTER, instrument)


def refuse_closed(
    connection: Connection, season: Season, day: date, number: int, by: Person, says: str
) -> bool:
    """Tell whether a shift is signed; Closed where `by` may not write in it any more.

    `says` is the message, CORRECTS or NOTES.
    """
    return refuse_signed(signed(connection, season, day, day), day, number, by, says)


def refuse_signed(
    states: Mapping[Signable, Signed], day: date, number: int, by: Person, says: str
) -> bool:
    """Tell the same as `refuse_closed`, of how shifts and days stand."""
    of_day, of_shift = (states.get((day, n), Signed()).signature for n in (None, number))
    if of_day:
        raise Closed(
            _(
                "This day is approved by {name}: it is to be opened again",
                name=of_day.recorded_name,
            )
        )
    if of_shift and by.role not in MAY_CORRECT_SIGNED:
        who = either_of(MAY_CORRECT_SIGNED)
        raise Closed(_(says, name=of_shift.recorded_name, who=who))
    return of_shift is not None


def _changes(
    cells: Iterable[Typed], entries: Mapping[int, Entry], rules: Rules
) -> tuple[list[Change], dict[str, Exception]]:
    standing = {entry.key: entry for entry in entries.values()}
    changes: list[Change] = []
    failures: dict[str, Exception] = {}
    for cell in cells:
        shown = entries.get(cell.based_on or 0)
        try:
            change = change_of(cell, shown, standing.get(cell.key), rules)
        except (Refused, NeedsReason, Late, Conflict) as failure:
            failures[cell.key] = failure
        else:
            changes += [change] if change else []
    return changes, failures


def change_of(
    cell: Typed, shown: Entry | None, standing: Entry | None, rules: Rules
) -> Change | None:
    """Return what a cell would change of what stands, nothing where it says the same.

    `shown` is the entry that its writer saw. Raises Refused, NeedsReason, Late or Conflict.
    """
    text = cell.typed.strip()
    untouched = rules.whole and text == _text(shown)
    if (untouched or text == _text(standing)) and not _turned(cell, standing):
        return None
    change = _understood(cell, standing, rules)
    if standing and standing.id != cell.based_on:
        raise Conflict(standing)
    reason = readable_reason(cell.reason)
    if (standing or rules.signed) and not reason:
        raise NeedsReason(standing)
    late = rules.late and standing is None
    if late and rules.instrument == "none":
        reason = reason or readable_reason(cell.late_reason)
        if not reason:
            raise Late(_("The shift is long over: say at the top of the sheet why this comes late"))
    return replace(
        change,
        reason=reason or None,
        supersedes_id=standing.id if standing else None,
        late=late,
        observed_by=readable_reason(cell.observed_by) or None,
        instrument=rules.instrument,
        sample=cell.sample,
        determination=cell.determination,
        observed_at=_observed(cell, rules),
        carried=_carried(cell, rules),
    )


def _understood(cell: Typed, standing: Entry | None, rules: Rules) -> Change:
    """Return what a cell says; what is left out as it stands is not judged by limits set since."""
    if cell.left_out and standing and cell.typed.strip() == _text(standing):
        return Change(cell.measure, cell.typed, LEFT_OUT, None)
    change = understand(cell.measure, cell.typed, measures=rules.measures)
    return replace(change, state=LEFT_OUT, value=None) if cell.left_out else change


def _turned(cell: Typed, standing: Entry | None) -> bool:
    """Tell whether a test is to be left out that counts, or taken in that was left out."""
    if standing is None or cell.left_out is None:
        return False
    return cell.left_out != (standing.state == LEFT_OUT)


def _observed(cell: Typed, rules: Rules) -> datetime | None:
    """Return when a sample of several was due, which is the time it is of."""
    every = rules.measures[cell.measure].every
    if not every:
        return None
    due = times(*rules.bounds, every)
    if not 1 <= cell.sample <= len(due):
        raise Refused(_("This shift has samples 1 to {count} of it", count=len(due)))
    return due[cell.sample - 1]


def _carried(cell: Typed, rules: Rules) -> bool:
    measure = rules.measures[cell.measure]
    if cell.carried and not measure.may_be_carried:
        raise Refused(
            _("{title} is measured anew each time: it is not carried over", title=_(measure.title))
        )
    return cell.carried


def _text(entry: Entry | None) -> str:
    return entry.typed.strip() if entry else ""
