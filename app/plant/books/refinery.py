"""The book of melts: raw sugar melted for a refinery behind the mill, and the liquors of it."""

from app.plant.books.declare import MEAN, SUM, Book, Gives, Worked, number, text, time


def filter_aid_on_sugar(filter_aid: float, raw_sugar: float) -> float | None:
    """Filter aid per tonne melted."""
    return filter_aid / raw_sugar if raw_sugar else None


def colour_removed(melt_liquor_colour: float, fine_liquor_colour: float) -> float | None:
    """What of the colour of melt liquor is not in fine liquor."""
    if not melt_liquor_colour:
        return None
    return 100 * (1 - fine_liquor_colour / melt_liquor_colour)


_OF_RAW_SUGAR = ("pol", "moisture", "colour", "reducing_sugars", "ash")
_OF_LIQUORS = (
    "melt_liquor_brix", "melt_liquor_colour", "fine_liquor_brix", "fine_liquor_colour",
)  # fmt: skip

BOOK = Book(
    "melts",
    "Melts",
    "melt",
    "refinery",
    "Raw sugar melted, melt by melt or hour by hour, with the liquors made of it. Tonnes are "
    "summed; analyses are means by the tonnes melted. It feeds the account of the refinery, which "
    "stands beside that of the mill.",
    (
        time("at", "Melted", needed=True),
        text("lot", "Lot of raw sugar"),
        number("raw_sugar", "Raw sugar", "t", 1, (1, 150), (0, 3000)),
        number("pol", "Pol", "%", 2, (97.5, 99.6), (80, 100)),
        number("moisture", "Moisture", "%", 2, (0.1, 0.6), (0, 10)),
        number("colour", "Colour", "IU", 0, (800, 4000), (0, 50_000)),
        number("reducing_sugars", "Reducing sugars", "%", 2, (0.1, 0.6), (0, 10)),
        number("ash", "Ash", "%", 2, (0.1, 0.5), (0, 10)),
        number("melt_liquor_brix", "Melt liquor, brix", "°Bx", 2, (60, 70), (30, 85)),
        number("melt_liquor_colour", "Melt liquor, colour", "IU", 0, (700, 4000), (0, 50_000)),
        number("fine_liquor_brix", "Fine liquor, brix", "°Bx", 2, (58, 68), (30, 85)),
        number("fine_liquor_colour", "Fine liquor, colour", "IU", 0, (100, 800), (0, 50_000)),
        number("filter_aid", "Filter aid", "kg", 1, None, (0, 10_000)),
        text("decolourizer", "Carbon or resin", hint="column, and its cycle"),
    ),
    worked=(
        Worked(
            "filter_aid_on_sugar", "Filter aid", "kg/t", 2, "filter aid ÷ raw sugar",
            filter_aid_on_sugar,
        ),
        Worked(
            "colour_removed", "Colour removed", "%", 1,
            "100 × (1 - fine liquor colour ÷ melt liquor colour)", colour_removed,
        ),
    ),
    gives=(
        Gives("raw_sugar_melted", "raw_sugar", SUM),
        *(Gives(f"raw_sugar_melted_{each}", each, MEAN, "raw_sugar") for each in _OF_RAW_SUGAR),
        *(Gives(each, each, MEAN, "raw_sugar") for each in _OF_LIQUORS),
    ),
    caution="Melt liquor scalds; carbon and filter aid are dusts that must not be breathed in and "
    "may catch fire; acid and caustic of regeneration burn. Local codes and licensed practice "
    "rule.",
)  # fmt: skip
