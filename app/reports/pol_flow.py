"""The pol account as a flow: from cane by juice to bag, with what was lost on the way."""

from dataclasses import dataclass

from app.figures.sheets import Period
from app.language import _
from app.pictures.flow import Branch, Place, flow
from app.pictures.sizes import Drawn
from app.reports.day import undetermined_doubt
from app.reports.lines import NOTHING, Cell, cell
from app.reports.numbers import printed
from app.reports.season_books import SeasonBooks

CANE, JUICE, BOILING = "Cane", "Mixed juice", "Boiling house"
KEPT, LOST = "kept", "lost"


@dataclass(frozen=True)
class Way:
    """Where pol goes: from one place to another, the figures of it, and whether it ends there."""

    source: str
    target: str
    tonnes: str
    share: str
    ends: str = ""


# the first three columns of the picture are those of the sources, in this order
COLUMNS = (CANE, JUICE, BOILING)
WAYS = (
    Way(CANE, JUICE, "pol_in_mixed_juice", "pol_extraction"),
    Way(CANE, "Bagasse", "pol_in_bagasse", "bagasse_loss", LOST),
    Way(JUICE, "Filter cake", "pol_in_filter_cake", "filter_cake_loss", LOST),
    Way(BOILING, "Sugar", "pol_in_sugar", "overall_recovery", KEPT),
    Way(BOILING, "Final molasses", "pol_in_final_molasses", "final_molasses_loss", LOST),
    Way(BOILING, "Undetermined", "undetermined_pol", "undetermined_loss", LOST),
)
OF_STOCK = ("pol_in_sugar_bagged", "change_of_recoverable_pol_in_stock")
ASKED = ("pol_in_cane", *OF_STOCK, *(n for way in WAYS for n in (way.tonnes, way.share)))


@dataclass(frozen=True)
class FlowRow:
    """One branch as the table prints it; its cells open to figures where those are named."""

    source: str
    target: str
    tonnes: Cell
    share: Cell
    opens: tuple[str, str] | None = None
    ends: str = ""


@dataclass(frozen=True)
class PolFlow:
    """The flow of a period: its rows, its picture where every number is there, and what to know.

    `whole` is what shares are of, 100 of pol in cane; a mill that `stood` has none to share out.
    `doubt` says whether what is undetermined is more than measuring can tell.
    """

    cane: Cell
    whole: Cell
    rows: tuple[FlowRow, ...]
    notes: tuple[str, ...]
    doubt: str
    picture: Drawn | None

    @property
    def stood(self) -> bool:
        """Whether no cane was crushed."""
        return self.cane.value == 0


def pol_flow(books: SeasonBooks, period: Period) -> PolFlow:
    """Return where the pol of the cane of a period went, by the account as it is printed."""
    books.need(ASKED)
    result = books.over(period)

    def told(name: str) -> Cell:
        return cell(name, result, 0, books)

    cane = told("pol_in_cane")
    rows = [
        FlowRow(way.source, way.target, told(way.tonnes), told(way.share),
                (way.tonnes, way.share), way.ends)
        for way in WAYS
    ]  # fmt: skip
    rows.insert(2, _to_boil(cane, rows[0].tonnes, rows[2].tonnes))
    whole = _whole(cane)
    picture = _drawn(cane, rows)
    notes = _backwards(rows, picture is not None) if cane.value else []
    if result.conventions["sugar_accounted"][0] != "bagged":
        notes.append(_of_stock(*(told(name) for name in OF_STOCK)))
    told_of = tuple(note for note in notes if note)
    doubt = undetermined_doubt(result, 0)
    return PolFlow(cane, whole, tuple(rows), told_of, doubt, picture)


def _whole(cane: Cell) -> Cell:
    if cane.value is None:
        return _nothing(cane)
    return Cell(printed(100, 2), 100.0) if cane.value else Cell("", None, _(NOTHING))


def _to_boil(cane: Cell, juice: Cell, cake: Cell) -> FlowRow:
    """Return what is left of mixed juice after filter cake, which no figure tells."""
    if juice.value is None or cake.value is None:
        return FlowRow(JUICE, BOILING, _nothing(juice, cake), _nothing(juice, cake))
    left = juice.value - cake.value
    tonnes = Cell(printed(left, 2), left)
    if not cane.value:
        return FlowRow(JUICE, BOILING, tonnes, _whole(cane))
    share = 100 * left / cane.value
    return FlowRow(JUICE, BOILING, tonnes, Cell(printed(share, 2), share))


def _nothing(*cells: Cell) -> Cell:
    return Cell("", None, next((cell.missing for cell in cells if cell.value is None), ""))


def _backwards(rows: list[FlowRow], drawn: bool) -> list[str]:
    """Say of what cannot be less than nothing, and is, how it is drawn, if it is."""
    return [
        _("{place} is below nothing: more pol was found than came in. It is drawn as coming in.",
          place=_(row.target))
        if drawn
        else _("{place} is below nothing: more pol was found than came in.", place=_(row.target))
        for row in rows
        if row.tonnes.value is not None and row.tonnes.value < 0
    ]  # fmt: skip


def _of_stock(bagged: Cell, change: Cell) -> str:
    if bagged.value is None or change.value is None:
        return ""
    if change.value < 0:
        return _(
            "Sugar is {bagged} t of pol bagged, less {change} t by which that in stock fell.",
            bagged=bagged.text, change=printed(-change.value, 2),
        )  # fmt: skip
    return _(
        "Sugar is {bagged} t of pol bagged, and {change} t by which that in stock grew.",
        bagged=bagged.text, change=change.text,
    )  # fmt: skip


def _drawn(cane: Cell, rows: list[FlowRow]) -> Drawn | None:
    """Return the picture; none where a number lacks, or less than nothing reaches the pans."""
    if not cane.value or any(row.tonnes.value is None for row in rows):
        return None
    if any((row.tonnes.value or 0) < 0 for row in rows if row.source != BOILING):
        return None
    places = [Place(CANE, (_(CANE), _tonnes(cane, ""), printed(100, 2)), 0)]
    branches = []
    for row in rows:
        size, after = row.tonnes.value or 0.0, COLUMNS.index(row.source) + 1
        words = (_(row.target), _tonnes(row.tonnes, row.ends if size > 0 else ""), row.share.text)
        if size < 0:
            places.append(Place(row.target, (*words, _("too much found")), after - 2, row.ends))
            branches.append(Branch(row.target, row.source, -size))
        else:
            places.append(Place(row.target, words, after, row.ends))
            branches.append(Branch(row.source, row.target, size))
    return flow(places, branches)


def _tonnes(cell: Cell, ends: str) -> str:
    if ends == LOST:
        return _("{tonnes} t lost", tonnes=cell.text)
    return _("{tonnes} t", tonnes=cell.text)
