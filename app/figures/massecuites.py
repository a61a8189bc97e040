"""How much massecuite was boiled: struck, per tonne of brix sent to the pans, per tonne of cane."""

import numpy as np

from app.chemistry import hydrometry
from app.chemistry import massecuite as relation
from app.chemistry.density import sucrose_solution_density
from app.figures.conventions import Convention, convention
from app.figures.declare import ENTERED, Values, figure
from app.figures.sources import COMMON, COMMON_PRACTICE, DEFINITION, DENSITY, Source

STATION = "pans_and_crystallizers"
REMELT = "magma_and_remelt"
# the usual m³ per tonne of brix
USUAL = {"a": "0.9 to 1.2", "b": "0.3 to 0.5", "c": "0.2 to 0.3"}

# the convention that gives the purity of the mother liquor
LIQUOR = {
    "a": "standing_a_molasses_purity",
    "b": "standing_b_molasses_purity",
    "c": "standing_molasses_purity",
}
VOLUMES = Source(
    "volumes of crystal and mother liquor add, the liquor by ICUMSA SPS-4", COMMON_PRACTICE
)

FROM_MIXED_JUICE = {"brix_to_pans_from": ("mixed juice less filter cake",)}
FROM_CLEAR_JUICE = {"brix_to_pans_from": ("clear juice weighed",)}

convention(
    Convention(
        "brix_to_pans_from",
        "Brix to the pans is taken from",
        "mixed juice less filter cake",
        "",
        COMMON,
        "Syrup is seldom weighed. Mixed juice also holds what clarification throws out, 1 to 4 % "
        "of its brix, so that indices on it read that much lower than on clear juice.",
        choices=("mixed juice less filter cake", "clear juice weighed"),
    )
)
convention(
    Convention(
        "massecuite_air",
        "Air in massecuite as struck",
        0.0,
        "% volume",
        COMMON,
        "Taken out of the volume struck before it becomes tonnes. Each mill finds its own by "
        "weighing a known volume; none is taken where none was found.",
        high=30.0,
    )
)
for _grade, _purity in (("a", 68.0), ("b", 50.0)):
    convention(
        Convention(
            LIQUOR[_grade],
            f"Standing purity of {_grade.upper()} molasses, for density of massecuite",
            _purity,
            "%",
            COMMON,
            f"That of the mother liquor in {_grade.upper()} massecuite, by which the crystals in "
            "it are known. 10 units move its density by 0.3 to 0.7 %.",
            low=20.0,
            high=95.0,
        )
    )


def massecuite_density(brix: Values, temperature: Values, purity: Values, liquor: Values) -> Values:
    """Return the density, kg/m³ without air, of massecuite or magma whose mother liquor is known.

    `brix` and `purity` of the whole in %, `temperature` °C, `liquor` the purity of the mother
    liquor; shapes broadcast. Without crystals, where the whole is no purer, that of a solution.
    Source: mass balance; common practice.
    """
    crystal = relation.crystal_in_massecuite(brix, np.maximum(purity, liquor), liquor)
    between = sucrose_solution_density(relation.mother_liquor_brix(brix, crystal), temperature)
    return hydrometry.massecuite_density(crystal, between)


@figure(
    "Brix in clear juice, as weighed",
    unit="t",
    decimals=2,
    formula="clear juice × brix ÷ 100",
    source=DEFINITION,
    station=STATION,
    kind="adds",
    internal=True,
)
def brix_in_clear_juice_weighed(
    entered_clear_juice: Values, entered_clear_juice_brix: Values
) -> Values:
    """Tonnes of brix in clear juice, where it is weighed."""
    return entered_clear_juice * entered_clear_juice_brix / 100


@figure(
    "Brix to the pans",
    unit="t",
    decimals=1,
    formula="brix in mixed juice - brix in filter cake",
    source=COMMON,
    station=STATION,
    when=FROM_MIXED_JUICE,
)
def brix_to_pans(brix_in_mixed_juice: Values, brix_in_filter_cake: Values) -> Values:
    """Brix that reaches the pans in syrup, by the convention.

    From mixed juice less the juice in filter cake, or from clear juice weighed.
    """
    return brix_in_mixed_juice - brix_in_filter_cake


@brix_to_pans.otherwise("brix in clear juice", when=FROM_CLEAR_JUICE)
def _from_clear_juice(brix_in_clear_juice_weighed: Values) -> Values:
    return brix_in_clear_juice_weighed


def _as_entered(entered: Values) -> Values:
    """Volume by the strikes or the tank, as entered on each shift and summed.

    Hot massecuite and remelt scald at the gauge: local codes and licensed practice rule.
    """
    return entered


def _volume(name: str, title: str, station: str) -> None:
    figure(
        title,
        unit="m³",
        decimals=1,
        formula="as entered",
        source=DEFINITION,
        station=station,
        kind="adds",
        name=name,
        inputs=(ENTERED + name,),
    )(_as_entered)


