"""A, B and C massecuites: crystal content, exhaustion and purity drop."""

from app.chemistry import massecuite as relation
from app.figures.declare import Values, figure
from app.figures.sources import COMMON, HUGOT

MOTHER_LIQUOR = {"a": "a_molasses", "b": "b_molasses", "c": "final_molasses"}
STATION = "pans_and_crystallizers"


def _crystal(massecuite: Values, mother_liquor: Values) -> Values:
    """Crystals per 100 of the brix of massecuite, taken as pure sucrose."""
    return relation.crystal_content(massecuite, mother_liquor)


def _exhaustion(massecuite: Values, mother_liquor: Values) -> Values:
    """Sucrose crystallised per 100 of the sucrose of massecuite."""
    return relation.exhaustion(massecuite, mother_liquor)


def _drop(massecuite: Values, mother_liquor: Values) -> Values:
    """Purity of massecuite less that of its molasses."""
    return massecuite - mother_liquor


for _grade, _molasses in MOTHER_LIQUOR.items():
    _inputs = (f"{_grade}_massecuite_purity", f"{_molasses}_purity")
    _title = f"{_grade.upper()} massecuite"
    figure(
        f"{_title} crystal % brix",
        unit="% brix",
        decimals=1,
        formula="100 × (M - m) ÷ (100 - m), purities of massecuite M and molasses m",
        source=HUGOT,
        station=STATION,
        name=f"{_grade}_massecuite_crystal",
        inputs=_inputs,
    )(_crystal)
    figure(
        f"{_title} exhaustion",
        unit="% sucrose",
        decimals=1,
        formula="10 000 × (M - m) ÷ (M × (100 - m)), purities of massecuite M and molasses m",
        source=HUGOT,
        station=STATION,
        name=f"{_grade}_massecuite_exhaustion",
        inputs=_inputs,
    )(_exhaustion)
    figure(
        f"{_title} purity drop",
        unit="units",
        decimals=1,
        formula="massecuite purity - molasses purity",
        source=COMMON,
        station=STATION,
        name=f"{_grade}_massecuite_purity_drop",
        inputs=_inputs,
    )(_drop)
