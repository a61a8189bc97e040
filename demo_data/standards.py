"""Standard checks of the invented laboratory's instruments, and the reagents it made up.

One check fails: on the night of 26 October the refractometer read high, and was adjusted.
"""

from collections.abc import Iterator
from datetime import date

from .books import Kept, Shift, Written

# kind, which one, standard, its number, certified value, decimals, tolerance, scatter
_CHECKED = (
    ("polarimeter", "P-2", "quartz_plate", "QP 41-7", 99.87, 2, 0.03, 0.008),
    ("refractometer", "R-1", "refractometer_oil", "RS 30", 30.02, 2, 0.05, 0.012),
    ("ph_meter", "H-3", "buffer", "B 7", 7.00, 2, 0.05, 0.012),
    ("balance", "W-1", "mass", "M 200", 200.0000, 4, 0.002, 0.0004),
)
_WRONG = (date(2026, 10, 26), 3, "refractometer")
_OFF_BY = 0.17


def standard_checks(shift: Shift) -> Iterator[Written]:
    """Yield the checks of a shift: every instrument at its beginning."""
    warm = 24 + shift.random.normal(0, 0.8)
    for turn, checked in enumerate(_CHECKED):
        kind, which, standard, code, certified, decimals, tolerance, scatter = checked
        expects = certified * (1 + 1.44e-4 * (warm - 20)) if kind == "polarimeter" else certified
        minutes = 12 + 6 * turn
        said = {
            "kind": kind, "instrument": which, "standard": standard, "standard_code": code,
            "certified": f"{certified:.{decimals}f}", "tolerance": f"{tolerance:g}",
            "temperature": f"{warm:.1f}",
        }  # fmt: skip
        wrong = (shift.day, shift.of_day, kind) == _WRONG
        error = shift.random.normal(0, scatter) + (_OFF_BY if wrong else 0.0)
        reading = {"reading": f"{expects + error:.{decimals}f}"}
        done = {"done": "prism cleaned, adjusted"} if wrong else {}
        yield minutes, {"at": shift.clock(minutes), **said, **reading, **done}
        if wrong:
            again = {"reading": f"{expects + shift.random.normal(0, scatter):.{decimals}f}"}
            yield minutes + 25, {"at": shift.clock(minutes + 25), **said, **again}


_MADE = {
    (date(2026, 10, 26), 1): {
        "lot": "FA-118", "kind": "fehling", "name": "Fehling’s solution A and B",
        "made_by": "Ines Okello", "good_until": "2026-11-09", "strength": "0.4987",
        "nominal": "0.5", "method": "invert sugar standard", "stored": "dark cupboard",
    },
    (date(2026, 10, 27), 2): {
        "lot": "DC-53", "kind": "clarifying_agent", "name": "Dry clarifying agent without lead",
        "made_by": "Tomas Bhagwan", "good_until": "2027-04-30", "stored": "shelf 2",
    },
}  # fmt: skip


def reagents(shift: Shift) -> Iterator[Written]:
    """Yield the reagents made up or opened on a shift."""
    if said := _MADE.get((shift.day, shift.of_day)):
        yield 95.0, said


STANDARDS = (Kept("standard_checks", standard_checks), Kept("reagents", reagents))
