"""Stations and streams of a raw sugar factory, in the order that cane passes them."""

from dataclasses import dataclass

from app.plant import boiling_house, juice, milling, utilities
from app.plant.juice import MOST_EFFECTS
from app.plant.milling import MOST_MILLS

STATIONS = {
    "cane_receiving": "Cane receiving",
    "preparation": "Preparation",
    "milling": "Milling",
    "clarification": "Clarification",
    "evaporation": "Evaporation",
    "syrup_clarification": "Syrup clarification",
    "pans_and_crystallizers": "Pans and crystallizers",
    "centrifugals": "Centrifugals",
    "magma_and_remelt": "Magma and remelt",
    "drying_and_packing": "Drying and packing",
    "final_molasses": "Final molasses",
    "refinery": "Refinery",
    "time": "Time account",
    "boilers": "Boilers and power",
    "water": "Condensate and condenser water",
    "stock": "Stock in process",
}


@dataclass(frozen=True)
class Stream:
    """One material of the factory: its name, title and the station that samples it."""

    name: str
    title: str
    station: str


STREAMS = {
    name: Stream(name, title, station)
    for part in (milling, juice, boiling_house, utilities)
    for name, (title, station) in part.STREAMS.items()
}

TANDEM, DIFFUSER = "tandem", "diffuser"


@dataclass(frozen=True)
class Equipment:
    """What a mill has, on some day: a "tandem" of so many mills or a "diffuser", and parts."""

    extraction_plant: str
    mills: int
    effects: int = 4
    sulphitation: bool = False
    refinery: bool = False


def streams_in_use(equipment: Equipment) -> tuple[str, ...]:
    """Return the names of the streams of a mill with that equipment.

    The bagasse of the last mill is bagasse itself; a diffuser has press water instead of mills.
    """
    absent = {f"effect_{n}" for n in range(equipment.effects + 1, MOST_EFFECTS + 1)}
    if equipment.extraction_plant == DIFFUSER:
        every = range(1, MOST_MILLS)
        absent |= {f"mill_{n}_{kind}" for n in every for kind in ("bagasse", "juice")}
    else:
        absent |= {"diffuser_bed", "diffuser_bagasse", "press_water"}
        absent |= {
            f"mill_{n}_{k}"
            for n in range(equipment.mills, MOST_MILLS)
            for k in ("bagasse", "juice")
        }
    if not equipment.sulphitation:
        absent |= {"sulphited_juice", "sulphur"}
    return tuple(
        name
        for name, stream in STREAMS.items()
        if name not in absent and (equipment.refinery or stream.station != "refinery")
    )
