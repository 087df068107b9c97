"""The logs of the shop's things and people: what was said last counts."""

from __future__ import annotations

from typing import Any

from temperward.engine.facts import is_number
from temperward.engine.process.entries import readable_thing
from temperward.engine.process.order import in_order

MOST_READINGS = 12  # design: an evening at one bath
CHANGES = ["made", "changed"]


def fold_thing(entries: list[dict[str, Any]], *, log_kind: str, log_id: str) -> dict[str, Any]:
    """Return the folded state of a bar, bath, oven, instrument, coupon, member, shop or customer."""
    ordered = in_order(entries, read_by=readable_thing)
    merged: dict[str, Any] = {}
    last: dict[str, dict[str, Any]] = {}
    bath: list[dict[str, Any]] = []
    for entry in ordered.events:
        if entry["kind"] in CHANGES:
            merged.update(entry["body"])
        elif entry["kind"] == "check" and isinstance(entry["body"].get("check"), str):
            reading = dict(entry["body"])
            reading["happened_ms"] = entry["happened_ms"]
            reading["entry_id"] = entry["id"]
            last[entry["body"]["check"]] = reading
            if reading["check"] == "bath_temperature" and is_number(reading.get("temperature_c")):
                bath.append({"at_ms": reading["happened_ms"], "temperature_c": reading["temperature_c"]})
    return {
        "log_id": log_id,
        "kind": log_kind,
        "count": len(ordered.log),
        "last_id": ordered.log[-1]["id"] if ordered.log else None,
        "name": merged.get("name"),
        "facts": merged,
        "last": [last[check] for check in sorted(last)],
        "bath_readings": bath[-MOST_READINGS:],
        "withdrawn": ordered.withdrawn,
        "corrected": ordered.corrected,
        "unread": ordered.unread,
        "shop_order": ordered.shop_order,
        "changes_at_ms": [],
    }
