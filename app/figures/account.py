"""The sugar account: pol in, made, lost by place, and undetermined."""

from app.figures.declare import Values, figure
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
    "pol in final molasses weighed + change of pol in stock - change of recoverable pol in stock",
    when=WITH_STOCK,
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
    "brix in final molasses weighed + change of brix in stock "
    "- change of recoverable sugar solids in stock",
    when=WITH_STOCK,
)
def _molasses_brix_made(
    brix_in_final_molasses_weighed: Values,
    change_of_brix_in_stock: Values,
    change_of_recoverable_solids_in_stock: Values,
) -> Values:
    return (
        brix_in_final_molasses_weighed
        + change_of_brix_in_stock
        - change_of_recoverable_solids_in_stock
    )


@figure(
    "Undetermined pol",
    unit="t",
    decimals=2,
    formula="pol in cane - pol in sugar - pol in bagasse - pol in filter cake "
    "- pol in final molasses",
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

    With sugar as bagged (the default) the change of stock in process hides in it: growth of stock
    looks like loss, and stock drawn down makes it negative without any fault. With sugar made and
    estimated, a day's figure is mostly the noise of stock-taking. Judge it by the week or the
    season.
    """
    return pol_in_cane - pol_in_sugar - pol_in_bagasse - pol_in_filter_cake - pol_in_final_molasses


@figure(
    "Pol lost",
    unit="t",
    decimals=2,
    formula="pol in cane - pol in sugar",
    source=ISSCT,
    station=STATION,
)
def pol_lost(pol_in_cane: Values, pol_in_sugar: Values) -> Values:
    """All the pol of cane that did not become sugar, found again or not.

    With sugar as bagged, what stock grew by counts as lost.
    """
    return pol_in_cane - pol_in_sugar


@figure(
    "Pol lost in the boiling house",
    unit="t",
    decimals=2,
    formula="pol in mixed juice - pol in sugar",
    source=ISSCT,
    station=STATION,
)
def pol_lost_in_boiling_house(pol_in_mixed_juice: Values, pol_in_sugar: Values) -> Values:
    """All the pol of mixed juice that did not become sugar.

    With sugar as bagged, what stock grew by counts as lost.
    """
    return pol_in_mixed_juice - pol_in_sugar


# what is added to the name: the weight it is held against, and unit
BASES = {
    "": ("pol_in_cane", "per 100 pol in cane"),
    "_on_cane": ("cane", "% cane"),
    "_on_mixed_juice": ("pol_in_mixed_juice", "per 100 pol in mixed juice"),
}


def _per_hundred(lost: Values, whole: Values) -> Values:
    return 100 * lost / whole


def _loss(place: str, title: str, pol: str, usual: tuple[str, ...]) -> None:
    """Declare a loss on the first bases, as many as have a `usual` range."""
    for (added, (whole, unit)), expected in zip(BASES.items(), usual, strict=False):

        def loss(lost: Values, whole: Values) -> Values:
            return _per_hundred(lost, whole)

        words = whole.replace("_", " ")
        loss.__doc__ = (
            f"Tonnes of pol lost there, per 100 tonnes of {words}.{expected}{STOCK.get(place, '')}"
        )
        figure(
            f"{title}, {unit}" if added else title,
            unit=unit,
            decimals=3 if (place, added) == ("filter_cake", "_on_cane") else 2,
            formula=f"100 × {pol.replace('_', ' ')} ÷ {words}",
            source=ISSCT,
            station=STATION,
            name=f"{place}_loss{added}",
            inputs=(pol, whole),
        )(loss)


_HIDDEN = " With sugar as bagged, the change of stock hides in it."
STOCK = dict.fromkeys(("undetermined", "total", "boiling_house"), _HIDDEN)


def _usually(*ranges: str) -> tuple[str, ...]:
    return tuple(f" {expected} is usual (common practice)." for expected in ranges)


_loss("bagasse", "Loss in bagasse", "pol_in_bagasse", _usually("3 to 6"))
_loss(
    "filter_cake", "Loss in filter cake", "pol_in_filter_cake",
    (*_usually("0.2 to 0.9", "0.03 to 0.12"), ""),
)  # fmt: skip
_loss(
    "final_molasses", "Loss in final molasses", "pol_in_final_molasses",
    (*_usually("6.5 to 11", "0.8 to 1.5"), ""),
)  # fmt: skip
_loss(
    "undetermined", "Undetermined loss", "undetermined_pol",
    (*_usually("0.5 to 2", "0.06 to 0.25"), ""),
)  # fmt: skip
_loss("total", "Total loss", "pol_lost", _usually("12 to 20", "1.7 to 2.6"))
_loss("boiling_house", "Loss in the boiling house", "pol_lost_in_boiling_house", ("", "", ""))


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
    """Sugar as made per 100 of cane: bagged, or made and estimated, by the convention.

    "Recovery" in India and "rendement" are this, as made; by a scale at 96 pol it is another
    number. 9 to 12 is usual (common practice).
    """
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
    """Cane to make one tonne of sugar as made; 8.5 to 11 is usual (common practice)."""
    return 100 / sugar_on_cane
