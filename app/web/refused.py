"""Files of instruments that were refused, for those who see to them."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Annotated

from fastapi import APIRouter, Depends, Request, Response

from app.keeping.folder import Folder
from app.keeping.laid import Refusal
from app.ledger.mills import the_mill
from app.ledger.people import Person
from app.plant.calendar import Clock
from app.web.requests import Reading, allow, render

router = APIRouter(prefix="/instruments")

MAY_SEE_REFUSED = ("chemist", "chief chemist", "administrator")


@dataclass(frozen=True)
class RefusedPage:
    """The files that were refused, the newest first, and those that nobody takes."""

    refused: Sequence[Refusal]
    astray: Sequence[str]
    clock: Clock
    watched: bool


def refused_since(request: Request, at: datetime) -> int:
    """Return how many files of instruments were refused since a moment."""
    return sum(each.at >= at for each in _refused(request))


@router.get("/refused")
def refused_page(
    request: Request, reading: Reading, _by: Annotated[Person, Depends(allow(*MAY_SEE_REFUSED))]
) -> Response:
    """Show which files of instruments were refused, and why."""
    folder = _folder(request)
    page = RefusedPage(
        _refused(request), folder.astray if folder else (), the_mill(reading).clock, bool(folder)
    )
    return render(request, "refused.html", page=page)


def _folder(request: Request) -> Folder | None:
    found: Folder | None = request.app.state.watch.folder
    return found


def _refused(request: Request) -> Sequence[Refusal]:
    folder = _folder(request)
    return folder.refused if folder else ()
