"""The books of the juice: the evaporator effect by effect, clarifiers, what is dosed, filters."""

from app.language import _
from app.plant.books.declare import (
    MEAN,
    NUMBER,
    SUM,
    Book,
    Field,
    Gives,
    Worked,
    choice,
    number,
    text,
    time,
)
from app.plant.books.others import Alone, Said
from app.plant.juice import MOST_EFFECTS
from app.plant.measures import MEASURES

EFFECTS = {f"{n}": f"Effect {n}" for n in range(1, MOST_EFFECTS + 1)}


def read_at_once(this: Said, _other: Said) -> str:
    """Say that an effect is read once at a time."""
    title = EFFECTS[this.values["effect"]]
    return _("{effect} is written at {time} already: correct that line", effect=_(title),
             time=this.clock("at"))  # fmt: skip


EVAPORATOR = Book(
    "evaporator",
    "Evaporator readings",
    "reading",
    "evaporation",
    "A round through the evaporator, a line for each effect. The day has the mean of its rounds; "
    "with the surface of each effect its rate and coefficient follow, whose fall is scale. Where "
    "only the pressure of a vapour is read, its temperature is that of saturation.",
    (
        time("at", "Time", needed=True),
        choice("effect", "Effect", EFFECTS, needed=True, stream="effect_{}"),
        number("brix", "Brix leaving", "°Bx", 2, (15, 68), (3, 85)),
        number("temperature", "Juice temperature", "°C", 1, (50, 115), (30, 140)),
        number("vapour_temperature", "Vapour temperature", "°C", 1, (50, 115), (30, 140)),
        number(
            "vapour_pressure", "Vapour pressure, absolute", "kPa", 1, (10, 160), (1, 400),
            hint="where no vapour temperature is read",
        ),
        number("steam_temperature", "Heating steam", "°C", 1, (105, 130), (80, 200),
               hint="first effect only"),
        text("remark", "Remark"),
    ),
    gives=(
        Gives("effect_{effect}_brix", "brix", MEAN),
        Gives("effect_{effect}_temperature", "temperature", MEAN),
        Gives("effect_{effect}_vapour_temperature", "vapour_temperature", MEAN),
        Gives("effect_{effect}_vapour_pressure", "vapour_pressure", MEAN),
        Gives("evaporator_steam_temperature", "steam_temperature", MEAN),
    ),
    alone=(Alone(("at", "effect"), read_at_once),),
    caution="Juice and vapour scald, vessels stand under steam and vacuum: the rules for pressure "
    "vessels and the permits of the mill come first.",
)  # fmt: skip

CLARIFIER = Book(
    "clarifier",
    "Clarifier readings",
    "reading",
    "clarification",
    "pH, temperature and clearness at the clarifiers. What the mill samples by the hour on its "
    "sheet is read there; what stands here counts where the sheet has nothing.",
    (
        time("at", "Time", needed=True),
        text("clarifier", "Clarifier"),
        number("limed_ph", "Limed juice, pH", "pH", 2, (7.4, 8.2), (2, 13)),
        number("limed_temperature", "Limed juice, temperature", "°C", 1, (98, 105), (20, 115)),
        number("clear_ph", "Clear juice, pH", "pH", 2, (6.9, 7.3), (2, 13)),
        number("turbidity", "Clear juice, turbidity", "NTU", 0, (5, 60), (0, 10_000)),
        number("sulphited_ph", "Sulphited juice, pH", "pH", 2, (7.0, 7.2), (2, 13)),
        number("sulphited_temperature", "Sulphited juice, temperature", "°C", 1, (70, 75),
               (20, 115)),
        number("mud_level", "Mud level", "%", 0, (10, 50), (0, 100)),
        number("mud_solids", "Mud, suspended solids", "%", 2, (5, 10), (0, 30)),
        text("remark", "Remark"),
    ),
    gives=(
        Gives("limed_juice_ph", "limed_ph", MEAN),
        Gives("limed_juice_temperature", "limed_temperature", MEAN),
        Gives("clear_juice_ph", "clear_ph", MEAN),
        Gives("clear_juice_turbidity", "turbidity", MEAN),
        Gives("sulphited_juice_ph", "sulphited_ph", MEAN),
        Gives("sulphited_juice_temperature", "sulphited_temperature", MEAN),
        Gives("mud_suspended_solids", "mud_solids", MEAN),
    ),
    caution="Hot juice scalds; sulphur dioxide chokes: read from where the air is good.",
)  # fmt: skip

