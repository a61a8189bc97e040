"""Stock in process: what each vessel holds, and the sugar and molasses that will come of it."""

from collections.abc import Callable
from functools import reduce

import numpy as np

from app.chemistry.density import sucrose_solution_density
from app.chemistry.recovery import sugar_solids_share
from app.figures.conventions import Convention, convention
from app.figures.declare import ENTERED, OPENING, Figure, Values, figure
from app.figures.massecuites import LIQUOR, VOLUMES, tonnes_as_solution, tonnes_with_crystals
from app.figures.sources import COMMON, DEFINITION, DENSITY, SJM, Source

VESSELS = {
    "juice_tanks": "Juice tanks and clarifiers",
    "syrup_tanks": "Syrup tanks",
    "a_pans": "A pans and crystallizers",
    "b_pans": "B pans and crystallizers",
    "c_pans": "C pans and crystallizers",
    "a_molasses_tanks": "A molasses tanks",
    "b_molasses_tanks": "B molasses tanks",
    "magma_mixers": "Magma mixers and seed",
    "remelt_tank": "Remelt tank",
}

STATION = "stock"
CLOSING = "closing - opening"
LESS_AIR = "volume × density × (1 - air ÷ 100) ÷ 1000"
# what holds crystals, with the convention that gives the purity of their mother liquor
CRYSTALS = {
    "a_pans": LIQUOR["a"],
    "b_pans": LIQUOR["b"],
    "c_pans": LIQUOR["c"],
    "magma_mixers": LIQUOR["b"],
}
AIRY = (*CRYSTALS, "a_molasses_tanks", "b_molasses_tanks")

convention(
    Convention(
        "stock_air",
        "Air in massecuite, magma and molasses in stock",
        0.0,
        "% volume",
        COMMON,
        "Taken out of the volume of pans, magma mixers and molasses tanks. Entrained air in "
        "molasses is 2 to 10 % of volume; each mill finds its own by weighing a known volume, and "
        "none is taken where none was found.",
        high=30.0,
    )
)


def _held(volume: Values, brix: Values, temperature: Values) -> Values:
    """Contents of a vessel: volume × density of a sucrose solution of that brix and temperature.

    Non-sugars are not in the density. An empty vessel holds nothing, whatever was analysed. Hot
    contents scald whoever dips: local codes and licensed practice rule.
    """
    return np.where(volume == 0, 0.0, volume * sucrose_solution_density(brix, temperature) / 1000)


def _part(stock: Values, percent: Values) -> Values:
    """That part of the contents of a vessel."""
    return np.where(stock == 0, 0.0, stock * percent / 100)


def _recoverable_solids(
    brix: Values, purity: Values, sugar_purity: Values, molasses_purity: Values
) -> Values:
    """Solids that will become sugar, by the s-j-m rule with standing purities.

    Nothing at or below the purity of molasses, all at or above that of sugar; the rest becomes
    molasses. No loss is foreseen.
    """
    share = sugar_solids_share(purity, sugar_purity, molasses_purity)
    return np.where(brix == 0, 0.0, brix * share)


def _recoverable(solids: Values, purity: Values, sugar_purity: Values) -> Values:
    """Pol that will become sugar, by the s-j-m rule with standing purities; no loss is foreseen.

    Nothing of what is no purer than molasses; all the pol of what is purer than sugar.
    """
    return np.where(solids == 0, 0.0, solids * np.maximum(purity, sugar_purity) / 100)


def _total(*parts: Values) -> Values:
    """Over all vessels, as dipped and analysed at one time."""
    return reduce(np.add, parts)


def _level(
    name: str,
    title: str,
    formula: str,
    source: Source,
    inputs: tuple[str, ...],
    *,
    internal: bool = False,
) -> Callable[[Callable[..., Values]], Figure]:
    return figure(
        title,
        unit="t",
        decimals=1,
        formula=formula,
        source=source,
        station=STATION,
        kind="level",
        name=name,
        inputs=inputs,
        internal=internal,
    )


