"""Pairs of results and stated uncertainties, as people of each role enter and read them."""

import re

import pytest

from app.database import writing
from app.ledger import uncertainty
from tests.bench import NOON

PAGE = "/uncertainty"
BRIX = f"{PAGE}/mixed_juice_brix"
PAIR = {"measure": "mixed_juice_brix", "day": "2026-06-03", "first": "14.20", "second": "14.26"}
STATED = {
    "random": "0,03", "systematic": "0.04", "relative": "no", "since": "2026-06-01",
    "source": "a proved refractometer",
}  # fmt: skip

# Differences of 0.06, 0.08 and 0.1 °Bx by turns: Σd² over 10 pairs is 4 × 0.0036 + 3 × 0.0064 +
# 3 × 0.01 = 0.0636, and s = √(0.0636 ÷ 20) = 0.05639.
TEN = [("14.20", "14.26"), ("14.40", "14.32"), ("13.9", "14.0")] * 3 + [("14.20", "14.26")]


def enter(bench, pairs, measure="mixed_juice_brix"):
    with writing(bench.engine) as connection:
        for first, second in pairs:
            uncertainty.add_duplicate(
                connection, bench.mill, measure=measure, day=bench.day, first=first,
                second=second, by=bench.ann, at=NOON,
            )  # fmt: skip


def kept(bench):
    return bench.read(uncertainty.duplicates, bench.mill)


def said(bench):
    return bench.read(uncertainty.uncertainty_rows, bench.mill)


def row_of(page, measure):
    """The texts of the row of a measure."""
    row = re.search(rf'<tr id="measure-{measure}">(.*?)</tr>', page.text, re.DOTALL).group(1)
    cells = re.findall(r"<t[hd][^>]*>(.*?)</t[hd]>", row, re.DOTALL)
    return [" ".join(re.sub("<[^>]+>", " ", cell).split()) for cell in cells]


@pytest.mark.parametrize("who", ["ann", "manager", "auditor", "administrator"])
def test_everybody_reads_how_sure_each_measure_is(visit, who):
    page = visit(who).get(PAGE)
    assert page.status_code == 200
    assert row_of(page, "mixed_juice_brix")[1:5] == ["0.05", "0.05", "°Bx", ""]
    assert row_of(page, "cane")[1:4] == ["0.5", "0.3", "% of value"]
    assert row_of(page, "cane")[-1] == "a stated guess, 1"
    assert '<li id="source-1">a stated guess' in page.text
    assert visit(who).get(BRIX).status_code == 200


def test_only_what_the_mill_has_is_listed(visit):
    page = visit("ann").get(PAGE)
    assert 'id="measure-mill_1_bagasse_pol"' in page.text  # of five mills
    assert "press_water" not in page.text  # of a diffuser
    assert 'value="bagasse_pol"' in page.text
    assert 'value="cane"' not in page.text  # a shift's weight is no sample


@pytest.mark.parametrize("who", ["ann", "chief"])
def test_who_tests_enters_a_pair_as_typed(visit, bench, who):
    visitor = visit(who)
    answer = visitor.post(PAGE, PAIR | {"second": "14,26"})
    assert answer.status_code == 303
    page = visitor.get(answer.headers["location"])
    assert "Mixed juice, brix: the pair is kept." in page.text
    assert '<option value="mixed_juice_brix" selected>' in page.text
    assert "0.06" in page.text
    assert [(pair.first, pair.second) for pair in kept(bench)] == [("14.20", "14,26")]


@pytest.mark.parametrize("who", ["manager", "auditor"])
def test_who_only_reads_enters_nothing(visit, bench, who):
    enter(bench, [("14.2", "14.3")])
    visitor = visit(who)
    main = visitor.get(PAGE).text.partition("<main")[2].partition("</main>")[0]
    assert "<form" not in main
    assert visitor.post(PAGE, PAIR).status_code == 403
    assert visitor.post(f"{BRIX}/pairs/1/withdrawal", {"reason": "x"}).status_code == 403
    assert [pair.withdrawal for pair in kept(bench)] == [None]


