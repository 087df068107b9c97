"""What a fold says, by name."""

from __future__ import annotations

from typing import Any


def flags(fold: dict[str, Any]) -> list[str]:
    """Return the ids of what is flagged."""
    return [flag["id"] for flag in fold["flags"]]


def gate(fold: dict[str, Any], gate_id: str = "ready_to_harden") -> dict[str, Any]:
    """Return one gate."""
    return dict(next(one for one in fold["gates"] if one["id"] == gate_id))


def item(fold: dict[str, Any], name: str, gate_id: str = "ready_to_harden") -> dict[str, Any]:
    """Return one line of a gate."""
    return dict(next(one for one in gate(fold, gate_id)["items"] if one["id"] == name))
