"""The cane that came to the mill, from its consignments: tonnes, quality and what it is worth.

Payment for cane follows the local agreement, with its own samples, constants and rounding; these
figures are no account of payment. They are made of the means of each shift: what juice and fibre of
single consignments vary together is not in them.
"""

from app.chemistry import cane_quality as relation
from app.figures.cane_quality import AUSTRALIA, SOUTH_AFRICA
from app.figures.conventions import Convention, convention
from app.figures.declare import Values, figure
from app.figures.seldom import seldom_mean
from app.figures.sources import COMMON, DEFINITION, FROM_MEMORY, READ, Source

STATION = "cane_receiving"
RECEIVED = "cane_received"
JAMAICA = Source("Sugar Industry Research Institute, Jamaica, core-sampling note", READ)
SAO_PAULO = Source("CONSECANA, São Paulo, manual of instructions", FROM_MEMORY)

FIRST_JUICE = "first expressed juice, Australia"
JAMAICAN_JUICE = "press juice, Jamaica"
SAO_PAULO_JUICE = "press juice, São Paulo"
UNPAID, BY_CCS, BY_RV, BY_JAMAICA = (
    "none", "commercial cane sugar", "recoverable value", "Jamaican recoverable sugar",
)  # fmt: skip

convention(
    Convention(
        "consignment_juice_of", "Juice of a consignment is", FIRST_JUICE, "", AUSTRALIA,
        "Decides how pol of cane follows from juice and fibre where the cane itself was not "
        "analysed. Each rule belongs to its own juice; brix of cane follows from first expressed "
        "juice alone.",
        choices=(FIRST_JUICE, JAMAICAN_JUICE, SAO_PAULO_JUICE),
    )
)  # fmt: skip
convention(
    Convention(
        "cane_paid_by", "Recoverable sugar of cane received, by the rule of", UNPAID, "", COMMON,
        "Payment follows the local agreement, its own samples, constants and rounding: this is no "
        "account of payment. Recoverable value is of true sucrose, so it asks that sucrose is "
        "accounted.",
        choices=(UNPAID, BY_CCS, BY_RV, BY_JAMAICA),
    )
)  # fmt: skip


@figure(
    "Cane received", unit="t", decimals=1, formula="as entered", source=DEFINITION,
    station=STATION, kind="adds",
)  # fmt: skip
def cane_received(entered_cane_received: Values) -> Values:
    """Cane weighed in, gross less tare, with the extraneous matter in it."""
    return entered_cane_received


@figure(
    "Cane in the yard", unit="t", decimals=0, formula="as entered", source=DEFINITION,
    station=STATION, kind="level",
)  # fmt: skip
def cane_in_yard(entered_cane_in_yard: Values) -> Values:
    """Cane that lay weighed and uncrushed at the end, as measured or estimated."""
    return entered_cane_in_yard


@figure(
    "Growth of cane in the yard", unit="t", decimals=0, formula="closing - opening",
    source=DEFINITION, station=STATION,
)  # fmt: skip
def cane_in_yard_growth(cane_in_yard: Values, opening_cane_in_yard: Values) -> Values:
    """How much more cane lies in the yard at the end; negative where it was drawn down."""
    return cane_in_yard - opening_cane_in_yard


@figure(
    "Cane received less growth of the yard, above cane crushed", unit="% cane", decimals=2,
    formula="100 × (cane received - growth of cane in the yard - cane crushed) ÷ cane crushed",
    source=DEFINITION, station=STATION,
)  # fmt: skip
def cane_received_difference(
    cane_received: Values, cane_in_yard_growth: Values, cane: Values
) -> Values:
    """What the weighbridge found above the scale at the carrier.

    Lasting, it is a scale, a tare, or cane that dried or was spilt; over a day it is mostly the
    estimate of the yard.
    """
    return 100 * (cane_received - cane_in_yard_growth - cane) / cane


seldom_mean(
    ("cane_received_fibre", "Fibre % cane received", "% cane", 2), STATION,
    "Fibre of consignments by their own analysis; 11 to 18 is usual (common practice).",
    by=RECEIVED,
)  # fmt: skip
seldom_mean(
    ("cane_received_extraneous_matter", "Extraneous matter % cane received", "% cane", 1), STATION,
    "Tops, trash, roots and soil of consignments; 2 to 12 is usual (common practice).", by=RECEIVED,
)  # fmt: skip
for _part in ("pol", "brix"):
    seldom_mean(
        (f"cane_received_{_part}_direct", f"{_part.capitalize()} % cane received, by direct "
         "analysis", "% cane", 2), STATION,
        "By analysis of the cane of a consignment itself.", of=f"cane_received_{_part}",
        by=RECEIVED,
    )  # fmt: skip
for _part, _unit in (("brix", "°Bx"), ("pol", "%")):
    seldom_mean(
        (f"consignment_juice_{_part}", f"Juice of consignments, {_part}", _unit, 2), STATION,
        "Of the juice of a consignment's sample.", by=RECEIVED,
    )  # fmt: skip
seldom_mean(
    ("consignment_juice_reducing_sugars", "Juice of consignments, reducing sugars", "%", 2),
    STATION,
    "They rise where cane is stale; 0.3 to 1.5 is usual (common practice).", by=RECEIVED,
)  # fmt: skip


@figure(
    "Juice of consignments, purity", unit="%", decimals=2, formula="100 × pol ÷ brix",
    source=DEFINITION, station=STATION,
)  # fmt: skip
def consignment_juice_purity(
    consignment_juice_pol: Values, consignment_juice_brix: Values
) -> Values:
    """Pol in 100 of brix of the juice of consignments."""
    return 100 * consignment_juice_pol / consignment_juice_brix


