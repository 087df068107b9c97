"""The shop's things that a blade's fold looks at: the bath and the oven that its card names, folded."""

from __future__ import annotations

import json
from itertools import groupby
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from temperward.engine import api as engine
from temperward.storage.models import Entry

LOOKED_AT = ("bath", "oven")


Folded = dict[tuple[str, str], list[dict[str, Any]]]


def related_to(
    session: Session, *, shop_id: str, entries: list[dict[str, Any]], now_ms: int, folded: Folded
) -> dict[str, Any]:
    """Return the folded things for a blade's log: the ones its card names, else the only one of its kind.

    `folded` keeps them from one blade to the next of the same moment.
    """
    facts = _card_facts(entries)
    found = {}
    for kind in LOOKED_AT:
        if (shop_id, kind) not in folded:
            folded[shop_id, kind] = _folded(session, shop_id=shop_id, log_kind=kind, now_ms=now_ms)
        chosen = _named(folded[shop_id, kind], facts.get(kind))
        if chosen is not None:
            found[kind] = chosen
    return found


def _card_facts(entries: list[dict[str, Any]]) -> dict[str, Any]:
    """Return the facts of the newest card in a log."""
    cards = [entry["body"].get("card") for entry in entries if entry["kind"] == "card_made"]
    facts = cards[-1].get("facts") if cards and isinstance(cards[-1], dict) else None
    return facts if isinstance(facts, dict) else {}


def _folded(session: Session, *, shop_id: str, log_kind: str, now_ms: int) -> list[dict[str, Any]]:
    query = (
        select(Entry.log_id, Entry.text)
        .where(Entry.shop_id == shop_id, Entry.log_kind == log_kind)
        .order_by(Entry.log_id, Entry.lamport, Entry.id)
    )
    things = []
    for log_id, rows in groupby(session.execute(query), key=lambda row: row.log_id):
        facts = {
            "log_kind": log_kind,
            "log_id": log_id,
            "entries": [json.loads(row.text) for row in rows],
            "now_ms": now_ms,
        }
        answer = engine.ask("fold", facts)
        if "answer" in answer:
            things.append(answer["answer"])
    return things


def _named(things: list[dict[str, Any]], fact: Any) -> dict[str, Any] | None:
    named = fact if isinstance(fact, dict) else {}
    for thing in things:
        if thing["log_id"] == named.get("log_id") or (named.get("name") and thing["name"] == named["name"]):
            return thing
    return things[0] if len(things) == 1 else None
