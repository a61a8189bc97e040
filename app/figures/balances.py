"""Balances of the boiling house beside that of pol: brix, non-sucrose and reducing sugars.

Non-sucrose is brix less pol here, by the basis that the mill accounts on: by true sucrose it is
less.
"""

from app.figures.declare import Values, figure
from app.figures.sources import COMMON, COMMON_PRACTICE, DEFINITION, READ, Source

STATION = "account"
REFRACTOMETER = Source("brix by refractometer in factory balances, Proc SASTA 1970", READ)
UNCHANGED_POL = Source("by algebra, pol of the juice taken as unchanged", COMMON_PRACTICE)
BAGGED = {"sugar_accounted": ("bagged",)}
WITH_STOCK = {"sugar_accounted": ("made and estimated",)}


@figure(
    "Brix in sugar",
    unit="t",
    decimals=2,
    formula="sugar bagged - water in sugar",
    source=DEFINITION,
    station=STATION,
    when=BAGGED,
)
def brix_in_sugar(sugar: Values, water_in_sugar: Values) -> Values:
    """Dry solids in the sugar of the account: bagged, or made and estimated, by the convention."""
    return sugar - water_in_sugar


@brix_in_sugar.otherwise(
    "sugar bagged - water in sugar + change of recoverable sugar solids in stock",
    when=WITH_STOCK,
)
def _made(
    sugar: Values,
    water_in_sugar: Values,
    change_of_recoverable_solids_in_stock: Values,
) -> Values:
    return sugar - water_in_sugar + change_of_recoverable_solids_in_stock


@figure(
    "Undetermined brix",
    unit="t",
    decimals=2,
    formula="brix in mixed juice - brix in sugar - brix in filter cake - brix in final molasses",
    source=REFRACTOMETER,
    station=STATION,
)
def undetermined_brix(
    brix_in_mixed_juice: Values,
    brix_in_sugar: Values,
    brix_in_filter_cake: Values,
    brix_in_final_molasses: Values,
) -> Values:
    """Brix that is not found again: thrown down in clarification, scale, lost, or a fault.

    Brix by refractometer throughout; one spindle among them spoils the balance. With sugar as
    bagged, the change of stock hides in it.
    """
    return brix_in_mixed_juice - brix_in_sugar - brix_in_filter_cake - brix_in_final_molasses


def _of_brix(part: Values, brix_in_mixed_juice: Values) -> Values:
    return 100 * part / brix_in_mixed_juice


for _name, _title, _part, _note in (
    ("brix_to_sugar", "Brix to sugar", "brix_in_sugar", "In the sugar of the account"),
    ("brix_to_filter_cake", "Brix to filter cake", "brix_in_filter_cake", "In filter cake"),
    ("brix_to_final_molasses", "Brix to final molasses", "brix_in_final_molasses",
     "In the final molasses of the account"),
    ("undetermined_brix_share", "Undetermined brix, per 100 brix", "undetermined_brix",
     "Found nowhere; 1 to 4 is usual (common practice)"),
):  # fmt: skip

    def _share(part: Values, brix_in_mixed_juice: Values) -> Values:
        return _of_brix(part, brix_in_mixed_juice)

    _share.__doc__ = f"{_note}, per 100 of the brix in mixed juice."
    figure(
        _title,
        unit="per 100 brix in mixed juice",
        decimals=2,
        formula=f"100 × {_part.replace('_', ' ')} ÷ brix in mixed juice",
        source=DEFINITION,
        station=STATION,
        name=_name,
        inputs=(_part, "brix_in_mixed_juice"),
    )(_share)


def _non_sucrose(brix: Values, pol: Values) -> Values:
    """Dissolved solids that are not pol: brix less pol. By true sucrose they are less."""
    return brix - pol


for _stream in ("mixed_juice", "filter_cake", "sugar", "final_molasses"):
    _words = _stream.replace("_", " ")
    figure(
        f"Non-sucrose in {_words} (brix - pol)",
        unit="t",
        decimals=2,
        formula=f"brix in {_words} - pol in {_words}",
        source=DEFINITION,
        station=STATION,
        name=f"non_sucrose_in_{_stream}",
        inputs=(f"brix_in_{_stream}", f"pol_in_{_stream}"),
    )(_non_sucrose)


