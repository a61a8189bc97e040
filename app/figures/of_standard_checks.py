"""What follows in a check of an instrument: what the standard should read, and the error."""

from math import isnan, nan

from app.chemistry.polarimetry import quartz_plate_at
from app.figures.of_records import follows
from app.figures.sources import DEFINITION, FROM_MEMORY, Source

BOOK = "standard_checks"
QUARTZ = Source("NBS Circular 440 and ICUMSA, 1.44e-4 per K", FROM_MEMORY)


@follows(
    BOOK, "Should read", unit="", decimals=3, source=QUARTZ,
    formula="certified value; of a quartz plate, × (1 + 0.000144 × (temperature - 20))",
)  # fmt: skip
def expected(standard: str, certified: float, temperature: float = nan) -> float:
    """What the standard reads at its temperature; of quartz, only where that is known."""
    if standard != "quartz_plate":
        return certified
    return nan if isnan(temperature) else float(quartz_plate_at(certified, temperature))


@follows(
    BOOK, "Error", unit="", decimals=3, formula="reading - what it should read", source=DEFINITION
)
def error(reading: float, expected: float) -> float:
    """What the instrument read too much."""
    return round(reading - expected, 8)


@follows(
    BOOK, "Error % of tolerance", unit="%", decimals=0, formula="100 × |error| ÷ tolerance",
    source=DEFINITION,
)  # fmt: skip
def error_on_tolerance(error: float, tolerance: float) -> float:
    """How much of what is allowed the error takes: over 100, the instrument is out."""
    return 100 * abs(error) / tolerance if tolerance else nan
