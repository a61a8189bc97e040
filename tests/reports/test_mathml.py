"""A formula set as mathematics says what its text says."""

import re
from fractions import Fraction
from operator import add, mul, sub, truediv
from xml.etree import ElementTree

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from app.figures import FIGURES
from app.reports.mathml import mathml, parsed

DECLARED = sorted({way.formula for figure in FIGURES.values() for way in figure.ways})
WITH_A_SIGN = [text for text in DECLARED if re.search("[-+×÷] ", text)]
PROSE = ["wet-basis", *(text for text in DECLARED if re.fullmatch("[a-z ]+", text))]


def written(term):
    """The parts of a formula, a bracket around all that a sign joins."""
    parts = [written(part) for part in term.parts]
    if not parts:
        return term.text
    if term.sign in ("(", "[", "|"):
        return "group(" + ", ".join(parts) + ")"
    if len(parts) == 1:
        return f"[{term.sign}{parts[0]}]"
    return "[" + (f" {term.sign} " if term.sign.strip() else " beside ").join(parts) + "]"


def element(text):
    """The `math` element and the text after it, read as XML."""
    root = ElementTree.fromstring(f"<p>{mathml(text)}</p>")
    (math,) = root
    return math


def letters(text):
    return [character for character in text if character.isalpha() and character != "Σ"]


def inside(text):
    """What stands in the `math` element, without the element itself."""
    (row,) = element(text)
    return ElementTree.tostring(row, encoding="unicode")


@pytest.mark.parametrize(
    ("text", "parts"),
    [
        ("100 × filter cake ÷ cane", "[[100 × filter cake] ÷ cane]"),
        (
            "(100 - brix extraction)(100 - F) ÷ F",
            "[[group([100 - brix extraction]) beside group([100 - F])] ÷ F]",
        ),
        (
            "100 - (100 - E)(100 - F) ÷ 7F",
            "[100 - [[group([100 - E]) beside group([100 - F])] ÷ [7 beside F]]]",
        ),
        (
            "33.9 - 13.4 × log₁₀(reducing sugars ÷ ash)",
            "[33.9 - [13.4 × [log₁₀ beside group([reducing sugars ÷ ash])]]]",
        ),
        ("bagasse × moisture ÷ 100", "[[bagasse × moisture] ÷ 100]"),
        (
            "10 000 × (M - m) ÷ (M × (100 - m)), purities of massecuite M and molasses m",
            "[[10 000 × group([M - m])] ÷ group([M × group([100 - m])])]",
        ),
        ("closing - opening", "[closing - opening]"),
        ("100 × pol % cane ÷ fibre % cane", "[[100 × pol % cane] ÷ fibre % cane]"),
        ("basic recovery at 85 ÷ 100", "[basic recovery at 85 ÷ 100]"),
        ("(brix - pol) in mixed juice", "[group([brix - pol]) beside in mixed juice]"),
        ("100 - brix-free water", "[100 - brix-free water]"),
        ("a = b - c - d", "[a = [[b - c] - d]]"),
        ("a × b + c ÷ d", "[[a × b] + [c ÷ d]]"),
        ("-k × t²", "[[-k] × [t ^ 2]]"),
        ("-x^-2", "[-[x ^ [-2]]]"),
        ("2 × a^b^c", "[2 × [a ^ [b ^ c]]]"),
        ("10⁻³ × √(a² + b²)", "[[10 ^ −3] × [√group([[a ^ 2] + [b ^ 2]])]]"),
        ("Σ cane × pol ÷ Σ cane", "[[[Σcane] × pol] ÷ [Σcane]]"),
        ("min(a, |b - c|)", "[min beside group(a, group([b - c]))]"),
        ("2 × exp(-k × t)", "[2 × [exp beside group([[-k] × t])]]"),
        ("a \u2212 b", "[a - b]"),
    ],
)
def test_signs_join_as_a_reader_of_the_trade_joins_them(text, parts):
    assert written(parsed(text)[0]) == parts


@pytest.mark.parametrize(
    ("text", "parts"),
    [
        ("a ÷ b ÷ c", "[a ÷ [b × c]]"),
        ("a ÷ b × c", "[[a ÷ b] × c]"),
        ("a × b ÷ c × d ÷ e", "[[[a × b] ÷ c] × [d ÷ e]]"),
    ],
)
def test_a_fraction_stands_beside_another_and_not_above_its_line(text, parts):
    assert written(parsed(text)[0]) == parts


LETTERS = {
    letter: Fraction(number) for letter, number in zip("abcde", (2, 3, 5, 7, 11), strict=True)
}
PYTHON = str.maketrans("×÷", "*/")
SIGNS = {"+": add, "-": sub, "×": mul, "÷": truediv}
SUMS = st.recursive(
    st.sampled_from(sorted(LETTERS)),
    lambda inner: st.lists(inner, min_size=2, max_size=5).flatmap(
        lambda parts: st.lists(
            st.sampled_from(sorted(SIGNS)), min_size=len(parts) - 1, max_size=len(parts) - 1
        ).map(lambda signs: "(" + _joined(parts, signs) + ")")
    ),
    max_leaves=12,
)


