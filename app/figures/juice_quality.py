"""Colour and reducing sugars from mixed juice to syrup, and the purity on the way.

Colour is weighted by dissolved solids, as it is defined on them. Caustic copper reagents, by which
reducing sugars are titrated, burn and are poisonous: local codes and licensed practice rule.
"""

from app.chemistry import refining
from app.figures.declare import ENTERED, Values, figure
from app.figures.means import mean
from app.figures.sources import COMMON, COMMON_PRACTICE, DEFINITION, Source

STOICHIOMETRY = Source(
    "one of sucrose, 342.30, makes two of invert sugar, 360.31 by mass", COMMON_PRACTICE
)
SUCROSE_PER_INVERT = 342.30 / 360.31

# stream: title, station, tonnes of its brix and of its pol
JUICES = {
    "mixed_juice": ("Mixed juice", "clarification", "brix_in_mixed_juice", "pol_in_mixed_juice"),
    "clear_juice": (
        "Clear juice", "clarification", "clear_juice_brix_carried", "clear_juice_pol_carried",
    ),
    "syrup": ("Syrup", "evaporation", "syrup_brix_carried", "syrup_pol_carried"),
    "clarified_syrup": (
        "Clarified syrup", "syrup_clarification", "clarified_syrup_brix_carried",
        "clarified_syrup_pol_carried",
    ),
}  # fmt: skip
CAUSTIC = (
    "The caustic copper reagent burns, boiling above all, and is poisonous: local codes and "
    "licensed practice rule."
)
WITH_REDUCING_SUGARS = ("mixed_juice", "clear_juice", "syrup")


def _times(brix: Values, colour: Values) -> Values:
    """Tonnes of dissolved solids times their colour."""
    return brix * colour


def _percent(part: Values, whole: Values) -> Values:
    return 100 * part / whole


def _same(value: Values) -> Values:
    return value


def _colour(stream: str) -> None:
    title, station, brix, _ = JUICES[stream]
    figure(
        f"{title} colour, carried by dissolved solids",
        unit="IU·t",
        decimals=0,
        formula="brix × colour",
        source=COMMON,
        station=station,
        kind="adds",
        name=f"{stream}_colour_carried",
        inputs=(brix, f"{ENTERED}{stream}_colour"),
        internal=True,
    )(_times)

    def colour(carried: Values, brix: Values) -> Values:
        """Colour on dissolved solids. Compare colours of one method and pH only."""
        return carried / brix

    figure(
        f"{title} colour",
        unit="IU",
        decimals=0,
        formula="Σ(brix × colour) ÷ Σ(brix), tonnes of brix",
        source=COMMON,
        station=station,
        name=f"{stream}_colour",
        inputs=(f"{stream}_colour_carried", brix),
    )(colour).otherwise("as entered", inputs=(f"{ENTERED}{stream}_colour",))(_same)


def _reducing_sugars(stream: str) -> None:
    title, station, brix, pol = JUICES[stream]
    weight = "net_mixed_juice" if stream == "mixed_juice" else "cane"
    entered = f"{ENTERED}{stream}_reducing_sugars"
    mean(
        (f"{stream}_reducing_sugars", f"{title} reducing sugars", "%", 2), station,
        f"Glucose and fructose, by one method throughout. {CAUSTIC}", by=weight,
    )  # fmt: skip
    for basis, sums, words in (
        ("brix", brix, "Reducing sugars per 100 of brix: a rise from station to station is sucrose "
         "inverted, a fall is reducing sugars destroyed."),
        ("pol", pol, "The reducing sugars ratio: per 100 of pol."),
    ):  # fmt: skip

        def on(part: Values, whole: Values) -> Values:
            return 100 * part / whole

        on.__doc__ = words
        figure(
            f"{title} reducing sugars {'% brix' if basis == 'brix' else 'ratio'}",
            unit=f"% {basis}",
            decimals=2,
            formula=f"100 × reducing sugars ÷ {basis}",
            source=DEFINITION,
            station=station,
            name=f"{stream}_reducing_sugars_on_{basis}",
            inputs=(f"{stream}_reducing_sugars_carried", sums),
        )(on).otherwise(
            f"100 × reducing sugars ÷ {basis}, of one sample",
            inputs=(entered, f"{ENTERED}{stream}_{basis}"),
        )(_percent)


for _stream in JUICES:
    _colour(_stream)
for _stream in WITH_REDUCING_SUGARS:
    _reducing_sugars(_stream)
mean(
    ("clarified_syrup_turbidity", "Clarified syrup turbidity", "NTU", 0), "syrup_clarification",
    "Bound to its method: never compare two.",
)  # fmt: skip


