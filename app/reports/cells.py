"""The boxes of a sheet: what stands in one, what was typed there, and why it was not saved."""

from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from typing import Protocol

from app.language import _
from app.plant.measures import Measure
from app.plant.samples import Place
from app.plant.typed import VOID


class Result(Protocol):
    """What stands in a cell, as the ledger keeps it."""

    @property
    def id(self) -> int: ...  # noqa: D102
    @property
    def state(self) -> str: ...  # noqa: D102
    @property
    def typed(self) -> str: ...  # noqa: D102
    @property
    def value(self) -> Decimal | None: ...  # noqa: D102
    @property
    def supersedes_id(self) -> int | None: ...  # noqa: D102
    @property
    def recorded_name(self) -> str: ...  # noqa: D102
    @property
    def recorded_at(self) -> datetime: ...  # noqa: D102
    @property
    def carried(self) -> bool: ...  # noqa: D102


@dataclass(frozen=True)
class Trouble:
    """Why a cell was not saved, and what would save it: a reason, in a choice and in words."""

    message: str
    asks_reason: bool = False
    choice: str = ""
    words: str = ""
    theirs: str | None = None


@dataclass(frozen=True)
class Attempt:
    """What somebody typed that is not saved, and what stood in the way in that cell, if it did."""

    text: str
    trouble: Trouble | None = None


@dataclass(frozen=True)
class Cell:
    """One box of a sheet: its measure, what stands in it, and what was typed but not saved.

    A purity that follows from brix and pol, a result from readings or from several tests of one
    sample is `derived`: no box; one that another book gives names that `book`. `at`
    is the clock time of one sample of several, `due_at` when it is due. `outside` says that it is
    not as usual, `side` whether it is above, 1, or below, -1. `tests` tells how many
    tests of the sample count, and how many there are. `before` is what the same box of the shift
    before says, where that may be carried over. `number` is its exact value, where it has one.
    """

    measure: Measure
    place: Place
    due_at: datetime
    at: str = ""
    tests: tuple[int, int] = (1, 1)
    result: Result | None = None
    outside: str = ""
    side: int = 0
    written: str = ""
    derived: str = ""
    number: float | None = None
    attempt: Attempt | None = None
    saved: bool = False
    before: str = ""
    book: str = ""

    @property
    def key(self) -> str:
        """How forms and addresses name it."""
        return self.place.key

    @property
    def title(self) -> str:
        """What it is a result of: "Clear juice, pH, 14:00"."""
        title = _(self.measure.title)
        return f"{title}, {self.at}" if self.at else title

    @property
    def label(self) -> str:
        """The name of the box, with its unit: "Mixed juice, brix, °Bx, 14:00"."""
        named = [_(self.measure.title)]
        if self.measure.prop == "weight":
            named.append(_("weight"))
        if self.measure.prop != "ph":
            named.append(_(self.measure.unit))
        return ", ".join([*named, self.at] if self.at else named)

    @property
    def text(self) -> str:
        """What the box says."""
        if self.attempt:
            return self.attempt.text
        return self.result.typed if self.result else ""

    @property
    def trouble(self) -> Trouble | None:
        """Why what it says is not saved, if it was refused."""
        return self.attempt.trouble if self.attempt else None

    @property
    def state(self) -> str:
        """Why what it says is not saved, in a word; nothing where it is, or was not judged."""
        trouble = self.trouble
        if trouble is None:
            return ""
        if trouble.theirs is not None:
            return "conflict"
        return "asks" if trouble.asks_reason else "refused"

    @property
    def corrected(self) -> bool:
        """Whether something else stood here before."""
        return self.result is not None and self.result.supersedes_id is not None

    @property
    def filled(self) -> bool:
        """Whether a number or a named state stands here."""
        return bool(self.derived) or (self.result is not None and self.result.state != VOID)


@dataclass(frozen=True)
class Made:
    """What the samples of a shift make by the rule of their measure: as printed, and from which."""

    measure: Measure
    value: str
    count: int
    of: int
