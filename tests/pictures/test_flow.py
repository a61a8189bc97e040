"""Flows: branches are as wide as they are large, and every place says its name and numbers."""

import re
from xml.etree import ElementTree

import pytest

from app.pictures.flow import BRANCH, LOST, Branch, Place, flow
from tests.pictures.test_lines import SVG, texts

PLACES = [
    Place("cane", ("Cane", "100.00 t"), 0),
    Place("juice", ("Mixed juice", "75.00 t"), 1),
    Place("bagasse", ("Bagasse", "25.00 t lost"), 1, "lost"),
]
BRANCHES = [Branch("cane", "juice", 75.0), Branch("cane", "bagasse", 25.0)]


def heights(svg: str, fill: str) -> list[float]:
    """How tall each shape of a colour is where it begins, from the tallest."""
    found = []
    for path in ElementTree.fromstring(svg).iter(f"{SVG}path"):
        if path.get("fill", "").lower() == fill:
            points = re.findall(r"(-?[\d.]+)[ ,](-?[\d.]+)", path.get("d"))
            left = min(float(x) for x, _ in points)
            down = [float(y) for x, y in points if float(x) == left]
            found.append(max(down) - min(down))
    return sorted(found, reverse=True)


def test_a_branch_is_as_wide_as_it_is_large():
    large, small = heights(flow(PLACES, BRANCHES).wide, BRANCH)
    assert large / small == pytest.approx(3, rel=0.02)


def test_every_place_says_its_name_and_numbers_in_both_sizes():
    drawn = flow(PLACES, BRANCHES)
    for svg in (drawn.wide, drawn.narrow):
        said = texts(svg)
        assert said == ["Cane", "100.00 t", "Mixed juice", "75.00 t", "Bagasse", "25.00 t lost"]


def test_what_comes_in_on_the_way_is_drawn_from_a_place_of_its_own():
    places = [*PLACES, Place("more", ("Undetermined", "−5.00 t"), 0, "lost")]
    svg = flow(places, [*BRANCHES, Branch("more", "juice", 5.0)]).wide
    assert "−5.00 t" in texts(svg)
    assert len(heights(svg, BRANCH)) == 3
    assert len(heights(svg, LOST)) == 2


def test_nothing_goes_by_a_branch_of_nothing_and_it_is_still_named():
    svg = flow(PLACES, [Branch("cane", "juice", 100.0), Branch("cane", "bagasse", 0.0)]).wide
    assert "25.00 t lost" in texts(svg)
    assert "NaN" not in svg


def test_a_flow_carries_no_style_that_the_policy_of_pages_refuses():
    drawn = flow(PLACES, BRANCHES)
    assert not re.search(r"style|class=|<script|href", drawn.wide + drawn.narrow)
