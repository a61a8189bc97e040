"""The books of steam, power and water: boilers, meters, sugar traces, effluent."""

from collections.abc import Mapping
from typing import Any

from app.language import _
from app.plant.books.declare import (
    MEAN,
    SUM,
    Book,
    Gives,
    Value,
    Worked,
    choice,
    number,
    text,
    time,
)
from app.plant.books.others import Alone, once_a_shift

BOILERS = Book(
    "boilers",
    "Boiler readings",
    "reading",
    "boilers",
    "Each boiler as it steams: pressure, temperatures, flue gas and feed water.",
    (
        time("at", "Time", needed=True),
        text("boiler", "Boiler", needed=True),
        number("pressure", "Steam pressure above atmosphere", "bar", 1, (15, 65), (1, 120)),
        number("temperature", "Steam temperature", "°C", 1, (280, 520), (100, 600)),
        number("feed_temperature", "Feed water temperature", "°C", 1, (85, 115), (5, 200)),
        number("feed_ph", "Feed water, pH", "pH", 2, (8.5, 10.5), (2, 13)),
        number("gas_temperature", "Flue gas temperature", "°C", 1, (140, 220), (60, 500)),
        number("oxygen", "Flue gas oxygen", "% vol.", 1, (3, 8), (0, 20.5)),
        number("air_temperature", "Air temperature", "°C", 1, (20, 38), (-20, 60)),
        text("remark", "Remark"),
    ),
    gives=(
        Gives("steam_pressure", "pressure", MEAN),
        Gives("steam_temperature", "temperature", MEAN),
        Gives("feed_water_temperature", "feed_temperature", MEAN),
        Gives("feed_water_ph", "feed_ph", MEAN),
        Gives("flue_gas_temperature", "gas_temperature", MEAN),
        Gives("flue_gas_oxygen", "oxygen", MEAN),
        Gives("air_temperature", "air_temperature", MEAN),
    ),
    caution="Boilers are worked by licensed people, by the rules for pressure vessels.",
)  # fmt: skip

METERED = {
    "steam": "Steam raised, t",
    "bagasse_burnt": "Bagasse burnt, t",
    "evaporator_steam": "Steam to the evaporator, t",
    "power": "Power generated, MWh",
    "power_sold": "Power sold, MWh",
    "power_bought": "Power bought, MWh",
    "imbibition": "Imbibition water, t",
    "filter_wash": "Filter wash water, t",
}


def through(opening: float, closing: float, factor: float = 1.0) -> float:
    """What went through a meter between two readings."""
    return (closing - opening) * factor


def runs_forward(values: Mapping[str, Value]) -> dict[str, str]:
    """Refuse a meter that ran backwards."""
    opening, closing = values.get("opening"), values.get("closing")
    if isinstance(opening, float) and isinstance(closing, float) and closing < opening:
        return {"closing": _("A meter does not run backwards: one that began anew is two records")}
    return {}


def read_apart(one: Mapping[str, Any], other: Mapping[str, Any]) -> bool:
    """Tell whether two readings of one shift count nothing twice: of two meters, or one anew."""
    if one.get("what") != other.get("what") or not {"opening", "closing"} <= one.keys():
        return True
    return bool(one["closing"] <= other["opening"] or other["closing"] <= one["opening"])


METERS = Book(
    "meters",
    "Meter readings",
    "reading",
    "boilers",
    "Meters of steam, power, bagasse and water at the beginning and the end of the shift; several "
    "meters of one kind are added.",
    (
        choice("what", "What", METERED, needed=True),
        text("meter", "Meter", needed=True),
        number("opening", "Reading, opening", "", 3, None, (0, 1e9), needed=True),
        number("closing", "Reading, closing", "", 3, None, (0, 1e9), needed=True),
        number("factor", "Factor", "", 4, None, (0, 1e6), hint="1 where blank"),
        text("remark", "Remark"),
    ),
    worked=(
        Worked(
            "amount", "Went through", "", 3, "(closing - opening) × factor", through, as_typed=True
        ),
    ),
    gives=(Gives("{what}", "amount", SUM),),
    rules=(runs_forward,),
    alone=(Alone(("meter",), once_a_shift("meter"), read_apart),),
    caution="Switchgear is opened by licensed electricians alone: read meters from outside.",
)  # fmt: skip

PLACES = {
    "feed_water": "Boiler feed water",
    "condensate": "Process condensate",
    "condenser_inlet": "Condenser water, in",
    "condenser_outlet": "Condenser water, out",
    "first_effect": "Condensate of the first effect",
    "second_effect": "Condensate of the second effect",
    "pans": "Condensate of the pans",
    "cooling_tower": "Cooling tower",
}

WATER = Book(
    "water",
    "Sugar traces in water",
    "trace",
    "water",
    "Sugar in condensates, feed water and condenser water, and what was done about it.",
    (
        time("at", "Time", needed=True),
        choice("place", "Where", PLACES, needed=True),
        number("trace", "Sugar", "mg/kg", 0, (0, 20), (0, 10_000), needed=True),
        number("ph", "pH", "pH", 2, (6.5, 10.5), (2, 13)),
        number("conductivity", "Conductivity", "µS/cm", 0, None, (0, 100_000)),
        text("done", "What was done", hint="such as: turned to drain"),
    ),
    gives=(Gives("{place}_sugar_trace", "trace", MEAN),),
    caution="Sugar in boiler water turns acid and eats the boiler: what is over the limit of the "
    "boiler’s maker goes to drain at once, by local rules.",
)  # fmt: skip

EFFLUENT = Book(
    "effluent",
    "Effluent",
    "sample",
    "water",
    "What leaves the mill as waste water: how much since the sample before, and its analyses, "
    "weighed by that volume. What may be let out is local law.",
    (
        time("at", "Time", needed=True),
        number("volume", "Volume since the last", "m³", 0, (50, 3000), (0, 100_000), needed=True),
        number("ph", "pH", "pH", 2, (5.5, 9), (1, 14)),
        number("temperature", "Temperature", "°C", 1, (20, 45), (0, 100)),
        number("oxygen_demand", "Chemical oxygen demand", "mg/L", 0, (500, 4000), (0, 500_000)),
        number("biochemical", "Biochemical oxygen demand, 5 days", "mg/L", 0, (200, 2500),
               (0, 300_000)),
        number("suspended", "Suspended matter", "mg/L", 0, (50, 1000), (0, 200_000)),
        number("trace", "Sugar", "mg/kg", 0, (0, 1000), (0, 200_000)),
        text("outfall", "Outfall"),
    ),
    gives=(
        Gives("effluent_volume", "volume", SUM),
        Gives("effluent_ph", "ph", MEAN, by="volume"),
        Gives("effluent_temperature", "temperature", MEAN, by="volume"),
        Gives("effluent_chemical_oxygen_demand", "oxygen_demand", MEAN, by="volume"),
        Gives("effluent_biochemical_oxygen_demand", "biochemical", MEAN, by="volume"),
        Gives("effluent_suspended_matter", "suspended", MEAN, by="volume"),
        Gives("effluent_sugar_trace", "trace", MEAN, by="volume"),
    ),
    caution="Drains and pits hold gas that kills: nobody goes down without a permit. Chromic and "
    "sulphuric acid and mercury of the oxygen demand test burn and poison: local codes and "
    "licensed practice rule.",
)  # fmt: skip
