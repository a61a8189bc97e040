"""Brix, pol and purity of every stream of juice, syrup, massecuite and molasses.

Weighed streams carry tonnes of brix and pol. A stream that nobody weighs is carried by the cane
crushed while it was sampled, so that a period's purity is still one sum over another. Massecuite is
carried by the volume struck, where it was measured.
"""

from typing import Any

import numpy as np

from app.figures.declare import ENTERED, Values, figure
from app.figures.sources import COMMON, DEFINITION

CARE = (
    "Lead salts that clear it for the polarimeter are poison, and hot samples scald: local codes "
    "and licensed practice rule."
)

# stream: (title, station, the weight that carries it, suffix of its tonnes)
WEIGHED = {
    "mixed_juice": ("Mixed juice", "milling", "net_mixed_juice", ""),
    "final_molasses": ("Final molasses", "final_molasses", "final_molasses", "_weighed"),
}

CARRIED = {
    "first_expressed_juice": ("First expressed juice", "milling"),
    "last_expressed_juice": ("Last expressed juice", "milling"),
    "clear_juice": ("Clear juice", "clarification"),
    "filtrate": ("Filtrate", "clarification"),
    "syrup": ("Syrup", "evaporation"),
    "clarified_syrup": ("Clarified syrup", "syrup_clarification"),
    "a_massecuite": ("A massecuite", "pans_and_crystallizers"),
    "b_massecuite": ("B massecuite", "pans_and_crystallizers"),
    "c_massecuite": ("C massecuite", "pans_and_crystallizers"),
    "a_molasses": ("A molasses", "centrifugals"),
    "b_molasses": ("B molasses", "centrifugals"),
    "b_magma": ("B magma", "magma_and_remelt"),
    "c_magma": ("C magma", "magma_and_remelt"),
    "remelt": ("Remelt", "magma_and_remelt"),
}

USUAL = {
    "mixed_juice": "79 to 88",
    "last_expressed_juice": "66 to 78",
    "clear_juice": "80 to 89",
    "a_massecuite": "82 to 88",
    "b_massecuite": "70 to 76",
    "c_massecuite": "54 to 61",
    "a_molasses": "64 to 72",
    "b_molasses": "46 to 54",
    "b_magma": "91 to 95",
    "c_magma": "79 to 86",
    "final_molasses": "32 to 40",
}

STRUCK = ("a_massecuite", "b_massecuite", "c_massecuite")


def _part(weight: Values, percent: Values) -> Values:
    """That part of the weight, by one of its analyses."""
    return weight * percent / 100


def _part_of_part(weight: Values, brix: Values, purity: Values) -> Values:
    return weight * brix * purity / 10000


def _brix_from_pol(weight: Values, pol: Values, purity: Values) -> Values:
    return weight * pol / purity


def _struck(volume: Values, *analyses: Values) -> Values:
    """Volume struck times its analyses in hundredths; where nothing was struck, nothing."""
    found = volume
    for percent in analyses:
        found = found * percent / 100
    return np.where(volume == 0, 0.0, found)


def _purity_struck(volume: Values, pol: Values, brix: Values) -> Values:
    """The purity of each strike, carried by its volume; where nothing was struck, nothing."""
    return np.where(volume == 0, 0.0, volume * pol / brix)


def _brix_struck_from_pol(volume: Values, pol: Values, purity: Values) -> Values:
    return np.where(volume == 0, 0.0, volume * pol / purity)


def _ratio(part: Values, whole: Values) -> Values:
    return 100 * part / whole


def _weighted_ratio(weight: Values, part: Values, whole: Values) -> Values:
    """The purity of each sample, carried by the cane crushed meanwhile."""
    return weight * part / whole


def _same(value: Values) -> Values:
    return value


def _purity(stream: str, title: str, station: str, pol: str, brix: str) -> None:
    # a letter that names a grade stays large
    lower = title if title[1] == " " else title[0].lower() + title[1:]
    usual = f" {USUAL[stream]} is usual (common practice)." if stream in USUAL else ""

    def purity(pol: Values, brix: Values) -> Values:
        return _ratio(pol, brix)

    purity.__doc__ = (
        f"Apparent purity of {lower}: pol in 100 of brix.{usual} Over a period, the pol of all its "
        f"samples over their brix, {_carrier(stream)}. {CARE}"
    )
    declared = figure(
        f"{title} purity",
        unit="%",
        decimals=2,
        formula="100 × pol ÷ brix" + (", by the volume struck" if stream in STRUCK else ""),
        source=DEFINITION,
        station=station,
        name=f"{stream}_purity",
        inputs=(f"{stream}_pol_struck", f"{stream}_brix_struck")
        if stream in STRUCK
        else (pol, brix),
    )(purity)
    if stream in STRUCK:
        declared.otherwise(
            "mean by the volume struck",
            inputs=(f"{stream}_purity_struck", f"{stream}_volume"),
        )(_ratio)
        declared.otherwise("100 × pol ÷ brix, by cane", inputs=(pol, brix))(_ratio)
    if stream in CARRIED:
        declared.otherwise("mean by cane", inputs=(f"{stream}_purity_carried", "cane"))(_ratio)
    declared.otherwise(
        "100 × pol ÷ brix", inputs=(f"{ENTERED}{stream}_pol", f"{ENTERED}{stream}_brix")
    )(_ratio)
    declared.otherwise("as entered", inputs=(f"{ENTERED}{stream}_purity",))(_same)


