"""What comes from outside, as it is sent: results and records of other books, JSON or a table.

Read only: whether something may be written, and where it belongs, is said in `incoming`.
"""

import csv
import io
import re
from collections.abc import Mapping, Sequence
from datetime import date, datetime
from typing import Annotated, Any, NamedTuple, Self, TypeVar

from pydantic import (
    BaseModel,
    BeforeValidator,
    ConfigDict,
    Field,
    StringConstraints,
    ValidationError,
    WithJsonSchema,
    model_validator,
)
from pydantic_core import PydanticCustomError, from_json

from app.language import _, ngettext
from app.ledger.cells import LONGEST_TEXT
from app.plant.books.reading import LONGEST as LONGEST_FIELD

MOST = 1000  # results or records at once
MOST_SAID = 100  # problems of one sending

_DAY = r"\d{4}-\d{2}-\d{2}"
_AT = rf"{_DAY}[T ]\d{{2}}:\d{{2}}(:\d{{2}}(\.\d{{1,6}})?)?(Z|[+-]\d{{2}}:\d{{2}})?"
_WHOLE = ("shift", "sample", "determination")


def _day(text: object) -> date:
    # at either end of time clocks run over
    if isinstance(text, str) and re.fullmatch(_DAY, text, re.ASCII) and "0002" <= text < "9999":
        try:
            return date.fromisoformat(text)
        except ValueError:
            pass
    raise PydanticCustomError("day", "a day is written like 2026-07-14")


def _at(text: object) -> datetime:
    if isinstance(text, str) and re.fullmatch(_AT, text, re.ASCII) and "0002" <= text < "9999":
        try:
            return datetime.fromisoformat(text)
        except ValueError:
            pass
    raise PydanticCustomError("moment", "a moment is written like 2026-07-14T10:05:00+02:00")


Day = Annotated[
    date, BeforeValidator(_day), WithJsonSchema({"type": "string", "format": "date"})
]  # fmt: skip
At = Annotated[
    datetime, BeforeValidator(_at), WithJsonSchema({"type": "string", "pattern": f"^{_AT}$"})
]  # fmt: skip


class Placed(BaseModel):
    """Where something belongs: a shift by its day and number, or by a moment within it."""

    model_config = ConfigDict(
        extra="forbid",
        strict=True,
        json_schema_extra={"anyOf": [{"required": ["day", "shift"]}, {"required": ["at"]}]},
    )

    day: Day | None = Field(None, description="The factory day, with its shift.")
    shift: int | None = Field(None, description="The number of the shift within its day, from 1.")
    at: At | None = Field(
        None,
        description="When it was, in place of day and shift or besides them: with its offset from "
        "UTC, or by the mill’s own clock without one.",
    )

    @model_validator(mode="after")
    def _says_where(self) -> Self:
        if self.at is None and (self.day is None or self.shift is None):
            raise PydanticCustomError("place", "it says day and shift, or at")
        return self


class SentResult(Placed):
    """One result."""

    measure: str = Field(description="The name of the measure, as GET /api/measures gives it.")
    typed: Annotated[str, StringConstraints(min_length=1, max_length=LONGEST_TEXT)] = Field(
        description="The result as text, with a decimal point or comma; or nm, bd, if, nd where "
        "there is no number: not measured, below detection, instrument failed, not due."
    )
    sample: int | None = Field(
        None,
        ge=1,
        le=99,
        description="Which sample of the shift, from 1, where a measure is sampled by the hour. "
        "Without it the sample is the last that was due at the moment given.",
    )
    determination: int = Field(
        1, ge=1, le=9, description="Which test of that sample, from 1: tests make its mean."
    )


class SentRecord(Placed):
    """One record of one of the other books."""

    book: str = Field(description="The name of the book, as GET /api/measures gives it.")
    fields: dict[str, Annotated[str, StringConstraints(max_length=LONGEST_FIELD)]] = Field(
        description="What it says, by the names of the book’s fields, each as text. Times of day "
        "are by the mill’s own clock, like 07:40."
    )


Sent = TypeVar("Sent")
Kind = TypeVar("Kind", bound=Placed)
Numbered = tuple[int | None, Sent]  # which of several things sent, from 0; None of one alone
OfFile = tuple[list[Numbered[SentResult]], list[Numbered[SentRecord]]]  # one of them is empty


class Problem(NamedTuple):
    """What is wrong: how gravely, with which of several things sent, from 0, where, in words."""

    kind: int
    item: int | None
    field: str
    words: str


# from what is the sender's to mend, to what nobody may do
UNFIT, CONFLICT, NOWHERE, FORBIDDEN = range(4)


