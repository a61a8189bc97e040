"""The pages of the plant: read by everybody, chosen by the administrator, seen before confirmed."""

import re
from datetime import date, timedelta

import pytest

from app.database import writing
from app.ledger import chain, mills, tables
from app.ledger.plan import history, plan_of
from tests.bench import NOON
from tests.small_season import JUNE, load, results

PH = "/plant/measures/clear_juice_ph"
TOMORROW = "2026-06-04"
LIMITS = {
    "taken": "due", "often": "shift-2", "rule": "mean", "usual_low": "6,9", "usual_high": "7.2",
    "hard_low": "5", "hard_high": "9", "since": TOMORROW, "reason": "a closer watch",
}  # fmt: skip
BRIX = "/plant/conventions/standard_molasses_brix"


@pytest.fixture
def noor(visit):
    """The administrator."""
    return visit("administrator")


def made(bench):
    return [(row.kind, row.name) for row in bench.read(history, bench.mill)]


def hidden_of(page):
    """What the form that confirms a review sends."""
    form = page.text.partition('class="choosing save"')[2].partition("</form>")[0]
    return dict(re.findall(r'name="([a-z_0-9]+)" value="([^"]*)"', form))


def look(visitor, address, **typed):
    return visitor.client.get(f"{address}/review", params=typed)


def row_of(page, measure):
    row = re.search(rf'<tr[^>]* id="measure-{measure}">(.*?)</tr>', page.text, re.DOTALL).group(1)
    cells = re.findall(r"<t[hd][^>]*>(.*?)</t[hd]>", row, re.DOTALL)
    return [" ".join(re.sub("<[^>]+>", " ", cell).split()) for cell in cells]


@pytest.mark.parametrize("who", ["ann", "chief", "manager", "auditor", "administrator"])
def test_everybody_reads_the_plant_and_only_the_administrator_has_a_form(visit, who):
    visitor = visit(who)
    for address in (
        "/plant", PH, "/plant/parts/refinery", "/plant/conventions", BRIX, "/plant/targets",
        "/plant/conventions/equipment", "/plant/targets/pol_extraction",
    ):  # fmt: skip
        page = visitor.get(address)
        assert page.status_code == 200, address
        named = address.count("/") == 3
        assert ("See what it does" in page.text) == (named and who == "administrator"), address
    reviewed = look(visitor, PH, **LIMITS)
    assert ("Confirm: from" in reviewed.text) == (who == "administrator")


def test_the_overview_says_of_each_measure_how_it_is_taken_or_why_not(noor):
    page = noor.get("/plant")
    assert row_of(page, "clear_juice_ph") == [
        "Clear juice, pH", "pH", "due", "once each shift", "6.9 to 7.3", "2 to 13", "",
    ]  # fmt: skip
    assert row_of(page, "press_water_brix")[2] == "not with this equipment"


def test_the_overview_is_filtered_by_words_and_by_what_is_taken(noor):
    for words in ("clear+juice%2C+pH", "Clear+juice+ph", "clear_juice_ph"):
        page = noor.get(f"/plant?words={words}")
        assert re.findall(r'id="measure-([a-z_]+)"', page.text) == ["clear_juice_ph"], words
    off = noor.get("/plant?show=off").text
    assert "press_water_brix" in off
    assert 'id="measure-clear_juice_ph"' not in off
    assert "No measure has these words" in noor.get("/plant?words=nothing").text


def test_nothing_is_written_before_it_is_confirmed(noor, bench):
    """C-38: what changes data is seen before it is confirmed."""
    page = look(noor, PH, **LIMITS)
    assert page.status_code == 200
    assert "nothing is written yet" in page.text
    assert "From Thursday 4 June 2026 on" in page.text
    assert "<td>once each shift</td><td><strong>every 2 hours</strong></td>" in page.text
    assert "Clear juice, pH: 4 boxes, at 06:00, 08:00, 10:00, 12:00, in place of 1" in page.text
    assert made(bench) == []
    answer = noor.post(PH, hidden_of(page))
    assert answer.headers["location"] == f"{PH}?chosen={TOMORROW}"
    assert made(bench) == [("measures", "clear_juice_ph")]
    chosen = bench.read(plan_of, bench.mill).sampling("clear_juice_ph", date(2026, 6, 4))
    assert (chosen.every, chosen.usual, chosen.hard) == (2, (6.9, 7.2), (5, 9))
    page = noor.get(answer.headers["location"])
    assert f"It is chosen, from {TOMORROW} on." in page.text
    assert "What comes into force later" in page.text


