"""What to do when a check fails: one card for each finding."""

from __future__ import annotations

from typing import Any

from temperward.engine import data_files
from temperward.engine import facts as facts_module
from temperward.engine.quantities import note


def findings(facts: dict[str, Any]) -> list[dict[str, Any]]:
    """Answer `findings`: the cards in their usual order, the first line short enough for two metres."""
    facts_module.only(facts, [])
    table = data_files.load("findings")
    every = data_files.load("states")["order"]
    return [_card(name, table["by_id"][name], every) for name in table["order"]]


def _card(name: str, row: dict[str, Any], every: list[str]) -> dict[str, Any]:
    return {
        "id": name,
        "title": note("findings." + name + ".title"),
        "do_now": note("findings." + name + ".do_now"),
        "do_not": note("findings." + name + ".do_not"),
        "then": note("findings." + name + ".then"),
        "where": every if row["where"] == "any" else row["where"],
        "people": row["people"],
        "asks": row.get("asks"),
    }
