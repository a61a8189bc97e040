"""Files that are brought in: whatever one holds, it is a table of texts or refused in words."""

import io
import re
import subprocess
import sys
import zipfile
from contextlib import suppress
from datetime import date, datetime, time, timedelta

import pytest
import xlsxwriter
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st

from app.imports import columns, files, workbook
from app.imports.columns import called, choices, guess, heading_row, letter
from app.imports.days import day_orders, read_day
from app.imports.files import NoTable, read_file
from app.language import LANGUAGES, speaking
from app.plant.books import BOOKS
from app.plant.typed import both_readings


def table(body, name="lab.csv"):
    (rows,) = read_file(name, body).sheets.values()
    return rows


def made(*rows, far=None):
    """A workbook with one sheet."""
    out = io.BytesIO()
    book = xlsxwriter.Workbook(out, {"in_memory": True})
    sheet = book.add_worksheet("Juice")
    dated = book.add_format({"num_format": "dd/mm/yyyy"})
    for n, row in enumerate(rows):
        for place, cell in enumerate(row):
            if isinstance(cell, date | time):
                sheet.write_datetime(n, place, cell, dated)
            else:
                sheet.write(n, place, cell)
    if far:
        sheet.write(*far, 1)
    book.close()
    return out.getvalue()


def is_table(brought):
    """Every sheet has rows with rising numbers, and texts without blanks around them."""
    for rows in brought.sheets.values():
        numbers = [number for number, _ in rows]
        assert numbers == sorted(set(numbers))
        assert all(texts and texts[-1] for _, texts in rows)
        assert all(text == " ".join(text.split()) for _, texts in rows for text in texts)


@given(st.binary(max_size=400))
@example(b"\xff\xfe1\x00")
@example(b'a,"b\n')
@example(b"\x81")
@example(b"\xef\xbb\xbfday,shift\r1,2\r")
@settings(max_examples=400, suppress_health_check=[HealthCheck.too_slow], deadline=None)
def test_any_bytes_are_a_table_or_are_refused_in_words(body):
    with suppress(NoTable):
        is_table(read_file("any", body))


# Made once: a workbook carries the time of its making, and two of one run may differ in length.
WHOLE = made(["Day", "Shift"], ["2026-06-01", 1])


@given(st.data())
@settings(max_examples=15, deadline=None)
def test_a_damaged_workbook_is_a_table_or_is_refused_in_words(data):
    body = bytearray(WHOLE)
    for _ in range(data.draw(st.integers(1, 5))):
        body[data.draw(st.integers(4, len(body) - 1))] = data.draw(st.integers(0, 255))
    with suppress(NoTable):
        is_table(read_file("any.xlsx", bytes(body)))


@pytest.mark.parametrize("mark", [",", ";", "\t"])
@pytest.mark.parametrize("coding", ["utf-8", "utf-8-sig", "utf-16", "cp1252"])
def test_each_mark_and_coding_gives_the_same_table(mark, coding):
    text = "\r\n".join(mark.join(row) for row in (["Día", "Turno", "Caña"], ["1", "2", "14.5"]))
    brought = read_file("lab.csv", text.encode(coding))
    assert brought.sheets[""] == [(1, ["Día", "Turno", "Caña"]), (2, ["1", "2", "14.5"])]
    assert brought.as_western == (coding == "cp1252")


def test_a_decimal_comma_beside_semicolons_parts_no_column():
    rows = table(b"day;shift;Mixed juice, brix\n2026-06-01;1;14,52\n2026-06-01;2;14,61\n")
    assert rows[1] == (2, ["2026-06-01", "1", "14,52"])


def test_a_title_and_blank_lines_keep_the_numbers_of_the_rows():
    rows = table(b"Season 2026\n\nday,shift,cane\n2026-06-01,1,1250\n,,\n2026-06-01,2,1251\n")
    assert [number for number, _ in rows] == [1, 3, 4, 6]
    assert heading_row(rows) == 1


def test_a_workbook_s_numbers_come_without_the_noise_of_floats():
    """The largest and smallest that a double tells apart, and sums of tenths."""
    (_, texts), *_ = table(made([0.1 + 0.2, 14.52, 1250.0, -0.0, 1e15, 1e-7, 0.145]), "lab.xlsx")
    assert texts == ["0.3", "14.52", "1250", "0", "1000000000000000", "0.0000001", "0.145"]


def test_a_workbook_s_number_can_be_read_in_one_way_alone():
    """A text of 9.125 may be nine thousand; a number is what it is."""
    (_, texts), *_ = table(made([9.125, -123.456, 1234.567, "9.125"]), "lab.xlsx")
    assert texts == ["9.1250", "-123.4560", "1234.567", "9.125"]
    assert [both_readings(text) for text in texts[:3]] == [None] * 3


