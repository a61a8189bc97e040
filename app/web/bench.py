"""The bench: everyday conversions of the laboratory, and the mill's table of lime."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Annotated

from fastapi import APIRouter, Depends, HTTPException, Request, Response
from sqlalchemy import Connection

from app.language import _
from app.ledger import bench
from app.ledger.bench import LimeDose, NotADose
from app.ledger.mills import Mill, the_mill
from app.ledger.people import Person
from app.reports.bench import BenchPage, bench_page
from app.reports.conversions import sections
from app.reports.dates import moment
from app.web.requests import Form, Now, Once, Reading, Viewer, Writing, allow, done, render

router = APIRouter()

KEEPERS = ("chemist", "chief chemist")
Keeper = Annotated[Person, Depends(allow(*KEEPERS))]

_DONE = {"kept": "The lime table was changed.", "out": "A step was taken out of the lime table."}


@dataclass(frozen=True)
class LimeTable:
    """The mill's doses, and what came of the form that changes them."""

    mill: Mill
    doses: list[LimeDose]
    may_edit: bool
    done: str = ""
    typed: Mapping[str, str] = field(default_factory=dict)
    wrong: Mapping[str, str] = field(default_factory=dict)

    def written(self, dose: LimeDose) -> str:
        """Return who let a dose stand, and when."""
        return f"{dose.recorded_name}, {moment(dose.recorded_at, self.mill.clock)}"

    def page(self, name: str = "", typed: Mapping[str, str] | None = None) -> BenchPage:
        """Return the page on which conversion `name` was sent, with these doses to choose from."""
        steps = {(dose.from_ph, dose.to_ph): dose.dose for dose in self.doses}
        return bench_page(sections(steps), name, typed)

    @property
    def problems(self) -> list[tuple[str, str]]:
        """What is wrong with the form, with the address of its box."""
        return [(f"{words}.", f"#dose-{where}") for where, words in self.wrong.items()]


@router.get("/bench")
def bench_asked(
    request: Request, reading: Reading, who: Viewer, conversion: str = "", done: str = ""
) -> Response:
    """Show every conversion, and what comes of the one that was sent."""
    table = _table(reading, who, done=_(_DONE.get(done, "")))
    try:
        page = table.page(conversion, request.query_params)
    except KeyError:
        raise HTTPException(404, _("The bench has no such conversion now.")) from None
    status = 422 if page.problems else 200
    return render(request, "bench/index.html", status, page=page, lime=table)


@router.post("/bench/lime-doses")
def keep_lime_dose(
    request: Request, writing: Writing, form: Form, now: Now, by: Keeper, once: Once
) -> Response:
    """Let a dose of lime stand for a step of pH, or take the step out."""
    typed = {name: form.get(name, "") for name in ("from_ph", "to_ph", "dose")}
    try:
        kept = bench.set_lime_dose(writing, the_mill(writing), **typed, by=by, at=now)
    except NotADose as refused:
        table = _table(writing, by, typed=typed, wrong={refused.where: str(refused)})
        return render(request, "bench/index.html", 422, page=table.page(), lime=table)
    return done(once, f"/bench?done={'kept' if kept else 'out'}#lime-table")


def _table(
    connection: Connection,
    who: Person,
    *,
    done: str = "",
    typed: Mapping[str, str] | None = None,
    wrong: Mapping[str, str] | None = None,
) -> LimeTable:
    mill = the_mill(connection)
    doses = bench.lime_doses(connection, mill)
    return LimeTable(mill, doses, who.role in KEEPERS, done, typed or {}, wrong or {})
