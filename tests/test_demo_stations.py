"""The invented season beyond what is due: a laboratory's own choice, the time account, readings."""

from collections import Counter
from datetime import date, timedelta
from decimal import Decimal

import numpy as np
import pytest

from app.database import open_database, reading
from app.ledger import bench, mills, uncertainty
from app.ledger.shifts import shift_table
from app.plant.measures import MEASURES
from app.reports.season_books import SeasonBooks
from demo_data import season, typed
from demo_data.books import SINCE
from demo_data.factory import LONG_STOPS, Draw, run_season
from tests.served import demo_database

Cells = dict[str, str]

MEASURED_RESULTS = ("mixed_juice_brix", "mixed_juice_pol", "bagasse_moisture")
STOPS = [name for name, m in MEASURES.items() if m.prop == "hours" and m.stream != "cane"]

# Usual ranges, as the notes of the figures tell them.
USUAL = {
    "steam_economy": (2.2, 4.4), "evaporation_on_clear_juice": (74, 81),
    "specific_evaporation": (22, 30), "effect_1_heat_transfer": (2000, 3500),
    "effect_4_heat_transfer": (400, 900), "syrup_boiling_point_elevation": (2, 4),
    "last_effect_head": (0.5, 2), "evaporation_ph_drop": (0.3, 0.7), "steam_per_bagasse": (2, 2.3),
    "boiler_efficiency": (60, 69), "gross_calorific_value": (9000, 9800), "excess_air": (25, 60),
    "moisture_loss": (13, 16), "hydrogen_loss": (8, 9), "feed_water_temperature": (85, 115),
    "flue_gas_oxygen": (3, 8), "power_used_on_cane": (25, 35), "condensate_sugar_trace": (0, 10),
    "condenser_water_per_cane": (8, 14), "condenser_outlet_sugar_trace": (2, 15),
    "filter_retention": (75, 90), "filter_wash_on_cake": (100, 150), "flocculant_on_cane": (2, 5),
    "mixed_juice_phosphate": (200, 400), "a_massecuite_on_brix": (0.9, 1.2),
    "b_massecuite_on_brix": (0.3, 0.5), "c_massecuite_on_brix": (0.2, 0.3),
    "c_massecuite_temperature": (60, 70), "c_massecuite_cooled_temperature": (40, 45),
    "c_massecuite_reheated_temperature": (52, 56), "c_centrifugal_purity_rise": (1, 3),
    "c_crystallizer_purity_drop": (2, 6), "mill_3_net_extraction": (30, 55),
    "bagasse_ash": (1.5, 4), "sugar_ash_on_impurity": (20, 40), "sugar_reducing_sugars": (0.1, 0.6),
    "sugar_grain_size": (0.6, 0.95), "sugar_grain_variation": (25, 38),
    "reducing_sugars_over_ash": (0.8, 1.8), "non_sucrose_ratio": (88, 102),
}  # fmt: skip


@pytest.fixture(scope="module")
def kept(tmp_path_factory):
    """The books of the demonstration's ledger, its pairs, statements and doses."""
    engine = open_database(f"sqlite:///{demo_database(tmp_path_factory.mktemp('demo'))}")
    with reading(engine) as connection:
        mill = mills.the_mill(connection)
        (only,) = mills.seasons(connection, mill)
        table = shift_table(connection, mill, only)
        yield (
            SeasonBooks(table, mills.convention_rows(connection, mill)),
            uncertainty.duplicates(connection, mill), uncertainty.stated(connection, mill),
            bench.lime_doses(connection, mill),
        )  # fmt: skip
    engine.dispose()


@pytest.fixture(scope="module")
def standing() -> dict[tuple, Cells]:
    """The text that stands of each measure, of its last sample, by day and shift; with points."""
    found: dict[tuple, Cells] = {}
    for row in season.demo_season().history:
        found.setdefault((row.day, row.number), {})[row.measure] = row.typed.replace(",", ".")
    return found


