"""Commands that begin: a demonstration, a mill's own ledger, the server, a code to sign in with."""

import argparse
import sys
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from datetime import UTC, datetime, time, timedelta
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any
from zoneinfo import ZoneInfo

from sqlalchemy import Connection

from app.commands.common import administrator, named, now, read_day
from app.settings import Settings

DEMO_CLOCK = datetime(2026, 10, 28, 8, 20, tzinfo=UTC)
_CODE_LASTS = timedelta(hours=1)


def add(commands: Any) -> None:
    """Add the commands of this module."""
    demo = commands.add_parser("demo", help="make an invented season and serve it")
    demo.add_argument("--database", default="demo.db", help="file to make (default: demo.db)")
    _address(demo)
    demo.set_defaults(run=_demo)

    init = commands.add_parser("init", help="make the ledger of a mill and its first administrator")
    init.add_argument("--mill", type=_filled, required=True, help="name of the mill")
    init.add_argument("--place", default="", help="where it stands")
    init.add_argument("--zone", type=_zone, required=True, help="such as Africa/Nairobi")
    init.add_argument(
        "--day-starts", type=_time, default="06:00", help="local time the factory day begins"
    )
    init.add_argument("--shifts", type=int, choices=(2, 3), default=3, help="shifts a day")
    init.add_argument("--plant", choices=("tandem", "diffuser"), default="tandem")
    init.add_argument("--mills", type=int, choices=range(1, 8), default=5, help="in the tandem")
    init.add_argument("--season", required=True, help="name of the season, such as 2026")
    init.add_argument("--first-day", type=read_day, required=True, help="YYYY-MM-DD")
    init.add_argument("--administrator", required=True, help="user name of the administrator")
    init.add_argument("--printed-name", help="of the administrator (default: the user name)")
    init.set_defaults(run=_init)

    code = commands.add_parser("code", help="print a code with which a person sets a password")
    code.add_argument("username", help="whose")
    code.set_defaults(run=_code)

    serve = commands.add_parser("serve", help="serve the ledger to browsers")
    _address(serve)
    serve.add_argument("--accept-fault", metavar="REASON", help="write in a ledger that has faults")
    serve.add_argument("--accept-share", metavar="REASON", help="serve from a network file system")
    serve.add_argument("--by", help="user name of the administrator who accepts it")
    serve.set_defaults(run=_serve)


def _filled(text: str) -> str:
    if not text.strip():
        raise argparse.ArgumentTypeError("it is empty")
    return text


def _zone(text: str) -> str:
    try:
        return ZoneInfo(text).key
    except (LookupError, ValueError, OSError):
        raise argparse.ArgumentTypeError(f"{text} is no time zone like Africa/Nairobi") from None


def _time(text: str) -> str:
    try:
        return f"{time.fromisoformat(text):%H:%M}"
    except ValueError:
        raise argparse.ArgumentTypeError(f"{text} is no time of day like 06:00") from None


def _address(parser: argparse.ArgumentParser) -> None:
    settings = Settings()
    parser.add_argument("--host", default=settings.host, help=f"default {settings.host}")
    parser.add_argument("--port", type=int, default=settings.port, help=f"default {settings.port}")


def _demo(chosen: argparse.Namespace) -> int:
    from app import demo
    from app.commands.serving import serve
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
        Path(f"{making}-turn").unlink()
    settings = Settings(
        database_url=url, demo=True, clock=DEMO_CLOCK, host=chosen.host, port=chosen.port
    )
    print("Demonstration ledger. Who may sign in:")
    for person in demo.demo_season().demo_season().people:
        print(f"  {person['role']:14} {person['username']:8} password: {person['password']}")
    return serve(settings, share_accepted=True)


def _serve(chosen: argparse.Namespace) -> int:
    from app.commands.serving import serve

    settings = Settings(host=chosen.host, port=chosen.port)
    if chosen.accept_fault or chosen.accept_share:
        _accept(chosen, settings)
    return serve(settings, share_accepted=bool(chosen.accept_share))


