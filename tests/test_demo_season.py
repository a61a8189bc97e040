"""The invented season: always the same, in balance before it is measured, and fit to be typed."""

import hashlib
from datetime import timedelta

import numpy as np
import pytest

from app.figures import CONVENTIONS, FIGURES
from app.plant.measures import DAY, MEASURES, SHIFT, WEEK
from app.plant.streams import Equipment, streams_in_use
from app.plant.typed import STATES, read
from app.plant.vessels import VESSELS
from demo_data import season, typed
from demo_data.books import SINCE
from demo_data.factory import STAYS, Balance, Draw, run_season
from demo_data.kept import given
from demo_data.samples import due_measures

LEAVES = ("bagasse", "filter_cake", "sugar", "final_molasses", "undetermined")


@pytest.fixture(scope="module")
def balance() -> Balance:
    return run_season(Draw())


@pytest.fixture(scope="module")
def demo() -> season.Demo:
    return season.demo_season()


@pytest.fixture(scope="module")
def standing(demo) -> dict[tuple, dict[str, str]]:
    """The text that stands of each measure, of its last sample, by day and shift; with points."""
    found: dict[tuple, dict[str, str]] = {}
    for row in demo.history:
        found.setdefault((row.day, row.number), {})[row.measure] = row.typed.replace(",", ".")
    return found


def value(text: str) -> float:
    number = read(text)[1]
    return np.nan if number is None else float(number)


def column(standing, measure: str) -> np.ndarray:
    return np.array([value(cells.get(measure, "nm")) for cells in standing.values()])


def fingerprint(demo: season.Demo) -> str:
    return hashlib.sha256(repr((demo, demo.history)).encode()).hexdigest()


def test_the_season_is_the_same_every_time(demo):
    season.true_season.cache_clear()
    assert fingerprint(season.demo_season()) == fingerprint(demo)


@pytest.mark.parametrize("component", ["pol", "solids"])
def test_what_came_in_left_or_is_in_stock(balance, component):
    tonnes = getattr(balance, component)
    held = sum(balance.held[vessel][component == "pol"] for vessel in STAYS)
    out = sum(tonnes[place] for place in LEAVES).cumsum() + held
    np.testing.assert_allclose(out, tonnes["cane"].cumsum(), rtol=1e-9)


def test_the_tandem_balances(balance):
    mass, running = balance.mass, balance.hours > 0
    np.testing.assert_allclose(
        mass["mixed_juice"] + mass["bagasse"], mass["cane"] + mass["imbibition"], rtol=1e-9
    )
    water = mass["bagasse"] * balance.percent["bagasse_moisture"] / 100
    fibre = mass["bagasse"] - water - balance.solids["bagasse"] + mass["suspended_solids"]
    np.testing.assert_allclose(fibre[running], mass["fibre"][running], rtol=1e-9)


def test_nothing_flows_backwards(balance):
    for tonnes in (balance.mass, balance.solids, balance.pol):
        for name, values in tonnes.items():
            assert values.min() >= -1e-9, name


def test_true_losses_are_those_of_a_plausible_mill(balance):
    share = {p: 100 * balance.pol[p].sum() / balance.pol["cane"].sum() for p in LEAVES}
    assert 3 < share["bagasse"] < 4
    assert 0.3 < share["filter_cake"] < 0.7
    assert 8 < share["final_molasses"] < 10
    assert 1.0 < share["undetermined"] < 1.3


def test_every_due_measure_occurs_as_often_as_it_is_taken(standing):
    here = {*streams_in_use(Equipment("tandem", 5)), *VESSELS}
    due = {m.name for m in MEASURES.values() if m.due and m.stream in here}
    assert {m.name for m in due_measures()} == due
    rows = {name: sum(name in cells for cells in standing.values()) for name in due}
    for name, count in rows.items():
        measure = MEASURES[name]
        # from then on the records of a book make it
        days = (SINCE - typed.FIRST_DAY).days if name in given() else 149
        whole = {SHIFT: days * 3, DAY: days, WEEK: 21}
        fewest = 0.95 if measure.carrier else 1
        # the running shift has some analyses more, and no weights yet
        most = whole[measure.grain] + (measure.grain == SHIFT)
        if measure.grain == WEEK:
            fewest = 0.75
        assert fewest * whole[measure.grain] <= count <= most, name
    chosen = {n for n in season.true_season() if n not in due}
    readings = {n for n in MEASURES if n.endswith(("_reading", "_mass"))}
    assert set().union(*standing.values()) - due - readings == chosen


def test_taken_daily_and_weekly_on_the_last_shift(standing):
    for (day, number), cells in standing.items():
        for name in cells:
            grain = MEASURES[name].grain
            assert grain == SHIFT or number == 3, (day, name)
            assert grain != WEEK or day.isoweekday() == 7, (day, name)


def test_no_weight_or_dip_is_missing_before_the_running_shift(standing, demo):
    always = [m for m in due_measures() if not m.carrier]
    for (day, number), cells in standing.items():
        if day < demo.now.date():
            booked = given() if day >= SINCE else frozenset()
            for m in (m for m in always if m.name not in booked):
                assert (m.name in cells) == (m.grain == SHIFT or number == 3), (day, m.name)