def _removal(name: str, title: str, before: str, after: str, note: str) -> None:
    def removal(before: Values, after: Values) -> Values:
        return refining.colour_removal(before, after)

    removal.__doc__ = note
    first, second = JUICES[before][0].lower(), JUICES[after][0].lower()
    figure(
        title,
        unit=f"% colour of {first}",
        decimals=0,
        formula=f"100 × ({first} colour - {second} colour) ÷ {first} colour",
        source=DEFINITION,
        station=JUICES[after][1],
        name=name,
        inputs=(f"{before}_colour", f"{after}_colour"),
    )(removal)


_removal(
    "clarification_colour_removal", "Colour removed in clarification", "mixed_juice", "clear_juice",
    "Means of a survey read: 35 in defecation, 47 with sulphitation, 44 with single carbonatation.",
)  # fmt: skip
_removal(
    "evaporation_colour_removal", "Colour removed in evaporation", "clear_juice", "syrup",
    "Below 0 where colour forms: the longer, hotter and more alkaline the juice, the more.",
)  # fmt: skip
_removal(
    "syrup_clarification_colour_removal", "Colour removed in syrup clarification", "syrup",
    "clarified_syrup", "What flotation, and bleaching with it, take out of syrup.",
)  # fmt: skip


def _difference(name: str, title: str, unit: str, inputs: tuple[str, str], note: str) -> None:
    """Declare the first input less the second, at the station that the name begins with."""

    def difference(first: Values, second: Values) -> Values:
        return first - second

    difference.__doc__ = note
    words = [i.replace("_", " ").replace("on brix", "% brix").replace(" ph", " pH") for i in inputs]
    station = "syrup_clarification" if name.startswith("syrup") else name.partition("_")[0]
    figure(
        title,
        unit=unit,
        decimals=2,
        formula=" - ".join(words),
        source=COMMON,
        station=station,
        name=name,
        inputs=inputs,
    )(difference)


_difference(
    "evaporation_purity_rise", "Purity rise in evaporation", "units",
    ("syrup_purity", "clear_juice_purity"),
    "-0.3 to +0.5 is usual (common practice); a drop of more than 0.5, with pH falling by more "
    "than 0.6, suggests inversion.",
)  # fmt: skip
_difference(
    "evaporation_purity_rise_from_mixed_juice", "Purity rise from mixed juice to syrup", "units",
    ("syrup_purity", "mixed_juice_purity"), "Clarification and evaporation together.",
)  # fmt: skip
_difference(
    "syrup_clarification_purity_rise", "Purity rise in syrup clarification", "units",
    ("clarified_syrup_purity", "syrup_purity"), "Small; more than 0.5 is a difference of analysis.",
)  # fmt: skip
_difference(
    "evaporation_ph_drop", "pH drop in evaporation", "pH", ("clear_juice_ph", "syrup_ph"),
    "0.3 to 0.7 is usual (common practice); beyond, acids form or ammonia boils off, and sucrose "
    "inverts.",
)  # fmt: skip
_difference(
    "clarification_reducing_sugars_rise", "Rise of reducing sugars in clarification", "% brix",
    ("clear_juice_reducing_sugars_on_brix", "mixed_juice_reducing_sugars_on_brix"),
    "A fall is usual where lime destroys some of them; that hides inversion.",
)  # fmt: skip
_difference(
    "evaporation_reducing_sugars_rise", "Rise of reducing sugars in evaporation", "% brix",
    ("syrup_reducing_sugars_on_brix", "clear_juice_reducing_sugars_on_brix"),
    "Sucrose inverted, less reducing sugars destroyed.",
)  # fmt: skip


def _inversion(step: str, purity: str) -> None:
    def inversion(rise: Values, purity: Values) -> Values:
        """Pol inverted, as the rise of reducing sugars tells it.

        An estimate: destruction of reducing sugars hides it, and below 0 it says only that. It is
        the difference of two analyses, so that a single day is noise.
        """
        return 100 * SUCROSE_PER_INVERT * rise / purity

    figure(
        f"Inversion in {step}, by analysis",
        unit=f"% pol in {purity.removesuffix('_purity').replace('_', ' ')}",
        decimals=2,
        formula=f"100 × 342.30 ÷ 360.31 × rise of reducing sugars ÷ {purity.replace('_', ' ')}",
        source=STOICHIOMETRY,
        station=step,
        name=f"{step}_inversion_by_analysis",
        inputs=(f"{step}_reducing_sugars_rise", purity),
    )(inversion)


_inversion("clarification", "mixed_juice_purity")
_inversion("evaporation", "clear_juice_purity")
