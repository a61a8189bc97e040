"""The way in for programs: results and records by the token of an instrument, as JSON.

No cookie is looked at here, and no token anywhere else.
"""

import time
from collections import deque
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import date, timedelta
from threading import Lock
from typing import Annotated, Literal

from fastapi import APIRouter, HTTPException, Request, Response, Security
from fastapi.concurrency import run_in_threadpool
from fastapi.responses import JSONResponse
from fastapi.security import HTTPAuthorizationCredentials, HTTPBearer
from pydantic import BaseModel, TypeAdapter, ValidationError
from sqlalchemy import Connection

from app.database import reading, writing
from app.language import ENGLISH, _, speaking
from app.ledger import instruments
from app.ledger.incoming_records import take_records
from app.ledger.incoming_results import take_results
from app.ledger.instruments import Instrument
from app.ledger.mills import the_mill
from app.ledger.plan import plan_of
from app.ledger.sent import (
    CONFLICT,
    FORBIDDEN,
    NOWHERE,
    NotTaken,
    SentRecord,
    SentResult,
    read_json,
)
from app.web.api_says import (
    FiguresOfDay,
    RecordsTaken,
    RecordStands,
    ResultsTaken,
    ResultStands,
    WhatIsTaken,
    figures_of_day,
    what_is_taken,
)
from app.web.forms import body_of
from app.web.periods import Finder
from app.web.problems import problem
from app.web.report_says import ReportSaid, report_said
from app.web.report_tables import (
    Made,
    of_day,
    of_month,
    of_return,
    of_run,
    of_season,
    of_shift,
    of_week,
)
from app.web.requests import Day, Now

router = APIRouter(prefix="/api")

LONGEST_BODY = 300_000  # bytes
A_MINUTE = 120  # requests of one instrument

_STATUS = {CONFLICT: 409, NOWHERE: 404, FORBIDDEN: 403}

_BEARER = HTTPBearer(
    scheme_name="token",
    description="The token of an instrument. An administrator sees it once, on the page "
    "Instruments, as the instrument is added.",
    auto_error=False,
)
Token = Annotated[HTTPAuthorizationCredentials | None, Security(_BEARER)]


@dataclass
class Pace:
    """When each instrument asked lately, so that none keeps the others waiting."""

    _asked: dict[int, deque[float]] = field(default_factory=dict)
    _lock: Lock = field(default_factory=Lock)

    def seconds_to_wait(self, key: int) -> int:
        """Return how long an instrument waits before it asks again; 0 where it need not."""
        now = time.monotonic()
        with self._lock:
            asked = self._asked.setdefault(key, deque(maxlen=A_MINUTE))
            if len(asked) == A_MINUTE and now - asked[0] < 60:
                return int(61 - (now - asked[0]))
            asked.append(now)
        return 0


async def _answer(request: Request, work: Callable[[bytes], BaseModel]) -> Response:
    try:
        body = await body_of(request, LONGEST_BODY)
        async with request.app.state.places:
            said = await run_in_threadpool(work, body)
    except NotTaken as why:
        return problem(_STATUS.get(why.kind, 422), why.said())
    except HTTPException as refused:
        return problem(refused.status_code, [refused.detail], refused.headers)
    return JSONResponse(said.model_dump(mode="json"))


def _shown(request: Request, token: HTTPAuthorizationCredentials | None) -> Instrument:
    """Return whose token is shown, if it may ask now."""
    with reading(request.app.state.engine) as connection:
        shown = _whose(connection, token)
    if wait := request.app.state.pace.seconds_to_wait(shown.person.id):
        said = _("An instrument asks at most {count} times a minute", count=A_MINUTE)
        raise HTTPException(429, said, {"Retry-After": f"{wait}"})
    return shown


def _whose(connection: Connection, token: HTTPAuthorizationCredentials | None) -> Instrument:
    shown = instruments.shown_by(connection, token.credentials.strip()) if token else None
    if shown is None:
        said = _("This token is of no instrument that may write here")
        raise HTTPException(401, said, {"WWW-Authenticate": "Bearer"})
    return shown


@contextmanager
def _writing_of(request: Request, token: HTTPAuthorizationCredentials | None) -> Iterator[None]:
    """Let an instrument write while the block runs; keeps why it was refused."""
    shown = _shown(request, token)
    if closed := request.app.state.watch.closed:
        raise HTTPException(503, closed)
    try:
        yield
    except NotTaken as why:
        request.app.state.refusals[shown.person.id] = (request.app.state.clock(), why.said()[0])
        raise


def _back(request: Request) -> timedelta:
    """Return how long after a shift is over an instrument may write into it."""
    return timedelta(days=request.app.state.settings.instrument_days)