def test_what_is_chosen_stands_in_the_overview_the_trail_and_the_manual(noor):
    noor.post(PH, hidden_of(look(noor, PH, **LIMITS | {"since": "2026-06-03"})))
    assert row_of(noor.get("/plant"), "clear_juice_ph")[3:] == [
        "every 2 hours mean of the samples", "6.9 to 7.2", "5 to 9", "3 Jun 2026",
    ]  # fmt: skip
    trail = noor.get("/trail?person=administrator").text
    assert "due, each shift, every 2 h, mean; usual 6.9 to 7.2, hard 5 to 9; since" in trail
    assert "a closer watch" in trail
    manual = noor.get("/manual/measures").text
    row = manual[manual.index('<tr id="clear_juice_ph">') :].split("</tr>")[0]
    assert "6.9 to 7.3" in row  # the default
    assert "Here since 3 Jun 2026" in row
    assert "usual range 6.9 to 7.2" in row


def test_nothing_is_confirmed_that_was_not_looked_at(noor, bench):
    page = noor.post(PH, LIMITS)
    assert page.status_code == 409
    assert "nothing is written yet" in page.text
    assert made(bench) == []


def test_what_was_chosen_meanwhile_is_shown_before_anything_is_written(noor, bench):
    first, second = (look(noor, BRIX, standard_molasses_brix=value, since=TOMORROW, reason="r")
                     for value in ("86", "87"))  # fmt: skip
    assert noor.post(BRIX, hidden_of(first)).status_code == 303
    page = noor.post(BRIX, hidden_of(second))
    assert page.status_code == 409
    assert "something else was chosen or approved since this was looked at" in page.text
    assert "<td>86 °Bx</td><td><strong>87 °Bx</strong></td>" in page.text
    assert made(bench) == [("conventions", "standard_molasses_brix")]
    assert noor.post(BRIX, hidden_of(page)).status_code == 303
    assert len(made(bench)) == 2


def test_a_confirmation_sent_twice_writes_once(noor, bench):
    """B-48"""
    form = hidden_of(look(noor, BRIX, standard_molasses_brix="86", since=TOMORROW, reason="r"))
    answers = [noor.post(BRIX, form) for _ in range(2)]
    assert [answer.status_code for answer in answers] == [303, 303]
    assert len({answer.headers["location"] for answer in answers}) == 1
    assert len(made(bench)) == 1


@pytest.mark.parametrize(
    ("address", "typed", "field", "words"),
    [
        (PH, LIMITS | {"usual_high": "seven"}, "usual_high", "Usual to: Write a number"),
        (PH, LIMITS | {"hard_low": "1"}, "hard_low", "Possible from: Clear juice, pH lies between"),
        (PH, LIMITS | {"since": "soon"}, "since", "Holds from: Write the day like 2026-07-14"),
        (PH, LIMITS | {"reason": ""}, "reason", "Why: Say in words why"),
        (
            BRIX, {"standard_molasses_brix": "60", "since": TOMORROW, "reason": "r"},
            "standard_molasses_brix", "Write a number from 70 to 100",
        ),
        (
            "/plant/conventions/pol_basis", {"pol_basis": "brix", "since": TOMORROW, "reason": "r"},
            "pol_basis", "Choose one of: pol, sucrose",
        ),
        (
            "/plant/conventions/effect_1_surface",
            {"effect_1_surface": "1,850", "since": TOMORROW, "reason": "r"},
            "effect_1_surface", "1,850: write 1850 or 1.85",
        ),
        (
            "/plant/conventions/evaporator_effects",
            {"evaporator_effects": "4.5", "since": TOMORROW, "reason": "r"},
            "evaporator_effects",
            "Write a whole number",
        ),
        (
            "/plant/targets/pol_extraction", {"value": "much", "since": TOMORROW}, "value",
            "Target: Write a number",
        ),
        (
            "/plant/parts/refinery", {"in_use": "yes", "since": TOMORROW, "reason": "r"}, "since",
            "switched on already",
        ),
    ],
)  # fmt: skip
def test_what_cannot_be_is_said_beside_its_field_and_all_typed_stays(
    noor, bench, address, typed, field, words
):
    """C-31, C-34: a summary first, the same words at the field, and nothing lost."""
    page = look(noor, address, **typed)
    assert page.status_code == 422
    assert "<title>Error: " in page.text
    assert words in page.text.partition('id="summary"')[2].partition("</section>")[0]
    assert re.search(rf'id="{field}"[^>]* aria-invalid="true"', page.text)
    assert page.text.count('aria-invalid="true"') == 1
    for name, text in typed.items():
        if name not in ("taken", "often", "rule", "in_use", "pol_basis"):
            assert re.search(rf'name="{name}"[^>]* value="{re.escape(text)}"', page.text), name
    assert noor.post(address, typed).status_code == 422
    assert made(bench) == []


def test_a_change_of_mind_keeps_what_was_typed(noor):
    page = look(noor, PH, **LIMITS)
    again = re.search(r'href="([^"]+)">Change it', page.text).group(1).replace("&amp;", "&")
    form = noor.get(again).text
    assert 'name="usual_low" value="6,9"' in form
    assert '<option value="shift-2" selected>' in form


