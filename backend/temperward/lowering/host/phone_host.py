"""What a worker of the phone calls: questions as text, and open logs, so that a mark sends one entry."""

from __future__ import annotations

import json
from typing import Any

from temperward.engine import api

_logs: dict[str, list[Any]] = {}


def ask(question: str, facts_json: str) -> str:
    """Answer one question."""
    return api.ask_json(question, facts_json)


def open_log(log_id: str, entries_json: str) -> int:
    """Hold this log in place of the one before; return how many entries it holds."""
    _logs.clear()
    _logs[log_id] = json.loads(entries_json)
    return len(_logs[log_id])


def append_entry(log_id: str, entry_json: str) -> int:
    """Add one entry to an open log; return how many it holds, -1 when it is not open."""
    if log_id not in _logs:
        return -1
    entry = json.loads(entry_json)
    kept = [other for other in _logs[log_id] if other["id"] != entry["id"]]
    kept.append(entry)
    _logs[log_id] = kept
    return len(kept)


def fold_open(log_id: str, facts_json: str) -> str:
    """Fold an open log; the facts are those of the question `fold` without its entries."""
    facts = json.loads(facts_json)
    facts["log_id"] = log_id
    facts["entries"] = _logs.get(log_id, [])
    return json.dumps(api.ask("fold", facts))
