"""What a record has to do with others of its book: what only one may say, and what goes on."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any, NamedTuple
from zoneinfo import ZoneInfo

from app.language import _

A_SEASON = 400  # days

Values = Mapping[str, Any]


class Said(NamedTuple):
    """What a record says, the shift it stands on, and its number, if it has one yet."""

    values: Values
    day: date
    number: int
    zone: str
    id: int | None = None

    def clock(self, name: str) -> str:
        """Return the time of day that a field says: 07:40, or nothing."""
        at = self.values.get(name)
        return f"{at.astimezone(ZoneInfo(self.zone)):%H:%M}" if isinstance(at, datetime) else ""

    @property
    def shift(self) -> tuple[date, int]:
        """The shift it stands on."""
        return self.day, self.number


class Alone(NamedTuple):
    """What no two records may both say: the same in `fields`, unless the two are `apart`.

    They are looked for on the same shift, and so many `days` before and after it. `words` say,
    beside the last of the fields, why this record may not stand beside another.
    """

    fields: tuple[str, ...]
    words: Callable[[Said, Said], str]
    apart: Callable[[Values, Values], bool] | None = None
    days: int = 0

    def same(self, values: Values) -> tuple[Any, ...] | None:
        """Return what a record says in the fields, in any case; None where it lacks one."""
        if not all(name in values for name in self.fields):
            return None
        return _folded(values[name] for name in self.fields)

    def may_stand(self, this: Said, other: Said) -> bool:
        """Tell whether both may stand."""
        if self.days == 0 and this.shift != other.shift:
            return True
        if abs((this.day - other.day).days) > self.days or self.same(this.values) is None:
            return True
        if self.same(this.values) != self.same(other.values):
            return True
        return self.apart is not None and self.apart(this.values, other.values)


@dataclass(frozen=True)
class Open:
    """How a record is written of what still goes on: without the field `until`.

    It says `since` when, and counts nowhere. Another of the same `fields` on a later shift, which
    says until when, completes it; the open one stays on its shift as it was written. `words` are
    what it is called.
    """

    until: str
    since: str
    fields: tuple[str, ...]
    words: str

    def same(self, values: Values) -> tuple[Any, ...]:
        """Return what it tells of, in any case."""
        return _folded(values.get(name) for name in self.fields)

    def is_completed_by(self, this: Said, other: Said) -> bool:
        """Tell whether another record completes this one."""
        was, is_now = (self.until in each.values for each in (this, other))
        later = other.shift > this.shift and is_now and not was
        return later and self.same(this.values) == self.same(other.values)

    def may_stand(self, this: Said, other: Said) -> bool:
        """Tell whether both may stand: of what goes on one record is open, and one completes it."""
        if self.same(this.values) != self.same(other.values):
            return True
        if self.until in this.values and self.until in other.values:
            return True
        return self.is_completed_by(this, other) or self.is_completed_by(other, this)


def _folded(said: Any) -> tuple[Any, ...]:
    return tuple(each.casefold() if isinstance(each, str) else each for each in said)


def once_a_shift(field: str) -> Callable[[Said, Said], str]:
    """Return the words of what is written once a shift."""

    def words(this: Said, _other: Said) -> str:
        return _(
            "{what} is written on this shift already: correct that line", what=this.values[field]
        )

    return words
