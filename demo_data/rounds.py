"""Rounds through the invented juice house, boilers and water, as the floor writes them down.

What is read twice on a shift has the shift's result as its mean, what is dosed or metered as sum.
"""

from collections.abc import Iterator
from decimal import Decimal

from app.plant.measures import MEASURES

from .books import Kept, Shift, Written
from .evaporator import SURFACES

_HOURS = (95.0, 335.0)  # minutes of the shift at which a round is made


def _twice(shift: Shift, measure: str, steps: int) -> tuple[str, str] | None:
    """Return two readings whose mean the sheet would have had, some last digits to either side."""
    text = shift.texts.get(measure, "")
    try:
        value = Decimal(text)
    except ArithmeticError:
        return None
    unit = Decimal(1).scaleb(-MEASURES[measure].decimals)
    off = unit * int(shift.random.integers(0, steps + 1))
    low, high = MEASURES[measure].hard
    if not low <= value - off <= value + off <= high:
        off = Decimal(0)
    return f"{value + off}", f"{value - off}"


def _rounds(
    shift: Shift, fields: dict[str, tuple[str, int]], said: dict[str, str]
) -> Iterator[Written]:
    """Yield two records of what was read, each field by its measure and how far it scatters."""
    found = {name: _twice(shift, *of) for name, of in fields.items()}
    for turn, minutes in enumerate(_HOURS):
        read = {name: pair[turn] for name, pair in found.items() if pair}
        if read:
            yield minutes, {"at": shift.clock(minutes), **said, **read}


def _evaporator(shift: Shift) -> Iterator[Written]:
    for n in range(1, len(SURFACES) + 1):
        fields = {
            "temperature": (f"effect_{n}_temperature", 4),
            "vapour_temperature": (f"effect_{n}_vapour_temperature", 3),
        }
        fields |= {"brix": (f"effect_{n}_brix", 20)} if n < len(SURFACES) else {}
        for minutes, said in _rounds(shift, fields, {"effect": f"{n}"}):
            later = minutes + 2 * n
            yield later, {**said, "at": shift.clock(later)}


def _clarifier(shift: Shift) -> Iterator[Written]:
    fields = {
        "limed_temperature": ("limed_juice_temperature", 6),
        "turbidity": ("clear_juice_turbidity", 3),
    }
    yield from _rounds(shift, fields, {"clarifier": "C1"})


def _dosing(shift: Shift) -> Iterator[Written]:
    for what, parts, scale in (("lime", 4, 1000), ("flocculant", 2, 1)):
        try:
            whole = Decimal(shift.texts.get(what, "")) * scale
        except ArithmeticError:
            continue
        each = (whole / parts).quantize(Decimal("0.01"))
        amounts = [*[each] * (parts - 1), whole - each * (parts - 1)]
        for turn, amount in enumerate(amounts):
            minutes = 30.0 + 440.0 * turn / parts
            lot = f"tank {1 + turn % 2}" if what == "lime" else "F-20"
            yield minutes, {
                "at": shift.clock(minutes), "what": what, "amount": f"{amount}", "lot": lot,
            }  # fmt: skip


def _filters(shift: Shift) -> Iterator[Written]:
    fields = {
        "cake_pol": ("filter_cake_pol", 8),
        "cake_moisture": ("filter_cake_moisture", 30),
        "filtrate_brix": ("filtrate_brix", 20),
    }
    said = {"filter": "F1", "speed": f"{13 + shift.random.normal(0, 0.6):.1f}", "vacuum": "52"}
    yield from _rounds(shift, fields, said)


def _boilers(shift: Shift) -> Iterator[Written]:
    fields = {
        "pressure": ("steam_pressure", 3),
        "temperature": ("steam_temperature", 20),
        "feed_temperature": ("feed_water_temperature", 6),
        "gas_temperature": ("flue_gas_temperature", 20),
        "oxygen": ("flue_gas_oxygen", 3),
        "air_temperature": ("air_temperature", 6),
    }
    yield from _rounds(shift, fields, {"boiler": "B2"})


_METERS = {
    "steam": "SM-1", "bagasse_burnt": "BW-3", "evaporator_steam": "SM-4", "power": "G-1",
    "power_sold": "GRID-1", "power_bought": "GRID-2",
}  # fmt: skip


def _meters(shift: Shift) -> Iterator[Written]:
    """Yield what the meters counted: each is put to nought as the shift begins."""
    for turn, (what, meter) in enumerate(_METERS.items()):
        if shift.texts.get(what, "").replace(".", "").isdigit():
            closing = {"opening": "0", "closing": shift.texts[what]}
            yield 470.0 + turn, {"what": what, "meter": meter, **closing}


def _water(shift: Shift) -> Iterator[Written]:
    for place in ("condensate", "condenser_inlet", "condenser_outlet"):
        fields = {"trace": (f"{place}_sugar_trace", 1)}
        yield from _rounds(shift, fields, {"place": place})


def _effluent(shift: Shift) -> Iterator[Written]:
    """Yield two samples a shift; nothing of the season’s sheets depends on them."""
    for minutes in _HOURS:
        random = shift.random
        demand = random.normal(1650, 160)
        yield (
            minutes,
            {
                "at": shift.clock(minutes),
                "volume": f"{random.normal(620, 40):.0f}",
                "ph": f"{random.normal(6.6, 0.15):.2f}",
                "temperature": f"{random.normal(36, 1):.1f}",
                "oxygen_demand": f"{demand:.0f}",
                "suspended": f"{random.normal(210, 25):.0f}",
                "trace": f"{0.62 * demand / 1.1217:.0f}",
                "outfall": "O-1",
            },
        )


def _effects(*props: str) -> frozenset[str]:
    every = range(1, len(SURFACES) + 1)
    found = {f"effect_{n}_{prop}" for n in every for prop in props}
    return frozenset(found - {f"effect_{len(SURFACES)}_brix"})


ROUNDS = (
    Kept("clarifier", _clarifier, frozenset({"limed_juice_temperature", "clear_juice_turbidity"})),
    Kept("dosing", _dosing, frozenset({"lime", "flocculant"})),
    Kept(
        "filters", _filters,
        frozenset({"filter_cake_pol", "filter_cake_moisture", "filtrate_brix"}),
    ),
    Kept("evaporator", _evaporator, _effects("brix", "temperature", "vapour_temperature")),
    Kept(
        "boilers", _boilers,
        frozenset({
            "steam_pressure", "steam_temperature", "feed_water_temperature",
            "flue_gas_temperature", "flue_gas_oxygen", "air_temperature",
        }),
    ),
    Kept("meters", _meters, frozenset(_METERS)),
    Kept(
        "water", _water,
        frozenset({
            "condensate_sugar_trace", "condenser_inlet_sugar_trace", "condenser_outlet_sugar_trace",
        }),
    ),
    Kept("effluent", _effluent),
)  # fmt: skip
