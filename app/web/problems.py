"""What a program that asks is told where it is not answered: problem details, RFC 9457."""

from collections.abc import Mapping, Sequence
from http import HTTPStatus

from fastapi import Request
from fastapi.responses import JSONResponse
from pydantic import BaseModel, Field

from app.language import ngettext

KIND = "application/problem+json"
ADDRESSES = "/api/"  # below which programs ask, not browsers


class Problem(BaseModel):
    """Why nothing was done, as RFC 9457 says it."""

    type: str = Field("about:blank", description="Always about:blank: the status says what it is.")
    title: str = Field(description="What the status means.")
    status: int = Field(description="The status of this answer.")
    detail: str = Field(description="What is wrong, in words, in the language asked for.")
    problems: list[str] = Field(
        description="All that is wrong, each with the item, from 1, and the field it is in."
    )


def problem(
    status: int, problems: Sequence[str], headers: Mapping[str, str] | None = None
) -> JSONResponse:
    """Answer that nothing was done, and why."""
    detail = problems[0]
    if len(problems) > 1:
        detail = ngettext("{count} thing is wrong", "{count} things are wrong", len(problems))
    title = HTTPStatus(status).phrase
    said = Problem(title=title, status=status, detail=detail, problems=list(problems))
    return JSONResponse(said.model_dump(), status, headers, KIND)


def asks_as_a_program(request: Request) -> bool:
    """Tell whether a request is one of a program: it gets problem details and never a page."""
    return request.url.path.startswith(ADDRESSES)
