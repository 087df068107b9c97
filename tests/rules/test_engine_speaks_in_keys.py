"""The engine answers in keys and facts: no sentence for a person stands in its code (ARCHITECTURE 2)."""

from __future__ import annotations

import ast
import re
from pathlib import Path

import pytest

ENGINE = Path(__file__).resolve().parents[2] / "backend" / "temperward" / "engine"
TWO_WORDS = re.compile("[A-Za-z]{2,} [A-Za-z]")
DOCUMENTED = (ast.Module, ast.ClassDef, ast.FunctionDef)


def docstrings(tree: ast.Module) -> set[ast.AST]:
    """Return the first statement of whatever has one; the lowering drops them."""
    bodies = [node.body for node in ast.walk(tree) if isinstance(node, DOCUMENTED)]
    return {body[0].value for body in bodies if body and isinstance(body[0], ast.Expr)}


def sentences(text: str) -> list[str]:
    """Return the texts in code that have two words with a space between them."""
    tree = ast.parse(text)
    apart = docstrings(tree)
    texts = [node for node in ast.walk(tree) if isinstance(node, ast.Constant) and node not in apart]
    return [one.value for one in texts if isinstance(one.value, str) and TWO_WORDS.search(one.value)]


@pytest.mark.parametrize("path", sorted(ENGINE.rglob("*.py")), ids=lambda path: path.stem)
def test_no_module_of_the_engine_has_a_sentence(path: Path) -> None:
    assert sentences(path.read_text("utf-8")) == []


@pytest.mark.parametrize(
    "line",
    [
        'answer = {"text": "Still magnetic at the tip"}',
        'raise Refused(f"Too hot for {name}")',
        'note("fold.word.hard", {"what": "temper it"})',
    ],
)
def test_a_sentence_would_be_found(line: str) -> None:
    assert len(sentences(f'"""What it is."""\n\n\ndef ask():\n    """Do this."""\n    {line}\n')) == 1
    assert sentences('"""What it is."""\n\nKEY = "fold.word.hard"\n') == []
