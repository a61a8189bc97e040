"""Rates: how fast the mill crushed, and the steam that went with it."""

from app.figures.conventions import Convention, convention
from app.figures.declare import Values, figure
from app.figures.sources import COMMON, DEFINITION

convention(
    Convention(
        "hours_of_a_crushing_day", "Hours of a day of crushing", 24.0, "h", COMMON,
        "Capacity is stated for 24 hours, or in some countries for 22.", low=12.0, high=24.0,
    )
)  # fmt: skip


@figure(
    "Crushing rate",
    unit="t/h",
    decimals=1,
    formula="cane ÷ hours crushing",
    source=DEFINITION,
    station="milling",
)
def crushing_rate(cane: Values, crushing_hours: Values) -> Values:
    """Cane per hour actually crushing."""
    return cane / crushing_hours


@figure(
    "Cane per hour of gross time",
    unit="t/h",
    decimals=1,
    formula="cane ÷ hours in the period",
    source=DEFINITION,
    station="milling",
)
def throughput(cane: Values, gross_hours: Values) -> Values:
    """Cane per hour of the period, stops of every cause counted."""
    return cane / gross_hours


@figure(
    "Cane per day",
    unit="t/day",
    decimals=0,
    formula="24 × cane ÷ hours in the period",
    source=DEFINITION,
    station="milling",
)
def cane_per_day(cane: Values, gross_hours: Values) -> Values:
    """Cane really crushed in each 24 hours of the period."""
    return 24 * cane / gross_hours


@figure(
    "Crushing capacity",
    unit="t/day",
    decimals=0,
    formula="crushing rate × hours of a day of crushing",
    source=COMMON,
    station="milling",
)
def crushing_capacity(crushing_rate: Values, hours_of_a_crushing_day: Values) -> Values:
    """Cane that a day without stops would crush at the rate of the period.

    Say whether it is of 24 or of 22 hours: they are 9 % apart.
    """
    return crushing_rate * hours_of_a_crushing_day


@figure(
    "Fibre rate",
    unit="t/h",
    decimals=1,
    formula="fibre in cane ÷ hours crushing",
    source=DEFINITION,
    station="milling",
)
def fibre_rate(fibre_in_cane: Values, crushing_hours: Values) -> Values:
    """Fibre per hour actually crushing, the true load of the tandem."""
    return fibre_in_cane / crushing_hours


@figure(
    "Steam % cane",
    unit="% cane",
    decimals=1,
    formula="100 × steam ÷ cane",
    source=DEFINITION,
    station="boilers",
)
def steam_on_cane(steam: Values, cane: Values) -> Values:
    """Steam raised per 100 of cane; 42 to 55 is usual (common practice)."""
    return 100 * steam / cane


@figure(
    "Steam % fibre",
    unit="% fibre",
    decimals=0,
    formula="100 × steam ÷ fibre in cane",
    source=DEFINITION,
    station="boilers",
)
def steam_on_fibre(steam: Values, fibre_in_cane: Values) -> Values:
    """Steam raised per 100 of fibre in cane: what the cane brought to burn."""
    return 100 * steam / fibre_in_cane
