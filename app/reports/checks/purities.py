"""Checks of purities along the factory, from first expressed juice to final molasses."""

from app.figures.declare import ENTERED
from app.figures.sources import COMMON, DEFINITION
from app.plant.grains import DAY, SHIFT
from app.plant.measures import MEASURES
from app.plant.streams import STREAMS
from app.reports.checks.declare import (
    Band,
    Check,
    Comparison,
    also_compare,
    compare,
    declare,
    purity_of,
)

_MIXED_UP = "samples were exchanged, or one was read from the wrong line"

POL_UNDER_BRIX = declare(
    Check(
        "pol_under_brix",
        "Pol above brix",
        "No material has more pol than dissolved solids: its purity lies under 100.",
        (
            "brix and pol typed into each other's box",
            "the decimal point or two figures slipped",
            "the pol of another sample",
            "the sample dried out or was diluted between the two readings",
        ),
        DEFINITION,
    )
)


def _purity(brix: float, pol: float) -> Band | None:
    return Band(100 * pol / brix, 0, 100) if brix else None


for _name, _measure in MEASURES.items():
    _stream = _measure.stream
    if _measure.prop == "pol" and MEASURES.get(f"{_stream}_brix"):
        _pair = (f"{_stream}_brix", _name)
        _inputs = tuple(ENTERED + name for name in _pair)
        also_compare(
            Comparison(POL_UNDER_BRIX, "Purity", "%", 2, _pair, _inputs, _purity, of_samples=True)
        )


@compare(
    "First expressed juice against mixed juice",
    concerns=purity_of("first_expressed_juice", "mixed_juice"),
    causes=(
        _MIXED_UP,
        "first expressed juice was diluted by wash water",
        "mixed juice stood and lost pol, or the mills need cleaning",
    ),
    value="Fall of purity",
    unit="units",
    decimals=2,
)
def purity_falls_to_mixed_juice(
    first_expressed_juice_purity: float, mixed_juice_purity: float
) -> Band:
    """The first mill gives the purest juice: mixed juice lies up to 5 units below it, and no more
    above it than two purities of single samples are unsure of, 1 unit.
    """
    return Band(first_expressed_juice_purity - mixed_juice_purity, -1, 5)


@compare(
    "Mixed juice against last expressed juice",
    concerns=purity_of("mixed_juice", "last_expressed_juice"),
    causes=(
        _MIXED_UP,
        "last expressed juice was taken from another mill",
        "mixed juice lost pol by souring",
    ),
    value="Fall of purity",
    unit="units",
    decimals=2,
)
def purity_falls_to_last_juice(
    mixed_juice_purity: float, last_expressed_juice_purity: float
) -> Band:
    """The last mill presses the least pure juice: 2 to 25 units below mixed juice."""
    return Band(mixed_juice_purity - last_expressed_juice_purity, 2, 25)


@compare(
    "Mixed juice against the juice left in bagasse",
    value="Fall of purity",
    unit="units",
    decimals=2,
    concerns=(*purity_of("mixed_juice"), "bagasse_pol", "bagasse_brix"),
    causes=(
        "brix or pol of bagasse was read from the wrong line",
        "the extract of bagasse stood and soured before its pol was read",
    ),
)
def purity_falls_to_residual_juice(
    mixed_juice_purity: float, entered_bagasse_pol: float, entered_bagasse_brix: float
) -> Band | None:
    """The juice left in bagasse, where its brix is analysed, is less pure than mixed juice by 2 to
    25 units.
    """
    if not entered_bagasse_brix:
        return None
    return Band(mixed_juice_purity - 100 * entered_bagasse_pol / entered_bagasse_brix, 2, 25)


@compare(
    "Clear juice against mixed juice",
    concerns=purity_of("mixed_juice", "clear_juice"),
    causes=(
        _MIXED_UP,
        "filtrate or mud was in the clear juice sample",
        "juice stood hot and inverted, or was limed too little",
        "the pol of mixed juice is low: it was read late",
    ),
    unit="units",
    decimals=2,
    value="Rise of purity",
)
def purity_rises_in_clarifier(mixed_juice_purity: float, clear_juice_purity: float) -> Band:
    """Clarification takes out non-pol: clear juice lies up to 3 units above mixed juice, and no
    more below it than two purities of single samples are unsure of, 1 unit.
    """
    return Band(clear_juice_purity - mixed_juice_purity, -1, 3)


