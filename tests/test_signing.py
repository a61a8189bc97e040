"""Who signs what, what a signature covers, and what comes after it."""

from datetime import timedelta

import pytest
from sqlalchemy import select, text

from app.database import reading, writing
from app.ledger import book, chain, signed, signing, tables
from app.ledger.book import Closed, Late, NeedsReason
from app.ledger.cells import Refused
from app.ledger.signing import Gaps
from tests.archives import take
from tests.bench import NOON

pytestmark = pytest.mark.both_engines

LATER = NOON + timedelta(minutes=1)


def sign(bench, number=1, *, by=None, blank=(), remarks=None):
    with writing(bench.engine) as connection:
        return signing.sign_shift(
            connection, bench.season, bench.day, number, blank=blank, remarks=remarks or {},
            by=by or bench.ann, at=LATER,
        )  # fmt: skip


def approve(bench, by):
    with writing(bench.engine) as connection:
        return signing.approve_day(
            connection, bench.season, bench.day, shifts_a_day=3, by=by, at=LATER
        )


def reopen(bench, number, by, reason="a scale was wrong"):
    with writing(bench.engine) as connection:
        signing.reopen(connection, bench.season, bench.day, number, reason=reason, by=by, at=LATER)


def day(bench):
    return bench.read(signed.signed_day, bench.season, bench.day, 3)


def shift(bench, number=1):
    return day(bench).shifts[number]


def all_shifts(bench):
    for number in (1, 2, 3):
        bench.write("cane", "1250", number=number)
        sign(bench, number)


def test_a_signature_tells_who_when_what_it_means_and_what_it_covers(bench):
    """A-30, A-31"""
    bench.write("cane", "1250")
    sign(bench)
    signature = shift(bench).signature
    assert (signature.recorded_name, signature.role) == ("Ann Field", "chemist")
    assert (signature.meaning, signature.recorded_at, signature.entries) == ("entered", LATER, 1)
    covers = bench.read(signed.covers_shift, bench.season, bench.day, 1)
    assert signature.covers == covers
    assert covers != bench.read(signed.covers_shift, bench.season, bench.day, 2)
    assert shift(bench).whole


def test_a_signature_is_told_in_the_chain(bench):
    bench.write("cane", "1250")
    key = sign(bench)
    with reading(bench.engine) as connection:
        event = connection.execute(
            select(tables.event).order_by(tables.event.c.number.desc()).limit(1)
        ).one()
    assert (event.kind, event.row_id, event.name, event.day) == (
        "signature", key, "Ann Field", bench.day,
    )  # fmt: skip
    assert shift(bench).signature.covers in event.content


def test_what_comes_later_is_not_covered_and_the_signature_stays(bench, chief):
    """A-31: it says that it covers one entry, and that the shift now has two."""
    first = bench.write("cane", "1250")
    sign(bench)
    bench.write("cane", "1205", based_on=first.id, reason="swapped", by=chief)
    now = shift(bench)
    assert (now.signature.entries, now.since, now.whole) == (1, 1, False)
    assert now.signature.covers != bench.read(signed.covers_shift, bench.season, bench.day, 1)


def test_a_shift_with_a_blank_is_not_signed(bench):
    """A-36"""
    bench.write("cane", "1250")
    with pytest.raises(Gaps) as gaps:
        sign(bench, blank=["bagasse_pol"])
    assert gaps.value.blank == ("bagasse_pol",)
    assert shift(bench).signature is None


def test_what_has_no_number_says_why_before_the_shift_is_signed(bench):
    """A-36"""
    bench.write("cane", "1250")
    bench.write("bagasse_pol", "if")
    with pytest.raises(Gaps) as gaps:
        sign(bench, remarks={"bagasse_pol": "  "})
    assert gaps.value.unexplained == ("bagasse_pol",)
    sign(bench, remarks={"bagasse_pol": "polarimeter sent away", "cane": "not asked"})
    assert shift(bench).signature.remarks == {"bagasse_pol": "polarimeter sent away"}


def test_each_sample_without_a_number_says_why_for_itself(bench):
    """A-36"""
    take(bench, "clear_juice_ph", every=2)
    bench.write("clear_juice_ph", "7.1")
    bench.write("clear_juice_ph", "if", sample=2)
    bench.write("clear_juice_ph", "nm", sample=3)
    with pytest.raises(Gaps) as gaps:
        sign(bench, remarks={"clear_juice_ph": "electrode broke"})
    assert gaps.value.unexplained == ("clear_juice_ph-2", "clear_juice_ph-3")
    said = {"clear_juice_ph-2": "electrode broke", "clear_juice_ph-3": "not back yet"}
    sign(bench, remarks=said)
    assert shift(bench).signature.remarks == said


def test_who_entered_nothing_of_a_shift_does_not_sign_it(bench):
    bench.write("cane", "1250")
    with pytest.raises(Refused, match="somebody who entered a result"):
        sign(bench, by=bench.bob)


def test_a_signed_shift_is_signed_again_only_once_something_came(bench, chief):
    first = bench.write("cane", "1250")
    sign(bench)
    with pytest.raises(Refused, match="signed already, by Ann Field"):
        sign(bench)
    bench.write("cane", "1205", based_on=first.id, reason="swapped", by=chief)
    sign(bench, by=chief)
    assert shift(bench).whole


