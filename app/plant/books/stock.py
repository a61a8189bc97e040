"""The books of stock-taking: the vessels with their tables, and what was dipped in each."""

import re
from bisect import bisect_left
from collections.abc import Mapping
from itertools import pairwise
from typing import Any

from app.language import _
from app.plant.books.declare import (
    MEAN,
    SUM,
    Book,
    Gives,
    Roll,
    Value,
    Worked,
    choice,
    number,
    text,
    time,
)
from app.plant.books.others import Alone, once_a_shift
from app.plant.typed import both_readings, read
from app.plant.vessels import VESSELS

DIPPED = {"yes": "Yes", "no": "No, out of use"}
LONGEST_TABLE = 1500
HIGHEST, LARGEST = 30, 5000  # m and m³: no vessel is dipped deeper, or holds more

Table = list[tuple[float, float]]


class NoTable(ValueError):
    """What was typed is no table of volumes; the message says why."""


def table_of(words: str) -> Table:
    """Return the pairs of level, m, and volume, m³, of a table as it is typed: 0=0; 1.5=21.3.

    Raises NoTable for fewer than two pairs, a level that does not rise, and a volume that falls.
    """
    pairs = [_pair(pair) for pair in _pairs(words)]
    if len(pairs) < 2:
        raise NoTable(_("A table has at least two pairs of level and volume, as 0=0; 1.5=21.3"))
    for (level, volume), (higher, more) in pairwise(pairs):
        if higher <= level:
            raise NoTable(
                _("Levels rise from pair to pair: {higher} comes after {level}",
                  higher=f"{higher:g}", level=f"{level:g}")
            )  # fmt: skip
        if more < volume:
            raise NoTable(
                _("A volume does not fall as the level rises: {more} m³ comes after {volume} m³",
                  more=f"{more:g}", volume=f"{volume:g}")
            )  # fmt: skip
    return pairs


def _pairs(words: str) -> list[str]:
    return re.sub(r"\s*=\s*", "=", words).replace(";", " ").split()


def _pair(words: str) -> tuple[float, float]:
    try:
        level, volume = (read(part)[1] for part in words.split("="))
    except ValueError:
        level = volume = None
    if level is None or volume is None:
        raise NoTable(
            _("{typed} is no pair of level and volume: write it as 1.5=21.3", typed=words)
        )
    return float(level), float(volume)


def volume_at(table: Table, level: float) -> float | None:
    """Return the volume at a level, on straight lines between the points of a table.

    None below the first point and above the last: nothing is read beyond what was surveyed.
    """
    place = bisect_left(table, level, key=lambda point: point[0])
    if place == len(table) or level < table[0][0]:
        return None
    right, more = table[place]
    if level == right:
        return more
    left, volume = table[place - 1]
    return volume + (more - volume) * (level - left) / (right - left)


def sound_table(values: Mapping[str, Value]) -> dict[str, str]:
    """Refuse a table that cannot be read, or is none."""
    words = f"{values.get('table', '')}"
    try:
        for level, volume in table_of(words) if words else ():
            if level < 0 or volume < 0:
                raise NoTable(_("Neither a level nor a volume is below 0"))
        for pair in _pairs(words):
            _refuse_two_readings(pair)
    except NoTable as why:
        return {"table": str(why)}
    return {}


def _refuse_two_readings(pair: str) -> None:
    """Refuse what may be a decimal or thousands, as in the fields of a dip."""
    for part, most in zip(pair.split("="), (HIGHEST, LARGEST), strict=True):
        readings = both_readings(part)
        if readings and float(readings[0]) <= most:
            raise NoTable(_("{typed}: write {one} or {other}", typed=pair, one=readings[0],
                            other=readings[1]))  # fmt: skip


CALIBRATIONS = Book(
    "calibrations",
    "Vessels and their tables",
    "vessel",
    "stock",
    "Each vessel that is dipped at stock-taking, to which group of the stock it belongs, and its "
    "table of volumes by level. It holds from its shift on, in later seasons too; written anew, as "
    "after a survey or where a vessel goes out of use, it holds from then on and dips before keep "
    "the old one. At stock-taking all vessels of a group are dipped: one that is empty has the "
    "volume 0.",
    (
        text("vessel", "Vessel", needed=True, hint="code"),
        text("title", "What it is", needed=True),
        choice("group", "Group", VESSELS, needed=True),
        text(
            "table", "Table of volumes", longest=LONGEST_TABLE,
            hint="level in m = volume in m³, as 0=0; 1.5=21.3; blank where volumes are entered",
        ),
        text("surveyed", "How it was surveyed", hint="by whom, when"),
        choice("dipped", "Dipped at stock-taking", DIPPED, hint="yes, where it is blank"),
    ),
    rules=(sound_table,),
    alone=(Alone(("vessel",), once_a_shift("vessel")),),
    lasts=True,
    caution="A vessel is measured from outside, or empty, cool and with a permit: tanks are "
    "confined spaces.",
)  # fmt: skip


