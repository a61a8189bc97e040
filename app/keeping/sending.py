"""Hands each report out once it is issued, and tries again where that fails."""

import logging
import smtplib
import threading
import time
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from pathlib import Path

from sqlalchemy import Connection, Engine
from sqlalchemy.exc import SQLAlchemyError

from app.database import reading, writing
from app.keeping.delivery import lay, mail, parcel_of
from app.ledger import issues, mills
from app.ledger.handed_out import FOLDER, MAIL, handed_out, issued_since, tell_handed_out
from app.ledger.issues import REPORT, Issue
from app.ledger.mills import Season
from app.settings import Settings

BACK = timedelta(hours=48)  # so that what is turned on later sends no old reports
FAILS = (OSError, smtplib.SMTPException, ValueError)

_LOOK_EVERY = 10.0  # seconds
_FIRST_WAIT, _LONGEST_WAIT = 60.0, 3600.0
_COMMA = ", "  # between addresses, as a letter names them

_log = logging.getLogger("uvicorn.error")


def ways_of(settings: Settings) -> dict[str, str]:
    """Return the ways that reports go, each with to whom or where."""
    found = {}
    if settings.smtp and settings.recipients:
        found[MAIL] = _COMMA.join(settings.recipients)
    if settings.reports_folder:
        found[FOLDER] = str(settings.reports_folder)
    return found


@dataclass
class Trouble:
    """Why an issue could not be handed out the last time, when, and how long it waits.

    `where` is what still lacks it; nothing where it went out and only that was not told.
    """

    why: str
    at: datetime
    where: str
    wait: float = _FIRST_WAIT
    since: float = field(default_factory=time.monotonic)

    @property
    def is_over(self) -> bool:
        """Whether it is time to try again."""
        return time.monotonic() - self.since >= self.wait


@dataclass(frozen=True)
class Gone:
    """What went out: its file's name, who or what took it, who was refused, and with what words."""

    file: str
    where: str
    refused: str = ""
    why: str = ""


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
        self._untold: dict[tuple[str, str], Gone] = {}
        self._over = threading.Event()
        self._thread: threading.Thread | None = None
        self._problem = ""

    def start(self) -> None:
        """Look every few seconds, until `stop`."""
        self._over.clear()
        self._thread = threading.Thread(target=self._run, name="sending", daemon=True)
        self._thread.start()

    def stop(self) -> None:
        """Look no more."""
        self._over.set()
        if self._thread:
            self._thread.join(5)

    @property
    def ails(self) -> str:
        """Why nothing is handed out at all, in words; empty where all is well."""
        if self._thread and not self._thread.is_alive() and not self._over.is_set():
            return "what sends reports has ended: start the ledger again"
        return self._problem

    def _run(self) -> None:
        while not self._over.is_set():
            try:
                self.look()
                self._problem = ""
            except SQLAlchemyError as problem:  # of which the watch tells
                _log.warning("Reports could not be looked at: %s", problem)
            except Exception as problem:  # noqa: BLE001  else nothing would be sent any more
                self._problem = f"reports could not be looked at: {type(problem).__name__}"
                _log.exception("Reports could not be looked at")
            self._over.wait(_LOOK_EVERY)

    def look(self) -> None:
        """Hand out what was issued lately and was not handed out yet, or not by each way."""
        if self._closed():
            return
        for season, issue, way, where in self._waiting():
            trouble = self.troubles.get((issue.name, way))
            if trouble is None or trouble.is_over:
                self._try(season, issue, way, where)

    def _waiting(self) -> list[tuple[Season, Issue, str, str]]:
        with reading(self._engine) as connection:
            seasons = mills.seasons(connection, mills.the_mill(connection))
            return [
                (season, issue, way, where)
                for season, issue in issued_since(connection, seasons, self._clock() - BACK)
                for way, where in self.lacking(connection, season, issue).items()
            ]

    def lacking(self, connection: Connection, season: Season, issue: Issue) -> dict[str, str]:
        """Return by which ways an issue was not handed out yet, each with to whom or where."""
        told = handed_out(connection, season.id, issue.day)
        found = {}
        for way, where in self.ways.items():
            took = {each.where for each in told if (each.issue, each.way) == (issue.name, way)}
            each_of = [where]
            if way == MAIL:
                each_of = where.split(_COMMA)
                took = {address for several in took for address in several.split(_COMMA)}
            if left := [one for one in each_of if one not in took]:
                found[way] = _COMMA.join(left)
        return found

    def _try(self, season: Season, issue: Issue, way: str, where: str) -> None:
        key = issue.name, way
        try:
            if key not in self._untold:
                self._untold[key] = hand_out(self._engine, self._settings, issue, way, where)
            gone = self._untold[key]
            with writing(self._engine) as connection:
                tell_handed_out(connection, season.id, issue, way, gone.where, file=gone.file,
                                by=None, at=self._clock())  # fmt: skip
            del self._untold[key]
        except Exception as problem:  # noqa: BLE001  one that fails must not keep back the others
            self._fail(key, f"{type(problem).__name__}: {problem}", where)
            if not isinstance(problem, FAILS):
                _log.exception("Issue %s, by %s", *key)
            return
        if gone.refused:
            self._fail(key, gone.why, gone.refused)
        else:
            self.troubles.pop(key, None)

    def _fail(self, key: tuple[str, str], why: str, where: str) -> None:
        before = self.troubles.get(key)
        wait = min(2 * before.wait, _LONGEST_WAIT) if before else _FIRST_WAIT
        lacks = "" if key in self._untold else where
        self.troubles[key] = Trouble(why, self._clock(), lacks, wait)
        _log.warning("Issue %s was not handed out by %s: %s", *key, why)


def hand_out(engine: Engine, settings: Settings, issue: Issue, way: str, where: str) -> Gone:
    """Hand an issue out by one way; one of FAILS where it cannot be."""
    with reading(engine) as connection:
        mill = mills.the_mill(connection)
        found = issues.file_of(connection, issue, REPORT)
    if found is None:
        raise ValueError(f"issue {issue.name} has no page")
    parcel = parcel_of(issue, mill.name, *found, settings.language)
    if way != MAIL:
        lay(parcel, Path(where))
        return Gone(parcel.name, where)
    to = where.split(_COMMA)
    refused = mail(parcel, settings, to, issue)
    said = {f"{code} {words.decode(errors='replace')}" for code, words in refused.values()}
    return Gone(
        parcel.name, _COMMA.join(each for each in to if each not in refused),
        _COMMA.join(refused), "; ".join(sorted(said)),
    )  # fmt: skip