def tonnes_with_crystals(
    volume: Values,
    brix: Values,
    temperature: Values,
    purity: Values,
    air: Values,
    liquor: Values,
) -> Values:
    """Volume × the density of its crystals and mother liquor, less air.

    The crystals follow from the purity of the whole and the standing purity of its mother liquor:
    that of A, B or final molasses, in magma that of B molasses. Where the purity of the whole
    lacks, the density is that of a sucrose solution of its brix, which reads 1 to 2 % low. The
    convention says how much air. Hot massecuite scalds: local codes and licensed practice rule.
    """
    return _tonnes(volume, massecuite_density(brix, temperature, purity, liquor), air)


def tonnes_as_solution(volume: Values, brix: Values, temperature: Values, air: Values) -> Values:
    """Volume × density of a sucrose solution of that brix and temperature, less air.

    Non-sugars are not in the density. The convention says how much air. An empty vessel holds
    nothing, whatever was analysed. Hot contents scald: local codes and licensed practice rule.
    """
    return _tonnes(volume, sucrose_solution_density(brix, temperature), air)


def _tonnes(volume: Values, density: Values, air: Values) -> Values:
    found = volume * hydrometry.with_entrained_air(density, air) / 1000
    return np.where(volume == 0, 0.0, found)


def _indices(name: str, title: str, volumes: tuple[str, ...], note: str) -> None:
    def on_brix(*inputs: Values) -> Values:
        *struck, brix = inputs
        return np.asarray(sum(struck) / brix)

    def on_cane(*inputs: Values) -> Values:
        """Hectolitres struck per tonne of cane; richer cane needs more, and so does reboiling."""
        *struck, cane = inputs
        return np.asarray(10 * sum(struck) / cane)

    on_brix.__doc__ = note
    figure(
        f"{title} per tonne brix",
        unit="m³/t",
        decimals=2,
        formula="volume struck ÷ brix to pans",
        source=COMMON,
        station=STATION,
        name=f"{name}_on_brix",
        inputs=(*volumes, "brix_to_pans"),
    )(on_brix)
    figure(
        f"{title} per tonne cane",
        unit="hL/t",
        decimals=2,
        formula="10 × volume struck ÷ cane",
        source=COMMON,
        station=STATION,
        name=f"{name}_on_cane",
        inputs=(*volumes, "cane"),
    )(on_cane)


for _grade, _usual in USUAL.items():
    _massecuite = f"{_grade}_massecuite"
    _title = f"{_grade.upper()} massecuite"
    _volume(f"{_massecuite}_volume", f"{_title} struck", STATION)
    _volume_and_brix = (
        f"{_massecuite}_volume",
        *(f"{ENTERED}{_massecuite}_{prop}" for prop in ("brix", "temperature")),
    )
    figure(
        _title,
        unit="t",
        decimals=1,
        formula="volume struck × density × (1 - air ÷ 100) ÷ 1000, density of crystals and mother "
        "liquor",
        source=VOLUMES,
        station=STATION,
        kind="adds",
        name=_massecuite,
        inputs=(
            *_volume_and_brix,
            f"{ENTERED}{_massecuite}_purity",
            "massecuite_air",
            LIQUOR[_grade],
        ),
    )(tonnes_with_crystals).otherwise(
        "volume struck × density × (1 - air ÷ 100) ÷ 1000, density of a solution of that brix",
        inputs=(*_volume_and_brix, "massecuite_air"),
        source=DENSITY,
    )(tonnes_as_solution)
    _indices(
        _massecuite, _title, (f"{_massecuite}_volume",),
        f"Massecuite struck per tonne of brix sent to the pans; {_usual} is usual (common "
        "practice). More than that is boiled twice over: sugar of low purity or remelt returns.",
    )  # fmt: skip

_indices(
    "massecuite", "All massecuite", tuple(f"{grade}_massecuite_volume" for grade in USUAL),
    "A, B and C massecuite struck per tonne of brix sent to the pans; 1.4 to 1.9 is usual (common "
    "practice).",
)  # fmt: skip

_volume("remelt_volume", "Remelt volume", REMELT)


@figure(
    "Brix in remelt",
    unit="t",
    decimals=1,
    formula="volume × density × brix ÷ 100 000",
    source=DENSITY,
    station=REMELT,
    kind="adds",
)
def brix_in_remelt(
    remelt_volume: Values, entered_remelt_brix: Values, entered_remelt_temperature: Values
) -> Values:
    """Brix sent back in remelt: volume × density of a sucrose solution × brix."""
    density = sucrose_solution_density(entered_remelt_brix, entered_remelt_temperature)
    return remelt_volume * density * entered_remelt_brix / 100_000


@figure(
    "Remelt % brix to the pans",
    unit="% brix to pans",
    decimals=1,
    formula="100 × brix in remelt ÷ brix to pans",
    source=COMMON,
    station=REMELT,
)
def remelt_share(brix_in_remelt: Values, brix_to_pans: Values) -> Values:
    """What is boiled again, per 100 of the brix that comes fresh."""
    return 100 * brix_in_remelt / brix_to_pans
