"""Rates: how fast the mill crushed, and what steam and power went with it."""

from app.figures.declare import Values, figure
from app.figures.sources import COMMON, DEFINITION


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
    "Time efficiency",
    unit="% of time",
    decimals=2,
    formula="100 × hours crushing ÷ hours in the period",
    source=COMMON,
    station="milling",
)
def time_efficiency(crushing_hours: Values, gross_hours: Values) -> Values:
    """Share of all hours in which the mill crushed, stops of every cause counted."""
    return 100 * crushing_hours / gross_hours


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
    """Steam raised per 100 of cane; 42 to 55 is usual."""
    return 100 * steam / cane


@figure(
    "Power per tonne cane",
    unit="kWh/t",
    decimals=1,
    formula="1000 × power ÷ cane",
    source=DEFINITION,
    station="boilers",
)
def power_on_cane(power: Values, cane: Values) -> Values:
    """Power generated per tonne of cane."""
    return 1000 * power / cane
