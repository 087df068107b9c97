"""Which clocks of a blade are running, as the engine says it from the log alone."""

from __future__ import annotations

import json
import logging
from dataclasses import dataclass
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from temperward.engine import api as engine
from temperward.services.related import Folded, related_to
from temperward.storage.models import Entry

log = logging.getLogger("temperward.clocks")


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


def clocks_of(
    session: Session, *, shop_id: str, log_id: str, now_ms: int, folded: Folded | None = None
) -> Clocks:
    """Fold one blade's log and return its running clocks; a paused one is silent."""
    things: Folded = {} if folded is None else folded
    entries = entries_of(session, shop_id=shop_id, log_id=log_id)
    facts = {
        "log_kind": "piece",
        "log_id": log_id,
        "entries": entries,
        "related": related_to(session, shop_id=shop_id, entries=entries, now_ms=now_ms, folded=things),
        "now_ms": now_ms,
    }
    try:
        asked = engine.ask("fold", facts)
    except Exception:  # one blade's log must not keep the others from being warned of
        log.exception("the engine broke on a log")
        return _failed("engine_broke")
    return _failed(asked["error"]["reason"]) if "error" in asked else _read(asked["answer"], now_ms=now_ms)


def _failed(reason: str) -> Clocks:
    return Clocks(piece_tag="", stages=(), look_again_ms=None, failure=reason)


def _read(answer: dict[str, Any], *, now_ms: int) -> Clocks:
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
        .where(Entry.shop_id == shop_id, Entry.log_id == log_id, Entry.log_kind == "piece")
        .order_by(Entry.lamport, Entry.id)
    )
    return [json.loads(text) for text in session.scalars(query)]
