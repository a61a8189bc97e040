"""Files of a report that has a page: a workbook for people, JSON for programs."""

from collections.abc import Callable
from typing import Annotated

from fastapi import APIRouter, Depends, Response
from fastapi.responses import JSONResponse

from app.exports.workbook import Said, workbook_of
from app.language import ENGLISH, _, speaking
from app.reports.dates import zone_words
from app.reports.version import figures_version, program_version
from app.web.report_says import report_said
from app.web.report_tables import REPORTS, Made, ReportTables
from app.web.requests import Viewer

router = APIRouter()

_WORKBOOK = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"


def _json(report: Callable[..., Made]) -> Callable[..., Response]:
    def answer(made: Annotated[Made, Depends(report)], _by: Viewer) -> Response:
        """Answer with a report as JSON: neutral, exact, as it is known now."""
        with speaking(ENGLISH):
            of = made()
            said = report_said(of).model_dump(mode="json")
        return JSONResponse(said, headers=_named(of, "json"))

    return answer


def _workbook(report: Callable[..., Made]) -> Callable[..., Response]:
    def answer(made: Annotated[Made, Depends(report)], _by: Viewer) -> Response:
        """Answer with a report as a workbook, in the language of who asks, its numbers exact."""
        of = made()
        content = workbook_of(of.tabled, about(of))
        return Response(content, media_type=_WORKBOOK, headers=_named(of, "xlsx"))

    return answer


def about(of: ReportTables) -> list[tuple[str, Said]]:
    """Return what a file says of its report: of which mill and days, and on what it stands."""
    clock, tabled = of.mill.clock, of.tabled
    known = clock.local(of.at).replace(tzinfo=None, second=0, microsecond=0)
    return [
        (_("Factory"), ", ".join(filter(None, (of.mill.name, of.mill.place)))),
        (_("First day"), tabled.first),
        (_("Last day"), tabled.last),
        (_("Status"), _status(of)),
        (_("Known"), known),
        (_("Time zone"), zone_words(of.mill.zone)),
        (_("Results that lack"), tabled.lacking),
        (_("Event of the chain"), of.head.number),
        (_("Hash of that event"), of.head.hash),
        (
            _("Made with"),
            _("program {program}, figures {figures}", program=program_version(),
              figures=figures_version()),
        ),
        ("±", _("twice the standard uncertainty")),
    ]  # fmt: skip


def _status(of: ReportTables) -> str:
    if of.issued:
        return _("As known now: NOT THE ISSUE ITSELF, {name}", name=of.issued)
    return _("DRAFT, not issued") if of.over else _("DRAFT, not over yet")


def _named(of: ReportTables, kind: str) -> dict[str, str]:
    return {"Content-Disposition": f'attachment; filename="{of.name}.{kind}"'}


for _address, _report in REPORTS.items():
    router.add_api_route(f"{_address}.json", _json(_report))
    router.add_api_route(f"{_address}.xlsx", _workbook(_report))
