"""A sheet and the trail tell what an instrument sent, and what came of a file."""

import json

from app.database import writing
from app.ledger import instruments
from app.ledger.incoming_results import take_results
from app.ledger.sent import SentResult, read_json
from tests.bench import NOON
from tests.importing import season
from tests.web.test_imports import checked, settled

SENT = {"day": "2026-06-03", "shift": 1, "measure": "cane", "typed": "1850"}


def test_a_result_of_an_instrument_is_marked_on_its_sheet_and_in_the_trail(bench, visit):
    with writing(bench.engine) as connection:
        scale = instruments.add_instrument(
            connection, name="Scale", measures=["cane"], by=bench.ann, at=NOON
        )[0]
        take_results(connection, scale, read_json(json.dumps(SENT).encode(), SentResult), NOON)
    bench.write("mixed_juice_brix", "14.2")
    ann = visit("ann")
    page = ann.get("/shifts/2026-06-03/1").text
    mark = 'title="sent by an instrument">i<span class="visually-hidden"> sent by an instrument'
    assert page.count(mark) == 1
    assert "<dt>i</dt><dd>sent by an instrument</dd>" in page
    assert ann.get("/trail?day=2026-06-03").text.count("sent by an instrument") == 1


def test_a_result_of_a_file_is_marked_on_its_sheet(rosa):
    address, _page = checked(rosa, season(1))
    rosa.post(f"{address}/acceptance")
    settled(rosa, address)
    page = rosa.get("/shifts/2026-06-01/1").text
    assert page.count('f<span class="visually-hidden"> brought in from a file') == 2
    assert 'title="brought in from june.csv (sha256' in page
