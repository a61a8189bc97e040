"""The balance of true sucrose, where it is analysed by chromatography beside pol.

On sugar bagged and molasses weighed: stock in process is known by pol alone, and is not in it.
"""

from app.figures.declare import ENTERED, Values, figure
from app.figures.sources import COMMON, DEFINITION, READ, Source

STATION = "account"
TRUE_SUCROSE = Source("Schaffler and Smith, true sucrose versus pol, Proc SASTA 1978", READ)

# stream: its weight, and the figure that gives its pol
STREAMS = {
    "mixed_juice": ("net_mixed_juice", "pol_in_mixed_juice"),
    "bagasse": ("bagasse", "pol_in_bagasse"),
    "filter_cake": ("filter_cake", "pol_in_filter_cake"),
    "sugar": ("sugar", "pol_in_sugar_bagged"),
}


def _part(weight: Values, sucrose: Values) -> Values:
    """Tonnes of true sucrose, by chromatography."""
    return weight * sucrose / 100


def _on_pol(sucrose: Values, pol: Values) -> Values:
    """True sucrose per 100 of pol, of the material weighed.

    Fructose turns light the other way, so that pol reads low where it abounds: most of all in
    molasses. In one Natal season mixed juice held 0.8 to 2.8 % more sucrose than pol (read).
    """
    return 100 * sucrose / pol


for _stream, (_weight, _pol) in STREAMS.items():
    _words = _stream.replace("_", " ")
    figure(
        f"Sucrose in {_words}",
        unit="t",
        decimals=2,
        formula=f"{_weight.replace('_', ' ')} × sucrose ÷ 100",
        source=DEFINITION,
        station=STATION,
        kind="adds",
        name=f"sucrose_in_{_stream}",
        inputs=(_weight, f"{ENTERED}{_stream}_sucrose"),
    )(_part)

for _stream, _pol in {
    **{stream: pol for stream, (_, pol) in STREAMS.items()},
    "final_molasses": "pol_in_final_molasses_weighed",
}.items():
    _words = _stream.replace("_", " ")
    figure(
        f"Sucrose % pol in {_words}",
        unit="% pol",
        decimals=2,
        formula=f"100 × sucrose in {_words} ÷ {_pol.replace('_', ' ')}",
        source=TRUE_SUCROSE,
        station=STATION,
        name=f"{_stream}_sucrose_on_pol",
        inputs=(f"sucrose_in_{_stream}", _pol),
    )(_on_pol)


@figure(
    "Sucrose in cane",
    unit="t",
    decimals=2,
    formula="sucrose in mixed juice + sucrose in bagasse",
    source=DEFINITION,
    station=STATION,
)
def sucrose_in_cane(sucrose_in_mixed_juice: Values, sucrose_in_bagasse: Values) -> Values:
    """True sucrose of cane, from the two products of the mills."""
    return sucrose_in_mixed_juice + sucrose_in_bagasse


@figure(
    "Undetermined sucrose",
    unit="t",
    decimals=2,
    formula="sucrose in mixed juice - sucrose in sugar - sucrose in filter cake "
    "- sucrose in final molasses",
    source=TRUE_SUCROSE,
    station=STATION,
)
def undetermined_sucrose(
    sucrose_in_mixed_juice: Values,
    sucrose_in_sugar: Values,
    sucrose_in_filter_cake: Values,
    sucrose_in_final_molasses: Values,
) -> Values:
    """True sucrose that is not found again: destroyed, lost, or a fault of measuring.

    Where it is small and undetermined pol is not, the difference is optical. Bagged and weighed:
    over a short period the growth of stock is in it.
    """
    found = sucrose_in_sugar + sucrose_in_filter_cake + sucrose_in_final_molasses
    return sucrose_in_mixed_juice - found


@figure(
    "Undetermined loss of sucrose",
    unit="per 100 sucrose in cane",
    decimals=2,
    formula="100 × undetermined sucrose ÷ sucrose in cane",
    source=TRUE_SUCROSE,
    station=STATION,
)
def undetermined_sucrose_loss(undetermined_sucrose: Values, sucrose_in_cane: Values) -> Values:
    """Undetermined sucrose per 100 of true sucrose in cane."""
    return 100 * undetermined_sucrose / sucrose_in_cane


@figure(
    "Boiling house recovery of sucrose, sugar bagged",
    unit="% sucrose in mixed juice",
    decimals=2,
    formula="100 × sucrose in sugar ÷ sucrose in mixed juice",
    source=COMMON,
    station=STATION,
)
def sucrose_boiling_house_recovery(
    sucrose_in_sugar: Values, sucrose_in_mixed_juice: Values
) -> Values:
    """Recovery on true sucrose; lower than on pol by what sucrose exceeds pol in juice."""
    return 100 * sucrose_in_sugar / sucrose_in_mixed_juice


@figure(
    "Overall recovery of sucrose, sugar bagged",
    unit="% sucrose in cane",
    decimals=2,
    formula="100 × sucrose in sugar ÷ sucrose in cane",
    source=COMMON,
    station=STATION,
)
def sucrose_overall_recovery(sucrose_in_sugar: Values, sucrose_in_cane: Values) -> Values:
    """Sucrose of cane that was bagged; recoveries on sucrose and on pol cannot be compared."""
    return 100 * sucrose_in_sugar / sucrose_in_cane
