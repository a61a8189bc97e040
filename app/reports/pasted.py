"""A block copied out of a spreadsheet, laid on the boxes of a sheet: what each cell would do."""

import csv
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property
from io import StringIO

from app.language import _, ngettext
from app.plant.typed import Unreadable, read
from app.reports.cells import Cell

FILL, CHANGE, SAME, SKIP, REFUSE = "fill", "change", "same", "skip", "refuse"

Rows = list[list[str]]

NO_ROW = "nothing in its first row is a result ({texts})"
NO_COLUMN = "nothing in its first column is a result ({texts})"


class NotThisBlock(ValueError):
    """A block that cannot be laid on these boxes as it is; the message says why."""


@dataclass(frozen=True)
class Piece:
    """One cell of a block: what it says, the box it falls on, and what it would do there.

    `cell` is None where there is no box; `title` then says what is there. `why` tells why it is
    refused, or what is unusual about it.
    """

    text: str
    title: str
    does: str
    cell: Cell | None = None
    why: str = ""

    @property
    def stands(self) -> str:
        """What stands in the box now."""
        return self.cell.result.typed if self.cell and self.cell.result else ""


@dataclass(frozen=True)
class Pasted:
    """A block laid on a sheet, cell by cell from its upper left."""

    rows: int
    columns: int
    pieces: tuple[Piece, ...]
    signed: bool = False

    @cached_property
    def counts(self) -> Counter[str]:
        """How many cells of the block fill, change, …"""
        return Counter(piece.does for piece in self.pieces)

    @property
    def writes(self) -> int:
        """How many results it would write."""
        return self.counts[FILL] + self.counts[CHANGE]

    def asks(self, piece: Piece) -> bool:
        """Whether a cell changes what is saved, or comes after the shift was signed."""
        return piece.does == CHANGE or (self.signed and piece.does == FILL)

    @property
    def asks_reason(self) -> bool:
        """Whether any cell of it needs a reason."""
        return any(self.asks(piece) for piece in self.pieces)

    @property
    def told(self) -> list[Piece]:
        """Its cells that are not empty, those first that need a look."""
        order = (REFUSE, CHANGE, FILL, SAME)
        return [piece for does in order for piece in self.pieces if piece.does == does]


def rows_of(block: str) -> Rows:
    """Return the cells of a block by row, each on one line; raises NotThisBlock.

    Cells are parted by tabs; one with a line break in it is quoted, as spreadsheets do. Empty rows
    at the end are left out.
    """
    try:
        found = list(csv.reader(StringIO(block, newline=""), "excel-tab", strict=True))
    except csv.Error:
        raise NotThisBlock(
            _("a quotation mark in it has no end, so its cells are not sure")
        ) from None
    rows = [[" ".join(text.split()) for text in row] for row in found]
    while rows and not any(rows[-1]):
        rows.pop()
    if not rows:
        raise NotThisBlock(_("it is empty"))
    _refuse_heads(rows)
    return rows


def laid(
    rows: Rows, grid: Rows, judge: Callable[[str, str], Piece], *, signed: bool = False
) -> Pasted:
    """Lay a block on the places of a grid from its upper left, each judged with its text.

    `judge` is given what the grid says of a place and the text that falls there. Raises
    NotThisBlock for a block that is larger than the grid: nothing of it is cut off.
    """
    down, across = len(grid), max(map(len, grid), default=0)
    columns = _columns(rows)
    if len(rows) > down or columns > across:
        raise NotThisBlock(
            _(
                "it has {size}, and from this box on there are {room}",
                size=_size(len(rows), columns),
                room=_size(down, across),
            )
        )
    pieces = [
        judge(place, text)
        for places, row in zip(grid, rows, strict=False)
        for place, text in zip(_exactly(columns, places), _exactly(columns, row), strict=True)
    ]
    return Pasted(len(rows), columns, tuple(pieces), signed)


def _exactly(count: int, row: list[str]) -> list[str]:
    return [*row, *[""] * count][:count]


def _columns(rows: Rows) -> int:
    """Return how many columns hold anything."""
    return max(n for row in rows for n, text in enumerate(row, start=1) if text)


def _size(down: int, across: int) -> str:
    rows = ngettext("{count} row", "{count} rows", down)
    columns = ngettext("{count} column", "{count} columns", across)
    return _("{rows} by {columns}", rows=rows, columns=columns)


def _refuse_heads(rows: Rows) -> None:
    """Refuse a block with heads: all of it would go into boxes beside those that are meant."""
    edges = (
        (NO_ROW, rows[0], rows[1:]),
        (NO_COLUMN, [row[0] for row in rows if row], rows[0][1:]),
    )
    heads = [
        _(says, texts=", ".join(filter(None, edge))[:60])
        for says, edge, others in edges
        if others and any(edge) and not any(_is_result(text) for text in edge)
    ]
    if heads:
        what = (
            heads[0] if len(heads) == 1 else _("{row} and {column}", row=heads[0], column=heads[1])
        )
        raise NotThisBlock(
            _("{what}: copy the numbers alone, so that each goes where you mean", what=what)
        )


def _is_result(text: str) -> bool:
    try:
        read(text)
    except Unreadable:
        return False
    return True