@pytest.mark.parametrize(
    ("wrong", "words"),
    [
        ({"first": "14.2O"}, "First result: Write a number with one decimal sign, like 14.26"),
        ({"second": ""}, "Second result: A pair has two numbers"),
        ({"second": "142"}, "Second result: Mixed juice, brix lies between"),
        ({"day": "3 June"}, "Day: Write the day like 2026-07-14"),
        ({"day": "2026-06-04"}, "Day: This day has not begun"),
        ({"day": "2026-05-31"}, "Day: The first season of this mill began on 2026-06-01."),
        ({"measure": ""}, "Measure: Choose what was tested twice"),
        ({"measure": "cane"}, "Measure: Choose what was tested twice"),
        ({"measure": "press_water_brix"}, "Measure: Choose what was tested twice"),
    ],
)
def test_a_wrong_pair_is_not_kept_and_all_typed_stays(visit, bench, wrong, words):
    typed = PAIR | wrong
    page = visit("ann").post(PAGE, typed)
    assert page.status_code == 422
    assert "The pair was not kept" in page.text
    assert words in page.text
    field = next(iter(wrong))
    assert re.search(rf'id="{field}"[^>]* aria-invalid="true"', page.text)
    assert page.text.count('aria-invalid="true"') == 1
    assert f'<div class="message" id="{field}-wrong">' in page.text
    for name in ("day", "first", "second"):
        assert re.search(rf'name="{name}"[^>]* value="{re.escape(typed[name])}"', page.text)
    assert kept(bench) == []


def test_two_wrong_fields_are_both_told(visit):
    page = visit("ann").post(PAGE, PAIR | {"first": "a", "day": "b"})
    assert 'id="first-wrong"' in page.text
    assert 'id="day-wrong"' in page.text


def test_a_pair_is_withdrawn_with_a_reason_and_stays_in_sight(bench, ann):
    enter(bench, [("14.20", "14.26"), ("14.2", "14.9")])
    address = f"{BRIX}/pairs/2/withdrawal"
    asked = ann.post(address, {"reason": " "})
    assert asked.status_code == 422
    assert "The pair was not withdrawn" in asked.text
    assert 'id="reason-2"' in asked.text
    answer = ann.post(address, {"reason": "two samples"})
    page = ann.get(answer.headers["location"])
    assert "it stays on this page" in page.text
    assert "withdrawn by Ann Field: two samples" in page.text
    again = ann.post(address, {"reason": "once more"})
    assert again.status_code == 422
    assert "withdrawn already" in again.text
    assert row_of(ann.get(PAGE), "mixed_juice_brix")[4] == "1"
    assert ann.post(f"{PAGE}/bagasse_pol/pairs/1/withdrawal", {"reason": "x"}).status_code == 404
    assert [pair.withdrawal is None for pair in kept(bench)] == [True, False]


def test_repeatability_is_worked_out_from_two_pairs_on(visit, bench):
    enter(bench, TEN[:1])
    assert row_of(visit("ann").get(PAGE), "mixed_juice_brix")[4:7] == ["1", "", ""]
    enter(bench, TEN[1:])
    # ± is twice 1 ÷ √20
    row = row_of(visit("ann").get(PAGE), "mixed_juice_brix")
    assert row[4:7] == ["10", "0.056", "± 45"]


def test_a_pair_that_differs_more_than_was_stated_is_marked(visit, bench):
    # 2.8 × 0.05 is 0.14
    enter(bench, [("14.00", "14.14"), ("14.00", "14.15")])
    page = visit("ann").get(BRIX)
    assert page.text.count("beyond 2.8 × random") == 1
    assert "1 of the pairs differs by more" in page.text


def test_an_administrator_uses_the_mills_own_repeatability(visit, bench):
    enter(bench, TEN[:9])
    administrator, own = visit("administrator"), f'action="{BRIX}/own"'
    assert own not in administrator.get(PAGE).text
    assert administrator.post(f"{BRIX}/own").status_code == 422
    enter(bench, TEN[9:])
    assert own not in visit("ann").get(PAGE).text
    assert visit("ann").post(f"{BRIX}/own").status_code == 403
    assert said(bench) == []
    assert own in administrator.get(PAGE).text
    assert own in administrator.get(BRIX).text
    answer = administrator.post(f"{BRIX}/own")
    page = administrator.get(answer.headers["location"])
    assert "own duplicates, 10 pairs" in page.text
    assert own not in page.text
    [(measure, random, systematic, relative, since, source)] = said(bench)
    assert (measure, systematic, relative) == ("mixed_juice_brix", 0.05, False)
    assert random == pytest.approx((0.0636 / 20) ** 0.5, abs=1e-12)
    assert (since, source) == (bench.day, "own duplicates, 10 pairs")


