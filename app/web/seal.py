"""How a shift and its day are signed, in the words of a page."""

from dataclasses import dataclass

from sqlalchemy import Connection

from app.language import _, ngettext
from app.ledger.book import MAY_CORRECT_SIGNED
from app.ledger.people import Person
from app.ledger.signed import DaySigned, Signed, signed_day
from app.ledger.signing import MAY_APPROVE, MAY_REOPEN, MAY_SIGN
from app.plant.calendar import Clock
from app.reports.dates import moment
from app.web.open_shift import OpenShift


@dataclass(frozen=True)
class Seal:
    """What is signed of a shift and its day, and what the reader may do about it."""

    shift: Signed
    day: Signed
    clock: Clock
    role: str

    @property
    def words(self) -> str:
        """Say who signed the shift and what that covers, or that nobody did."""
        return words_of(self.shift, self.clock, "entered")

    @property
    def words_of_day(self) -> str:
        """Say who approved the day and what that covers, or that nobody did."""
        return words_of(self.day, self.clock, "approved")

    @property
    def may_sign(self) -> bool:
        """Whether the reader may sign the shift."""
        return self.role in MAY_SIGN and not self.shift.whole and self.day.signature is None

    @property
    def may_reopen(self) -> bool:
        """Whether the reader may open the signed shift again."""
        signed = self.shift.signature is not None
        return self.role in MAY_REOPEN and signed and self.day.signature is None

    @property
    def may_approve(self) -> bool:
        """Whether the reader may approve the day."""
        return self.role in MAY_APPROVE

    def open_to(self, person: Person) -> bool:
        """Tell whether `person` may type in the sheet."""
        if person.role not in MAY_SIGN or self.day.signature:
            return False
        return self.shift.signature is None or person.role in MAY_CORRECT_SIGNED


def words_of(signed: Signed, clock: Clock, meaning: str) -> str:
    """Say how something stands: not signed, signed with what came after, or opened again."""
    last = signed.last
    if last is None:
        return _("not signed yet") if meaning == "entered" else _("not approved yet")
    when = moment(last.recorded_at, clock)
    if signed.reopened:
        return _(
            "opened again by {name}, {role}, on {when}: {reason}",
            name=last.recorded_name, role=_(last.role), when=when, reason=last.reason,
        )  # fmt: skip
    names = {"name": last.recorded_name, "role": _(last.role), "when": when}
    done = _("approved by {name}, {role}, on {when}", **names)
    if meaning == "entered":
        done = _("signed as entered by {name}, {role}, on {when}", **names)
    if signed.since:
        return ngettext(
            "{done}, covering what stood after {entries} entries; {count} entry came later, and "
            "the signature does not cover them",
            "{done}, covering what stood after {entries} entries; {count} entries came later, and "
            "the signature does not cover them",
            signed.since, done=done, entries=last.entries,
        )  # fmt: skip
    return _(
        "{done}, covering all that stands, after {entries} entries",
        done=done, entries=last.entries,
    )  # fmt: skip


def seal_of(connection: Connection, shift: OpenShift, by: Person) -> Seal:
    """Return how a shift and its day are signed, as `by` sees it."""
    day: DaySigned = signed_day(connection, shift.season, shift.day, shift.mill.shifts_a_day)
    return Seal(day.shifts[shift.number], day.day, shift.mill.clock, by.role)
