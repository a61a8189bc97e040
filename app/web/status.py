"""How the ledger is kept: what was verified, its backups, its disk, its clock."""

import shutil
from collections.abc import Iterator
from datetime import datetime, timedelta
from typing import Annotated, NamedTuple

from fastapi import APIRouter, Depends, Request, Response
from fastapi.responses import RedirectResponse

from app.database import file_of
from app.keeping.fitness import sqlite_verdict
from app.keeping.signs import Made
from app.keeping.watch import Watch
from app.ledger.people import Person
from app.ledger.soundness import CANNOT
from app.web.requests import Now, Place, allow, render

router = APIRouter(prefix="/status")

Keeper = Annotated[Person, Depends(allow("administrator", "manager"))]
Administrator = Annotated[Person, Depends(allow("administrator"))]


class Line(NamedTuple):
    """One thing that is watched: what it is, how it stands, and whether that is well."""

    title: str
    says: str
    well: bool = True


@router.get("")
def status(request: Request, person: Keeper, now: Now, _at: Place) -> Response:
    """Say how the ledger is kept."""
    watch: Watch = request.app.state.watch
    watch.look_around()
    return render(
        request,
        "status.html",
        lines=list(_lines(request, watch, now)),
        faults=[str(fault) for fault in watch.verified.faults] if watch.verified else [],
        may_verify=person.role == "administrator",
        cannot=CANNOT,
    )


@router.post("/verification")
def verify(request: Request, _: Administrator, _at: Place) -> Response:
    """Verify the whole ledger now."""
    request.app.state.watch.verify()
    return RedirectResponse("/status", 303)


def _lines(request: Request, watch: Watch, now: datetime) -> Iterator[Line]:
    yield Line("Writing", watch.closed or "open", not watch.closed)
    if done := watch.verified:
        extent = "the whole ledger" if done.whole else "the end of the chain"
        found = f"{len(done.faults)} faults" if done.faults else "sound"
        took = f"{extent} in {done.seconds:.1f} s, {_ago(now - done.at)}"
        yield Line("Verified", f"{found}; {took}", not done.faults)
    if watch.unable:
        yield Line("Looking at it", watch.unable, well=False)
    head = watch.signs.head
    yield Line("End of the chain", head.short if head.number else "nothing is written yet")
    yield _made("Last backup", watch.signs.backup, now, watch.backup_is_due())
    month = timedelta(days=31)
    drill = watch.signs.drill
    untried = "" if drill and now - drill.at < month else "Try one each month: mill-ledger drill"
    yield _made("Last proven restore", drill, now, untried)
    if file := file_of(request.app.state.engine):
        disk = shutil.disk_usage(file.parent)
        low = watch.disk_is_low()
        yield Line("Disk", low or f"{disk.free / 1e9:,.1f} GB free", not low)
        yield Line("Database", sqlite_verdict()[1])
    else:
        yield Line("Database", "PostgreSQL")
    clock = watch.signs.clock
    said = f"{clock[1]}, {_ago(now - clock[0])}" if clock else "never seen to change"
    yield Line("Clock", f"{said}; it is {now:%Y-%m-%d %H:%M} UTC")


def _made(title: str, made: Made | None, now: datetime, lacks: str) -> Line:
    says = f"{_ago(now - made.at)}, up to event {made.number}: {made.place}" if made else "never"
    return Line(title, f"{says}. {lacks}" if lacks else says, not lacks)


def _ago(age: timedelta) -> str:
    hours = age.total_seconds() / 3600
    if hours < 1:
        return f"{max(0, hours * 60):.0f} minutes ago"
    return f"{hours:.0f} hours ago" if hours < 72 else f"{age.days} days ago"
