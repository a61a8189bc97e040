"""A refinery behind the mill: an account of its own, from raw sugar melted to refined sugar.

The account of the raw house ends with its own sugar bagged: it credits raw sugar, and what the
refinery returns comes back into it as stock or remelt once, never as cane. Neither account takes a
figure of the other, so that the two add up.
"""

from app.chemistry import refining as relation
from app.figures.declare import ENTERED, Values, figure
from app.figures.means import mean
from app.figures.seldom import seldom_mean
from app.figures.sources import COMMON, DEFINITION

STATION = "refinery"
WEIGHED = {
    "raw_sugar_melted": "Raw sugar melted",
    "refined_sugar": "Refined sugar bagged",
    "refinery_return": "Run-off returned to the raw house",
}
DRY = {"raw_sugar_melted": "raw sugar melted", "refined_sugar": "refined sugar"}


def _as_entered(entered: Values) -> Values:
    """What the scales gave on each shift, summed.

    The account of the raw house ends with its own sugar bagged: it takes nothing from the refinery,
    and run-off returned enters it as stock or remelt, never as cane.
    """
    return entered


def _part(weight: Values, percent: Values) -> Values:
    """That part of the weight, by its analysis."""
    return weight * percent / 100


def _dry(weight: Values, moisture: Values) -> Values:
    """Dry solids: the weight less its moisture."""
    return weight * (100 - moisture) / 100


def _brix_from_pol(weight: Values, pol: Values, purity: Values) -> Values:
    return weight * pol / purity


def _pol_from_purity(weight: Values, brix: Values, purity: Values) -> Values:
    return weight * brix * purity / 10_000


for _name, _title in WEIGHED.items():
    figure(
        _title, unit="t", decimals=1, formula="as entered", source=DEFINITION, station=STATION,
        kind="adds", name=_name, inputs=(ENTERED + _name,),
    )(_as_entered)  # fmt: skip

for _name, _words in DRY.items():
    figure(
        f"Pol in {_words}", unit="t", decimals=2, formula=f"{_words} × pol ÷ 100",
        source=DEFINITION, station=STATION, kind="adds", name=f"pol_in_{_name}",
        inputs=(_name, f"{ENTERED}{_name}_pol"),
    )(_part)  # fmt: skip
    figure(
        f"Solids in {_words}", unit="t", decimals=2, formula=f"{_words} × (100 - moisture) ÷ 100",
        source=DEFINITION, station=STATION, kind="adds", name=f"solids_in_{_name}",
        inputs=(_name, f"{ENTERED}{_name}_moisture"),
    )(_dry)  # fmt: skip

_RETURN = {p: f"{ENTERED}refinery_return_{p}" for p in ("brix", "pol", "purity")}
figure(
    "Pol in run-off returned", unit="t", decimals=2, formula="run-off × pol ÷ 100",
    source=DEFINITION, station=STATION, kind="adds", name="pol_in_refinery_return",
    inputs=("refinery_return", _RETURN["pol"]),
)(_part).otherwise(
    "run-off × brix × purity ÷ 10 000",
    inputs=("refinery_return", _RETURN["brix"], _RETURN["purity"]),
)(_pol_from_purity)  # fmt: skip
figure(
    "Solids in run-off returned", unit="t", decimals=2, formula="run-off × brix ÷ 100",
    source=DEFINITION, station=STATION, kind="adds", name="solids_in_refinery_return",
    inputs=("refinery_return", _RETURN["brix"]),
)(_part).otherwise(
    "run-off × pol ÷ purity",
    inputs=("refinery_return", _RETURN["pol"], _RETURN["purity"]),
)(_brix_from_pol)  # fmt: skip


@figure(
    "Run-off purity",
    unit="%",
    decimals=2,
    formula="100 × pol in run-off returned ÷ solids in run-off returned",
    source=DEFINITION,
    station=STATION,
)
def refinery_return_purity(
    pol_in_refinery_return: Values, solids_in_refinery_return: Values
) -> Values:
    """Purity of what the refinery gives back; 75 to 90 is usual (common practice)."""
    return 100 * pol_in_refinery_return / solids_in_refinery_return


@refinery_return_purity.otherwise("as entered")
def _return_purity_as_entered(entered_refinery_return_purity: Values) -> Values:
    return entered_refinery_return_purity


@figure(
    "Refined sugar % melt",
    unit="% melt",
    decimals=2,
    formula="100 × refined sugar ÷ raw sugar melted",
    source=DEFINITION,
    station=STATION,
)
def refined_sugar_on_melt(refined_sugar: Values, raw_sugar_melted: Values) -> Values:
    """Refined sugar bagged per 100 of raw sugar melted, both as they are."""
    return 100 * refined_sugar / raw_sugar_melted


