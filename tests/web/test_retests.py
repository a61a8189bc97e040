"""The tests of one sample: added, corrected, left out of the mean and taken in, all in the open."""

import re
from html import unescape

import pytest

from app.database import writing
from app.ledger import people, signing, uncertainty
from app.ledger.shifts import differences, shift_table
from tests.archives import take
from tests.bench import NOON
from tests.web.conftest import SHEET

PH = "clear_juice_ph"
SECOND = f"{SHEET}/tests/{PH}-2"


def text_of(answer):
    """Return a page as it reads, on one line."""
    return " ".join(unescape(re.sub(r"<[^>]+>", " ", answer.text)).split())


def based_on(page, test):
    form = page.text.partition(f'action="{SECOND}/{test}"')[2]
    return re.search(r'name="based_on" value="(\d+)"', form).group(1)


def change(visitor, test, what, reason="", typed="", **others):
    form = {"what": what, "reason": reason, "typed": typed}
    form |= {"based_on": based_on(visitor.get(SECOND), test)} | others
    return visitor.post(f"{SECOND}/{test}", form)


def result(bench):
    table = bench.read(shift_table, bench.mill, bench.season)
    return float(table.measures[PH][-1])


@pytest.fixture(autouse=True)
def _sampled(bench):
    """Clear juice pH each 2 hours: the first two samples of the shift are typed."""
    take(bench, PH, every=2)
    for sample, typed in enumerate(("7.00", "7.40"), 1):
        bench.write(PH, typed, sample=sample)


def test_a_further_test_makes_the_mean_and_the_sheet_says_so(bench, ann):
    """A-05: the repeat is an entry of its own, and the mean an output."""
    page = ann.get(SECOND)
    assert "Clear juice, pH, 08:00" in text_of(page)
    assert "Add the second test" in text_of(page)
    assert ann.post(SECOND, {"typed": "7,60"}).status_code == 303
    after = text_of(ann.get(SECOND))
    assert "7.50" in after
    assert "2 of 2 count" in after
    assert result(bench) == pytest.approx((7.0 + 7.5) / 2)
    sheet = ann.get(SHEET).text
    assert f'name="result:{PH}-2"' not in sheet
    assert re.search(rf'<output id="{PH}-2"[^>]*>\s*= 7.50', sheet)
    assert bench.read(differences) == []


def test_a_test_is_left_out_for_a_reason_and_stays_seen_with_who_and_why(bench, ann):
    """A-05: the value left out stands on every page of the sample."""
    ann.post(SECOND, {"typed": "7.60"})
    ann.post(SECOND, {"typed": "9.90"})
    refused = change(ann, 3, "left-out")
    assert refused.status_code == 422
    assert "Say why." in refused.text
    assert 'href="#reason-3"' in refused.text
    assert change(ann, 3, "left-out", "electrode was dry").status_code == 303
    page = text_of(ann.get(SECOND))
    assert "2 of 3 count" in page
    assert "Third test 9.90" in page
    assert re.search(r"Ann Field .* left out by Ann Field, .* electrode was dry", page)
    assert result(bench) == pytest.approx((7.0 + 7.5) / 2)
    trail = text_of(ann.get(f"{SHEET}/cells/{PH}"))
    assert "9.90 left out by Ann Field: electrode was dry" in trail
    told = text_of(ann.get(f"/trail?day={bench.day}"))
    assert "Clear juice, pH, 08:00, third test, shift 1" in told
    assert "9.90, left out of the mean" in told
    assert change(ann, 3, "taken-in", "electrode was well").status_code == 303
    assert "3 of 3 count" in text_of(ann.get(SECOND))
    assert "9.90, counts again" in text_of(ann.get(f"/trail?day={bench.day}"))
    assert [entry.state for entry in bench.trail(PH)][-2:] == ["left out", "number"]
    assert bench.read(differences) == []