def test_days_and_times_of_a_workbook_are_read_as_such():
    day, moment = datetime(2026, 7, 14), datetime(2026, 7, 14, 6, 30)  # noqa: DTZ001  cells
    (_, texts), *_ = table(made([day, moment, time(7, 40), True, "nm"]), "lab.xlsx")
    assert texts == ["2026-07-14", "2026-07-14 06:30", "07:40", "True", "nm"]
    assert workbook.text_of(timedelta(hours=31, minutes=5)) == "31:05"


def test_a_workbook_in_open_document_is_read():
    """Written by hand as OASIS OpenDocument 1.3, part 3, has it."""
    content = (
        '<?xml version="1.0" encoding="UTF-8"?><office:document-content '
        'xmlns:office="urn:oasis:names:tc:opendocument:xmlns:office:1.0" '
        'xmlns:table="urn:oasis:names:tc:opendocument:xmlns:table:1.0" '
        'xmlns:text="urn:oasis:names:tc:opendocument:xmlns:text:1.0" office:version="1.3">'
        '<office:body><office:spreadsheet><table:table table:name="Jugo"><table:table-row>'
        '<table:table-cell office:value-type="date" office:date-value="2026-07-14">'
        "<text:p>14/07/26</text:p></table:table-cell>"
        '<table:table-cell office:value-type="float" office:value="14.52">'
        "<text:p>14,52</text:p></table:table-cell></table:table-row></table:table>"
        "</office:spreadsheet></office:body></office:document-content>"
    )
    kind = "application/vnd.oasis.opendocument.spreadsheet"
    manifest = (
        '<?xml version="1.0"?><manifest:manifest '
        'xmlns:manifest="urn:oasis:names:tc:opendocument:xmlns:manifest:1.0">'
        f'<manifest:file-entry manifest:full-path="/" manifest:media-type="{kind}"/>'
        "</manifest:manifest>"
    )
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as archive:
        archive.writestr("mimetype", kind)
        archive.writestr("content.xml", content)
        archive.writestr("META-INF/manifest.xml", manifest)
    assert read_file("lab.ods", out.getvalue()).sheets == {"Jugo": [(1, ["2026-07-14", "14.52"])]}


def test_a_cell_far_from_all_others_ends_only_its_reader():
    """A dense sheet of 1 048 576 rows and 16 384 columns is more than any memory holds."""
    with pytest.raises(NoTable, match="look for a cell far from the others"):
        read_file("far.xlsx", made(["Day"], far=(1_048_575, 16_383)))


def test_a_table_too_wide_or_too_long_is_refused(monkeypatch):
    with pytest.raises(NoTable, match="more than 500 columns"):
        table(b",".join([b"a"] * 501))
    monkeypatch.setattr(files, "MOST_CELLS", 5)
    with pytest.raises(NoTable, match="more than 5 cells"):
        table(b"a,b,c\nd,e,f\n")


# In a process of its own: what other threads of this one keep meanwhile is counted as well.
PEAKS = """
import tracemalloc
from app.imports import files
files.MOST_CELLS, lines = 1000, 300_000
for body in (b"\\n" * lines, b" ,\\n" * lines, b"x\\n" * lines, b"," * lines):
    tracemalloc.start()
    try:
        files.read_file("lab.csv", body)
    except files.NoTable as why:
        print(tracemalloc.get_traced_memory()[1] / lines, why)
    tracemalloc.stop()
"""


def test_no_more_is_kept_of_a_file_than_a_table_may_hold():
    """Twenty megabytes of ends of lines are no table, and must not become gigabytes."""
    ran = subprocess.run([sys.executable, "-c", PEAKS], capture_output=True, text=True, check=True)
    peaks = [line.split(" ", 1) for line in ran.stdout.splitlines()]
    assert len(peaks) == 4
    for bytes_a_line, why in peaks:
        assert re.search(r"nothing in it|more than 1000 cells|field larger", why)
        assert float(bytes_a_line) < 20  # its text, and that again as it is read


def test_a_cell_longer_than_any_field_is_refused_before_all_are_read():
    """A few hundred kilobytes can hold gigabytes of one long text."""
    with pytest.raises(NoTable, match="a cell of more than 2000 characters"):
        table(made(*[["y" * 32_767]] * 50), "long.xlsx")


