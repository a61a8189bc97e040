"""A block out of a spreadsheet, pasted on the sheet: shown first, judged as saving would."""

import re
from collections import Counter
from html import unescape
from itertools import chain

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from app.database import writing
from app.ledger import book
from tests.bench import NOON
from tests.web.conftest import SHEET

GRID = [
    ["mixed_juice_brix", "mixed_juice_pol", "-Mixed juice, purity", "mixed_juice_ph"],
    ["clear_juice_brix", "clear_juice_pol", "-Clear juice, purity", "clear_juice_ph"],
    ["syrup_brix", "syrup_pol", "-Syrup, purity", "syrup_ph"],
]


def paste(visitor, block, grid=GRID, sheet=SHEET, **others):
    places = "\n".join("\t".join(row) for row in grid)
    return visitor.post(f"{sheet}/paste", {"block": block, "grid": places} | others)


def counts(answer):
    assert answer.status_code == 200, answer.text
    told = re.search(r'id="paste-counts">(.*?)</p>', answer.text)[1]
    return tuple(int(count) for count in re.findall(r"<strong>(\d+)</strong>", told))


def told(answer):
    """What the preview says, by box: what stands, what the block says, what it does."""
    row = r'<th scope="row">(.*?)</th>' + 2 * r'<td class="num">(.*?)</td>' + "<td>(.*?)</td>"
    return {
        unescape(title): (stands, unescape(text), unescape(does))
        for title, stands, text, does in re.findall(row, answer.text)
    }


def why_not(answer):
    assert answer.status_code == 422
    return unescape(re.search(r'role="alert">(.*?)</p>', answer.text)[1])


def test_a_block_is_laid_right_and_down_and_nothing_is_written_yet(ann, bench):
    """C-07: tabs and line breaks, decimal commas and points, a trailing empty line."""
    answer = paste(ann, "14,2\t12.1\r\n14.0\t12,0\r\n\r\n")
    assert counts(answer) == (4, 0, 0, 0, 0)
    assert told(answer)["Clear juice, pol"] == ("", "12,0", "fills an empty box")
    written = re.findall(r'data-key="(\w+)" data-text="([\d.,]+)"', answer.text)
    assert written == [
        ("mixed_juice_brix", "14,2"), ("mixed_juice_pol", "12.1"),
        ("clear_juice_brix", "14.0"), ("clear_juice_pol", "12,0"),
    ]  # fmt: skip
    assert bench.trail("mixed_juice_brix") == []


def test_what_stands_is_changed_for_a_reason_or_stays(ann, bench):
    bench.write("mixed_juice_brix", "14.2")
    bench.write("mixed_juice_pol", "12.0")
    answer = paste(ann, "14.2\t12.1")
    assert counts(answer) == (0, 1, 1, 0, 0)
    assert told(answer)["Mixed juice, pol"] == ("12.0", "12.1", "changes what stands")
    assert 'id="paste-reason"' in answer.text
    assert 'id="paste-reason"' not in paste(ann, "14.2\t12.0").text


def test_an_emptied_box_is_changed_not_filled(ann, bench):
    first = bench.write("mixed_juice_brix", "14.2")
    bench.write("mixed_juice_brix", "", based_on=first.id, reason="wrong box")
    assert counts(paste(ann, "14.2")) == (0, 1, 0, 0, 0)


def test_an_empty_cell_and_a_short_row_leave_what_stands(ann, bench):
    """C-07: ragged."""
    bench.write("mixed_juice_pol", "12.1")
    assert counts(paste(ann, "14.2\t\n14.0\n\t55.0")) == (3, 0, 0, 3, 0)


def test_what_no_box_takes_is_named_and_why(ann):
    """C-07: read-only cells are named; units, marks and what cannot be are refused plainly."""
    answer = paste(ann, "14.2 °Bx\t12.1\t85.2\t5,25\n145\t1,234.5\t\t4,250")
    assert counts(answer) == (3, 0, 0, 1, 4)
    said = {title: does for title, (_, _, does) in told(answer).items()}
    assert said["Mixed juice, brix"].startswith("left out: Write a number alone, without its unit")
    assert said["Mixed juice, purity"] == "left out: nothing is typed there"
    assert said["Clear juice, brix"].startswith("left out: Clear juice, brix lies between")
    assert "one decimal sign" in said["Clear juice, pol"]
    assert said["Mixed juice, pH"] == "fills an empty box"
    assert said["Clear juice, pH"].startswith("fills an empty box: below the usual")


def test_a_group_mark_that_could_be_a_decimal_sign_is_held_back_with_both_readings(ann):
    """C-06, pasted."""
    answer = paste(ann, "1,250\n1.250", [["cane"], ["bagasse"]])
    assert told(answer)["Cane crushed"][2] == "left out: 1,250: write 1250 or 1.25"
    assert counts(answer) == (0, 0, 0, 0, 2)


def test_a_purity_that_follows_is_not_written_over(ann, bench):
    bench.write("mixed_juice_brix", "14.2")
    bench.write("mixed_juice_pol", "12.0")
    answer = paste(ann, "80", [["mixed_juice_purity"]])
    assert told(answer)["Mixed juice, purity"][2] == "left out: follows by itself"


