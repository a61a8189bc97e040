"""The strikes of some days by grade and pan, and what became of each in crystallizer and basket."""

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from app.plant.books.boiling import GRADES
from app.reports.numbers import printed

Values = Mapping[str, Any]


@dataclass(frozen=True)
class Pan:
    """The strikes of one pan, or of a whole grade where it has no name; numbers as printed."""

    name: str
    strikes: int
    volume: str
    hours: str
    brix: str
    purity: str
    exhaustion: str


@dataclass(frozen=True)
class Grade:
    """The strikes of one grade, by pan and together."""

    title: str
    pans: tuple[Pan, ...]
    whole: Pan


@dataclass(frozen=True)
class Life:
    """One strike from the pan to the centrifugals; numbers as printed, "" for what lacks."""

    strike: str
    record: int
    grade: str
    pan: str
    hours: str
    purity: str
    at_drop: str
    exhaustion: str
    crystallizers: str
    stayed: str
    cooled: str
    as_cured: str
    machines: str
    molasses: str
    rise: str


@dataclass(frozen=True)
class StrikesReport:
    """The strikes of some days: by grade, and one by one."""

    grades: tuple[Grade, ...]
    lives: tuple[Life, ...]


def strikes_report(
    strikes: Sequence[Values], fillings: Sequence[Values], cured: Sequence[Values]
) -> StrikesReport:
    """Return what some strikes come to, and each with what refers to it by its number."""
    of_grade = _by(strikes, "grade")
    filled, spun = _by(fillings, "strike"), _by(cured, "strike")
    return StrikesReport(
        tuple(_grade(title, of_grade[name]) for name, title in GRADES.items() if name in of_grade),
        tuple(
            _life(each, filled.get(key, []), spun.get(key, []))
            for each in strikes
            for key in [_key(each["strike"])]
        ),
    )


def _key(words: str) -> str:
    return words.strip().casefold()


def _by(records: Iterable[Values], name: str) -> dict[str, list[Values]]:
    """Return records by what a field says; those that say nothing are left out."""
    groups: dict[str, list[Values]] = {}
    for record in records:
        if name in record:
            groups.setdefault(_key(record[name]), []).append(record)
    return groups


def _grade(title: str, strikes: Sequence[Values]) -> Grade:
    pans = _by(strikes, "pan")
    return Grade(
        title,
        tuple(_pan(group[0]["pan"], group) for _, group in sorted(pans.items())),
        _pan("", strikes),
    )


def _pan(name: str, strikes: Sequence[Values]) -> Pan:
    return Pan(
        name,
        len(strikes),
        _whole(strikes, "volume", 1),
        _mean(strikes, "hours", 2),
        _mean(strikes, "brix", 2, "volume"),
        _mean(strikes, "purity_taken", 2, "volume_of_brix"),
        _mean(strikes, "exhaustion", 1, "volume_of_brix"),
    )


def _whole(records: Sequence[Values], name: str, decimals: int) -> str:
    """Return a sum as printed; "" where a record lacks it."""
    values = [record.get(name) for record in records]
    return "" if None in values else printed(math.fsum(v for v in values if v), decimals)


def _mean(records: Sequence[Values], name: str, decimals: int, by: str = "") -> str:
    """Return the mean of those that have it, as printed; weighed `by` another, or all alike."""
    pairs = [(r[name], r[by] if by else 1.0) for r in records if name in r and (not by or by in r)]
    whole = math.fsum(weight for _value, weight in pairs)
    return printed(math.fsum(v * w for v, w in pairs) / whole, decimals) if whole else ""


def _named(records: Sequence[Values], name: str) -> str:
    return ", ".join(dict.fromkeys(record[name] for record in records))


def _life(strike: Values, fillings: Sequence[Values], cured: Sequence[Values]) -> Life:
    return Life(
        strike["strike"],
        int(strike["record"]),
        GRADES[strike["grade"]],
        strike["pan"],
        printed(strike.get("hours"), 2),
        printed(strike.get("purity_taken"), 2),
        printed(strike.get("mother_liquor_purity"), 2),
        printed(strike.get("exhaustion"), 1),
        _named(fillings, "crystallizer"),
        _mean(fillings, "stayed", 1),
        _mean(fillings, "cooled", 1),
        _mean(fillings, "mother_liquor_purity", 2),
        _named(cured, "machine"),
        _mean(cured, "molasses_purity", 2, "cycles_counted"),
        _mean(cured, "purity_rise", 2, "cycles_counted"),
    )
