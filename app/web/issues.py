"""Issues of a morning report: made, kept as they were, and held against what is known now."""

import base64
import hashlib
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime
from typing import Annotated

from fastapi import APIRouter, Depends, HTTPException, Request, Response

from app.exports.csv import period_csv
from app.language import ENGLISH, _, speaking
from app.ledger import issues, mills
from app.ledger.cells import Refused
from app.ledger.issues import MAY_ISSUE, REPORT, Issue
from app.ledger.notes import notes_of
from app.ledger.people import Person
from app.ledger.shifts import entries_of
from app.ledger.signed import DaySigned, signed_day
from app.plant.calendar import Clock
from app.reports.dates import moment
from app.reports.day import DayReport, day_report
from app.reports.first_page import FirstPage
from app.reports.instruments import Doubt
from app.reports.restated import Change, changes, frozen_figures
from app.reports.version import figures_version, program_version
from app.settings import shared
from app.web.checked import DayChecks, checks_of_day
from app.web.forms import WithProblems
from app.web.issues_sent import sent, unsent
from app.web.morning import NEEDED, morning
from app.web.open_shift import open_shift
from app.web.periods import Asked, Find, Finder
from app.web.requests import (
    Day,
    Form,
    Once,
    SignedAgain,
    Viewer,
    Writing,
    allow,
    done,
    render,
)
from app.web.safety import STYLE
from app.web.seal import words_of
from app.web.signing import unconfirmed

router = APIRouter(prefix="/days/{day}/issues")

Issuer = Annotated[Person, Depends(allow(*MAY_ISSUE))]

FIGURES, TABLE = "figures.json", "report.csv"
_KINDS = {
    REPORT: "text/html; charset=utf-8",
    FIGURES: "application/json; charset=utf-8",
    TABLE: "text/csv; charset=utf-8",
}


@dataclass(frozen=True)
class IssuesPage(WithProblems):
    """All issues of a day, what changed since the last, and the form for one more."""

    day: date
    issues: Sequence[Issue]
    changes: Sequence[Change]
    clock: Clock
    words: str
    over: bool
    may_issue: bool
    sent: Mapping[str, Sequence[str]]
    unsent: Mapping[str, Sequence[tuple[str, str]]]
    wrong: dict[str, str] = field(default_factory=dict)
    typed: dict[str, str] = field(default_factory=dict)


@dataclass(frozen=True)
class Frozen:
    """All that an issued report says of itself, beside its numbers."""

    issue: Issue
    asked: Asked
    page: DayReport
    first: FirstPage
    checks: DayChecks
    seals: Sequence[str]
    changes: Sequence[Change]
    begins: str
    ends: str
    at: str
    program: str
    figures: str

    @property
    def running(self) -> str:
        """Return the style that puts number, status, chain and page on every sheet of paper."""
        name = _("Issue {name}, ISSUED", name=self.issue.name)
        chain = _("Chain {head}", head=self.issue.head.short)
        page = _("Page {page} of {pages}", page='" counter(page) "', pages='" counter(pages) "')
        return (
            "@media print { @page { margin: 14mm 12mm 16mm; "
            f'@top-right {{ content: "{name}"; font-size: 8pt; }} '
            f'@bottom-left {{ content: "{chain}"; font-size: 8pt; }} '
            f'@bottom-right {{ content: "{page}"; font-size: 8pt; }} }} }}'
        )


@router.get("")
def every_issue(request: Request, by: Viewer, find: Find, day: Day) -> Response:
    """Show the issues of a day and what changed since the last one."""
    return _page(request, find, day, by)


@router.post("")
def issue(
    request: Request, by: Issuer, again: SignedAgain, writing: Writing, form: Form, day: Day,
    once: Once,
) -> Response:  # fmt: skip
    """Freeze the report of a day as it stands now, with the password typed again."""
    find = Finder(writing, request.app.state.clock())
    asked = find.day(day)
    if not find.is_over(day, asked.mill):
        return _page(request, find, day, by, wrong={"password": _("This day is not over yet")})
    typed = {"reason": form.get("reason", "")}
    if not again:
        return _page(request, find, day, by, wrong={"password": unconfirmed(form)}, typed=typed)
    try:
        made, before = issues.next_issue(
            writing, asked.season, day, reason=typed["reason"], by=by, at=find.now
        )
    except Refused as refused:
        return _page(request, find, day, by, wrong={"reason": str(refused)}, typed=typed)
    files = _files(request, find, asked, day, made, before)
    issues.add_issue(writing, asked.season, made, files=files, supersedes=before, by=by)
    return done(once, f"/days/{day}/issues#issue-{made.number}")


