"""No number of the engine stands without its source, or without the word that it has none."""

from __future__ import annotations

import ast
import json
import re
from itertools import takewhile
from pathlib import Path

import pytest

ENGINE = Path(__file__).resolve().parents[2] / "backend" / "temperward" / "engine"
SOURCES = sorted(json.loads((ENGINE / "data" / "sources.json").read_text("utf-8")))
REASON = re.compile(r"\b(" + "|".join([*SOURCES, "RFC"]) + r")\b")
# What counts in another unit, or counts a form of the program's own, says so by its name.
BY_NAME = re.compile(r"^(SECOND_MS|MINUTE_MS|HOUR_S|GRAMS_PER_KG|[A-Z]+_VERSION)$")


def name_of(node: ast.stmt) -> str:
    target = node.targets[0] if isinstance(node, ast.Assign) else getattr(node, "target", None)
    return target.id if isinstance(target, ast.Name) else ""


def is_figure(node: ast.stmt) -> bool:
    if not isinstance(node, ast.Assign | ast.AnnAssign) or node.value is None or BY_NAME.match(name_of(node)):
        return False
    inside = list(ast.walk(node.value))
    if any(isinstance(one, ast.Lambda) for one in inside):
        return False
    return any(isinstance(one, ast.Constant) and type(one.value) in (int, float) for one in inside)


def without_reason(text: str) -> list[str]:
    """Name the figures whose line, or the comment over them, gives no reason."""
    lines = text.split("\n")
    found = []
    for node in filter(is_figure, ast.parse(text).body):
        first = node.lineno - 1
        while re.match("[A-Z_, ]+ = [^#]*$", lines[first - 1]):
            first -= 1
        over = "\n".join(takewhile(lambda line: line.startswith("#"), reversed(lines[:first])))
        said = "\n".join([over, *lines[node.lineno - 1 : node.end_lineno]])
        if not REASON.search(said):
            found.append(lines[node.lineno - 1])
    return found


@pytest.mark.parametrize("path", sorted(ENGINE.rglob("*.py")), ids=lambda path: path.stem)
def test_every_figure_of_a_module_has_its_source_or_its_reason_beside_it(path: Path) -> None:
    assert without_reason(path.read_text("utf-8")) == []


@pytest.mark.parametrize(
    "line", ["LIMIT_K = 5.0", "A, B = 1.0, 2.0  # large", "ENDS = [0.5, 8.0]", "# wide\nX_MM: float = 2.5"]
)
def test_a_bare_figure_is_found(line: str) -> None:
    assert len(without_reason("import math\n\nGOOD_MM = 2.0  # practice\n" + line)) == 1
    assert without_reason("import math\n\n# practice\n" + line) == []
