"""The bench: what a conversion is given, what it answers, and what is wrong with what was typed."""

import math
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any, SupportsFloat

import numpy as np

from app.chemistry.validity import OutOfRange
from app.language import _
from app.plant.typed import Unreadable, both_readings, number
from app.reports.numbers import printed, range_words

LARGEST = 1e9  # nothing on a bench comes near it


@dataclass(frozen=True)
class Choice:
    """One of a list: its code in the address, its words, and what it means to the relation."""

    code: str
    words: str
    meaning: Any


@dataclass(frozen=True)
class Field:
    """A box for a number or, with `choices`, a list of them.

    `known_as` is what a published relation calls this value where it refuses it, if not by the
    label. A `fine` value is read to three decimals, so that nobody means thousands by 1.250. A
    `series` is a list of numbers, with blanks or semicolons between.
    """

    name: str
    label: str
    unit: str = ""
    default: str = ""
    hint: str = ""
    choices: tuple[Choice, ...] | None = None
    optional: bool = False
    above_zero: bool = False
    fine: bool = False
    series: bool = False
    known_as: tuple[str, ...] = ()

    def read(self, typed: str) -> Any:
        """Return the number, list of numbers or choice, None for an optional box left empty.

        Raises Amiss for what will not do.
        """
        if self.choices is not None:
            return self._chosen(typed)
        if not typed.strip():
            if self.optional:
                return None
            raise Amiss(self.name, _("Fill in the {field}", field=self._called))
        if self.series:
            return [self._number(part) for part in re.split(r"\s*;\s*|,?\s+", typed.strip())]
        return self._number(typed)

    def _number(self, typed: str) -> float:
        try:
            value = float(number(typed))
        except Unreadable:
            advice = _("Write a number like 1234.5 or 1234,5, with no other mark or letter")
            if self.series:
                advice = _(
                    "Write numbers, with blanks between, each like 1234.5 or 1234,5, with no other "
                    "mark or letter"
                )
            raise Amiss(self.name, advice) from None
        if abs(value) > LARGEST:
            raise Amiss(self.name, _("{field} is too large for any bench", field=_(self.label)))
        if self.above_zero and value <= 0:
            raise Amiss(
                self.name,
                _(
                    "{field} is {typed}; it is to be above 0",
                    field=_(self.label),
                    typed=typed.strip(),
                ),
            )
        return value

    @property
    def _called(self) -> str:
        label = _(self.label)
        return label[0].lower() + label[1:]

    def _chosen(self, code: str) -> Any:
        for choice in self.choices or ():
            if choice.code == code:
                return choice.meaning
        raise Amiss(self.name, _("Choose the {field} from the list", field=self._called))

    def refused(self, what: str) -> bool:
        """Tell whether a relation means this field by `what`."""
        return what in (self.label.lower(), *self.known_as)


class Amiss(ValueError):
    """What was typed will not do; `where` is the name of its field."""

    def __init__(self, where: str, message: str) -> None:
        super().__init__(message)
        self.where = where


@dataclass(frozen=True)
class Line:
    """One number of an answer, its title in the language chosen."""

    title: str
    value: SupportsFloat
    unit: str
    decimals: int

    @property
    def text(self) -> str:
        """The number as pages print it."""
        return printed(float(self.value), self.decimals)


Work = Callable[..., list[Line]]


@dataclass(frozen=True)
class Conversion:
    """A form of the bench: its boxes, how it is worked out, after whom, and what to beware of."""

    name: str
    title: str
    section: str
    fields: tuple[Field, ...]
    work: Work
    formula: str
    source: str
    caution: str = ""


@dataclass(frozen=True)
class Outcome:
    """What came of a form: lines of an answer, or what is wrong by the name of its field."""

    conversion: Conversion
    typed: Mapping[str, str]
    lines: tuple[Line, ...] = ()
    wrong: Mapping[str, str] = field(default_factory=dict)
    notes: tuple[str, ...] = ()


@dataclass(frozen=True)
class Section:
    """Conversions that belong together, under a heading; `name` is its anchor."""

    name: str
    title: str
    conversions: tuple[Conversion, ...]


@dataclass(frozen=True)
class BenchPage:
    """All sections, and what came of the one form that was sent, if any."""

    sections: tuple[Section, ...]
    outcome: Outcome | None = None

    def of(self, conversion: Conversion) -> Outcome | None:
        """Return what came of `conversion`, if it is the one that was sent."""
        sent = self.outcome is not None and self.outcome.conversion.name == conversion.name
        return self.outcome if sent else None

    def text(self, conversion: Conversion, box: Field) -> str:
        """Return what stands in a box: what was typed, else its default."""
        sent = self.of(conversion)
        return sent.typed.get(box.name, "") if sent else box.default

    def said(self, conversion: Conversion, box: Field) -> str:
        """Return what is wrong with a box, or nothing."""
        sent = self.of(conversion)
        return sent.wrong.get(box.name, "") if sent else ""

    @property
    def problems(self) -> list[tuple[str, str]]:
        """What is wrong, each with the address of its box."""
        if self.outcome is None:
            return []
        name = self.outcome.conversion.name
        return [(f"{words}.", f"#{name}-{where}") for where, words in self.outcome.wrong.items()]


def bench_page(
    sections: tuple[Section, ...], name: str = "", typed: Mapping[str, str] | None = None
) -> BenchPage:
    """Return the page on which conversion `name` was sent; KeyError if it is none of ours."""
    if not name:
        return BenchPage(sections)
    ours = {made.name: made for section in sections for made in section.conversions}
    return BenchPage(sections, outcome_of(ours[name], typed or {}))


def outcome_of(conversion: Conversion, sent: Mapping[str, str]) -> Outcome:
    """Return what `conversion` makes of what was sent to it, right or wrong."""
    typed = {box.name: sent.get(box.name, "") for box in conversion.fields}
    given: dict[str, Any] = {}
    wrong: dict[str, str] = {}
    for box in conversion.fields:
        try:
            given[box.name] = box.read(typed[box.name])
        except Amiss as amiss:
            wrong[box.name] = str(amiss)
    if wrong:
        return Outcome(conversion, typed, wrong=wrong)
    try:
        lines = _worked_out(conversion, given)
    except Amiss as amiss:
        return Outcome(conversion, typed, wrong={amiss.where: str(amiss)})
    return Outcome(conversion, typed, lines, notes=_notes(conversion, typed))


def _worked_out(conversion: Conversion, given: Mapping[str, Any]) -> tuple[Line, ...]:
    try:
        with np.errstate(all="ignore"):  # what is not finite is refused below, by name
            lines = tuple(conversion.work(**given))
    except OutOfRange as refused:
        message = range_words(refused)
        meant = [box.name for box in conversion.fields if box.refused(refused.name)]
        where = meant[0] if meant else conversion.fields[0].name
        raise Amiss(where, message[0].upper() + message[1:]) from None
    for line in lines:
        if not abs(float(line.value)) < 1e15 or math.isnan(float(line.value)):
            said = _("{title} cannot be worked out from these", title=line.title)
            raise Amiss(conversion.fields[0].name, said)
    return lines


def _notes(conversion: Conversion, typed: Mapping[str, str]) -> tuple[str, ...]:
    """Say how what may be read in two ways was read."""
    boxes = [box for box in conversion.fields if box.choices is None and not box.fine]
    doubtful = [(typed[box.name].strip(), both_readings(typed[box.name])) for box in boxes]
    return tuple(
        _(
            "{text} was read as {value}; if {other} is meant, leave the mark out.",
            text=text,
            value=ways[1],
            other=ways[0],
        )
        for text, ways in doubtful
        if ways
    )
