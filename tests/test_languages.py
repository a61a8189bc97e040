"""The catalogues hold what people see, and numbers and dates are those of each language."""

import ast
import re
from collections import Counter
from datetime import UTC, date, datetime, time

import pytest
from babel.dates import format_date
from babel.numbers import format_decimal

from app.language import CATALOGUES, ENGLISH, LANGUAGES, _, ngettext, speaking
from app.plant.calendar import Clock
from app.reports import dates, day
from app.reports.numbers import MINUS, THIN_SPACE, as_read, plain, plus_minus, printed, unrounded
from tests.test_architecture import MODULES
from tests.words import TRANSLATED, catalogue_of, is_translated, said, written

DAY = date(2026, 7, 14)
# names to be filled in, tags and references, which a translation takes over as they are
_KEPT = re.compile(r"\{\w*\}|%\(\w+\)s|%%|<[^>]*>|&\w+;")

# what is written as it is typed or sent, and a mark that stands alone in its tag
_TYPED = re.compile(r"<(code|kbd)>.*?</\1>|<[a-z][^>]*>[!?](?=<)|&\w+;|\d=\d+;")
_UNPARTED = re.compile(r"(?<!\u202f)[:;?!»](?=\s|<|$)")


@pytest.fixture(scope="module", params=TRANSLATED)
def catalogue(request):
    return catalogue_of(request.param)


def parts(words):
    return [words] if isinstance(words, str) else list(words)


def test_every_message_is_in_each_catalogue_and_none_that_is_no_more(catalogue):
    """`python -m tests.words` brings them up to date."""
    assert {message.id for message in catalogue} == {message.id for message in said()}


def test_a_translation_keeps_the_names_and_tags_of_its_message(catalogue):
    for message in catalogue:
        if not message.id or not is_translated(message):
            continue
        asked = [Counter(_KEPT.findall(part)) for part in parts(message.id)]
        for told in parts(message.string):
            assert Counter(_KEPT.findall(told)) in asked, (message.id, told)


def test_french_parts_its_marks_from_the_words_by_a_narrow_blank():
    """C-74. U+202F before : ; ? ! and within guillemets, so that no line begins with a mark."""
    for message in catalogue_of("fr"):
        for told in parts(message.string) if message.id else ():
            said_of_it = _TYPED.sub("", told)
            assert not _UNPARTED.search(said_of_it), told
            assert not re.search(r"«(?!\u202f)|[ \u00a0][:;?!»]|“", said_of_it), told


def test_no_two_sections_of_the_morning_report_bear_one_heading(catalogue):
    headings = [catalogue.get(title).string for title in day.PLAN]
    assert len(set(headings)) == len(headings), headings


def test_no_translation_is_a_guess(catalogue):
    assert not [message.id for message in catalogue if message.fuzzy]


def test_a_catalogue_is_written_down_in_order(catalogue):
    """So that a change of one word shows as that."""
    assert (CATALOGUES / f"{catalogue.locale}.po").read_bytes() == written(catalogue)


def test_no_message_begins_or_ends_with_a_blank():
    """C-74. A piece of a sentence would: other languages put the pieces in another order."""
    before_a_title = "Error: "
    found = [part for m in said() for part in parts(m.id) if part != part.strip()]
    assert set(found) <= {before_a_title}


def test_words_are_marked_whole():
    """C-74. What is put together before it is marked is in no catalogue."""
    for module in MODULES:
        for called in ast.walk(ast.parse(module.read_text(encoding="utf-8"))):
            if isinstance(called, ast.Call) and getattr(called.func, "id", "") in ("_", "ngettext"):
                words = called.args[: 1 if called.func.id == "_" else 2]
                glued = [w for w in words if isinstance(w, ast.JoinedStr | ast.BinOp)]
                assert not glued, f"{module.name}:{called.lineno}"


