"""What follows in a record, and what the records of a shift give, by plain arithmetic."""

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

from app.plant.books.declare import LAST, MEAN, SUM, Book, Gives, Value
from app.plant.measures import MEASURES

Values = Mapping[str, Value]


@dataclass(frozen=True)
class Given:
    """What a book gives of a measure on a shift, none where its records tell too little.

    `weight` is what a mean was weighed by in all, `whole` what all its records weigh together,
    those without an analysis too.
    """

    measure: str
    how: str
    value: float | None
    weight: float = 1.0
    whole: float = 1.0
    count: int = 1

    @property
    def share(self) -> float:
        """What part of the whole was really analysed, 0 to 1."""
        return 0.0 if self.value is None else self.weight / self.whole


@dataclass(frozen=True)
class Giving:
    """What the records of a shift give, and for want of what a sum is none.

    `lacking` are the records that lack it, `absent` what has no record though it is on the roll.
    `none` is all that the records tell of and give no value of.
    """

    given: Mapping[str, Given] = field(default_factory=dict)
    lacking: Mapping[str, tuple[int, ...]] = field(default_factory=dict)
    absent: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    none: Mapping[str, Given] = field(default_factory=dict)


def with_worked(book: Book, values: Values, referred: Mapping[str, Any]) -> dict[str, Value]:
    """Return the values of a record with what follows in it.

    `referred` are the records it refers to, and what of others it needs, by name of argument.
    """
    known: dict[str, Any] = {**values, **referred}
    found = dict(values)
    for each in book.worked:
        if not all(name in known for name in each.needs):
            continue
        said = each.function(**{name: known[name] for name in each.inputs if name in known})
        if said is not None and not (isinstance(said, float) and not math.isfinite(said)):
            known[each.name] = found[each.name] = said
    return found


def giving(
    book: Book, records: Sequence[Values], absent: Mapping[str, tuple[str, ...]] | None = None
) -> Giving:
    """Return what some records of one shift give, in the order of their times.

    A sum of which a record lacks is none: what was not weighed is not nothing. So is one of whose
    group something is `absent` that is on the roll of the book. A record without a value, or
    without the weight of a mean, does not count in a mean. What is none though each record is due
    to tell it is told as none, and so is a level, lest an older one be put beside newer ones.
    """
    given: dict[str, Given] = {}
    lacking: dict[str, tuple[int, ...]] = {}
    without: dict[str, tuple[str, ...]] = {}
    none: dict[str, Given] = {}
    for gives in book.gives:
        for measure, places in _by_measure(gives, records).items():
            there = [n for n in places if gives.of in records[n]]
            if gives.how == SUM and len(there) < len(places):
                lacking[measure] = tuple(n for n in places if n not in there)
                none[measure] = Given(measure, SUM, None, 0.0, 1.0, len(places))
                continue
            if gives.how == SUM and (names := _absent(book, records[places[0]], absent or {})):
                without[measure] = names
                none[measure] = Given(measure, SUM, None, 0.0, 1.0, len(places))
                continue
            made = _made(measure, gives, [records[n] for n in places])
            if made.value is not None:
                given[measure] = made
            elif gives.each or LAST in (gives.how, MEASURES[measure].rule):
                none[measure] = made
    return Giving(given, lacking, without, none)


def _absent(book: Book, record: Values, absent: Mapping[str, tuple[str, ...]]) -> tuple[str, ...]:
    group = record.get(book.roll.group) if book.roll else None
    return absent.get(group, ()) if isinstance(group, str) else ()


def _by_measure(gives: Gives, records: Sequence[Values]) -> dict[str, list[int]]:
    """Return the records that count for each measure that a rule names."""
    found: dict[str, list[int]] = {}
    for n, record in enumerate(records):
        if any(record.get(name) not in values for name, values in gives.where.items()):
            continue
        try:
            measure = gives.measure.format(**record)
        except KeyError:
            continue
        if measure in MEASURES:
            found.setdefault(measure, []).append(n)
    return found


def _made(measure: str, gives: Gives, records: Sequence[Values]) -> Given:
    there = [record for record in records if gives.of in record]
    values = [_number(record[gives.of]) for record in there]
    if gives.how == SUM:
        return Given(measure, SUM, round(math.fsum(values), 8), count=len(values))
    if gives.how == LAST:
        return Given(measure, LAST, values[-1] if values else None)
    whole = math.fsum(_weight(record, gives.by) for record in records)
    pairs = [
        (value, weight)
        for value, record in zip(values, there, strict=True)
        if (weight := _weight(record, gives.by)) > 0
    ]
    if not pairs:
        return Given(measure, MEAN, None, 0.0, whole, 0)
    weight = math.fsum(weight for _value, weight in pairs)
    mean = math.fsum(value * weight for value, weight in pairs) / weight
    return Given(measure, MEAN, mean, weight, whole, len(pairs))


def _weight(record: Values, by: str) -> float:
    """Return what a record weighs in a mean: nothing where its weight lacks."""
    if not by:
        return 1.0
    return max(_number(record[by]), 0.0) if by in record else 0.0


def _number(value: Value) -> float:
    if not isinstance(value, float | int):
        raise TypeError(f"{value!r} is no number")
    return float(value)


def together(parts: Sequence[Given]) -> Given:
    """Return what several shifts give together, in their order; one at least.

    Of what is a level, such as stock, the last shift that tells of it counts, though it gives
    none. A sum of which a part is none is none.
    """
    first = parts[0]
    measure, count = first.measure, sum(part.count for part in parts)
    if LAST in (first.how, MEASURES[measure].rule):
        return parts[-1]
    there = [(part.value, part.weight) for part in parts if part.value is not None]
    if first.how == SUM:
        if len(there) < len(parts):
            return Given(measure, SUM, None, 0.0, 1.0, count)
        return Given(measure, SUM, math.fsum(value for value, _ in there), count=count)
    weight = math.fsum(weight for _, weight in there)
    whole = math.fsum(part.whole for part in parts)
    mean = math.fsum(value * weight for value, weight in there) / weight if there else None
    return Given(measure, MEAN, mean, weight, whole, count)


def in_order(book: Book, records: Iterable[tuple[int, Values]]) -> list[tuple[int, Values]]:
    """Return records, each with its number, by their first time, those without one last."""

    def place(record: tuple[int, Values]) -> tuple[float, int]:
        moments = (record[1][name] for name in book.times if name in record[1])
        at = next(moments, None)
        return (at.timestamp() if isinstance(at, datetime) else math.inf), record[0]

    return sorted(records, key=place)
