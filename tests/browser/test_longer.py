"""A language whose words are 40 % longer breaks no page of a phone."""

from playwright.sync_api import Browser

from app import language
from app.settings import Settings
from tests.browser.hands import sign_in
from tests.look import NOW, PAGES, SEEN_BY
from tests.pseudo import Longer
from tests.served import served

WIDER = "document.documentElement.scrollWidth - document.documentElement.clientWidth"


def test_no_page_grows_wider_than_a_phone(browser: Browser, demonstration, monkeypatch):
    """C-74."""
    monkeypatch.setattr(language, "catalogue", lambda _: Longer())
    wider = {}
    with served(Settings(database_url=f"sqlite:///{demonstration}", demo=True, clock=NOW)) as site:
        for username in ("", "ines", "noor"):
            context = browser.new_context(base_url=site, viewport={"width": 390, "height": 844})
            page = context.new_page()
            if username:
                sign_in(page, username)
            for name in PAGES:
                if SEEN_BY.get(name, "ines") == username:
                    page.goto(PAGES[name])
                    wider[name] = page.evaluate(WIDER)
            context.close()
    assert {name: by for name, by in wider.items() if by > 0} == {}
    assert wider.keys() == PAGES.keys()
