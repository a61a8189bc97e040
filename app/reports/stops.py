"""What the stops of some days come to: by cause, by station, and how long the mill ran between."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from app.plant.streams import STATIONS
from app.plant.utilities import CAUSES
from app.reports.numbers import printed


@dataclass(frozen=True)
class Stop:
    """One stop from its beginning to its end, over as many shifts as it lasted.

    Its hours are without those of a stop that began before it.
    """

    cause: str
    station: str
    begins: datetime
    ends: datetime
    hours: float


@dataclass(frozen=True)
class Group:
    """The stops of one cause or station: how many, their hours and the longest, as printed.

    Stops whose station was not said have no title.
    """

    title: str
    count: int
    hours: str
    longest: str


@dataclass(frozen=True)
class StopsReport:
    """The stops of some days; `running` is the mean time from the end of one to the next."""

    causes: tuple[Group, ...]
    stations: tuple[Group, ...]
    whole: Group
    running: str
    unfinished: int
    others: int


def stops_report(records: Sequence[Mapping[str, Any]]) -> StopsReport:
    """Return what some stops come to.

    Those that did not stop crushing are counted apart, and so are those that have no end yet.
    """
    stopped = [each for each in records if each["crushing"] == "stopped"]
    stops = joined(stopped)
    by_cause, by_station = _grouped(stops, "cause"), _grouped(stops, "station")
    return StopsReport(
        tuple(_group(CAUSES[cause], group) for cause, group in by_cause),
        tuple(_group(STATIONS.get(station, ""), group) for station, group in by_station),
        _group("", stops),
        _running(stops),
        sum("ends" not in each for each in stopped),
        len(records) - len(stopped),
    )


def joined(records: Iterable[Mapping[str, Any]]) -> list[Stop]:
    """Return stops in order, those of one cause and station that touch as one.

    A stop over the change of shift is written on both; one without an end is left out.
    """
    found: list[Stop] = []
    for each in sorted((r for r in records if "ends" in r), key=lambda r: r["begins"]):
        stop = Stop(
            each["cause"], each.get("station", ""), each["begins"], each["ends"], each["counted"]
        )
        before = next((n for n, other in enumerate(found) if _touch(other, stop)), None)
        if before is None:
            found.append(stop)
        else:
            begins, hours = found[before].begins, found[before].hours + stop.hours
            found[before] = Stop(stop.cause, stop.station, begins, stop.ends, hours)
    return found


def _touch(one: Stop, other: Stop) -> bool:
    same = (one.cause, one.station) == (other.cause, other.station)
    return same and one.ends == other.begins


def _grouped(stops: Iterable[Stop], by: str) -> list[tuple[str, list[Stop]]]:
    """Return stops by cause or station, the one of most hours first."""
    groups: dict[str, list[Stop]] = {}
    for stop in stops:
        groups.setdefault(getattr(stop, by), []).append(stop)
    return sorted(groups.items(), key=lambda group: -sum(stop.hours for stop in group[1]))


def _group(title: str, stops: Sequence[Stop]) -> Group:
    hours = [stop.hours for stop in stops]
    return Group(title, len(hours), printed(sum(hours), 2), printed(max(hours, default=0.0), 2))


def _running(stops: Sequence[Stop]) -> str:
    """Return the mean hours from the end of one stop to the beginning of the next."""
    if len(stops) < 2:
        return ""
    ended, between = stops[0].ends, []
    for stop in stops[1:]:
        between.append(max((stop.begins - ended).total_seconds() / 3600, 0.0))
        ended = max(ended, stop.ends)
    return printed(sum(between) / len(between), 2)
