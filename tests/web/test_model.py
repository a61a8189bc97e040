"""A real ledger beside a simple model of it, through long random lives.

LEDGER_TEST_STEPS sets how many steps are taken; the suite takes some 300, the same each time.
"""

import os
import shutil
from datetime import timedelta

import pytest
from argon2 import PasswordHasher
from argon2.profiles import CHEAPEST
from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, invariant, rule, run_state_machine_as_test

from app.database import open_database, writing
from app.ledger import (
    book,
    chain,
    issues,
    passwords,
    people,
    signed,
    signing,
    soundness,
    tables,
    uncertainty,
)
from app.ledger.book import Closed, Conflict, NeedsReason
from app.ledger.cells import Refused
from app.plant.typed import read
from tests.bench import NOON, PASSWORD, new_bench

STEPS = int(os.environ.get("LEDGER_TEST_STEPS", "300"))
LONG = 50  # steps of one life
SHIFTS = st.sampled_from((1, 2, 3))
MEASURES = st.sampled_from(("cane", "mixed_juice", "imbibition"))
TYPED = st.sampled_from(("1250", "1250.0", "1 200", "1199,5", "nm", "if", ""))
BASES = st.sampled_from(("standing", "stale", "none"))
REASONS = st.sampled_from(("", "a slip", "=1+1 – «misread»"))
WRITERS = st.sampled_from(("ann", "bob", "chief"))
SIGNERS = st.sampled_from(("ann", "bob", "chief", "manager"))


class Model:
    """What anybody would expect of a day: what stands, what is signed, what nobody may lose."""

    def __init__(self):
        self.stands, self.said, self.pairs = {}, [], {}
        self.signed, self.approved, self.issued = {}, False, []

    def trail(self, cell):
        return [said for said in self.said if said[0] == cell]

    def wrote(self, who, shift=None):
        return any(by == who and shift in (None, cell[0]) for cell, _, by in self.said)

    def refuses(self, cell, typed, based_on, reason, who):
        """Why an entry is not taken: the error, or None for one that is; "same" for no change."""
        if self.approved or (cell[0] in self.signed and who != "chief"):
            return Closed
        stands = self.stands.get(cell)
        shown = next((text for said, text in stands or () if said == based_on), None)
        if typed in (self.text(cell), shown or ""):
            return "same"
        if stands and stands[-1][0] != based_on:
            return Conflict
        return NeedsReason if (stands or cell[0] in self.signed) and not reason else None

    def text(self, cell):
        return self.stands[cell][-1][1] if cell in self.stands else ""


