"""Actions: what a thumb, a knuckle or a pedal can do next."""

from __future__ import annotations

from typing import Any

from temperward.engine import data_files
from temperward.engine.quantities import note

Action = dict[str, Any]


def label(name: str, facts: dict[str, Any] | None = None) -> dict[str, Any]:
    """Return the words on a button."""
    return note("fold.do." + name, facts)


def mark_action(
    mark: str,
    *,
    kind: str = "go",
    words: str | None = None,
    facts: dict[str, Any] | None = None,
    body: dict[str, Any] | None = None,
) -> Action:
    """Return the action that makes a mark."""
    rule = data_files.load("marks")["by_id"][mark]
    action: Action = {
        "do": "mark",
        "mark": mark,
        "label": label(mark if words is None else words, facts),
        "hold": rule.get("hold") is True,
        "kind": kind,
    }
    if body is not None:
        action["body"] = body
    return action


def check_action(
    check: str, *, kind: str = "go", words: str | None = None, body: dict[str, Any] | None = None
) -> Action:
    """Return the action that opens a check."""
    action: Action = {
        "do": "check",
        "check": check,
        "label": label("check_" + check if words is None else words),
        "hold": False,
        "kind": kind,
    }
    if body is not None:
        action["body"] = body
    return action


def open_action(
    screen: str,
    *,
    kind: str = "plain",
    words: str | None = None,
    finding: str | None = None,
    gate: str | None = None,
) -> Action:
    """Return the action that opens a screen."""
    action: Action = {
        "do": "open",
        "screen": screen,
        "label": label("open_" + screen if words is None else words),
        "hold": False,
        "kind": kind,
    }
    if finding is not None:
        action["finding"] = finding
    if gate is not None:
        action["gate"] = gate
    return action


def choice_action(choice: str, *, kind: str = "plain") -> Action:
    """Return the action that decides something."""
    return {"do": "choice", "choice": choice, "label": label(choice), "hold": False, "kind": kind}


def shortest_reason() -> int:
    """Return how many letters a reason has at least."""
    for field in data_files.load("entries")["piece"]["override"]:
        if field["name"] == "reason":
            return int(field["least"])
    return 1


def override_action(gate: str, items: list[str], *, words: str = "override") -> Action:
    """Return the way around a stop point: a reason and initials are asked."""
    return {
        "do": "override",
        "gate": gate,
        "items": items,
        "least": shortest_reason(),
        "label": label(words),
        "hold": False,
        "kind": "stop",
    }


def since(action: Action, *, from_ms: int, claims: str) -> Action:
    """Return an action that may have been done already: between then and now, by claim at one end of it."""
    action["between"] = {"from_ms": from_ms, "claims": claims}
    return action


def wait_action(name: str) -> Action:
    """Return the answer that does nothing: not yet."""
    return {"do": "none", "label": label(name), "hold": False, "kind": "wait"}
