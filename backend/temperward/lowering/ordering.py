"""Refuses places where the order of a dict or a set shows: on the phone neither keeps its order."""

from __future__ import annotations

import ast

from temperward.lowering import gaps
from temperward.lowering.problems import Finder

REASON = "dicts and sets have no order there: wrap it in sorted(), or keep a list"
WALKERS = ("list", "tuple", "enumerate", "zip", "iter", "next")
UNORDERED_ANNOTATIONS = ("dict", "set", "frozenset", "Dict", "Set", "Mapping")
Scope = ast.Module | ast.FunctionDef


class OrderShows(Finder):
    """Finds loops over dicts and sets, as far as one function tells what its names hold."""

    def look_through(self, tree: ast.Module) -> None:
        """Check the whole file: each function with its own names."""
        parents = _parents(tree)
        scopes: list[Scope] = [tree]
        scopes += [node for node in ast.walk(tree) if isinstance(node, ast.FunctionDef)]
        for scope in scopes:
            names = _unordered_names(scope)
            for node in _own_nodes(scope):
                self._check(node, names=names, parents=parents)

    def _check(self, node: ast.AST, *, names: set[str], parents: dict[ast.AST, ast.AST]) -> None:
        shown = _walked_through(node)
        if any(_is_unordered(item, names=names) for item in shown):
            comprehension = isinstance(node, (ast.ListComp, ast.GeneratorExp))
            if not (comprehension and _order_hidden(node, parents=parents)):
                self.refuse(node, REASON)
        elif isinstance(node, ast.Call) and _method(node) == "popitem":
            self.refuse(node, REASON)


def _walked_through(node: ast.AST) -> list[ast.expr]:
    """Return what this node goes through in a way that shows the order."""
    if isinstance(node, ast.For):
        return [node.iter]
    if isinstance(node, (ast.ListComp, ast.GeneratorExp)):
        return [part.iter for part in node.generators]
    if isinstance(node, ast.Call) and (_called(node) in WALKERS or _method(node) in ("join", "extend")):
        return node.args
    return []


def _method(node: ast.Call) -> str:
    return node.func.attr if isinstance(node.func, ast.Attribute) else ""


def _order_hidden(node: ast.AST, *, parents: dict[ast.AST, ast.AST]) -> bool:
    parent = parents.get(node)
    return isinstance(parent, ast.Call) and _called(parent) in gaps.ORDER_HIDDEN_BY


def _called(node: ast.Call) -> str:
    return node.func.id if isinstance(node.func, ast.Name) else ""


def _is_unordered(node: ast.expr, *, names: set[str]) -> bool:
    if isinstance(node, (ast.Dict, ast.Set, ast.DictComp, ast.SetComp)):
        return True
    if isinstance(node, ast.Name):
        return node.id in names
    if not isinstance(node, ast.Call):
        return False
    view = isinstance(node.func, ast.Attribute) and node.func.attr in gaps.ORDERLESS_VIEWS and not node.args
    return view or _called(node) in ("set", "frozenset", "dict")


def _unordered_names(scope: Scope) -> set[str]:
    names: set[str] = set()
    if isinstance(scope, ast.FunctionDef):
        every = scope.args.args + scope.args.kwonlyargs
        names.update(item.arg for item in every if _says_unordered(item.annotation))
    for node in _own_nodes(scope):
        if isinstance(node, ast.AnnAssign) and isinstance(node.target, ast.Name):
            if _says_unordered(node.annotation):
                names.add(node.target.id)
        elif isinstance(node, ast.Assign) and _is_unordered(node.value, names=set()):
            names.update(item.id for item in node.targets if isinstance(item, ast.Name))
    return names


def _says_unordered(annotation: ast.expr | None) -> bool:
    target = annotation.value if isinstance(annotation, ast.Subscript) else annotation
    return isinstance(target, ast.Name) and target.id in UNORDERED_ANNOTATIONS


def _own_nodes(scope: Scope) -> list[ast.AST]:
    found: list[ast.AST] = []
    waiting: list[ast.AST] = list(scope.body)
    while waiting:
        node = waiting.pop()
        found.append(node)
        if not isinstance(node, ast.FunctionDef):
            waiting.extend(ast.iter_child_nodes(node))
    return found


def _parents(tree: ast.Module) -> dict[ast.AST, ast.AST]:
    return {child: node for node in ast.walk(tree) for child in ast.iter_child_nodes(node)}