class NotTaken(Exception):
    """Nothing was written; `problems` are why, and `kind` is the gravest of them.

    `rest` is what can be read of a file of which something cannot: it may be wrong otherwise.
    """

    def __init__(self, problems: Sequence[Problem], rest: OfFile | None = None) -> None:
        super().__init__("; ".join(problem.words for problem in problems))
        self.problems = tuple(problems)
        self.rest: OfFile = rest or ([], [])
        self.kind = max(problem.kind for problem in problems)

    def said(self, *, table: bool = False) -> list[str]:
        """Return what is wrong in words, each with the item, or the line of a table, it is in."""
        words = [_place(problem, table=table) for problem in self.problems[:MOST_SAID]]
        if (more := len(self.problems) - MOST_SAID) > 0:
            words.append(ngettext("and {count} more", "and {count} more", more))
        return words


def _place(problem: Problem, *, table: bool) -> str:
    item, field, words = problem.item, problem.field, problem.words
    if item is None:
        return f"{field}: {words}" if field else words
    # the first line of a table has the names
    place = _("line {number}", number=item + 2) if table else _("item {number}", number=item + 1)
    return f"{place}, {field}: {words}" if field else f"{place}: {words}"


def read_json(body: bytes, kind: type[Kind]) -> list[Numbered[Kind]]:
    """Return what a JSON text sends, one or a list, each with its number in the list."""
    return _checked(kind, _items(body))


def read_file(
    body: bytes, *, table: bool
) -> tuple[list[Numbered[SentResult]], list[Numbered[SentRecord]]]:
    """Return the results of a file, and the records, one of them empty; raises NotTaken.

    A `table` is CSV with a first line of names, where a column `book` makes each line a record and
    the other columns its fields; else it is JSON.
    """
    items = _rows(body) if table else _items(body)
    if any(isinstance(item, dict) and "book" in item for _number, item in items):
        return [], _checked(
            SentRecord, [(n, _record_of(each) if table else each) for n, each in items]
        )
    return _checked(SentResult, items), []


def _items(body: bytes) -> list[Numbered[Any]]:
    try:
        found = from_json(body, allow_inf_nan=False)
    except ValueError as error:
        raise _unfit(_("This is not JSON: {error}", error=error)) from None
    return list(enumerate(found)) if isinstance(found, list) else [(None, found)]


def _rows(body: bytes) -> list[Numbered[Any]]:
    try:
        text = body.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise _unfit(_("The file is not written in UTF-8")) from None
    first = text.partition("\n")[0]
    mark = max(",;\t", key=first.count)
    try:
        lines = list(csv.reader(io.StringIO(text, newline=""), delimiter=mark, strict=True))
    except csv.Error as error:
        raise _unfit(_("This is no table: {error}", error=error)) from None
    names = [name.strip() for name in lines[0]] if lines else []
    if len(lines) < 2 or not all(names) or len({*names}) < len(names):
        raise _unfit(_("A table has a first line with a name for each column, and lines below it"))
    return [(n, _row(names, cells, n)) for n, cells in enumerate(lines[1:]) if any(cells)]


def _row(names: Sequence[str], cells: Sequence[str], n: int) -> dict[str, Any]:
    if len(cells) > len(names):
        raise _unfit(_("There are more columns here than the first line names"), n)
    row = zip(names, (cell.strip() for cell in cells), strict=False)
    return {name: _whole(text) if name in _WHOLE else text for name, text in row if text}


def _whole(text: str) -> int | str:
    return int(text) if re.fullmatch(r"\d{1,4}", text, re.ASCII) else text


def _record_of(row: Mapping[str, Any]) -> dict[str, Any]:
    """Return a line of a table as a record: what does not say where it belongs is a field."""
    place = {name: row[name] for name in ("book", *Placed.model_fields) if name in row}
    return {**place, "fields": {name: text for name, text in row.items() if name not in place}}


def _unfit(words: str, item: int | None = None) -> NotTaken:
    return NotTaken([Problem(UNFIT, item, "", words)])


def _checked(kind: type[Kind], items: Sequence[Numbered[Any]]) -> list[Numbered[Kind]]:
    if len(items) > MOST:
        raise _unfit(_("Send at most {count} at once", count=MOST))
    found, problems = [], []
    for number, item in items:
        try:
            found.append((number, kind.model_validate(item)))
        except ValidationError as wrong:
            problems += [
                Problem(UNFIT, number, ".".join(map(str, error["loc"])), _words(error))
                for error in wrong.errors(include_url=False, include_input=False)
            ]
    if problems:
        raise NotTaken(problems)
    return found


def _words(error: Mapping[str, Any]) -> str:
    """Return what is wrong with a field in words of our own, for all that is often wrong."""
    said = {
        "missing": _("it is needed"),
        "extra_forbidden": _("there is no such field"),
        "string_type": _("it is a text, in quotation marks"),
        "string_too_short": _("it is blank"),
        "int_type": _("it is a whole number"),
        "model_type": _("an object with named fields is sent"),
        "day": _("a day is written like 2026-07-14"),
        "moment": _("a moment is written like 2026-07-14T10:05:00+02:00"),
        "place": _("it says day and shift, or at"),
    }
    return said.get(error["type"], str(error["msg"]))
