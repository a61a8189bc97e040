"""What a comparison of figures found, in words."""

from app.figures.declare import ENTERED, FIGURES
from app.language import _
from app.plant.measures import MEASURES
from app.reports.checks.declare import Band, Comparison
from app.reports.lines import title_of
from app.reports.numbers import printed, unrounded


def compared(comparison: Comparison, values: list[float], band: Band) -> str:
    """Return the value, how far it lies outside its band, and what it was made of."""
    decimals = comparison.decimals
    value = f"{_(comparison.value)} {printed(band.value, decimals)}"
    if comparison.unit:
        value += f" {_(comparison.unit)}"
    of = "; ".join(
        _said(name.removeprefix(ENTERED), value)
        for name, value in zip(comparison.inputs, values, strict=True)
        if name in FIGURES or name.startswith(ENTERED)
    )
    said = {
        "value": value, "apart": printed(abs(band.off), decimals), "of": of,
        "low": unrounded(band.low), "high": unrounded(band.high),
    }  # fmt: skip
    if band.off > 0:
        return _("{value}, {apart} above the {low} to {high} expected ({of})", **said)
    return _("{value}, {apart} below the {low} to {high} expected ({of})", **said)


def _said(name: str, value: float) -> str:
    known = FIGURES.get(name) or MEASURES[name]
    return f"{_(title_of(name))} {printed(value, known.decimals)}"
