"""A block out of a spreadsheet is read whole, cell by cell, or refused whole."""

import csv
from io import StringIO

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.reports.pasted import FILL, SKIP, NotThisBlock, Piece, laid, rows_of

CELL = st.text(
    st.characters(exclude_categories=["Cs", "Cc"]) | st.sampled_from('\t\n"'), max_size=8
)
BLOCK = st.lists(st.lists(CELL, min_size=1, max_size=5), min_size=1, max_size=5)


def as_copied(cells: list[list[str]]) -> str:
    """The text that a spreadsheet puts on the clipboard: what has a tab or a break is quoted."""
    out = StringIO()
    csv.writer(out, "excel-tab").writerows(cells)
    return out.getvalue()


def judge(place: str, text: str) -> Piece:
    return Piece(text, place, FILL if text else SKIP)


@given(BLOCK)
def test_every_cell_of_a_block_is_read_on_one_line_and_where_it_stood(cells):
    """C-07: quoted cells, tabs and line breaks in them, empty rows at the end."""
    tidy = [[" ".join(text.split()) for text in row] for row in cells]
    while tidy and not any(tidy[-1]):
        tidy.pop()
    try:
        rows = rows_of(as_copied([["1", *row] for row in cells]))
    except NotThisBlock:
        pytest.fail("a block whose first column is results was refused")
    padded = [["1", *row] for row in [*tidy, *[[]] * (len(cells) - len(tidy))]]
    assert [[t for t in row if t] for row in rows] == [[t for t in row if t] for row in padded]


@given(st.integers(1, 6), st.integers(1, 6), st.integers(1, 6), st.integers(1, 6))
def test_a_block_is_laid_whole_or_not_at_all(down, across, rows, columns):
    """C-07: never cut."""
    grid = [[f"{r}:{c}" for c in range(across)] for r in range(down)]
    block = [["7"] * columns for _ in range(rows)]
    if rows > down or columns > across:
        with pytest.raises(NotThisBlock, match=f"it has {rows} row"):
            laid(block, grid, judge)
        return
    pasted = laid(block, grid, judge)
    assert pasted.writes == rows * columns
    assert {piece.title for piece in pasted.pieces} == {
        f"{r}:{c}" for r in range(rows) for c in range(columns)
    }


def test_cells_that_need_a_look_are_told_first():
    pasted = laid([["1", "", "2"]], [["a", "b", "c"]], judge)
    assert [piece.title for piece in pasted.told] == ["a", "c"]
    assert pasted.counts == {FILL: 2, SKIP: 1}
