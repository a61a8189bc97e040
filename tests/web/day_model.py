"""A simple model of one day of a ledger, to hold the real one against."""

from hypothesis import strategies as st

from app.ledger.book import Closed, Conflict, NeedsReason

SHIFTS = st.sampled_from((1, 2, 3))
MEASURES = st.sampled_from(("cane", "mixed_juice", "imbibition"))
TYPED = st.sampled_from(("1250", "1250.0", "1 200", "1199,5", "nm", "if", ""))
BASES = st.sampled_from(("standing", "standing", "stale", "none"))
REASONS = st.sampled_from(("", "", "a slip", "=1+1 – «misread»"))
WRITERS = st.sampled_from(("ann", "bob", "chief"))
SIGNERS = st.sampled_from(("ann", "bob", "chief", "manager"))


class PowerCut(Exception):
    """Something fails between writing and keeping."""


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