@compare(
    "Brix of clear juice against mixed juice",
    concerns=("mixed_juice_brix", "clear_juice_brix"),
    causes=(
        "a brix was read at another temperature or from the wrong line",
        "the two samples are not of the same hours",
        "wash water of the filters came in with the filtrate, or juice flashed",
    ),
    unit="% of it",
    decimals=1,
    value="Clear juice off mixed juice by",
)
def brix_stays_in_clarifier(
    entered_mixed_juice_brix: float, entered_clear_juice_brix: float
) -> Band:
    """What dilutes and what flashes off about balance: the brix of clear juice is that of mixed
    juice within 1.5 % and what single samples of both are unsure of, together 5 % of it.
    """
    return Band(100 * (entered_clear_juice_brix / entered_mixed_juice_brix - 1), -5, 5)


@compare(
    "Syrup against clear juice",
    concerns=purity_of("clear_juice", "syrup"),
    causes=(
        "syrup was diluted or read wrongly: its brix and pol are of two dilutions",
        _MIXED_UP,
        "juice inverted in the evaporators: low pH, or held too long",
    ),
    unit="units",
    decimals=2,
    value="Rise of purity",
)
def purity_stays_in_evaporators(clear_juice_purity: float, syrup_purity: float) -> Band:
    """Evaporation takes out nothing but water: syrup is as pure as clear juice within 0.5 of a
    unit, and what two purities of single samples are unsure of, 1 unit.
    """
    return Band(syrup_purity - clear_juice_purity, -1.5, 1.5)


@compare(
    "Sugar against syrup",
    concerns=(*purity_of("syrup", "sugar"), "sugar_moisture"),
    causes=("pol and moisture of sugar were read from the wrong line", _MIXED_UP),
    unit="units",
    decimals=2,
    value="Sugar above syrup by",
)
def sugar_is_purer_than_syrup(sugar_purity: float, syrup_purity: float) -> Band:
    """Crystals leave the non-pol behind: raw sugar lies 5 to 35 units above the syrup."""
    return Band(sugar_purity - syrup_purity, 5, 35)


# what is purer, what is less pure, by how much at least and at most, how often it is looked at
_BOILINGS = (
    ("a_massecuite", "b_massecuite", 3, 30, SHIFT),
    ("b_massecuite", "c_massecuite", 3, 30, SHIFT),
    ("a_massecuite", "a_molasses", 8, 30, SHIFT),
    ("b_massecuite", "b_molasses", 10, 35, SHIFT),
    ("c_massecuite", "final_molasses", 12, 35, DAY),
    ("a_molasses", "b_molasses", 5, 35, SHIFT),
    ("b_molasses", "final_molasses", 3, 30, DAY),
)
_WRONG_IN_BOILING = (
    _MIXED_UP,
    "brix and pol are of two dilutions",
    "grain passed the screens, or molasses was diluted in the centrifugals",
)


def _boiling(purer: str, lesser: str, least: float, most: float, grain: str) -> None:
    first, later = STREAMS[purer].title, STREAMS[lesser].title
    check = Check(
        f"purity_falls_from_{purer}_to_{lesser}",
        f"{first} against {later}",
        f"Each boiling leaves less pure what it spins off: {first} lies {least} to {most} units "
        f"above {later}.",
        _WRONG_IN_BOILING,
        COMMON,
        grain,
    )

    def falls(above: float, below: float) -> Band:
        return Band(above - below, least, most)

    inputs, concerns = (f"{purer}_purity", f"{lesser}_purity"), purity_of(purer, lesser)
    also_compare(Comparison(declare(check), "Fall of purity", "units", 2, concerns, inputs, falls))


for _boiled in _BOILINGS:
    _boiling(*_boiled)