def column(standing: dict[tuple, Cells], measure: str) -> np.ndarray:
    return np.array([float(cells.get(measure, "nan")) for cells in standing.values()])


def test_a_demonstration_is_quickly_made_of_so_many_entries():
    assert 40_000 < len(season.demo_season().history) <= 46_000


def test_hours_crushing_and_stopped_are_all_the_hours(standing):
    for (day, number), cells in standing.items():
        if day < SINCE:  # then a book of stops tells them
            hours = [Decimal(cells[n]) for n in ("crushing_hours", *STOPS) if n in cells]
            assert sum(hours) == 8, (day, number)
            assert all(hours[1:]), "a cause of no stop is left blank"


@pytest.mark.parametrize(
    ("stop", "causes"),
    [(LONG_STOPS[0], {"force_majeure", "no_cane"}), (LONG_STOPS[1], {"mechanical_stop"})],
)
def test_a_long_stop_has_its_cause(standing, stop, causes):
    first, shifts = stop
    told = Counter()
    for cells in list(standing.values())[first : first + shifts]:
        told.update({n.removesuffix("_hours"): Decimal(cells[n]) for n in STOPS if n in cells})
    assert told.keys() == causes
    assert told.total() == 8 * shifts


def test_juice_thickens_and_cools_from_effect_to_effect(standing):
    days = [cells for cells in standing.values() if "effect_1_brix" in cells]
    assert len(days) > 130
    for cells in days:
        brix = [float(cells[f"effect_{n}_brix"]) for n in range(1, 5)]
        assert brix == sorted(brix)
        assert 15 < brix[0] < 25
        falling = [float(cells["evaporator_steam_temperature"])]
        for n in range(1, 5):
            falling += [float(cells[f"effect_{n}_{w}temperature"]) for w in ("", "vapour_")]
        assert falling == sorted(falling, reverse=True)


def test_the_mill_burns_less_than_it_makes_and_both_buys_and_sells_power(standing):
    made = run_season(Draw()).mass["bagasse"][: len(standing)]
    assert 0.75 * made.sum() < np.nansum(column(standing, "bagasse_burnt")) < 0.95 * made.sum()
    for which in ("power_sold", "power_bought"):
        power = column(standing, which)
        assert (power == 0).sum() > 20
        assert (power > 0).sum() > 20


def test_results_follow_from_readings_on_some_twenty_shifts(standing, kept):
    books = kept[0].books
    right = typed.due_texts(season.true_season())
    shifts = [i for i, c in enumerate(standing.values()) if any(n.endswith("_mass") for n in c)]
    shifts += [i for i, c in enumerate(standing.values()) if "mixed_juice_polarimeter_reading" in c]
    assert len(set(shifts)) == 20
    for shift in shifts:
        for name in MEASURED_RESULTS:
            # a reading has two decimals, of which half the last is 0.0013 of pol
            assert books.entered[name][shift] == pytest.approx(
                float(right[name][shift]), abs=0.0015, rel=0
            ), name


@pytest.mark.parametrize("monday", [date(2026, 7, 27), date(2026, 8, 3), date(2026, 8, 10)])
def test_figures_of_the_weeks_of_mid_season_are_usual(kept, monday):
    books = kept[0]
    found = books.books.over([books.between(monday, monday + timedelta(days=6))]).values
    for name, (low, high) in USUAL.items():
        assert low <= found[name][0] <= high, name


def test_the_laboratory_states_how_sure_it_is(kept):
    _, pairs, stated, doses = kept
    assert Counter(p.measure for p in pairs).most_common()[0] == ("bagasse_pol", 12)
    assert len(pairs) == 40
    assert len({p.measure for p in pairs}) == 5
    assert [s.measure for s in stated] == ["bagasse_pol", "mixed_juice"]
    assert {s.recorded_name for s in stated} == {"Noor Achterberg"}
    assert len(doses) == 6
