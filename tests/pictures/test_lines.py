"""Pictures of lines: what is drawn, that texts in it are inert, and that no style is in it."""

import re
import subprocess
import sys
from xml.etree import ElementTree

import pytest

from app.language import speaking
from app.pictures.lines import Limit, Series, lines

SVG = "{http://www.w3.org/2000/svg}"


def texts(svg: str) -> list[str]:
    return [element.text for element in ElementTree.fromstring(svg).iter(f"{SVG}text")]


def corners(svg: str) -> list[int]:
    """How many corners each line that is two pixels wide has."""
    paths = ElementTree.fromstring(svg).iter(f"{SVG}path")
    widths = [path.get("d") for path in paths if path.get("stroke-width") == "2"]
    return [len(re.findall("[ML]", d)) for d in widths if "L" in d]


def test_a_missing_value_leaves_a_gap_and_is_no_zero():
    whole = lines("abcde", [Series("brix", [15.1, 15.2, 15.3, 15.2, 15.4])], "°Bx").wide
    gap = lines("abcde", [Series("brix", [15.1, 15.2, None, 15.2, 15.4])], "°Bx").wide
    assert corners(whole) == [5]
    assert corners(gap) == [4]
    assert "0" not in texts(gap)


def test_the_axis_reaches_a_target_that_no_value_reaches():
    drawn = lines("ab", [Series("recovery", [81, 82])], "%", [Limit("target 86", 86)])
    for svg in (drawn.wide, drawn.narrow):
        assert "target 86" in texts(svg)
        assert "86" in texts(svg)


def test_several_lines_are_told_apart_by_dash_as_well_as_colour():
    svg = lines("ab", [Series("now", [1, 2]), Series("last season", [2, 1])], "t").wide
    assert {"now", "last season"} <= set(texts(svg))
    assert "stroke-dasharray" in svg


def down(svg: str, text: str) -> float:
    """How far down a text stands."""
    elements = ElementTree.fromstring(svg).iter(f"{SVG}text")
    (place,) = (e.get("transform") for e in elements if e.text == text)
    return float(re.findall(r"-?[\d.]+", place)[1])


@pytest.mark.parametrize(
    "names",
    [
        ("Season 2026", "2026-W43"),
        ("Season 2026", "2026-W43", "2026-W42", "2026-W41"),
        ("Purity that its reducing sugars and ash allow", "Final molasses purity", "Last season"),
    ],
)
def test_a_legend_of_several_lines_stands_clear_of_the_unit(names):
    drawn = lines("ab", [Series(name, [1, 2]) for name in names], "% pol in cane")
    for svg in (drawn.wide, drawn.narrow):
        assert down(svg, names[-1]) + 12 < down(svg, "% pol in cane")


@pytest.mark.parametrize("text", ["<script>alert(1)</script>", 'x" onload="alert(1)', "{b}&lt;"])
def test_what_a_person_named_is_inert_in_a_picture(text):
    svg = lines([text, "b"], [Series(text, [1, 2]), Series("b", [1, 2])], text).wide
    assert texts(svg).count(text) == 3
    assert {e.tag for e in ElementTree.fromstring(svg).iter()} <= {
        SVG + name for name in ("svg", "g", "path", "rect", "text", "defs", "clipPath")
    }


def test_a_picture_carries_no_style_that_the_policy_of_pages_refuses():
    drawn = lines("ab", [Series("a", [1, 2], frozenset({1}))], "t", [Limit("x", 3, firm=True)])
    assert not re.search(r"style|class=|<script|href", drawn.wide + drawn.narrow)


def test_numbers_of_an_axis_are_written_as_the_language_writes_them():
    series = [Series("change", [-0.5, 0.5])]
    assert "−0.4" in texts(lines("ab", series, "t").wide)
    with speaking("es"):
        assert "−0,4" in texts(lines("ab", series, "t").wide)


def test_a_process_that_drew_a_picture_ends():
    asked = "from app.pictures.lines import Series, lines; lines('ab', [Series('s', [1, 2])], 't')"
    assert subprocess.run([sys.executable, "-c", asked], timeout=60).returncode == 0