@figure(
    "Run-off returned % melt, solids",
    unit="% solids melted",
    decimals=2,
    formula="100 × solids in run-off returned ÷ solids in raw sugar melted",
    source=DEFINITION,
    station=STATION,
)
def refinery_return_on_melt(
    solids_in_refinery_return: Values, solids_in_raw_sugar_melted: Values
) -> Values:
    """Solids that the raw house takes back, per 100 of the solids melted."""
    return 100 * solids_in_refinery_return / solids_in_raw_sugar_melted


@figure(
    "Refined yield, on solids",
    unit="% solids melted",
    decimals=2,
    formula="100 × solids in refined sugar ÷ solids in raw sugar melted",
    source=COMMON,
    station=STATION,
)
def refined_yield_on_solids(
    solids_in_refined_sugar: Values, solids_in_raw_sugar_melted: Values
) -> Values:
    """Dry refined sugar per 100 of dry raw sugar melted; 94 to 98.5 is usual (common practice).

    Stock in process of the refinery is not in it: judge it over a week or more.
    """
    return relation.refined_yield(solids_in_refined_sugar, solids_in_raw_sugar_melted)


@figure(
    "Refined yield, on pol",
    unit="% pol melted",
    decimals=2,
    formula="100 × pol in refined sugar ÷ pol in raw sugar melted",
    source=COMMON,
    station=STATION,
)
def refined_yield_on_pol(pol_in_refined_sugar: Values, pol_in_raw_sugar_melted: Values) -> Values:
    """Pol of refined sugar per 100 of the pol melted; a little above the yield on solids."""
    return relation.refined_yield(pol_in_refined_sugar, pol_in_raw_sugar_melted)


@figure(
    "Melt loss",
    unit="% solids melted",
    decimals=2,
    formula="100 × (solids in raw sugar melted - solids in refined sugar "
    "- solids in run-off returned) ÷ solids in raw sugar melted",
    source=COMMON,
    station=STATION,
)
def refinery_melt_loss(
    solids_in_raw_sugar_melted: Values,
    solids_in_refined_sugar: Values,
    solids_in_refinery_return: Values,
) -> Values:
    """Solids that neither refined sugar nor run-off holds; 0.4 to 1.5 is usual (common practice).

    Dust, sweet-water to drain and run-off weighed wrong are the usual errors. Growth of stock in
    process of the refinery counts as loss here: judge it over a week or more. Negative is a fault
    of measuring, and is shown.
    """
    out = solids_in_refined_sugar + solids_in_refinery_return
    return relation.melt_loss(solids_in_raw_sugar_melted, out)


@figure(
    "Undetermined pol of the refinery",
    unit="t",
    decimals=2,
    formula="pol in raw sugar melted - pol in refined sugar - pol in run-off returned",
    source=COMMON,
    station=STATION,
)
def refinery_undetermined_pol(
    pol_in_raw_sugar_melted: Values,
    pol_in_refined_sugar: Values,
    pol_in_refinery_return: Values,
) -> Values:
    """Pol melted that is not found again; it is no part of the undetermined of the raw house."""
    return pol_in_raw_sugar_melted - pol_in_refined_sugar - pol_in_refinery_return


@figure(
    "Undetermined loss of the refinery",
    unit="per 100 pol melted",
    decimals=2,
    formula="100 × undetermined pol of the refinery ÷ pol in raw sugar melted",
    source=COMMON,
    station=STATION,
)
def refinery_undetermined_loss(
    refinery_undetermined_pol: Values, pol_in_raw_sugar_melted: Values
) -> Values:
    """Undetermined pol per 100 of the pol melted; 0.2 to 0.8 is usual (common practice)."""
    return 100 * refinery_undetermined_pol / pol_in_raw_sugar_melted


_COLOUR = "Colour in solution; two methods are never compared."
for _stream, _title, _by, _mean in (
    ("raw_sugar_melted", "Raw sugar melted", "raw_sugar_melted", mean),
    ("melt_liquor", "Melt liquor", "raw_sugar_melted", seldom_mean),
    ("fine_liquor", "Fine liquor", "raw_sugar_melted", mean),
    ("refined_sugar", "Refined sugar", "refined_sugar", mean),
):
    _mean((f"{_stream}_colour", f"{_title} colour", "IU", 0), STATION, _COLOUR, by=_by)
