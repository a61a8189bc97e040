"""Notes: what is said of a result, answers to checks, and what makes an answer stand no more."""

import pytest
from sqlalchemy import select, text
from sqlalchemy.exc import DBAPIError

from app.database import reading, writing
from app.exports.books import books_of
from app.exports.checks import checks_of
from app.ledger import book, notes, signing, tables
from app.ledger.book import Closed
from app.ledger.cells import Refused
from app.ledger.notes import Asks
from app.ledger.plan import plan_of
from app.ledger.signed import signed_shift
from app.ledger.signing import Gaps
from app.plant.samples import Place
from app.reports.checks import LOOKS_BACK
from app.reports.sheet import Filling, measures_of_shift, sheet_of
from tests.bench import NOON


def asked(bench, connection, number=1):
    """What the sheet of a shift is asked."""
    plan, clock, place = plan_of(connection, bench.mill), bench.mill.clock, (bench.day, number)
    standing = book.sheet(connection, bench.season, *place)
    sheet = sheet_of(
        measures_of_shift(plan.on(bench.day).values(), clock, *place),
        Filling(clock, clock.shift_bounds(*place), standing),
    )
    books = books_of(connection, bench.mill, bench.season, bench.day, days_before=LOOKS_BACK)
    return checks_of(connection, bench.mill, bench.season, place, sheet, standing, books)


def say(bench, words, about=None, by=None, number=1):
    about = about or Asks(Place("mixed_juice_brix"))
    with writing(bench.engine) as connection:
        notes.add_notes(
            connection, bench.season, bench.day, number, said={about: words}, by=by or bench.ann,
            at=NOON,
        )  # fmt: skip


def checks(bench, number=1):
    with reading(bench.engine) as connection:
        return asked(bench, connection, number)


@pytest.fixture
def too_much_pol(bench):
    """A mixed juice with more pol than brix, and the question that is asked of it."""
    bench.write("mixed_juice_brix", "12.9")
    bench.write("mixed_juice_pol", "13.1")
    (question,) = checks(bench).open
    return question


@pytest.mark.both_engines
def test_a_check_is_answered_and_the_answer_says_who_when_and_of_what(bench, too_much_pol):
    """C-10"""
    assert too_much_pol.raised.check.name == "pol_under_brix"
    say(bench, "  tested again,  the same ", too_much_pol.about)
    found = checks(bench)
    assert found.open == ()
    (question,) = found.answered
    answer = question.answer
    assert (answer.words, answer.recorded_name) == ("tested again, the same", "Ann Field")
    assert answer.recorded_at == NOON
    standing = bench.read(book.sheet, bench.season, bench.day, 1)
    assert answer.entries == {entry.id for entry in standing.values()}


def test_an_answer_stands_no_more_once_one_of_its_results_is_superseded(bench, too_much_pol):
    say(bench, "tested again", too_much_pol.about)
    pol = bench.trail("mixed_juice_pol")[-1]
    bench.write("mixed_juice_pol", "13.2", based_on=pol.id, reason="read again")
    (question,) = checks(bench).open
    assert question.raised.check.name == "pol_under_brix"
    assert question.about.entries != too_much_pol.about.entries


def test_the_last_of_several_answers_stands(bench, too_much_pol):
    say(bench, "tested again", too_much_pol.about)
    say(bench, "flasks were exchanged", too_much_pol.about, by=bench.bob)
    (question,) = checks(bench).answered
    assert question.answer.words == "flasks were exchanged"


@pytest.mark.both_engines
def test_a_note_on_a_result_is_kept_with_it_and_told_in_the_chain(bench):
    """C-18"""
    entry = bench.write("clear_juice_ph", "7.1")
    about = Asks(Place("clear_juice_ph"), entries=frozenset({entry.id}))
    say(bench, "electrode was changed", about)
    found = checks(bench)
    (note,) = found.noted("clear_juice_ph")
    assert (note.words, note.rule, note.entries) == ("electrode was changed", "", {entry.id})
    assert found.noted("clear_juice_ph-2") == ()
    with reading(bench.engine) as connection:
        query = select(tables.event.c.content, tables.event.c.day)
        content, day = connection.execute(query.where(tables.event.c.kind == "note")).one()
    assert "electrode was changed" in content
    assert day == bench.day


