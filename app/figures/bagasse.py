"""What leaves the tandem in bagasse, and the solids that leave in juice."""

from app.chemistry import extraction as relation
from app.figures.declare import Values, figure
from app.figures.seldom import seldom_mean
from app.figures.sources import DEFINITION, HUGOT, ISSCT

LEFT = {"suspended_solids": ("left in juice",)}
AS_FIBRE = {"suspended_solids": ("counted as fibre",)}
STATION = "milling"


@figure(
    "Suspended solids in mixed juice",
    unit="t",
    decimals=2,
    formula="mixed juice × suspended solids ÷ 100",
    source=DEFINITION,
    station=STATION,
    kind="adds",
)
def suspended_solids_in_mixed_juice(
    mixed_juice: Values, entered_mixed_juice_suspended_solids: Values
) -> Values:
    """Tonnes of insoluble solids, fibre and soil, that leave the tandem in mixed juice."""
    return mixed_juice * entered_mixed_juice_suspended_solids / 100


@figure(
    "Suspended solids % mixed juice",
    unit="%",
    decimals=2,
    formula="100 × suspended solids in mixed juice ÷ mixed juice",
    source=DEFINITION,
    station=STATION,
)
def mixed_juice_suspended_solids(
    suspended_solids_in_mixed_juice: Values, mixed_juice: Values
) -> Values:
    """Insoluble solids of mixed juice: fibre, and soil that is counted with it.

    0.2 to 0.9 is usual of mills, 0.05 to 0.2 of diffusers (common practice).
    """
    return 100 * suspended_solids_in_mixed_juice / mixed_juice


@mixed_juice_suspended_solids.otherwise("as entered")
def _solids_as_entered(entered_mixed_juice_suspended_solids: Values) -> Values:
    return entered_mixed_juice_suspended_solids


@figure(
    "Net mixed juice",
    unit="t",
    decimals=1,
    formula="mixed juice",
    source=ISSCT,
    station=STATION,
    kind="adds",
    when=LEFT,
)
def net_mixed_juice(mixed_juice: Values) -> Values:
    """Mixed juice as it is accounted: gross, or less its suspended solids where they are fibre."""
    return mixed_juice


@net_mixed_juice.otherwise("mixed juice - suspended solids in it", when=AS_FIBRE)
def _without_solids(mixed_juice: Values, suspended_solids_in_mixed_juice: Values) -> Values:
    return mixed_juice - suspended_solids_in_mixed_juice


@figure(
    "Purity of the juice left in bagasse",
    unit="%",
    decimals=2,
    formula="purity of last expressed juice",
    source=ISSCT,
    station=STATION,
    when={"residual_juice": ("last expressed juice",)},
)
def residual_juice_purity(last_expressed_juice_purity: Values) -> Values:
    """Purity by which the pol of bagasse is turned into its brix: five points move fibre by 0.2."""
    return last_expressed_juice_purity


@residual_juice_purity.otherwise("fixed", when={"residual_juice": ("fixed",)})
def _fixed(residual_juice_fixed_purity: Values) -> Values:
    return residual_juice_fixed_purity


@figure(
    "Water in bagasse",
    unit="t",
    decimals=1,
    formula="bagasse × moisture ÷ 100",
    source=DEFINITION,
    station=STATION,
    kind="adds",
)
def water_in_bagasse(bagasse: Values, entered_bagasse_moisture: Values) -> Values:
    """Tonnes of water leaving the tandem in bagasse."""
    return bagasse * entered_bagasse_moisture / 100


@figure(
    "Pol in bagasse",
    unit="t",
    decimals=2,
    formula="bagasse × pol ÷ 100",
    source=DEFINITION,
    station=STATION,
    kind="adds",
)
def pol_in_bagasse(bagasse: Values, entered_bagasse_pol: Values) -> Values:
    """Tonnes of pol leaving the tandem in bagasse."""
    return bagasse * entered_bagasse_pol / 100


@figure(
    "Brix in bagasse",
    unit="t",
    decimals=2,
    formula="bagasse × brix ÷ 100",
    source=ISSCT,
    station=STATION,
    kind="adds",
)
def brix_in_bagasse(bagasse: Values, entered_bagasse_brix: Values) -> Values:
    """Tonnes of dissolved solids leaving the tandem in bagasse: as measured, else from its pol."""
    return bagasse * entered_bagasse_brix / 100


@brix_in_bagasse.otherwise("100 × pol in bagasse ÷ purity of the juice left in it")
def _brix_from_pol(pol_in_bagasse: Values, residual_juice_purity: Values) -> Values:
    return relation.dissolved_solids_from_pol(pol_in_bagasse, residual_juice_purity)


@figure(
    "Fibre in bagasse",
    unit="t",
    decimals=1,
    formula="bagasse - water - brix in it",
    source=ISSCT,
    station=STATION,
    kind="adds",
)
def fibre_in_bagasse(bagasse: Values, water_in_bagasse: Values, brix_in_bagasse: Values) -> Values:
    """Tonnes of fibre in bagasse: what is neither water nor dissolved solids."""
    return bagasse - water_in_bagasse - brix_in_bagasse


