"""The diffuser: its bagasse before dewatering, the press water of it, and its bed.

Draft is mixed juice: `mixed_juice_on_cane` and `mixed_juice_on_fibre`. The holdup of a diffuser
changes within a shift, so that only days balance.
"""

from app.chemistry import extraction as relation
from app.figures.bagasse import STATION
from app.figures.declare import Values, figure
from app.figures.seldom import seldom_juice, seldom_mean
from app.figures.sources import COMMON_PRACTICE, ISSCT, Source

BALANCE = Source("balance of fibre over the dewatering mills", COMMON_PRACTICE)

seldom_mean(
    ("diffuser_bed_temperature", "Diffuser bed temperature", "°C", 1), STATION,
    "Temperature of the bed behind the scalding zone; 75 to 85 °C is usual, and below 70 °C "
    "bacteria live in it (common practice). Hot juice scalds: local codes come first.",
)  # fmt: skip
seldom_mean(
    ("diffuser_bagasse_pol", "Diffuser bagasse, pol", "%", 2), STATION,
    "Pol of the bagasse that leaves the diffuser, before dewatering.",
)  # fmt: skip
seldom_mean(
    ("diffuser_bagasse_moisture", "Diffuser bagasse, moisture", "%", 2), STATION,
    "Moisture of the bagasse that leaves the diffuser; 80 to 84 is usual (common practice).",
)  # fmt: skip
seldom_juice(
    "press_water", "Press water", STATION,
    "Juice of the dewatering mills, which goes back to the diffuser.",
)  # fmt: skip


@figure(
    "Diffuser bagasse, fibre",
    unit="% bagasse",
    decimals=2,
    formula="100 - moisture - 100 × pol ÷ purity of press water",
    source=ISSCT,
    station=STATION,
)
def diffuser_bagasse_fibre(
    diffuser_bagasse_moisture: Values, diffuser_bagasse_pol: Values, press_water_purity: Values
) -> Values:
    """Fibre of the bagasse that leaves the diffuser, before dewatering.

    By the purity of press water, else of the juice left in final bagasse.
    """
    return relation.fibre_by_difference(
        diffuser_bagasse_moisture, diffuser_bagasse_pol, press_water_purity
    )


@diffuser_bagasse_fibre.otherwise(
    "100 - moisture - 100 × pol ÷ purity of the juice left in bagasse"
)
def _by_residual_juice(
    diffuser_bagasse_moisture: Values, diffuser_bagasse_pol: Values, residual_juice_purity: Values
) -> Values:
    return relation.fibre_by_difference(
        diffuser_bagasse_moisture, diffuser_bagasse_pol, residual_juice_purity
    )


@figure(
    "Extraction up to the diffuser",
    unit="% pol in cane",
    decimals=2,
    formula="100 - 100 × (pol % bagasse ÷ fibre % bagasse) × (fibre % cane ÷ pol % cane)",
    source=ISSCT,
    station=STATION,
)
def diffuser_extraction(
    diffuser_bagasse_pol: Values,
    diffuser_bagasse_fibre: Values,
    cane_pol: Values,
    cane_fibre: Values,
) -> Values:
    """Pol extracted before dewatering, from the bagasse that leaves the diffuser.

    What press water brings back is counted as not yet extracted.
    """
    return relation.extraction_to_bagasse(
        diffuser_bagasse_pol, diffuser_bagasse_fibre, cane_pol, cane_fibre
    )


@figure(
    "Press water % fibre",
    unit="% fibre",
    decimals=1,
    formula="100 × (100 ÷ fibre % diffuser bagasse - 100 ÷ fibre % bagasse)",
    source=BALANCE,
    station=STATION,
)
def press_water_on_fibre(diffuser_bagasse_fibre: Values, bagasse_fibre: Values) -> Values:
    """Press water per 100 of the fibre of bagasse; 330 to 450 is usual (common practice).

    It goes back to the diffuser and is no part of imbibition.
    """
    return relation.press_water(100.0, diffuser_bagasse_fibre, bagasse_fibre)


@figure(
    "Press water % cane",
    unit="% cane",
    decimals=2,
    formula="press water % fibre × fibre in bagasse ÷ cane",
    source=BALANCE,
    station=STATION,
)
def press_water_on_cane(
    press_water_on_fibre: Values, fibre_in_bagasse: Values, cane: Values
) -> Values:
    """Press water per 100 of cane."""
    return press_water_on_fibre * fibre_in_bagasse / cane
