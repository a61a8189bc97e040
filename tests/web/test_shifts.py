"""The sheet of a shift, cell by cell with script and whole without."""

import re
from html import unescape

import pytest

from tests.web.conftest import SHEET


def box(page, measure):
    """Return the tag of the box of a measure."""
    found = re.search(rf'<input [^>]*name="result:{measure}"[^>]*>', page.text)
    assert found, f"no box for {measure}"
    return unescape(found.group())


def based_on(page, measure):
    return re.search(rf'name="based_on:{measure}" value="(\d*)"', page.text).group(1)


def said(page, measure):
    """Return what is said of a box that was refused."""
    found = re.search(rf'id="{measure}-said">([^<]*)<', page.text)
    return unescape(found.group(1)) if found else ""


def test_a_box_is_named_by_its_row_its_column_and_its_unit(ann):
    page = ann.get(SHEET)
    brix = box(page, "mixed_juice_brix")
    assert 'aria-label="Mixed juice, brix, °Bx"' in brix
    assert 'inputmode="decimal"' in brix
    assert 'autocomplete="off"' in brix
    assert 'type="text"' in brix
    names = re.findall(r'aria-label="([^"]+)"', page.text)
    assert len(names) == len(set(names))


def test_only_streams_and_boxes_of_this_shift_are_on_the_sheet(ann):
    page = ann.get(SHEET).text
    assert "Press water" not in page  # of a diffuser
    assert "final_molasses_brix" not in page  # once a day, on its last shift
    assert "Stock in process" not in page
    assert 'scope="row">Mixed juice<' in page
    assert "<caption>Weights and analyses</caption>" in page


def test_the_last_shift_of_a_day_takes_stock(ann):
    page = ann.get("/shifts/2026-06-02/3").text
    assert "<caption>Stock in process at the end of the day</caption>" in page
    assert 'name="result:a_pans_volume"' in page
    assert 'name="result:final_molasses_brix"' in page
    assert "mill_1_bagasse_pol" not in page  # once a week, on Sunday


def test_a_shift_that_has_not_begun_is_refused_plainly(ann):
    answer = ann.get("/shifts/2026-06-03/2")
    assert answer.status_code == 404
    assert "has not begun. It begins on 3 Jun 2026, 14:00" in answer.text
    assert ann.get("/shifts/2026-06-03/4").status_code == 404
    assert "in no season" in ann.get("/shifts/2026-05-31/1").text


def test_a_cell_is_saved_as_it_is_left(ann, bench):
    answer = ann.save("mixed_juice_brix", " 14,50 ")
    assert answer.status_code == 200
    assert '<td id="cell-mixed_juice_brix"' in answer.text
    assert "<html" not in answer.text
    assert [entry.typed.strip() for entry in bench.trail("mixed_juice_brix")] == ["14,50"]
    assert "1</strong> of" in answer.text  # how far the sheet is filled
    assert "Mixed juice, brix saved" in answer.text
    assert 'value="14,50"' in box(ann.get(SHEET), "mixed_juice_brix").replace(" 14,50 ", "14,50")


def test_purity_appears_as_soon_as_brix_and_pol_are_there(ann):
    assert 'id="mixed_juice_purity"' in ann.save("mixed_juice_brix", "14.50").text
    answer = ann.save("mixed_juice_pol", "12.30")
    assert '<td id="cell-mixed_juice_purity"' in answer.text
    assert "= 84.83" in answer.text
    page = ann.get(SHEET)
    assert "= 84.83" in page.text
    assert 'name="result:mixed_juice_purity"' not in page.text


def test_a_purity_typed_alone_stays_typed(ann):
    ann.save("last_expressed_juice_purity", "71.5")
    ann.save("last_expressed_juice_brix", "4.00")
    ann.save("last_expressed_juice_pol", "2.80")
    page = ann.get(SHEET)
    assert 'value="71.5"' in box(page, "last_expressed_juice_purity")


def test_the_running_account_follows_each_result(ann):
    ann.save("bagasse_pol", "1.60")
    assert "needs" in ann.save("bagasse_moisture", "50.00").text
    ann.save("last_expressed_juice_brix", "4.00")
    answer = ann.save("last_expressed_juice_pol", "2.80")
    fibre = 100 - 50 - 1.60 * 4.00 / 2.80
    assert f">{fibre:.2f}<" in answer.text


