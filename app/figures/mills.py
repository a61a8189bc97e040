"""Mill by mill: the bagasse and juice of each mill of the tandem, and what each mill extracts.

The bagasse of the last mill is bagasse itself. A test of the mills is on few sheets; cane is that
of the period.
"""

import numpy as np

from app.chemistry import extraction as relation
from app.figures.bagasse import STATION
from app.figures.conventions import Convention, convention
from app.figures.declare import Values, figure
from app.figures.seldom import seldom_juice, seldom_mean
from app.figures.sources import COMMON, ISSCT, Source

MOST_MILLS = 7
BALANCE = Source("balance of each mill from the last, compound imbibition", "common practice")

convention(
    Convention(
        "tandem_mills",
        "Mills of the tandem",
        "5",
        "",
        COMMON,
        "Tells which mill stands before the last, whose bagasse is final bagasse.",
        choices=tuple(str(n) for n in range(2, MOST_MILLS + 1)),
    )
)

# pol extracted up to the bagasse of each mill but the last
UP_TO = {
    n: "primary_extraction" if n == 1 else f"mill_{n}_extraction" for n in range(1, MOST_MILLS)
}


def _fibre(moisture: Values, pol: Values, purity: Values) -> Values:
    """What is neither moisture nor dissolved solids.

    Solids follow from pol and the purity of that mill's own juice, or where it was not analysed
    that of the juice left in final bagasse, which is lower: fibre of early mills then reads up to
    1 low.
    """
    return relation.fibre_by_difference(moisture, pol, purity)


def _up_to(pol: Values, fibre: Values, cane_pol: Values, cane_fibre: Values) -> Values:
    """Pol extracted by this mill and those before it, % of the pol in cane.

    From its bagasse, with fibre and pol of the cane of the period. Exact where no fibre leaves with
    juice; a tandem's curve rises smoothly and flattens.
    """
    return relation.extraction_to_bagasse(pol, fibre, cane_pol, cane_fibre)


def _net(before: Values, after: Values) -> Values:
    """Pol that this mill took, % of the pol that the mill before it left in bagasse.

    Net: juice that goes back is not counted. 45 to 60 of the second mill, 30 to 55 of later ones
    (common practice). What the mills leave multiplies to what the tandem leaves.
    """
    return relation.net_individual_extraction(_in_order(before, after), axis=0)[1]


def _true(before: Values, after: Values, tandem: Values) -> Values:
    """Pol that this mill took, % of the pol that entered it with bagasse and with juice.

    In compound imbibition a mill is fed the juice of the mill after it; the juices of the first two
    are mixed juice. Of the first mill and of the last, fed no juice, it is the net extraction.
    """
    curve = _in_order(before, after, tandem)
    return relation.true_individual_extraction(curve, axis=0, mixed_juice_mills=1)[1]


def _in_order(*extractions: Values) -> Values:
    return np.stack(np.broadcast_arrays(*extractions))


for _n, _extraction in UP_TO.items():
    _bagasse, _juice, _title = f"mill_{_n}_bagasse", f"mill_{_n}_juice", f"Mill {_n}"
    seldom_mean(
        (f"{_bagasse}_pol", f"{_title}, pol % bagasse", "%", 2), STATION,
        "Pol of the bagasse that leaves this mill.",
    )  # fmt: skip
    seldom_mean(
        (f"{_bagasse}_moisture", f"{_title}, moisture % bagasse", "%", 2), STATION,
        "Moisture of the bagasse that leaves this mill: usually 60 to 65 of the first, 55 to 58, "
        "52 to 54 and 48 to 51 of the last (common practice).",
    )  # fmt: skip
    seldom_juice(
        _juice, f"{_title} juice", STATION,
        "Juice of this mill. Along the tandem its brix falls in a smooth curve; a step shows poor "
        "mixing of juice, or reabsorption.",
    )  # fmt: skip
    figure(
        f"{_title}, fibre % bagasse",
        unit="% bagasse",
        decimals=2,
        formula="100 - moisture - 100 × pol ÷ purity of the juice of this mill",
        source=ISSCT,
        station=STATION,
        name=f"{_bagasse}_fibre",
        inputs=(f"{_bagasse}_moisture", f"{_bagasse}_pol", f"{_juice}_purity"),
    )(_fibre).otherwise(
        "100 - moisture - 100 × pol ÷ purity of the juice left in bagasse",
        inputs=(f"{_bagasse}_moisture", f"{_bagasse}_pol", "residual_juice_purity"),
    )(_fibre)
    figure(
        "Primary extraction" if _n == 1 else f"Extraction up to mill {_n}",
        unit="% pol in cane",
        decimals=2,
        formula="100 - 100 × (pol % bagasse ÷ fibre % bagasse) × (fibre % cane ÷ pol % cane)",
        source=ISSCT,
        station=STATION,
        name=_extraction,
        inputs=(f"{_bagasse}_pol", f"{_bagasse}_fibre", "cane_pol", "cane_fibre"),
    )(_up_to)

for _n in range(2, MOST_MILLS):
    figure(
        f"Mill {_n}, net extraction",
        unit="% pol before it",
        decimals=2,
        formula="100 × (E - D) ÷ (100 - D), extraction up to this mill E, up to the one before D",
        source=COMMON,
        station=STATION,
        name=f"mill_{_n}_net_extraction",
        inputs=(UP_TO[_n - 1], UP_TO[_n]),
    )(_net)
    figure(
        f"Mill {_n}, true extraction",
        unit="% pol entering",
        decimals=2,
        formula="100 × (T - D) ÷ (100 - D + T - E), extraction up to this mill E, up to the one "
        "before D, and of the tandem T",
        source=BALANCE,
        station=STATION,
        name=f"mill_{_n}_true_extraction",
        inputs=(UP_TO[_n - 1], UP_TO[_n], "pol_extraction"),
    )(_true)

_last = figure(
    "Last mill, net extraction",
    unit="% pol before it",
    decimals=2,
    formula="100 × (E - D) ÷ (100 - D), pol extraction E and extraction up to mill 1 D",
    source=COMMON,
    station=STATION,
    name="last_mill_extraction",
    inputs=(UP_TO[1], "pol_extraction"),
    when={"tandem_mills": ("2",)},
)(_net)
for _n in range(2, MOST_MILLS):
    _last.otherwise(
        f"100 × (E - D) ÷ (100 - D), pol extraction E and extraction up to mill {_n} D",
        inputs=(UP_TO[_n], "pol_extraction"),
        when={"tandem_mills": (str(_n + 1),)},
    )(_net)
