"""A formula as the trade writes it, set in MathML: fractions, powers, roots.

A name may have several words, hyphens and per cent signs: "brix-free water", "pol % cane". A minus
has a blank before it. Operands side by side bind closest, so "÷ 7F" divides by all of 7F; × and ÷
come next, from the left. A name before parentheses is a factor or a function: both look alike.
"""

import re
from typing import NamedTuple

from markupsafe import Markup

from app.language import _
from app.reports.numbers import MINUS, THIN_SPACE, as_read, with_numbers

BINDING = {"=": 0, "+": 1, "-": 1, "×": 2, "÷": 2}
PREFIXES = "-√Σ"
CLOSING = {"(": ")", "[": "]", "|": "|"}
ELEMENT = {"÷": "mfrac", "^": "msup", "√": "msqrt"}
PRINTED = {"-": MINUS, "Σ": "\u2211"}
DIGITS = str.maketrans("⁰¹²³⁴⁵⁶⁷⁸⁹⁻₀₁₂₃₄₅₆₇₈₉", f"0123456789{MINUS}0123456789")
TOKEN = re.compile(
    r"""(?P<blank>\s*)(?:
      (?P<number>\d{1,3}(?:\s\d{3})+(?!\d)(?:\.\d+)? | \d+(?:\.\d+)?)
    | (?P<power>⁻?[⁰¹²³⁴-⁹]+)
    | (?P<sign>[×÷+=^√Σ()[\]|,] | (?<![^\s([|,^])-)
    | (?P<name>(?![\d-])[^\s×÷+=^√Σ()[\]|,⁻⁰¹²³⁴-⁹]+)
    | (?P<end>$))""",
    re.VERBOSE,
)
SUBSCRIPTED = re.compile(r"([^\W_₀-₉]+)(?:_(\w+)|([₀-₉]+))")


class Term(NamedTuple):
    """A number or name, or a sign with the parts it joins.

    Between operands side by side the sign is what stands between them: a blank or nothing.
    """

    sign: str
    parts: tuple["Term", ...] = ()
    text: str = ""


def mathml(formula: str) -> Markup:
    """Return the formula in the language chosen, as a `math` element; prose is set as it stands.

    What follows a comma outside parentheses is explanation: plain text after the element.
    """
    words = _(formula)
    formula = with_numbers(words)
    term, explanation = parsed(words)
    row = _set(term) if term else _element("mtext", formula)
    if explanation:
        row = _element("mrow", row, _element("mo", ","))
    return Markup('<math display="block" alttext="{0}" aria-label="{0}">{1}</math>{2}').format(
        formula, row, with_numbers(explanation)
    )


def parsed(text: str) -> tuple[Term | None, str]:
    """Return what the text works out, None for a name or prose, and the explanation after it."""
    try:
        reader = _Reader(text.replace(MINUS, "-").replace("\u2211", "Σ"))
        term = reader.terms()
    except ValueError:
        return None, ""
    if not term.parts or reader.next not in ("", ","):
        return None, ""
    return _bare(term), text[reader.at :]


class _Reader:
    """Reads a formula from left to right, one token ahead; a ValueError says it is prose."""

    def __init__(self, text: str) -> None:
        self.text, self.at, self.next = text, 0, ""
        self.step()

    def step(self) -> str:
        """Step over the next token and return it."""
        passed, found = self.next, TOKEN.match(self.text, self.at)
        if not found:
            raise ValueError(self.text)
        self.at, self.kind, self.blank = found.end(), str(found.lastgroup), found["blank"]
        self.next = found[self.kind]
        return passed

    def terms(self, binding: int = 0) -> Term:
        left = self.side_by_side()
        while BINDING.get(self.next, -1) >= binding:
            sign = self.step()
            right = self.terms(BINDING[sign] + 1)
            left = _over(left, right) if sign == "÷" else Term(sign, (left, right))
        return left

    def side_by_side(self) -> Term:
        left = self.power()
        while self.kind == "name" or self.next in ("(", "[", "√", "Σ"):
            left = Term(" " if self.blank else "", (left, self.power()))
        return left

    def power(self) -> Term:
        if self.kind == "sign" and self.next in PREFIXES:
            return Term(self.step(), (self.power(),))
        base = self.operand()
        if self.kind == "power":
            return Term("^", (base, Term("number", text=self.step().translate(DIGITS))))
        if self.next == "^":
            self.step()
            return Term("^", (base, self.power()))
        return base

    def operand(self) -> Term:
        kind, text = self.kind, self.step()
        if kind in ("number", "name"):
            while kind == "name" and self.kind in ("name", "number"):
                text += " " + self.step()
            return Term(kind, text=text)
        inside = [self.terms()] if text in CLOSING else []
        while self.next == ",":
            self.step()
            inside.append(self.terms())
        if self.step() != CLOSING.get(text):
            raise ValueError(self.text)
        return Term(text, tuple(inside))


def _over(above: Term, below: Term) -> Term:
    """Return the quotient; a fraction within `above` is put beside it, which says the same."""
    if above.sign == "÷":
        return Term("÷", (above.parts[0], Term("×", (above.parts[1], below))))
    if above.sign == "×" and _has_fraction(above.parts[0]):
        return Term("×", (above.parts[0], _over(above.parts[1], below)))
    return Term("÷", (above, below))


def _has_fraction(term: Term) -> bool:
    return term.sign == "÷" or (term.sign == "×" and any(map(_has_fraction, term.parts)))


def _bare(term: Term) -> Term:
    """Return the term without the parentheses around all of it."""
    return term.parts[0] if term.sign in ("(", "[") and len(term.parts) == 1 else term


def _element(name: str, *inside: str) -> Markup:
    return Markup("<{0}>{1}</{0}>").format(name, Markup("").join(inside))


def _set(term: Term) -> Markup:
    if term.sign == "number":
        return _element("mn", as_read(re.sub(r"\s", THIN_SPACE, term.text)))
    if term.sign == "name":
        return _name(term.text)
    if term.sign not in ELEMENT:
        return _element("mrow", *_row(term))
    first, *others = term.parts
    inside = [first if term.sign == "^" else _bare(first), *map(_bare, others)]
    return _element(ELEMENT[term.sign], *map(_set, inside))


def _name(text: str) -> Markup:
    """Set a name as `mi`, which slants one letter only; `mtext` would take an operator's blanks."""
    if found := SUBSCRIPTED.fullmatch(text):
        word, below, digits = found.groups()
        index = _name(below) if below else _element("mn", digits.translate(DIGITS))
        return _element("msub", _name(word), index)
    return _element("mi", text)


def _row(term: Term) -> list[Markup]:
    sign, parts = term.sign, term.parts
    operator = _element("mo", PRINTED.get(sign, sign))
    if sign in CLOSING:
        listed = [piece for part in parts for piece in (_element("mo", ","), _set(part))]
        return [operator, *listed[1:], _element("mo", CLOSING[sign])]
    if len(parts) == 1:
        return [operator, _set(parts[0])]
    if not sign.strip():
        gap = [Markup('<mspace width="0.3em"></mspace>')] if sign else []
        return [_set(parts[0]), *gap, _set(parts[1])]
    left, right = (_set(_bare(p) if _bare(p).sign == "÷" else p) for p in parts)
    return [left, operator, right]
