"""How a book of records is declared: its fields, what follows in each record, and what it gives.

A record is one line of a book: a consignment, a strike, a stop. What the records of a shift give
is the shift's result of a measure, as samples make it: a result typed on the sheet stands over it.
"""

from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from inspect import signature
from types import MappingProxyType
from typing import Any, NamedTuple

from app.plant.books.others import Alone, Open
from app.plant.grains import Range
from app.plant.samples import LAST, MEAN, SUM

__all__ = ["LAST", "MEAN", "SUM"]

NUMBER, TEXT, CHOICE, TIME, DATE = "number", "text", "choice", "time", "date"

LONGEST = 200  # characters of a field that says nothing else

Value = float | str | datetime
Rule = Callable[[Mapping[str, Value]], dict[str, str]]


@dataclass(frozen=True)
class Field:
    """One thing that a record says.

    A number has a unit, decimals, and usual and hard limits; a choice its values with their
    titles, offered where the mill has the `stream` that names each; a time lies within the shift,
    or may be `earlier`. `needed` is what no record can do without; `longest` is how many
    characters it may have. What is usual of a number may depend on what the field `by` says:
    `usual_by` has it then.
    """

    name: str
    title: str
    kind: str = TEXT
    unit: str = ""
    decimals: int = 0
    usual: Range | None = None
    hard: Range = (0, 1e9)
    choices: Mapping[str, str] = field(default_factory=dict)
    needed: bool = False
    earlier: bool = False
    hint: str = ""
    longest: int = LONGEST
    stream: str = ""
    by: str = ""
    usual_by: Mapping[str, Range] = field(default_factory=dict)

    def offered(self, streams: Collection[str], said: str = "") -> Mapping[str, str]:
        """Return the choices that a mill with some streams has, and the one that was `said`."""
        return {
            name: title
            for name, title in self.choices.items()
            if not self.stream or name == said or self.stream.format(name) in streams
        }

    def side(self, value: float, said: Mapping[str, Any] = MappingProxyType({})) -> int:
        """Return 1 for what is above the usual, -1 below, 0 within or where nothing is usual.

        `said` is what the other fields of the record say.
        """
        usual = self.usual_by.get(said.get(self.by, "")) if self.by else self.usual
        return int(value > usual[1]) - int(value < usual[0]) if usual else 0


def number(  # noqa: PLR0913  a number says all that a measure does
    name: str,
    title: str,
    unit: str,
    decimals: int,
    usual: Range | None,
    hard: Range,
    *,
    needed: bool = False,
    hint: str = "",
) -> Field:
    """Return a field that holds a number."""
    return Field(name, title, NUMBER, unit, decimals, usual, hard, needed=needed, hint=hint)


def text(
    name: str, title: str, *, needed: bool = False, hint: str = "", longest: int = LONGEST
) -> Field:
    """Return a field that holds words or a code."""
    return Field(name, title, TEXT, needed=needed, hint=hint, longest=longest)


def choice(
    name: str, title: str, choices: Mapping[str, str], *, needed: bool = False, hint: str = "",
    stream: str = "",
) -> Field:  # fmt: skip
    """Return a field that holds one of some values; their titles are what people choose by.

    `stream`, such as effect_{}, names of each the stream without which it is not offered.
    """
    return Field(name, title, CHOICE, choices=choices, needed=needed, hint=hint, stream=stream)


def time(
    name: str, title: str, *, needed: bool = False, earlier: bool = False, hint: str = ""
) -> Field:
    """Return a field that holds a time of the shift, or one before its end where `earlier`."""
    return Field(name, title, TIME, needed=needed, earlier=earlier, hint=hint)


def calendar_day(name: str, title: str, *, needed: bool = False, hint: str = "") -> Field:
    """Return a field that holds a day of the calendar, kept as 2026-07-14."""
    return Field(name, title, DATE, needed=needed, hint=hint)


@dataclass(frozen=True)
class Worked:
    """What follows within one record by plain arithmetic.

    `function` takes fields, what was worked out before it, and records referred to, by the names
    of its arguments; it is asked only where all that have no default are there, and may return
    None. What is `as_typed` is printed with the decimals of what it follows from.
    """

    name: str
    title: str
    unit: str
    decimals: int
    formula: str
    function: Callable[..., Value | None]
    as_typed: bool = False

    @property
    def inputs(self) -> tuple[str, ...]:
        """What it takes."""
        return tuple(signature(self.function).parameters)

    @property
    def needs(self) -> tuple[str, ...]:
        """What it cannot do without."""
        parameters = signature(self.function).parameters.values()
        return tuple(p.name for p in parameters if p.default is p.empty)


@dataclass(frozen=True)
class Gives:
    """What the records of a shift make of a measure: the sum, mean or last of one field.

    `measure` may hold a field in braces, such as {grade}_massecuite_volume. A mean is weighed `by`
    another field; without one all records weigh the same. `where` names the values that a field
    must have for a record to count. `each` record is due to be analysed, such as each lot of sugar:
    what of the weight was is the coverage of the mean. Else the records are sampled, as loads of
    cane are, and those analysed stand for all.
    """

    measure: str
    of: str
    how: str = SUM
    by: str = ""
    where: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    each: bool = False


class Roll(NamedTuple):
    """What must all be there for a sum: a record for each value that a `field` of `book` has.

    Those records are counted by what their field `group` says; one that `out` tells to be out of
    use, by a field and its value, is not asked for.
    """

    book: str
    field: str
    group: str
    out: tuple[str, str]


@dataclass(frozen=True)
class Book:
    """One of the laboratory's other books.

    `one` is what a record is called; `key` the field, if any, by which a record of a season is
    known; `refers` tells, by name of argument, the book and the field of it in which a record is
    looked up by the value that the field of the same name has here. Each of the `rules` returns
    what is wrong between fields, by field; those of `against` see what the record refers to, too.
    What is `alone` no two of them say. `open` is how one is written before it is over; `beside`
    tells each record of a shift, by name of argument, what its worked fields need of the others.
    Where there is a `roll`, a sum is none until all that is on it is there. What it `lasts` to say
    holds in later seasons, too. `caution` is said beside it.
    `about` is what the manual says of it.
    """

    name: str
    title: str
    one: str
    station: str
    about: str
    fields: tuple[Field, ...]
    worked: tuple[Worked, ...] = ()
    gives: tuple[Gives, ...] = ()
    key: str = ""
    refers: Mapping[str, tuple[str, str]] = field(default_factory=dict)
    rules: tuple[Rule, ...] = ()
    against: tuple[Callable[[Mapping[str, Any]], dict[str, str]], ...] = ()
    alone: tuple[Alone, ...] = ()
    open: Open | None = None
    beside: Callable[[Sequence[Mapping[str, Any]]], list[dict[str, Any]]] | None = None
    lasts: bool = False
    roll: Roll | None = None
    caution: str = ""

    def is_open(self, values: Mapping[str, Value]) -> bool:
        """Tell whether what a record tells of still goes on."""
        return self.open is not None and self.open.until not in values

    def field(self, name: str) -> Field:
        """Return a field; KeyError for one that it does not have."""
        return {each.name: each for each in self.fields}[name]

    @property
    def times(self) -> tuple[str, ...]:
        """The fields that hold a time."""
        return tuple(each.name for each in self.fields if each.kind == TIME)