@figure(
    "Pol % cane received", unit="% cane", decimals=2, formula="by direct analysis",
    source=COMMON, station=STATION,
)  # fmt: skip
def cane_received_pol(cane_received_pol_direct: Values) -> Values:
    """Pol of the cane received: by direct analysis, else from the juice of consignments.

    From juice it is an inference, by the rule of one country for one kind of juice.
    """
    return cane_received_pol_direct


@cane_received_pol.otherwise(
    "pol % juice × (100 - (fibre % cane + 5)) ÷ 100",
    when={"consignment_juice_of": (FIRST_JUICE,)}, source=AUSTRALIA,
)  # fmt: skip
def _pol_from_first_juice(consignment_juice_pol: Values, cane_received_fibre: Values) -> Values:
    return relation.pol_in_cane_from_first_juice(consignment_juice_pol, cane_received_fibre)


@cane_received_pol.otherwise(
    "pol % juice × (1.02 - 0.0044 × fibre % cane) × (1 - fibre % cane ÷ 100)",
    when={"consignment_juice_of": (JAMAICAN_JUICE,)}, source=JAMAICA,
)  # fmt: skip
def _pol_from_jamaican_press(consignment_juice_pol: Values, cane_received_fibre: Values) -> Values:
    return relation.pol_in_cane_from_jamaican_press(consignment_juice_pol, cane_received_fibre)


@cane_received_pol.otherwise(
    "pol % juice × (1 - 0.01 × fibre % cane) × (1.0313 - 0.00575 × fibre % cane)",
    when={"consignment_juice_of": (SAO_PAULO_JUICE,)}, source=SAO_PAULO,
)  # fmt: skip
def _pol_from_sao_paulo_press(consignment_juice_pol: Values, cane_received_fibre: Values) -> Values:
    return relation.pol_in_cane_from_sao_paulo_press(consignment_juice_pol, cane_received_fibre)


@figure(
    "Brix % cane received", unit="% cane", decimals=2, formula="by direct analysis",
    source=COMMON, station=STATION,
)  # fmt: skip
def cane_received_brix(cane_received_brix_direct: Values) -> Values:
    """Brix of the cane received: by direct analysis, else from first expressed juice."""
    return cane_received_brix_direct


@cane_received_brix.otherwise(
    "brix of juice × (100 - (fibre % cane + 3)) ÷ 100",
    when={"consignment_juice_of": (FIRST_JUICE,)}, source=AUSTRALIA,
)  # fmt: skip
def _brix_from_first_juice(consignment_juice_brix: Values, cane_received_fibre: Values) -> Values:
    return relation.brix_in_cane_from_first_juice(consignment_juice_brix, cane_received_fibre)


@figure(
    "Pol % cane by the account, above pol % cane received", unit="% cane", decimals=2,
    formula="pol % cane - pol % cane received", source=DEFINITION, station=STATION,
)  # fmt: skip
def cane_received_pol_difference(cane_pol: Values, cane_received_pol: Values) -> Values:
    """What the account finds in cane above the samples of consignments.

    Below zero: samples richer than the cane, cane that grew stale in the yard, or pol lost before
    the juice scale.
    """
    return cane_pol - cane_received_pol


@figure(
    "Recoverable sugar % cane received", unit="% cane", decimals=2,
    formula="pol % cane - (brix % cane - pol % cane) ÷ 2, commercial cane sugar",
    source=AUSTRALIA, station=STATION, when={"cane_paid_by": (BY_CCS,)},
)  # fmt: skip
def cane_received_recoverable(cane_received_pol: Values, cane_received_brix: Values) -> Values:
    """Sugar that the cane received is worth, by the rule in force.

    Payment follows the local agreement, its own samples, constants and rounding.
    """
    return relation.commercial_cane_sugar_of_cane(cane_received_pol, cane_received_brix)


@cane_received_recoverable.otherwise(
    "sucrose % cane - d × non-sucrose % cane - c × fibre % cane, recoverable value",
    when={"cane_paid_by": (BY_RV,), "pol_basis": ("sucrose",)}, source=SOUTH_AFRICA,
)  # fmt: skip
def _recoverable_value(
    cane_received_pol: Values,
    cane_received_brix: Values,
    cane_received_fibre: Values,
    recoverable_value_d: Values,
    recoverable_value_c: Values,
) -> Values:
    return relation.recoverable_value(
        cane_received_pol, cane_received_brix, cane_received_fibre,
        recoverable_value_d, recoverable_value_c,
    )  # fmt: skip


@cane_received_recoverable.otherwise(
    "1.03 × pol % cane × (1 - 0.4 × fibre % cane ÷ 100) × (1.4 - 40 ÷ purity of juice), "
    "Jamaican recoverable sugar, pol of cane from press juice",
    when={"cane_paid_by": (BY_JAMAICA,), "consignment_juice_of": (JAMAICAN_JUICE,)},
    source=JAMAICA,
)  # fmt: skip
def _jamaican_recoverable(
    consignment_juice_pol: Values, consignment_juice_purity: Values, cane_received_fibre: Values
) -> Values:
    return relation.jamaican_recoverable_sugar(
        consignment_juice_pol, consignment_juice_purity, cane_received_fibre
    )


@figure(
    "Recoverable sugar in cane received", unit="t", decimals=1,
    formula="cane received × recoverable sugar % cane received ÷ 100", source=DEFINITION,
    station=STATION,
)  # fmt: skip
def recoverable_in_cane_received(
    cane_received: Values, cane_received_recoverable: Values
) -> Values:
    """Tonnes of sugar that the cane received is worth, by the rule in force; no payment."""
    return cane_received * cane_received_recoverable / 100
