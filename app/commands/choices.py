"""Commands by which an administrator chooses: seasons, conventions, targets, uncertainties."""

import argparse
from collections.abc import Callable
from typing import Any

from app.commands.common import administrator, dated, named, now, read_day, read_number, the_ledger


def add(commands: Any) -> None:
    """Add the commands of this module."""
    season = commands.add_parser("season", help="begin another season")
    season.add_argument("name", help="such as 2027")
    season.add_argument("--first-day", type=read_day, required=True, help="YYYY-MM-DD")
    season.add_argument("--last-day", type=read_day, help="YYYY-MM-DD, once known")
    season.add_argument("--by", required=True, help="user name of the administrator who says it")
    season.set_defaults(run=_season)

    convention = commands.add_parser("convention", help="choose a convention from a day on")
    convention.add_argument("name", help="such as standard_molasses_brix")
    convention.add_argument("value", help="one of its choices, or a number")
    convention.add_argument("--source", required=True, help="who says so")
    dated(convention)
    convention.set_defaults(run=_convention)

    target = commands.add_parser("target", help="set the target of a figure from a day on")
    target.add_argument("figure", help="such as pol_extraction")
    target.add_argument("value", type=read_number, help="such as 96.5 or 96,5")
    dated(target)
    target.set_defaults(run=_target)

    uncertainty = commands.add_parser("uncertainty", help="state how sure a measure is, from a day")
    uncertainty.add_argument("measure", help="such as mixed_juice_brix")
    uncertainty.add_argument("--random", type=read_number, required=True, help="standard, of one")
    uncertainty.add_argument(
        "--systematic", type=read_number, required=True, help="standard, of all"
    )
    uncertainty.add_argument("--relative", action="store_true", help="both are %% of the value")
    uncertainty.add_argument("--source", required=True, help="who says so")
    dated(uncertainty)
    uncertainty.set_defaults(run=_uncertainty)


def _season(chosen: argparse.Namespace) -> int:
    from app.database import writing
    from app.ledger import mills

    with writing(the_ledger()) as connection:
        mill = mills.the_mill(connection)
        if found := mills.season_named(connection, mill, chosen.name):
            raise ValueError(f"season {found.name} is there already, from {found.first_day} on")
        days = {"first_day": chosen.first_day, "last_day": chosen.last_day}
        by = administrator(connection, chosen.by)
        mills.add_season(connection, mill, name=chosen.name, by=by, at=now(), **days)
    print(f"Season {chosen.name} begins on {chosen.first_day}")
    return 0


def _convention(chosen: argparse.Namespace) -> int:
    from app.figures import CONVENTIONS
    from app.ledger import mills

    convention = named(chosen.name, CONVENTIONS, "no convention")
    value = str(convention.read(chosen.value))
    _choose(chosen, mills.add_convention, name=chosen.name, value=value, source=chosen.source)
    print(f"{convention.title}: {value}, since {chosen.since}")
    return 0


def _target(chosen: argparse.Namespace) -> int:
    from app.ledger import mills
    from app.reports.listing import PUBLIC

    figure = named(chosen.figure, {f.name: f for f in PUBLIC}, "no figure")
    _choose(chosen, mills.add_target, figure=chosen.figure, value=chosen.value)
    print(f"Target of {figure.title}: {chosen.value:g} {figure.unit}, since {chosen.since}")
    return 0


def _uncertainty(chosen: argparse.Namespace) -> int:
    from app.ledger.uncertainty import add_uncertainty
    from app.plant.measures import MEASURES

    measure = named(chosen.measure, MEASURES, "no measure")
    said = {"random": chosen.random, "systematic": chosen.systematic, "relative": chosen.relative}
    counts = _say(chosen, add_uncertainty, measure=measure.name, source=chosen.source, **said)
    parts = f"random {chosen.random:g}, systematic {chosen.systematic:g}"
    unit = "% of the value" if chosen.relative else measure.unit
    since = f"{chosen.since}" + (f", counting from {counts}" if counts > chosen.since else "")
    print(f"{measure.title}: {parts} {unit}, since {since}")
    return 0


def _choose(chosen: argparse.Namespace, add: Callable[..., Any], **values: object) -> None:
    """Say something that decides figures: it reaches into no approved day."""
    from app.database import reading
    from app.ledger import mills
    from app.ledger.desk import desk_of

    with reading(the_ledger()) as connection:
        desk = desk_of(connection, mills.the_mill(connection), now())
    if approved := desk.approved_by(chosen.since):
        raise ValueError(approved)
    _say(chosen, add, **values)


def _say(chosen: argparse.Namespace, add: Callable[..., Any], **values: object) -> Any:
    from app.database import writing
    from app.ledger import mills

    with writing(the_ledger()) as connection:
        by = administrator(connection, chosen.by)
        mill = mills.the_mill(connection)
        return add(connection, mill, **values, since=chosen.since, by=by, at=now())
