"""A season’s history, brought in from a table: its columns, what is wrong, and its writing."""

from collections.abc import Mapping
from typing import Annotated, Any

from fastapi import APIRouter, Depends, HTTPException, Request, Response
from sqlalchemy import Connection

from app.imports.bringing import Bringing, Table
from app.imports.columns import (
    DAY,
    DAY_FIRST,
    SHEET,
    YEAR_FIRST,
    Columns,
    called,
    choices,
    day_orders,
    guess,
    heading_row,
    word_for,
)
from app.imports.files import Brought, NoTable, read_file
from app.language import _
from app.ledger.imported import imports, remember, remembered
from app.ledger.mills import the_mill
from app.ledger.people import Person
from app.plant.books import BOOKS
from app.web.import_pages import ORDERS, ImportsPage, UploadPage
from app.web.requests import Form, Now, Once, Reading, Viewer, allow, done, render
from app.web.uploads import Upload

router = APIRouter(prefix="/imports")

MAY_IMPORT = ("chemist", "chief chemist")
Importer = Annotated[Person, Depends(allow(*MAY_IMPORT))]


@router.get("")
def imports_page(request: Request, reading: Reading, by: Viewer) -> Response:
    """Show what was brought in, and a form to bring in more."""
    return _index(request, reading, by)


def _index(
    request: Request, connection: Connection, by: Person, wrong: Mapping[str, str] | None = None
) -> Response:
    page = ImportsPage(
        imports(connection), the_mill(connection).clock, by.role in MAY_IMPORT, wrong or {}
    )
    return render(request, "imports/index.html", 422 if wrong else 200, page=page)


def _brought(request: Request, _form: Form, _by: Importer) -> Brought | str:
    """Return the file that was sent as it was read, before anything is locked; or why not."""
    sent = getattr(request.state, "sent", None)
    if sent is None or not sent.body:
        return _("Choose a file")
    try:
        return read_file(sent.name, sent.body)
    except NoTable as why:
        return str(why)


@router.post("")
def upload_file(
    request: Request, by: Importer, brought: Annotated[Brought | str, Depends(_brought)],
    reading: Reading,
) -> Response:  # fmt: skip
    """Read a file, and go on to its columns; nothing is written."""
    if isinstance(brought, str):
        return _index(request, reading, by, {"file": brought})
    upload = request.app.state.uploads.add(by, brought)
    return Response(status_code=303, headers={"Location": f"/imports/{upload.key}"})


def _found(request: Request, upload: str, by: Importer) -> Upload:
    found: Upload | None = request.app.state.uploads.find(upload, by)
    if found is None:
        raise HTTPException(
            404, _("This file is not kept any more; what was written of it stands. Bring it again.")
        )
    return found


Found = Annotated[Upload, Depends(_found)]


@router.get("/{upload}")
def upload_page(
    request: Request, found: Found, reading: Reading, sheet: str | None = None,
    heading: str = "", target: str = "",
) -> Response:  # fmt: skip
    """Show how far a file is: its columns, what is wrong with it, or that it is written."""
    if found.busy:
        page = render(request, "imports/busy.html", upload=found)
        page.headers["Refresh"] = "1"
        return page
    if found.stage == "written":
        return render(request, "imports/written.html", upload=found)
    if found.bringing and sheet is None:
        columns = found.bringing.columns
        typed = {place: word_for(what, columns.target) for place, what in columns.of.items()}
        table = found.bringing.table
        order = columns.order if _asks_for_order(table, columns) else ""
        shown = UploadPage(found, table, columns.target, typed, order)
    else:
        shown = _guessed(reading, found, sheet, heading, target)
    return render(request, "imports/upload.html", page=shown)


def _guessed(
    connection: Connection, found: Upload, sheet: str | None, heading: str, target: str
) -> UploadPage:
    """Return the page of a table with what its columns were before, or else seem to be."""
    target = target if target in BOOKS or target == SHEET else ""
    table = _table(found.brought, sheet, heading, target or SHEET)
    before = remembered(connection, table.headings, target)
    target = before.target if before else target or SHEET
    if target != SHEET and target not in BOOKS:
        before, target = None, SHEET
    of = guess(table.headings, target)
    if before:
        of = {
            place: before.columns[heading]
            for place, heading in enumerate(table.headings)
            if before.columns.get(heading, "") in choices(target)
        }
    typed = {place: word_for(what, target) for place, what in of.items()}
    order = ""
    if _asks_for_order(table, Columns(target, of)):
        order = before.order if before and before.order in ORDERS else DAY_FIRST
    return UploadPage(found, table, target, typed, order, bool(before))


