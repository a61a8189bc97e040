"""The books of the boiling: strikes of the pans, and what cools in crystallizers."""

from collections.abc import Mapping
from datetime import datetime
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
from app.plant.books.others import Alone, Open, Said
from app.plant.books.reading import EARLIEST

GRADES = {
    "a": "A", "b": "B", "c": "C",
    "r1": "Refinery 1", "r2": "Refinery 2", "r3": "Refinery 3", "r4": "Refinery 4",
}  # fmt: skip
BOILED = {"batch": "Batch", "continuous": "Continuous"}
SEEDS = {
    "slurry": "Slurry", "magma": "Magma", "footing": "Footing or cut",
    "none": "None, grained by itself",
}  # fmt: skip
RAW_HOUSE = ("a", "b", "c")
# whose Nutsch purity at strike is a result of the sheet, and of which stream
AT_STRIKE = {"a": "a_mother_liquor", "b": "b_mother_liquor", "c": "c_mother_liquor_at_strike"}


def hours(started: datetime, dropped: datetime) -> float:
    """How long it was boiled."""
    return (dropped - started).total_seconds() / 3600


def tightening(grained: datetime, dropped: datetime) -> float:
    """How long it was boiled after its grain was there."""
    return (dropped - grained).total_seconds() / 3600


def purity_taken(
    purity: float | None = None, pol: float | None = None, brix: float | None = None
) -> float | None:
    """Purity as entered, else by pol and brix."""
    if purity is not None or pol is None:
        return purity
    return 100 * pol / brix if brix else None


def volume_of_brix(volume: float, brix: float) -> float:
    """By what a purity is weighed where strikes of one grade are put together."""
    return volume * brix / 100


def in_turn(values: Mapping[str, Value]) -> dict[str, str]:
    """Refuse a strike that was dropped before it began, or had its grain before or after it."""
    started, grained, dropped = (values.get(name) for name in ("started", "grained", "dropped"))
    words = _("It lies after the strike was dropped: write the date before a time of another day")
    wrong = {}
    if dropped is None and started is None:
        wrong["dropped"] = _("Say when it was dropped; of one still in the pan, when it started")
    if isinstance(dropped, datetime):
        for name, at in (("started", started), ("grained", grained)):
            if isinstance(at, datetime) and at > dropped:
                wrong[name] = words
    if isinstance(started, datetime) and isinstance(grained, datetime) and grained < started:
        wrong.setdefault("grained", _("It lies before the strike began"))
    return wrong


def boiled_apart(one: Mapping[str, Any], other: Mapping[str, Any]) -> bool:
    """Tell whether two strikes of one pan were not in it at the same time.

    What leaves a continuous pan in a shift is written as a strike, and no other follows it.
    """
    if "continuous" in (one.get("boiled"), other.get("boiled")):
        return True
    (began, ended), (other_began, other_ended) = (_in_pan(each) for each in (one, other))
    if began is None or other_began is None:
        return True
    if ended == other_ended:
        return False
    return (ended is not None and ended <= other_began) or (
        other_ended is not None and other_ended <= began
    )


def _in_pan(strike: Mapping[str, Any]) -> tuple[datetime | None, datetime | None]:
    times = [strike[name] for name in ("started", "grained", "dropped") if name in strike]
    return (times[0] if times else None), strike.get("dropped")


def in_the_pan(this: Said, other: Said) -> str:
    """Say which strike is in the pan at that time."""
    began, said = _in_pan(other.values)[0], other.values
    names = {"pan": this.values["pan"], "strike": said.get("strike", "?"), "day": other.day,
             "number": other.number}  # fmt: skip
    if "dropped" not in said:
        return _(
            "Strike {strike} is in pan {pan} since {began}, shift {number} of {day}: say first "
            "when it was dropped", began=other.clock("started"), **names,
        )  # fmt: skip
    if began == said["dropped"]:
        return _("Strike {strike} was dropped from pan {pan} at {dropped}, shift {number} of {day}",
                 dropped=other.clock("dropped"), **names)  # fmt: skip
    began_at = other.clock("started") or other.clock("grained")
    return _(
        "Strike {strike} was in pan {pan} from {began} to {dropped}, shift {number} of {day}",
        began=began_at, dropped=other.clock("dropped"), **names,
    )  # fmt: skip


