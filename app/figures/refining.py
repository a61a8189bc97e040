"""What a refinery takes out of raw sugar: colour, and the yield expected of its analysis."""

from collections.abc import Callable

from app.chemistry import refining, sugar_value
from app.figures.conventions import Convention, convention
from app.figures.declare import Values, figure
from app.figures.means import mean
from app.figures.seldom import seldom_mean
from app.figures.sources import DEFINITION, READ, Source

STATION = "refinery"
BENTO = Source("Bento, note on formulas of raw sugar yield, 2011", READ)

convention(
    Convention(
        "refinery_loss_allowed",
        "Loss allowed in the South African yield",
        0.7,
        "% raw sugar",
        BENTO,
        "0.6 to 0.8 was taken off pol, beside 4.5 × ash and the reducing sugars.",
        high=5.0,
    )
)

for _stream, _title in (
    ("raw_sugar_melted", "Raw sugar melted"),
    ("refined_sugar", "Refined sugar"),
):
    mean(
        (f"{_stream}_pol", f"{_title} pol", "%", 2), STATION, f"Pol of {_title}.",
        by=_stream, carried=f"pol_in_{_stream}",
    )  # fmt: skip
    mean((f"{_stream}_moisture", f"{_title} moisture", "%", 3), STATION, "By drying.", by=_stream)
    seldom_mean(
        (f"{_stream}_ash", f"{_title} ash", "%", 3), STATION,
        "Sulphated and conductivity ash differ. Sulphuric acid burns: local codes and licensed "
        "practice rule.", by=_stream,
    )  # fmt: skip
seldom_mean(
    ("raw_sugar_melted_reducing_sugars", "Raw sugar melted, reducing sugars", "%", 2), STATION,
    "Invert of the raw sugar melted. Copper reagents are caustic: local codes and licensed "
    "practice rule.", by="raw_sugar_melted",
)  # fmt: skip
for _stream, _title in (("melt_liquor", "Melt liquor"), ("fine_liquor", "Fine liquor")):
    seldom_mean(
        (f"{_stream}_brix", f"{_title} brix", "°Bx", 2), STATION,
        f"Brix of {_title}. Hot liquor scalds: local codes and licensed practice rule.",
        by="raw_sugar_melted",
    )  # fmt: skip


def _colour_removed(name: str, title: str, whole: str) -> Callable[[Callable[..., Values]], object]:
    return figure(
        title, unit=f"% colour of {whole}", decimals=1,
        formula="100 × (colour before - colour after) ÷ colour before", source=DEFINITION,
        station=STATION, name=name,
    )  # fmt: skip


@_colour_removed("refinery_decolorization", "Decolorization, melt to fine liquor", "melt liquor")
def _decolorization(melt_liquor_colour: Values, fine_liquor_colour: Values) -> Values:
    """Colour that clarification and resin or carbon take out of the melt."""
    return refining.colour_removal(melt_liquor_colour, fine_liquor_colour)


@_colour_removed("refinery_colour_removal", "Colour removed, raw to refined sugar", "raw sugar")
def _colour_removal(raw_sugar_melted_colour: Values, refined_sugar_colour: Values) -> Values:
    """Colour taken out from raw sugar to refined sugar, crystallization included."""
    return refining.colour_removal(raw_sugar_melted_colour, refined_sugar_colour)


def _expected(rule: str, title: str, formula: str) -> Callable[[Callable[..., Values]], object]:
    return figure(
        f"Refined sugar expected, {title}", unit="% melt", decimals=2, formula=formula,
        source=BENTO, station=STATION, name=f"refined_sugar_expected_{rule}",
    )  # fmt: skip


@_expected("by_pol", "by pol", "2 × pol - 100")
def _by_pol(raw_sugar_melted_pol: Values) -> Values:
    """Refined sugar per 100 of raw sugar when non-pol holds back its own weight of pol.

    Less 0.50 in practice. Above 98.5 pol it is met only with molasses under 40 purity (read).
    """
    return sugar_value.yield_by_pol(raw_sugar_melted_pol)


@_expected("south_africa", "South African rule", "pol - 4.5 × ash - reducing sugars - loss allowed")
def _south_africa(
    raw_sugar_melted_pol: Values,
    raw_sugar_melted_ash: Values,
    raw_sugar_melted_reducing_sugars: Values,
    refinery_loss_allowed: Values,
) -> Values:
    """Refined sugar per 100 of raw sugar by the South African rule, as Bento 2011 states it."""
    return sugar_value.yield_south_africa(
        raw_sugar_melted_pol,
        raw_sugar_melted_ash,
        raw_sugar_melted_reducing_sugars,
        refinery_loss_allowed,
    )


@_expected("united_kingdom", "rule of the United Kingdom", "pol - 3 × ash - 2 × reducing sugars")
def _united_kingdom(
    raw_sugar_melted_pol: Values,
    raw_sugar_melted_ash: Values,
    raw_sugar_melted_reducing_sugars: Values,
) -> Values:
    """Refined sugar per 100 of raw sugar by the rule of the United Kingdom, as Bento states it."""
    return sugar_value.yield_united_kingdom(
        raw_sugar_melted_pol, raw_sugar_melted_ash, raw_sugar_melted_reducing_sugars
    )


@_expected("australia", "as stated for Australia", "pol - 5 × ash - reducing sugars")
def _australia(
    raw_sugar_melted_pol: Values,
    raw_sugar_melted_ash: Values,
    raw_sugar_melted_reducing_sugars: Values,
) -> Values:
    """Refined sugar per 100 of raw sugar, as Bento 2011 states the rule of Australia (read)."""
    return sugar_value.yield_australia(
        raw_sugar_melted_pol, raw_sugar_melted_ash, raw_sugar_melted_reducing_sugars
    )
