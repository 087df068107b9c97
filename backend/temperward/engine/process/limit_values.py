"""The figures of common practice and of this program, each with its source; a shop may set some."""

from __future__ import annotations

from typing import Any

from temperward.engine import data_files
from temperward.engine import facts as facts_module
from temperward.engine.errors import UnknownField, UnknownName, shown


def read_shop_limits(given: Any) -> dict[str, float]:
    """Return a shop's own figures, each refused outside the range that the shop may choose from."""
    if given is None:
        return {}
    if not isinstance(given, dict):
        raise UnknownName(field="shop_limits", value=shown(given), reason="refusal.card_not_a_group")
    table = data_files.load("limits")
    settable = sorted([name for name in table if "low" in table[name]])
    own: dict[str, float] = {}
    for name in sorted(given):
        field = "shop_limits." + name
        if name not in settable:
            raise UnknownField(field=field, reason="refusal.unknown_field", choices=settable)
        row = table[name]
        own[name] = facts_module.number(
            {field: given[name]}, field, low=row["low"], high=row["high"], unit=row["unit"]
        )
    return own


def value_of(name: str, *, shop: dict[str, float] | None = None) -> Any:
    """Return the figure called name: the shop's where it has one."""
    if shop is not None and name in shop:
        return shop[name]
    return data_files.load("limits")[name]["value"]


def sources_of(name: str, *, shop: dict[str, float] | None = None) -> list[str]:
    """Return where the figure called name comes from."""
    if shop is not None and name in shop:
        return ["shopSet"]
    return list(data_files.load("limits")[name]["sources"])


def unit_of(name: str) -> str:
    """Return the unit of the figure called name."""
    return str(data_files.load("limits")[name]["unit"])
