"""Two mills of a group side by side, from the files that each of them sends."""

import json

from playwright.sync_api import Page, expect

from tests.browser.axe import findings
from tests.browser.hands import sign_in


def test_a_manager_holds_another_mill_against_his_own(page: Page):
    sign_in(page, "ruth")
    ours = page.request.get("/seasons/2026.json").json()
    theirs = json.loads(json.dumps(ours)) | {"mill": "Upriver"}
    for table in theirs["tables"]:
        for row in table["rows"]:
            if row["name"] == "reduced_extraction":
                row["numbers"][-1]["value"] -= 1
    page.goto("/seasons/2026")
    page.get_by_role("link", name="Other mills").press("Enter")
    sent = [
        {"name": f"{said['mill']}.json", "mimeType": "application/json",
         "buffer": json.dumps(said).encode()}
        for said in (ours, theirs)
    ]  # fmt: skip
    page.get_by_label("Files").set_input_files(sent)
    page.get_by_role("button", name="Compare").press("Enter")
    row = page.get_by_role("row", name="Reduced extraction")
    expect(row).to_contain_text("▼ −1.00")
    table = page.get_by_role("table", name="Each against Saltmarsh Ridge Sugar Mill")
    expect(table.get_by_role("columnheader", name="Upriver")).to_be_visible()
    assert findings(page) == []
    page.set_viewport_size({"width": 390, "height": 844})
    assert page.evaluate("document.documentElement.scrollWidth") <= 390