class Life(RuleBasedStateMachine):
    """One life of a ledger, every step of which the model takes too."""

    fresh = None  # makes a bench with a database of its own

    def __init__(self):
        super().__init__()
        self.bench, self.model, self.steps = type(self).fresh(), Model(), 0
        self.who = {"ann": self.bench.ann, "bob": self.bench.bob}
        with writing(self.bench.engine) as connection:
            for name, role in (("chief", "chief chemist"), ("manager", "manager")):
                self.who[name] = people.add_person(
                    connection, username=name, printed_name=name.title(), role=role, at=NOON,
                    password=PASSWORD,
                )  # fmt: skip
        self.place = (self.bench.season, self.bench.day)
        self.head = self.bench.read(chain.head)
        self.told = 0

    def teardown(self):
        self.bench.engine.dispose()

    @property
    def at(self):
        """A clock that now and then goes back."""
        self.steps += 1
        return NOON + timedelta(seconds=self.steps - (self.steps % 7 == 0) * 9000)

    def attempt(self, do, expected, told):
        """Do something as the model expects it: refused, or taken with so many events told."""
        try:
            with writing(self.bench.engine) as connection:
                result = do(connection)
        except (Refused, Closed) as refusal:
            assert expected is not None, refusal
            assert isinstance(refusal, expected), refusal
            return None
        assert expected is None
        self.told += told
        return result

    @rule(shift=SHIFTS, measure=MEASURES, typed=TYPED, base=BASES, reason=REASONS, who=WRITERS)
    def enter(self, shift, measure, typed, base, reason, who):
        """Enter, correct or void; also from an old page, and from one that saw nothing."""
        cell, model = (shift, measure), self.model
        versions = model.stands.get(cell, [])
        based_on = {"standing": versions[-1:], "stale": versions[:1], "none": []}[base]
        based_on = based_on[0][0] if based_on else None
        expected = model.refuses(cell, typed, based_on, reason, who)
        typing = book.Typed(measure, typed, based_on, reason)

        def do(connection):
            return book.record_sheet(
                connection, season=self.place[0], day=self.place[1], number=shift,
                cells=[typing], by=self.who[who], at=self.at,
            )  # fmt: skip

        new_shift = not any(said[0][0] == shift for said in model.said)
        taken = expected is None
        failures = self.attempt(
            do, Closed if expected is Closed else None, taken + (taken and new_shift)
        )
        if failures is None:
            return
        if expected in (Conflict, NeedsReason):
            assert isinstance(failures[measure], expected)
            return
        assert failures == {}
        if taken:
            found = self.bench.read(book.trail, *self.place, shift, measure)[-1]
            model.stands[cell] = [*versions, (found.id, typed)]
            model.said.append((cell, typed, who))

    @rule(shift=SHIFTS, who=SIGNERS)
    def sign(self, shift, who):
        model = self.model
        named = [c for c in model.stands if c[0] == shift and model.text(c) in ("nm", "if")]
        remarks = {measure: "the sampler stood" for _, measure in named}
        whole = model.signed.get(shift) == len([s for s in model.said if s[0][0] == shift])
        expected = None if model.wrote(who, shift) and not whole else Refused

        def do(connection):
            return signing.sign_shift(
                connection, *self.place, shift, blank=(), remarks=remarks, by=self.who[who],
                at=self.at,
            )  # fmt: skip

        if self.attempt(do, expected, 1):
            model.signed[shift] = len([s for s in model.said if s[0][0] == shift])
            self.signers = getattr(self, "signers", {}) | {shift: who}

    @rule(who=SIGNERS)
    def approve(self, who):
        model = self.model
        may = len(model.signed) == 3 and not model.approved
        may = may and not model.wrote(who) and who not in self.signers.values()

        def do(connection):
            return signing.approve_day(
                connection, *self.place, shifts_a_day=3, by=self.who[who], at=self.at
            )

        if self.attempt(do, None if may else Refused, 1):
            model.approved = True

    @rule(shift=st.sampled_from((1, 2, 3, None)), reason=REASONS)
    def reopen(self, shift, reason):
        model = self.model
        there = model.approved if shift is None else shift in model.signed

        def do(connection):
            return signing.reopen(
                connection, *self.place, shift, reason=reason, by=self.who["chief"], at=self.at
            )

        if self.attempt(do, None if there and reason else Refused, 1):
            if shift is None:
                model.approved = False
            else:
                del model.signed[shift]

    @rule(reason=REASONS, content=st.binary(min_size=1, max_size=50))
    def issue(self, reason, content):
        model, by = self.model, self.who["manager"]

        def do(connection):
            made, before = issues.next_issue(
                connection, *self.place, reason=reason, by=by, at=self.at
            )
            files = {"report.html": content, "report.csv": content[::-1]}
            issues.add_issue(
                connection, self.place[0], made, files=files, supersedes=before, by=by
            )
            return made

        if self.attempt(do, Refused if model.issued and not reason else None, 3):
            model.issued.append(content)

    @rule(first=st.sampled_from(("14.2", "14,30")))
    def pair(self, first):
        def do(connection):
            return uncertainty.add_duplicate(
                connection, self.bench.mill, measure="mixed_juice_brix", day=self.bench.day,
                first=first, second="14.25", by=self.bench.ann, at=self.at,
            )  # fmt: skip

        self.attempt(do, None, 1)
        with_pairs = self.bench.read(uncertainty.duplicates, self.bench.mill)
        self.model.pairs[with_pairs[-1].id] = True

    @rule(reason=REASONS, which=st.integers(0, 3))
    def withdraw(self, reason, which):
        pairs = self.model.pairs
        key = [*pairs, 0, 0, 0, 0][which]
        expected = None if pairs.get(key) and reason else (Refused, LookupError)

        def do(connection):
            return uncertainty.withdraw_duplicate(
                connection, self.bench.mill, key, reason=reason, by=self.bench.ann, at=self.at
            )

        if key:
            self.attempt(do, expected, 1)
        if key and expected is None:
            pairs[key] = False

    @rule()
    def restart(self):
        """Close the ledger and open it again, as after a power cut."""
        url = self.bench.engine.url
        self.bench.engine.dispose()
        object.__setattr__(self.bench, "engine", open_database(str(url)))

    @invariant()
    def the_chain_verifies_and_only_grows(self):
        assert self.bench.read(soundness.faults) == []
        head = self.bench.read(chain.head)
        assert head.number == self.head.number + self.told
        anchor = soundness.Anchor(self.head.number, self.head.hash)
        assert self.bench.read(soundness.breach, anchor) is None
        self.head, self.told = head, 0

    @invariant()
    def what_stands_is_what_the_model_says(self):
        model = self.model
        for shift in (1, 2, 3):
            sheet = self.bench.read(book.sheet, *self.place, shift)
            mine = {m: text for (n, m) in model.stands if n == shift for text in [model.text((n, m))]}
            assert {name: entry.typed for name, entry in sheet.items()} == mine
            for name, entry in sheet.items():
                assert entry.value == (read(mine[name])[1] if mine[name] else None)
        state = self.bench.read(signed.signed_day, *self.place, 3)
        assert {n for n, s in state.shifts.items() if s.signature} == model.signed.keys()
        assert (state.day.signature is not None) == model.approved

    @invariant()
    def nothing_that_was_acknowledged_is_lost(self):
        for cell in self.model.stands:
            trail = self.bench.read(book.trail, *self.place, *cell)
            assert [e.typed for e in trail] == [said[1] for said in self.model.trail(cell)]
            assert [e.id for e in trail] == [key for key, _ in self.model.stands[cell]]
        made = self.bench.read(issues.issues_of, *self.place)
        files = [self.bench.read(issues.file_of, issue, "report.html")[0] for issue in made]
        assert files == self.model.issued
        counted = {p.id: p.withdrawn is None for p in self.bench.read(uncertainty.duplicates, self.bench.mill)}
        assert counted == self.model.pairs
