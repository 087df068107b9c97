"""Which clocks of a blade are running, as the engine says it from the log alone."""

from __future__ import annotations

import json
from dataclasses import dataclass
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from temperward.engine import api as engine
from temperward.storage.models import Entry


@dataclass(frozen=True, slots=True, kw_only=True)
class Stage:
    """One stage of one running clock."""

    clock_id: str
    kind: str
    stage: str
    due_ms: int
    useful_s: int
    text: dict[str, Any]


@dataclass(frozen=True, slots=True, kw_only=True)
class Clocks:
    """All stages of a blade's running clocks, and when time alone changes the answer."""

    piece_tag: str
    stages: tuple[Stage, ...]
    look_again_ms: int | None
    failure: str | None = None

    def latest_due(self, clock_id: str, *, now_ms: int) -> Stage | None:
        """Return the stage that speaks for a clock now: of those that are due, the latest."""
        due = [one for one in self.stages if one.clock_id == clock_id and one.due_ms <= now_ms]
        return max(due, key=lambda one: one.due_ms, default=None)


def clocks_of(session: Session, *, shop_id: str, log_id: str, now_ms: int) -> Clocks:
    """Fold one blade's log and return its running clocks; a paused one is silent."""
    facts = {
        "log_kind": "piece",
        "log_id": log_id,
        "entries": entries_of(session, shop_id=shop_id, log_id=log_id),
        "now_ms": now_ms,
    }
    asked = engine.ask("fold", facts)
    if "error" in asked:
        return Clocks(piece_tag="", stages=(), look_again_ms=None, failure=str(asked["error"]["reason"]))
    answer = asked["answer"]
    stages = [
        Stage(
            clock_id=clock["id"],
            kind=clock["kind"],
            stage=stage["stage"],
            due_ms=stage["due_ms"],
            useful_s=stage["useful_s"],
            text=stage["text"],
        )
        for clock in answer["clocks"]
        if not clock["paused"]
        for stage in clock["stages"]
    ]
    again = min((at_ms for at_ms in answer["changes_at_ms"] if at_ms > now_ms), default=None)
    return Clocks(piece_tag=answer["tag"] or "", stages=tuple(stages), look_again_ms=again)


def entries_of(session: Session, *, shop_id: str, log_id: str) -> list[dict[str, Any]]:
    """Return the entries of one log in log order."""
    query = (
        select(Entry.text)
        .where(Entry.shop_id == shop_id, Entry.log_id == log_id)
        .order_by(Entry.lamport, Entry.id)
    )
    return [json.loads(text) for text in session.scalars(query)]