@router.get("/{number}/{name}")
def issued_file(_by: Viewer, find: Find, day: Day, number: int, name: str) -> Response:
    """Answer with a file of an issue, byte for byte as it was issued."""
    asked = find.day(day)
    made = issues.issues_of(find.connection, asked.season, day)
    wanted = next((i for i in made if i.number == number), None)
    found = issues.file_of(find.connection, wanted, name) if wanted else None
    if found is None or wanted is None:
        raise HTTPException(404, _("No such report was issued."))
    content, digest = found
    superseded = "" if wanted is made[-1] else "-superseded"
    file = f"{day}-issue-{number}-issued{superseded}-{name}"
    headers = {"Content-Disposition": f'inline; filename="{file}"', "Digest-SHA-256": digest}
    if name == REPORT:
        headers[STYLE] = _hash_of_style(content.decode())
    return Response(content, media_type=_KINDS[name], headers=headers)


def _hash_of_style(page: str) -> str:
    """Return by which hash a browser knows the style that a page was issued with."""
    style = page.partition("<style>")[2].partition("</style>")[0]
    return f"'sha256-{base64.b64encode(hashlib.sha256(style.encode()).digest()).decode()}'"


def _files(
    request: Request, find: Finder, asked: Asked, day: date, made: Issue, before: Issue | None
) -> dict[str, bytes]:
    asked.books.need(NEEDED)
    with speaking(ENGLISH):
        figures = frozen_figures(_report(find, asked, day))
    with speaking(request.app.state.settings.language):  # the mill's, whoever issues it
        report = bytes(_frozen(request, find, asked, day, made, before).body)
    of_day = find.connection, asked.season, day, day
    table = period_csv(
        asked.books, asked.period, f"days-{day}", entries_of(*of_day), notes_of(*of_day),
        status=f"issued {made.name}",
    )  # fmt: skip
    return {REPORT: report, FIGURES: figures, TABLE: table.encode()}


def _frozen(
    request: Request, find: Finder, asked: Asked, day: date, made: Issue, before: Issue | None
) -> Response:
    this = morning(find, asked, day)
    page = this.report
    signed = signed_day(find.connection, asked.season, day, asked.mill.shifts_a_day)
    clock = asked.mill.clock
    begins, ends = clock.shift_bounds(day, 1)[0], clock.shift_bounds(day, clock.shifts_a_day)[1]
    frozen = Frozen(
        made,
        asked,
        page,
        this.first,
        _checks(find, asked, day, this.doubts),
        _seals(signed, clock),
        _changes(find, asked, page, before),
        _zoned(begins, clock),
        _zoned(ends, clock),
        _zoned(made.recorded_at, clock),
        program_version(),
        figures_version(),
    )
    return render(request, "issues/frozen.html", frozen=frozen, style=_style())


def _style() -> str:
    return (shared("static") / "style.css").read_text(encoding="utf-8")


def _zoned(instant: datetime, clock: Clock) -> str:
    """Return "28 Oct 2026, 06:00 (UTC+04:00)"."""
    offset = f"{clock.local(instant):%z}"
    return f"{moment(instant, clock)} (UTC{offset[:3]}:{offset[3:]})"


def _seals(signed: DaySigned, clock: Clock) -> list[str]:
    shifts = [
        _("Shift {number}: {words}.", number=number, words=words_of(shift, clock, "entered"))
        for number, shift in signed.shifts.items()
    ]
    return [*shifts, _("Day: {words}.", words=words_of(signed.day, clock, "approved"))]


def _report(find: Finder, asked: Asked, day: date) -> DayReport:
    return day_report(asked.books, day, mills.targets(find.connection, asked.mill, day))


def _checks(find: Finder, asked: Asked, day: date, doubts: Collection[Doubt]) -> DayChecks:
    numbers = range(1, asked.mill.shifts_a_day + 1)
    shifts = [open_shift(find.connection, day, number, find.now) for number in numbers]
    return checks_of_day(find.connection, shifts, asked.books, doubts)


def _changes(
    find: Finder, asked: Asked, page: DayReport, before: Issue | None
) -> tuple[Change, ...]:
    if before is None:
        return ()
    found = issues.file_of(find.connection, before, FIGURES)
    assert found  # noqa: S101  every issue has its figures
    first_day = asked.season.first_day
    if not changes(found[0], page, first_day, ()):
        return ()
    since = issues.amendments(find.connection, asked.season, before.chain_number)
    return changes(found[0], page, first_day, since)


def _page(
    request: Request, find: Finder, day: date, by: Person,
    wrong: dict[str, str] | None = None, typed: dict[str, str] | None = None,
) -> Response:  # fmt: skip
    asked = find.day(day)
    made = issues.issues_of(find.connection, asked.season, day)
    last = made[-1] if made else None
    signed = signed_day(find.connection, asked.season, day, asked.mill.shifts_a_day)
    page = IssuesPage(
        day,
        made,
        _changes(find, asked, _report(find, asked, day), last),
        asked.mill.clock,
        words_of(signed.day, asked.mill.clock, "approved"),
        find.is_over(day, asked.mill),
        by.role in MAY_ISSUE,
        sent(find, asked, day),
        unsent(request.app.state.sending, find, asked, made),
        wrong or {},
        typed or {},
    )
    return render(request, "issues/index.html", 422 if wrong else 200, page=page)
