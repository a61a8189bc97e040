"""The survey of the tandem: what each mill showed while all of them were sampled together."""

from app.plant.books.declare import MEAN, Book, Gives, Worked, choice, number, time
from app.plant.milling import MOST_MILLS

LAST_MILL = "last"
MILLS = {str(n): f"Mill {n}" for n in range(1, MOST_MILLS)} | {LAST_MILL: "Last mill"}


def purity(juice_pol: float, juice_brix: float) -> float | None:
    """Pol in 100 of brix of the juice of this mill."""
    return 100 * juice_pol / juice_brix if juice_brix else None


BOOK = Book(
    "mill_survey",
    "Mill survey",
    "sample",
    "milling",
    "Bagasse and juice of each mill, sampled in one round while the tandem runs evenly, with the "
    "settings of the mill. The mills before the last make the week's results of each mill. The "
    "bagasse of the last mill is bagasse itself, which the sheet has from every shift: what is "
    "entered of it here is for this survey alone.",
    (
        time("sampled", "Sampled", needed=True),
        choice("mill", "Mill", MILLS, needed=True),
        number("bagasse_pol", "Bagasse pol", "%", 2, (1, 9), (0, 20)),
        number("bagasse_moisture", "Bagasse moisture", "%", 2, (48, 66), (20, 85)),
        number("juice_brix", "Juice brix", "°Bx", 2, (2, 20), (0, 35)),
        number("juice_pol", "Juice pol", "%", 2, (1, 18), (0, 33)),
        number("hydraulic_pressure", "Hydraulic pressure", "bar", 0, (100, 300), (0, 500)),
        number("roller_speed", "Roller speed", "rev/min", 2, (2, 6), (0, 20)),
        number("top_roll_lift", "Top roll lift", "mm", 1, (3, 25), (0, 100)),
    ),
    worked=(Worked("purity", "Juice purity", "%", 2, "100 × juice pol ÷ juice brix", purity),),
    gives=(
        Gives("mill_{mill}_bagasse_pol", "bagasse_pol", MEAN),
        Gives("mill_{mill}_bagasse_moisture", "bagasse_moisture", MEAN),
        Gives("mill_{mill}_juice_brix", "juice_brix", MEAN),
        Gives("mill_{mill}_juice_pol", "juice_pol", MEAN),
    ),
    caution="Rollers and carriers draw in hands and sleeves: bagasse is sampled with the tool "
    "made for it and from the place made for it, never from between rollers.",
)
