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
from app.ledger.mills import the_mill
from app.ledger.people import Person
from app.ledger.soundness import CANNOT
from app.plant.calendar import Clock
from app.reports.dates import moment
from app.web.requests import Now, Place, allow, render

router = APIRouter(prefix="/status")

Keeper = Annotated[Person, Depends(allow("administrator", "manager"))]
Administrator = Annotated[Person, Depends(allow("administrator"))]


class Line(NamedTuple):
    """One thing that is watched: what it is, how it stands, and whether that is well."""

    title: str
    says: str
    well: str = "yes"


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
def verify(request: Request, _: Administrator, _at: Place) -> Response:
    """Verify the whole ledger now."""
    request.app.state.watch.verify()
    return RedirectResponse("/status", 303)


def _lines(request: Request, watch: Watch, now: datetime, clock: Clock) -> Iterator[Line]:
    yield Line("Writing", watch.closed or "open", _yes(not watch.closed))
    yield from _verified(watch, clock)
    if watch.unable:
        yield Line("Looking at it", watch.unable, "no")
    head = watch.signs.head
    yield Line("End of the chain", head.short if head.number else "nothing is written yet")
    yield from _backups(request, watch, now, clock)
    if file := file_of(request.app.state.engine):
        disk = shutil.disk_usage(file.parent)
        low = watch.disk_is_low()
        yield Line("Disk", low or f"{disk.free / 1e9:,.1f} GB free", _yes(not low))
        yield Line("Database", sqlite_verdict()[1])
    else:
        yield Line("Database", "PostgreSQL")
    told = watch.signs.clock
    said = f"{told[1]}, {moment(told[0], clock)}" if told else "never seen to change"
    yield Line("Clock", f"{said}; it is {moment(now, clock)}")


def _verified(watch: Watch, clock: Clock) -> Iterator[Line]:
    done = watch.verified
    if done is None:
        return
    many = len(done.faults)
    found = f"{many} fault{'s' if many > 1 else ''}" if many else "sound"
    took = f"in {done.seconds:.1f} s, {moment(done.at, clock)}"
    if done.whole:
        yield Line("Verified", f"{found}; the whole ledger {took}", _yes(not many))
    elif many:
        yield Line("Verified", f"{found} at the end of the chain {took}", "no")
    else:
        said = "the end of the chain is sound; the whole ledger not checked yet"
        yield Line("Verified", f"{said} ({took})", "not known yet")


def _backups(request: Request, watch: Watch, now: datetime, clock: Clock) -> Iterator[Line]:
    invented = request.app.state.settings.demo
    backup, drill = watch.signs.backup, watch.signs.drill
    late = watch.backup_is_due() or ("" if backup else "Make one a day: mill-ledger backup FOLDER")
    month = timedelta(days=31)
    untried = drill is None or now - drill.at >= month
    lacks = "Try one each month: mill-ledger drill FOLDER" if untried else ""
    for title, made, lack in (("Last backup", backup, late), ("Last proven restore", drill, lacks)):
        where = f"{moment(made.at, clock)}, up to event {made.number}: {made.place}" if made else ""
        if invented:
            yield Line(title, f"{where or 'never'}. None is asked for in a demonstration", "–")
        else:
            yield Line(title, ". ".join(filter(None, (where or "never", lack))), _yes(not lack))


def _yes(well: bool) -> str:
    return "yes" if well else "no"
