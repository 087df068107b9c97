"""The JSON schema of an entry, drawn from the envelope's table and the engine's table of kinds."""

from __future__ import annotations

from typing import Any

from temperward.services.envelope import ENVELOPE, entry_kinds

JSON_TYPES: dict[str, dict[str, Any]] = {
    "choice": {"type": "string"},
    "flag": {"type": "boolean"},
    "integer": {"type": "integer"},
    "number": {"type": "number"},
    "numbers": {"type": "array", "items": {"type": "number"}},
    "object": {"type": "object"},
    "rows": {"type": "array", "items": {"type": "object"}},
    "text": {"type": "string"},
    "texts": {"type": "array", "items": {"type": "string"}},
}


def entry_schema() -> dict[str, Any]:
    """Return what a phone may offer. A body the server does not know is kept all the same."""
    properties = {one.name: one.schema for one in ENVELOPE}
    properties["body"] = {
        "type": "object",
        "anyOf": [*_bodies(), {"title": "of a newer program", "type": "object"}],
    }
    return {
        "type": "object",
        "properties": properties,
        "required": [one.name for one in ENVELOPE if one.required],
    }


def row_schema() -> dict[str, Any]:
    """Return what a pull gives: the entry with the server's own fields."""
    entry = entry_schema()
    server = {
        "seq": {"type": "integer"},
        "received_ms": {"type": "integer"},
        "unread": {"type": "boolean"},
        "erased_ms": {"type": "integer"},
    }
    return {
        **entry,
        "properties": entry["properties"] | server,
        "required": [*entry["required"], "seq", "received_ms"],
    }


def _bodies() -> list[dict[str, Any]]:
    return [_body(kind, parts) for kind, parts in sorted(entry_kinds().items())]


def _body(kind: str, parts: list[dict[str, Any]]) -> dict[str, Any]:
    return {
        "title": kind,
        "type": "object",
        "properties": {part["name"]: _part(part) for part in parts},
        "required": [part["name"] for part in parts if not part.get("optional")],
    }


def _part(part: dict[str, Any]) -> dict[str, Any]:
    schema = dict(JSON_TYPES[part["type"]])
    renamed = {"choices": "enum", "low": "minimum", "high": "maximum"}
    schema.update({json_name: part[name] for name, json_name in renamed.items() if name in part})
    return schema
