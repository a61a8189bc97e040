"""A, B and C massecuites: crystal content, exhaustion, and what the centrifugals part."""

from app.chemistry import massecuite as relation
from app.figures.declare import ENTERED, Values, figure
from app.figures.seldom import seldom_mean
from app.figures.sources import COMMON, FROM_MEMORY, HUGOT, READ, Source

MOTHER_LIQUOR = {"a": "a_molasses", "b": "b_molasses", "c": "final_molasses"}
SUGAR = {"a": "sugar", "b": "b_magma", "c": "c_magma"}
WORDS = {"a": "sugar", "b": "B magma", "c": "C magma"}
STATION = "pans_and_crystallizers"
VISCOSITY = Source("non-sucrose over water as the handle of viscosity, Sanaullah 2017", READ)
SPLIT = Source("the s-j-m rule at the centrifugal", FROM_MEMORY)


def _mean_brix(carried: Values, carrier: Values) -> Values:
    """Brix of the strikes; by refractometer or by spindle, never one against the other.

    Usual: A 92 to 93.5, B 94 to 95.5, C 95.5 to 97.5 (common practice).

    Over a period, its mean by the volume struck; where a shift lacks the volume, by cane. Hot
    massecuite scalds: local codes and licensed practice rule.
    """
    return 100 * carried / carrier


def _same(value: Values) -> Values:
    return value


def _crystal(massecuite: Values, mother_liquor: Values) -> Values:
    """Crystals per 100 of the brix of massecuite, taken as pure sucrose.

    By the purity of the molasses run off, so that crystal dissolved in the centrifugal is not in
    it. Usual: A 50 to 60, B 40 to 48, C 31 to 38 (common practice).
    """
    return relation.crystal_content(massecuite, mother_liquor)


def _crystal_on_massecuite(brix: Values, massecuite: Values, mother_liquor: Values) -> Values:
    """Crystals per 100 of massecuite as it is, taken as pure sucrose.

    By the purity of the molasses run off. Brix by 1:1 dilution and spindle reads 1 to 3 above the
    refractometer (common practice), and this with it.
    """
    return relation.crystal_in_massecuite(brix, massecuite, mother_liquor)


def _exhaustion(massecuite: Values, mother_liquor: Values) -> Values:
    """Sucrose crystallised per 100 of the sucrose of massecuite.

    By the molasses of the centrifugals; the book of strikes has the exhaustion at drop, by the
    mother liquor. Usual: A 60 to 70, B 56 to 64, C 52 to 63 (common practice). Times purity of
    massecuite ÷ 100 it is the crystal % brix.
    """
    return relation.exhaustion(massecuite, mother_liquor)


def _drop(massecuite: Values, mother_liquor: Values) -> Values:
    """Purity of massecuite less that of its molasses.

    Usual: A 15 to 22, B 19 to 25, C 20 to 27 (common practice).
    """
    return massecuite - mother_liquor


def _non_sucrose_over_water(brix: Values, purity: Values) -> Values:
    """Non-sucrose per unit of water; the higher, the more viscous.

    The same in massecuite and in its mother liquor, since crystals hold neither. Non-sucrose is
    brix less pol here, by the apparent purity. C massecuite of 57 purity and 96 °Bx has 10.3.
    """
    return relation.non_sucrose_over_water(brix, purity)


def _to_sugar(massecuite: Values, sugar: Values, molasses: Values) -> Values:
    """Solids of massecuite that leave the centrifugal as sugar or magma; the rest is molasses.

    By the purities of all three. Wash water that dissolves crystal lowers it.
    """
    return relation.sugar_at_centrifugal(massecuite, sugar, molasses)


for _grade, _molasses in MOTHER_LIQUOR.items():
    _massecuite = f"{_grade}_massecuite"
    _title = f"{_grade.upper()} massecuite"
    _purities = (f"{_massecuite}_purity", f"{_molasses}_purity")
    _brix = figure(
        f"{_title} brix",
        unit="°Bx",
        decimals=2,
        formula="Σ(volume struck × brix) ÷ Σ(volume struck)",
        source=COMMON,
        station=STATION,
        name=f"{_massecuite}_brix",
        inputs=(f"{_massecuite}_brix_struck", f"{_massecuite}_volume"),
    )(_mean_brix)
    _brix.otherwise(
        "Σ(cane × brix) ÷ Σ(cane)", inputs=(f"{_massecuite}_brix_carried", "cane")
    )(_mean_brix)  # fmt: skip
    _brix.otherwise("as entered", inputs=(f"{ENTERED}{_massecuite}_brix",))(_same)
    seldom_mean(
        (f"{_massecuite}_temperature", f"{_title} temperature, at strike", "°C", 1), STATION,
        "Temperature at which the strikes are dropped; usually 60 to 70 °C. Hot massecuite scalds: "
        "local codes and licensed practice rule.",
    )  # fmt: skip
    figure(
        f"{_title} crystal % brix",
        unit="% brix",
        decimals=1,
        formula="100 × (M - m) ÷ (100 - m), purities of massecuite M and molasses m",
        source=HUGOT,
        station=STATION,
        name=f"{_massecuite}_crystal",
        inputs=_purities,
    )(_crystal)
    figure(
        f"{_title} crystal % massecuite",
        unit="% massecuite",
        decimals=1,
        formula="brix × (M - m) ÷ (100 - m), purities of massecuite M and molasses m",
        source=HUGOT,
        station=STATION,
        name=f"{_massecuite}_crystal_on_massecuite",
        inputs=(f"{_massecuite}_brix", *_purities),
    )(_crystal_on_massecuite)
    figure(
        f"{_title} exhaustion, as cured",
        unit="% sucrose",
        decimals=1,
        formula="10 000 × (M - m) ÷ (M × (100 - m)), purities of massecuite M and molasses m",
        source=HUGOT,
        station=STATION,
        name=f"{_massecuite}_exhaustion",
        inputs=_purities,
    )(_exhaustion)
    figure(
        f"{_title} purity drop",
        unit="units",
        decimals=1,
        formula="massecuite purity - molasses purity",
        source=COMMON,
        station=STATION,
        name=f"{_massecuite}_purity_drop",
        inputs=_purities,
    )(_drop)
    figure(
        f"{_title} non-sucrose over water",
        unit="",
        decimals=1,
        formula="(100 - purity) × brix ÷ (100 × (100 - brix))",
        source=VISCOSITY,
        station=STATION,
        name=f"{_massecuite}_non_sucrose_over_water",
        inputs=(f"{_massecuite}_brix", f"{_massecuite}_purity"),
    )(_non_sucrose_over_water)
    figure(
        f"{_title} solids to {WORDS[_grade]}",
        unit="% solids",
        decimals=1,
        formula="100 × (M - m) ÷ (S - m), purities of massecuite M, molasses m and sugar S",
        source=SPLIT,
        station="centrifugals",
        name=f"{_massecuite}_solids_to_sugar",
        inputs=(_purities[0], f"{SUGAR[_grade]}_purity", _purities[1]),
    )(_to_sugar)
