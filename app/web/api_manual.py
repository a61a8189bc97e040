"""The page of the manual on the way in for programs, from its published description."""

import json
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from fastapi import APIRouter, Request, Response

from app.language import _
from app.web.api import A_MINUTE, LONGEST_BODY
from app.web.api_document import ABOUT, REFUSED, document, operations
from app.web.api_examples import ASKED, EXAMPLES, FILES, Example
from app.web.manual import PARTS
from app.web.requests import Viewer, render

router = APIRouter(prefix="/manual/api")


@dataclass(frozen=True)
class Told:
    """One thing that is sent or answered: its name, its kind, whether it must be, in words."""

    name: str
    needed: bool
    words: str


@dataclass(frozen=True)
class Described:
    """A route: what it does, what it takes and answers, with examples as they are sent."""

    method: str
    path: str
    summary: str
    more: str
    takes: tuple[Told, ...]
    gives: tuple[tuple[str, tuple[Told, ...]], ...]
    examples: tuple[tuple[str, str], ...]


@router.get("")
def api_page(request: Request, _by: Viewer) -> Response:
    """Explain how instruments and other programs write and read."""
    return render(
        request, "manual/api.html", parts=PARTS, about=ABOUT, refused=REFUSED,
        routes=list(_described(f"{request.base_url}".rstrip("/"))), longest=LONGEST_BODY,
        a_minute=A_MINUTE, files=FILES,
    )  # fmt: skip


def _described(server: str) -> Iterator[Described]:
    said = document()
    schemas = said["components"]["schemas"]
    for path, method, operation in operations(said):
        answer = operation["responses"]["200"]["content"]["application/json"]["schema"]
        sent = operation.get("requestBody")
        yield Described(
            method.upper(),
            path,
            operation["summary"],
            operation["description"],
            _fields(schemas, _sent_model(sent)) if sent else (),
            tuple(_answers(schemas, _model(answer))),
            tuple(_examples(server, path, reads=method == "get")),
        )


def _sent_model(body: dict[str, Any]) -> str:
    return _model(body["content"]["application/json"]["schema"]["anyOf"][0])


def _model(schema: dict[str, Any]) -> str:
    return str(schema["$ref"]).rpartition("/")[2]


def _fields(schemas: dict[str, Any], model: str) -> tuple[Told, ...]:
    said = schemas[model]
    needed = said.get("required", ())
    return tuple(
        Told(name, name in needed, of.get("description", ""))
        for name, of in said["properties"].items()
    )


def _answers(schemas: dict[str, Any], model: str) -> Iterator[tuple[str, tuple[Told, ...]]]:
    """Yield what a model says, and then what each model within it says, with its words."""
    yield schemas[model]["description"], _fields(schemas, model)
    for of in schemas[model]["properties"].values():
        inner = of.get("items", of.get("additionalProperties", {}))
        if isinstance(inner, dict) and "$ref" in inner:
            yield from _answers(schemas, _model(inner))


def _examples(server: str, path: str, *, reads: bool) -> Iterator[tuple[str, str]]:
    shown = '-H "Authorization: Bearer $TOKEN"'
    if reads:
        yield _("What is asked"), f"curl {shown} {server}{path.format(**ASKED.get(path, {}))}"
    for each in EXAMPLES:
        if each.path == path:
            yield each.title, f"curl {shown} {_json(each)} {server}{path}"


def _json(example: Example) -> str:
    body = json.dumps(example.sends, ensure_ascii=False, indent=2)
    return f"-H \"Content-Type: application/json\" -d '{body}'"