def _table(brought: Brought, sheet: str | None, heading: str, target: str) -> Table:
    """Return the table that is asked for, by the number of its row of headings, or the likeliest.

    Of several sheets it is the one with the most rows.
    """
    sheets = brought.sheets
    if sheet is None or sheet not in sheets:
        sheet = max(sheets, key=lambda name: len(sheets[name]))
    numbers = [number for number, _texts in sheets[sheet]]
    asked = int(heading) if heading.isdecimal() and len(heading) < 8 else None
    place = numbers.index(asked) if asked in numbers else heading_row(sheets[sheet], target)
    return Table(brought, sheet, place)


def _asks_for_order(table: Table, columns: Columns) -> bool:
    """Tell whether somebody must say how days are written."""
    return len(day_orders(_days(table, columns))) != 1


def _days(table: Table, columns: Columns) -> list[str]:
    place = columns.place(DAY)
    if place is None:
        return []
    return [texts[place] for _number, texts in table.rows if place < len(texts)]


@router.post("/{upload}/columns")
def check_table(
    request: Request, by: Importer, found: Found, form: Form, now: Now, once: Once
) -> Response:
    """Keep what the columns are, and begin to check all rows; nothing of them is written."""
    target = form.get("target", SHEET)
    if target != SHEET and target not in BOOKS:
        raise HTTPException(422, _("There is no book called {name}", name=target[:60]))
    table = _table(found.brought, form.get("sheet"), form.get("heading", ""), target)
    typed = {
        place: text
        for place in range(len(table.headings))
        if (text := form.get(f"column:{place}", "").strip())
    }
    columns, order, wrong = _columns(table, target, typed, form.get("order", ""))
    if wrong:
        page = UploadPage(found, table, target, typed, order, wrong=wrong)
        return render(request, "imports/upload.html", 422, page=page)
    said = [
        (heading, columns.of.get(place, ""))
        for place, heading in enumerate(table.headings)
        if heading
    ]
    remember(once.connection, target, columns.order, said, by=by, at=now)
    found.check(Bringing(table, columns), request.app.state.engine, now)
    return done(once, f"/imports/{found.key}")


def _columns(
    table: Table, target: str, typed: Mapping[int, str], order: str
) -> tuple[Columns, str, dict[str, str]]:
    """Return what columns are by what was typed, the order of days, and what is wrong by field."""
    of: dict[int, str] = {}
    wrong: dict[str, str] = {}
    for place, text in typed.items():
        what = called(text, target)
        if what is None:
            wrong[f"column-{place}"] = _("There is nothing called {words}", words=text[:60])
        else:
            of[place] = what
    orders = day_orders(_days(table, Columns(target, of)))
    order = order if order in ORDERS and len(orders) != 1 else ""
    if len(orders) != 1 and not order:
        wrong["order"] = _("Say whether the day or the month comes first")
    columns = Columns(target, of, order or next(iter(orders), YEAR_FIRST))
    if not wrong:
        where: Any
        for where, words in columns.wrong.items():
            wrong["columns" if where == DAY else f"column-{where}"] = words
    return columns, order, wrong


@router.post("/{upload}/acceptance")
def accept(request: Request, found: Found, now: Now, once: Once) -> Response:
    """Begin to write all of a table that was checked, or none of it."""
    if found.stage == "checked" and not found.may_be_written:
        raise HTTPException(409, _("There is nothing in it that may be written."))
    found.write(request.app.state.engine, now)
    return done(once, f"/imports/{found.key}")


@router.get("/{upload}/rejected.csv")
def rejected_rows(found: Found) -> Response:
    """Give the rows back that cannot be brought in, each with its reasons."""
    bringing, checked = found.bringing, found.checked
    if bringing is None or checked is None or not checked.faults:
        raise HTTPException(404, _("No row of this file was rejected."))
    headers = {"Content-Disposition": 'attachment; filename="rejected.csv"'}
    text = bringing.rejected(checked.faults)
    return Response(text, media_type="text/csv; charset=utf-8", headers=headers)
