"""Expands dataclasses into plain classes: fields become arguments of __init__, and what values compare by.

Frozen and slots are for CPython and the checker; on the phone the expanded class does not enforce them.
"""

from __future__ import annotations

import ast
from dataclasses import dataclass

from temperward.lowering.problems import Finder

KNOWN_OPTIONS = ("frozen", "slots", "kw_only", "eq", "repr", "order", "unsafe_hash")
REFUSED_OPTIONS = ("order", "unsafe_hash")
KNOWN_FIELD_OPTIONS = ("default", "default_factory", "repr", "compare")


@dataclass(frozen=True, slots=True)
class Field:
    """One field of a dataclass."""

    name: str
    default: ast.expr | None
    factory: ast.expr | None
    compares: bool


@dataclass(frozen=True, slots=True)
class Options:
    """What the decorator asked for."""

    frozen: bool
    kw_only: bool
    eq: bool


class PlainClasses(ast.NodeTransformer, Finder):
    """Expands every dataclass of one file."""

    def __init__(self, path: str) -> None:
        """Start with no problem."""
        Finder.__init__(self, path)

    def visit_ClassDef(self, node: ast.ClassDef) -> ast.ClassDef:
        """Expand one class, and those inside it."""
        self.generic_visit(node)
        decorators = [item for item in node.decorator_list if is_dataclass(item)]
        if decorators:
            self._expand(node, options=self._options(decorators[0]))
        return node

    def _options(self, decorator: ast.expr) -> Options:
        given: dict[str, bool] = {}
        for keyword in decorator.keywords if isinstance(decorator, ast.Call) else []:
            on = isinstance(keyword.value, ast.Constant) and bool(keyword.value.value)
            name = keyword.arg or "**"
            if name not in KNOWN_OPTIONS or (name in REFUSED_OPTIONS and on):
                self.refuse(decorator, "dataclass option " + name + " is not expanded: write the class out")
            given[name] = on
        return Options(given.get("frozen", False), given.get("kw_only", False), given.get("eq", True))

    def _expand(self, node: ast.ClassDef, *, options: Options) -> None:
        if node.bases:
            self.refuse(node, "a dataclass with a base class is not expanded: write the class out")
        fields = [self._field(item) for item in node.body if _is_field(item)]
        rest = [_plain(item) for item in node.body if not _is_field(item)]
        names = {item.name for item in rest if isinstance(item, ast.FunctionDef)}
        made = _init(fields, options=options, post="__post_init__" in names)
        if options.eq and "__eq__" not in names:
            made += _equality(fields)
            made += _hash(fields) if options.frozen and "__hash__" not in names else []
        node.body = [*made, *rest]
        node.decorator_list = [item for item in node.decorator_list if not is_dataclass(item)]

    def _field(self, statement: ast.stmt) -> Field:
        if not isinstance(statement, ast.AnnAssign) or not isinstance(statement.target, ast.Name):
            raise TypeError(statement)
        value = statement.value
        if not (
            isinstance(value, ast.Call) and isinstance(value.func, ast.Name) and value.func.id == "field"
        ):
            return Field(statement.target.id, value, None, compares=True)
        asked = {keyword.arg or "**": keyword.value for keyword in value.keywords}
        for name in asked:
            if name not in KNOWN_FIELD_OPTIONS:
                self.refuse(statement, "field option " + name + " is not expanded")
        compare = asked.get("compare")
        compares = not (isinstance(compare, ast.Constant) and compare.value is False)
        return Field(
            statement.target.id, asked.get("default"), asked.get("default_factory"), compares=compares
        )


def is_dataclass(decorator: ast.expr) -> bool:
    """Tell @dataclass and @dataclass(...) from other decorators."""
    target = decorator.func if isinstance(decorator, ast.Call) else decorator
    return isinstance(target, ast.Name) and target.id == "dataclass"


def _is_field(statement: ast.stmt) -> bool:
    return isinstance(statement, ast.AnnAssign) and "ClassVar" not in ast.unparse(statement.annotation)


def _plain(statement: ast.stmt) -> ast.stmt:
    if isinstance(statement, ast.AnnAssign) and statement.value is not None:
        return ast.copy_location(ast.Assign(targets=[statement.target], value=statement.value), statement)
    return statement


def _parse(source: str) -> list[ast.stmt]:
    return ast.parse(source).body


def _init(fields: list[Field], *, options: Options, post: bool) -> list[ast.stmt]:
    head = ["self"] + (["*"] if options.kw_only and fields else [])
    takes = [item.name + _default_text(item) for item in fields]
    lines = [_assignment(item) for item in fields] + (["self.__post_init__()"] if post else [])
    return _parse("def __init__(" + ", ".join(head + takes) + "):\n " + "\n ".join(lines or ["pass"]))


def _default_text(item: Field) -> str:
    if item.factory is not None:
        return "=None"
    return "" if item.default is None else "=" + ast.unparse(item.default)


def _assignment(item: Field) -> str:
    if item.factory is None:
        return "self." + item.name + " = " + item.name
    made = _factory_text(item.factory)
    return "self." + item.name + " = " + made + " if " + item.name + " is None else " + item.name


def _factory_text(factory: ast.expr) -> str:
    if isinstance(factory, ast.Lambda):
        return ast.unparse(factory.body)
    return ast.unparse(factory) + "()"


def _values(fields: list[Field], owner: str) -> str:
    named = [owner + "." + item.name for item in fields if item.compares]
    return "(" + ", ".join(named) + ("," if len(named) == 1 else "") + ")"


def _equality(fields: list[Field]) -> list[ast.stmt]:
    same = _values(fields, "self") + " == " + _values(fields, "other")
    return _parse("def __eq__(self, other):\n return self.__class__ is other.__class__ and " + same)


def _hash(fields: list[Field]) -> list[ast.stmt]:
    return _parse("def __hash__(self):\n return hash(" + _values(fields, "self") + ")")