def _accept(chosen: argparse.Namespace, settings: Settings) -> None:
    from app.database import file_of, open_database, reading, writing
    from app.keeping.fitness import share_of
    from app.keeping.signs import accept
    from app.ledger import soundness

    if not chosen.by:
        raise ValueError("Say who accepts it: --by NAME")
    engine = open_database(settings.database_url)
    file, found = file_of(engine), []
    if chosen.accept_fault:
        with reading(engine) as connection:
            found = soundness.faults(connection)
        if not found:
            raise ValueError("This ledger has no fault that could be accepted")
    elif file and (kind := share_of(file)):
        found = [soundness.Fault(None, f"kept on a network file system ({kind})")]
    reason = chosen.accept_fault or chosen.accept_share
    with writing(engine) as connection:
        by = administrator(connection, chosen.by)
        accept(connection, found, reason=reason, by=by, at=settings.running_clock()())
    engine.dispose()
    print(f"Accepted by {by.printed_name}, {reason.strip()}:")
    for fault in found:
        print(f"  {fault}")


def _init(chosen: argparse.Namespace) -> int:
    from app.database import migrate, open_database, reading, writing
    from app.keeping.fitness import must_be_up_to_date, revision_of

    settings, at = Settings(), now()
    with TemporaryDirectory() as folder:  # tried there first: what fails leaves nothing behind
        scratch = open_database(f"sqlite:///{folder}/ledger.db", create=True)
        migrate(scratch)
        with writing(scratch) as connection:
            _set_up(connection, chosen, at)
        scratch.dispose()
    engine = open_database(settings.database_url, create=True)
    with reading(engine) as connection:
        if is_there := revision_of(connection) is not None:
            must_be_up_to_date(connection)
    if not is_there:
        migrate(engine)
    with writing(engine) as connection:
        first, code = _set_up(connection, chosen, at)
    print(f"{chosen.mill} is set up in {settings.database_url}. Next: mill-ledger serve")
    _print_code(first, code, settings)
    return 0


def _set_up(connection: Connection, chosen: argparse.Namespace, at: datetime) -> tuple[Any, str]:
    from app.ledger import mills, people

    with suppress(LookupError):
        raise ValueError(f"this ledger is kept for {mills.the_mill(connection).name} already")
    mill = mills.add_mill(
        connection, name=chosen.mill, place=chosen.place, zone=chosen.zone,
        day_starts=chosen.day_starts, shifts_a_day=chosen.shifts,
        extraction_plant=chosen.plant, mills=chosen.mills, at=at,
    )  # fmt: skip
    with _of_option("--season, --first-day"):
        mills.add_season(connection, mill, name=chosen.season, first_day=chosen.first_day, at=at)
    with _of_option("--administrator, --printed-name"):
        first = people.add_person(
            connection, username=chosen.administrator, role="administrator", at=at,
            printed_name=chosen.printed_name or chosen.administrator,
        )  # fmt: skip
    return first, people.give_code(connection, first, by=None, at=at, lasts=_CODE_LASTS)


@contextmanager
def _of_option(names: str) -> Iterator[None]:
    try:
        yield
    except ValueError as problem:
        raise ValueError(f"{names}: {problem}") from None


def _code(chosen: argparse.Namespace) -> int:
    from app.commands.common import the_ledger
    from app.database import writing
    from app.ledger import people

    with writing(the_ledger()) as connection:
        known = {person.username: person for person in people.people(connection)}
        person = named(chosen.username, known, "nobody of this ledger")
        code = people.give_code(connection, person, by=None, at=now(), lasts=_CODE_LASTS)
    _print_code(person, code, Settings())
    return 0


def _print_code(person: Any, code: str, settings: Settings) -> None:
    print(f"Within an hour {person.username} sets a password with this code, which works once:")
    print(f"  {code}")
    print(f"  http://{settings.host}:{settings.port}/set-password")
