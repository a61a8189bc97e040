"""What a sheet is asked where an instrument failed its standard check: what was measured by it."""

from collections.abc import Iterable, Mapping

from app.figures.sources import COMMON
from app.language import _
from app.plant.calendar import Clock
from app.plant.samples import place_of
from app.reports.cells import Result
from app.reports.checks.declare import Check, declare
from app.reports.checks.raised import Raised, told
from app.reports.dates import moment
from app.reports.instruments import Doubt
from app.reports.sheet import Sheet

STANDARD_CHECK_FAILED = declare(
    Check(
        "standard_check_failed",
        "An instrument failed its standard check",
        "From a check that fails back to the last that passed, and on to the next that passes, "
        "nothing that the instrument measured is sure. An entry does not say which instrument it "
        "came from: all results of that kind are asked about that were typed meanwhile.",
        (
            "the instrument has drifted: adjust it, check it again, and test again what was kept",
            "the standard was old, warm or not clean: check again with a fresh one",
            "another instrument measured these results: say which",
        ),
        COMMON,
    )
)


def in_doubt(
    doubts: Iterable[Doubt], sheet: Sheet, standing: Mapping[str, Result], clock: Clock
) -> tuple[Raised, ...]:
    """Return what a sheet is asked of each failed check, about the results it throws doubt on."""
    return tuple(filter(None, (_of(doubt, sheet, standing, clock) for doubt in doubts)))


def _of(doubt: Doubt, sheet: Sheet, standing: Mapping[str, Result], clock: Clock) -> Raised | None:
    concerned: set[str] = set()
    entries = []
    for key, entry in standing.items():
        place = place_of(key)
        cell = sheet.cells.get(place._replace(determination=1).key)
        measured = place.measure in doubt.measures and doubt.covers(entry.recorded_at)
        if cell is not None and entry.value is not None and measured:
            concerned.add(cell.key)
            entries.append(entry.id)
    cells = [cell for key, cell in sheet.cells.items() if key in concerned]
    if not cells:
        return None
    return Raised(
        STANDARD_CHECK_FAILED, _words(doubt, clock), doubt.failed.share / 100 - 1, told(cells),
        tuple(sorted(entries)), which=f"{doubt.failed.record}",
    )  # fmt: skip


def _words(doubt: Doubt, clock: Clock) -> str:
    said = {
        "what": _(doubt.title), "which": doubt.instrument, "error": doubt.failed.error_words,
        "failed": moment(doubt.failed.at, clock), "since": moment(doubt.begins, clock),
    }  # fmt: skip
    if doubt.until:
        return _(
            "{what} {which} failed on {failed}, off by {error}: what was measured from {since} "
            "until it passed again, {until}, is in doubt",
            until=moment(doubt.until, clock), **said,
        )  # fmt: skip
    return _(
        "{what} {which} failed on {failed}, off by {error}: what was measured since {since} is in "
        "doubt",
        **said,
    )
