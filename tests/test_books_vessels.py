"""Tables of vessels: how they are typed, and how long they hold."""

from dataclasses import replace
from datetime import date

import pytest

from app.database import reading, writing
from app.ledger import mills
from app.ledger.booked import differences
from app.ledger.recording import Faulty
from app.plant.books.stock import sound_table, table_of
from tests.bench import NOON
from tests.test_books_stock import DIP, ONE, TWO, result, write


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ("0=0; 1=1,234", "1=1,234: write 1234 or 1.2340"),
        ("-1=0; 0=5", "Neither a level nor a volume is below 0"),
        ("0=-5; 1=0", "Neither a level nor a volume is below 0"),
    ],
)
def test_a_table_that_may_mean_two_things_or_goes_below_nothing_is_refused(typed, words):
    assert sound_table({"table": typed}) == {"table": words}
    assert table_of(typed)  # one that was kept of old is read as it was


def test_what_no_vessel_holds_is_read_in_the_one_way_that_is_left():
    assert sound_table({"table": "0=0; 1.500=21.300"}) == {}


def test_a_vessel_has_one_table_on_a_shift(bench):
    write(bench, "calibrations", ONE)
    with pytest.raises(Faulty, match="s1 is written on this shift already"):
        write(bench, "calibrations", ONE | {"vessel": "s1", "table": "0=0; 3=60"})


@pytest.mark.both_engines
def test_vessels_are_known_in_the_next_season_by_their_last_table(bench):
    """Hand: 2.25 of 3 m is 32.2 m³ in the first table, and 45 in one of 60 m³."""
    table = write(bench, "calibrations", ONE)
    write(bench, "calibrations", TWO)
    with writing(bench.engine) as connection:
        following = mills.add_season(
            connection, bench.mill, name="2027", first_day=date(2027, 6, 1), at=NOON
        )
    later = replace(bench, season=following)
    write(later, "dips", DIP, day=following.first_day, late_reason="x")
    assert result(later, "syrup_tanks_volume") == []  # S2 is on the roll as before
    write(later, "dips", DIP | {"vessel": "S2", "level": "0"}, day=following.first_day,
          late_reason="x")  # fmt: skip
    assert result(later, "syrup_tanks_volume") == [pytest.approx(32.2)]
    write(bench, "calibrations", ONE | {"table": "0=0; 3=60"}, based_on=table, reason="misread")
    assert result(later, "syrup_tanks_volume") == [pytest.approx(45)]
    with reading(bench.engine) as connection:
        assert differences(connection, [bench.season, following]) == []
