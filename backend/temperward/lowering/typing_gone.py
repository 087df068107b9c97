"""Takes out what serves the type checker and the reader only: annotations, docstrings, aliases, casts."""

from __future__ import annotations

import ast
from typing import TypeVar

from temperward.lowering import gaps
from temperward.lowering.plain_classes import is_dataclass
from temperward.lowering.problems import Finder

GENERIC_BUILTINS = ("dict", "list", "tuple", "set", "frozenset", "type")
CHECKER_BASES = ("TypedDict", "Protocol")
BLOCKS = (ast.ClassDef, ast.FunctionDef, ast.If, ast.For, ast.While, ast.With, ast.Try)
Block = TypeVar("Block", ast.Module, ast.ClassDef, ast.FunctionDef)


class TypingGone(ast.NodeTransformer):
    """Drops annotations and docstrings everywhere, and module-level names that only annotations use."""

    def __init__(self, dropped: set[str]) -> None:
        """Take the names that the file imports for the checker."""
        self.dropped = dropped
        self.aliases: set[str] = set()

    def visit_Module(self, node: ast.Module) -> ast.Module:
        """Drop type aliases and what only the checker reads."""
        for statement in node.body:
            if self._for_the_checker(statement):
                self.aliases |= _names_made_by(statement)
        node.body = [statement for statement in node.body if not self._for_the_checker(statement)]
        return self._without_docstring(node)

    def visit_ClassDef(self, node: ast.ClassDef) -> ast.ClassDef:
        """Keep a dataclass's fields: they are annotations that mean something at run time."""
        node.decorator_list = [item for item in node.decorator_list if not _dropped_decorator(item)]
        if any(is_dataclass(item) for item in node.decorator_list):
            kept = [self._field(statement) for statement in node.body]
            node.body = [statement for statement in kept if statement is not None]
            return node
        return self._without_docstring(node)

    def visit_FunctionDef(self, node: ast.FunctionDef) -> ast.FunctionDef | None:
        """Drop annotations of arguments and result."""
        if any(_named(item) == "overload" for item in node.decorator_list):
            return None
        node.decorator_list = [item for item in node.decorator_list if not _dropped_decorator(item)]
        node.returns = None
        return self._without_docstring(node)

    def visit_arg(self, node: ast.arg) -> ast.arg:
        """Drop the annotation of one argument."""
        node.annotation = None
        return node

    def visit_AnnAssign(self, node: ast.AnnAssign) -> ast.AST | None:
        """Turn `a: int = 1` into `a = 1`, and drop `a: int`."""
        self.generic_visit(node)
        if node.value is None:
            return None
        return ast.copy_location(ast.Assign(targets=[node.target], value=node.value), node)

    def visit_Call(self, node: ast.Call) -> ast.AST:
        """Turn cast(T, v) into v."""
        self.generic_visit(node)
        if _named(node.func) == "cast" and "cast" in self.dropped:
            return node.args[1]
        return node

    def _field(self, statement: ast.stmt) -> ast.stmt | None:
        if isinstance(statement, ast.AnnAssign):
            return None if _is_class_variable_without_value(statement) else statement
        if _is_docstring(statement):
            return None
        changed = self.visit(statement)
        return changed if isinstance(changed, ast.stmt) else None

    def _without_docstring(self, node: Block) -> Block:
        node.body = [statement for statement in node.body if not _is_docstring(statement)]
        self.generic_visit(node)
        return node

    def _for_the_checker(self, statement: ast.stmt) -> bool:
        if isinstance(statement, ast.If):
            return _named(statement.test) == "TYPE_CHECKING"
        if isinstance(statement, ast.ClassDef):
            return any(_named(base) in CHECKER_BASES for base in statement.bases)
        if isinstance(statement, ast.AnnAssign) and _named(statement.annotation) == "TypeAlias":
            return True
        if isinstance(statement, ast.Assign):
            return self._is_alias(statement.value)
        return False

    def _is_alias(self, value: ast.expr) -> bool:
        names = {_named(node) for node in ast.walk(value)}
        if names & self.dropped:
            return True
        if isinstance(value, ast.BinOp) and isinstance(value.op, ast.BitOr):
            return isinstance(value.right, ast.Constant) and value.right.value is None
        return isinstance(value, ast.Subscript) and _named(value.value) in GENERIC_BUILTINS


def _names_made_by(statement: ast.stmt) -> set[str]:
    if isinstance(statement, ast.ClassDef):
        return {statement.name}
    targets = statement.targets if isinstance(statement, ast.Assign) else []
    return {target.id for target in targets if isinstance(target, ast.Name)}


def checker_names(tree: ast.Module) -> set[str]:
    """Return the names that a file imports from modules the lowering drops."""
    names: set[str] = set()
    for node in ast.walk(tree):
        if isinstance(node, ast.ImportFrom) and node.module in gaps.DROPPED_IMPORTS:
            names.update(alias.asname or alias.name for alias in node.names)
    return names


def drop_imports(tree: ast.Module) -> None:
    """Take out the imports of dropped modules, wherever they stand."""
    for node in ast.walk(tree):
        body = getattr(node, "body", None)
        if isinstance(body, list):
            body[:] = [statement for statement in body if not _is_dropped_import(statement)]


def leftovers(tree: ast.Module, *, names: set[str], path: str) -> Finder:
    """Note every use at run time of a name that is gone."""
    found = Finder(path)
    for node in ast.walk(tree):
        if isinstance(node, ast.Name) and node.id in names:
            found.refuse(node, node.id + " is for the type checker: it is not there at run time")
    return found


def fill_empty_bodies(tree: ast.Module) -> None:
    """Put `pass` where nothing is left."""
    for node in ast.walk(tree):
        if isinstance(node, BLOCKS) and not node.body:
            node.body.append(ast.Pass())


def _is_dropped_import(statement: ast.stmt) -> bool:
    if isinstance(statement, ast.ImportFrom):
        return statement.module in gaps.DROPPED_IMPORTS
    if isinstance(statement, ast.Import):
        return all(alias.name in gaps.DROPPED_IMPORTS for alias in statement.names)
    return False


def _is_docstring(statement: ast.stmt) -> bool:
    return isinstance(statement, ast.Expr) and isinstance(statement.value, ast.Constant)


def _dropped_decorator(node: ast.expr) -> bool:
    return _named(node) in gaps.DROPPED_DECORATORS


def _is_class_variable_without_value(statement: ast.AnnAssign) -> bool:
    return "ClassVar" in ast.unparse(statement.annotation) and statement.value is None


def _named(node: ast.AST) -> str:
    if isinstance(node, ast.Name):
        return node.id
    return node.attr if isinstance(node, ast.Attribute) else ""
