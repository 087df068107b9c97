"""The API on one plain page, drawn from the OpenAPI document, without any script."""

from __future__ import annotations

from typing import Any

from flask import Blueprint, current_app, render_template

blp = Blueprint("docs", __name__, template_folder="templates")


@blp.get("/api/docs")
def page() -> str:
    """Show every call with what it takes and gives."""
    document: dict[str, Any] = current_app.config["OPENAPI"].spec.to_dict()
    return render_template(
        "api_docs.html", document=document, calls=calls(document), schemas=schemas(document)
    )


def calls(document: dict[str, Any]) -> list[dict[str, Any]]:
    """Return each call as the page shows it."""
    return [
        {
            "method": method.upper(),
            "path": path,
            "summary": call.get("summary", ""),
            "takes": _schema_name(call.get("requestBody", {}).get("content", {})),
            "parameters": [
                _plain(document, one) for one in [*item.get("parameters", []), *call.get("parameters", [])]
            ],
            "answers": [_answer(document, status, answer) for status, answer in call["responses"].items()],
        }
        for path, item in document["paths"].items()
        for method, call in item.items()
        if method != "parameters"
    ]


def schemas(document: dict[str, Any]) -> list[dict[str, Any]]:
    """Return each shape as the page shows it."""
    found = document["components"]["schemas"]
    return [{"name": name, "fields": _fields(shape)} for name, shape in sorted(found.items())]


def _fields(shape: dict[str, Any]) -> list[dict[str, Any]]:
    required = shape.get("required", [])
    return [
        {"name": name, "type": _type(part), "required": name in required, "text": part.get("description", "")}
        for name, part in shape.get("properties", {}).items()
    ]


def _type(part: dict[str, Any]) -> str:
    if "$ref" in part:
        return str(part["$ref"]).rpartition("/")[2]
    kind = part.get("type", "any")
    if kind == "array":
        return "list of " + _type(part["items"])
    return " or ".join(kind) if isinstance(kind, list) else str(kind)


def _plain(document: dict[str, Any], part: dict[str, Any]) -> dict[str, Any]:
    while "$ref" in part:
        found: Any = document
        for step in part["$ref"].removeprefix("#/").split("/"):
            found = found[step]
        part = found
    return part


def _answer(document: dict[str, Any], status: str, answer: dict[str, Any]) -> dict[str, Any]:
    plain = _plain(document, answer)
    return {
        "status": status,
        "text": plain.get("description", ""),
        "gives": _schema_name(plain.get("content", {})),
    }


def _schema_name(content: dict[str, Any]) -> str:
    names = [_type(one.get("schema", {})) for one in content.values()]
    return ", ".join(names)
