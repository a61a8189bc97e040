"""Signing, approving, issuing and writing at one time: what one reads, none changes meanwhile."""

import threading
from contextlib import suppress
from datetime import timedelta

import pytest

from app.database import reading, writing
from app.ledger import book, chain, issues, people, signed, signing, soundness
from app.ledger.cells import Refused
from tests.bench import NOON, PASSWORD

pytestmark = pytest.mark.both_engines

LATER = NOON + timedelta(minutes=1)
SHIFTS = (1, 2, 3)


def while_open(first, second):
    """Do `first` in a transaction, and before it ends begin `second` in another."""
    begun, found = threading.Event(), []

    def after():
        begun.wait(5)
        with suppress(Refused):
            found.append(second())

    thread = threading.Thread(target=after)
    thread.start()
    with first() as do:
        do()
        begun.set()
        thread.join(0.5)  # the other waits for its turn
        assert thread.is_alive()
    thread.join(10)
    assert not thread.is_alive()
    return found


class Open:
    """A transaction in which something is done, ended with the block."""

    def __init__(self, bench, do):
        self.transaction, self.do = writing(bench.engine), do

    def __enter__(self):
        self.connection = self.transaction.__enter__()
        return lambda: self.do(self.connection)

    def __exit__(self, *gone):
        return self.transaction.__exit__(*gone)


def writes(bench, measure, typed, by, **more):
    cell = book.Typed(measure, typed, **more)
    place = {"season": bench.season, "day": bench.day, "number": 1}
    return lambda c: book.record_sheet(c, **place, cells=[cell], by=by, at=LATER)


def in_its_own(bench, do):
    def run():
        with writing(bench.engine) as connection:
            return do(connection)

    return run


def signs(bench, number, by):
    return lambda c: signing.sign_shift(
        c, bench.season, bench.day, number, blank=(), remarks={}, by=by, at=LATER
    )


def approves(bench, by):
    return lambda c: signing.approve_day(
        c, bench.season, bench.day, shifts_a_day=3, by=by, at=LATER
    )


def signed_shifts(bench):
    for number in SHIFTS:
        bench.write("cane", "1250", number=number)
        in_its_own(bench, signs(bench, number, bench.ann))()


def sound(bench):
    with reading(bench.engine) as connection:
        return soundness.faults(connection) == []


def test_a_signature_covers_what_was_being_written(bench):
    """B-51"""
    bench.write("cane", "1250")
    write = writes(bench, "imbibition", "300", bench.bob)
    while_open(lambda: Open(bench, write), in_its_own(bench, signs(bench, 1, bench.ann)))
    state = bench.read(signed.signed_shift, bench.season, bench.day, 1)
    assert (state.last.entries, state.entries) == (2, 2)
    assert sound(bench)


def test_nobody_approves_a_day_in_which_they_are_writing(bench, chief):
    signed_shifts(bench)
    standing = bench.read(book.sheet, bench.season, bench.day, 1)["cane"].id
    write = writes(bench, "cane", "1205", chief, based_on=standing, reason="swapped")
    found = while_open(lambda: Open(bench, write), in_its_own(bench, approves(bench, chief)))
    assert found == []
    assert bench.read(signed.signed_day, bench.season, bench.day, 3).day.signature is None


def test_no_day_is_approved_with_a_shift_that_is_being_opened_again(bench, chief, manager):
    signed_shifts(bench)

    def reopens(connection):
        signing.reopen(connection, bench.season, bench.day, 1, reason="scale", by=chief, at=LATER)

    found = while_open(lambda: Open(bench, reopens), in_its_own(bench, approves(bench, manager)))
    assert found == []


def test_of_two_who_sign_at_once_one_is_told(bench):
    bench.write("cane", "1250")
    bench.write("imbibition", "300", by=bench.bob)
    found = while_open(
        lambda: Open(bench, signs(bench, 1, bench.ann)),
        in_its_own(bench, signs(bench, 1, bench.bob)),
    )
    assert found == []
    assert len(bench.read(signed.signatures, bench.season, bench.day, bench.day)) == 1


def test_an_issue_holds_all_that_its_chain_number_tells_of(bench, manager):
    """And who writes and who issues at one time do not wait for each other for ever."""
    bench.write("cane", "1250")
    write = writes(bench, "imbibition", "300", bench.bob)

    def issue(connection):
        made, before = issues.next_issue(
            connection, bench.season, bench.day, reason="", by=manager, at=LATER
        )
        stands = book.sheet(connection, bench.season, bench.day, 1)
        files = {"figures.json": ",".join(stands).encode()}
        issues.add_issue(connection, bench.season, made, files=files, supersedes=before, by=manager)
        return made.chain_number, sorted(stands)

    (made,) = while_open(lambda: Open(bench, write), in_its_own(bench, issue))
    assert made[1] == ["cane", "imbibition"]
    assert made[0] == bench.read(chain.head).number - 2


def test_of_two_people_added_at_once_with_one_name_one_is_refused(bench):
    def adds(username):
        who = {"username": username, "printed_name": "Same Name", "role": "auditor"}
        return lambda c: people.add_person(c, **who, password=PASSWORD, at=NOON)

    def second():
        with pytest.raises(ValueError, match="already printed as Same Name"):
            in_its_own(bench, adds("two"))()

    while_open(lambda: Open(bench, adds("one")), second)
    names = [p.printed_name for p in bench.read(people.people)]
    assert names.count("Same Name") == 1
