"""Refuses what the phone's Python cannot run, with file, line, reason and the way out."""

from __future__ import annotations

import ast
from collections.abc import Callable
from typing import Any

from temperward.lowering import gaps
from temperward.lowering.plain_classes import is_dataclass
from temperward.lowering.problems import Finder

OWN_PACKAGE = "temperward.engine"


class Gaps(Finder):
    """Walks one file and notes every gap it steps into."""

    def __init__(self, path: str, *, may_open: bool = False) -> None:
        """Take the file's name; may_open lets a host file read what the build put beside it."""
        super().__init__(path)
        self.may_open = may_open

    def look_through(self, tree: ast.Module) -> None:
        """Check every node of the file."""
        for node in ast.walk(tree):
            check = CHECKS.get(type(node).__name__)
            if check is not None:
                check(self, node)


def _statement(found: Gaps, node: ast.AST) -> None:
    found.refuse(node, STATEMENTS[type(node).__name__])


STATEMENTS = {
    "Match": "no match statement there: use if and elif",
    "TryStar": "no except* there",
    "AsyncFunctionDef": "the engine does not wait for anything",
    "Await": "the engine does not wait for anything",
    "AsyncFor": "the engine does not wait for anything",
    "AsyncWith": "the engine does not wait for anything",
    "TypeAlias": "no type statement: write the annotation out",
}


def _import(found: Gaps, node: ast.Import) -> None:
    for alias in node.names:
        if not _import_allowed(alias.name):
            found.refuse(
                node, "import " + alias.name + ": the engine may import math, json and its own modules"
            )
        elif alias.name.startswith(OWN_PACKAGE) and alias.asname is None:
            found.refuse(
                node, "write from " + alias.name.rpartition(".")[0] + " import ..., not the long name"
            )


def _import_from(found: Gaps, node: ast.ImportFrom) -> None:
    module = node.module or ""
    if node.level:
        found.refuse(node, "relative import: write it from " + OWN_PACKAGE)
    elif not _import_allowed(module):
        found.refuse(node, "import " + module + ": the engine may import math, json and its own modules")
    for alias in node.names:
        if alias.name == "*":
            found.refuse(node, "import of everything: name what is used")
        if module == "math" and alias.name in gaps.MISSING_IN_MATH:
            found.refuse(node, "no math." + alias.name + " there")
        if module == "dataclasses" and alias.name not in ("dataclass", "field"):
            found.refuse(
                node, "no dataclasses." + alias.name + " there: only dataclass and field are expanded"
            )
        if module == "typing" and alias.name == "NamedTuple":
            found.refuse(node, "no NamedTuple there: use a frozen dataclass")


def _import_allowed(module: str) -> bool:
    own = module == OWN_PACKAGE or module.startswith(OWN_PACKAGE + ".")
    return own or module in gaps.ALLOWED_IMPORTS or module in gaps.DROPPED_IMPORTS


def _dict(found: Gaps, node: ast.Dict) -> None:
    if any(key is None for key in node.keys):
        found.refuse(node, "no {**a} there: use dict(a, **b) or a loop")


def _sequence(found: Gaps, node: ast.List | ast.Tuple | ast.Set) -> None:
    storing = not isinstance(node, ast.Set) and isinstance(node.ctx, ast.Store)
    if not storing and any(isinstance(item, ast.Starred) for item in node.elts):
        found.refuse(node, "no unpacking inside a literal there: use list(a) + b")


def _arguments(found: Gaps, node: ast.arguments) -> None:
    if node.posonlyargs:
        found.refuse(node.posonlyargs[0], "no positional-only marker there")


def _slice(found: Gaps, node: ast.Slice) -> None:
    step = node.step
    if step is not None and not (isinstance(step, ast.Constant) and step.value in (None, 1)):
        found.refuse(node, "no slice with a step there: use reversed() or range()")


def _constant(found: Gaps, node: ast.Constant) -> None:
    if isinstance(node.value, complex):
        found.refuse(node, "complex number: nothing here needs one")


def _class(found: Gaps, node: ast.ClassDef) -> None:
    for decorator in node.decorator_list:
        if not is_dataclass(decorator):
            _decorator(found, decorator)
    if node.keywords or len(node.bases) > 1:
        found.refuse(node, "one plain base class at most, no metaclass")
    if getattr(node, "type_params", []):
        found.refuse(node, "no type parameters there")


def _function(found: Gaps, node: ast.FunctionDef) -> None:
    if node.name in gaps.REFUSED_METHODS:
        found.refuse(node, "no " + node.name + " there")
    if getattr(node, "type_params", []):
        found.refuse(node, "no type parameters there")
    for decorator in node.decorator_list:
        _decorator(found, decorator)


