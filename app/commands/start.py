"""Commands that begin: a demonstration, a mill's own ledger, the server, a code to sign in with."""

import argparse
import signal
import sys
from contextlib import ExitStack, suppress
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import Any

from app.commands.common import administrator, named, now
from app.settings import Settings

DEMO_CLOCK = datetime(2026, 10, 28, 8, 20, tzinfo=UTC)
_CODE_LASTS = timedelta(hours=1)
_TO_FINISH = 10  # seconds, for what is being answered when the server is told to end


def add(commands: Any) -> None:
    """Add the commands of this module."""
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

    code = commands.add_parser("code", help="print a code with which a person sets a password")
    code.add_argument("username", help="whose")
    code.set_defaults(run=_code)

    serve = commands.add_parser("serve", help="serve the ledger to browsers")
    _address(serve)
    serve.add_argument("--accept-fault", metavar="REASON", help="write in a ledger that has faults")
    serve.add_argument("--accept-share", metavar="REASON", help="serve from a network file system")
    serve.add_argument("--by", help="user name of the administrator who accepts it")
    serve.set_defaults(run=_serve)


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
        Path(f"{making}-turn").unlink()
    settings = Settings(
        database_url=url, demo=True, clock=DEMO_CLOCK, host=chosen.host, port=chosen.port
    )
    print(f"Demonstration ledger: http://{chosen.host}:{chosen.port}/")
    for person in demo.demo_season().demo_season().people:
        print(f"  {person['role']:14} {person['username']:8} password: {person['password']}")
    return _run(settings, share_accepted=True)


def _serve(chosen: argparse.Namespace) -> int:
    settings = Settings(host=chosen.host, port=chosen.port)
    if chosen.accept_fault or chosen.accept_share:
        _accept(chosen, settings)
    return _run(settings, share_accepted=bool(chosen.accept_share))


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


def _run(settings: Settings, *, share_accepted: bool) -> int:
    import uvicorn

    from app.database import file_of, open_database
    from app.keeping.fitness import check_before_serving
    from app.locks import alone
    from app.main import create_app

    engine = open_database(settings.database_url)
    with ExitStack() as held:
        if file := file_of(engine):
            held.enter_context(alone(file))
        for said in check_before_serving(engine, share_accepted=share_accepted):
            print(said, file=sys.stderr)
        engine.dispose()
        # the server repeats the signal that ended it once it has finished: that is no failure
        signal.signal(signal.SIGTERM, lambda *_: None)
        uvicorn.run(
            create_app(settings), host=settings.host, port=settings.port, log_level="warning",
            server_header=False, proxy_headers=False, timeout_graceful_shutdown=_TO_FINISH,
        )  # fmt: skip
    return 0


def _init(chosen: argparse.Namespace) -> int:
    from app.database import migrate, open_database, reading, writing
    from app.keeping.fitness import must_be_up_to_date, revision_of
    from app.ledger import mills, people

    settings = Settings()
    engine = open_database(settings.database_url, create=True)
    with reading(engine) as connection:
        if is_there := revision_of(connection) is not None:
            must_be_up_to_date(connection)
    if not is_there:
        migrate(engine)
    at = now()
    with writing(engine) as connection:
        with suppress(LookupError):
            raise ValueError(f"this ledger is kept for {mills.the_mill(connection).name} already")
        mill = mills.add_mill(
            connection, name=chosen.mill, place=chosen.place, zone=chosen.zone,
            day_starts=chosen.day_starts, shifts_a_day=chosen.shifts,
            extraction_plant=chosen.plant, mills=chosen.mills, at=at,
        )  # fmt: skip
        mills.add_season(connection, mill, name=chosen.season, first_day=chosen.first_day, at=at)
        first = people.add_person(
            connection, username=chosen.administrator, printed_name=chosen.administrator,
            role="administrator", password=None, at=at,
        )  # fmt: skip
        code = people.give_code(connection, first, by=None, at=at, lasts=_CODE_LASTS)
    print(f"{chosen.mill} is set up in {settings.database_url}. Next: mill-ledger serve")
    _print_code(first, code, settings)
    return 0


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
