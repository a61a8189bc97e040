"""The season-end return: its page, and its CSV for auditors."""

from collections import Counter
from typing import Annotated

from fastapi import APIRouter, Depends, Request, Response

from app.exports.tables import csv_of_tables
from app.language import ENGLISH, speaking
from app.ledger import chain
from app.ledger.signed import Signed, signed
from app.reports.season_return import NOT_KEPT, SOURCE, season_return
from app.web.periods import Asked, Find, Finder
from app.web.report_tables import Made, of_return
from app.web.requests import Viewer, render
from app.web.trust import trust_of_period

router = APIRouter()


@router.get("/seasons/{name}/return")
def return_page(request: Request, find: Find, name: str, _by: Viewer) -> Response:
    """Show the return of a season: what the published system lists, to date and by month."""
    return show_return(request, find, find.season(name))


def show_return(request: Request, find: Finder, asked: Asked) -> Response:
    """Answer with the return of a season that was found."""
    page = season_return(asked.books, asked.season.name, asked.days)
    return render(
        request, "reports/return.html", page=page, season=asked.season, not_kept=NOT_KEPT,
        source=SOURCE, trust=trust_of_period(find, asked), approved=_approved(find, asked),
        head=chain.head(find.connection), address=f"{asked.address}/return",
    )  # fmt: skip


@router.get("/seasons/{name}/return.csv")
def return_csv(made: Annotated[Made, Depends(of_return)], name: str, _by: Viewer) -> Response:
    """Answer with the return of a season as CSV: a row a number, neutral and exact."""
    with speaking(ENGLISH):
        content = csv_of_tables(made().tabled)
    return Response(
        content, media_type="text/csv; charset=utf-8",
        headers={"Content-Disposition": f'attachment; filename="seasons-{name}-return-draft.csv"'},
    )  # fmt: skip


def _approved(find: Finder, asked: Asked) -> list[tuple[str, int]]:
    """Return who approved how many of the days, the most first."""
    places = signed(find.connection, asked.season, asked.days[0], asked.days[-1])
    signatures = [places.get((day, None), Signed()).signature for day in asked.days]
    return Counter(each.recorded_name for each in signatures if each).most_common()