def test_who_tested_is_told_though_somebody_else_leaves_it_out_and_takes_it_in(bench, ann, visit):
    """A-05, A-06: the page, the book, and so the CSV and the archive, tell of both."""
    ann.post(SECOND, {"typed": "7.60"})
    chief = visit("chief")
    assert change(chief, 2, "left-out", "spilt").status_code == 303
    page = text_of(chief.get(SECOND))
    assert re.search(r"Second test 7.60 pH Ann Field .* left out by Chief Chemist, .* spilt", page)
    stands = bench.trail(PH)[-1]
    assert (stands.recorded_name, stands.observed_by) == ("Chief Chemist", "Ann Field")
    assert "as a pair for the repeatability" in text_of(ann.get(SECOND))
    assert change(chief, 2, "taken-in", "not spilt").status_code == 303
    page = text_of(ann.get(SECOND))
    assert re.search(r"Second test 7.60 pH Ann Field .* counts, taken in again by Chief", page)
    assert bench.trail(PH)[-1].observed_by == "Ann Field"
    assert "as a pair for the repeatability" in text_of(ann.get(SECOND))  # it is still hers
    assert change(chief, 2, "corrected", "exchanged", "7.06").status_code == 303
    assert "Second test 7.06 pH Chief Chemist" in text_of(ann.get(SECOND))


def test_the_only_test_that_counts_is_not_left_out(bench, ann):
    answer = change(ann, 1, "left-out", "spilt")
    assert answer.status_code == 422
    assert "No other test of this sample counts" in text_of(answer)
    assert len(bench.trail(PH)) == 2
    assert "This test was not left out" in text_of(change(ann, 1, "taken-in", "well"))


def test_a_test_is_corrected_on_its_page_and_what_was_typed_is_kept(bench, ann):
    ann.post(SECOND, {"typed": "7.60"})
    answer = change(ann, 2, "corrected", typed="76")
    assert answer.status_code == 422
    assert "Clear juice, pH lies between" in text_of(answer)
    assert 'value="76"' in answer.text
    assert change(ann, 2, "corrected", "exchanged", "7.06").status_code == 303
    assert result(bench) == pytest.approx((7.0 + (7.4 + 7.06) / 2) / 2)
    trail = text_of(ann.get(f"{SHEET}/cells/{PH}-2-2"))
    assert "Clear juice, pH, 08:00, second test" in trail
    assert trail.index("7.60") < trail.index("7.06")
    assert "7.00" not in trail.partition("All samples")[0].partition("all samples")[0]


def test_what_somebody_else_wrote_meanwhile_is_not_lost(ann, visit):
    ann.post(SECOND, {"typed": "7.60"})
    old = based_on(ann.get(SECOND), 2)
    bob = visit("bob")
    assert change(bob, 2, "corrected", "exchanged", "7.66").status_code == 303
    answer = change(ann, 2, "left-out", "spilt", based_on=old)
    assert answer.status_code == 422
    assert "Bob Stone has meanwhile written 7.66 here" in text_of(answer)


def test_two_tests_of_one_person_are_a_pair_in_one_tick(bench, ann, visit):
    """A-05: by the rules of pairs; nobody else's test makes one."""
    assert "as a pair for the repeatability" in text_of(ann.get(SECOND))
    assert "as a pair" not in text_of(visit("bob").get(SECOND))
    answer = ann.post(SECOND, {"typed": "7.46", "pair": "yes"})
    assert answer.headers["location"].endswith("done=paired")
    (pair,) = bench.read(uncertainty.duplicates, bench.mill)
    assert (pair.measure, pair.day, pair.first, pair.second) == (PH, bench.day, "7.40", "7.46")
    answer = ann.post(SECOND, {"typed": "nm", "pair": "yes"})
    assert answer.status_code == 422
    assert "A pair has two numbers" in text_of(answer)
    assert len(bench.trail(PH)) == 3  # neither was kept
    assert len(bench.read(uncertainty.duplicates, bench.mill)) == 1


def test_a_sample_has_at_most_nine_tests(ann):
    for _ in range(8):
        assert ann.post(SECOND, {"typed": "7.40"}).status_code == 303
    assert "Add the" not in text_of(ann.get(SECOND))
    answer = ann.post(SECOND, {"typed": "7.40"})
    assert answer.status_code == 422
    assert "at most 9 tests" in text_of(answer)


@pytest.mark.parametrize("key", [f"{PH}-5", "cane", "nothing", f"{PH}-2-2", "clear_juice_ph-0"])
def test_only_a_sample_of_the_shift_has_tests(ann, key):
    assert ann.get(f"{SHEET}/tests/{key}").status_code == 404
    assert ann.post(f"{SHEET}/tests/{key}", {"typed": "7"}).status_code == 404


