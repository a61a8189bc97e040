"""The published description of the way in for programs: OpenAPI 3.1, of those routes alone."""

from collections.abc import Iterator, Mapping
from copy import deepcopy
from functools import cache
from typing import Any

from fastapi import APIRouter, Request, Response
from fastapi.openapi.utils import get_openapi
from fastapi.responses import JSONResponse
from pydantic.json_schema import models_json_schema

from app.ledger.sent import MOST, SentRecord, SentResult
from app.web.api import A_MINUTE, LONGEST_BODY
from app.web.api import router as api
from app.web.api_examples import ASKED, EXAMPLES
from app.web.problems import KIND, Problem

router = APIRouter(prefix="/api")

ABOUT = (
    "Each instrument has a token of its own, which an administrator makes, and may write what was "
    "chosen for it and nothing else. Numbers are sent as text, as they would be typed, and are "
    "read by the same rules as on the sheet. What is wrong is answered as problem details (RFC "
    "9457), in the language that Accept-Language asks for; names, numbers and moments are the same "
    "in every language."
)
_LIMITS = f"At most {MOST} things at once, {LONGEST_BODY} bytes, {A_MINUTE} requests a minute."

REFUSED = {
    400: "The body did not arrive whole.",
    401: "The token is missing, wrong or revoked.",
    403: "This instrument may not write this, or the shift is signed or its day approved.",
    404: "There is no such day or shift, or it has not begun.",
    409: "Something else stands there, which a person corrects.",
    413: "More was sent than is taken at once.",
    422: "It cannot be read or kept as it is; nothing was written.",
    429: "The instrument asks too often; Retry-After says how many seconds to wait.",
    500: "Something went wrong in the ledger; nothing was written.",
    502: "The connection to the database broke: send it again, it counts once.",
    503: "Nothing can be written for now: send it again later.",
    507: "The disk of the ledger is full.",
}
_OF_READING = (401, 404, 422, 429, 500, 503)
_SENT = {"/api/results": SentResult, "/api/records": SentRecord}


@router.get("/openapi.json")
def openapi(_request: Request) -> Response:
    """Describe the way in for programs, as OpenAPI."""
    return JSONResponse(document())


@cache
def document() -> dict[str, Any]:
    """Return the description, as it is served."""
    said = get_openapi(
        title="Mill Chemistry Ledger",
        version="1",
        summary="The way in for instruments and other programs",
        description=f"{ABOUT}\n\n{_LIMITS}",
        routes=api.routes,
    )
    _titles, schemas = models_json_schema(
        [(model, "validation") for model in (SentResult, SentRecord, Problem)],
        ref_template="#/components/schemas/{model}",
    )
    said["components"]["schemas"] |= schemas["$defs"]
    for path, method, operation in operations(said):
        summary, _, more = operation["description"].partition("\n\n")
        operation |= {"summary": summary.rstrip("."), "description": " ".join(more.split())}
        if model := _SENT.get(path):
            operation["requestBody"] = _body(path, model.__name__)
        for chosen in operation.get("parameters", ()):
            chosen["example"] = ASKED[path][chosen["name"]]
        _add_refusals(operation, REFUSED if method == "post" else _OF_READING)
    for unused in ("HTTPValidationError", "ValidationError"):
        said["components"]["schemas"].pop(unused, None)
    return said


def operations(said: Mapping[str, Any]) -> Iterator[tuple[str, str, dict[str, Any]]]:
    """Yield path, method and what is said of it, of every route that is described."""
    for path, methods in said["paths"].items():
        for method, operation in methods.items():
            yield path, method, operation


def _body(path: str, model: str) -> dict[str, Any]:
    one = {"$ref": f"#/components/schemas/{model}"}
    examples = {
        each.name: {"summary": each.title, "value": deepcopy(each.sends)}
        for each in EXAMPLES
        if each.path == path
    }
    schema = {"anyOf": [one, {"type": "array", "items": one, "maxItems": MOST}]}
    return {
        "required": True,
        "content": {"application/json": {"schema": schema, "examples": examples}},
    }


def _add_refusals(operation: dict[str, Any], statuses: Mapping[int, str] | tuple[int, ...]) -> None:
    content = {KIND: {"schema": {"$ref": "#/components/schemas/Problem"}}}
    for status in statuses:
        refusal: dict[str, Any] = {"description": REFUSED[status], "content": content}
        if status == 429:
            refusal["headers"] = {
                "Retry-After": {"description": "Seconds to wait.", "schema": {"type": "string"}}
            }
        operation["responses"][f"{status}"] = refusal
