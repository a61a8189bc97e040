"""Power: made, sold, bought and used, and the steam it took."""

from app.figures.conventions import Convention, convention
from app.figures.declare import ENTERED, Values, figure
from app.figures.sources import COMMON, DEFINITION

STATION = "boilers"

convention(
    Convention(
        "grid", "Power across the fence", "sold and bought", "", COMMON,
        "Where power is neither sold nor bought, or only one of them, its box stays empty and "
        "counts as nothing.",
        choices=("sold and bought", "sold only", "bought only", "none"),
    )
)  # fmt: skip


def _as_entered(entered: Values) -> Values:
    """What the meters at the fence gave on each shift, summed."""
    return entered


for _name, _title in {"power_sold": "Power sold", "power_bought": "Power bought"}.items():
    figure(
        _title, unit="MWh", decimals=1, formula="as entered", source=DEFINITION, station=STATION,
        kind="adds", name=_name, inputs=(ENTERED + _name,),
    )(_as_entered)  # fmt: skip


@figure(
    "Power used", unit="MWh", decimals=1,
    formula="power generated + power bought - power sold", source=DEFINITION, station=STATION,
    kind="adds", when={"grid": ("sold and bought",)},
)  # fmt: skip
def power_used(power: Values, power_bought: Values, power_sold: Values) -> Values:
    """Power that the factory, its pumps and its village used."""
    return power + power_bought - power_sold


@power_used.otherwise("power generated - power sold", when={"grid": ("sold only",)})
def _less_sold(power: Values, power_sold: Values) -> Values:
    return power - power_sold


@power_used.otherwise("power generated + power bought", when={"grid": ("bought only",)})
def _and_bought(power: Values, power_bought: Values) -> Values:
    return power + power_bought


@power_used.otherwise("power generated", when={"grid": ("none",)})
def _own(power: Values) -> Values:
    return power


def _on_cane(power: Values, cane: Values) -> Values:
    return 1000 * power / cane


for _name, _words, _note in (
    ("power", "Power generated",
     "Power generated per tonne of cane; 60 to 130 where power is sold (common practice)."),
    ("power_sold", "Power sold", "Power sold per tonne of cane."),
    ("power_bought", "Power bought", "Power bought per tonne of cane."),
    ("power_used", "Power used",
     "Power used per tonne of cane; 25 to 35 is usual (common practice)."),
):  # fmt: skip

    def _described(power: Values, cane: Values) -> Values:
        return _on_cane(power, cane)

    _described.__doc__ = _note
    figure(
        f"{_words} per tonne cane", unit="kWh/t", decimals=1,
        formula=f"1000 × {_words.lower()} ÷ cane", source=DEFINITION, station=STATION,
        name=f"{_name}_on_cane", inputs=(_name, "cane"),
    )(_described)  # fmt: skip


@figure(
    "Steam per power generated", unit="kg/kWh", decimals=2, formula="steam ÷ power generated",
    source=DEFINITION, station=STATION,
)  # fmt: skip
def steam_per_power(steam: Values, power: Values) -> Values:
    """Steam raised for each kWh, all steam counted as if it passed a turbine.

    6 to 12 with back pressure, by steam pressure (common practice); steam let down beside the
    turbine raises it.
    """
    return steam / power
