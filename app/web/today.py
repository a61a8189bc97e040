"""The first page: the shift that runs, and yesterday."""

from datetime import timedelta

from fastapi import APIRouter, Request, Response

from app.ledger import book, mills
from app.ledger.plan import plan_of
from app.ledger.signed import signed_day, signed_shift
from app.reports.due import due_of
from app.reports.sheet import sheet_of
from app.reports.today import Today, gaps_of_day, owed, yesterday_in_five
from app.web.open_shift import OpenShift
from app.web.periods import books_of
from app.web.refused import MAY_SEE_REFUSED, refused_since
from app.web.requests import Now, Reading, Viewer, render
from app.web.shift_page import filling_of

router = APIRouter()


@router.get("/")
def today(request: Request, connection: Reading, now: Now, by: Viewer) -> Response:
    """Show the shift that runs, what it owes, and yesterday in five numbers."""
    mill = mills.the_mill(connection)
    clock = mill.clock
    day, number = clock.shift_at(now)
    season = mills.season_of(connection, mill, day)
    yesterday_began = clock.shift_bounds(day - timedelta(days=1), 1)[0]
    refused = refused_since(request, yesterday_began) if by.role in MAY_SEE_REFUSED else 0
    if season is None:
        return render(request, "today.html", page=None, refused=refused, role=by.role)
    plan = plan_of(connection, mill)
    shift = OpenShift(mill, season, day, number, plan)
    books = books_of(connection, mill, season, plan=plan)
    before = day - timedelta(days=1)
    yesterday = before if books.day(before).last else None
    five = (
        yesterday_in_five(books, before, mills.targets(connection, mill, before))
        if yesterday
        else ()
    )
    results = book.sheet(connection, season, day, number)
    sheet = sheet_of(shift.measures, filling_of(shift, results, books))
    begins, ends = clock.shift_bounds(day, number)
    page = Today(
        now=clock.local(now),
        day=day,
        number=number,
        begins=clock.local(begins),
        ends=clock.local(ends),
        entered=sheet.entered,
        due=len(sheet.due),
        named=len(sheet.named),
        owed=owed(sheet.missing),
        earlier_gaps=gaps_of_day(books, before) if yesterday else (),
        yesterday=yesterday,
        five=five,
        progress=due_of(sheet, now, clock),
    )
    return render(
        request,
        "today.html",
        page=page,
        refused=refused,
        before=before,
        first_day=before not in season,
        season_address=f"/seasons/{season.name}",
        signed=signed_day(connection, season, before, mill.shifts_a_day),
        shift_signed=signed_shift(connection, season, day, number).signature,
    )
