"""Draws a picture as SVG: Apache ECharts (vendored) in an engine of its own, without a browser."""

import atexit
import json
import re
from collections.abc import Mapping
from functools import cache, lru_cache
from importlib.resources import files
from threading import Lock
from typing import Any

from py_mini_racer import MiniRacer

from app.language import decimal_sign

# what ECharts asks of a browser though it draws without one, and our ways of writing numbers
SURROUNDINGS = """
var self = this, setTimeout = () => 0, clearTimeout = () => {};
var console = { log() {}, warn() {}, error() {} };
"""
DRAW = """
function draw(text, width, height, decimal) {
  const option = JSON.parse(text);
  const written = (value) => String(value).replace("-", "\\u2212").replace(".", decimal);
  for (const axis of [option.xAxis, option.yAxis].flat()) {
    if (axis && axis.type === "value") axis.axisLabel = { ...axis.axisLabel, formatter: written };
  }
  const picture = echarts.init(null, null, { renderer: "svg", ssr: true, width, height });
  picture.setOption({ animation: false, ...option });
  const drawn = picture.renderToSVGString();
  picture.dispose();
  return drawn;
}
"""
FONT = "Liberation Sans, Arial, Helvetica, sans-serif"

_turn = Lock()


def drawn(option: Mapping[str, Any], width: int, height: int) -> str:
    """Return a picture as an SVG element of so many CSS pixels at most.

    `option` is what ECharts calls so. Texts in it are escaped. The element carries no style and no
    class, which the pages' policy would refuse, and is hidden from screen readers: its table is
    not.
    """
    return _drawn(json.dumps(option), width, height, decimal_sign())


@lru_cache(maxsize=256)
def _drawn(option: str, width: int, height: int, decimal: str) -> str:
    with _turn:
        svg = str(_engine().call("draw", option, width, height, decimal))
    svg = re.sub(r"<style.*?</style>|<!\[CDATA\[.*?\]\]>", "", svg, flags=re.DOTALL)
    svg = re.sub(r' (?:class|pointer-events|ecmeta\w*)="[^"]*"', "", svg)
    svg = re.sub(r' style="([^"]*)"', _as_attributes, svg)
    return svg.replace("<svg ", f'<svg aria-hidden="true" font-family="{FONT}" ', 1)


def _as_attributes(style: re.Match[str]) -> str:
    """Return a style as attributes of the same names; the font is that of the whole picture."""
    pairs = (part.split(":", 1) for part in style[1].split(";") if part.strip())
    kept = [(name.strip(), value.strip()) for name, value in pairs if name.strip() != "font-family"]
    return "".join(f' {name}="{value}"' for name, value in kept)


@cache
def _engine() -> MiniRacer:
    engine = MiniRacer()
    # left to the end of the interpreter, its thread may no longer answer when it is waited for
    atexit.register(engine.close)
    engine.eval(SURROUNDINGS)
    engine.eval((files("app.pictures") / "vendor/echarts-6.1.0.min.js").read_text("utf-8"))
    engine.eval(DRAW)
    return engine
