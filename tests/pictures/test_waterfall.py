"""Waterfalls: each step begins where the one before ended, and is told apart without colour."""

import re
from xml.etree import ElementTree

import pytest

from app.pictures.waterfall import GAIN, LOSS, Step, waterfall
from tests.pictures.test_lines import SVG, texts

STEPS = [Step("Extraction", -0.5, "▼ −0.50"), Step("Filter cake", 0.2, "▲ +0.20")]


def bars(svg: str, style: dict[str, object]) -> list[tuple[float, float]]:
    """The left end and the width of each bar of a style."""
    return [
        tuple(map(float, re.match(r"M([\d.]+) [\d.]+l([\d.]+) 0", path.get("d")).groups()))
        for path in ElementTree.fromstring(svg).iter(f"{SVG}path")
        if (path.get("fill"), path.get("stroke")) == (style["color"], style["borderColor"])
    ]


def drawn(steps=STEPS, start=85.4, end=85.1):
    return waterfall(("Target", start, f"{start:.2f}"), steps, ("27 Oct", end, f"{end:.2f}"))


def test_each_step_is_named_and_says_its_number_and_both_levels_are_told():
    for svg in (drawn().wide, drawn().narrow):
        said = {"Target", "85.40", "Extraction", "▼ −0.50", "Filter cake", "▲ +0.20", "85.10"}
        assert said <= set(texts(svg))
        assert not [text for text in texts(svg) if re.search(r"\d", text) and text not in said
                    | {"27 Oct"}]  # fmt: skip


def test_a_loss_is_a_full_bar_and_a_gain_a_hollow_one_that_begins_where_the_loss_ended():
    svg = drawn().wide
    ((lost_to, lost),), ((gained_from, gained),) = bars(svg, LOSS), bars(svg, GAIN)
    assert gained_from == pytest.approx(lost_to, abs=0.1)
    assert gained / lost == pytest.approx(0.2 / 0.5, rel=0.01)


def test_levels_below_nothing_and_no_change_at_all_are_drawn():
    assert "-5.00" in texts(drawn([Step("Rest", -8.0, "▼ −8.00")], 3.0, -5.0).wide)
    assert "85.40" in texts(drawn([Step("Rest", 0.0, "▲ 0.00")], 85.4, 85.4).wide)


def test_a_waterfall_carries_no_style_that_the_policy_of_pages_refuses():
    assert not re.search(r"style|class=|<script|href", drawn().wide + drawn().narrow)
