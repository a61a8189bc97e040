"""Control charts and stacked bars: what is drawn, and that it is told apart without colour."""

import re
from xml.etree import ElementTree

from app.pictures.control import CENTRE, TARGET, Level, Named, control_chart
from app.pictures.pareto import Bar, pareto_chart
from app.pictures.stacked import STYLES, Part, stacked_bars

SVG = "{http://www.w3.org/2000/svg}"
VALUES = [14.1, 14.3, 14.2, 15.9, None, 14.2]
LEVELS = [
    Level("upper limit 14.9", 14.9), Level("centre 14.2", 14.2, CENTRE),
    Level("lower limit 13.5", 13.5), Level("target 14.2", 14.2, TARGET),
]  # fmt: skip


def texts(svg):
    return [element.text for element in ElementTree.fromstring(svg).iter(f"{SVG}text")]


def across(svg):
    """The dashes of the grey lines that go all across."""
    found = ElementTree.fromstring(svg).iter(f"{SVG}path")
    lines = [p for p in found if p.get("stroke") == "#4b5563" and p.get("fill") == "none"]
    return {p.get("stroke-dasharray", "") for p in lines}


def test_levels_have_their_words_and_a_dash_of_their_own():
    """C-55: control limits and target are told apart, in black and white too."""
    drawn = control_chart("abcdef", VALUES, "°Bx", LEVELS, [])
    for svg in (drawn.wide, drawn.narrow):
        assert {level.words for level in LEVELS} <= set(texts(svg))
        assert len(across(svg)) >= 3


def test_points_that_a_rule_names_are_marked_and_the_mark_is_explained():
    """C-56"""
    named = [Named("One beyond three sigma", frozenset({3})), Named("Eight in a row", frozenset())]
    plain = control_chart("abcdef", VALUES, "°Bx", LEVELS, []).wide
    marked = control_chart("abcdef", VALUES, "°Bx", LEVELS, named).wide
    assert "One beyond three sigma" in texts(marked)
    assert "Eight in a row" not in texts(marked)
    assert marked.count("#9a3412") == plain.count("#9a3412") + 2  # in the chart and its legend


def test_every_part_of_a_stack_has_a_pattern_of_its_own():
    parts = [Part(f"part {n}", [10.0, 20.0, None]) for n in range(len(STYLES))]
    svg = stacked_bars("abc", parts, "h").wide
    assert svg.count("<pattern") == len(STYLES) - 1  # the first is plain
    assert {part.name for part in parts} <= set(texts(svg))
    patterns = [f"{pattern}" for _ink, pattern in STYLES]
    assert len(set(patterns)) == len(patterns)


def test_patterns_of_two_pictures_on_a_page_have_names_of_their_own():
    drawn = stacked_bars("ab", [Part("a", [1, 2]), Part("b", [3, 4])], "h")
    named = [
        set(re.findall(r'<pattern[^>]* id="([^"]+)"', svg)) for svg in (drawn.wide, drawn.narrow)
    ]
    assert all(named)
    assert not named[0] & named[1]


def test_a_picture_carries_no_style_that_the_policy_of_pages_refuses():
    for drawn in (
        control_chart("abcdef", VALUES, "°Bx", LEVELS, [Named("one", frozenset({3}))]),
        stacked_bars("ab", [Part("a", [1, 2]), Part("b", [3, 4])], "h"),
        pareto_chart([Bar("a", 2, 50), Bar("b", 2, 100)], "h", "together"),
    ):
        assert not re.search(r"style|class=|<script|href", drawn.wide + drawn.narrow)