for _vessel, _title in VESSELS.items():
    _entered = {p: f"{ENTERED}{_vessel}_{p}" for p in ("volume", "temperature", "brix", "purity")}
    _dipped = (_entered["volume"], _entered["brix"], _entered["temperature"])
    _name, _words = f"{_vessel}_stock", f"{_title}, contents"
    if _vessel in CRYSTALS:
        _level(
            _name, _words,
            f"{LESS_AIR}, density of crystals and mother liquor",
            VOLUMES,
            (*_dipped, _entered["purity"], "stock_air", CRYSTALS[_vessel]),
        )(tonnes_with_crystals).otherwise(
            f"{LESS_AIR}, density of a solution of that brix",
            inputs=(*_dipped, "stock_air"),
            source=DENSITY,
        )(tonnes_as_solution)  # fmt: skip
    elif _vessel in AIRY:
        _level(_name, _words, LESS_AIR, DENSITY, (*_dipped, "stock_air"))(tonnes_as_solution)
    else:
        _level(_name, _words, "volume × density ÷ 1000", DENSITY, _dipped)(_held)
    _level(
        f"brix_in_{_vessel}",
        f"{_title}, brix held",
        "contents × brix ÷ 100",
        DEFINITION,
        (f"{_vessel}_stock", _entered["brix"]),
    )(_part)
    _level(
        f"pol_in_{_vessel}",
        f"{_title}, pol held",
        "brix held × purity ÷ 100",
        DEFINITION,
        (f"brix_in_{_vessel}", _entered["purity"]),
    )(_part)
    _level(
        f"recoverable_solids_in_{_vessel}",
        f"{_title}, recoverable sugar solids",
        "brix held × (J - M) ÷ (S - M), purity held J, standing purities of sugar S and molasses "
        "M; nothing from M down, all from S up",
        SJM,
        (
            f"brix_in_{_vessel}",
            _entered["purity"],
            "standing_sugar_purity",
            "standing_molasses_purity",
        ),
        internal=True,
    )(_recoverable_solids)
    _level(
        f"recoverable_pol_in_{_vessel}",
        f"{_title}, recoverable pol",
        "recoverable sugar solids × S ÷ 100, standing purity of sugar S, or the purity held where "
        "it is higher",
        SJM,
        (f"recoverable_solids_in_{_vessel}", _entered["purity"], "standing_sugar_purity"),
    )(_recoverable)

for _name, _title in (
    ("brix_in_{}", "Brix in stock"),
    ("pol_in_{}", "Pol in stock"),
    ("recoverable_solids_in_{}", "Recoverable sugar solids in stock"),
    ("recoverable_pol_in_{}", "Recoverable pol in stock"),
):
    _sum = _level(
        _name.format("stock"), _title, "sum over vessels", DEFINITION,
        tuple(_name.format(vessel) for vessel in VESSELS),
    )  # fmt: skip
    _sum(_total)


def _difference(closing: Values, opening: Values) -> Values:
    """What stock grew by in the period; negative where it was drawn down."""
    return closing - opening


for _name, _title in (
    ("brix_in_stock", "Change of brix in stock"),
    ("pol_in_stock", "Change of pol in stock"),
    ("recoverable_solids_in_stock", "Change of recoverable sugar solids in stock"),
    ("recoverable_pol_in_stock", "Change of recoverable pol in stock"),
):
    figure(
        _title,
        unit="t",
        decimals=2,
        formula=CLOSING,
        source=DEFINITION,
        station=STATION,
        name=f"change_of_{_name}",
        inputs=(_name, OPENING + _name),
    )(_difference)


@figure(
    "Recoverable sugar in stock",
    unit="t",
    decimals=1,
    formula="100 × recoverable pol in stock ÷ standing pol of sugar",
    source=SJM,
    station=STATION,
    kind="level",
)
def sugar_in_stock(recoverable_pol_in_stock: Values, standing_sugar_pol: Values) -> Values:
    """Sugar that the stock in process will give, at the standing pol of sugar."""
    return 100 * recoverable_pol_in_stock / standing_sugar_pol


@figure(
    "Molasses in stock, at standard brix",
    unit="t",
    decimals=1,
    formula="100 × (brix in stock - recoverable sugar solids in stock) ÷ standard brix",
    source=SJM,
    station=STATION,
    kind="level",
)
def molasses_in_stock(
    brix_in_stock: Values, recoverable_solids_in_stock: Values, standard_molasses_brix: Values
) -> Values:
    """Final molasses that the stock in process will give, at the standard brix."""
    return 100 * (brix_in_stock - recoverable_solids_in_stock) / standard_molasses_brix


@figure(
    "Sugar made and estimated",
    unit="t",
    decimals=1,
    formula="sugar bagged + change of recoverable sugar in stock",
    source=DEFINITION,
    station=STATION,
)
def sugar_made_and_estimated(
    sugar: Values, sugar_in_stock: Values, opening_sugar_in_stock: Values
) -> Values:
    """Sugar bagged and the growth of the sugar that stock in process will give."""
    return sugar + sugar_in_stock - opening_sugar_in_stock


@figure(
    "Molasses made and estimated, at standard brix",
    unit="t",
    decimals=1,
    formula="100 × brix in final molasses weighed ÷ standard brix + change of molasses in stock",
    source=DEFINITION,
    station=STATION,
)
def molasses_made_and_estimated(
    brix_in_final_molasses_weighed: Values,
    molasses_in_stock: Values,
    opening_molasses_in_stock: Values,
    standard_molasses_brix: Values,
) -> Values:
    """Final molasses weighed and the growth of what stock in process will give."""
    weighed = 100 * brix_in_final_molasses_weighed / standard_molasses_brix
    return weighed + molasses_in_stock - opening_molasses_in_stock


@figure(
    "Growth of sugar in stock % sugar made and estimated",
    unit="% sugar",
    decimals=2,
    formula="100 × (sugar made and estimated - sugar bagged) ÷ sugar made and estimated",
    source=COMMON,
    station=STATION,
)
def stock_correction(sugar_made_and_estimated: Values, sugar: Values) -> Values:
    """How much of the sugar of the account is an estimate still in process.

    To date it should not exceed about 0.5 by the middle of a season (common practice).
    """
    return 100 * (sugar_made_and_estimated - sugar) / sugar_made_and_estimated
