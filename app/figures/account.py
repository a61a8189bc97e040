"""The sugar account: pol in, made, lost by place, and undetermined."""

from app.figures.declare import Figure, Values, figure
from app.figures.sources import DEFINITION, ISSCT

STATION = "account"
BAGGED = {"sugar_accounted": ("bagged",)}
WITH_STOCK = {"sugar_accounted": ("made and estimated",)}


@figure(
    "Pol in sugar",
    unit="t",
    decimals=2,
    formula="pol in sugar bagged",
    source=ISSCT,
    station=STATION,
    when=BAGGED,
)
def pol_in_sugar(pol_in_sugar_bagged: Values) -> Values:
    """Pol in the sugar of the account: bagged, or made and estimated, by the convention."""
    return pol_in_sugar_bagged


@pol_in_sugar.otherwise("pol in sugar bagged + change of recoverable pol in stock", when=WITH_STOCK)
def _made(pol_in_sugar_bagged: Values, change_of_recoverable_pol_in_stock: Values) -> Values:
    return pol_in_sugar_bagged + change_of_recoverable_pol_in_stock


@figure(
    "Pol in final molasses",
    unit="t",
    decimals=2,
    formula="pol in final molasses weighed",
    source=ISSCT,
    station=STATION,
    when=BAGGED,
)
def pol_in_final_molasses(pol_in_final_molasses_weighed: Values) -> Values:
    """Pol in the molasses of the account: weighed, or weighed and in stock, by the convention."""
    return pol_in_final_molasses_weighed


@pol_in_final_molasses.otherwise(
    "pol in molasses weighed + change of pol in stock that is not recoverable", when=WITH_STOCK
)
def _molasses_made(
    pol_in_final_molasses_weighed: Values,
    change_of_pol_in_stock: Values,
    change_of_recoverable_pol_in_stock: Values,
) -> Values:
    return (
        pol_in_final_molasses_weighed + change_of_pol_in_stock - change_of_recoverable_pol_in_stock
    )


@figure(
    "Brix in final molasses",
    unit="t",
    decimals=2,
    formula="brix in final molasses weighed",
    source=ISSCT,
    station=STATION,
    when=BAGGED,
)
def brix_in_final_molasses(brix_in_final_molasses_weighed: Values) -> Values:
    """Brix in the molasses of the account: weighed, or weighed and in stock, by the convention."""
    return brix_in_final_molasses_weighed


@brix_in_final_molasses.otherwise(
    "brix in molasses weighed + change of brix in stock that is not recoverable sugar",
    when=WITH_STOCK,
)
def _molasses_brix_made(
    brix_in_final_molasses_weighed: Values,
    change_of_brix_in_stock: Values,
    change_of_recoverable_pol_in_stock: Values,
    standing_sugar_purity: Values,
) -> Values:
    sugar_solids = 100 * change_of_recoverable_pol_in_stock / standing_sugar_purity
    return brix_in_final_molasses_weighed + change_of_brix_in_stock - sugar_solids


@figure(
    "Undetermined pol",
    unit="t",
    decimals=2,
    formula="pol in cane - pol in sugar, bagasse, filter cake and final molasses",
    source=ISSCT,
    station=STATION,
)
def undetermined_pol(
    pol_in_cane: Values,
    pol_in_sugar: Values,
    pol_in_bagasse: Values,
    pol_in_filter_cake: Values,
    pol_in_final_molasses: Values,
) -> Values:
    """What the account does not find again. Negative is a fault of measuring, and is shown.

    A day's figure is mostly the noise of stock-taking; judge it by the week or the season.
    """
    return pol_in_cane - pol_in_sugar - pol_in_bagasse - pol_in_filter_cake - pol_in_final_molasses


def _per_hundred_pol_in_cane(lost: Values, pol_in_cane: Values) -> Values:
    """Tonnes of pol lost there, per 100 tonnes of pol in cane."""
    return 100 * lost / pol_in_cane


def _loss(place: str, title: str, pol: str) -> Figure:
    return figure(
        title,
        unit="per 100 pol in cane",
        decimals=2,
        formula=f"100 × {pol.replace('_', ' ')} ÷ pol in cane",
        source=ISSCT,
        station=STATION,
        name=f"{place}_loss",
        inputs=(pol, "pol_in_cane"),
    )(_per_hundred_pol_in_cane)


_loss("bagasse", "Loss in bagasse", "pol_in_bagasse")
_loss("filter_cake", "Loss in filter cake", "pol_in_filter_cake")
_loss("final_molasses", "Loss in final molasses", "pol_in_final_molasses")
_loss("undetermined", "Undetermined loss", "undetermined_pol")


@figure(
    "Sugar % cane",
    unit="% cane",
    decimals=2,
    formula="100 × sugar in the account ÷ cane",
    source=DEFINITION,
    station=STATION,
    when=BAGGED,
)
def sugar_on_cane(sugar: Values, cane: Values) -> Values:
    """Sugar as made per 100 of cane: bagged, or made and estimated, by the convention."""
    return 100 * sugar / cane


@sugar_on_cane.otherwise("100 × sugar made and estimated ÷ cane", when=WITH_STOCK)
def _made_on_cane(sugar_made_and_estimated: Values, cane: Values) -> Values:
    return 100 * sugar_made_and_estimated / cane


@figure(
    "Tonnes cane per tonne sugar",
    unit="t/t",
    decimals=2,
    formula="cane ÷ sugar in the account",
    source=DEFINITION,
    station=STATION,
)
def cane_per_sugar(sugar_on_cane: Values) -> Values:
    """Cane to make one tonne of sugar as made."""
    return 100 / sugar_on_cane
