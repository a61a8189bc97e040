"""The laboratory's own books: checks of instruments against standards, and reagents."""

from collections.abc import Mapping

from app.language import _
from app.plant.books.declare import (
    Book,
    Value,
    Worked,
    calendar_day,
    choice,
    number,
    text,
    time,
)

# what is checked, and the properties that it measures
INSTRUMENTS = {
    "polarimeter": "Polarimeter",
    "refractometer": "Refractometer",
    "ph_meter": "pH meter",
    "balance": "Weighing balance",
    "oven": "Drying oven",
    "spectrophotometer": "Spectrophotometer",
    "conductivity_meter": "Conductivity meter",
    "thermometer": "Thermometer",
}
MEASURED_BY = {
    "polarimeter": ("pol", "polarimeter_reading"),
    "refractometer": ("brix", "refractometer_reading"),
    "ph_meter": ("ph",),
    "balance": (
        "moisture", "suspended_solids", "fibre", "dish_mass", "wet_mass", "dried_mass",
        "paper_mass", "sample_mass", "residue_mass",
    ),
    "oven": ("moisture",),
    "spectrophotometer": ("colour",),
    "conductivity_meter": ("ash",),
    "thermometer": ("temperature", "reading_temperature"),
}  # fmt: skip

STANDARDS = {
    "quartz_plate": "Quartz plate",
    "sucrose_solution": "Sucrose solution",
    "water": "Water",
    "refractometer_oil": "Refractometer standard",
    "buffer": "pH buffer",
    "mass": "Check mass",
    "other": "Another standard",
}


def can_be_judged(values: Mapping[str, Value]) -> dict[str, str]:
    """Refuse a check that would be neither good nor bad."""
    wrong = {}
    if values.get("tolerance") == 0:
        wrong["tolerance"] = _("Nothing is within a tolerance of 0: write what is allowed")
    if values.get("standard") == "quartz_plate" and "temperature" not in values:
        wrong["temperature"] = _("What a quartz plate reads depends on its temperature: enter it")
    return wrong


STANDARD_CHECKS = Book(
    "standard_checks",
    "Standard checks",
    "standard check",
    "",
    "Each instrument against a standard of known value: the quartz plate, a refractometer "
    "standard, buffers, check masses. A result is worth what its instrument is: from a check that "
    "fails back to the last one that passed, what it measured is in doubt.",
    (
        time("at", "Time", needed=True),
        choice("kind", "Instrument", INSTRUMENTS, needed=True),
        text("instrument", "Which one", needed=True, hint="its number or mark"),
        choice("standard", "Standard", STANDARDS, needed=True),
        text("standard_code", "Its number", hint="certificate or lot"),
        number(
            "certified", "Certified value", "", 3, None, (-1000, 100_000), needed=True,
            hint="of a quartz plate, at 20 °C",
        ),
        number("reading", "Reading", "", 3, None, (-1000, 100_000), needed=True),
        number("temperature", "Temperature", "°C", 1, (15, 30), (0, 60), hint="needed with quartz"),
        number("tolerance", "Tolerance", "", 3, None, (0, 1000), needed=True, hint="allowed, ±"),
        text("done", "What was done", hint="adjusted, cleaned, taken out of use"),
    ),
    rules=(can_be_judged,),
)  # fmt: skip

KINDS_OF_REAGENT = {
    "clarifying_agent": "Clarifying agent for pol",
    "fehling": "Fehling’s solution",
    "acid": "Acid",
    "alkali": "Alkali",
    "buffer": "pH buffer",
    "indicator": "Indicator",
    "sugar_trace": "Reagent for sugar traces",
    "filter_aid": "Filter aid",
    "seed_slurry": "Seed slurry",
    "other": "Another reagent",
}

REAGENTS = Book(
    "reagents",
    "Reagents",
    "reagent",
    "",
    "Each reagent made up or opened: its lot, its strength as found against a standard, and until "
    "when it is good.",
    (
        text("lot", "Lot", needed=True),
        choice("kind", "Kind", KINDS_OF_REAGENT, needed=True),
        text("name", "Name", needed=True),
        text("made_by", "Made up or opened by"),
        calendar_day("good_until", "Good until"),
        number("strength", "Strength found", "", 4, None, (0, 1000), hint="as its method says"),
        number("nominal", "Strength wanted", "", 4, None, (0, 1000)),
        text("method", "How it was standardized"),
        text("stored", "Where it is kept"),
    ),
    worked=(
        Worked(
            "factor", "Factor", "", 4, "strength found ÷ strength wanted",
            lambda strength, nominal: strength / nominal if nominal else None,
        ),
    ),
    key="lot",
    caution="Lead salts are poisonous, and not allowed everywhere; acids and alkalis burn; alcohol "
    "in seed slurry takes fire. Wear what the label says, keep them locked and away from food, "
    "give waste to those who may take it: local codes and licensed practice rule.",
)  # fmt: skip
