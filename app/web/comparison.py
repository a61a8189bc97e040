"""Mills of a group side by side: from the JSON of their reports, which is read and not kept."""

from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Annotated

from fastapi import APIRouter, Depends, Request, Response
from pydantic import ValidationError

from app.figures import FIGURES
from app.language import _
from app.ledger import mills
from app.reports.comparison import Comparison, Known, Side, comparison
from app.web.files import MOST_FILES, Sent
from app.web.report_says import NumberSaid, ReportSaid, RowSaid
from app.web.requests import Form, Reading, Viewer, render

router = APIRouter()

LARGEST_REPORT = 2_000_000  # bytes
_LONGEST_NAME = 80
_NO_MILL = 1e15  # what is as large says nothing of a mill; nor does what is no number
# reports whose first column is the period itself; in others it is the last
_FIRST_COLUMN = ("/days/", "/return")


@dataclass
class ComparisonPage:
    """What came of the files, or what is wrong with them."""

    found: Comparison | None = None
    wrong: dict[str, str] = field(default_factory=dict)

    @property
    def problems(self) -> list[tuple[str, str]]:
        """What is wrong, in words, and the address of the field."""
        return [(f"{words}.", f"#{where}") for where, words in self.wrong.items()]


@router.get("/comparison")
def ask_for_reports(request: Request, reading: Reading, _by: Viewer) -> Response:
    """Ask for the reports of several mills."""
    return _answer(request, reading, ComparisonPage())


def _files(request: Request, _form: Form, _by: Viewer) -> list[Sent]:
    return [sent for sent in getattr(request.state, "files", []) if sent.body or sent.name]


@router.post("/comparison")
def compare(
    request: Request, files: Annotated[list[Sent], Depends(_files)], reading: Reading, _by: Viewer
) -> Response:
    """Show the reports that were sent side by side; nothing of them is kept."""
    page, sides, wrong = ComparisonPage(), [], []
    if len(files) > MOST_FILES:
        page.wrong["files"] = _("These are {count} files: {most} at most", count=len(files),
                                most=MOST_FILES)  # fmt: skip
        return _answer(request, reading, page)
    for sent in files:
        try:
            sides.append(side_of(sent.body))
        except ValueError as why:
            wrong.append(f"{sent.name[:_LONGEST_NAME]}: {why}")
    if wrong:
        page.wrong["files"] = "; ".join(wrong)
    elif len(sides) < 2:
        page.wrong["files"] = _("Choose the reports of two mills or more")
    else:
        page.found = comparison(sides)
    return _answer(request, reading, page)


def side_of(body: bytes) -> Side:
    """Return the report that a file holds; ValueError, in words, where it holds none to compare."""
    if len(body) > LARGEST_REPORT:
        raise ValueError(_("it is too large to be a report"))
    try:
        said = ReportSaid.model_validate_json(body)
    except ValidationError:
        raise ValueError(_("it is not the JSON of a report of this program")) from None
    if said.report.startswith("/shifts/"):
        raise ValueError(_("the sheet of a shift has nothing to compare: take a longer report"))
    first = said.report.startswith(_FIRST_COLUMN[0]) or said.report.endswith(_FIRST_COLUMN[1])
    known = dict(_known(said, 0 if first else -1))
    if not known:
        raise ValueError(_("it holds no figure: it is no whole report"))
    return Side(
        said.mill[:_LONGEST_NAME], said.title[:_LONGEST_NAME], said.first, said.last, said.over,
        said.figures, known,
        {each.name: (each.value, each.unit) for each in said.conventions},
    )  # fmt: skip


def _known(said: ReportSaid, column: int) -> Iterator[tuple[str, Known]]:
    for table in said.tables:
        for row in table.rows:
            if row.numbers and _is_ours(row):
                yield row.name, _number(row.numbers[column])


def _is_ours(row: RowSaid) -> bool:
    return row.name in FIGURES and _(FIGURES[row.name].unit) == _(row.unit)


def _number(said: NumberSaid) -> Known:
    if said.value is None or not abs(said.value) < _NO_MILL:
        return Known(None)
    standard = said.standard_uncertainty
    sure = standard is not None and 0 <= standard < _NO_MILL
    return Known(said.value, standard if sure else None)


def _answer(request: Request, reading: Reading, page: ComparisonPage) -> Response:
    seasons = mills.seasons(reading, mills.the_mill(reading))
    return render(
        request, "reports/comparison.html", 422 if page.wrong else 200, page=page,
        seasons=[season.name for season in seasons], most=MOST_FILES,
    )  # fmt: skip