def test_all_that_is_said_in_a_workbook_is_counted(monkeypatch):
    monkeypatch.setattr(workbook, "_MOST_SIGNS", 1000)
    with pytest.raises(MemoryError):
        workbook.sheets_of(made(*[["y" * 600]] * 2))


def test_one_workbook_is_read_at_a_time(monkeypatch):
    monkeypatch.setattr(files, "_SECONDS", 0.1)
    with files._reading_one, pytest.raises(NoTable, match="Other workbooks are being read"):
        table(made(["Day"]), "lab.xlsx")


def test_the_name_of_a_file_is_printable_and_short():
    brought = read_file("C:\\lab\\se\u202eason\n" + "x" * 300 + ".csv", b"a,b\n")
    assert brought.name.isprintable()
    assert len(brought.name) == 100
    assert brought.name.endswith("x.csv")


@pytest.mark.parametrize(
    ("text", "order", "day"),
    [
        ("2026-07-14", "year first", date(2026, 7, 14)),
        ("2026/7/4", "day first", date(2026, 7, 4)),
        ("14/07/2026", "day first", date(2026, 7, 14)),
        ("14.7.2026", "day first", date(2026, 7, 14)),
        ("4-7-2026", "month first", date(2026, 4, 7)),
        ("31/06/2026", "day first", None),
        ("14/07/2026", "month first", None),
        ("14.08.25", "day first", date(2025, 8, 14)),
        ("25-08-14", "year first", date(2025, 8, 14)),
        ("14/07/126", "day first", None),
        ("2026-07-14 00:00:00", "year first", date(2026, 7, 14)),
        ("14/07/2026 00:00", "day first", date(2026, 7, 14)),
        ("2026-07-14 06:00", "year first", None),
        ("20260714", "year first", date(2026, 7, 14)),
        ("15 Aug 2025", "year first", date(2025, 8, 15)),
        ("15-ago-2025", "month first", date(2025, 8, 15)),
        ("15 de agosto de 2025", "year first", date(2025, 8, 15)),
        ("15 août 2025", "year first", date(2025, 8, 15)),
        ("15 nothing 2025", "year first", None),
        ("14/07/2026", "year first", None),
        ("14/07-2026", "day first", None),
        ("46217", "year first", date(2026, 7, 14)),
        ("6217", "year first", None),
        ("1026-07-14", "year first", None),
    ],
)
def test_a_day_is_read_in_the_order_that_was_chosen(text, order, day):
    if day is None:
        with pytest.raises(ValueError, match=r"the day like|no such day"):
            read_day(text, order)
    else:
        assert read_day(text, order) == day


@pytest.mark.parametrize(
    ("texts", "orders"),
    [
        (["2026-06-01"], {"year first"}),
        (["01/06/2026", "13/06/2026"], {"day first"}),
        (["06/01/2026", "06/13/2026"], {"month first"}),
        (["01/06/2026", "02/06/2026"], {"day first", "month first"}),
        (["13/06/2026", "06/13/2026"], set()),
        (["14.08.25"], {"day first", "year first"}),
        (["14.08.25", "31.08.00"], {"day first"}),
        (["15 Aug 2025", "20250816"], {"year first"}),
        (["2026-06-01", "13/06/2026", "Total", ""], {"day first"}),
    ],
)
def test_a_column_of_days_tells_its_order_or_is_asked_about(texts, orders):
    assert day_orders(texts) == orders


def test_headings_are_known_by_name_and_title_with_or_without_unit():
    headings = [
        "DATE", "shift", "cane", "Mixed juice, brix", "Mixed juice, pol (%)", "Bagasse, moisture %",
        "final_molasses_purity", "Treacle", "Mixed juice, brix",
    ]  # fmt: skip
    assert guess(headings, "sheet") == {
        0: "day", 1: "shift", 2: "cane", 3: "mixed_juice_brix", 4: "mixed_juice_pol",
        5: "bagasse_moisture", 6: "final_molasses_purity",
    }  # fmt: skip
    assert guess(["Ticket", "Gross [t]"], "consignments") == {0: "ticket", 1: "gross"}
    assert columns.measure_called("Day") is None


@pytest.mark.parametrize("language", LANGUAGES)
def test_what_a_page_calls_a_column_is_understood_in_every_language(language):
    with speaking(language):
        for target in ("sheet", *BOOKS):
            for what in choices(target):
                assert called(columns.word_for(what, target), target) == what, (target, what)


def test_columns_are_named_as_a_spreadsheet_names_them():
    assert [letter(place) for place in (0, 25, 26, 51, 52, 701, 702)] == [
        "A", "Z", "AA", "AZ", "BA", "ZZ", "AAA",
    ]  # fmt: skip
