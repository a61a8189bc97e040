"""What is laid into the folder half written, blank, or as its instrument is revoked."""

import json

import pytest

from app.database import writing
from app.keeping import folder as folder_module
from app.keeping.folder import Folder
from app.ledger import instruments
from app.ledger.sent import read_file
from tests.bench import NOON
from tests.test_folder import TABLE, lay, look, reason


@pytest.fixture
def scale(bench):
    with writing(bench.engine) as connection:
        return instruments.add_instrument(
            connection, name="Belt scale", measures=["cane", "mixed_juice"], by=bench.ann, at=NOON
        )[0]


@pytest.fixture
def home(tmp_path, scale):
    home = tmp_path / "incoming" / scale.folder
    home.mkdir(parents=True)
    return home


@pytest.fixture
def folder(bench, home):
    return Folder(
        bench.engine, home.parent, clock=lambda: NOON, closed=lambda: "", refusals={}, settled=0
    )


def test_half_a_number_is_no_result(bench, folder, home, monkeypatch):
    """A program stops for a while within a number: what is there could be read, and is wrong."""
    file = lay(home, text=TABLE[:-3])
    look(folder, 4)
    assert file.exists()
    assert bench.trail("cane") == []
    file.write_text(TABLE)
    look(folder)
    assert [entry.typed for entry in bench.trail("mixed_juice")] == ["1900"]
    lay(home, "never.csv", TABLE[:-3])
    monkeypatch.setattr(folder_module, "_UNFINISHED", 0)
    look(folder)
    assert "Its last line does not end, so half of it may be lacking" in reason(home)


def test_an_instrument_that_is_revoked_while_others_write_writes_no_more(
    bench, folder, home, scale, monkeypatch
):
    def revoked_first(body, *, table):
        with writing(bench.engine) as connection:
            instruments.revoke(connection, scale, by=bench.ann, at=NOON)
        return read_file(body, table=table)

    monkeypatch.setattr(folder_module, "read_file", revoked_first)
    lay(home)
    look(folder)
    assert bench.trail("cane") == []
    assert "No instrument called belt-scale may write here" in reason(home)


@pytest.mark.parametrize("typed", [" ", "\u2003"])
def test_a_blank_result_is_refused_in_words_and_not_tried_again(folder, home, typed):
    sent = {"day": "2026-06-03", "shift": 1, "measure": "cane", "typed": typed}
    lay(home, "a.json", json.dumps([sent]))
    look(folder)
    assert "item 1, typed: it is blank" in reason(home)
    assert folder.trouble == ""
