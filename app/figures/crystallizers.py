"""Mother liquor by pressure filter, cooling of C massecuite, and the magmas and remelt."""

from app.figures.declare import Values, figure
from app.figures.means import mean
from app.figures.seldom import seldom_mean
from app.figures.sources import COMMON

STATION = "pans_and_crystallizers"
MAGMA = "magma_and_remelt"
FILTERED = "Purity of what a pressure filter (Nutsch) lets through of"
CARE = (
    "A hot mesh passes fine grain and reads high. Hot massecuite under pressure scalds: local "
    "codes and licensed practice rule."
)
# the molasses whose purity rises above that of the mother liquor, and the usual rise
RISES = {
    "a": ("a_molasses", ""),
    "b": ("b_molasses", ""),
    "c": ("final_molasses", " 1 to 3 units are usual (common practice)."),
}

for _name, _title, _of in (
    ("a_mother_liquor", "A mother liquor", "A massecuite as it is cured."),
    ("b_mother_liquor", "B mother liquor", "B massecuite as it is cured."),
    ("c_mother_liquor_at_strike", "C mother liquor at strike", "C massecuite as it is dropped."),
    ("c_mother_liquor", "C mother liquor", "C massecuite as it is cured."),
):
    seldom_mean(
        (f"{_name}_purity", f"{_title} purity", "%", 2), STATION, f"{FILTERED} {_of} {CARE}"
    )


def _rise(molasses: Values, mother_liquor: Values) -> Values:
    return molasses - mother_liquor


for _grade, (_molasses, _usual) in RISES.items():

    def _rise_of_grade(molasses: Values, mother_liquor: Values) -> Values:
        return _rise(molasses, mother_liquor)

    _rise_of_grade.__doc__ = (
        "Molasses purity less that of the mother liquor of the same massecuite: what wash water, "
        f"steam and broken screens put back into molasses.{_usual}"
    )
    figure(
        f"Purity rise at the {_grade.upper()} centrifugals",
        unit="units",
        decimals=1,
        formula="molasses purity - mother liquor purity",
        source=COMMON,
        station="centrifugals",
        name=f"{_grade}_centrifugal_purity_rise",
        inputs=(f"{_molasses}_purity", f"{_grade}_mother_liquor_purity"),
    )(_rise_of_grade)


@figure(
    "Purity drop in the C crystallizers",
    unit="units",
    decimals=1,
    formula="mother liquor purity at strike - mother liquor purity as cured",
    source=COMMON,
    station=STATION,
)
def c_crystallizer_purity_drop(
    c_mother_liquor_at_strike_purity: Values, c_mother_liquor_purity: Values
) -> Values:
    """What cooling takes out of the mother liquor of C massecuite; 2 to 6 units are usual.

    The range is common practice.
    """
    return c_mother_liquor_at_strike_purity - c_mother_liquor_purity


seldom_mean(
    ("c_massecuite_cooled_temperature", "C massecuite temperature, cooled", "°C", 1), STATION,
    "Temperature of C massecuite leaving the crystallizers; 40 to 45 °C is usual (common "
    "practice). Hot massecuite scalds: local codes and licensed practice rule.",
)  # fmt: skip
seldom_mean(
    ("c_massecuite_reheated_temperature", "C massecuite temperature, reheated", "°C", 1), STATION,
    "Temperature of C massecuite to the centrifugals; 52 to 56 °C is usual (common practice). "
    "Above the saturation temperature grain melts. Hot massecuite scalds: local codes and licensed "
    "practice rule.",
)  # fmt: skip


@figure(
    "Cooling of C massecuite",
    unit="K",
    decimals=1,
    formula="temperature at strike - temperature cooled to",
    source=COMMON,
    station=STATION,
)
def c_massecuite_cooling(
    c_massecuite_temperature: Values, c_massecuite_cooled_temperature: Values
) -> Values:
    """How far the crystallizers cool C massecuite, between two means of the period."""
    return c_massecuite_temperature - c_massecuite_cooled_temperature


@figure(
    "Reheating of C massecuite",
    unit="K",
    decimals=1,
    formula="temperature reheated to - temperature cooled to",
    source=COMMON,
    station=STATION,
)
def c_massecuite_reheating(
    c_massecuite_reheated_temperature: Values, c_massecuite_cooled_temperature: Values
) -> Values:
    """How far C massecuite is reheated before the centrifugals, between two means of the period."""
    return c_massecuite_reheated_temperature - c_massecuite_cooled_temperature


for _stream, _title, _station in (
    ("a_molasses", "A molasses", "centrifugals"),
    ("b_molasses", "B molasses", "centrifugals"),
    ("b_magma", "B magma", MAGMA),
    ("c_magma", "C magma", MAGMA),
    ("remelt", "Remelt", MAGMA),
):
    mean(
        (f"{_stream}_brix", f"{_title} brix", "°Bx", 2), _station,
        f"Brix of {_title}. Hot material scalds: local codes and licensed practice rule.",
        carried=f"{_stream}_brix_carried",
    )  # fmt: skip
seldom_mean(
    ("remelt_temperature", "Remelt temperature", "°C", 1), MAGMA,
    "Temperature of remelt, for its density. Hot remelt scalds: local codes and licensed practice "
    "rule.",
)  # fmt: skip