_KG = {"t": 1000, "kg": 1}
DOSED = {
    "lime": "Lime, as CaO", "sulphur": "Sulphur burnt", "flocculant": "Flocculant",
    "phosphoric_acid": "Phosphoric acid, as P₂O₅", "bagacillo": "Bagacillo",
}  # fmt: skip

# kg at once: from a tenth of what is usual in a shift at the least to all of it at the most
A_DOSE = {
    what: (
        MEASURES[what].usual[0] * _KG[MEASURES[what].unit] / 10,
        MEASURES[what].usual[1] * _KG[MEASURES[what].unit],
    )
    for what in DOSED
}


def tonnes(amount: float) -> float:
    """Kilograms as tonnes."""
    return amount / 1000


DOSING = Book(
    "dosing",
    "Dosing",
    "dose",
    "clarification",
    "What was added to the juice, as it was weighed out: lime, sulphur, flocculant, acid, "
    "bagacillo. The sheet has their sums.",
    (
        time("at", "Time", needed=True),
        choice("what", "What", DOSED, needed=True),
        Field("amount", "Amount", NUMBER, "kg", 2, hard=(0, 50_000), needed=True, by="what",
              usual_by=A_DOSE),
        text("lot", "Lot or tank"),
        text("remark", "Remark"),
    ),
    worked=(Worked("tonnes", "", "t", 3, "kg ÷ 1000", tonnes),),
    gives=(
        Gives("{what}", "tonnes", SUM, where={"what": ("lime", "sulphur", "bagacillo")}),
        Gives("{what}", "amount", SUM, where={"what": ("flocculant", "phosphoric_acid")}),
    ),
    caution="Quicklime burns eyes and skin and boils with water; sulphur and its gas choke; acids "
    "burn. Wear what the safety data sheets say: local codes and licensed practice rule.",
)  # fmt: skip

FILTERS = Book(
    "filters",
    "Filter readings",
    "reading",
    "clarification",
    "The filter station: cake as it is scraped, filtrate, and how the drums run.",
    (
        time("at", "Time", needed=True),
        text("filter", "Filter", needed=True),
        number("speed", "Drum speed", "rev/h", 1, (8, 20), (0, 200)),
        number("vacuum", "Vacuum, high", "kPa", 0, (40, 65), (0, 101)),
        number("cake_pol", "Cake, pol", "%", 2, (0.8, 2.5), (0, 20)),
        number("cake_moisture", "Cake, moisture", "%", 2, (70, 78), (20, 95)),
        number("filtrate_brix", "Filtrate, brix", "°Bx", 2, (8, 15), (1, 30)),
        number("filtrate_pol", "Filtrate, pol", "%", 2, (6, 13), (0.5, 28)),
        number("thickness", "Cake thickness", "mm", 0, (5, 15), (0, 100)),
        text("remark", "Remark"),
    ),
    gives=(
        Gives("filter_cake_pol", "cake_pol", MEAN),
        Gives("filter_cake_moisture", "cake_moisture", MEAN),
        Gives("filtrate_brix", "filtrate_brix", MEAN),
        Gives("filtrate_pol", "filtrate_pol", MEAN),
    ),
    caution="Drums and scrapers catch hands: sample where the guard lets you.",
)  # fmt: skip
