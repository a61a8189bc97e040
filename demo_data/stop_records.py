"""The book of stops of the invented mill: one record for each cause of a shift, by the minute."""

from collections.abc import Iterator, Mapping

from app.plant.utilities import CAUSES

from .books import Kept, Shift, Written

WHOLE_SHIFT = 480  # minutes
WRITTEN_AFTER = 4

# cause: station, machine and what happened there
PLACES: Mapping[str, tuple[tuple[str, str, str], ...]] = {
    "no_cane": (("cane_receiving", "yard", "no loads at the tippler"),),
    "scheduled_stop": (("milling", "whole mill", "washing and evaporator cleaning"),),
    "foreign_matter": (
        ("preparation", "feeder table", "stones taken off the table"),
        ("preparation", "knives 1", "iron found by the magnet"),
    ),
    "mechanical_stop": (
        ("milling", "intercarrier 3", "slats bent, three renewed"),
        ("milling", "mill 2", "scraper reset"),
    ),
    "electrical_stop": (("preparation", "shredder drive", "tripped on overload"),),
    "process_stop": (("clarification", "mixed juice tank", "full, waited for the clarifier"),),
    "force_majeure": (("cane_receiving", "fields", "rain, fields closed"),),
}


def stops(shift: Shift) -> Iterator[Written]:
    """Yield the stops of a shift, and one that only slowed it.

    A choke at the change of shift is written by both: on odd shifts the last stop reaches the end,
    and on even ones the first begins where the shift does.
    """
    told = [cause for cause in CAUSES if shift.texts.get(f"{cause}_hours")]
    at = 0.0 if shift.number % 2 == 0 else float(shift.random.integers(60, 200))
    for cause in told:
        minutes = round(60 * float(shift.texts[f"{cause}_hours"]))
        at = min(at, WHOLE_SHIFT - minutes)
        if shift.number % 2 == 1 and cause == told[-1]:
            at = WHOLE_SHIFT - minutes
        yield at + minutes + WRITTEN_AFTER, _record(shift, cause, at, at + minutes, "stopped")
        at += minutes + float(shift.random.integers(40, 120))
    if shift.of_day == 1:
        record = _record(shift, "foreign_matter", 95, 103, "slowed")
        yield 103 + WRITTEN_AFTER, record | {"what": "trash at the table, feed cut to half"}


def _record(shift: Shift, cause: str, began: float, ended: float, crushing: str) -> dict[str, str]:
    places = PLACES[cause]
    station, machine, what = places[(shift.number + 1) // 2 % len(places)]
    return {
        "begins": shift.clock(began), "ends": shift.clock(ended), "cause": cause,
        "crushing": crushing, "station": station, "place": machine, "what": what,
    }  # fmt: skip


BOOK = Kept("stops", stops, frozenset(f"{cause}_hours" for cause in CAUSES))
