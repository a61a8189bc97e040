"""How the cells of a table are read where it does not tell: decimal signs, words for no result."""

from tests.web.test_imports import checked, fields, send, settled, sheet
from tests.web.test_imports_remembered import accepted

TWICE = "Day;Shift;Cane;mixed_juice_brix\n2026-06-01;1;6,023;14{}2\n"


def test_what_a_number_with_three_digits_behind_its_mark_means_is_asked_once(bench, rosa):
    text = "Day;Shift;Cane\n2026-06-01;1;6,023\n2026-06-01;2;6,1\n".replace("6,1", "1,100")
    address = send(rosa, text).headers["location"]
    page = rosa.get(address)
    assert "What 6,023 means" in page.text
    answer = rosa.post(f"{address}/columns", fields(page))
    assert "Say what 6,023 means." in answer.text
    rosa.post(f"{address}/columns", fields(page) | {"decimal": "."})
    assert "2 new" in settled(rosa, address).text
    rosa.post(f"{address}/acceptance")
    settled(rosa, address)
    assert sheet(bench) == {"cane": "6023"}


def test_other_numbers_of_the_table_tell_its_decimal_sign(bench, rosa):
    assert "2 were written" in accepted(rosa, TWICE.format("."))
    assert sheet(bench) == {"cane": "6023", "mixed_juice_brix": "14.2"}


def test_words_that_stand_for_not_measured_are_said_once_for_the_table(bench, rosa):
    text = "Day;Shift;Cane;mixed_juice_brix\n2026-06-01;1;1250;N/A\n"
    _address, page = checked(rosa, text)
    assert "1 row of 1 cannot be brought in" in page.text
    accepted(rosa, text, unmeasured="–, n/a")
    assert sheet(bench) == {"cane": "1250", "mixed_juice_brix": "nm"}


def test_rejected_rows_come_back_parted_as_they_came_and_a_spreadsheet_reads_their_accents(rosa):
    text = "Día;Turno;Caña molida\n2026-06-01;1;mucha\n"
    address, _page = checked(rosa, text)
    body = rosa.get(f"{address}/rejected.csv").content
    assert body.startswith("\ufeffDía;Turno;Caña molida;row;reason\r\n".encode())
    mended = body.replace(b"mucha", b"1250")
    assert "1 were written" in accepted(rosa, mended)


def test_what_is_called_nearly_so_is_proposed(rosa):
    address = send(rosa, "Day,Shift,Tonnes\n2026-06-01,1,5\n").headers["location"]
    form = fields(rosa.get(address)) | {"column:2": "Cane crushd"}
    answer = rosa.post(f"{address}/columns", form)
    assert "There is nothing called Cane crushd; Cane crushed is near." in answer.text


def test_a_row_of_headings_that_is_not_there_is_told(rosa):
    address = send(rosa, "Day,Shift,Cane\n2026-06-01,1,5\n").headers["location"]
    assert "There is nothing in row 99." in rosa.get(f"{address}?sheet=&heading=99").text
