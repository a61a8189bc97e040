"""What may stand out of a day: one thing with its numbers, and all of them together."""

import math
from dataclasses import dataclass

from app.language import _
from app.reports.day_trend import DayTrend
from app.reports.numbers import plus_minus, printed

WRONG, URGENT, REAL, DOUBTFUL = range(4)

# kinds of what stands out, as files name them
READS_WRONG, IN_DOUBT, SWEET = "measurement_reads_wrong", "instrument_in_doubt", "sugar_in_water"
LOSS, NOT_MADE = "loss_of_recovery", "sugar_not_made"


@dataclass(frozen=True)
class Exact:
    """The numbers behind what stands out, exactly; not a number where there is none.

    `difference` is how far it is from its target, or how much a measurement or an instrument reads
    off. `standard` is the standard uncertainty of the sugar, in tonnes, by which it is judged; and
    `seeming` the sugar a day that an error makes seem lost.
    """

    value: float = math.nan
    target: float = math.nan
    difference: float = math.nan
    standard: float = math.nan
    seeming: float = math.nan
    decimals: int = 2


@dataclass(frozen=True)
class Finding:
    """One thing that stands out: in words, with value, target and difference where it has them.

    `sugar` are tonnes not made for it, `is_lost` whether for good or of cane that may still be
    crushed, and `verdict` whether that is real. `rank` says what goes before what, and `leads`
    where one acts: words and an address. `kind` and `name` are what files call it, `amount` is its
    money in `currency`.
    """

    rank: int
    kind: str
    name: str
    title: str
    value: str = ""
    unit: str = ""
    target: str = ""
    difference: str = ""
    sugar: float = math.nan
    is_lost: bool = True
    money: str = ""
    verdict: str = ""
    trend: DayTrend | None = None
    leads: tuple[tuple[str, str], ...] = ()
    exact: Exact = Exact()
    amount: float = math.nan
    currency: str = ""

    @property
    def is_real(self) -> bool | None:
        """Whether a loss is more than measuring error, or has no known one; none of no loss."""
        return self.rank == REAL if self.rank in (REAL, DOUBTFUL) else None

    @property
    def effect(self) -> str:
        """What it is worth in sugar, as printed with its ±; empty where that is not known."""
        if not math.isfinite(self.sugar):
            return ""
        tonnes = f"{printed(self.sugar, 1)} {plus_minus(self.exact.standard, 1)}".strip()
        if self.is_lost:
            return _("{tonnes} t of sugar lost", tonnes=tonnes)
        return _("{tonnes} t of sugar not made", tonnes=tonnes)


@dataclass(frozen=True)
class Told:
    """What stands out of a day: the first, what does not fit there, and what is to be known of it.

    `notes` say what could not be judged, and how what is told adds up; `judged` whether all could
    be, and `priced` whether money is told.
    """

    first: tuple[Finding, ...]
    further: tuple[Finding, ...]
    notes: tuple[str, ...]
    without_target: bool
    priced: bool
    judged: bool
