"""The command that sends an issued report to somebody."""

import argparse
from typing import Any

from app.commands.common import named, now, read_day, the_ledger
from app.settings import Settings, read_addresses


def add(commands: Any) -> None:
    """Add the command of this module."""
    send = commands.add_parser("send", help="send the issued report of a day by mail")
    send.add_argument("day", type=read_day, help="YYYY-MM-DD")
    send.add_argument("--to", required=True, help="addresses, parted by commas")
    send.add_argument("--issue", type=int, help="which issue of that day (default: the last)")
    send.add_argument("--by", required=True, help="user name of who sends it")
    send.set_defaults(run=_send)


def _send(chosen: argparse.Namespace) -> int:
    from app.database import reading, writing
    from app.keeping.sending import FAILS, hand_out
    from app.ledger.handed_out import MAIL, tell_handed_out
    from app.ledger.issues import MAY_ISSUE, issues_of
    from app.ledger.mills import season_of, the_mill
    from app.ledger.people import people

    settings, to = Settings(), read_addresses(chosen.to)
    if not settings.smtp or not settings.mail_from:
        raise ValueError("LEDGER_SMTP and LEDGER_MAIL_FROM say through which server, from whom")
    engine = the_ledger()
    with reading(engine) as connection:
        may = {p.username: p for p in people(connection) if p.active and p.role in MAY_ISSUE}
        by = named(chosen.by, may, "nobody who may issue reports")
        season = season_of(connection, the_mill(connection), chosen.day)
        made = issues_of(connection, season, chosen.day) if season else []
    wanted = [issue for issue in made if chosen.issue in (None, issue.number)]
    if season is None or not wanted:
        raise LookupError(f"No such report of {chosen.day} was issued")
    try:
        gone = hand_out(engine, settings, wanted[-1], MAIL, ", ".join(to))
    except FAILS as problem:
        raise ValueError(f"It was not sent: {problem}") from problem
    with writing(engine) as connection:
        tell_handed_out(
            connection, season.id, wanted[-1], MAIL, gone.where, file=gone.file, by=by, at=now()
        )
    print(f"Issue {wanted[-1].name} was sent to {gone.where}")
    if gone.refused:
        raise ValueError(f"It was not sent to {gone.refused}: {gone.why}")
    return 0
