"""In which language a page speaks, and who chooses it."""

import pytest
from starlette.testclient import TestClient

from app.database import reading, writing
from app.language import ENGLISH, LANGUAGES, chosen, share, speaking
from app.ledger import people, soundness, tables, trail
from app.main import create_app
from app.settings import Settings
from app.web.languages import COOKIE, first_of, nearest
from tests.bench import NOON
from tests.web.conftest import OURS, SHEET
from tests.words import TRANSLATED, catalogue_of, is_translated


def spoken(answer) -> str:
    _, _, onward = answer.text.partition('<html lang="')
    return onward.partition('"')[0]


@pytest.mark.parametrize(
    ("tag", "language"),
    [
        # Spanish has a decimal point in the first seven, a comma in the others, by CLDR
        *((f"es-{land}", "es-419") for land in ("MX", "GT", "SV", "HN", "NI", "PE", "DO")),
        *((f"es-{land}", "es") for land in ("CO", "EC", "BO", "AR", "PY", "ES")),
        ("es", "es"), ("es-419", "es-419"), ("pt", "pt"), ("pt-BR", "pt"), ("pt-PT", "pt"),
        ("fr", "fr"), ("fr-CA", "fr"), ("EN-gb", "en"), ("en-ZA", "en"), ("es-XX", "es"),
        ("de", None), ("th-TH", None), ("*", None), ("", None), ("es-../../etc", None),
    ],
)  # fmt: skip
def test_a_country_tells_which_spanish(tag, language):
    """C-72."""
    assert nearest(tag) == language


@pytest.mark.parametrize(
    ("header", "language"),
    [
        ("de, pt-BR;q=0.8, en;q=0.9", "en"), ("de,fr;q=0", None), ("fr;q=x,es-MX;q=0.5", "fr"),
        ("es-PE,es;q=0.9,en-US;q=0.8", "es-419"), ("", None), (",;;q=,", None),
    ],
)  # fmt: skip
def test_the_language_that_a_browser_likes_best_is_spoken(header, language):
    assert first_of(header) == language


def test_who_chose_nothing_is_spoken_to_as_the_browser_asks_or_else_the_mill(visit, app):
    page = visit().client.get
    assert spoken(page("/sign-in")) == "en"
    assert spoken(page("/sign-in", headers={"Accept-Language": "es-MX,en;q=0.5"})) == "es-419"
    assert spoken(page("/sign-in", headers={"Accept-Language": "th"})) == "en"
    french = Settings(database_url=app.state.settings.database_url, language="fr")
    with TestClient(create_app(french), base_url="http://localhost") as client:
        assert spoken(client.get("/sign-in")) == "fr"


def test_the_mill_speaks_only_what_is_offered():
    with pytest.raises(ValueError, match="a language is one of en, es, es-419, pt, fr"):
        Settings(language="tlh")


def test_a_page_is_in_one_language_wherever_it_is_worked_out(app, visit):
    """A handler runs in a thread of its own; it speaks as who asked, and nobody else does."""
    app.add_api_route("/spoken", lambda: chosen())
    for code in LANGUAGES:
        visitor = visit()
        visitor.client.cookies.set(COOKIE, code)
        assert visitor.get("/spoken").json() == code
    assert chosen() == "en"


def test_a_template_that_was_first_read_in_one_language_speaks_the_next(app):
    """C-74. Jinja works out what is constant while it compiles."""
    with speaking("pt"):
        read = app.state.templates.from_string('{{ 0.5 | printed(1) }} {{ "Week"|translated }}')
        assert read.render() == "0,5 Semana"
    assert read.render() == "0.5 Week"


def test_who_has_not_signed_in_chooses_on_the_page_for_it(visit):
    visitor = visit()
    form = {"language": "pt", "next": SHEET}
    answer = visitor.client.post("/sign-in/language", data=form, headers=OURS)
    assert (answer.status_code, answer.headers["location"]) == (303, f"/sign-in?next={SHEET}")
    assert "samesite=lax" in answer.headers["set-cookie"].lower()
    assert spoken(visitor.get("/sign-in")) == "pt"
    visitor.client.post("/sign-in/language", data={"language": "tlh"}, headers=OURS)
    assert spoken(visitor.get("/sign-in")) == "pt"


def test_a_choice_is_kept_with_the_person_and_told(visit, bench):
    """C-70."""
    ann = visit("ann")
    answer = ann.post("/account/language", {"language": "es"})
    assert (answer.status_code, answer.headers["location"]) == (303, "/account?did=language")
    page = ann.get("/account")
    assert spoken(page) == "es"
    assert '<option value="es" lang="es" selected>' in page.text
    assert spoken(visit("ann").get("/account")) == "es"  # from another browser
    assert spoken(visit("chief").get("/account")) == "en"
    with reading(bench.engine) as connection:
        assert people.person_named(connection, "ann").language == "es"
        last = trail.told(connection, trail.Asked(None, None, False, False, None), 1)[0]
        assert last.content["what"] == "language chosen"
        assert last.content["language"] == "es"
        assert not list(soundness.faults(connection))


def test_a_language_that_is_not_offered_is_refused_beside_its_field(visit, bench):
    page = visit("ann").post("/account/language", {"language": "tlh"})
    assert page.status_code == 422
    assert 'id="language-wrong">Choose one of the languages.' in page.text
    with reading(bench.engine) as connection:
        assert people.person_named(connection, "ann").language is None


def test_whoever_comes_next_at_a_browser_speaks_their_own(visit):
    ann = visit("ann")
    ann.post("/account/language", {"language": "fr"})
    ann.post("/sign-out")
    assert spoken(ann.get("/sign-in")) == "en"
    assert ann.sign_in("chief").status_code == 303
    assert spoken(ann.get("/account")) == "en"


def test_no_page_is_kept_by_what_stands_between(visit):
    """So that nobody is given a page in the language of another."""
    assert visit().get("/sign-in").headers["cache-control"] == "no-store"


def test_a_person_whose_language_was_changed_behind_the_ledger_is_named(bench):
    with writing(bench.engine) as connection:
        ann = people.person_named(connection, "ann")
        people.choose_language(connection, ann, "pt", at=NOON)
        connection.execute(tables.person.update().values(language="fr"))
        said = [str(fault) for fault in soundness.faults(connection)]
    assert any("person ann is not as event" in words and "language" in words for words in said)


@pytest.mark.parametrize("code", TRANSLATED)
def test_how_much_of_a_language_is_translated_is_told_where_it_is_chosen(code, visit):
    """C-75: what lacks shows in English, and is counted."""
    messages = [message for message in catalogue_of(code) if message.id]
    told = 100 * sum(is_translated(message) for message in messages) // len(messages)
    assert share(code) == told
    assert share(ENGLISH) == 100
    label = LANGUAGES[code] if told == 100 else f"{LANGUAGES[code]} ({told} %)"
    assert f">{label}</option>" in visit("ann").get("/account").text