def test_the_first_test_is_typed_on_the_sheet(ann):
    empty = f"{SHEET}/tests/{PH}-3"
    assert "Nothing stands here yet" in text_of(ann.get(empty))
    answer = ann.post(empty, {"typed": "7.4"})
    assert answer.status_code == 422
    assert "typed on the sheet" in text_of(answer)


def test_after_signing_the_chief_chemist_alone_tests_again_and_says_why(bench, ann, visit):
    """A-05, A-06: the same rules as those of the sheet."""
    ann.post(SECOND, {"typed": "7.60"})
    with writing(bench.engine) as connection:
        signing.sign_shift(
            connection, bench.season, bench.day, 1, blank=(), remarks={}, by=bench.ann, at=NOON
        )
    page = ann.get(SECOND)
    assert "<form" not in page.text.partition("<main")[2].partition("</main>")[0]
    assert "This shift is signed as entered by Ann Field" in text_of(page)
    assert "The shift is signed by Ann Field: the chief chemist alone changes" in text_of(page)
    assert "Chemists test again and leave out; you read." in text_of(visit("auditor").get(SECOND))
    form = {"what": "left-out", "reason": "spilt", "based_on": "1"}
    assert ann.post(f"{SECOND}/2", form).status_code == 403
    assert ann.post(SECOND, {"typed": "7.70"}).status_code == 403
    chief = visit("chief")
    answer = chief.post(SECOND, {"typed": "7.70"})
    assert answer.status_code == 422
    assert 'href="#reason"' in answer.text
    assert 'value="7.70"' in answer.text
    assert chief.post(SECOND, {"typed": "7.70", "reason": "asked for"}).status_code == 303
    assert change(chief, 1, "left-out", "spilt").status_code == 303
    assert "2 of 3 count" in text_of(chief.get(SECOND))


def test_the_tests_of_an_approved_day_say_by_whom_it_is_approved(bench, ann):
    for number in (2, 3):
        bench.write("lime", "1.5", number=number)
    day, said = (bench.season, bench.day), {"blank": (), "remarks": {}}
    with writing(bench.engine) as connection:
        for number in (1, 2, 3):
            signing.sign_shift(connection, *day, number, **said, by=bench.ann, at=NOON)
        by = next(p for p in people.people(connection) if p.username == "manager")
        signing.approve_day(connection, *day, shifts_a_day=3, by=by, at=NOON)
    page = text_of(ann.get(SECOND))
    assert "The day is approved by Manager: no test of it is changed until it is opened" in page
    assert "The day is approved by Manager, manager" in page


def test_the_samples_of_a_measure_lead_to_each_other(ann):
    page = ann.get(f"{SHEET}/cells/{PH}").text
    for sample in ("", "-2", "-3", "-4"):
        assert f'href="{SHEET}/tests/{PH}{sample}"' in page
    assert "their result is <strong>7.20</strong>" in page
    alone = ann.get(f"{SHEET}/cells/cane").text
    assert 'id="samples"' not in alone
    assert "/tests/" not in alone


def test_the_page_of_a_figure_lists_every_sample_and_test_it_rests_on(bench, ann):
    """Down to the samples: each opens the place where it was typed."""
    take(bench, "mixed_juice_brix", every=4)
    for sample, test, typed in ((1, 1, "14.2"), (2, 1, "14.6"), (2, 2, "15.9")):
        bench.write("mixed_juice_brix", typed, sample=sample, determination=test)
    for measure, typed in (("mixed_juice", "1290"), ("mixed_juice_pol", "12.1")):
        bench.write(measure, typed)
    page = ann.get(f"{SHEET}/figures/brix_in_mixed_juice").text
    for key, typed in (("", "14.2"), ("-2", "14.6"), ("-2-2", "15.9")):
        assert f'href="{SHEET}/cells/mixed_juice_brix{key}"' in page
        assert typed in page
    assert "10:00, second test" in page


def test_the_sheet_marks_a_sample_with_several_tests_and_leads_to_them(ann):
    ann.post(SECOND, {"typed": "7.60"})
    sheet = ann.get(SHEET).text
    assert re.search(
        rf'<a class="trail" href="{SECOND}" title="2 of 2 tests count"[^>]*>×2</a>', sheet
    )
