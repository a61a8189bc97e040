"""The archive of a season, handed out to who may check the mill's work."""

import tempfile
from pathlib import Path
from typing import Annotated

from fastapi import APIRouter, Depends, HTTPException, Request, Response

from app.database import reading, writing
from app.exports.archive import MAY_ARCHIVE, make_archive, tell_archive
from app.language import _
from app.ledger.people import Person
from app.web.requests import Now, Place, allow

router = APIRouter()

Archivist = Annotated[Person, Depends(allow(*MAY_ARCHIVE))]


@router.post("/seasons/{name}/archive")
def season_archive(request: Request, name: str, now: Now, by: Archivist, _at: Place) -> Response:
    """Make the archive of a season and answer with it; the chain tells that it was made."""
    if closed := request.app.state.watch.closed:
        raise HTTPException(503, closed)
    engine = request.app.state.engine
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "archive.zip"
        try:
            with reading(engine) as connection:  # no lock: it takes its time
                made = make_archive(connection, name, path)
        except LookupError:
            raise HTTPException(404, _("There is no season called {name}.", name=name)) from None
        with writing(engine) as connection:
            tell_archive(connection, made, by, now)
        content = path.read_bytes()
    headers = {"Content-Disposition": f'attachment; filename="{made.name}"'}
    return Response(content, media_type="application/zip", headers=headers)
