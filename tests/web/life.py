"""One life of a real ledger, every step of which a simple model of it takes too."""

from contextlib import suppress
from dataclasses import replace
from datetime import timedelta

import pytest
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, invariant, precondition, rule

from app.database import open_database, writing
from app.ledger import book, chain, issues, people, signed, signing, soundness, uncertainty
from app.ledger.book import Closed, Conflict, NeedsReason
from app.ledger.cells import Refused
from app.plant.typed import read
from tests.bench import NOON
from tests.web.day_model import (
    BASES,
    MEASURES,
    REASONS,
    SHIFTS,
    SIGNERS,
    TYPED,
    WRITERS,
    Model,
    PowerCut,
)


class Life(RuleBasedStateMachine):
    """One life of a ledger, every step of which the model takes too."""

    fresh = None  # makes a bench with a database of its own
    taken = None  # how many steps ended how

    def __init__(self):
        super().__init__()
        self.bench, self.model, self.steps = type(self).fresh(), Model(), 0
        self.who = {"ann": self.bench.ann, "bob": self.bench.bob}
        for name, role in (("chief", "chief chemist"), ("manager", "manager")):
            names = {"username": name, "printed_name": name.title(), "role": role}
            with writing(self.bench.engine) as connection:
                self.who[name] = people.add_person(connection, **names, at=NOON)
        self.place = (self.bench.season, self.bench.day)
        self.head, self.told, self.signers = self.bench.read(chain.head), 0, {}

    def teardown(self):
        self.bench.engine.dispose()

    @property
    def at(self):  # of a clock that now and then goes back
        self.steps += 1
        return NOON + timedelta(seconds=self.steps - (self.steps % 7 == 0) * 9000)

    def attempt(self, do, expected, told):
        """Do something as the model expects it: refused, or taken with so many events told."""
        if expected:
            with pytest.raises(expected), writing(self.bench.engine) as connection:
                do(connection)
            self.taken[expected.__name__] += 1
            return None
        with writing(self.bench.engine) as connection:
            result = do(connection)
        self.taken["taken" if told else "no change"] += 1
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
            self.taken[expected.__name__] += 1
            return
        assert failures == {}
        if taken:
            found = self.bench.read(book.trail, *self.place, shift, measure)[-1]
            model.stands[cell] = [*versions, (found.id, typed)]
            model.said.append((cell, typed, who))

    @rule(shift=SHIFTS, measure=MEASURES, typed=TYPED, who=WRITERS)
    def correct(self, shift, measure, typed, who):
        """Enter as somebody does who read the page."""
        self.enter(shift, measure, typed, "standing", "a slip", who)

    @precondition(lambda self: self.model.stands)
    @rule(which=st.integers(0, 8), typed=TYPED, base=BASES, reason=REASONS, who=WRITERS)
    def enter_again(self, which, typed, base, reason, who):
        """Enter where something stands already, from whatever page and with or without a reason."""
        cells = sorted(self.model.stands)
        self.enter(*cells[which % len(cells)], typed, base, reason, who)

    @rule(signer=st.sampled_from(("ann", "bob")))
    def finish(self, signer):
        """Sign every shift by somebody who entered something of it."""
        for shift in {1, 2, 3} - self.model.signed.keys():
            self.enter(shift, "cane", "1234", "standing", "to finish", signer)
            self.sign(shift, signer)

    @precondition(lambda self: self.model.said)
    @rule(shift=SHIFTS, who=SIGNERS)
    def sign(self, shift, who):
        model = self.model
        named = [c for c in model.stands if c[0] == shift and model.text(c) in ("nm", "if")]
        remarks = {measure: "the sampler stood" for _, measure in named}
        whole = model.signed.get(shift) == len([s for s in model.said if s[0][0] == shift])
        expected = None if model.wrote(who, shift) and not whole else Refused

        def do(connection):
            told = {"blank": (), "remarks": remarks, "by": self.who[who], "at": self.at}
            return signing.sign_shift(connection, *self.place, shift, **told)

        if self.attempt(do, expected, 1):
            model.signed[shift] = len([s for s in model.said if s[0][0] == shift])
            self.signers[shift] = who

    @precondition(lambda self: self.model.signed)
    @rule(who=st.sampled_from(("manager", "manager", "chief", "ann")))
    def approve(self, who):
        model = self.model
        may = who != "ann" and len(model.signed) == 3 and not model.approved
        may = may and not model.wrote(who) and who not in self.signers.values()

        def do(connection):
            told = {"shifts_a_day": 3, "by": self.who[who], "at": self.at}
            return signing.approve_day(connection, *self.place, **told)

        if self.attempt(do, None if may else Refused, 1):
            model.approved = True

    @precondition(lambda self: self.model.signed)
    @rule(shift=st.sampled_from((1, 2, 3, None)), reason=REASONS)
    def reopen(self, shift, reason):
        model = self.model
        there = model.approved if shift is None else shift in model.signed and not model.approved

        def do(connection):
            told = {"reason": reason, "by": self.who["chief"], "at": self.at}
            return signing.reopen(connection, *self.place, shift, **told)

        if self.attempt(do, None if there and reason else Refused, 1):
            if shift is None:
                model.approved = False
            else:
                del model.signed[shift]

    @rule(reason=REASONS, content=st.binary(min_size=1, max_size=50))
    def issue(self, reason, content):
        model, by = self.model, self.who["manager"]

        def do(connection):
            told = {"reason": reason, "by": by, "at": self.at}
            made, before = issues.next_issue(connection, *self.place, **told)
            files = {"report.html": content, "report.csv": content[::-1]}
            issues.add_issue(connection, self.place[0], made, files=files, supersedes=before, by=by)
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

    @precondition(lambda self: self.model.pairs)
    @rule(reason=REASONS, which=st.integers(0, 3))
    def withdraw(self, reason, which):
        pairs = self.model.pairs
        key = [*pairs, 0, 0, 0, 0][which]
        expected = None if pairs.get(key) and reason else Refused

        def do(connection):
            told = {"reason": reason, "by": self.bench.ann, "at": self.at}
            return uncertainty.withdraw_duplicate(connection, self.bench.mill, key, **told)

        if key:
            self.attempt(do, expected, 1)
        if key and expected is None:
            pairs[key] = False

    @rule(shift=SHIFTS, measure=MEASURES)
    def fail(self, shift, measure):
        """Something fails after an entry was written, and before it was acknowledged."""

        stands = self.model.stands.get((shift, measure), [(None, "")])
        typing = book.Typed(measure, "1111", stands[-1][0], "lost")
        with suppress(PowerCut, Closed), writing(self.bench.engine) as connection:
            book.record_sheet(
                connection, season=self.place[0], day=self.place[1], number=shift,
                cells=[typing], by=self.who["chief"], at=self.at,
            )  # fmt: skip
            self.taken["failed"] += 1
            raise PowerCut

    @precondition(lambda self: self.steps % 3 == 0)
    @rule()
    def restart(self):
        """Close the ledger and open it again, as after a power cut."""
        url = self.bench.engine.url
        self.bench.engine.dispose()
        self.bench = replace(self.bench, engine=open_database(str(url)))
        self.taken["restarted"] += 1

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
            mine = {m: model.text((n, m)) for n, m in model.stands if n == shift}
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
        pairs = self.bench.read(uncertainty.duplicates, self.bench.mill)
        assert {pair.id: pair.withdrawal is None for pair in pairs} == self.model.pairs
