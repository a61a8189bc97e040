"""A real ledger beside a simple model of it, through long random lives.

LEDGER_TEST_STEPS sets how many steps are taken; the suite takes some 300, the same each time.
"""

import os
import shutil
from collections import Counter
from itertools import count

from argon2 import PasswordHasher
from argon2.profiles import CHEAPEST
from hypothesis import HealthCheck, settings, stateful

from app.database import open_database
from app.ledger import passwords
from tests.bench import new_bench
from tests.web.life import Life

STEPS = int(os.environ.get("LEDGER_TEST_STEPS", "300"))
LONG = 50  # steps of one life


def live_shortly(life):
    """Live a few steps of which each ends in another way; by chance alone one may not be met."""
    life.enter(1, "cane", "1250", "none", "", "ann")
    life.enter(1, "cane", "1199,5", "none", "a slip", "bob")
    life.enter(1, "cane", "1199,5", "standing", "", "ann")
    life.sign(1, "bob")
    life.sign(1, "ann")
    life.enter(1, "cane", "1199,5", "standing", "a slip", "bob")
    life.the_chain_verifies_and_only_grows()
    life.what_stands_is_what_the_model_says()
    life.nothing_that_was_acknowledged_is_lost()
    life.teardown()


def test_a_long_life_keeps_all_it_acknowledged(tmp_path, migrated, monkeypatch):
    """B-100"""
    monkeypatch.setattr(passwords, "_hasher", PasswordHasher.from_parameters(CHEAPEST))
    lives = count(1)

    def fresh():
        path = shutil.copy(migrated, tmp_path / f"{next(lives)}.db")
        return new_bench(open_database(f"sqlite:///{path}"))

    monkeypatch.setattr(Life, "fresh", staticmethod(fresh))
    monkeypatch.setattr(Life, "taken", Counter())
    live_shortly(Life())
    quietly = settings(
        max_examples=STEPS * 5 // (LONG * 4) + 2, stateful_step_count=LONG, derandomize=True,
        deadline=None, database=None, suppress_health_check=list(HealthCheck),
    )  # fmt: skip
    stateful.run_state_machine_as_test(Life, settings=quietly)
    assert Life.taken.total() >= STEPS
    assert {"Conflict", "NeedsReason", "Closed", "Refused", "taken"} <= {*Life.taken}, Life.taken
