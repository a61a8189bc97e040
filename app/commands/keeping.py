"""Commands that keep the ledger safe: backups, restoring them, trying that, upgrades."""

import argparse
import sys
import time
from pathlib import Path
from typing import Any

from app.commands.common import now, spoken, the_ledger
from app.settings import Settings


def add(commands: Any) -> None:
    """Add the commands of this module."""
    backup = commands.add_parser(
        "backup", help="copy the ledger, in use or not, and check the copy"
    )
    backup.add_argument("folder", type=Path, help="where backups are kept")
    backup.add_argument("--also", type=Path, metavar="FOLDER", help="on a second device")
    backup.set_defaults(run=_backup)

    restore = commands.add_parser("restore", help="put a backup in the place of the ledger")
    restore.add_argument("file", type=Path, help="the backup")
    restore.add_argument("--replace", action="store_true", help="even if a ledger is there")
    restore.add_argument("--another-ledger", action="store_true", help="even if it is not the same")
    restore.add_argument(
        "--yes-replace", metavar="MILL", help="its mill’s name, to be asked nothing"
    )
    restore.set_defaults(run=_restore)

    drill = commands.add_parser("drill", help="try to restore the newest backup, elsewhere")
    drill.add_argument("folder", type=Path, help="where backups are kept")
    drill.set_defaults(run=_drill)

    upgrade = commands.add_parser("upgrade", help="bring an older ledger up to this program")
    upgrade.add_argument("--folder", type=Path, help="for the backup made first")
    upgrade.set_defaults(run=_upgrade)


def _backup(chosen: argparse.Namespace) -> int:
    from app.database import reading
    from app.keeping import backups
    from app.keeping.fitness import must_be_up_to_date

    engine, at, began = the_ledger(), now(), time.monotonic()
    with reading(engine) as connection:
        must_be_up_to_date(connection)
        starts = backups.season_starts(connection)
    made = backups.back_up(engine, chosen.folder, at=at)
    backups.record(engine, "backup", made.path, made.head, at)
    print(f"{made.path}: {made.head.number} events, sound ({time.monotonic() - began:.1f} s)")
    print(f"Its chain ends at {made.head.short}")
    places = [chosen.folder]
    if chosen.also:
        copy = backups.copy_to(made.path, chosen.also)
        backups.record(engine, "backup", copy, made.head, at)
        print(f"{copy}: the same")
        places.append(chosen.also)
    for place in places:
        for gone in backups.prune(place, starts, sound=place / made.path.name):
            print(f"{gone}: taken away, newer ones are kept")
    return 0


def _restore(chosen: argparse.Namespace) -> int:
    from app.database import file_of, open_database
    from app.keeping import restoring
    from app.keeping.copies import examine

    backup = examine(chosen.file)
    print(f"{backup.path}: {backup.mill}, {backup.head.number} events, sound")
    url = Settings().database_url
    engine = open_database(url, create=True)
    path = file_of(engine)
    if path is None:
        restoring.restore_postgresql(backup, engine)
    else:
        if path.exists():
            _may_replace(chosen, restoring.present(engine, backup), backup.mill)
        engine.dispose()
        at = now()
        was_there = path.exists()
        restoring.restore_sqlite(backup, path, at)
        if was_there:
            print(f"What was there is kept as {restoring.kept_name(path, at)}")
    print("Restored. If serving says that it is older: mill-ledger upgrade")
    return 0


def _may_replace(chosen: argparse.Namespace, there: Any, mill: str) -> None:
    """Return where what is there may be replaced; ValueError says why it may not."""
    name = there.mill or mill
    if there.is_another:
        print(f"The ledger of {name} that is there is another one than the backup’s.")
    else:
        print(there.loses or "Nothing of the ledger that is there would be lost.")
    if not chosen.replace:
        raise ValueError(f"A ledger of {name} is there already. To replace it: --replace")
    if there.is_another and not chosen.another_ledger:
        raise ValueError(
            f"The backup is of {mill} and another ledger than that of {name} which is there: their "
            "chains differ. To replace it all the same: --another-ledger"
        )
    typed = chosen.yes_replace
    if typed is None:
        if not sys.stdin.isatty():
            raise ValueError("Nobody is there to ask; say so with --yes-replace MILL")
        typed = input(f"Type the mill’s name, {name}, to replace its ledger: ")
    if typed.strip() != name:
        raise ValueError(f"{typed} is not {name}: nothing was replaced")


def _drill(chosen: argparse.Namespace) -> int:
    from app.keeping import backups

    done = backups.drill(chosen.folder)
    backups.record(the_ledger(), "drill", done.backup, done.head, now())
    when = f", written up to {spoken(done.head.at)}" if done.head.at else ""
    print(f"{done.backup}: restored elsewhere and sound in {done.seconds:.1f} s{when}")
    return 0


def _upgrade(chosen: argparse.Namespace) -> int:
    from app.database import file_of, reading
    from app.keeping import backups
    from app.keeping.fitness import known_revision, must_be_a_ledger
    from app.keeping.upgrading import upgrade
    from app.locks import alone

    engine, at = the_ledger(), now()
    path = file_of(engine)
    if path:
        must_be_a_ledger(path)
        with alone(path):  # nobody serves it
            pass
    with reading(engine) as connection:
        revision, known = known_revision(connection)
    if revision == known.get_current_head():
        print("The ledger is up to date")
        return 0
    made = backups.back_up(engine, chosen.folder or (path.parent if path else Path()), at=at)
    print(f"{made.path}: the ledger as it was, sound")
    upgrade(engine)
    backups.record(engine, "backup", made.path, made.head, at)
    print(f"Brought up from “{revision}” to “{known.get_current_head()}”")
    return 0
