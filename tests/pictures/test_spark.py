"""A line as small as a word: gaps stay gaps, and it carries no text of its own."""

from xml.etree import ElementTree

from app.pictures.spark import HEIGHT, WIDTH, spark


def drawn(values, target=None):
    return ElementTree.fromstring(spark(values, target))


def lines(picture):
    return [line.get("points").split() for line in picture.iter("polyline")]


def test_a_day_without_a_value_is_a_gap_in_the_line():
    assert [len(run) for run in lines(drawn([1, 2, None, 3, 2, 1]))] == [2, 3]


def test_a_value_between_two_gaps_is_a_dot():
    picture = drawn([1, 2, None, 3, None, 2, 1])
    assert [len(run) for run in lines(picture)] == [2, 2]
    assert len(list(picture.iter("circle"))) == 2  # that one, and the last value


def test_more_is_higher_and_all_of_it_lies_within():
    ((first, second, third),) = lines(drawn([1, 5, 3], target=9))
    points = [tuple(map(float, point.split(","))) for point in (first, second, third)]
    assert points[1][1] < points[2][1] < points[0][1]
    assert all(0 <= across <= WIDTH and 0 <= up <= HEIGHT for across, up in points)


def test_the_target_is_a_dashed_level_and_nothing_is_written_in_it():
    picture = drawn([1, 2], target=1.5)
    (level,) = picture.iter("line")
    assert level.get("stroke-dasharray")
    assert level.get("y1") == level.get("y2")
    assert "".join(picture.itertext()) == ""
    assert picture.get("aria-hidden") == "true"


def test_without_any_value_there_is_no_picture():
    assert spark([None, None], 1.0) == ""
