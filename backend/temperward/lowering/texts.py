"""Turns f-strings into str.format, and a tree into the smallest source text that still reads."""

from __future__ import annotations

import ast


class PlainFormats(ast.NodeTransformer):
    """Turns f"{a!r} of {b:03d}" into "{!r} of {:03d}".format(a, b): one form, whatever Python wrote it."""

    def visit_JoinedStr(self, node: ast.JoinedStr) -> ast.expr:
        """Replace one f-string."""
        self.generic_visit(node)
        text = "".join(_part(part) for part in node.values)
        values = [part.value for part in node.values if isinstance(part, ast.FormattedValue)]
        if not values:
            return ast.copy_location(ast.Constant(value=text.replace("{{", "{").replace("}}", "}")), node)
        function = ast.Attribute(value=ast.Constant(value=text), attr="format", ctx=ast.Load())
        return ast.copy_location(ast.Call(func=function, args=values, keywords=[]), node)

    def visit_FormattedValue(self, node: ast.FormattedValue) -> ast.FormattedValue:
        """Look into the value only: the format after the colon stays as it is."""
        node.value = self.visit(node.value)
        return node


def _part(part: ast.expr) -> str:
    if isinstance(part, ast.FormattedValue):
        conversion = "" if part.conversion < 0 else "!" + chr(part.conversion)
        return "{" + conversion + _spec(part) + "}"
    if isinstance(part, ast.Constant):
        return str(part.value).replace("{", "{{").replace("}", "}}")
    raise TypeError(part)


def _spec(part: ast.FormattedValue) -> str:
    if not isinstance(part.format_spec, ast.JoinedStr):
        return ""
    return ":" + "".join(
        str(item.value) for item in part.format_spec.values if isinstance(item, ast.Constant)
    )


def source_of(tree: ast.Module) -> str:
    """Return the text of a lowered file: no blank line, one space of indentation, nothing renamed."""
    lines = ast.unparse(ast.fix_missing_locations(tree)).split("\n")
    return "\n".join(_indented(line) for line in lines if line.strip()) + "\n"


def _indented(line: str) -> str:
    text = line.lstrip(" ")
    return " " * ((len(line) - len(text)) // 4) + text


def canonical(node: object) -> str:
    """Return a tree as text that is the same under every Python version, for the digest."""
    if isinstance(node, ast.AST):
        parts = [
            name + "=" + canonical(value) for name, value in ast.iter_fields(node) if _counts(name, value)
        ]
        return type(node).__name__ + "(" + ",".join(parts) + ")"
    if isinstance(node, list):
        return "[" + ",".join(canonical(item) for item in node) + "]"
    return repr(node)


def _counts(name: str, value: object) -> bool:
    return value is not None and value != [] and name not in ("ctx", "kind", "type_comment", "type_ignores")
