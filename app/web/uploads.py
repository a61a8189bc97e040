"""Files that people bring in, kept in memory until they are written or another one comes.

Each is checked, and then written, by a thread of its own, so that no browser waits for it. Where
the server ends meanwhile, nothing was written, and the file is brought again.
"""

import logging
import secrets
from collections.abc import Callable
from contextvars import copy_context
from dataclasses import dataclass, field
from datetime import datetime
from threading import Lock, Thread

from sqlalchemy import Connection, Engine
from sqlalchemy.exc import DBAPIError

from app.database import reading, writing
from app.imports.bringing import Bringing
from app.imports.files import Brought
from app.language import _
from app.ledger.book import Closed
from app.ledger.cells import Refused
from app.ledger.importing import Checked
from app.ledger.people import Person, person_named
from app.ledger.recording import Faulty

READ, CHECKING, CHECKED, WRITING, WRITTEN = "read", "checking", "checked", "writing", "written"

AT_MOST = 4  # files that nobody is working on

_log = logging.getLogger("uvicorn.error")


@dataclass
class Upload:
    """A file that somebody brings in, and how far it is; `trouble` is why that ended early."""

    key: str
    person: Person
    brought: Brought
    stage: str = READ
    done: int = 0
    bringing: Bringing | None = None
    checked: Checked | None = None
    trouble: str = ""
    _lock: Lock = field(default_factory=Lock, repr=False)

    @property
    def busy(self) -> bool:
        """Whether a thread works on it."""
        return self.stage in (CHECKING, WRITING)

    @property
    def may_be_written(self) -> bool:
        """Whether all of it may be written, and something is new."""
        checked = self.checked
        return self.stage == CHECKED and checked is not None and not checked.faults and (
            checked.count > 0
        )  # fmt: skip

    def check(self, bringing: Bringing, engine: Engine, now: datetime) -> None:
        """Begin to check it; does nothing where something is done with it already."""

        def work() -> None:
            with reading(engine) as connection:
                self.checked = bringing.check(connection, now, self._progress)
            self.stage = CHECKED

        if self._begin(CHECKING, READ, CHECKED):
            self.bringing, self.checked = bringing, None
            self._run(work, READ)

    def write(self, engine: Engine, now: datetime) -> None:
        """Begin to write it; does nothing where something is done with it already."""

        def work() -> None:
            assert self.bringing is not None  # noqa: S101  it was checked
            with reading(engine) as connection:
                checked = self.bringing.check(connection, now, self._progress)
            if not checked.faults:
                with writing(engine) as connection:
                    self._refuse_who_may_not(connection)
                    checked = self.bringing.write(connection, checked, by=self.person, at=now)
            self.checked = checked
            self.stage = CHECKED if checked.faults else WRITTEN

        if self._begin(WRITING, CHECKED):
            self._run(work, CHECKED)

    def _refuse_who_may_not(self, connection: Connection) -> None:
        """Raise Refused where the person left, or does other work, while others wrote."""
        person = person_named(connection, self.person.username)
        if person is None or not person.active or person.role != self.person.role:
            raise Refused(_("you may not write here any more"))

    def _progress(self, done: int) -> None:
        self.done = done

    def _begin(self, stage: str, *after: str) -> bool:
        with self._lock:
            if self.stage not in after:
                return False
            self.stage, self.done, self.trouble = stage, 0, ""
            return True

    def _run(self, work: Callable[[], None], before: str) -> None:
        def guarded() -> None:
            try:
                work()
            except (Faulty, Refused, Closed) as why:
                self._ended(str(why), before)
            except TimeoutError:
                self._ended(_("somebody else was writing for too long"), before)
            except DBAPIError:
                self._ended(_("the database did not take it"), before)
            except Exception:  # noqa: BLE001  nobody else would hear of it
                reference = secrets.token_hex(4)
                _log.exception("Bringing in %s failed (%s)", self.brought.short, reference)
                said = _("something went wrong; tell your administrator: {reference}",
                         reference=reference)  # fmt: skip
                self._ended(said, before)

        context = copy_context()  # in which its words are of the language chosen
        Thread(target=context.run, args=(guarded,), name="import", daemon=True).start()

    def _ended(self, why: str, before: str) -> None:
        self.trouble = _("Nothing was written: {why}", why=why)
        self.stage = before


class Uploads:
    """The files that are kept."""

    def __init__(self) -> None:
        self._kept: dict[str, Upload] = {}
        self._lock = Lock()

    def add(self, person: Person, brought: Brought) -> Upload:
        """Keep a file in place of what the same person brought before, and of the oldest ones."""
        upload = Upload(secrets.token_urlsafe(12), person, brought)
        with self._lock:
            idle = [each for each in self._kept.values() if not each.busy]
            mine = [each for each in idle if each.person.id == person.id]
            others = [each for each in idle if each.person.id != person.id]
            for each in [*mine, *others[: max(0, len(others) - AT_MOST + 1)]]:
                del self._kept[each.key]
            self._kept[upload.key] = upload
        return upload

    def of(self, person: Person) -> Upload | None:
        """Return the file that a person brought and that is not written yet, if there is one."""
        with self._lock:
            kept = [each for each in self._kept.values() if each.person.id == person.id]
        return next((each for each in reversed(kept) if each.stage != WRITTEN), None)

    def find(self, key: str, person: Person) -> Upload | None:
        """Return a file that a person brought, if it is still kept."""
        found = self._kept.get(key)
        return found if found and found.person.id == person.id else None