def test_the_running_shift_is_partly_filled(standing, demo):
    cells = standing[demo.now.date(), 1]
    of_shift = {m.name for m in due_measures() if m.grain == SHIFT} - given()
    # the weights and boxes that are typed late in a shift are those that books give now
    assert 0.4 < len(cells.keys() & of_shift) / len(of_shift) < 0.8
    assert max(standing) == (demo.now.date(), 1)


def test_noise_leaves_purity_near_the_truth(standing):
    true = season.true_season()
    shifts = len(standing)
    for stream in ("first_expressed_juice", "mixed_juice", "clear_juice", "syrup"):
        truth = 100 * true[f"{stream}_pol"][:shifts] / true[f"{stream}_brix"][:shifts]
        typed = 100 * column(standing, f"{stream}_pol") / column(standing, f"{stream}_brix")
        difference = typed - truth
        assert abs(np.nanmean(difference)) < 0.1, stream
        assert 0.05 < np.nanstd(difference) < 1, stream


def test_typed_values_stand_inside_hard_limits(standing):
    for cells in standing.values():
        for name, text in cells.items():
            low, high = MEASURES[name].hard
            assert np.isnan(value(text)) or low <= value(text) <= high, name


def test_pol_never_stands_above_brix(standing):
    compared = 0
    for cells in standing.values():
        for name, text in cells.items():
            brix = cells.get(f"{name.removesuffix('_pol')}_brix", "nm")
            if name.endswith("_pol") and read(brix)[1] is not None:
                assert not value(text) > value(brix), name
                compared += 1
    assert compared > 2000


def test_the_mill_stands_now_and_then_and_types_zeros(standing):
    stopped = [cells for cells in standing.values() if cells.get("cane") == "0.0"]
    assert len(stopped) > 20
    for cells in stopped:
        assert cells["crushing_hours"] == "0.00"
        assert {cells[n] for n in ("mixed_juice", "imbibition", "sugar", "steam")} == {"0.0"}
        assert {cells[n] for n in ("mixed_juice_pol", "bagasse_pol", "sugar_pol")} == {"nd"}


def test_a_few_analyses_are_blank_or_not_measured(standing):
    of_shift = [m.name for m in due_measures() if m.carrier and m.grain == SHIFT]
    typed_there = [cells for (day, _number), cells in standing.items() if day < SINCE]
    running = [cells for cells in typed_there if cells.get("cane", "0.0") != "0.0"]
    cells = len(of_shift) * len(running)
    blank = sum(name not in cells for cells in running for name in of_shift)
    named = sum(cells.get(name) in ("nm", "if") for cells in running for name in of_shift)
    assert 0.007 < blank / cells < 0.013
    assert 0.002 < named / cells < 0.006


def test_the_mixed_juice_scale_drifts_from_september(standing):
    true = season.true_season()["mixed_juice"][: len(standing)]
    error = np.divide(column(standing, "mixed_juice"), true, out=np.ones_like(true), where=true > 0)
    began = (typed.SCALE_DRIFTS_FROM - season.FIRST_DAY).days * 3
    assert abs(error[:began].mean() - 1) < 0.0005
    assert 1.012 < np.nanmean(error[-10:]) < 1.016


def test_mistakes_are_corrected_later_with_a_reason(demo):
    first: dict[tuple, season.HistoryRow] = {}
    corrections = 0
    for row in demo.history:
        cell = (row.day, row.number, row.measure, row.sample)
        assert row.corrects_previous == (cell in first)
        if row.corrects_previous:
            corrections += 1
            assert row.reason
            wrong = first[cell]
            assert row.typed.replace(",", ".") != wrong.typed.replace(",", ".")
            assert timedelta(hours=2) <= row.recorded_at - wrong.recorded_at < timedelta(hours=10)
        else:
            assert row.reason is None
        first[cell] = row
    assert 18 <= corrections <= 25


def test_results_are_recorded_in_order_during_or_just_after_their_shift(demo):
    times = [row.recorded_at for row in demo.history]
    assert times == sorted(times)
    assert times[-1] < demo.now
    for row in demo.history:
        begins, ends = season.CLOCK.shift_bounds(row.day, row.number)
        late = timedelta(hours=10) if row.corrects_previous else timedelta(minutes=30)
        assert begins < row.recorded_at < ends + late


def test_one_chemist_types_commas_and_every_text_is_read(demo):
    signs = dict.fromkeys(("ines", "tomas"), "")
    for row in demo.history:
        read(row.typed)
        signs[row.username] += row.typed if row.typed not in STATES else ""
    assert "." in signs["ines"]
    assert "," not in signs["ines"]
    assert "," in signs["tomas"]
    assert "." not in signs["tomas"]


def test_targets_and_conventions_are_known(demo):
    assert {target["figure"] for target in demo.targets} <= FIGURES.keys()
    for convention in demo.conventions:
        CONVENTIONS[convention["name"]].read(convention["value"])
