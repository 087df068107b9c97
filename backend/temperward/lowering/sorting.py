"""Sends every sort to our own: the one in MicroPython is unstable, and quadratic on sorted input."""

from __future__ import annotations

import ast

SORT_MODULE = "temperward.engine.merge_sort"


class OwnSorting(ast.NodeTransformer):
    """Replaces sorted() and list.sort() by ours, and notes which of them a file uses."""

    def __init__(self) -> None:
        """Start with none used."""
        self.used: set[str] = set()

    def visit_Name(self, node: ast.Name) -> ast.Name:
        """Note that ours must stand in for the builtin."""
        if node.id == "sorted":
            self.used.add("sorted")
        return node

    def visit_Call(self, node: ast.Call) -> ast.Call:
        """Turn a.sort(...) into sort_in_place(a, ...)."""
        self.generic_visit(node)
        if isinstance(node.func, ast.Attribute) and node.func.attr == "sort":
            self.used.add("sort_in_place")
            function = ast.Name(id="sort_in_place", ctx=ast.Load())
            return ast.copy_location(
                ast.Call(func=function, args=[node.func.value, *node.args], keywords=node.keywords), node
            )
        return node


def with_own_sorting(tree: ast.Module) -> ast.Module:
    """Return the file with its sorts replaced and ours imported under the name of the builtin."""
    if any(isinstance(statement, ast.FunctionDef) and statement.name == "sorted" for statement in tree.body):
        return tree  # this is ours
    change = OwnSorting()
    tree = change.visit(tree)
    if change.used:
        names = [ast.alias(name=name) for name in sorted(change.used)]
        tree.body.insert(0, ast.ImportFrom(module=SORT_MODULE, names=names, level=0))
    return tree
