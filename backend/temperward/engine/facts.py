"""Reading the facts of a question: each is taken by name, checked against its range, none is left over."""

from __future__ import annotations

from typing import Any

from temperward.engine.errors import MissingField, OutOfRange, UnknownField, UnknownName, shown


def is_number(value: Any) -> bool:
    """Tell a finite number from everything else; a truth value is not a number."""
    if isinstance(value, bool) or not isinstance(value, (int, float)):
        return False
    return value - value == 0  # false for nan and both infinities


def only(facts: Any, allowed: list[str], *, field: str = "facts") -> None:
    """Refuse what is no group of facts, and a fact that the question does not take, by name."""
    if not isinstance(facts, dict):
        raise UnknownName(field=field, value=shown(facts), reason="refusal.card_not_a_group", choices=allowed)
    for name in sorted(facts):
        if name not in allowed:
            raise UnknownField(field=name, value=None, reason="refusal.unknown_field", choices=allowed)


def number(
    facts: dict[str, Any],
    name: str,
    *,
    low: float,
    high: float,
    unit: str,
    default: float | None = None,
    of: str = "",
) -> float:
    """Return the number under name, refused outside low..high; default stands in only when it is absent.

    of names the group of facts that this one is part of, so that a refusal can say which field it means.
    """
    field = of + "." + name if of else name
    value = facts.get(name)
    if value is None:
        if default is None:
            raise MissingField(field=field, low=low, high=high, unit=unit, reason="refusal.missing")
        return default
    if not is_number(value):
        raise OutOfRange(
            field=field, value=shown(value), low=low, high=high, unit=unit, reason="refusal.not_a_number"
        )
    if value < low or value > high:
        raise OutOfRange(
            field=field, value=value, low=low, high=high, unit=unit, reason="refusal.out_of_range"
        )
    return float(value)


def choice(facts: dict[str, Any], name: str, *, choices: list[str], default: str | None = None) -> str:
    """Return the word under name, refused unless it is one of choices."""
    value = facts.get(name)
    if value is None:
        if default is None:
            raise MissingField(field=name, reason="refusal.missing", choices=choices)
        return default
    if value not in choices:
        raise UnknownName(field=name, value=shown(value), reason="refusal.unknown_name", choices=choices)
    return str(value)


def flag(facts: dict[str, Any], name: str, *, default: bool = False) -> bool:
    """Return the truth value under name."""
    value = facts.get(name)
    if value is None:
        return default
    if not isinstance(value, bool):
        raise UnknownName(
            field=name, value=shown(value), reason="refusal.not_yes_or_no", choices=["true", "false"]
        )
    return value
