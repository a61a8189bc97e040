"""Hands each report out once it is issued, and tries again where that fails."""

import logging
import smtplib
import threading
import time
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from pathlib import Path

from sqlalchemy import Engine
from sqlalchemy.exc import SQLAlchemyError

from app.database import reading, writing
from app.keeping.delivery import lay, mail, parcel_of
from app.ledger import issues, mills
from app.ledger.handed_out import FOLDER, MAIL, handed_out, issued_since, tell_handed_out
from app.ledger.issues import REPORT, Issue
from app.ledger.mills import Season
from app.ledger.people import Person
from app.settings import Settings

BACK = timedelta(hours=48)  # so that what is turned on later sends no old reports
FAILS = (OSError, smtplib.SMTPException, ValueError)

_LOOK_EVERY = 10.0  # seconds
_FIRST_WAIT, _LONGEST_WAIT = 60.0, 3600.0

_log = logging.getLogger("uvicorn.error")


def ways_of(settings: Settings) -> dict[str, str]:
    """Return the ways that reports go, each with to whom or where."""
    found = {}
    if settings.smtp and settings.recipients:
        found[MAIL] = ", ".join(settings.recipients)
    if settings.reports_folder:
        found[FOLDER] = str(settings.reports_folder)
    return found


@dataclass
class Trouble:
    """Why an issue could not be handed out the last time, when, and how long it waits."""

    why: str
    at: datetime
    wait: float = _FIRST_WAIT
    since: float = field(default_factory=time.monotonic)

    @property
    def is_over(self) -> bool:
        """Whether it is time to try again."""
        return time.monotonic() - self.since >= self.wait


class Sending:
    """Hands out what is issued, by the ways that are set; told in the chain once it is done."""

    def __init__(
        self,
        engine: Engine,
        settings: Settings,
        *,
        clock: Callable[[], datetime],
        closed: Callable[[], str],
    ) -> None:
        """Send by `settings`; `closed` says why nothing may be written, and then nothing is."""
        self._engine, self._settings = engine, settings
        self._clock, self._closed = clock, closed
        self.ways: Mapping[str, str] = ways_of(settings)
        self.troubles: dict[tuple[str, str], Trouble] = {}
        self._over = threading.Event()

    def start(self) -> None:
        """Look every few seconds, until `stop`."""
        self._over.clear()
        self._thread = threading.Thread(target=self._run, name="sending", daemon=True)
        self._thread.start()

    def stop(self) -> None:
        """Look no more."""
        self._over.set()
        self._thread.join(5)

    def _run(self) -> None:
        while not self._over.is_set():
            try:
                self.look()
            except SQLAlchemyError as problem:
                _log.warning("Reports could not be looked at: %s", problem)
            self._over.wait(_LOOK_EVERY)

    def look(self) -> None:
        """Hand out what was issued lately and was not handed out yet, or not by each way."""
        if self._closed():
            return
        for season, issue, way in self._waiting():
            trouble = self.troubles.get((issue.name, way))
            if trouble is None or trouble.is_over:
                self._try(season, issue, way, trouble)

    def _waiting(self) -> list[tuple[Season, Issue, str]]:
        with reading(self._engine) as connection:
            seasons = mills.seasons(connection, mills.the_mill(connection))
            found = []
            for season, issue in issued_since(connection, seasons, self._clock() - BACK):
                told = handed_out(connection, season.id, issue.day)
                done = {(each.way, each.where) for each in told if each.issue == issue.name}
                found += [(season, issue, w) for w in self.ways if (w, self.ways[w]) not in done]
        return found

    def _try(self, season: Season, issue: Issue, way: str, before: Trouble | None) -> None:
        try:
            hand_out(self._engine, self._settings, season, issue, way, self.ways[way],
                     by=None, at=self._clock())  # fmt: skip
            self.troubles.pop((issue.name, way), None)
        except FAILS as problem:
            wait = min(2 * before.wait, _LONGEST_WAIT) if before else _FIRST_WAIT
            why = f"{type(problem).__name__}: {problem}"
            self.troubles[issue.name, way] = Trouble(why, self._clock(), wait)
            _log.warning("Issue %s was not handed out by %s: %s", issue.name, way, why)


def hand_out(  # noqa: PLR0913  what is handed out where, and who asked for it
    engine: Engine,
    settings: Settings,
    season: Season,
    issue: Issue,
    way: str,
    where: str,
    *,
    by: Person | None,
    at: datetime,
) -> None:
    """Hand an issue out by one way, and tell it in the chain; one of FAILS where it cannot be."""
    with reading(engine) as connection:
        mill = mills.the_mill(connection)
        found = issues.file_of(connection, issue, REPORT)
    if found is None:
        raise ValueError(f"issue {issue.name} has no page")
    parcel = parcel_of(issue, mill.name, *found, settings.language)
    if way == MAIL:
        mail(parcel, settings, where.split(", "), issue)
    else:
        lay(parcel, Path(where))
    with writing(engine) as connection:
        tell_handed_out(connection, season.id, issue, way, where, file=parcel.name, by=by, at=at)
