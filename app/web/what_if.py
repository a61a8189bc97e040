"""What-if: a period with other figures, beside what it was. Kept nowhere but in its address."""

from collections.abc import Mapping
from typing import Annotated

from fastapi import APIRouter, Depends, Request, Response

from app.reports.what_if import what_if
from app.reports.wishes import ASKED, BOXES, FIELDS, OTHERS, PRICE, stated_price
from app.web.periods import Asked, Find, Finder, known_words
from app.web.requests import Day, Viewer, render

router = APIRouter()


def _of_what_if(find: Find) -> Finder:
    return find.of(ASKED)


OfWhatIf = Annotated[Finder, Depends(_of_what_if)]


@router.get("/days/{day}/what-if")
def day_what_if(request: Request, find: OfWhatIf, day: Day, _by: Viewer) -> Response:
    """Show a day with other figures."""
    return _shown(request, find, find.day(day))


@router.get("/weeks/{week}/what-if")
def week_what_if(request: Request, find: OfWhatIf, week: str, _by: Viewer) -> Response:
    """Show a week with other figures."""
    return _shown(request, find, find.week(week))


@router.get("/months/{month}/what-if")
def month_what_if(request: Request, find: OfWhatIf, month: str, _by: Viewer) -> Response:
    """Show a month with other figures."""
    return _shown(request, find, find.month(month))


@router.get("/runs/{first}/{last}/what-if")
def run_what_if(request: Request, find: OfWhatIf, first: Day, last: Day, _by: Viewer) -> Response:
    """Show a run with other figures."""
    return _shown(request, find, find.run(first, last))


@router.get("/seasons/{name}/what-if")
def season_what_if(request: Request, find: OfWhatIf, name: str, _by: Viewer) -> Response:
    """Show a season with other figures."""
    return _shown(request, find, find.season(name))


def _shown(request: Request, find: Finder, asked: Asked) -> Response:
    page = what_if(asked.books, asked.period, _typed(request.query_params, asked))
    return render(
        request, "reports/what_if.html", 422 if page.wrong else 200, page=page, boxes=BOXES,
        others=OTHERS, title=asked.title, address=asked.address,
        known=known_words(find, asked.mill),
    )  # fmt: skip


def _typed(sent: Mapping[str, str], asked: Asked) -> dict[str, str]:
    """Return what was typed; where no price was asked about yet, the one that the mill states."""
    typed = {name: sent.get(name, "").strip() for name in FIELDS}
    if PRICE not in sent:
        in_force = {each.name: each.value for each in asked.books.in_force(asked.days[-1])}
        typed |= stated_price(in_force)
    return typed