def test_nothing_is_chosen_for_an_approved_day(noor, bench):
    row = {
        "season_id": bench.season.id, "day": date(2026, 6, 3), "number": None,
        "meaning": "approved", "covers": "", "entries": 0, "reason": None, "role": "manager",
        "recorded_by": bench.bob.id, "recorded_name": "Bob Stone", "recorded_at": NOON,
    }  # fmt: skip
    reviewed = look(noor, PH, **LIMITS | {"since": "2026-06-03"})
    with writing(bench.engine) as connection:
        chain.add(connection, tables.signature, row, by=bench.bob, at=NOON)
    page = noor.post(PH, hidden_of(reviewed))
    assert page.status_code == 422
    assert "2026-06-03 is approved" in page.text
    assert made(bench) == []


def test_equipment_writes_only_what_changes_and_brings_its_boxes(noor, bench):
    typed = {
        "extraction_plant": "as set up", "tandem_mills": "6", "evaporator_effects": "4",
        "sulphitation": "none", "refinery": "none", "since": TOMORROW, "reason": "a sixth mill",
    }  # fmt: skip
    page = look(noor, "/plant/conventions/equipment", **typed)
    assert "First on <strong>shift 3 of Sunday 7 June 2026</strong>" in page.text
    assert "Mill 5 bagasse, pol: 1 box, new" in page.text
    assert "as set up: tandem" in noor.get("/plant/conventions/equipment").text
    assert noor.post("/plant/conventions/equipment", hidden_of(page)).status_code == 303
    assert made(bench) == [("conventions", "tandem_mills")]
    held = bench.read(mills.convention_rows, bench.mill)
    assert held == [("tandem_mills", "6", date(2026, 6, 4), "a sixth mill")]


def test_the_effect_on_figures_is_shown_before_it_is_confirmed(noor, bench):
    load(bench, results(JUNE[:2]))
    page = look(noor, BRIX, standard_molasses_brix="86", since="2026-06-01", reason="the trade")
    assert "Final molasses % cane, at standard brix" in page.text
    assert "Season to 2 Jun" in page.text
    assert "No figure of today changes" not in page.text
    later = look(noor, BRIX, standard_molasses_brix="86", since=TOMORROW, reason="the trade")
    assert "stays as it is. A week or season to date follows, from the report of" in later.text
    assert "What would have been, had it held since 1 Jun 2026" in later.text
    nothing = look(noor, PH, **LIMITS | {"since": "2026-06-01", "often": "shift-0"})
    assert "No figure changes." in nothing.text


def test_a_stream_is_switched_off_from_a_day_on_that_has_no_results_of_it(noor, bench):
    load(bench, results(JUNE[:3]))
    address, typed = "/plant/parts/lime", {"in_use": "no", "reason": "none bought"}
    page = look(noor, address, **typed, since="2026-06-02")
    assert page.status_code == 422
    assert "stand up to 2026-06-03 and would lose their boxes" in page.text
    page = look(noor, address, **typed, since="2026-06-04")
    assert noor.post(address, hidden_of(page)).status_code == 303
    assert "switched off since 4 Jun 2026" in noor.get("/trail?person=administrator").text
    assert noor.get("/shifts/2026-06-03/1/cells/lime").status_code == 200


def test_a_target_is_chosen_and_changes_no_figure(noor, bench):
    load(bench, results(JUNE[:2]))
    address = "/plant/targets/pol_extraction"
    page = look(noor, address, value="99,5", since="2026-06-02")
    assert "A target changes no figure." in page.text
    assert "target 99.50" in page.text
    assert noor.post(address, hidden_of(page)).status_code == 303
    assert "99.50 % pol in cane" in noor.get("/plant/targets").text
    assert bench.read(mills.targets, bench.mill, date(2026, 6, 2)) == {"pol_extraction": 99.5}


@pytest.mark.parametrize("address", ["/plant/measures/nothing", "/plant/nothing/cane"])
def test_what_the_plant_has_not_is_not_found(noor, address):
    assert noor.get(address).status_code == 404
    assert noor.get(f"{address}/review").status_code == 404
    assert noor.post(address, LIMITS).status_code == 404


def test_what_is_chosen_for_next_month_stands_under_what_comes_later(noor):
    since = f"{date(2026, 6, 3) + timedelta(days=30)}"
    form = hidden_of(look(noor, BRIX, standard_molasses_brix="86", since=since, reason="trade"))
    noor.post(BRIX, form)
    later = noor.get("/plant").text.partition('id="later"')[2].partition("</table>")[0]
    assert "Standard brix of final molasses" in later
    assert "3 Jul 2026" in later
    assert "86 °Bx" in later
