"""Weights and hours as they were entered, and those that may follow from others.

Only one of mixed juice and bagasse may follow by difference: it asks for the other as weighed.
"""

import numpy as np

from app.chemistry.extraction import fibre_by_difference
from app.figures.conventions import Convention, convention
from app.figures.declare import ENTERED, FIGURES, Values, figure
from app.figures.sources import COMMON, DEFINITION, ISSCT

WEIGHED = {
    "cane": ("Cane crushed", "cane_receiving", "t", 1),
    "imbibition": ("Imbibition water", "milling", "t", 1),
    "filter_cake": ("Filter cake", "clarification", "t", 1),
    "sugar": ("Sugar bagged", "drying_and_packing", "t", 1),
    "final_molasses": ("Final molasses weighed", "final_molasses", "t", 1),
    "steam": ("Steam raised", "boilers", "t", 1),
    "power": ("Power generated", "boilers", "MWh", 1),
    "crushing_hours": ("Hours crushing", "milling", "h", 2),
    "gross_hours": ("Hours in the period", "milling", "h", 2),
}


def _as_entered(entered: Values) -> Values:
    """What the scales, meters and clocks gave on each shift, summed."""
    return entered


for _name, (_title, _station, _unit, _decimals) in WEIGHED.items():
    figure(
        _title,
        unit=_unit,
        decimals=_decimals,
        formula="as entered",
        source=DEFINITION,
        station=_station,
        kind="adds",
        name=_name,
        inputs=(ENTERED + _name,),
    )(_as_entered)

convention(
    Convention(
        "cane_weight", "Cane crushed, where it is not weighed", "is missing", "", COMMON,
        "Where a mill crushes cane as it is weighed in, with no yard between, cane received may "
        "stand for it. A weight of cane crushed that is entered stands before it.",
        choices=("is missing", "is cane received"),
    )
)  # fmt: skip
convention(
    Convention(
        "crushing_hours_untold", "Hours crushing, where they are not entered", "are missing", "",
        COMMON,
        "Where a mill keeps a book of stops, they may be the hours of the shift less the hours "
        "stopped. Hours that are entered stand before them.",
        choices=("are missing", "are those of the shift less its stops"),
    )
)  # fmt: skip


@FIGURES["cane"].otherwise("cane received", when={"cane_weight": ("is cane received",)})
def _cane_as_received(entered_cane_received: Values) -> Values:
    return entered_cane_received


@FIGURES["crushing_hours"].otherwise(
    "hours of the shift - hours of stops of every cause",
    when={"crushing_hours_untold": ("are those of the shift less its stops",)},
)
def _hours_less_stops(gross_hours: Values, entered_stopped_hours: Values) -> Values:
    return gross_hours - entered_stopped_hours


@figure(
    "Lime weighed",
    unit="t",
    decimals=3,
    formula="as entered",
    source=DEFINITION,
    station="clarification",
    kind="adds",
)
def lime(entered_lime: Values) -> Values:
    """Lime as weighed on each shift, summed: as CaO that can act or as bought, by the convention.

    Quicklime burns skin and eyes and boils with water: local codes and licensed practice rule.
    """
    return entered_lime


FROM_FIBRE = ("from fibre of cane",)
BOTH_BY_DIFFERENCE = {
    "mixed_juice_weight": ("by difference",),
    "bagasse_weight": ("by difference",),
}
NEITHER_WEIGHED = "none, as mixed juice and bagasse cannot both follow by difference"


@figure(
    "Mixed juice",
    unit="t",
    decimals=1,
    formula="as weighed",
    source=DEFINITION,
    station="milling",
    kind="adds",
    when={"mixed_juice_weight": ("weighed",)},
)
def mixed_juice(entered_mixed_juice: Values) -> Values:
    """Mixed (draft) juice sent to process: weighed, or by difference where the mill so chose.

    By difference it stands on bagasse as weighed, and has no value where that is by difference too.
    """
    return entered_mixed_juice


@mixed_juice.otherwise(
    "cane + imbibition - bagasse weighed",
    when={
        "mixed_juice_weight": ("by difference",),
        "bagasse_weight": ("weighed", "weighed, else by difference"),
    },
)
def _mixed_juice_by_difference(cane: Values, imbibition: Values, entered_bagasse: Values) -> Values:
    return cane + imbibition - entered_bagasse


def _none(cane: Values) -> Values:
    return np.nan * cane


mixed_juice.otherwise(NEITHER_WEIGHED, when=BOTH_BY_DIFFERENCE)(_none)


@figure(
    "Bagasse",
    unit="t",
    decimals=1,
    formula="as weighed",
    source=ISSCT,
    station="milling",
    kind="adds",
    when={"bagasse_weight": ("weighed", "weighed, else by difference")},
)
def bagasse(entered_bagasse: Values) -> Values:
    """Final bagasse: weighed, or cane + imbibition - mixed juice, where every error lands in it.

    By difference it stands on mixed juice as weighed, and has no value where that is by difference.
    """
    return entered_bagasse


@bagasse.otherwise(
    "cane + imbibition - mixed juice weighed",
    when={
        "bagasse_weight": ("by difference", "weighed, else by difference"),
        "mixed_juice_weight": ("weighed",),
    },
)
def _bagasse_by_difference(cane: Values, imbibition: Values, entered_mixed_juice: Values) -> Values:
    return cane + imbibition - entered_mixed_juice


bagasse.otherwise(NEITHER_WEIGHED, when=BOTH_BY_DIFFERENCE)(_none)


@bagasse.otherwise(
    "100 × fibre of cane ÷ (100 - moisture - 100 × pol ÷ purity of the juice left in it), "
    "fibre of cane in tonnes by direct analysis",
    when={"bagasse_weight": FROM_FIBRE, "suspended_solids": ("left in juice",)},
)
def _bagasse_from_fibre(
    cane: Values,
    entered_cane_fibre: Values,
    entered_bagasse_moisture: Values,
    entered_bagasse_pol: Values,
    residual_juice_purity: Values,
) -> Values:
    fibre = fibre_by_difference(
        entered_bagasse_moisture, entered_bagasse_pol, residual_juice_purity
    )
    return cane * entered_cane_fibre / fibre


@bagasse.otherwise(
    "100 × (fibre of cane - suspended solids in mixed juice) ÷ (100 - moisture - 100 × pol ÷ "
    "purity of the juice left in it), fibre of cane in tonnes by direct analysis",
    when={"bagasse_weight": FROM_FIBRE, "suspended_solids": ("counted as fibre",)},
)
def _bagasse_from_fibre_less_solids(
    cane: Values,
    entered_cane_fibre: Values,
    suspended_solids_in_mixed_juice: Values,
    entered_bagasse_moisture: Values,
    entered_bagasse_pol: Values,
    residual_juice_purity: Values,
) -> Values:
    fibre = fibre_by_difference(
        entered_bagasse_moisture, entered_bagasse_pol, residual_juice_purity
    )
    return (cane * entered_cane_fibre - 100 * suspended_solids_in_mixed_juice) / fibre
