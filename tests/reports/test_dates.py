"""Days, moments and time zones as pages write them."""

from datetime import date

import pytest

from app.language import speaking
from app.reports.dates import calendar_day, zone_words


@pytest.mark.parametrize(
    ("zone", "words"),
    [
        ("Etc/GMT-4", "UTC+04:00"),  # four hours ahead, by the sign of POSIX
        ("Etc/GMT+10", "UTC\u221210:00"),
        ("Etc/GMT+0", "UTC"),
        ("Africa/Nairobi", "Africa/Nairobi"),
    ],
)
def test_a_zone_named_by_its_offset_is_told_by_the_sign_that_people_read(zone, words):
    assert zone_words(zone) == words


def test_a_day_with_its_year_is_written_as_the_language_writes_it():
    assert calendar_day(date(2026, 11, 13)) == calendar_day("2026-11-13") == "13 Nov 2026"
    with speaking("es"):
        assert calendar_day("2026-11-13") == "13 nov 2026"
