"""A season’s history, brought in from a table: its columns, what is wrong, and its writing."""

from collections.abc import Callable, Iterator, Mapping
from typing import Annotated
from urllib.parse import urlencode

from fastapi import APIRouter, Depends, HTTPException, Path, Request, Response
from sqlalchemy import Connection

from app.imports.bringing import Bringing
from app.imports.columns import SHEET, word_for
from app.imports.files import Brought, NoTable, read_file
from app.language import _
from app.ledger.book import Closed
from app.ledger.cells import Refused
from app.ledger.imported import imports
from app.ledger.mills import the_mill
from app.ledger.people import Person
from app.ledger.recording import Faulty
from app.ledger.taking_back import take_back
from app.plant.books import BOOKS
from app.web.import_columns import asked, columns_said, guessed, table_of
from app.web.import_pages import PERCENT, SHARE, ImportsPage, UploadPage
from app.web.requests import Form, Now, Once, Reading, Viewer, allow, done, render
from app.web.uploads import Upload

router = APIRouter(prefix="/imports")

MAY_IMPORT = ("chemist", "chief chemist")
Importer = Annotated[Person, Depends(allow(*MAY_IMPORT))]
Event = Annotated[int, Path(ge=1, lt=2**31)]


@router.get("")
def imports_page(request: Request, reading: Reading, by: Viewer, back: str = "") -> Response:
    """Show what was brought in, and a form to bring in more."""
    return _index(request, reading, by, back=back if back.isdecimal() else "")


def _index(
    request: Request,
    connection: Connection,
    by: Person,
    wrong: Mapping[str, str] | None = None,
    back: str = "",
) -> Response:
    page = ImportsPage(
        imports(connection), the_mill(connection).clock, by.role in MAY_IMPORT, wrong or {},
        request.app.state.uploads.of(by), back,
    )  # fmt: skip
    return render(request, "imports/index.html", 422 if wrong else 200, page=page)


@router.post("/{number}/taking-back")
def take_import_back(
    request: Request, by: Importer, number: Event, form: Form, now: Now, once: Once
) -> Response:
    """Take an import back as a whole, with a reason."""
    try:
        with once.connection.begin_nested():
            count = take_back(once.connection, number, form.get("reason", ""), by=by, at=now)
    except LookupError:
        raise HTTPException(
            404, _("Nothing was brought in by event {number}.", number=number)
        ) from None
    except (Refused, Closed, Faulty) as why:
        return _index(request, once.connection, by, {f"event-{number}": str(why)})
    return done(once, f"/imports?{urlencode({'back': count})}")


def _brought(request: Request, _form: Form, _by: Importer) -> Brought | str:
    """Return the file that was sent as it was read, before anything is locked; or why not."""
    sent = getattr(request.state, "sent", None)
    if sent is None or not (sent.body or sent.name):
        return _("Choose a file")
    if not sent.body:
        return _("The file is empty")
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


def _after() -> Iterator[list[Callable[[], None]]]:
    """Give a list of what is done once the answer is kept: where it is not, none of that is."""
    work: list[Callable[[], None]] = []
    yield work
    for each in work:
        each()


# asked for before the connection is, so that it ends after it
After = Annotated[list[Callable[[], None]], Depends(_after, scope="function")]


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
        said = {place: SHARE if place in columns.shares else PERCENT for place in columns.of}
        shown = UploadPage(
            found, table, columns.target, typed, columns.order, **asked(table, columns),
            confirmed=True, shares=said, decimal=columns.decimal,
            unmeasured=", ".join(sorted(columns.unmeasured)),
        )  # fmt: skip
    else:
        shown = guessed(reading, found, sheet, heading, target)
    return render(request, "imports/upload.html", page=shown)


@router.post("/{upload}/columns")
def check_table(
    request: Request, _by: Importer, found: Found, form: Form, now: Now, after: After, once: Once
) -> Response:
    """Take what the columns are, and begin to check all rows; nothing is written."""
    target = form.get("target", SHEET)
    if target != SHEET and target not in BOOKS:
        raise HTTPException(422, _("There is no book called {name}", name=target[:60]))
    table = table_of(found.brought, form.get("sheet"), form.get("heading", ""), target)
    typed = {
        place: text
        for place in range(len(table.headings))
        if (text := form.get(f"column:{place}", "").strip())
    }
    columns, order, wrong = columns_said(table, target, typed, form)
    if wrong:
        said = {place: form.get(f"share:{place}", "") for place in columns.of}
        page = UploadPage(
            found, table, target, typed, order, **asked(table, columns),
            confirmed="alike" in form, shares=said, wrong=wrong,
            decimal=form.get("decimal", ""), unmeasured=form.get("unmeasured", ""),
        )  # fmt: skip
        return render(request, "imports/upload.html", 422, page=page)
    after.append(lambda: found.check(Bringing(table, columns), request.app.state.engine, now))
    return done(once, f"/imports/{found.key}")


@router.post("/{upload}/acceptance")
def accept(request: Request, found: Found, now: Now, after: After, once: Once) -> Response:
    """Begin to write all of a table that was checked, or none of it."""
    if found.stage == "checked" and not found.may_be_written:
        raise HTTPException(409, _("There is nothing in it that may be written."))
    after.append(lambda: found.write(request.app.state.engine, now))
    return done(once, f"/imports/{found.key}")


@router.get("/{upload}/rejected.csv")
def rejected_rows(found: Found) -> Response:
    """Give the rows back that cannot be brought in, each with its reasons."""
    bringing, checked = found.bringing, found.checked
    if bringing is None or checked is None or not checked.faults:
        raise HTTPException(404, _("No row of this file was rejected."))
    headers = {"Content-Disposition": 'attachment; filename="rejected.csv"'}
    text = "\ufeff" + bringing.rejected(checked.faults)  # by which spreadsheets know UTF-8
    return Response(text, media_type="text/csv; charset=utf-8", headers=headers)
