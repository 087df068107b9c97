"""Entries as phones write them."""

from __future__ import annotations

import itertools
import uuid
from typing import Any

NOW_MS = 1_792_000_000_000  # October 2026
MINUTE_MS = 60_000
_count = itertools.count(1)


def new_id() -> str:
    """Return an id as phones make them: time first, then chance."""
    chance = uuid.uuid4().int
    number = ((NOW_MS + next(_count)) << 80) | (0x7 << 76) | (chance & ((1 << 76) - 1))
    number = (number & ~(0b11 << 62)) | (0b10 << 62)
    return str(uuid.UUID(int=number))


def entry(**changes: Any) -> dict[str, Any]:
    """Return a note in a log of its own, with some parts changed."""
    plain: dict[str, Any] = {
        "id": new_id(),
        "log_kind": "piece",
        "log_id": new_id(),
        "kind": "note",
        "version": 1,
        "body": {"text": "scale came off clean"},
        "lamport": 1,
        "happened_ms": NOW_MS,
        "written_ms": NOW_MS,
        "plus_minus_s": 1,
        "utc_offset_min": 60,
        "zone": "Europe/Dublin",
        "at_source": "live",
        "device_id": "phone-1",
        "member_id": "member-1",
        "initials": "MO",
        "engine_version": "0.1.0+test",
    }
    return plain | changes


def log_of(*parts: tuple[str, dict[str, Any], int], log_id: str | None = None) -> list[dict[str, Any]]:
    """Return one blade's log from (kind, body, happened_ms) in order."""
    named = log_id or new_id()
    return [
        entry(log_id=named, kind=kind, body=body, happened_ms=at_ms, written_ms=at_ms, lamport=place)
        for place, (kind, body, at_ms) in enumerate(parts, start=1)
    ]
