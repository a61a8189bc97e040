"""Checks and notes over HTTP: asked beside the boxes, answered, never in the way of saving."""

import re
from html import unescape

import pytest

from app.reports.checks import CHECKS, HOLDS
from tests.archives import take
from tests.bench import PASSWORD
from tests.web.conftest import SHEET

NOTES, SIGNATURE = f"{SHEET}/notes", f"{SHEET}/signature"


def question(page, check):
    """The form of a question that a page asks, by the name of its check; None where it does not."""
    for form in re.findall(r"<form(?:(?!</form>).)*?/notes.*?</form>", page, re.DOTALL):
        fields = dict(re.findall(r'name="(check|entries)" value="([^"]*)"', form))
        if fields.get("check", "").startswith(f"{check}:"):
            return fields
    return None


@pytest.fixture
def asked(ann):
    """A sheet with more pol than brix in its mixed juice, and what it asks of that."""
    assert ann.save("mixed_juice_brix", "12.9").status_code == 200
    answer = ann.save("mixed_juice_pol", "13.1")
    assert answer.status_code == 200
    return question(answer.text, "pol_under_brix")


def test_a_check_is_asked_in_the_answer_to_the_result_and_does_not_keep_it_from_being_saved(
    ann, asked, bench
):
    """C-10, C-11, C-12"""
    assert asked["check"] == "pol_under_brix:mixed_juice_brix"
    assert bench.trail("mixed_juice_pol")[-1].typed == "13.1"
    page = unescape(ann.get(SHEET).text)
    words = re.search(r"<strong>Pol above brix</strong>.*?</p>", page, re.DOTALL).group(0)
    for key in ("mixed_juice_brix", "mixed_juice_pol"):
        assert f'href="#{key}"' in words
    assert "Purity 101.55 %, 1.55 above the 0 to 100 expected" in words
    first, *_ = CHECKS["pol_under_brix"].causes
    assert first in page


def test_an_answer_is_kept_and_leads_to_the_next_question(ann, asked):
    """C-10"""
    ann.save("clear_juice_ph", "7.9")
    answer = ann.post(NOTES, asked | {"words": "tested again, the same"})
    assert answer.status_code == 303
    assert answer.headers["location"] == f"{SHEET}#answer-usual_range:clear_juice_ph"
    page = ann.get(SHEET).text
    assert question(page, "pol_under_brix") is None
    assert "tested again, the same" in page
    last = question(page, "usual_range")
    assert ann.post(NOTES, last | {"words": "so it is"}).headers["location"] == f"{SHEET}#checks"


@pytest.mark.parametrize("words", ["", "  "])
def test_an_answer_without_words_is_asked_for_beside_its_box(ann, asked, words):
    refused = ann.post(NOTES, asked | {"words": words})
    assert refused.status_code == 422
    assert 'id="answer-pol_under_brix:mixed_juice_brix-wrong">Say it in words.' in refused.text
    assert question(refused.text, "pol_under_brix") == asked


def test_an_answer_to_results_that_changed_meanwhile_is_not_kept_and_stays_typed(ann, asked, bench):
    pol = bench.trail("mixed_juice_pol")[-1]
    bench.write("mixed_juice_pol", "13.3", based_on=pol.id, reason="read again", by=bench.bob)
    refused = ann.post(NOTES, asked | {"words": "tested again"})
    assert refused.status_code == 422
    assert "has changed meanwhile: read it again" in refused.text
    assert 'value="tested again"' in refused.text
    assert question(refused.text, "pol_under_brix")["entries"] != asked["entries"]


def test_a_note_on_a_result_is_read_on_the_sheet_in_its_trail_and_in_the_morning_report(ann):
    """C-18"""
    ann.save("clear_juice_ph", "7.1")
    kept = ann.post(NOTES, {"key": "clear_juice_ph", "words": "electrode <changed>"})
    assert kept.status_code == 303
    assert kept.headers["location"] == f"{SHEET}#clear_juice_ph"
    for address in (SHEET, f"{SHEET}/cells/clear_juice_ph", "/days/2026-06-03", "/trail"):
        assert "electrode &lt;changed&gt;" in ann.get(address).text, address
    assert "Clear juice, pH: note" in ann.get(SHEET).text


def test_a_note_from_a_script_is_answered_in_words(ann):
    fragment = {"X-Fragment": "note"}
    refused = ann.post(NOTES, {"key": "clear_juice_ph", "words": " "}, **fragment)
    assert (refused.status_code, refused.text) == (422, "Say it in words.")
    assert ann.post(NOTES, {"key": "no_such_box", "words": "x"}, **fragment).status_code == 404


