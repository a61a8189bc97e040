"""What a form of a sheet holds, and what a box says that was not saved."""

from collections.abc import Iterable, Mapping

from app.language import _
from app.ledger.book import Conflict, Late, NeedsReason, Typed
from app.ledger.entries import Entry
from app.plant.samples import Place
from app.reports.cells import Attempt, Trouble
from app.reports.dates import moment
from app.web.open_shift import OpenShift
from app.web.requests import Form
from app.web.shift_page import OTHER


def typed_cells(form: Form, places: Iterable[Place]) -> list[Typed]:
    """Return the cells of those places that a form holds."""
    return [
        Typed(
            place.measure,
            form[f"result:{key}"],
            entry_number(form.get(f"based_on:{key}", "")),
            _reason(form, key),
            form.get("late_reason", ""),
            form.get("observed_by", ""),
            place.sample,
            place.determination,
            carried=form.get(f"carried:{key}") == "yes",
        )
        for place, key in ((place, place.key) for place in places)
        if f"result:{key}" in form
    ]


def entry_number(text: str) -> int | None:
    """Return the number of an entry as a form sends it; None for another text."""
    return int(text) if text.isdecimal() and len(text) < 19 else None


def _reason(form: Form, name: str) -> str:
    choice, words = form.get(f"reason:{name}", "").strip(), form.get(f"words:{name}", "").strip()
    if choice == OTHER:
        return words
    return f"{choice}: {words}" if choice and words else choice or words


def attempts(
    shift: OpenShift,
    form: Form,
    cells: Iterable[Typed],
    failures: Mapping[str, Exception],
    results: Mapping[str, Entry],
) -> dict[str, Attempt]:
    """Return what was typed and is not saved: all that failed, and all that differs."""
    kept = {}
    for cell in cells:
        failure = failures.get(cell.key)
        standing = results.get(cell.key)
        if failure:
            kept[cell.key] = Attempt(cell.typed, _trouble(failure, cell, form, shift))
        elif _differs(cell, standing):
            kept[cell.key] = Attempt(cell.typed)
    return kept


def _differs(cell: Typed, standing: Entry | None) -> bool:
    if standing is None:
        return bool(cell.typed.strip())
    return cell.based_on == standing.id and cell.typed.strip() != standing.typed.strip()


def _trouble(failure: Exception, cell: Typed, form: Form, shift: OpenShift) -> Trouble:
    name = cell.key
    chosen = {"choice": form.get(f"reason:{name}", ""), "words": form.get(f"words:{name}", "")}
    if isinstance(failure, Conflict):
        return Trouble(
            _both(failure.standing, cell, shift), True, **chosen, theirs=failure.standing.typed
        )
    if isinstance(failure, NeedsReason):
        return Trouble(_why(failure.standing, cell, chosen["choice"]), True, **chosen)
    if isinstance(failure, Late):
        return Trouble(_("This shift is long over: say above the sheet why it comes late."))
    return Trouble(f"{failure}.", any(chosen.values()), **chosen)


def _both(standing: Entry, cell: Typed, shift: OpenShift) -> str:
    theirs, mine = standing.typed or _("nothing"), cell.typed.strip() or _("nothing")
    when = moment(standing.recorded_at, shift.mill.clock)
    return _(
        "{name} wrote {theirs} here on {when}. You typed {mine}.",
        name=standing.recorded_name,
        theirs=theirs,
        when=when,
        mine=mine,
    )


def _why(standing: Entry | None, cell: Typed, choice: str) -> str:
    if choice == OTHER:
        return _("Say the other reason in words.")
    if standing is None:
        return _("The shift is signed: why is {typed} entered now?", typed=cell.typed.strip())
    theirs, mine = standing.typed or _("nothing"), cell.typed.strip()
    return (
        _("Correct {theirs} to {mine}: why?", theirs=theirs, mine=mine)
        if mine
        else _("Take {theirs} out: why?", theirs=theirs)
    )
