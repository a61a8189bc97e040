"""How the ledger is kept: what was verified, its backups, its disk, its clock."""

import shutil
from collections.abc import Iterator
from datetime import datetime, timedelta
from typing import Annotated, NamedTuple

from fastapi import APIRouter, Depends, Request, Response
from fastapi.responses import RedirectResponse

from app.database import file_of, reading
from app.keeping.fitness import sqlite_verdict
from app.keeping.watch import Watch
from app.language import _, ngettext
from app.ledger.mills import the_mill
from app.ledger.people import Person
from app.ledger.soundness import CANNOT
from app.plant.calendar import Clock
from app.reports.dates import moment
from app.reports.numbers import printed
from app.web.requests import Now, Place, allow, render

router = APIRouter(prefix="/status")

Keeper = Annotated[Person, Depends(allow("administrator", "manager"))]
Administrator = Annotated[Person, Depends(allow("administrator"))]


WELL, NOT_WELL, NOT_KNOWN = "yes", "no", "not known yet"


class Line(NamedTuple):
    """One thing that is watched: what it is, how it stands, and whether that is well."""

    title: str
    says: str
    well: str = WELL


@router.get("")
def status(request: Request, person: Keeper, now: Now, _at: Place) -> Response:
    """Say how the ledger is kept."""
    watch: Watch = request.app.state.watch
    watch.look_around()
    with reading(request.app.state.engine) as connection:
        clock = the_mill(connection).clock
    return render(
        request,
        "status.html",
        lines=list(_lines(request, watch, now, clock)),
        faults=watch.faults,
        may_verify=person.role == "administrator",
        cannot=CANNOT,
    )


@router.post("/verification")
def verify(request: Request, _by: Administrator, _at: Place) -> Response:
    """Verify the whole ledger now."""
    request.app.state.watch.verify()
    return RedirectResponse("/status", 303)


def _lines(request: Request, watch: Watch, now: datetime, clock: Clock) -> Iterator[Line]:
    yield Line(_("Writing"), watch.closed or _("open"), _yes(not watch.closed))
    yield from _verified(watch, clock)
    if watch.unable:
        yield Line(_("Looking at it"), watch.unable, NOT_WELL)
    head = watch.signs.head
    end = head.short if head.number else _("nothing is written yet")
    yield Line(_("End of the chain"), end)
    yield from _backups(request, watch, now, clock)
    if file := file_of(request.app.state.engine):
        disk = shutil.disk_usage(file.parent)
        low = watch.disk_is_low()
        free = _("{number} GB free", number=printed(disk.free / 1e9, 1))
        yield Line(_("Disk"), low or free, _yes(not low))
        yield Line(_("Database"), sqlite_verdict()[1])
    else:
        yield Line(_("Database"), "PostgreSQL")
    told = watch.signs.clock
    said = f"{told[1]}, {moment(told[0], clock)}" if told else _("never seen to change")
    yield Line(_("Clock"), _("{said}; it is {when}", said=said, when=moment(now, clock)))


def _verified(watch: Watch, clock: Clock) -> Iterator[Line]:
    done = watch.verified
    if done is None:
        return
    many = len(done.faults)
    found = ngettext("{count} fault", "{count} faults", many) if many else _("sound")
    took = _(
        "in {seconds} s, {when}", seconds=printed(done.seconds, 1), when=moment(done.at, clock)
    )
    if done.whole:
        said, well = _("{found}; the whole ledger {took}", found=found, took=took), _yes(not many)
    elif many:
        said, well = _("{found} at the end of the chain {took}", found=found, took=took), NOT_WELL
    else:
        said = _(
            "the end of the chain is sound; the whole ledger not checked yet ({took})", took=took
        )
        well = NOT_KNOWN
    yield Line(_("Verified"), said, well)


def _backups(request: Request, watch: Watch, now: datetime, clock: Clock) -> Iterator[Line]:
    invented = request.app.state.settings.demo
    backup, drill = watch.signs.backup, watch.signs.drill
    late = watch.backup_is_due() or (
        "" if backup else _("Make one a day: mill-ledger backup FOLDER")
    )
    month = timedelta(days=31)
    untried = drill is None or now - drill.at >= month
    lacks = _("Try one each month: mill-ledger drill FOLDER") if untried else ""
    for title, made, lack in (
        (_("Last backup"), backup, late),
        (_("Last proven restore"), drill, lacks),
    ):
        where = _("never")
        if made:
            when = moment(made.at, clock)
            where = _(
                "{when}, up to event {number}: {place}",
                when=when, number=made.number, place=made.place,
            )  # fmt: skip
        if invented:
            yield Line(title, _("{where}. None is asked for in a demonstration", where=where), "–")
        else:
            yield Line(title, f"{where}. {lack}" if lack else where, _yes(not lack))


def _yes(well: bool) -> str:
    return WELL if well else NOT_WELL
