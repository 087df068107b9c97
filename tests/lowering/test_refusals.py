"""What the phone's Python lacks is refused by file, line and reason, before anybody meets it at a forge."""

from __future__ import annotations

import pytest

from temperward.lowering.lower import lower_source
from temperward.lowering.problems import LoweringError

REFUSED = [
    ("match a:\n    case 1:\n        pass", 1, "match"),
    ("b = {**a}", 1, "{**a}"),
    ("b = [*a, 1]", 1, "unpacking inside a literal"),
    ("b = (*a,)", 1, "unpacking inside a literal"),
    ("b = {*a}", 1, "unpacking inside a literal"),
    ("def f(a, /):\n    return a", 1, "positional-only"),
    ("from functools import lru_cache", 1, "functools"),
    ("import enum", 1, "enum"),
    ("import bisect", 1, "bisect"),
    ("from statistics import median", 1, "statistics"),
    ("import contextlib", 1, "contextlib"),
    ("import temperward.services", 1, "temperward.services"),
    ("from . import facts", 1, "relative import"),
    ("from temperward.engine.facts import *", 1, "everything"),
    ("import temperward.engine.facts", 1, "from temperward.engine import"),
    ("import math\nx = math.hypot(1, 2)", 2, "math.hypot"),
    ("from math import hypot", 1, "math.hypot"),
    ("x = 'ab'.removeprefix('a')", 1, ".removeprefix()"),
    ("x = 'ab'.removesuffix('a')", 1, ".removesuffix()"),
    ("x = zip(a, b, strict=True)", 1, "zip(strict=)"),
    ("x = a._replace(b=1)", 1, "._replace()"),
    ("from typing import NamedTuple", 1, "NamedTuple"),
    ("x = f'{a:,}'", 1, "separators"),
    ("x = f'{a:.1f}'", 1, "does not round"),
    ("x = f'{a:{b}}'", 1, "format inside a format"),
    ("x = '{:,}'.format(a)", 1, "f-string"),
    ("x = round(a, 1)", 1, "does not round"),
    ("x = a[::2]", 1, "slice with a step"),
    ("x = a[::-1]", 1, "slice with a step"),
    ("x = 1j", 1, "complex"),
    ("x = 'a,b'.split(sep=',')", 1, "no keywords"),
    ("x = sum(a, start=1)", 1, "no keywords"),
    ("x = isinstance(a, int | float)", 1, "union of types"),
    ("import json\nx = json.dumps(a, indent=1)", 2, "separators"),
    ("print(1)", 1, "reaches outside"),
    ("x = hash('a')", 1, "differs from run to run"),
    ("x = vars(a)", 1, "no vars()"),
    ("x = [(y := 1) for z in a]", 1, ":="),
    ("async def f():\n    pass", 1, "does not wait"),
    ("class A(B, C):\n    pass", 1, "one plain base class"),
    ("class A(metaclass=M):\n    pass", 1, "one plain base class"),
    ("@cached\ndef f():\n    return 1", 1, "decorator @cached"),
    ("def __getattr__(name):\n    return 1", 1, "__getattr__"),
    ("from typing import get_args\ndef f(a):\n    return get_args(a)", 3, "for the type checker"),
    ("from typing import Any\nRow = dict[str, Any]\nx = Row()", 3, "for the type checker"),
    ("from dataclasses import replace", 1, "dataclasses.replace"),
    ("from dataclasses import dataclass\n@dataclass(order=True)\nclass A:\n    a: int", 2, "order"),
    ("from dataclasses import dataclass\n@dataclass\nclass A(B):\n    a: int", 3, "base class"),
    (
        "from dataclasses import dataclass, field\n@dataclass\nclass A:\n    a: int = field(init=False)",
        4,
        "field option init",
    ),
    ("gemäß = 1", 1, "ASCII"),
    ("def f(:", 1, "not Python"),
]
ORDER_SHOWS = [
    "for key in {'a': 1}:\n    out.append(key)",
    "for key in {1, 2}:\n    out.append(key)",
    "for key, value in facts.items():\n    out.append(key)",
    "x = [key for key in facts.keys()]",
    "x = list(facts.values())",
    "x = ', '.join(set(a))",
    "x = facts.popitem()",
    "def f(facts: dict[str, int]):\n    for key in facts:\n        out.append(key)",
    "def f():\n    seen: set[str] = set(a)\n    return [one for one in seen]",
    "def f():\n    seen = {}\n    return tuple(seen)",
]
ORDER_HIDDEN = [
    "for key in sorted(facts):\n    out.append(key)",
    "for key, value in sorted(facts.items()):\n    out.append(key)",
    "x = {key: value for key, value in facts.items()}",
    "x = {key for key in facts.keys()}",
    "x = any(value for value in facts.values())",
    "x = max(facts.values())",
    "x = len(set(a))",
    "def f(facts: dict[str, int], names: list[str]):\n    return [facts[name] for name in names]",
]


@pytest.mark.parametrize(("source", "line", "reason"), REFUSED, ids=[source for source, _, _ in REFUSED])
def test_a_gap_is_refused_by_file_line_and_reason(source: str, line: int, reason: str) -> None:
    with pytest.raises(LoweringError) as refused:
        lower_source(source, path="engine/part.py")
    problem = refused.value.problems[0]
    assert (problem.path, problem.line) == ("engine/part.py", line)
    assert reason in problem.reason
    assert str(problem) == f"engine/part.py:{line}: {problem.reason}"


@pytest.mark.parametrize("source", ORDER_SHOWS)
def test_a_place_where_the_order_of_a_dict_or_a_set_shows_is_refused(source: str) -> None:
    with pytest.raises(LoweringError, match="no order"):
        lower_source(source, path="part.py")


@pytest.mark.parametrize("source", ORDER_HIDDEN)
def test_a_dict_or_a_set_may_be_walked_through_where_its_order_does_not_show(source: str) -> None:
    lower_source(source, path="part.py")


def test_every_place_is_named_not_only_the_first() -> None:
    with pytest.raises(LoweringError) as refused:
        lower_source("import enum\nx = 1\ny = round(x)\n", path="part.py")
    assert [problem.line for problem in refused.value.problems] == [1, 3]


def test_only_a_host_file_may_open_what_the_build_put_beside_it() -> None:
    with pytest.raises(LoweringError, match=r"open\(\)"):
        lower_source("x = open('a')", path="part.py")
    assert lower_source("x = open('a')", path="part.py", host=True).source == "x = open('a')\n"