def test_words_in_no_catalogue_come_back_in_english():
    for code in LANGUAGES:
        with speaking(code):
            assert _("Nobody has said this, {name}", name="Ann") == "Nobody has said this, Ann"
            assert _("") == ""
            assert ngettext("{count} oddity", "{count} oddities", 2) == "2 oddities"


def test_each_language_offered_has_a_catalogue():
    """Spanish has one, whichever sign its numbers have."""
    for code in LANGUAGES.keys() - {ENGLISH}:
        assert (CATALOGUES / f"{code.partition('-')[0]}.po").is_file(), code


@pytest.mark.parametrize(
    ("code", "number", "limit"),
    [
        ("en", f"{MINUS}12{THIN_SPACE}345.68", "8.5"),
        ("es", f"{MINUS}12{THIN_SPACE}345,68", "8,5"),
        ("es-419", f"{MINUS}12{THIN_SPACE}345.68", "8.5"),
        ("pt", f"{MINUS}12{THIN_SPACE}345,68", "8,5"),
        ("fr", f"{MINUS}12{THIN_SPACE}345,68", "8,5"),
    ],
)
def test_numbers_have_the_sign_of_the_language_and_groups_by_thin_spaces(code, number, limit):
    """C-71, C-73. The sign is that of CLDR; SI Brochure 9th ed., 5.4.4: groups by a thin space."""
    value, locale = -12345.678, code.replace("-", "_")
    with speaking(code):
        assert printed(value, 2) == number
        assert printed(1234.5, 1) == f"1234{number[-3]}5"  # not parted below five digits
        assert unrounded(8.5) == limit
        assert as_read("9876.5") == f"9876{number[-3]}5"
        assert plus_minus(0.155, 2) == f"±\u00a00{number[-3]}31"
        assert plain(value, 2) == "-12345.68"  # what files carry
    assert number[-3] == format_decimal(0.25, locale=locale)[1]


@pytest.mark.parametrize(
    ("code", "long", "short", "weekday", "month", "of_year", "moment"),
    [
        ("en", "Tuesday 14 July 2026", "14 Jul", "Tuesday", "July", "July 2026",
         "14 Jul 2026, 07:42"),
        ("es", "martes, 14 de julio de 2026", "14 jul", "martes", "julio", "julio de 2026",
         "14 jul 2026, 07:42"),
        ("es-419", "martes, 14 de julio de 2026", "14 jul", "martes", "julio", "julio de 2026",
         "14 jul 2026, 07:42"),
        ("pt", "terça-feira, 14 de julho de 2026", "14 jul.", "terça-feira", "julho",
         "julho de 2026", "14 jul. 2026, 07:42"),
        ("fr", "mardi 14 juillet 2026", "14 juil.", "mardi", "juillet", "juillet 2026",
         "14 juil. 2026, 07:42"),
    ],
)  # fmt: skip
def test_days_are_named_as_the_language_does(code, long, short, weekday, month, of_year, moment):
    """C-71."""
    clock = Clock("UTC", time(6), 3)
    with speaking(code):
        assert dates.long_day(DAY) == long
        assert dates.short_day(DAY) == short
        assert (dates.weekday(DAY), dates.month_name(DAY)) == (weekday, month)
        assert dates.month_of_year(DAY) == of_year
        assert dates.moment(datetime(2026, 7, 14, 7, 42, tzinfo=UTC), clock) == moment
    if code != "en":
        assert long == format_date(DAY, "full", locale=code.replace("-", "_"))


def test_the_form_for_one_carries_its_number(catalogue):
    """C-74. French and Portuguese say none of something by that form: a 1 in it would be wrong."""
    never_none = {"each hour", "answered"}
    for message in catalogue:
        if isinstance(message.id, str) or message.id[0] in never_none:
            continue
        one, many = (set(_KEPT.findall(part)) for part in message.id)
        numbered = {"{count}", "%(count)s", "%(num)s"} & many
        assert numbered <= one, message.id
        assert not re.search(r"(?<![\d.,])1(?![\d.,])", message.string[0]), message.string
