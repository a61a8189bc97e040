"""Reports: the morning report of a day, a week, a season; each also as a CSV file."""

from datetime import date, timedelta

from fastapi import APIRouter, Request, Response

from app.exports.archive import MAY_ARCHIVE
from app.exports.columns import COLUMNS
from app.exports.csv import period_csv
from app.language import _
from app.ledger import chain, mills
from app.ledger.notes import notes_of
from app.ledger.shifts import entries_of
from app.plant.calendar import days_of_week, week_name
from app.reports.dates import month_name
from app.reports.table import PeriodReport, month_report, run_report, season_report, week_report
from app.reports.trend import trend_of
from app.web.checked import checks_of_day
from app.web.morning import morning
from app.web.open_shift import open_shift
from app.web.periods import Asked, Find, Finder
from app.web.requests import Day, Viewer, render
from app.web.trust import trust_of_day, trust_of_period

router = APIRouter()

_COLUMNS = {"week": "Week", "month": "Month", "season": "Season to date", "run": "Run"}


@router.get("/days/{day}.csv")
def day_csv(find: Find, day: Day, _by: Viewer) -> Response:
    """Answer with the CSV file of a day."""
    return _csv(find, find.day(day))


@router.get("/weeks/{week}.csv")
def week_csv(find: Find, week: str, _by: Viewer) -> Response:
    """Answer with the CSV file of a week."""
    return _csv(find, find.week(week))


@router.get("/months/{month}.csv")
def month_csv(find: Find, month: str, _by: Viewer) -> Response:
    """Answer with the CSV file of a month."""
    return _csv(find, find.month(month))


@router.get("/runs/{first}/{last}.csv")
def run_csv(find: Find, first: Day, last: Day, _by: Viewer) -> Response:
    """Answer with the CSV file of a run."""
    return _csv(find, find.run(first, last))


@router.get("/seasons/{name}.csv")
def season_csv(find: Find, name: str, _by: Viewer) -> Response:
    """Answer with the CSV file of a season to its last day that is over."""
    return _csv(find, find.season(name))


def _csv(find: Finder, asked: Asked) -> Response:
    of_days = find.connection, asked.season, asked.days[0], asked.days[-1]
    name = asked.address.strip("/").replace("/", "-")
    return Response(
        period_csv(asked.books, asked.period, name, entries_of(*of_days), notes_of(*of_days)),
        media_type="text/csv; charset=utf-8",
        headers={"Content-Disposition": f'attachment; filename="{name}-draft.csv"'},
    )


@router.get("/days/{day}")
def day_page(request: Request, find: Find, day: Day, _by: Viewer) -> Response:
    """Show the morning report of a day."""
    return show_day(request, find, find.day(day))


def show_day(request: Request, find: Finder, asked: Asked) -> Response:
    """Answer with the morning report of a day that was found."""
    (day,) = asked.days
    books, held = asked.books, sorted(set(asked.books.days))
    this = morning(find, asked, day)
    page = this.report
    accounted = next(c.value for c in page.conventions if c.name == "sugar_accounted")
    begun = _begun(find, asked, day)
    shifts = [open_shift(find.connection, day, number, find.now) for number in begun]
    return render(
        request,
        "reports/day.html",
        page=page,
        first=this.first,
        head=chain.head(find.connection),
        address=asked.address,
        addresses=(asked.address, f"{asked.address}/week-to-date", f"{asked.address}/to-date"),
        before=max((d for d in held if d < day), default=None),
        after=min((d for d in held if d > day), default=None),
        shifts=begun,
        checks=checks_of_day(find.connection, shifts, books, this.doubts),
        week=week_name(day),
        accounted=accounted,
        unfinished=not find.is_over(day, asked.mill),
        trust=trust_of_day(find, asked, page),
    )


def _begun(find: Finder, asked: Asked, day: date) -> list[int]:
    clock = asked.mill.clock
    every = range(1, clock.shifts_a_day + 1)
    return [number for number in every if clock.shift_bounds(day, number)[0] <= find.now]


