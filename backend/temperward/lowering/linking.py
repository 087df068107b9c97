"""Joins the lowered files: imports that only annotations used go, and every other one must find its name."""

from __future__ import annotations

import ast

from temperward.lowering.problems import Finder, Problem

OWN_ROOT = "temperward"


def drop_unused_imports(tree: ast.Module) -> None:
    """Take out imported names that nothing uses once the annotations are gone."""
    used = {node.id for node in ast.walk(tree) if isinstance(node, ast.Name)}
    for node in ast.walk(tree):
        body = getattr(node, "body", None)
        if isinstance(body, list):
            body[:] = [statement for statement in body if _still_imports(statement, used=used)]


def missing_names(files: list[tuple[str, str, ast.Module]]) -> list[Problem]:
    """Return every import between the files that finds nothing; a file is (target, origin, tree)."""
    modules = {_module_of(target): _defined(tree) for target, _, tree in files}
    problems: list[Problem] = []
    for _, origin, tree in files:
        found = Finder(origin)
        for node in ast.walk(tree):
            if isinstance(node, ast.ImportFrom) and (node.module or "").split(".")[0] == OWN_ROOT:
                _check_import(found, node, modules=modules)
        problems += found.problems
    return problems


def _still_imports(statement: object, *, used: set[str]) -> bool:
    if isinstance(statement, (ast.ImportFrom, ast.Import)):
        statement.names = [alias for alias in statement.names if _bound(alias) in used]
        return bool(statement.names)
    return True


def _bound(alias: ast.alias) -> str:
    return alias.asname or alias.name.split(".")[0]


def _check_import(found: Finder, node: ast.ImportFrom, *, modules: dict[str, set[str]]) -> None:
    module = node.module or ""
    for alias in node.names:
        is_module = module + "." + alias.name in modules or _is_package(module + "." + alias.name, modules)
        if not is_module and alias.name not in modules.get(module, set()):
            reason = " is not there at run time: it is for the type checker, or does not exist"
            found.refuse(node, module + "." + alias.name + reason)


def _is_package(name: str, modules: dict[str, set[str]]) -> bool:
    return any(module.startswith(name + ".") for module in modules)


def _module_of(target: str) -> str:
    return target.removesuffix(".py").removesuffix("/__init__").replace("/", ".")


def _defined(tree: ast.Module) -> set[str]:
    names: set[str] = set()
    for statement in tree.body:
        if isinstance(statement, (ast.FunctionDef, ast.ClassDef)):
            names.add(statement.name)
        elif isinstance(statement, (ast.Import, ast.ImportFrom)):
            names.update(_bound(alias) for alias in statement.names)
        else:
            stored = (node for node in ast.walk(statement) if isinstance(node, ast.Name))
            names.update(node.id for node in stored if isinstance(node.ctx, ast.Store))
    return names