def test_pairs_that_never_differ_are_not_used(visit, bench):
    enter(bench, [("14.2", "14.2")] * 12)
    administrator = visit("administrator")
    page = administrator.get(BRIX)
    assert "write one digit more" in page.text
    assert f'action="{BRIX}/own"' not in page.text
    assert administrator.post(f"{BRIX}/own").status_code == 422
    assert said(bench) == []


def test_pairs_that_differ_by_more_than_may_be_stated_are_not_used(visit, bench):
    # d ÷ mean is 2 each time: s = 200 ÷ √2 %
    enter(bench, [("0", "1000")] * 10, "mixed_juice_colour")
    administrator, address = visit("administrator"), f"{PAGE}/mixed_juice_colour"
    page = administrator.get(address)
    assert "More than 100 % of the value cannot be stated" in page.text
    for shown in (page, administrator.get(PAGE)):
        assert f'action="{address}/own"' not in shown.text
    refused = administrator.post(f"{address}/own")
    assert refused.status_code == 422
    assert "The random part is a number from 0 to 100 %" in refused.text
    assert said(bench) == []


def test_every_paragraph_of_the_form_is_closed(visit):
    page = visit("administrator").get(BRIX).text.partition("<main")[2].partition("</main")[0]
    for element in ("p", "div", "form", "section"):
        assert len(re.findall(f"<{element}[ >]", page)) == page.count(f"</{element}>"), element


def test_what_is_relative_is_repeated_in_percent(visit, bench):
    # d ÷ mean is 2 ÷ 100: s = 2 ÷ √2 %
    enter(bench, [("990", "1010"), ("2020", "1980")], "mixed_juice_colour")
    row = row_of(visit("ann").get(PAGE), "mixed_juice_colour")
    assert (row[3], row[5]) == ("% of value", "1.4")


def test_an_administrator_states_an_uncertainty_from_a_day_on(visit, bench):
    administrator = visit("administrator")
    answer = administrator.post(BRIX, STATED)
    assert answer.status_code == 303
    page = administrator.get(answer.headers["location"])
    assert "It is stated, and counts from 1 Jun 2026 on." in page.text
    assert "a proved refractometer" in page.text
    assert "Administrator, 3 Jun 2026" in page.text
    row = row_of(administrator.get(PAGE), "mixed_juice_brix")
    assert row[1:3] == ["0.03", "0.04"]
    assert row[-2] == "1 Jun 2026"
    assert row[-1].startswith("the mill, ")
    assert visit("ann").post(BRIX, STATED).status_code == 403
    assert len(said(bench)) == 1


def test_what_is_stated_from_before_the_first_season_says_from_when_it_counts(visit, bench):
    administrator = visit("administrator")
    answer = administrator.post(BRIX, STATED | {"since": "2025-01-01"})
    page = administrator.get(answer.headers["location"])
    assert "It is stated, and counts from 1 Jun 2026 on." in page.text
    assert str(said(bench)[0][4]) == "2025-01-01"


def test_what_is_stated_for_later_does_not_hold_yet(visit):
    administrator = visit("administrator")
    administrator.post(BRIX, STATED | {"since": "2026-07-01"})
    page = administrator.get(PAGE)
    assert row_of(page, "mixed_juice_brix")[1:3] == ["0.05", "0.05"]
    assert "1 Jul 2026" in administrator.get(BRIX).text


@pytest.mark.parametrize(
    ("field", "typed"),
    [("random", "-1"), ("systematic", "little"), ("since", "June"), ("source", " ")],
)
def test_a_wrong_statement_is_refused_beside_its_field(visit, bench, field, typed):
    page = visit("administrator").post(BRIX, STATED | {field: typed})
    assert page.status_code == 422
    assert "Nothing was stated" in page.text
    assert f'<div class="message" id="{field}-wrong">' in page.text
    assert page.text.count('aria-invalid="true"') == 1
    assert 'value="0.04"' in page.text or field == "systematic"
    assert said(bench) == []


def test_an_unknown_measure_has_no_page(visit):
    for address in (f"{PAGE}/brix", f"{PAGE}/pairs"):
        assert visit("administrator").get(address).status_code == 404
    assert visit("administrator").post(f"{PAGE}/brix", STATED).status_code == 404