@pytest.mark.parametrize(
    ("block", "words"),
    [
        ("brix\tpol\n14.2\t12.1", "first row is a result (brix, pol)"),
        ("\tbrix\npH\t14.2", "first row is a result (brix) and nothing in its first column"),
        ("08:00\t14.2\n10:00\t14.3", "first column is a result (08:00, 10:00)"),
        ("14.2 °Bx\n12.1 %\n", "first row is a result (14.2 °Bx)"),
        ("", "it is empty"),
        ("\n\t\n", "it is empty"),
        ('"14.2\t12.1', "a quotation mark in it has no end"),
        ("1\t2\t3\t4\t5", "it has 1 row by 5 columns, and from this box on there are 3 rows by 4"),
        ("1\n2\n3\n4", "it has 4 rows by 1 column, and"),
    ],
)  # fmt: skip
def test_a_block_that_cannot_be_laid_as_it_is_is_refused_whole(ann, block, words):
    """C-07: heads are never guessed at, and what is too large is never cut."""
    answer = paste(ann, block)
    assert words in why_not(answer)
    assert "data-key" not in answer.text


@pytest.mark.parametrize(("down", "across"), [(1, 1), (1, 24), (24, 1), (24, 12)])
def test_a_block_as_large_as_the_grid_is_laid_whole(ann, down, across):
    """C-07."""
    names = iter(re.findall(r'name="result:(\w+)"', ann.get(SHEET).text) * 5)
    grid = [[next(names) for _ in range(across)] for _ in range(down)]
    block = "\n".join("\t".join(["nm"] * across) for _ in range(down))
    assert counts(paste(ann, block, grid)) == (down * across, 0, 0, 0, 0)
    smaller = [row[1:] for row in grid] if across > 1 else grid[1:]
    assert not smaller or "from this box on there" in why_not(paste(ann, block, smaller))


def test_ten_thousand_cells_are_refused_and_not_cut(ann):
    """C-07."""
    block = "\n".join("\t".join(["14.25"] * 100) for _ in range(100))
    assert "it has 100 rows by 100 columns" in why_not(paste(ann, block))


def test_quoted_cells_keep_their_line_breaks_to_themselves(ann):
    """C-07."""
    answer = paste(ann, '"14.2\n"\t"12\n1"\r\n"say ""no"""\t12.0\r\n')
    assert counts(answer) == (2, 0, 0, 0, 2)
    assert "take the blank out" in told(answer)["Mixed juice, pol"][2]


def test_what_is_shown_of_a_block_runs_nothing(ann):
    answer = paste(ann, "<script>alert(1)</script>\t1", [["mixed_juice_brix", "-<img src=x>"]])
    assert "<script>" not in answer.text
    assert "<img" not in answer.text


def test_a_shift_long_over_says_first_why_its_results_come_late(ann):
    sheet, grid = "/shifts/2026-06-01/1", [["mixed_juice_brix"]]
    assert "say above the sheet why" in paste(ann, "14.2", grid, sheet).text
    assert counts(paste(ann, "14.2", grid, sheet, late_reason="power cut")) == (1, 0, 0, 0, 0)


def test_nobody_pastes_where_nobody_types(ann, visit):
    ann.post(f"{SHEET}/paste", {"block": "1", "grid": "cane"})
    assert paste(visit("auditor"), "14.2").status_code == 403
    assert paste(visit(), "14.2").status_code == 401


TEXTS = st.sampled_from(
    ["", "14.2", "14,2", "12.1", "12.0", "145", "nm", "1,250", "14.2 °Bx", "x", "7.1", "0", "-1"]
)
BRIX_AND_POL = [row[:2] for row in GRID]


@settings(max_examples=25, deadline=None, suppress_health_check=list(HealthCheck))
@given(st.lists(st.lists(TEXTS, min_size=2, max_size=2), min_size=3, max_size=3))
def test_what_is_shown_is_what_saving_then_does(ann, bench, rows):
    """C-07: fill, change, stay and refuse are told as the book would have it."""
    answer = paste(ann, "\n".join("\t".join(row) for row in rows), BRIX_AND_POL)
    if answer.status_code == 422:
        assert any(words in why_not(answer) for words in ("is a result", "is empty"))
        return
    boxes = zip(chain(*BRIX_AND_POL), chain(*rows), strict=True)
    with writing(bench.engine) as connection:
        standing = book.sheet(connection, bench.season, bench.day, bench.number)
        cells = [
            book.Typed(key, text, standing[key].id if key in standing else None)
            for key, text in boxes
            if text
        ]
        failures = book.record_sheet(
            connection, season=bench.season, day=bench.day, number=bench.number, cells=cells,
            by=bench.ann, at=NOON, whole=False,
        )  # fmt: skip
    same = sum(cell.key in standing and standing[cell.key].typed == cell.typed for cell in cells)
    kinds = Counter(type(failure) for failure in failures.values())
    changed, refused = kinds[book.NeedsReason], kinds[book.Refused]
    assert changed + refused == len(failures)
    fill, change, stay, _, refuse = counts(answer)
    assert (change, stay, refuse) == (changed, same, refused)
    assert fill == len(cells) - len(failures) - same
