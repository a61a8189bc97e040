"""The time account: hours crushing and hours stopped by cause are all the hours there were.

Force majeure stands outside: its hours are told, and taken out of the time that was available.
"""

from app.figures.conventions import Convention, convention
from app.figures.declare import ENTERED, Values, figure
from app.figures.sources import COMMON, COMMON_PRACTICE, DEFINITION, READ, Source

STATION = "time"
SEASON_REVIEWS = Source(
    "shares as in the South African season reviews 2007/08 to 2009/10, in a thesis of the "
    "University of KwaZulu-Natal, table 5.1",
    READ,
)
LOST_TIME = Source(
    "fitted: of three definitions tried, the one nearest to the four mills of that table; the "
    "wording of the definition itself was not seen",
    COMMON_PRACTICE,
)

CAUSES = {
    "no_cane": "Lack of cane",
    "scheduled_stop": "Scheduled stops",
    "foreign_matter": "Foreign matter",
    "mechanical_stop": "Mechanical stops",
    "electrical_stop": "Electrical stops",
    "process_stop": "Process stops",
    "force_majeure": "Force majeure",
}

convention(
    Convention(
        "stops_left_blank", "A cause of stops that is left blank", "counts as none", "", COMMON,
        "A stop is written down when there is one. A box with a word for a number, such as not "
        "measured, counts as none too. Hours that nobody told stand among those not accounted for, "
        "and in other stops and lost time. Stricter is: is missing.",
        choices=("counts as none", "is missing"),
    )
)  # fmt: skip


def _as_entered(entered: Values) -> Values:
    """Hours stopped for this cause, as told on each shift, summed."""
    return entered


def _none(crushing_hours: Values) -> Values:
    return 0 * crushing_hours


for _cause, _title in CAUSES.items():
    figure(
        f"{_title}, hours", unit="h", decimals=2, formula="as entered", source=DEFINITION,
        station=STATION, kind="adds", name=f"{_cause}_hours",
        inputs=(f"{ENTERED}{_cause}_hours",),
    )(_as_entered).otherwise(
        "none, where hours crushing are told", when={"stops_left_blank": ("counts as none",)},
        inputs=("crushing_hours",),
    )(_none)  # fmt: skip


@figure(
    "Stops of every cause, hours", unit="h", decimals=2, formula="as entered", source=DEFINITION,
    station=STATION, kind="adds",
)  # fmt: skip
def stopped_hours(entered_stopped_hours: Values) -> Values:
    """Hours in which crushing stood still, of every cause, summed."""
    return entered_stopped_hours


@stopped_hours.otherwise("sum of the hours of each cause")
def _of_each_cause(
    no_cane_hours: Values, scheduled_stop_hours: Values, foreign_matter_hours: Values,
    mechanical_stop_hours: Values, electrical_stop_hours: Values, process_stop_hours: Values,
    force_majeure_hours: Values,
) -> Values:  # fmt: skip
    within = no_cane_hours + scheduled_stop_hours + foreign_matter_hours + force_majeure_hours
    return within + mechanical_stop_hours + electrical_stop_hours + process_stop_hours


@figure(
    "Hours available", unit="h", decimals=2, formula="hours in the period - force majeure",
    source=SEASON_REVIEWS, station=STATION, kind="adds",
)  # fmt: skip
def available_hours(gross_hours: Values, force_majeure_hours: Values) -> Values:
    """Gross time of which the account is made: all hours but those of force majeure."""
    return gross_hours - force_majeure_hours


@figure(
    "Other stops, with hours told for no cause", unit="h", decimals=2,
    formula="hours available - hours crushing - hours of scheduled stops - hours of lack of cane "
    "- hours of foreign matter, so that hours told for no cause are in it",
    source=SEASON_REVIEWS, station=STATION, kind="adds",
)  # fmt: skip
def other_stop_hours(
    available_hours: Values,
    crushing_hours: Values,
    scheduled_stop_hours: Values,
    no_cane_hours: Values,
    foreign_matter_hours: Values,
) -> Values:
    """The rest: mechanical, electrical and process stops, and all hours not accounted for.

    Hours stand here unless they are told for lack of cane, a scheduled stop or foreign matter.
    """
    outside = scheduled_stop_hours + no_cane_hours + foreign_matter_hours
    return available_hours - crushing_hours - outside