def test_outside_the_usual_is_kept_and_marked_in_words(ann, bench):
    answer = ann.save("mixed_juice_brix", "16.4")
    assert answer.status_code == 200
    assert "▲" in answer.text
    assert said(answer, "mixed_juice_brix") == "above the usual 16"
    assert len(bench.trail("mixed_juice_brix")) == 1
    assert "16.4, above the usual 16" in ann.get(SHEET).text


@pytest.mark.parametrize(
    ("measure", "typed", "words"),
    [
        ("mixed_juice_brix", "145", "lies between 3 and 30 °Bx; 145 was typed"),
        ("mixed_juice_brix", "1,234.5", "one decimal sign"),
        ("mixed_juice_brix", "abc", "Write a number"),
        ("mixed_juice_ph", "<b>", "Write a number"),
    ],
)
def test_a_refusal_stands_beside_the_box_with_what_was_typed(ann, bench, measure, typed, words):
    answer = ann.save(measure, typed)
    assert answer.status_code == 422
    tag = box(answer, measure)
    assert f'value="{typed}"' in tag
    assert 'aria-invalid="true"' in tag
    assert f'aria-describedby="{measure}-said"' in tag
    assert words in said(answer, measure)
    assert "<b>" not in answer.text
    assert bench.trail(measure) == []


def test_a_message_names_its_box_once(ann):
    answer = ann.save("sugar_pol", "45")
    assert answer.text.count("Sugar, pol lies between 80 and 100 %; 45 was typed.") == 2
    assert "Sugar, pol: Sugar" not in answer.text
    sheet = ann.save_sheet({"sugar_pol": "45", "cane": "1,250"}).text
    assert '<a href="#sugar_pol">Sugar, pol lies between' in sheet
    assert '<a href="#cane">Cane crushed: 1,250: write 1250 or 1.25.' in sheet


def test_an_empty_box_left_empty_is_not_called_saved(ann):
    answer = ann.save("sugar_pol", "")
    assert "Sugar, pol is empty" in answer.text
    assert "✓" not in answer.text


def test_a_figure_that_cannot_be_says_so(ann):
    for measure, typed in {
        "cane": "145", "imbibition": "600", "mixed_juice": "1900", "bagasse_pol": "1.60",
        "bagasse_moisture": "50", "mixed_juice_brix": "14.5", "mixed_juice_pol": "12.3",
        "last_expressed_juice_brix": "4.00", "last_expressed_juice_pol": "2.80",
    }.items():  # fmt: skip
        answer = ann.save(measure, typed)
    assert "cannot be: check the weights" in answer.text


def test_the_sheet_of_a_mill_that_stood_still_opens_with_its_checks(ann, bench):
    nothing = {"cane": "0", "imbibition": "0", "mixed_juice": "0", "bagasse": "0"}
    for name, typed in nothing.items():
        assert ann.save(name, typed).status_code == 200, name
    assert ann.get(f"/shifts/{bench.day}/1").status_code == 200
    assert ann.get(f"/days/{bench.day}").status_code == 200


@pytest.mark.parametrize("state", ["nm", "bd", "if", "nd"])
def test_named_states_are_typed_and_explained(ann, bench, state):
    assert ann.save("feed_water_sugar_trace", state).status_code == 200
    assert bench.trail("feed_water_sugar_trace")[0].value is None
    assert f"<kbd>{state}</kbd>" in ann.get(SHEET).text


def test_a_correction_asks_for_its_reason_and_keeps_what_was_typed(ann, bench):
    standing = bench.write("mixed_juice_brix", "14.50")
    asked = ann.save("mixed_juice_brix", "15.40", standing.id)
    assert asked.status_code == 422
    assert said(asked, "mixed_juice_brix") == "Correct 14.50 to 15.40: why?"
    assert 'value="15.40"' in box(asked, "mixed_juice_brix")
    assert 'name="reason:mixed_juice_brix"' in asked.text
    assert len(bench.trail("mixed_juice_brix")) == 1

    wordless = ann.save("mixed_juice_brix", "15.40", standing.id, reason="other")
    assert said(wordless, "mixed_juice_brix") == "Say the other reason in words."

    saved = ann.save(
        "mixed_juice_brix", "15.40", based_on(asked, "mixed_juice_brix"),
        reason="figures exchanged", words="bench book p. 7",
    )  # fmt: skip
    assert saved.status_code == 200
    assert bench.trail("mixed_juice_brix")[1].reason == "figures exchanged: bench book p. 7"
    assert f'href="{SHEET}/cells/mixed_juice_brix"' in saved.text


