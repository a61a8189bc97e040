"""Every page for everybody: axe-core finds nothing, it reflows, the keyboard comes all over it."""

from collections.abc import Callable, Iterator

import pytest
from playwright.sync_api import Browser, Page

from app.settings import Settings
from tests.browser.axe import findings
from tests.browser.hands import sign_in
from tests.look import NOW, PAGES, SEEN_BY
from tests.served import served

# whoever may do something sees its form
WITH_FORMS = (
    "today", "sheet", "signature", "blanks", "approval", "issues", "morning-report", "season",
    "bench", "uncertainty-of-measure", "account",
)  # fmt: skip
OTHERS = {
    "mira": WITH_FORMS,
    "ruth": WITH_FORMS,
    "samir": WITH_FORMS,
    "noor": (*WITH_FORMS, *(name for name, who in SEEN_BY.items() if who == "noor")),
}
OF_CHEMIST = [name for name in PAGES if SEEN_BY.get(name, "ines") == "ines"]
WIDE, NARROW = {"width": 1440, "height": 900}, {"width": 390, "height": 844}

Opens = Callable[[str, dict[str, int]], Page]


@pytest.fixture(scope="module")
def site(demonstration) -> Iterator[str]:
    """The demonstration, served for reading."""
    with served(Settings(database_url=f"sqlite:///{demonstration}", demo=True, clock=NOW)) as site:
        yield site


@pytest.fixture
def opens(browser: Browser, site: str) -> Iterator[Opens]:
    """Give pages that somebody looks at through a window of some size."""
    contexts = []

    def begin(username: str, window: dict[str, int]) -> Page:
        contexts.append(browser.new_context(base_url=site, viewport=window))
        page = contexts[-1].new_page()
        if username:
            sign_in(page, username)
        return page

    yield begin
    for context in contexts:
        context.close()


def wrong(page: Page, names) -> dict[str, list[str]]:
    """What axe-core finds, by the name of the page."""
    found = {}
    for name in names:
        answer = page.goto(PAGES[name])
        assert answer.status < 500, name
        found[name] = findings(page)
    return {name: words for name, words in found.items() if words}


@pytest.mark.parametrize("window", [WIDE, NARROW], ids=["wide", "narrow"])
def test_nothing_is_found_on_any_page_of_a_chemist(opens, window):
    """C-41, C-35 (contrast of text), C-36 (size of targets)."""
    assert wrong(opens("ines", window), OF_CHEMIST) == {}


@pytest.mark.parametrize("window", [WIDE, NARROW], ids=["wide", "narrow"])
@pytest.mark.parametrize(("who", "names"), OTHERS.items(), ids=OTHERS)
def test_nothing_is_found_on_the_forms_of_the_others(opens, who, names, window):
    """C-41."""
    assert wrong(opens(who, window), names) == {}


@pytest.mark.parametrize("address", ["/sign-in", "/sign-in?next=%2Ftrail", "/set-password"])
def test_nothing_is_found_before_signing_in_also_once_that_was_refused(opens, address):
    """C-41."""
    page = opens("", NARROW)
    page.goto(address)
    assert findings(page) == []
    page.locator("main button").last.click()
    assert findings(page) == []


def test_axe_finds_what_is_wrong(opens):
    """So that the tests above can fail."""
    page = opens("", WIDE)
    page.goto("/sign-in")
    page.evaluate("""() => {
        document.querySelector("label").remove();
        document.querySelector("main").insertAdjacentHTML("beforeend",
            "<p id='pale'>pale</p><a href='/'>a</a><a href='/x'>b</a>");
        document.getElementById("pale").style.color = "#bbb";
    }""")
    rules = {finding.partition(":")[0] for finding in findings(page)}
    assert {"color-contrast", "label", "target-size"} <= rules


def test_every_page_reflows_in_320_pixels(opens):
    """C-39; wide tables scroll in a box that takes the focus, which axe-core sees to."""
    page = opens("ines", {"width": 320, "height": 700})
    wide = {}
    for name in OF_CHEMIST:
        page.goto(PAGES[name])
        wide[name] = page.evaluate("document.documentElement.scrollWidth")
    assert {name: width for name, width in wide.items() if width > 320} == {}


@pytest.mark.parametrize("name", ["today", "sheet", "signature", "morning-report", "bench"])
def test_the_keyboard_comes_through_a_page_and_is_seen_all_the_way(opens, name):
    """C-36: no trap, and a ring around what has the keyboard, of 3 pixels and not the page's."""
    page = opens("ines", WIDE)
    page.goto(PAGES[name])
    stops = page.locator(
        "a[href], button, input:not([type=hidden]), select, textarea, summary, [tabindex='0']"
    )
    # in the sheet Tab goes from box to box: the mark of a correction is what F4 shows
    reachable = stops.evaluate_all("""all => all.filter((one) =>
        one.checkVisibility() && one.tabIndex >= 0 && !one.matches("#sheet td a")).length""")
    walk(page, reachable)  # a page may begin with the keyboard at a box further down
    unseen, reached = walk(page, reachable)
    assert unseen == []
    assert reached >= 0.95 * reachable  # a group of choices is one stop


def walk(page: Page, stops: int) -> tuple[list[str], int]:
    """Press Tab to the page's end; gives where no ring was seen, and how often it stopped."""
    unseen = []
    for reached in range(stops + 5):
        page.keyboard.press("Tab")
        here = page.evaluate("""() => {
            const at = document.activeElement;
            const { outlineStyle, outlineWidth } = getComputedStyle(at);
            const ring = outlineStyle !== "none" && outlineWidth === "3px";
            return at === document.body ? null : [at.outerHTML.slice(0, 90), ring];
        }""")
        if here is None:
            return unseen, reached
        unseen += [] if here[1] else [here[0]]
    pytest.fail("the keyboard does not come out of the page")