def test_after_signing_a_chemist_no_longer_writes_and_the_chief_chemist_gives_a_reason(
    bench, chief
):
    """A-14"""
    first = bench.write("cane", "1250")
    sign(bench)
    with pytest.raises(Closed, match="signed by Ann Field: the chief chemist corrects it"):
        bench.write("cane", "1205", based_on=first.id, reason="swapped")
    with pytest.raises(NeedsReason):
        bench.write("lime", "1.5", by=chief)
    entry = bench.write("lime", "1.5", reason="weighed but not typed", by=chief)
    assert entry.reason == "weighed but not typed"
    assert shift(bench).since == 1


def test_a_day_is_approved_by_somebody_else_once_its_shifts_are_signed(bench, chief, manager):
    """A-32"""
    bench.write("cane", "1250", number=1)
    sign(bench, 1)
    with pytest.raises(Refused, match="Shifts 2 and 3 are not signed yet"):
        approve(bench, manager)
    for number in (2, 3):
        bench.write("cane", "1250", number=number)
        sign(bench, number)
    first = bench.read(book.sheet, bench.season, bench.day, 1)["cane"]
    bench.write("cane", "1205", based_on=first.id, reason="swapped", by=chief)
    with pytest.raises(Refused, match="somebody who entered and signed nothing of it"):
        approve(bench, chief)
    with pytest.raises(Refused, match="for the chief chemist or the manager"):
        approve(bench, bench.ann)
    approve(bench, manager)
    approval = day(bench).day.signature
    assert (approval.meaning, approval.recorded_name, approval.role) == (
        "approved", "Max Manager", "manager",
    )  # fmt: skip
    assert day(bench).changed == [1]


def test_an_approved_day_takes_nothing_until_it_is_opened_again(bench, chief, manager):
    """A-37"""
    all_shifts(bench)
    approve(bench, manager)
    with pytest.raises(Closed, match="approved by Max Manager"):
        bench.write("lime", "1.5", reason="forgotten", by=chief)
    with pytest.raises(Refused, match="open the day again first"):
        reopen(bench, 1, chief)
    with pytest.raises(Refused, match="for the chief chemist or the manager"):
        reopen(bench, None, bench.ann)
    with pytest.raises(Refused, match="Say in words why"):
        reopen(bench, None, manager, " ")
    reopen(bench, None, manager)
    assert day(bench).day.reopened.reason == "a scale was wrong"
    bench.write("lime", "1.5", reason="forgotten", by=chief)
    approve(bench, manager)
    assert day(bench).day.whole
    with reading(bench.engine) as connection:
        told = connection.execute(
            text("SELECT content FROM event WHERE kind = 'signature' ORDER BY number")
        ).scalars()
        said = [content for content in told if '"number":null' in content]
    assert [("approved" in s, "reopened" in s) for s in said] == [
        (True, False), (False, True), (True, False),
    ]  # fmt: skip


def test_a_shift_that_was_opened_again_is_typed_in_by_chemists(bench, chief):
    first = bench.write("cane", "1250")
    sign(bench)
    reopen(bench, 1, chief)
    assert shift(bench).signature is None
    bench.write("cane", "1205", based_on=first.id, reason="swapped")
    sign(bench)
    assert shift(bench).whole


def test_nothing_is_opened_that_is_not_signed(bench, chief):
    with pytest.raises(Refused, match="Nothing is signed here"):
        reopen(bench, 1, chief)


def test_a_first_entry_long_after_its_shift_says_why_and_is_marked_late(bench):
    """A-03: 59 minutes after the shift it is not late, 61 minutes after it is."""
    ends = bench.mill.clock.shift_bounds(bench.day, 1)[1]
    soon, late = ends + timedelta(minutes=59), ends + timedelta(minutes=61)
    assert not bench.write("cane", "1250", at=soon).late
    with pytest.raises(Late):
        bench.write("lime", "1.5", at=late)
    entry = bench.write(
        "lime", "1.5", at=late, late_reason="typed from paper", observed_by="Bob Stone"
    )
    assert (entry.late, entry.reason, entry.observed_by) == (True, "typed from paper", "Bob Stone")


def test_what_an_instrument_sends_late_needs_no_words(bench):
    late = bench.mill.clock.shift_bounds(bench.day, 1)[1] + timedelta(hours=2)
    entry = bench.write("cane", "1250", at=late, instrument="scale 1")
    assert (entry.late, entry.instrument) == (True, "scale 1")


def test_signing_and_writing_at_one_time_leave_a_signature_that_says_what_it_covers(bench, chief):
    """B-51: whatever comes first, a signature that binds all covers exactly what stands."""
    first = bench.write("cane", "1000")
    for n in range(20):
        sign(bench, by=bench.ann if n == 0 else chief)
        covers = bench.read(signed.covers_shift, bench.season, bench.day, 1)
        assert shift(bench).signature.covers == covers
        first = bench.write("cane", f"{1001 + n}", based_on=first.id, reason="again", by=chief)
        assert shift(bench).since == 1


def test_the_head_of_the_chain_moves_with_every_signature(bench):
    bench.write("cane", "1250")
    before = bench.read(chain.head)
    sign(bench)
    after = bench.read(chain.head)
    assert (after.number, after.hash != before.hash) == (before.number + 1, True)