STRIKES = Book(
    "strikes",
    "Strikes",
    "strike",
    "pans_and_crystallizers",
    "The pan log: each strike from its start to its drop, with what its sample showed. It belongs "
    "to the shift in which it was dropped. One that is still in the pan is written with its start: "
    "it counts nowhere, holds up no signature, and is completed on the shift that drops it. Of a "
    "continuous pan, write what left it in a shift as one strike. Volumes of a grade are summed; "
    "brix and temperature are means by volume, purities by volume × brix. Each strike is due to "
    "have brix and purity: what of the volume has them is the share that was analysed. Strikes of "
    "a refinery are kept here and counted by grade; they give nothing to the account.",
    (
        text("strike", "Strike", needed=True, hint="its number"),
        choice("grade", "Grade", GRADES, needed=True),
        text("pan", "Pan", needed=True, hint="code"),
        choice("boiled", "Batch or continuous", BOILED),
        choice("seed", "Seed", SEEDS),
        number("seed_amount", "Amount of seed", "L", 1, None, (0, 200_000)),
        time("started", "Started", earlier=True),
        time("grained", "Grained or seeded", earlier=True),
        time("dropped", "Dropped", hint="blank while it is in the pan"),
        number("volume", "Volume", "m³", 1, (10, 150), (0, 500)),
        number("brix", "Brix", "°Bx", 2, (88, 98), (75, 100)),
        number("purity", "Purity", "%", 2, (54, 99.9), (30, 100)),
        number("pol", "Pol", "%", 2, None, (25, 100), hint="where purity is not entered"),
        number("temperature", "Temperature at drop", "°C", 1, (60, 75), (20, 100)),
        number("mother_liquor_purity", "Mother liquor purity", "%", 2, (32, 99), (15, 100),
               hint="by pressure filter (Nutsch), at drop"),
        number("pressure", "Pressure in the pan", "kPa", 1, (8, 25), (1, 110), hint="absolute"),
        number("steam", "Steam", "t", 1, (1, 60), (0, 500)),
        number("crystal_size", "Crystal size", "mm", 2, (0.1, 1.2), (0.01, 5)),
    ),
    worked=(
        Worked("hours", "Boiled for", "h", 2, "dropped - started", hours),
        Worked("tightening", "From grain to drop", "h", 2, "dropped - grained", tightening),
        Worked(
            "purity_taken", "Purity taken", "%", 2, "purity, else 100 × pol ÷ brix", purity_taken
        ),
        Worked("volume_of_brix", "", "", 3, "volume × brix ÷ 100", volume_of_brix),
    ),
    gives=(
        *(
            each
            for grade in RAW_HOUSE
            for where in [{"grade": (grade,)}]
            for each in (
                Gives(f"{grade}_massecuite_volume", "volume", SUM, where=where),
                Gives(f"{grade}_massecuite_brix", "brix", MEAN, "volume", where, each=True),
                Gives(
                    f"{grade}_massecuite_purity", "purity_taken", MEAN, "volume_of_brix", where,
                    each=True,
                ),
                Gives(f"{grade}_massecuite_temperature", "temperature", MEAN, "volume", where),
                Gives(
                    f"{AT_STRIKE[grade]}_purity", "mother_liquor_purity", MEAN,
                    "volume_of_brix", where,
                ),
            )
        ),
    ),
    key="strike",
    rules=(in_turn,),
    alone=(Alone(("pan",), in_the_pan, boiled_apart, EARLIEST.days),),
    open=Open("dropped", "started", ("strike",), "in the pan"),
    caution="Massecuite at the drop scalds; a pan is a pressure vessel, steamed out under "
    "vacuum and pressure; alcohol in seed slurry burns and its vapour explodes. Local codes and "
    "licensed practice rule.",
)  # fmt: skip


def stayed(filled: datetime, emptied: datetime) -> float:
    """How long the massecuite stayed in the crystallizer."""
    return (emptied - filled).total_seconds() / 3600


