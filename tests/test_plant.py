"""The mill in words: what a factory samples, and what each result may be."""

from decimal import Decimal

import pytest

from app.ledger.cells import understand
from app.plant.measures import DAY, MEASURES, PROPERTIES, SHIFT, WEEK
from app.plant.readings import KINDS
from app.plant.streams import STATIONS, STREAMS, Equipment, streams_in_use
from app.plant.vessels import VESSELS


def test_a_tandem_samples_the_bagasse_of_each_mill_but_the_last():
    streams = streams_in_use(Equipment("tandem", 5))
    assert "mill_4_bagasse" in streams
    assert "mill_5_bagasse" not in streams
    assert "press_water" not in streams
    assert "bagasse" in streams


def test_a_diffuser_has_press_water_and_no_mills():
    streams = streams_in_use(Equipment("diffuser", 0))
    assert {"press_water", "diffuser_bagasse", "mixed_juice", "bagasse"} <= set(streams)
    assert not [name for name in streams if name.startswith("mill_")]


def test_every_station_of_a_raw_sugar_factory_measures_something():
    assert {measure.station for measure in MEASURES.values()} == set(STATIONS)


@pytest.mark.parametrize("measure", MEASURES.values(), ids=lambda measure: measure.name)
def test_a_measure_says_what_it_is_and_what_it_may_be(measure):
    low, high = measure.hard
    assert low <= measure.usual[0] < measure.usual[1] <= high
    assert measure.title
    assert measure.unit
    assert measure.decimals >= 0
    assert measure.grain in (SHIFT, DAY, WEEK)
    assert measure.stream in STREAMS or measure.stream in VESSELS
    assert measure.prop in PROPERTIES.keys() | KINDS.keys() | {"weight", "hours"}


def test_every_measure_takes_its_hard_limits_as_they_are_written():
    for name, measure in MEASURES.items():
        for limit in measure.hard:
            assert understand(name, f"{limit:.2f}").value == Decimal(str(limit))