@router.get("/weeks/{week}")
def week_page(request: Request, find: Find, week: str, _by: Viewer) -> Response:
    """Show a week, a row a day."""
    return show_week(request, find, find.week(week))


def show_week(request: Request, find: Finder, asked: Asked) -> Response:
    """Answer with a week that was found."""
    targets = mills.targets(find.connection, asked.mill, asked.days[-1])
    monday = days_of_week(week_name(asked.days[0]))[0]
    steps = [
        (f"{arrow[0]}{name}{arrow[1]}", f"/weeks/{name}")
        for gone, arrow in ((-7, ("← ", "")), (7, ("", " →")))
        if (name := week_name(monday + timedelta(days=gone)))
        in {week_name(day) for day in asked.books.days}
    ]
    return _period_page(
        request, find, asked, week_report(asked.books, asked.days, targets), "week",
        [*steps, (_("Season {name}", name=asked.season.name), f"/seasons/{asked.season.name}")],
    )  # fmt: skip


@router.get("/months/{month}")
def month_page(request: Request, find: Find, month: str, _by: Viewer) -> Response:
    """Show a calendar month, a row a day."""
    return show_month(request, find, find.month(month))


def show_month(request: Request, find: Finder, asked: Asked) -> Response:
    """Answer with a calendar month that was found."""
    targets = mills.targets(find.connection, asked.mill, asked.days[-1])
    season = (_("Season {name}", name=asked.season.name), f"/seasons/{asked.season.name}")
    steps = [*_months(asked, without=f"{asked.days[0]:%Y-%m}"), season]
    return _period_page(
        request, find, asked, month_report(asked.books, asked.days, targets), "month", steps
    )


def _months(asked: Asked, without: str = "") -> list[tuple[str, str]]:
    firsts = sorted({day.replace(day=1) for day in asked.books.days})
    named = [(month_name(first), f"{first:%Y-%m}") for first in firsts]
    return [(words, f"/months/{name}") for words, name in named if name != without]


@router.get("/runs/{first}/{last}")
def run_page(request: Request, find: Find, first: Day, last: Day, _by: Viewer) -> Response:
    """Show a run, a row a day."""
    return show_run(request, find, find.run(first, last))


def show_run(request: Request, find: Finder, asked: Asked) -> Response:
    """Answer with a run that was found."""
    targets = mills.targets(find.connection, asked.mill, asked.days[-1])
    name = asked.season.name
    steps = [(_("Other runs"), "/runs"), (_("Season {name}", name=name), f"/seasons/{name}")]
    return _period_page(
        request, find, asked, run_report(asked.books, asked.days, targets), "run", steps
    )


@router.get("/seasons/{name}")
def season_page(request: Request, find: Find, name: str, _by: Viewer) -> Response:
    """Show a season, a row a week."""
    return show_season(request, find, find.season(name))


def show_season(request: Request, find: Finder, asked: Asked) -> Response:
    """Answer with a season that was found."""
    name, until = asked.season.name, asked.days[-1]
    targets = mills.targets(find.connection, asked.mill, until)
    others = [
        (_("Season {name}", name=season.name), f"/seasons/{season.name}")
        for season in mills.seasons(find.connection, asked.mill)
        if season.name != name
    ]
    return _period_page(
        request,
        find,
        asked,
        season_report(asked.books, name, until, targets),
        "season",
        [*_months(asked), *others],
    )


def _period_page(
    request: Request,
    find: Finder,
    asked: Asked,
    page: PeriodReport | None,
    kind: str,
    steps: list[tuple[str, str]],
) -> Response:
    return render(
        request,
        "reports/period.html",
        page=page,
        kind=kind,
        column=_(_COLUMNS[kind]),
        address=asked.address,
        steps=steps,
        csv_columns=COLUMNS,
        may_archive=MAY_ARCHIVE,
        trust=trust_of_period(find, asked),
        trend=trend_of(page, request.query_params.get("trend", "")) if page else None,
    )