def test_the_trail_of_a_cell_tells_everything(ann, bench):
    first = bench.write("mixed_juice_brix", "14.50")
    reason = "<i>slipped</i>"
    bench.write("mixed_juice_brix", "15.40", based_on=first.id, reason=reason, by=bench.bob)
    trail = ann.get(f"{SHEET}/cells/mixed_juice_brix").text
    assert trail.index("14.50") < trail.index("15.40")
    for words in ("Ann Field", "Bob Stone", "superseded", "3 Jun 2026, 12:00"):
        assert words in trail
    assert "&lt;i&gt;slipped" in trail
    assert "<i>" not in trail


def test_two_people_in_one_cell_are_shown_both_values(ann, visit, bench):
    bob = visit("bob")
    assert ann.save("mixed_juice_brix", "14.50").status_code == 200
    conflict = bob.save("mixed_juice_brix", "14.90")
    assert conflict.status_code == 409
    words = said(conflict, "mixed_juice_brix")
    assert words == "Ann Field wrote 14.50 here on 3 Jun 2026, 12:00. You typed 14.90."
    assert 'value="14.90"' in box(conflict, "mixed_juice_brix")
    assert "Keep 14.50" in conflict.text
    standing = based_on(conflict, "mixed_juice_brix")

    assert bob.save("mixed_juice_brix", "14.50", standing).status_code == 200
    assert len(bench.trail("mixed_juice_brix")) == 1  # theirs is kept

    assert bob.save("mixed_juice_brix", "14.90", standing, reason="tested again").is_success
    assert [entry.recorded_name for entry in bench.trail("mixed_juice_brix")] == [
        "Ann Field",
        "Bob Stone",
    ]


def test_a_whole_sheet_is_saved_without_script(ann, bench):
    answer = ann.save_sheet({"cane": "1800", "mixed_juice_brix": "14,5", "mixed_juice_pol": ""})
    assert (answer.status_code, answer.headers["location"]) == (303, f"{SHEET}?saved")
    page = ann.get(answer.headers["location"])
    assert "Saved." in page.text
    assert 'value="1800"' in box(page, "cane")
    assert 'value="14,5"' in box(page, "mixed_juice_brix")
    assert bench.trail("mixed_juice_pol") == []


def test_a_whole_sheet_is_saved_whole_or_not_at_all(ann, bench):
    answer = ann.save_sheet({"cane": "1800", "mixed_juice_brix": "145", "mixed_juice_pol": "152"})
    assert answer.status_code == 422
    assert "<title>Error:" in answer.text
    assert "Nothing was saved yet: 2 results need a look" in unescape(answer.text)
    for measure in ("mixed_juice_brix", "mixed_juice_pol"):
        assert f'<a href="#{measure}">Mixed juice, ' in answer.text
    assert 'value="1800"' in box(answer, "cane")
    assert 'value="152"' in box(answer, "mixed_juice_pol")
    assert bench.trail("cane") == []


def test_a_whole_sheet_leaves_alone_what_a_colleague_wrote_meanwhile(ann, bench):
    bench.write("cane", "1750", by=bench.bob)
    assert ann.save_sheet({"cane": "", "imbibition": "600"}).status_code == 303
    assert [entry.typed for entry in bench.trail("cane")] == ["1750"]
    answer = ann.save_sheet({"cane": "1800", "lime": "1.2"})
    assert answer.status_code == 409
    assert said(answer, "cane").startswith("Bob Stone wrote 1750 here")
    assert 'value="1800"' in box(answer, "cane")
    assert 'value="1.2"' in box(answer, "lime")


def test_a_form_cannot_write_where_the_sheet_has_no_box(ann, bench):
    assert ann.save("press_water_brix", "1.2").status_code == 404
    assert ann.save("final_molasses_brix", "85").status_code == 404
    assert ann.save_sheet({"press_water_brix": "1.2", "recorded_name": "x"}).status_code == 303
    assert bench.trail("press_water_brix") == []


def test_a_mill_that_stood_still_owes_no_analyses(ann):
    ann.save("cane", "0")
    page = ann.get(SHEET).text
    missing = page[page.index('id="progress"') : page.index('id="account"')]
    assert "Mixed juice, brix" not in missing
    assert "Steam raised" in missing


def test_shifts_lead_to_their_neighbours(ann):
    page = ann.get("/shifts/2026-06-02/3").text
    assert 'href="/shifts/2026-06-02/2"' in page
    assert 'href="/shifts/2026-06-03/1"' in page
    assert "Later shift" not in ann.get(SHEET).text  # it has not begun
    assert "Earlier shift" not in ann.get("/shifts/2026-06-01/1").text  # no season holds it