def group(calibration: Mapping[str, str]) -> str:
    """To which group of the stock the vessel belongs."""
    return calibration["group"]


def volume_taken(
    calibration: Mapping[str, str], level: float | None = None, volume: float | None = None
) -> float | None:
    """Volume as entered, else by the level and the table of the vessel."""
    if volume is not None or level is None or "table" not in calibration:
        return volume
    return volume_at(table_of(calibration["table"]), level)


def volume_of_brix(volume_taken: float, brix: float) -> float:
    """By what a purity is weighed where vessels of one group are put together."""
    return volume_taken * brix / 100


def dipped(values: Mapping[str, Value]) -> dict[str, str]:
    """Ask for a level or a volume."""
    if "level" in values or "volume" in values:
        return {}
    return {"level": _("Enter the level, or the volume; 0 where the vessel is empty")}


def within_table(values: Mapping[str, Any]) -> dict[str, str]:
    """Refuse a vessel that nobody described, and a level of which its table says nothing."""
    calibration, vessel = values.get("calibration"), values["vessel"]
    if calibration is None:
        words = _("There is no vessel {vessel} yet: write it in the book of vessels first",
                  vessel=vessel)  # fmt: skip
        return {"vessel": words}
    if "volume" in values or "level" not in values:
        return {}
    if "table" not in calibration:
        return {"volume": _("{vessel} has no table: enter its volume", vessel=vessel)}
    table = table_of(calibration["table"])
    if volume_at(table, values["level"]) is None:
        return {
            "level": _(
                "The table of {vessel} goes from {low} to {high} m: nothing is read beyond it",
                vessel=vessel, low=f"{table[0][0]:g}", high=f"{table[-1][0]:g}",
            )
        }  # fmt: skip
    return {}


DIPS = Book(
    "dips",
    "Stock-taking by vessel",
    "dip",
    "stock",
    "What each vessel held as stock was taken. Its volume follows from the level by straight lines "
    "in its table, never beyond it. A group of vessels holds the sum of their volumes; its brix "
    "and temperature are means by volume, its purity by volume × brix. Until every vessel of a "
    "group is dipped the group has no volume, for a vessel that was not dipped is not empty.",
    (
        text("vessel", "Vessel", needed=True, hint="code"),
        time("at", "Dipped", needed=True),
        number("level", "Level", "m", 3, (0, 12), (0, HIGHEST)),
        number("volume", "Volume", "m³", 2, None, (0, LARGEST), hint="where there is no table"),
        number("temperature", "Temperature", "°C", 1, (40, 100), (5, 110)),
        number("brix", "Brix", "°Bx", 2, None, (0, 100)),
        number("purity", "Purity", "%", 2, (30, 99.5), (10, 100)),
    ),
    worked=(
        Worked("group", "", "", 0, "that of the vessel", group),
        Worked(
            "volume_taken", "Volume taken", "m³", 2,
            "volume, else by the level and the table of the vessel", volume_taken,
        ),
        Worked("volume_of_brix", "", "", 3, "volume × brix ÷ 100", volume_of_brix),
    ),
    gives=tuple(
        each
        for name in VESSELS
        for where in [{"group": (name,)}]
        for each in (
            Gives(f"{name}_volume", "volume_taken", SUM, where=where),
            Gives(f"{name}_temperature", "temperature", MEAN, "volume_taken", where),
            Gives(f"{name}_brix", "brix", MEAN, "volume_taken", where, each=True),
            Gives(f"{name}_purity", "purity", MEAN, "volume_of_brix", where, each=True),
        )
    ),
    refers={"calibration": ("calibrations", "vessel")},
    rules=(dipped,),
    against=(within_table,),
    alone=(Alone(("vessel",), once_a_shift("vessel")),),
    roll=Roll("calibrations", "vessel", "group", ("dipped", "no")),
    caution="Hot contents and vapour scald whoever opens a lid; hatches and ladders are climbed "
    "with a hand free; tanks are confined spaces: nobody goes in without a permit.",
)  # fmt: skip