def _decorator(found: Gaps, node: ast.expr) -> None:
    known = gaps.ALLOWED_DECORATORS
    setter = isinstance(node, ast.Attribute) and node.attr == "setter"
    if not setter and not (isinstance(node, ast.Name) and node.id in known):
        found.refuse(node, "decorator @" + ast.unparse(node) + " is not there")


def _comprehension(found: Gaps, node: ast.expr) -> None:
    if any(isinstance(inner, ast.NamedExpr) for inner in ast.walk(node)):
        found.refuse(node, "no := inside a comprehension: its name would leak or vanish")


def _formatted(found: Gaps, node: ast.FormattedValue) -> None:
    if node.format_spec is None:
        return
    parts = node.format_spec.values if isinstance(node.format_spec, ast.JoinedStr) else []
    if any(not isinstance(part, ast.Constant) for part in parts):
        found.refuse(node, "no format inside a format there")
        return
    _format_spec(found, node, "".join(str(part.value) for part in parts if isinstance(part, ast.Constant)))


def _format_spec(found: Gaps, node: ast.AST, spec: str) -> None:
    if "," in spec or "_" in spec:
        found.refuse(node, "separators in a format are ignored there")
    elif spec and spec[-1] in "eEfFgGn%":
        found.refuse(node, "rounding of floats differs there: the engine does not round, screens do")


def _attribute(found: Gaps, node: ast.Attribute) -> None:
    if isinstance(node.value, ast.Name) and node.value.id == "math" and node.attr in gaps.MISSING_IN_MATH:
        found.refuse(node, "no math." + node.attr + " there")


def _name(found: Gaps, node: ast.Name) -> None:
    if not node.id.isascii():
        found.refuse(node, "names are ASCII")
    if not isinstance(node.ctx, ast.Load):
        return
    if node.id in gaps.MISSING_BUILTINS:
        found.refuse(node, "no " + node.id + "() there")
    if node.id in gaps.IMPURE_BUILTINS and not (node.id == "open" and found.may_open):
        found.refuse(node, node.id + "() reaches outside the engine or differs from run to run")
    if node.id == "round":
        found.refuse(node, "round() differs in the last place: the engine does not round, screens do")


def _call(found: Gaps, node: ast.Call) -> None:
    if isinstance(node.func, ast.Attribute):
        _method_call(found, node, node.func)
    elif isinstance(node.func, ast.Name):
        _builtin_call(found, node, node.func.id)


def _method_call(found: Gaps, node: ast.Call, func: ast.Attribute) -> None:
    name = func.attr
    if name in gaps.MISSING_METHODS:
        found.refuse(node, "no ." + name + "() there")
    if name in gaps.NO_KEYWORDS_METHODS and node.keywords:
        found.refuse(node, "." + name + "() takes no keywords there")
    from_json = isinstance(func.value, ast.Name) and func.value.id == "json"
    if from_json and any(keyword.arg != "separators" for keyword in node.keywords):
        found.refuse(node, "json there knows no keyword but separators")
    if name == "format" and isinstance(func.value, ast.Constant) and ":" in str(func.value.value):
        found.refuse(node, "write the format as an f-string, where it can be checked")


def _builtin_call(found: Gaps, node: ast.Call, name: str) -> None:
    keywords = [keyword.arg for keyword in node.keywords]
    if name in gaps.NO_KEYWORDS and keywords:
        found.refuse(node, name + "() takes no keywords there")
    if name == "zip" and keywords:
        found.refuse(node, "no zip(strict=) there: check the lengths")
    if name in ("isinstance", "issubclass") and len(node.args) > 1 and isinstance(node.args[1], ast.BinOp):
        found.refuse(node, "no union of types at run time there: use a tuple")


CHECKS: dict[str, Callable[[Gaps, Any], None]] = {
    "Import": _import,
    "ImportFrom": _import_from,
    "Dict": _dict,
    "List": _sequence,
    "Tuple": _sequence,
    "Set": _sequence,
    "arguments": _arguments,
    "Slice": _slice,
    "Constant": _constant,
    "ClassDef": _class,
    "FunctionDef": _function,
    "ListComp": _comprehension,
    "SetComp": _comprehension,
    "DictComp": _comprehension,
    "GeneratorExp": _comprehension,
    "FormattedValue": _formatted,
    "Attribute": _attribute,
    "Name": _name,
    "Call": _call,
    **dict.fromkeys(STATEMENTS, _statement),
}
