"""The cautions: ten that every card carries, and those of single steps."""

from __future__ import annotations

from typing import Any

from temperward.engine import data_files
from temperward.engine.process.limit_values import value_of
from temperward.engine.quantities import note


def caution(name: str) -> dict[str, Any]:
    """Return one caution as a words key, with its figure where it has one."""
    row = data_files.load("cautions")["cautions"][name]
    facts: dict[str, Any] = {}
    if "limit" in row:
        facts[row["fact"]] = value_of(row["limit"])
    return note("caution." + name, facts)


def cautions(names: list[str]) -> list[dict[str, Any]]:
    """Return the cautions of one step, in the order given."""
    return [caution(name) for name in names]


def always() -> list[dict[str, Any]]:
    """Return the ten cautions that stand on every card."""
    return cautions(data_files.load("cautions")["always"])
