"""What blades are cooled in: the rows of the data file."""

from __future__ import annotations

from typing import Any

from temperward.engine import data_files
from temperward.engine import facts as facts_module
from temperward.engine.errors import UnknownName


def medium_row(name: str, *, field: str = "medium") -> dict[str, Any]:
    """Return the row of one medium, refused by name with the list of those known."""
    rows = data_files.load("media")["media"]
    for row in rows:
        if row["id"] == name:
            return row  # type: ignore[no-any-return]
    raise UnknownName(
        field=field, value=name, reason="refusal.unknown_medium", choices=[row["id"] for row in rows]
    )


def media(facts: dict[str, Any]) -> Any:
    """Answer `media`: every row of the data file."""
    facts_module.only(facts, [])
    return data_files.load("media")