def _carrier(stream: str) -> str:
    """Tell by what the samples of a stream are carried."""
    if stream in WEIGHED:
        return "in tonnes"
    by_cane = "by the cane crushed meanwhile; where purity alone is entered, its mean by cane"
    if stream in STRUCK:
        return (
            "by the volume struck (where purity alone is entered, its mean by that volume); "
            f"where a shift lacks the volume, {by_cane}"
        )
    return f"as it is not weighed, {by_cane}"


def _tonnes(stream: str, station: str, weight: str, names: tuple[str, str], titles: tuple[str, str],
            *, internal: bool) -> None:  # fmt: skip
    entered = {p: f"{ENTERED}{stream}_{p}" for p in ("brix", "pol", "purity")}
    notes: dict[str, Any] = {
        "unit": "t", "decimals": 2, "source": COMMON if internal else DEFINITION,
        "station": station, "kind": "adds", "internal": internal,
    }  # fmt: skip
    brix = figure(
        titles[0],
        formula=f"{weight.replace('_', ' ')} × brix ÷ 100",
        name=names[0],
        inputs=(weight, entered["brix"]),
        **notes,
    )(_part)
    brix.otherwise(
        f"{weight.replace('_', ' ')} × pol ÷ purity",
        inputs=(weight, entered["pol"], entered["purity"]),
    )(_brix_from_pol)
    pol = figure(
        titles[1],
        formula=f"{weight.replace('_', ' ')} × pol ÷ 100",
        name=names[1],
        inputs=(weight, entered["pol"]),
        **notes,
    )(_part)
    pol.otherwise(
        f"{weight.replace('_', ' ')} × brix × purity ÷ 10 000",
        inputs=(weight, entered["brix"], entered["purity"]),
    )(_part_of_part)


for _stream, (_title, _station, _weight, _suffix) in WEIGHED.items():
    _names = (f"brix_in_{_stream}{_suffix}", f"pol_in_{_stream}{_suffix}")
    _lower = _title[0].lower() + _title[1:] + _suffix.replace("_", " ")
    _tonnes(
        _stream, _station, _weight, _names, (f"Brix in {_lower}", f"Pol in {_lower}"),
        internal=False,
    )  # fmt: skip
    _purity(_stream, _title, _station, _names[1], _names[0])

for _stream, (_title, _station) in CARRIED.items():
    _names = (f"{_stream}_brix_carried", f"{_stream}_pol_carried")
    _tonnes(
        _stream, _station, "cane", _names,
        (f"{_title} brix, carried by cane", f"{_title} pol, carried by cane"), internal=True,
    )  # fmt: skip
    figure(
        f"{_title} purity, carried by cane",
        unit="t",
        decimals=2,
        formula="cane × pol ÷ brix",
        source=COMMON,
        station=_station,
        kind="adds",
        name=f"{_stream}_purity_carried",
        inputs=("cane", f"{ENTERED}{_stream}_pol", f"{ENTERED}{_stream}_brix"),
        internal=True,
    )(_weighted_ratio).otherwise(
        "cane × purity ÷ 100", inputs=("cane", f"{ENTERED}{_stream}_purity")
    )(_part)
    _purity(_stream, _title, _station, _names[1], _names[0])

for _stream in STRUCK:
    _title, _station = CARRIED[_stream]
    _volume = f"{_stream}_volume"
    _of: dict[str, Any] = {
        "unit": "m³", "decimals": 2, "source": COMMON, "station": _station, "kind": "adds",
        "internal": True,
    }  # fmt: skip
    _brix, _pol, _pure = (f"{ENTERED}{_stream}_{p}" for p in ("brix", "pol", "purity"))
    figure(
        f"{_title} brix, by the volume struck", formula="volume struck × brix ÷ 100",
        name=f"{_stream}_brix_struck", inputs=(_volume, _brix), **_of,
    )(_struck).otherwise(
        "volume struck × pol ÷ purity", inputs=(_volume, _pol, _pure)
    )(_brix_struck_from_pol)  # fmt: skip
    figure(
        f"{_title} pol, by the volume struck", formula="volume struck × pol ÷ 100",
        name=f"{_stream}_pol_struck", inputs=(_volume, _pol), **_of,
    )(_struck).otherwise(
        "volume struck × brix × purity ÷ 10 000", inputs=(_volume, _brix, _pure)
    )(_struck)  # fmt: skip
    figure(
        f"{_title} purity, by the volume struck", formula="volume struck × pol ÷ brix",
        name=f"{_stream}_purity_struck", inputs=(_volume, _pol, _brix), **_of,
    )(_purity_struck).otherwise(
        "volume struck × purity ÷ 100", inputs=(_volume, _pure)
    )(_struck)  # fmt: skip
