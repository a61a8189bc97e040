"""How much massecuite was boiled: struck, per tonne of brix sent to the pans, per tonne of cane."""

import numpy as np

from app.chemistry.density import sucrose_solution_density
from app.figures.conventions import Convention, convention
from app.figures.declare import ENTERED, Values, figure
from app.figures.sources import COMMON, DEFINITION, DENSITY

STATION = "pans_and_crystallizers"
REMELT = "magma_and_remelt"
# the usual m³ per tonne of brix
USUAL = {"a": "0.9 to 1.2", "b": "0.3 to 0.5", "c": "0.2 to 0.3"}

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
    """Volume by the strikes or the tank, as entered on each shift and summed."""
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


def _tonnes(volume: Values, brix: Values, temperature: Values, massecuite_air: Values) -> Values:
    """Volume struck × density of a sucrose solution of that brix and temperature, less air.

    An estimate: non-sugars make massecuite denser, air lighter. The convention says how much air.
    """
    solid = 1 - massecuite_air / 100
    return np.asarray(volume * sucrose_solution_density(brix, temperature) * solid / 1000)


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
    figure(
        _title,
        unit="t",
        decimals=1,
        formula="volume struck × density × (1 - air ÷ 100) ÷ 1000",
        source=DENSITY,
        station=STATION,
        kind="adds",
        name=_massecuite,
        inputs=(
            f"{_massecuite}_volume",
            *(f"{ENTERED}{_massecuite}_{prop}" for prop in ("brix", "temperature")),
            "massecuite_air",
        ),
    )(_tonnes)
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

_volume("remelt_volume", "Remelt", REMELT)


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
