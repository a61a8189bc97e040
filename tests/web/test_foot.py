"""The foot of what is printed speaks the language of its page."""

from urllib.parse import urljoin

import pytest

from app.language import ENGLISH, LANGUAGES, _, speaking


@pytest.mark.parametrize("language", LANGUAGES)
def test_a_page_brings_the_foot_of_its_language(visit, language):
    client = visit().client
    page = client.get("/sign-in", headers={"accept-language": language}).text
    address = page.partition('<link rel="stylesheet" href="/static/foot/')[2].partition('"')[0]
    foot = client.get(urljoin("/static/foot/", address)).text
    with speaking(language):
        known = _("As known now")
        words = _("Page {page} of {pages}", page='" counter(page) "', pages='" counter(pages)')
    assert f'content: "{words};' in foot
    assert f'@page now {{ margin: 12mm 12mm 16mm; @bottom-left {{ content: "{known}";' in foot
    assert ("DRAFT, not issued" in foot) == (language == ENGLISH)