@figure(
    "Undetermined non-sucrose (brix - pol)",
    unit="t",
    decimals=2,
    formula="non-sucrose in mixed juice - non-sucrose in sugar - non-sucrose in filter cake "
    "- non-sucrose in final molasses",
    source=DEFINITION,
    station=STATION,
)
def undetermined_non_sucrose(
    non_sucrose_in_mixed_juice: Values,
    non_sucrose_in_sugar: Values,
    non_sucrose_in_filter_cake: Values,
    non_sucrose_in_final_molasses: Values,
) -> Values:
    """Non-sucrose that does not come out again: clarification takes some, and inversion makes some.

    Undetermined brix less undetermined pol. With sugar as bagged, the change of stock hides in it.
    """
    return (
        non_sucrose_in_mixed_juice
        - non_sucrose_in_sugar
        - non_sucrose_in_filter_cake
        - non_sucrose_in_final_molasses
    )


@figure(
    "Non-sucrose (brix - pol) removed in clarification",
    unit="% non-sucrose in mixed juice",
    decimals=1,
    formula="100 × (1 - J × (100 - C) ÷ (C × (100 - J))), purities of mixed juice J and clear "
    "juice C",
    source=UNCHANGED_POL,
    station="clarification",
)
def non_sucrose_removed(mixed_juice_purity: Values, clear_juice_purity: Values) -> Values:
    """Non-sucrose per pol in clear juice against mixed juice; it needs no weight.

    Below 0 where purity falls. Part of any rise is optical, as non-sugars that turn light go.
    """
    kept = mixed_juice_purity * (100 - clear_juice_purity)
    return 100 * (1 - kept / (clear_juice_purity * (100 - mixed_juice_purity)))


@figure(
    "Reducing sugars in mixed juice",
    unit="t",
    decimals=2,
    formula="net mixed juice × reducing sugars ÷ 100",
    source=DEFINITION,
    station=STATION,
    kind="adds",
)
def reducing_sugars_in_mixed_juice(
    net_mixed_juice: Values, entered_mixed_juice_reducing_sugars: Values
) -> Values:
    """Tonnes of reducing sugars in mixed juice, less its suspended solids where they are taken out.

    Alkaline copper reagents are caustic and boil in the test: local codes and licensed practice
    rule.
    """
    return net_mixed_juice * entered_mixed_juice_reducing_sugars / 100


@figure(
    "Reducing sugars made",
    unit="t",
    decimals=2,
    formula="reducing sugars in final molasses + reducing sugars in sugar "
    "- reducing sugars in mixed juice",
    source=COMMON,
    station=STATION,
)
def reducing_sugars_made(
    reducing_sugars_in_final_molasses: Values,
    reducing_sugars_in_sugar: Values,
    reducing_sugars_in_mixed_juice: Values,
) -> Values:
    """What inversion made, less what lime and heat destroyed; negative where more was destroyed.

    Molasses weighed and sugar bagged: judge it over a week or more, as stock is not in it.
    """
    found = reducing_sugars_in_final_molasses + reducing_sugars_in_sugar
    return found - reducing_sugars_in_mixed_juice


@figure(
    "Reducing sugars found again",
    unit="% reducing sugars in mixed juice",
    decimals=1,
    formula="100 × (reducing sugars in mixed juice + reducing sugars made) "
    "÷ reducing sugars in mixed juice",
    source=COMMON,
    station=STATION,
)
def reducing_sugars_found_again(
    reducing_sugars_in_mixed_juice: Values, reducing_sugars_made: Values
) -> Values:
    """Reducing sugars of molasses and sugar against those of mixed juice.

    Well above 100 together with a high undetermined loss points to inversion.
    """
    found = reducing_sugars_in_mixed_juice + reducing_sugars_made
    return 100 * found / reducing_sugars_in_mixed_juice