@router.post("/results", response_model=ResultsTaken)
async def write_results(request: Request, now: Now, token: Token) -> Response:
    """Write results.

    One or a list, each the first of its place on a sheet: all are written or none. What was sent
    before is answered as then, so sending again is safe. A result that says at belongs to the
    shift that ran then and, where its measure is sampled by the hour, to the last sample that was
    due by then; one of a measure taken once a day or week, to the last shift of that. An
    instrument never corrects: 409 says that something else stands there, which a person corrects.
    """

    def work(body: bytes) -> ResultsTaken:
        with _writing_of(request, token):
            sent = read_json(body, SentResult)
            with writing(request.app.state.engine) as connection:
                # asked again: it may have been revoked while others wrote
                written = take_results(
                    connection, _whose(connection, token), sent, now, _back(request)
                )
        return ResultsTaken(entries=[ResultStands(**each._asdict()) for each in written])

    return await _answer(request, work)


@router.post("/records", response_model=RecordsTaken)
async def write_records(request: Request, now: Now, token: Token) -> Response:
    """Write records of the other books.

    One or a list: consignments of a weighbridge, stops of a control system. All are written or
    none. What was sent before is answered as then, so sending again is safe. A record is sent once
    it is whole; what stands under the same key with other words is answered by 409, and a person
    corrects it.
    """

    def work(body: bytes) -> RecordsTaken:
        with _writing_of(request, token):
            sent = read_json(body, SentRecord)
            with writing(request.app.state.engine) as connection:
                written = take_records(
                    connection, _whose(connection, token), sent, now, _back(request)
                )
        return RecordsTaken(records=[RecordStands(**each._asdict()) for each in written])

    return await _answer(request, work)


@router.get("/measures", response_model=WhatIsTaken)
async def measures(request: Request, now: Now, token: Token) -> Response:
    """Say what the mill takes today.

    Every measure with its unit, its limits and how often it is taken, every other book with its
    fields, and which of them this token may write.
    """

    def work(_body: bytes) -> WhatIsTaken:
        shown = _shown(request, token)
        with reading(request.app.state.engine) as connection:
            mill = the_mill(connection)
            running = mill.clock.shift_at(now)
            return what_is_taken(mill, plan_of(connection, mill), running, shown)

    return await _answer(request, work)


@router.get("/days/{day}", response_model=FiguresOfDay)
async def figures(request: Request, day: Day, now: Now, token: Token) -> Response:
    """Give the figures of a day back.

    As they are known now, at full precision, for any token that may write. A morning report that
    was issued may say otherwise; it is read on its page.
    """

    def work(_body: bytes) -> FiguresOfDay:
        _shown(request, token)
        with reading(request.app.state.engine) as connection:
            find = Finder(connection, now)
            asked = find.day(day)
            return figures_of_day(asked.books, day, over=find.is_over(day, asked.mill))

    return await _answer(request, work)


Kind = Literal["days", "weeks", "months", "seasons"]


@router.get("/reports/{kind}/{name}", response_model=ReportSaid)
async def report(request: Request, kind: Kind, name: str, now: Now, token: Token) -> Response:
    """Give the report of a day, week, month or season back.

    Named as pages name them: days/2027-07-14, weeks/2027-W28, months/2027-07, seasons/2027. As it
    is known now, at full precision, for any token that may write.
    """

    def made(find: Finder) -> Made:
        if kind == "days":
            return of_day(find, _day_named(name))
        return {"weeks": of_week, "months": of_month, "seasons": of_season}[kind](find, name)

    return await _reported(request, now, token, made)


@router.get("/reports/shifts/{day}/{number}", response_model=ReportSaid)
async def report_of_shift(
    request: Request, day: Day, number: int, now: Now, token: Token
) -> Response:
    """Give the sheet of a shift back.

    With its running account, as it is known now, at full precision, for any token that may write.
    """
    return await _reported(request, now, token, lambda find: of_shift(find, day, number))


@router.get("/reports/runs/{first}/{last}", response_model=ReportSaid)
async def report_of_run(
    request: Request, first: Day, last: Day, now: Now, token: Token
) -> Response:
    """Give the report of a run of days back.

    Of the days from first to last of one season, as it is known now, at full precision, for any
    token that may write.
    """
    return await _reported(request, now, token, lambda find: of_run(find, first, last))


@router.get("/reports/seasons/{name}/return", response_model=ReportSaid)
async def return_of_season(request: Request, name: str, now: Now, token: Token) -> Response:
    """Give the return of a season back.

    To its last day that is over and by month, as it is known now, at full precision, for any token
    that may write.
    """
    return await _reported(request, now, token, lambda find: of_return(find, name))


async def _reported(
    request: Request, now: Now, token: Token, made: Callable[[Finder], Made]
) -> Response:
    def work(_body: bytes) -> ReportSaid:
        _shown(request, token)
        with speaking(ENGLISH), reading(request.app.state.engine) as connection:
            return report_said(made(Finder(connection, now))())

    return await _answer(request, work)


def _day_named(name: str) -> date:
    try:
        return TypeAdapter(Day).validate_python(name)
    except ValidationError:
        raise HTTPException(404, _("{name} is not a day.", name=name)) from None
