"""What is remembered of the columns of a table, and what is asked of each table afresh."""

from tests.web.test_imports import checked, fields, send, settled


def accepted(visitor, body, **otherwise):
    """Bring a table in, and return the page that says that it is written."""
    address, _page = checked(visitor, body, **otherwise)
    visitor.post(f"{address}/acceptance")
    return settled(visitor, address).text


def test_a_heading_that_is_not_remembered_is_recognised_as_in_a_fresh_table(rosa):
    accepted(rosa, "Day;Shift;Cane\n2026-06-01;1;1250\n")
    text = "Day;Shift;Cane;mixed_juice_brix\n2026-06-02;1;1260;14.2\n"
    again = rosa.get(send(rosa, text).headers["location"])
    assert fields(again)["column:3"] == "Mixed juice, brix"


def test_a_column_left_out_is_named_before_and_after_it_is_written(rosa):
    text = "Day;Shift;Cane;Weather\n2026-06-01;1;1250;dry\n"
    _, page = checked(rosa, text)
    assert "Left out: column D, Weather" in page.text
    assert "Left out: column D, Weather" in accepted(rosa, text)


def test_columns_are_remembered_when_a_table_is_accepted_not_when_it_is_checked(rosa):
    text = "When;Turn;Tonnes\n2026-06-01;1;1250\n"
    said = {"column:0": "Day", "column:1": "Shift", "column:2": "Cane crushed"}
    checked(rosa, text, **said)
    assert fields(rosa.get(send(rosa, text).headers["location"]))["column:2"] == ""
    accepted(rosa, text, **said)
    assert fields(rosa.get(send(rosa, text).headers["location"]))["column:2"] == "Cane crushed"


def test_the_order_of_days_is_asked_of_each_table_that_does_not_tell_it(rosa):
    """A table of another sender with the same headings may have the other order."""
    text = "Day,Shift,Cane\n06/03/2026,1,1250\n"
    accepted(rosa, text, order="month first")
    address = send(rosa, "Day,Shift,Cane\n05/06/2026,1,1250\n").headers["location"]
    page = rosa.get(address)
    assert "The last time such a table was said to have the month first" in page.text
    assert '<option value="month first" selected' not in page.text
    answer = rosa.post(f"{address}/columns", fields(page))
    assert answer.status_code == 422
    assert "Say whether the day or the month comes first." in answer.text
    rosa.post(f"{address}/columns", fields(page) | {"order": "day first"})
    assert "Days were read day first, 14/07/2026" in settled(rosa, address).text


def test_each_box_shows_the_unit_and_a_heading_with_another_says_why_it_is_blank(rosa):
    address = send(rosa, "Day,Shift,Cane,Power (kWh)\n2026-06-01,1,5,9\n").headers["location"]
    page = rosa.get(address).text
    assert '<span class="unit">t</span>' in page
    assert "Its heading says kWh; Power generated is in MWh." in page or "power" in page