@pytest.mark.parametrize("who", ["manager", "auditor", "administrator"])
def test_who_types_nothing_notes_nothing(visit, who):
    assert visit(who).post(NOTES, {"key": "cane", "words": "x"}).status_code == 403


@pytest.mark.usefixtures("asked")
def test_a_shift_is_signed_with_an_answer_to_each_check(ann):
    """C-10: by words beside each, on the page where it is signed."""
    said = {"state": "not measured", "reason": "the mill ran for an hour only"}
    assert ann.post(f"{SHEET}/blanks", said).status_code == 303
    page = ann.get(SIGNATURE).text
    assert 'name="answer:pol_under_brix:mixed_juice_brix"' in page
    refused = ann.post(SIGNATURE, {"password": PASSWORD})
    assert refused.status_code == 422
    assert 'href="#answer-pol_under_brix:mixed_juice_brix">Pol above brix: say what' in refused.text
    words = {"answer:pol_under_brix:mixed_juice_brix": "flasks exchanged, no sample left"}
    assert ann.post(SIGNATURE, {"password": PASSWORD} | words).status_code == 303
    for address in (SIGNATURE, SHEET, "/days/2026-06-03", f"{SHEET}/cells/mixed_juice_pol"):
        assert "flasks exchanged, no sample left" in ann.get(address).text, address
    late = ann.post(NOTES, {"key": "cane", "words": "one thing more"})
    assert late.status_code == 403
    assert "signed by Ann Field" in late.text


def test_the_morning_report_lists_what_is_not_answered_the_largest_first(ann, asked):
    ann.save("clear_juice_ph", "7.9")
    page = ann.get("/days/2026-06-03").text
    listed = re.search(r'<section id="checks".*?</section>', page, re.DOTALL).group(0)
    assert "2 of 2 not answered" in listed
    assert listed.index("Pol above brix") < listed.index("Outside the usual range")
    ann.post(NOTES, asked | {"words": "tested again"})
    assert "1 of 2 not answered" in ann.get("/days/2026-06-03").text


def test_the_page_of_approval_counts_what_is_not_answered(ann, asked):
    """C-10"""
    ann.save("clear_juice_ph", "7.9")
    approval = "/days/2026-06-03/approval"
    counted = '<a href="/days/2026-06-03#checks"><strong>{}</strong></a> not answered.'
    assert counted.format("2 checks") in ann.get(approval).text
    ann.post(NOTES, asked | {"words": "tested again"})
    page = ann.get(approval).text
    assert counted.format("1 check") in page
    ann.post(NOTES, question(ann.get(SHEET).text, "usual_range") | {"words": "so it is"})
    assert "not answered" not in ann.get(approval).text


def test_samples_of_one_measure_outside_their_range_are_one_question_answered_once(bench, ann):
    take(bench, "clear_juice_ph", every=1)
    for sample in range(1, 9):
        bench.write("clear_juice_ph", f"{7.3 + sample / 10:.1f}", sample=sample)
    page = ann.get(SHEET).text
    assert page.count("<strong>Outside the usual range</strong>") == 1
    fields = question(page, "usual_range")
    assert len(fields["entries"].split(",")) == 8
    assert ann.post(NOTES, fields | {"words": "lime station stood"}).status_code == 303
    assert question(ann.get(SHEET).text, "usual_range") is None


def test_the_trail_of_the_day_tells_of_answers_by_the_title_of_their_check(ann, asked):
    ann.post(NOTES, asked | {"words": "tested again"})
    page = unescape(ann.get("/trail?day=2026-06-03").text)
    assert "Mixed juice, brix, in answer to: Pol above brix" in page


def test_a_result_says_nothing_of_checks_before_it_is_sent(ann):
    """C-11: the sheet holds no rule that could speak while somebody types."""
    ann.save("mixed_juice_brix", "12.9")
    page = ann.get(SHEET).text
    assert "Pol above brix" not in page
    assert "Nothing stands out so far." in page


def test_the_manual_tells_of_every_check(ann):
    """ASVS 2.1.2"""
    page = unescape(ann.get("/manual/checks").text)
    for name, check in CHECKS.items():
        assert f'id="{name}"' in page
        assert check.note in page
        assert str(check.source) in page
    for what, why in HOLDS:
        assert what in page
        assert why in page
