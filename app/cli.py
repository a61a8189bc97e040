"""The commands of the ledger: to set it up, serve it, compute without it, and verify it."""

import argparse
import getpass
import json
import sys
from collections.abc import Callable, Mapping, Sequence
from contextlib import suppress
from datetime import UTC, date, datetime
from pathlib import Path
from typing import Any

from app.plant.typed import Unreadable, number
from app.settings import Settings

DEMO_CLOCK = datetime(2026, 10, 28, 8, 20, tzinfo=UTC)


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command; 0 where it did what it says, 1 where it found a fault, 2 for bad input."""
    chosen = _parser().parse_args(arguments)
    try:
        return int(chosen.run(chosen))
    except (ValueError, LookupError, OSError) as problem:
        print(f"mill-ledger: {problem}", file=sys.stderr)
        return 2
    except KeyboardInterrupt:
        return 130


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="mill-ledger",
        description="The daily chemistry ledger of a cane sugar mill.",
        epilog="Try: mill-ledger demo",
        allow_abbrev=False,
    )
    commands = parser.add_subparsers(required=True, metavar="COMMAND")
    _to_start(commands)
    _to_set(commands)
    _to_check(commands)
    return parser


def _to_start(commands: Any) -> None:
    demo = commands.add_parser("demo", help="make an invented season and serve it")
    demo.add_argument("--database", default="demo.db", help="file to make (default: demo.db)")
    _address(demo)
    demo.set_defaults(run=_demo)

    init = commands.add_parser("init", help="make the ledger of a mill and its first administrator")
    init.add_argument("--mill", required=True, help="name of the mill")
    init.add_argument("--place", default="", help="where it stands")
    init.add_argument("--zone", required=True, help="time zone, such as Africa/Nairobi")
    init.add_argument("--day-starts", default="06:00", help="local time the factory day begins")
    init.add_argument("--shifts", type=int, choices=(2, 3), default=3, help="shifts a day")
    init.add_argument("--plant", choices=("tandem", "diffuser"), default="tandem")
    init.add_argument("--mills", type=int, choices=range(1, 8), default=5, help="in the tandem")
    init.add_argument("--season", required=True, help="name of the season, such as 2026")
    init.add_argument("--first-day", type=date.fromisoformat, required=True, help="YYYY-MM-DD")
    init.add_argument("--administrator", required=True, help="user name of the administrator")
    init.set_defaults(run=_init)

    serve = commands.add_parser("serve", help="serve the ledger to browsers")
    _address(serve)
    serve.set_defaults(run=_serve)


def _to_set(commands: Any) -> None:
    season = commands.add_parser("season", help="begin another season")
    season.add_argument("name", help="such as 2027")
    season.add_argument("--first-day", type=date.fromisoformat, required=True, help="YYYY-MM-DD")
    season.add_argument("--last-day", type=date.fromisoformat, help="YYYY-MM-DD, once known")
    season.set_defaults(run=_season)

    convention = commands.add_parser("convention", help="choose a convention from a day on")
    convention.add_argument("name", help="such as standard_molasses_brix")
    convention.add_argument("value", help="one of its choices, or a number")
    convention.add_argument("--source", required=True, help="who says so")
    _dated(convention)
    convention.set_defaults(run=_convention)

    target = commands.add_parser("target", help="set the target of a figure from a day on")
    target.add_argument("figure", help="such as pol_extraction")
    target.add_argument("value", type=_number, help="such as 96.5 or 96,5")
    _dated(target)
    target.set_defaults(run=_target)

    uncertainty = commands.add_parser("uncertainty", help="state how sure a measure is, from a day")
    uncertainty.add_argument("measure", help="such as mixed_juice_brix")
    uncertainty.add_argument("--random", type=_number, required=True, help="standard, of one")
    uncertainty.add_argument("--systematic", type=_number, required=True, help="standard, of all")
    uncertainty.add_argument("--relative", action="store_true", help="both are %% of the value")
    uncertainty.add_argument("--source", required=True, help="who says so")
    _dated(uncertainty)
    uncertainty.set_defaults(run=_uncertainty)


def _number(text: str) -> float:
    try:
        return float(number(text))
    except Unreadable:
        raise argparse.ArgumentTypeError(f"{text} is no number like 96.5 or 96,5") from None


def _to_check(commands: Any) -> None:
    compute = commands.add_parser("compute", help="work figures out of a JSON file, no database")
    compute.add_argument("file", help="JSON file, or - for standard input")
    compute.set_defaults(run=_compute)

    figures = commands.add_parser("figures", help="list every figure, measure and convention")
    figures.add_argument("--json", action="store_true", help="as JSON, with all that is known")
    figures.set_defaults(run=_figures)

    verify = commands.add_parser("verify", help="check what pages read against the entries")
    verify.set_defaults(run=_verify)


def _dated(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--since", type=date.fromisoformat, required=True, help="YYYY-MM-DD")
    parser.add_argument("--by", required=True, help="user name of the administrator who says it")


def _address(parser: argparse.ArgumentParser) -> None:
    settings = Settings()
    parser.add_argument("--host", default=settings.host, help=f"default {settings.host}")
    parser.add_argument("--port", type=int, default=settings.port, help=f"default {settings.port}")


def _demo(chosen: argparse.Namespace) -> int:
    from app import demo
    from app.database import migrate, open_database

    url = f"sqlite:///{chosen.database}"
    if not Path(chosen.database).exists():
        print("Making the demonstration season …", file=sys.stderr)
        making = f"{chosen.database}.making"
        Path(making).unlink(missing_ok=True)
        engine = open_database(f"sqlite:///{making}", create=True)
        migrate(engine)
        demo.fill(engine)
        engine.dispose()
        Path(making).rename(chosen.database)
    print(f"Demonstration ledger: http://{chosen.host}:{chosen.port}/")
    for person in demo.demo_season().demo_season().people:
        print(f"  {person['role']:14} {person['username']:8} password: {person['password']}")
    return _run(
        Settings(database_url=url, demo=True, clock=DEMO_CLOCK, host=chosen.host, port=chosen.port)
    )


def _serve(chosen: argparse.Namespace) -> int:
    return _run(Settings(host=chosen.host, port=chosen.port))


def _run(settings: Settings) -> int:
    import uvicorn

    from app.main import create_app

    uvicorn.run(
        create_app(settings), host=settings.host, port=settings.port, log_level="warning",
        server_header=False,
    )  # fmt: skip
    return 0


def _init(chosen: argparse.Namespace) -> int:
    from app.database import migrate, open_database, writing
    from app.ledger import mills, people

    settings = Settings()
    engine = open_database(settings.database_url, create=True)
    migrate(engine)
    password = getpass.getpass("Password of the administrator (15 characters or more): ")
    at = datetime.now(UTC)
    with writing(engine) as connection:
        with suppress(LookupError):
            raise ValueError(f"this ledger is kept for {mills.the_mill(connection).name} already")
        mill = mills.add_mill(
            connection, name=chosen.mill, place=chosen.place, zone=chosen.zone,
            day_starts=chosen.day_starts, shifts_a_day=chosen.shifts,
            extraction_plant=chosen.plant, mills=chosen.mills, at=at,
        )  # fmt: skip
        mills.add_season(connection, mill, name=chosen.season, first_day=chosen.first_day, at=at)
        people.add_person(
            connection, username=chosen.administrator, printed_name=chosen.administrator,
            role="administrator", password=password, at=at,
        )  # fmt: skip
    print(f"{chosen.mill} is set up in {settings.database_url}. Next: mill-ledger serve")
    return 0


def _season(chosen: argparse.Namespace) -> int:
    from app.database import open_database, writing
    from app.ledger import mills

    with writing(open_database(Settings().database_url)) as connection:
        mill = mills.the_mill(connection)
        if found := mills.season_named(connection, mill, chosen.name):
            raise ValueError(f"season {found.name} is there already, from {found.first_day} on")
        days = {"first_day": chosen.first_day, "last_day": chosen.last_day}
        mills.add_season(connection, mill, name=chosen.name, at=datetime.now(UTC), **days)
    print(f"Season {chosen.name} begins on {chosen.first_day}")
    return 0


def _convention(chosen: argparse.Namespace) -> int:
    from app.figures import CONVENTIONS
    from app.ledger import mills

    convention = _named(chosen.name, CONVENTIONS, "no convention")
    value = str(convention.read(chosen.value))
    _say(chosen, mills.add_convention, name=chosen.name, value=value, source=chosen.source)
    print(f"{convention.title}: {value}, since {chosen.since}")
    return 0


def _target(chosen: argparse.Namespace) -> int:
    from app.ledger import mills
    from app.reports.listing import PUBLIC

    figure = _named(chosen.figure, {f.name: f for f in PUBLIC}, "no figure")
    _say(chosen, mills.add_target, figure=chosen.figure, value=chosen.value)
    print(f"Target of {figure.title}: {chosen.value:g} {figure.unit}, since {chosen.since}")
    return 0


def _uncertainty(chosen: argparse.Namespace) -> int:
    from app.ledger.uncertainty import add_uncertainty
    from app.plant.measures import MEASURES

    measure = _named(chosen.measure, MEASURES, "no measure")
    said = {"random": chosen.random, "systematic": chosen.systematic, "relative": chosen.relative}
    counts = _say(chosen, add_uncertainty, measure=measure.name, source=chosen.source, **said)
    parts = f"random {chosen.random:g}, systematic {chosen.systematic:g}"
    unit = "% of the value" if chosen.relative else measure.unit
    since = f"{chosen.since}" + (f", counting from {counts}" if counts > chosen.since else "")
    print(f"{measure.title}: {parts} {unit}, since {since}")
    return 0


def _named(name: str, known: Mapping[str, Any], none: str) -> Any:
    from app.compute import check_names

    check_names([name], known, none)
    return known[name]


def _say(chosen: argparse.Namespace, add: Callable[..., Any], **values: object) -> Any:
    from app.database import open_database, writing
    from app.ledger import mills, people

    with writing(open_database(Settings().database_url)) as connection:
        may = {p.username: p for p in people.people(connection) if p.role == "administrator"}
        by = _named(chosen.by, may, "no administrator of this ledger")
        mill = mills.the_mill(connection)
        return add(connection, mill, **values, since=chosen.since, by=by, at=datetime.now(UTC))


def _compute(chosen: argparse.Namespace) -> int:
    from app.compute import compute

    text = sys.stdin.read() if chosen.file == "-" else Path(chosen.file).read_text("utf-8")
    try:
        document = json.loads(text)
    except RecursionError:
        raise ValueError(f"{chosen.file} is nested too deeply to be a period") from None
    except ValueError as problem:
        raise ValueError(f"{chosen.file} is not JSON that can be read: {problem}") from None
    json.dump(compute(document), sys.stdout, indent=2, ensure_ascii=False, allow_nan=False)
    print()
    return 0


def _figures(chosen: argparse.Namespace) -> int:
    from app.reports.listing import as_json, as_text

    print(as_json() if chosen.json else as_text())
    return 0


def _verify(_: argparse.Namespace) -> int:
    from app.database import open_database, reading
    from app.ledger import shifts

    with reading(open_database(Settings().database_url)) as connection:
        faults = shifts.differences(connection)
    for fault in faults:
        print(fault)
    print(f"{len(faults)} differences between the entries and what pages read")
    return 1 if faults else 0


if __name__ == "__main__":
    sys.exit(main())