def _joined(parts, signs):
    rest = (f" {sign} {part}" for sign, part in zip(signs, parts[1:], strict=True))
    return parts[0] + "".join(rest)


def worked_out(term):
    if not term.parts:
        return LETTERS[term.text]
    parts = [worked_out(part) for part in term.parts]
    return parts[0] if term.sign == "(" else SIGNS[term.sign](*parts)


def or_no_number(work):
    try:
        return work()
    except ZeroDivisionError:
        return None


@settings(derandomize=True, deadline=None)
@given(SUMS.filter(lambda text: len(text) > 1).map(lambda text: text[1:-1]))
def test_a_formula_as_set_works_out_to_what_its_text_does(text):
    """Python reads the same signs by the usual precedence; fractions are exact, so no tolerance."""
    by_python = or_no_number(lambda: eval(text.translate(PYTHON), dict(LETTERS)))
    assert or_no_number(lambda: worked_out(parsed(text)[0])) == by_python


@pytest.mark.parametrize("text", WITH_A_SIGN)
def test_every_declared_formula_with_a_sign_is_set_as_one(text):
    assert parsed(text)[0] is not None
    math = element(text)
    assert math.get("alttext") == math.get("aria-label") == text
    assert math.get("display") == "block"
    assert letters("".join(math.itertext())) == letters(text.removesuffix(math.tail or ""))
    assert "÷" not in "".join(math.itertext())


@pytest.mark.parametrize("text", PROSE)
def test_prose_is_set_as_text(text):
    assert parsed(text)[0] is None
    assert inside(text) == f"<mtext>{text}</mtext>"


@pytest.mark.parametrize(
    "text",
    ["", " ", "a ÷", "× b", "(a - b", "a - b)", "a ÷ ()", "|a", "a b, c", "²", "a- 5", "5 6"],
)
def test_what_is_no_formula_is_never_an_error(text):
    assert parsed(text)[0] is None
    assert element(text).findtext("mtext") == text


@pytest.mark.parametrize(
    ("text", "markup"),
    [
        (
            "100 × pol ÷ (100 - moisture)",
            "<mfrac><mrow><mn>100</mn><mo>×</mo><mi>pol</mi></mrow>"
            "<mrow><mn>100</mn><mo>\u2212</mo><mi>moisture</mi></mrow></mfrac>",
        ),
        ("10 000 × F", "<mrow><mn>10\u202f000</mn><mo>×</mo><mi>F</mi></mrow>"),
        ("√(x) - 1", "<mrow><msqrt><mi>x</mi></msqrt><mo>\u2212</mo><mn>1</mn></mrow>"),
        ("x^(a + b)", "<msup><mi>x</mi><mrow><mi>a</mi><mo>+</mo><mi>b</mi></mrow></msup>"),
        (
            "log₁₀(x)",
            "<mrow><msub><mi>log</mi><mn>10</mn></msub>"
            "<mrow><mo>(</mo><mi>x</mi><mo>)</mo></mrow></mrow>",
        ),
        ("n_D + 1", "<mrow><msub><mi>n</mi><mi>D</mi></msub><mo>+</mo><mn>1</mn></mrow>"),
        (
            "min(a, b)",
            "<mrow><mi>min</mi>"
            "<mrow><mo>(</mo><mi>a</mi><mo>,</mo><mi>b</mi><mo>)</mo></mrow></mrow>",
        ),
        (
            "a × (b ÷ c)",
            "<mrow><mi>a</mi><mo>×</mo><mfrac><mi>b</mi><mi>c</mi></mfrac></mrow>",
        ),
        (
            "(a ÷ b)²",
            "<msup><mrow><mo>(</mo><mfrac><mi>a</mi><mi>b</mi></mfrac><mo>)</mo></mrow>"
            "<mn>2</mn></msup>",
        ),
    ],
)
def test_parentheses_go_where_a_line_or_a_root_says_the_same(text, markup):
    assert inside(text) == markup


def test_an_explanation_is_plain_text_after_the_formula():
    math = element("1.4 × pol - 0.4 × solids, of sugar bagged, as <weighed>")
    assert math.tail == " of sugar bagged, as <weighed>"
    assert "bagged" not in "".join(math.itertext())
    assert element("min(a, b) ÷ c").tail is None


def test_names_are_escaped():
    assert '<mi>a&lt;b&amp;"c"</mi>' in inside('a<b&"c" ÷ d')
    assert element('<script> "x" & y').findtext("mtext") == '<script> "x" & y'


@settings(derandomize=True, deadline=None)
@given(st.text(st.sampled_from("ab J7F 10 000.5×÷+-=^²⁻₁√Σ()[]|,%°<>&\"'\u2212_"), max_size=30))
def test_whatever_is_typed_is_well_formed_and_has_no_style(text):
    math = element(text)
    assert math.get("alttext") == text
    assert not any("style" in part.attrib for part in math.iter())