def cooled_by(entered_at: float, cooled: float) -> float:
    """How far it was cooled."""
    return entered_at - cooled


def cooling_rate(cooled_by: float, stayed: float) -> float | None:
    """How far it was cooled in an hour, over the whole stay."""
    return cooled_by / stayed if stayed > 0 else None


def purity_drop(struck: Mapping[str, float], mother_liquor_purity: float) -> float | None:
    """What cooling took out of the mother liquor since the strike was dropped."""
    before = struck.get("mother_liquor_purity")
    return None if before is None else before - mother_liquor_purity


def grade_struck(struck: Mapping[str, str]) -> str | None:
    """Of which grade the strike is."""
    return struck.get("grade")


def filled_first(values: Mapping[str, Value]) -> dict[str, str]:
    """Refuse a crystallizer that was emptied before it was filled."""
    filled, emptied = values.get("filled"), values.get("emptied")
    if filled is None and emptied is None:
        return {"emptied": _("Say when it was emptied; of one not emptied yet, when it was filled")}
    if isinstance(filled, datetime) and isinstance(emptied, datetime) and emptied < filled:
        words = _("It lies after it was emptied: write the date before a time of another day")
        return {"filled": words}
    return {}


def of_a_strike(values: Mapping[str, Any]) -> dict[str, str]:
    """Refuse a strike that nobody wrote: without its grade the crystallizer gives nothing."""
    if "struck" in values:
        return {}
    words = _("There is no strike {strike} until this shift: write it in the book of strikes first",
              strike=values["strike"])  # fmt: skip
    return {"strike": words}


CRYSTALLIZERS = Book(
    "crystallizers",
    "Crystallizers",
    "filling",
    "pans_and_crystallizers",
    "What each crystallizer held, from filling to emptying, and how far it cooled. The strike, by "
    "its number in the pan log, says the grade: those of C massecuite make results of the sheet. "
    "It belongs to the shift in which it was emptied. One that was just filled is written with "
    "that time: it counts nowhere, holds up no signature, and is completed on the shift that "
    "empties it.",
    (
        text("strike", "Strike", needed=True, hint="its number in the pan log"),
        text("crystallizer", "Crystallizer", needed=True, hint="code"),
        time("filled", "Filled", earlier=True, hint="as 2026-10-26 14:00, if not of today"),
        time("emptied", "Emptied", hint="blank while it is full"),
        number("entered_at", "Temperature as filled", "°C", 1, (60, 72), (20, 100)),
        number("cooled", "Temperature cooled to", "°C", 1, (40, 46), (20, 90)),
        number("reheated", "Temperature reheated to", "°C", 1, (50, 58), (20, 90)),
        number("mother_liquor_purity", "Mother liquor purity", "%", 2, (28, 39), (15, 100),
               hint="by pressure filter (Nutsch), as cured"),
    ),
    worked=(
        Worked("stayed", "Stayed", "h", 1, "emptied - filled", stayed),
        Worked("cooled_by", "Cooled by", "K", 1, "temperature as filled - cooled", cooled_by),
        Worked("cooling_rate", "Cooled in an hour", "K/h", 2, "cooled by ÷ stayed", cooling_rate),
        Worked(
            "purity_drop", "Purity drop", "units", 2,
            "mother liquor purity of the strike at drop - as cured", purity_drop,
        ),
        Worked("grade", "", "", 0, "that of the strike", grade_struck),
    ),
    gives=tuple(
        Gives(measure, of, MEAN, where={"grade": ("c",)})
        for measure, of in (
            ("c_massecuite_cooled_temperature", "cooled"),
            ("c_massecuite_reheated_temperature", "reheated"),
            ("c_mother_liquor_purity", "mother_liquor_purity"),
        )
    ),
    refers={"struck": ("strikes", "strike")},
    rules=(filled_first,),
    against=(of_a_strike,),
    open=Open("emptied", "filled", ("strike", "crystallizer"), "not emptied yet"),
    caution="Stirrers turn slowly and do not stop for a hand; massecuite scalds; a crystallizer "
    "is a confined space: nobody goes in without a permit and a lock on its drive.",
)  # fmt: skip