@figure(
    "Fibre % bagasse",
    unit="% bagasse",
    decimals=2,
    formula="100 × fibre in bagasse ÷ bagasse",
    source=ISSCT,
    station=STATION,
)
def bagasse_fibre(fibre_in_bagasse: Values, bagasse: Values) -> Values:
    """Fibre of bagasse: 100 less moisture less brix. 45 to 50 is usual (common practice).

    Brix is as measured, else 100 pol ÷ purity of the juice left in bagasse.
    """
    return 100 * fibre_in_bagasse / bagasse


@bagasse_fibre.otherwise("100 - moisture - brix, of a sample")
def _fibre_by_measured_brix(
    entered_bagasse_moisture: Values, entered_bagasse_brix: Values
) -> Values:
    return 100 - entered_bagasse_moisture - entered_bagasse_brix


@bagasse_fibre.otherwise("100 - moisture - 100 × pol ÷ purity of the juice left in it")
def _fibre_of_a_sample(
    entered_bagasse_moisture: Values, entered_bagasse_pol: Values, residual_juice_purity: Values
) -> Values:
    return relation.fibre_by_difference(
        entered_bagasse_moisture, entered_bagasse_pol, residual_juice_purity
    )


@figure(
    "Milling loss",
    unit="% fibre",
    decimals=2,
    formula="100 × pol in bagasse ÷ fibre in bagasse",
    source=HUGOT,
    station=STATION,
)
def milling_loss(pol_in_bagasse: Values, fibre_in_bagasse: Values) -> Values:
    """Pol in bagasse per 100 of its fibre; 2.5 to 5 is usual (common practice)."""
    return 100 * pol_in_bagasse / fibre_in_bagasse


@milling_loss.otherwise("100 × pol ÷ fibre of bagasse")
def _milling_loss_of_a_sample(entered_bagasse_pol: Values, bagasse_fibre: Values) -> Values:
    return 100 * entered_bagasse_pol / bagasse_fibre


@figure(
    "Bagasse % cane",
    unit="% cane",
    decimals=2,
    formula="100 × bagasse ÷ cane",
    source=DEFINITION,
    station=STATION,
)
def bagasse_on_cane(bagasse: Values, cane: Values) -> Values:
    """Bagasse per 100 of cane; 25 to 33 is usual (common practice)."""
    return 100 * bagasse / cane


@figure(
    "Pol in bagasse % cane",
    unit="% cane",
    decimals=2,
    formula="100 × pol in bagasse ÷ cane",
    source=DEFINITION,
    station=STATION,
)
def pol_in_bagasse_on_cane(pol_in_bagasse: Values, cane: Values) -> Values:
    """Pol lost in bagasse per 100 of cane; 0.35 to 0.75 is usual (common practice)."""
    return 100 * pol_in_bagasse / cane


@figure(
    "Pol % bagasse",
    unit="%",
    decimals=2,
    formula="100 × pol in bagasse ÷ bagasse",
    source=DEFINITION,
    station=STATION,
)
def bagasse_pol(pol_in_bagasse: Values, bagasse: Values) -> Values:
    """Pol of final bagasse; 1.2 to 2.6 is usual (common practice)."""
    return 100 * pol_in_bagasse / bagasse


@bagasse_pol.otherwise("as entered")
def _pol_as_entered(entered_bagasse_pol: Values) -> Values:
    return entered_bagasse_pol


@figure(
    "Moisture % bagasse",
    unit="%",
    decimals=2,
    formula="100 × water in bagasse ÷ bagasse",
    source=DEFINITION,
    station=STATION,
)
def bagasse_moisture(water_in_bagasse: Values, bagasse: Values) -> Values:
    """Moisture of final bagasse; 48 to 52 is usual (common practice)."""
    return 100 * water_in_bagasse / bagasse


@bagasse_moisture.otherwise("as entered")
def _moisture_as_entered(entered_bagasse_moisture: Values) -> Values:
    return entered_bagasse_moisture


seldom_mean(
    ("bagasse_ash", "Ash % bagasse", "%", 2), STATION,
    "Ash of final bagasse, mostly soil; 1.5 to 4 is usual (common practice). It is in its fibre.",
    by="bagasse",
)  # fmt: skip


@figure(
    "Suspended solids % fibre",
    unit="% fibre",
    decimals=2,
    formula="100 × suspended solids in mixed juice ÷ (fibre in bagasse + suspended solids)",
    source=ISSCT,
    station=STATION,
)
def suspended_solids_on_fibre(
    suspended_solids_in_mixed_juice: Values, fibre_in_bagasse: Values
) -> Values:
    """Solids of mixed juice, taken as fibre, per 100 of all fibre of the cane.

    0.6 % of solids on 104 of juice adds 0.62 to fibre % cane where they are counted.
    """
    fibre = fibre_in_bagasse + suspended_solids_in_mixed_juice
    return 100 * suspended_solids_in_mixed_juice / fibre
