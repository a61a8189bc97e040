"""The plant: what the mill samples, has, counts by and aims at, from which day on, and why."""

from collections.abc import Mapping
from datetime import datetime
from typing import Annotated, NamedTuple
from urllib.parse import urlencode

from fastapi import APIRouter, Depends, HTTPException, Request, Response
from sqlalchemy import Connection

from app.figures import CONVENTIONS
from app.language import _
from app.ledger import mills
from app.ledger.desk import Desk, desk_of
from app.ledger.mills import OF_EQUIPMENT
from app.ledger.people import Person
from app.ledger.plan import Change, choose, history
from app.ledger.uncertainty import WrongFields
from app.reports.checks import CHECKS
from app.reports.day import PLAN
from app.reports.plant import SHOWS, overview, value_words, with_unit
from app.web.plant_page import (
    MAY_CHOOSE,
    address_of,
    cell_address,
    history_lines,
    review_of,
    subject_page,
    unit_of,
)
from app.web.plant_subjects import FIGURES, Subject, change_of, convention_holds, subject_of
from app.web.requests import Form, Now, Once, Reading, Viewer, Writing, allow, done, render

router = APIRouter(prefix="/plant")

Administrator = Annotated[Person, Depends(allow(*MAY_CHOOSE))]

_LAST_CHOICES = 20


@router.get("")
def plant(
    request: Request, reading: Reading, now: Now, by: Viewer, words: str = "", show: str = ""
) -> Response:
    """Show what the mill samples today, by station, what comes later and what was chosen."""
    desk = desk_of(reading, mills.the_mill(reading), now)
    lines = history_lines(history(reading, desk.mill))
    plan = desk.choices.plan
    return render(
        request,
        "plant/index.html",
        day=desk.today,
        stations=overview(plan, desk.today, words.strip(), show),
        words=words,
        show=show,
        shows=SHOWS,
        checks=[(check, plan.is_off(name, desk.today)) for name, check in sorted(CHECKS.items())],
        later=[line for line in lines if line.chosen.since > desk.today],
        history=lines[:_LAST_CHOICES],
        clock=desk.mill.clock,
        role=by.role,
    )


@router.get("/conventions")
def conventions(request: Request, reading: Reading, now: Now, _by: Viewer) -> Response:
    """List every convention with what holds today."""
    desk = desk_of(reading, mills.the_mill(reading), now)
    rows = {row[0]: row for row in desk.choices.conventions if row[2] <= desk.today}
    listed = [
        (
            convention,
            with_unit(convention_holds(desk.choices, name, desk.today), convention.unit),
            rows.get(name),
            address_of("conventions", name),
        )
        for name, convention in CONVENTIONS.items()
        if name not in OF_EQUIPMENT
    ]
    return render(request, "plant/conventions.html", rows=listed)


@router.get("/targets")
def targets(request: Request, reading: Reading, now: Now, _by: Viewer) -> Response:
    """List the figures of the morning report with their targets of today."""
    desk = desk_of(reading, mills.the_mill(reading), now)
    hold = desk.choices.targets_on(desk.today)
    printed = {name for names in PLAN.values() for name in names}
    sections = {title: list(names) for title, names in PLAN.items()}
    sections[_("Others")] = [name for name in FIGURES if name in hold and name not in printed]
    lines = {
        title: [
            (FIGURES[name], value_words(name, hold[name]) if name in hold else "") for name in names
        ]
        for title, names in sections.items()
        if names
    }
    others = [figure for figure in FIGURES.values() if figure.name not in hold]
    return render(request, "plant/targets.html", sections=lines, others=others)


@router.get("/{kind}/{name}")
def subject(
    request: Request, reading: Reading, now: Now, by: Viewer, kind: str, name: str
) -> Response:
    """Show one thing that may be chosen: what holds, what was chosen, and a form to choose."""
    at = _at(request, reading, now, by)
    return _page(at, _named(kind, name), request.query_params)


@router.get("/{kind}/{name}/review")
def review(
    request: Request, reading: Reading, now: Now, by: Viewer, kind: str, name: str
) -> Response:
    """Say what a change would do, before anything is written."""
    at, found, sent = _at(request, reading, now, by), _named(kind, name), request.query_params
    try:
        change = change_of(found, at.desk, _typed(found, sent))
    except WrongFields as wrong:
        return _page(at, found, sent, wrong.problems)
    return _review(at, found, change, sent)


@router.post("/{kind}/{name}")
def choose_it(  # noqa: PLR0913, PLR0917
    request: Request, by: Administrator, writing: Writing, form: Form, now: Now, kind: str,
    name: str, once: Once,
) -> Response:  # fmt: skip
    """Choose what was reviewed, if nothing else was chosen meanwhile."""
    at, found = _at(request, writing, now, by), _named(kind, name)
    try:
        change = change_of(found, at.desk, _typed(found, form))
    except WrongFields as wrong:
        return _page(at, found, form, wrong.problems)
    if form.get("stamp") != at.desk.stamp:
        return _review(at, found, change, form, meanwhile=True)
    choose(writing, at.desk.mill, change, by=by, at=now)
    return done(once, f"{found.address}?chosen={change.since}")


class _At(NamedTuple):
    """Who looks at what, and when."""

    request: Request
    connection: Connection
    desk: Desk
    now: datetime
    by: Person


def _at(request: Request, connection: Connection, now: datetime, by: Person) -> _At:
    return _At(request, connection, desk_of(connection, mills.the_mill(connection), now), now, by)


def _named(kind: str, name: str) -> Subject:
    found = subject_of(kind, name)
    if found is None:
        raise HTTPException(
            404, _("The plant has no {name} among its {kind}.", name=name, kind=kind)
        )
    return found


def _typed(found: Subject, form: Mapping[str, str]) -> dict[str, str]:
    names = [field.name for field in found.fields]
    return {name: form.get(name, "").strip() for name in (*names, "since", "reason")}


def _page(
    at: _At, found: Subject, sent: Mapping[str, str], wrong: Mapping[str, str] | None = None
) -> Response:
    page = subject_page(at.connection, found, at.desk, at.by.role, typed=sent, wrong=wrong)
    return render(at.request, "plant/subject.html", 422 if wrong else 200, page=page)


def _review(
    at: _At, found: Subject, change: Change, sent: Mapping[str, str], *, meanwhile: bool = False
) -> Response:
    reviewed = review_of(at.connection, at.desk, change, found, at.now)
    return render(
        at.request,
        "plant/review.html",
        409 if meanwhile else 200,
        page=reviewed,
        typed=_typed(found, sent),
        again=f"{found.address}?{urlencode(_typed(found, sent))}#choose",
        stamp=at.desk.stamp,
        meanwhile=meanwhile,
        may_choose=at.by.role in MAY_CHOOSE,
        cell_address=cell_address,
        unit_of=unit_of,
    )