@pytest.mark.both_engines
def test_a_note_is_never_changed_nor_taken_out(bench):
    say(bench, "electrode was changed")
    for statement in ("UPDATE note SET words = 'nothing'", "DELETE FROM note"):
        with pytest.raises(DBAPIError), writing(bench.engine) as connection:
            connection.execute(text(statement))


@pytest.mark.parametrize("words", ["", "   ", "\u202e turned", "x" * 501])
def test_a_note_without_readable_words_is_refused(bench, words):
    with pytest.raises(Refused):
        say(bench, words)


def test_a_shift_is_signed_once_each_check_is_answered(bench, too_much_pol):
    """C-10, ASVS 2.2.3"""
    sign = {"blank": (), "remarks": {}, "by": bench.ann, "at": NOON}
    with writing(bench.engine) as connection, pytest.raises(Gaps) as gaps:
        signing.sign_shift(
            connection, bench.season, bench.day, 1, answers={too_much_pol.about: " "}, **sign
        )
    assert gaps.value.unanswered == (too_much_pol.about,)
    assert checks(bench).open
    with writing(bench.engine) as connection:
        signing.sign_shift(
            connection, bench.season, bench.day, 1, answers={too_much_pol.about: "seen"}, **sign
        )
    assert checks(bench).open == ()


def test_who_signed_a_shift_signs_again_what_the_chief_chemist_corrected(bench, chief):
    """Also where the correction is asked for an answer, which the signer gives."""
    sign = {"blank": (), "remarks": {}, "by": bench.ann, "at": NOON}
    place = (bench.season, bench.day, 1)
    bench.write("mixed_juice_brix", "13.2")
    pol = bench.write("mixed_juice_pol", "11.1")
    with writing(bench.engine) as connection:
        signing.sign_shift(connection, *place, **sign)
    bench.write("mixed_juice_pol", "13.3", based_on=pol.id, reason="read again", by=chief)
    (question,) = checks(bench).open
    with writing(bench.engine) as connection:
        signing.sign_shift(connection, *place, answers={question.about: "seen"}, **sign)
    assert checks(bench).open == ()
    assert bench.read(signed_shift, *place).whole


def test_after_signing_the_chief_chemist_notes_and_after_approval_nobody(bench, chief, manager):
    for number in (1, 2, 3):
        bench.write("cane", "1250", number=number)
        with writing(bench.engine) as connection:
            signing.sign_shift(
                connection, bench.season, bench.day, number, blank=(), remarks={}, by=bench.ann,
                at=NOON,
            )  # fmt: skip
    with pytest.raises(Closed, match="signed by Ann Field"):
        say(bench, "too late")
    say(bench, "scale was set anew", by=chief)
    with writing(bench.engine) as connection:
        signing.approve_day(
            connection, bench.season, bench.day, shifts_a_day=3, by=manager, at=NOON
        )
    with pytest.raises(Closed, match="approved by Max Manager"):
        say(bench, "too late", by=chief)


def test_an_answer_of_a_day_is_of_the_entries_of_all_its_sheets(bench):
    """A correction on the first shift asks the day's check again on the last."""
    for number in (1, 2, 3):
        bench.write("cane", "1800", number=number)
        bench.write("c_massecuite_purity", "57", number=number)
        bench.write("c_massecuite_brix", "96", number=number)
    bench.write("final_molasses", "219", number=3)
    bench.write("final_molasses_brix", "85", number=3)
    bench.write("final_molasses_pol", "42", number=3)
    name = "purity_falls_from_c_massecuite_to_final_molasses"
    (question,) = (q for q in checks(bench, 3).open if q.raised.check.name == name)
    assert len(question.about.entries) == 3 + 3 + 2
    say(bench, "tested again", question.about, number=3)
    assert name not in [q.raised.check.name for q in checks(bench, 3).open]
    first = bench.trail("c_massecuite_purity")[-1]
    bench.write("c_massecuite_purity", "57.5", based_on=first.id, reason="read again")
    assert name in [q.raised.check.name for q in checks(bench, 3).open]
