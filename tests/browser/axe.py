"""What axe-core finds wrong with a page: WCAG 2.0 to 2.2, A and AA, and its best practices."""

from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page

RULES = {
    "resultTypes": ["violations"],
    "runOnly": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"],
    "rules": {"target-size": {"enabled": True}},  # which it leaves out by itself
}

AXE = Axe()


def findings(page: Page) -> list[str]:
    """Return what is wrong with a page as it stands: the rule, the place and why."""
    found = AXE.run(page, options=RULES).response["violations"]
    return [
        f"{violation['id']}: {node['target']} {node['failureSummary']}"
        for violation in found
        for node in violation["nodes"]
    ]
