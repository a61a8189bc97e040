"""Fans: what was, what is likeliest, and the band that opens at the last of what was."""

import re
from xml.etree import ElementTree

import pytest

from app.pictures.fan import BAND, Names, fan
from tests.pictures.test_lines import SVG, texts

NAMES = Names("so far", "likeliest", "8 cases of 10")
DRAWN = fan(["1 Jun", "8 Jun", "15 Jun"], [10, 20], [(25, 30, 35)], NAMES, "t")


def test_every_part_is_named_and_dashes_tell_what_is_not_yet():
    for svg in (DRAWN.wide, DRAWN.narrow):
        assert {"so far", "likeliest", "8 cases of 10", "t"} <= set(texts(svg))
        assert "stroke-dasharray" in svg


def test_the_band_opens_at_the_last_of_what_was_and_reaches_low_and_high():
    paths = ElementTree.fromstring(DRAWN.wide).iter(f"{SVG}path")
    (band,) = [p.get("d") for p in paths if p.get("fill") == BAND and p.get("d").count("L") > 1]
    corners = [tuple(map(float, pair)) for pair in re.findall(r"([\d.]+) ([\d.]+)", band)]
    left, right = min(x for x, _ in corners), max(x for x, _ in corners)
    at_left = {y for x, y in corners if x == left}
    at_right = sorted({y for x, y in corners if x == right})
    assert len(at_left) == 1
    assert len(at_right) == 2
    (opens,) = at_left
    # 25 and 35 lie 5 and 15 above 20, whatever the axis
    assert opens - at_right[0] == pytest.approx(3 * (opens - at_right[1]), rel=1e-3)
    assert opens > at_right[1]