@figure(
    "Stops not accounted for, hours", unit="h", decimals=2,
    formula="hours of other stops - hours of mechanical stops - hours of electrical stops "
    "- hours of process stops",
    source=DEFINITION, station=STATION, kind="adds",
)  # fmt: skip
def unaccounted_stop_hours(
    other_stop_hours: Values,
    mechanical_stop_hours: Values,
    electrical_stop_hours: Values,
    process_stop_hours: Values,
) -> Values:
    """Hours neither crushing nor told for any cause; below zero, some were told twice.

    They count in other stops and in lost time. Many mills ignore stops shorter than 5 or 10
    minutes (common practice), which end up here; more than that is a cause that nobody told.
    """
    told = mechanical_stop_hours + electrical_stop_hours + process_stop_hours
    return other_stop_hours - told


@figure(
    "Overall time efficiency", unit="% available time", decimals=2,
    formula="100 × hours crushing ÷ hours available", source=SEASON_REVIEWS, station=STATION,
)  # fmt: skip
def overall_time_efficiency(crushing_hours: Values, available_hours: Values) -> Values:
    """Share of the time available in which the mill crushed.

    72 to 90 is usual (common practice).
    """
    return 100 * crushing_hours / available_hours


@figure(
    "Time efficiency", unit="% of time", decimals=2,
    formula="100 × hours crushing ÷ hours in the period", source=COMMON, station="milling",
)  # fmt: skip
def time_efficiency(crushing_hours: Values, gross_hours: Values) -> Values:
    """Share of all hours in which the mill crushed, stops of every cause counted."""
    return 100 * crushing_hours / gross_hours


_LINE = "A line of the time account: with time efficiency the four lines of stops add to 100."
_PART = "A part of other stops: mechanical, electrical, process and not accounted for add to them."
_REST = "Hours told for no cause are in it."
for _cause, _title, _note in (
    ("no_cane", "Lack of cane", f"{_LINE} 5 to 14 is usual (common practice)."),
    ("scheduled_stop", "Scheduled stops", _LINE),
    ("foreign_matter", "Foreign matter", _LINE),
    ("other_stop", "Other stops", f"{_LINE} {_REST}"),
    ("mechanical_stop", "Mechanical stops", _PART),
    ("electrical_stop", "Electrical stops", _PART),
    ("process_stop", "Process stops", _PART),
    ("unaccounted_stop", "Stops not accounted for", _PART),
):

    def _share(hours: Values, available_hours: Values) -> Values:
        return 100 * hours / available_hours

    _share.__doc__ = _note
    figure(
        f"{_title} % available time", unit="% available time", decimals=2,
        formula=f"100 × hours of {_title.lower()} ÷ hours available", source=SEASON_REVIEWS,
        station=STATION, name=f"{_cause}_time", inputs=(f"{_cause}_hours", "available_hours"),
    )(_share)  # fmt: skip


@figure(
    "Lost time % available crush time", unit="% crush time", decimals=2,
    formula="100 × hours of other stops ÷ (hours crushing + hours of other stops), "
    "in which hours told for no cause count as lost",
    source=LOST_TIME, station=STATION,
)  # fmt: skip
def lost_time(other_stop_hours: Values, crushing_hours: Values) -> Values:
    """Time lost within the factory while there was cane; 3 to 11 is usual (common practice).

    Hours told for no cause count as lost: see stops not accounted for before the factory is
    blamed. The denominator was fitted to published figures, not read: compare it with other mills'
    only where they reckon alike.
    """
    return 100 * other_stop_hours / (crushing_hours + other_stop_hours)


@figure(
    "Hours crushing per day", unit="h/day", decimals=2,
    formula="24 × hours crushing ÷ hours in the period", source=DEFINITION, station=STATION,
)  # fmt: skip
def crushing_hours_per_day(crushing_hours: Values, gross_hours: Values) -> Values:
    """Hours crushing in each 24; 19 to 21 over a good season (common practice)."""
    return 24 * crushing_hours / gross_hours
