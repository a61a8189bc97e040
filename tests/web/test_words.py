"""Plain words: no page or message says "invalid", "please" or "forbidden"."""

import ast
import re
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
AVOIDED = re.compile(r"\b(invalid|please|forbidden|illegal|error occurred|oops)\b", re.IGNORECASE)
NOT_SAID = re.compile(r"<[^>]*>|{#.*?#}|aria-invalid", re.DOTALL)
TEMPLATES = sorted((ROOT / "templates").rglob("*.html"))
MODULES = sorted((ROOT / "app").rglob("*.py"))
SCRIPTS = sorted((ROOT / "static").rglob("*.js"))


def strings_of(module: str) -> list[str]:
    """The texts of a module that are not its documentation."""
    tree = ast.parse(module)
    documented = {
        id(node.body[0].value)
        for node in ast.walk(tree)
        if isinstance(node, ast.Module | ast.ClassDef | ast.FunctionDef | ast.AsyncFunctionDef)
        and node.body
        and isinstance(node.body[0], ast.Expr)
    }
    return [
        node.value
        for node in ast.walk(tree)
        if isinstance(node, ast.Constant)
        and isinstance(node.value, str)
        and id(node) not in documented
    ]


def avoided(text: str) -> list[str]:
    return [found[0] for found in AVOIDED.finditer(text)]


@pytest.mark.parametrize("path", TEMPLATES, ids=lambda path: path.name)
def test_no_page_says_what_we_avoid(path):
    """C-32."""
    said = path.read_text("utf-8")
    quoted = re.findall(r'(?:title|aria-label|placeholder|alt|value)="([^"]*)"', said)
    assert avoided(" ".join([NOT_SAID.sub(" ", said), *quoted])) == []


@pytest.mark.parametrize("path", MODULES, ids=lambda path: str(path.relative_to(ROOT)))
def test_no_message_says_what_we_avoid(path):
    """C-32."""
    assert [text for text in strings_of(path.read_text("utf-8")) if avoided(text)] == []


@pytest.mark.parametrize("path", SCRIPTS, ids=lambda path: path.name)
def test_no_script_says_what_we_avoid(path):
    """C-32."""
    said = re.sub(r"aria-invalid|//.*|/\*.*?\*/", "", path.read_text("utf-8"))
    assert avoided(said) == []


def test_a_message_that_does_is_found():
    """So that the tests above can fail."""
    assert avoided(strings_of('"""Invalid."""\nsaid = "Please enter a valid date"')[0]) == [
        "Please"
    ]
