"""Quality of the sugar bagged over a period: means by its weight, and ash % impurity."""

from app.chemistry import sugar_value as relation
from app.figures.declare import Values, figure
from app.figures.means import mean
from app.figures.seldom import seldom_mean
from app.figures.sources import DEFINITION, READ, Source

STATION = "drying_and_packing"
QUEENSLAND = Source("practice of Queensland; Finger and Mitchell, ash % impurity", READ)


for _name, _words, _unit, _decimals, _note, _carried in (
    ("pol", "pol", "%", 2, "Brands of raw sugar lie near 97.8, 98.9 and 99.3 (read: Mackintosh "
     "and Kingston).", "pol_in_sugar_bagged"),
    ("moisture", "moisture", "%", 3, "Raw sugar usually has 0.1 to 0.6 (common practice).",
     "water_in_sugar"),
    ("colour", "colour", "IU", 0, "Colour in solution. Raw sugar is read at pH 7, white sugar as "
     "it is: results of two methods are not comparable.", ""),
    ("temperature", "temperature at bagging", "°C", 1, "Under 38 °C it cakes and darkens less "
     "(common practice).", ""),
):  # fmt: skip
    mean(
        (f"sugar_{_name}", f"Sugar {_words}", _unit, _decimals), STATION, _note,
        by="sugar", carried=_carried,
    )  # fmt: skip

for _name, _words, _unit, _decimals, _note in (
    ("ash", "ash", "%", 3, "Raw sugar usually has 0.1 to 0.5 (common practice). "
     "Sulphuric acid for sulphated ash burns: local codes and licensed practice rule."),
    ("reducing_sugars", "reducing sugars", "%", 3, "Raw sugar usually has 0.1 to 0.6 (common "
     "practice). Copper reagents are caustic and boil in the test: local codes and licensed "
     "practice rule."),
    ("sulphur_dioxide", "sulphur dioxide", "mg/kg", 1, "Limits seen: 70 mg/kg for plantation "
     "white, 15 for refined (World Food Programme, after Codex Stan 212; read). The gas harms "
     "lungs, and some people cannot bear it in food: local codes and licensed practice rule."),
    ("grain_size", "mean aperture", "mm", 2, "Raw sugar is usually of 0.6 to 0.95 mm (common "
     "practice). A mean of means: what was sieved is not mixed again."),
    ("grain_variation", "coefficient of variation", "%", 0, "Of the grain within samples, usually "
     "25 to 38 % (common practice); differences between shifts are not in it."),
):  # fmt: skip
    seldom_mean((f"sugar_{_name}", f"Sugar {_words}", _unit, _decimals), STATION, _note, by="sugar")


@figure(
    "Ash in sugar bagged",
    unit="t",
    decimals=3,
    formula="sugar × ash ÷ 100",
    source=DEFINITION,
    station=STATION,
    kind="adds",
)
def ash_in_sugar(sugar: Values, entered_sugar_ash: Values) -> Values:
    """Tonnes of ash in the sugar bagged."""
    return sugar * entered_sugar_ash / 100


@figure(
    "Reducing sugars in sugar bagged",
    unit="t",
    decimals=3,
    formula="sugar × reducing sugars ÷ 100",
    source=DEFINITION,
    station=STATION,
    kind="adds",
)
def reducing_sugars_in_sugar(sugar: Values, entered_sugar_reducing_sugars: Values) -> Values:
    """Tonnes of reducing sugars in the sugar bagged."""
    return sugar * entered_sugar_reducing_sugars / 100


@figure(
    "Ash % impurity of sugar",
    unit="% impurity",
    decimals=1,
    formula="100 × ash ÷ (100 - pol - moisture)",
    source=QUEENSLAND,
    station=STATION,
)
def sugar_ash_on_impurity(sugar_ash: Values, sugar_pol: Values, sugar_moisture: Values) -> Values:
    """Ash per 100 of the solids of sugar that are not pol; it rises as sugar is washed.

    20 to 40 is usual (common practice).
    """
    return relation.ash_on_impurity(sugar_ash, sugar_pol, sugar_moisture)
