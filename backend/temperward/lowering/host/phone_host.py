"""What a worker of the phone calls: questions as text, and open logs, so that a mark sends one entry."""

from __future__ import annotations

import json
from typing import Any

# ruff: noqa: E402 (the names come first)


def _names(
    *, happened_ms: int, written_ms: int, plus_minus_s: float, engine_version: str, utc_offset_min: int
) -> None:
    """Make these one word each for Python, before the engine is read that has them as keys."""


from temperward.engine import api
from temperward.engine.process.fold import HeldLog

_logs: dict[str, HeldLog] = {}


def ask(question: str, facts_json: str) -> str:
    """Answer one question."""
    return api.ask_json(question, facts_json)


def open_log(log_id: str, packed_json: str) -> int:
    """Hold this log in place of the one before; return how many entries it holds."""
    _logs.clear()
    _logs[log_id] = HeldLog(unpacked(packed_json))
    return len(_logs[log_id].entries)


def append_entry(log_id: str, entry_json: str) -> int:
    """Add one entry to an open log; return how many it holds, -1 when it is not open."""
    if log_id not in _logs:
        return -1
    held = _logs[log_id]
    entry = json.loads(entry_json)
    kept = [other for other in held.entries if other["id"] != entry["id"]]
    if len(kept) < len(held.entries):
        held = _logs[log_id] = HeldLog(kept)
    held.append(entry)
    return len(held.entries)


def fold_open(log_id: str, facts_json: str) -> str:
    """Fold an open log; the facts are those of the question `fold` without its entries.

    A log that is not open is an error, not an empty one: a blade would stand there as planned that is hard.
    """
    return _folded(facts_json, log_id=log_id, held=_logs[log_id])


def fold_packed(log_id: str, packed_json: str, facts_json: str) -> str:
    """Fold a log that is not open."""
    return _folded(facts_json, log_id=log_id, held=HeldLog(unpacked(packed_json)))


def unpacked(packed_json: str) -> list[dict[str, Any]]:
    """Return the rows of a log that came as columns."""
    packed = json.loads(packed_json)
    columns = packed["columns"]
    # Every row begins as a copy that has room for all its keys: a dict that grows is what takes the time.
    first = {
        column[1]: column[2] if column[0] == "same" else None for column in columns if column[0] != "some"
    }
    rows: list[dict[str, Any]] = [first.copy() for _ in range(packed["count"])]
    for column in columns:
        if column[0] != "same":
            _FILL[column[0]](rows, column)
    return rows


def _of(rows: list[dict[str, Any]], column: list[Any]) -> None:
    _, name, values, which = column
    for row, place in zip(rows, which):  # noqa: B905 (no strict there; both of one length)
        row[name] = values[place]


def _each(rows: list[dict[str, Any]], column: list[Any]) -> None:
    how, name, values = column
    # Texts that differ from row to row come as one: a text that is split costs no search through known names.
    for row, value in zip(rows, values.split("\n") if how == "lines" else values):  # noqa: B905 (as above)
        row[name] = value


def _beside(rows: list[dict[str, Any]], column: list[Any]) -> None:
    """Fill a column that says the same as one before it, but for some places."""
    _, name, values, other = column
    for row in rows:
        row[name] = row.get(other)
    _some(rows, ["some", name, values])


def _some(rows: list[dict[str, Any]], column: list[Any]) -> None:
    _, name, values = column
    for place, value in values:
        rows[place][name] = value


_FILL = {"of": _of, "each": _each, "lines": _each, "beside": _beside, "some": _some}


def _folded(facts_json: str, *, log_id: str, held: HeldLog) -> str:
    facts = json.loads(facts_json)
    facts["log_id"] = log_id
    said = api.answered("fold", held.fold, facts)
    if "answer" in said:
        # No screen asks for it, and in a long log it is a third of what would have to be written and read.
        del said["answer"]["shop_order"]
    return json.dumps(said)
