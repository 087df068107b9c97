"""Lowers one file: text in, tree out, or the places that stand in the way."""

from __future__ import annotations

import ast
from dataclasses import dataclass

from temperward.lowering.checks import Gaps
from temperward.lowering.linking import drop_unused_imports
from temperward.lowering.ordering import OrderShows
from temperward.lowering.plain_classes import PlainClasses
from temperward.lowering.problems import LoweringError, Problem
from temperward.lowering.sorting import with_own_sorting
from temperward.lowering.texts import PlainFormats, source_of
from temperward.lowering.typing_gone import (
    TypingGone,
    checker_names,
    drop_imports,
    fill_empty_bodies,
    leftovers,
)


@dataclass(frozen=True, slots=True)
class Lowered:
    """One file as the phone gets it."""

    tree: ast.Module
    source: str


def lower_source(source: str, *, path: str, host: bool = False) -> Lowered:
    r"""Return the lowered file; a host file may open what the build put beside it.

    >>> print(lower_source("def twice(a: int) -> int:\n    return a * 2", path="x.py").source, end="")
    def twice(a):
     return a * 2
    """
    try:
        tree = ast.parse(source)
    except SyntaxError as error:
        raise LoweringError([Problem(path, error.lineno or 1, "not Python: " + error.msg)]) from error
    ordering = OrderShows(path)
    ordering.look_through(tree)
    gone = checker_names(tree)
    typing_gone = TypingGone(gone)
    tree = typing_gone.visit(tree)
    gaps = Gaps(path, may_open=host)
    gaps.look_through(tree)
    drop_imports(tree)
    classes = PlainClasses(path)
    tree = classes.visit(tree)
    left = leftovers(tree, names=gone | typing_gone.aliases, path=path)
    problems = ordering.problems + gaps.problems + classes.problems + left.problems
    if problems:
        raise LoweringError(problems)
    tree = PlainFormats().visit(with_own_sorting(tree))
    drop_unused_imports(tree)
    fill_empty_bodies(tree)
    return Lowered(tree, source_of(tree))
