"""One oven for several hard blades: when to load it, counted from each blade's quench mark."""

from __future__ import annotations

from typing import Any

from temperward.engine.process.batch_facts import HARD, IN_OVEN, LEAVING, WAITING, Piece, of_states
from temperward.engine.quantities import note

SECOND_MS = 1000
LONGEST_GAP_MS = 3_600_000  # a longer pause between two quenches is no pace (source: design)


def pace_ms(pieces: list[Piece]) -> float | None:
    """Return the time from the last quench but one to the last, where the work has a pace."""
    marks = [piece.quenched_ms for piece in pieces if piece.quenched_ms is not None]
    marks.sort()
    if len(marks) <= 1 or marks[-1] - marks[-2] > LONGEST_GAP_MS:
        return None
    return marks[-1] - marks[-2]


def load_at_ms(pieces: list[Piece], *, now_ms: float) -> float:
    """Return when the last blade will be hard at the pace of the last two; now, where none waits."""
    waiting = len(of_states(pieces, WAITING))
    pace = pace_ms(pieces)
    if waiting == 0 or pace is None:
        return now_ms
    last_ms = max(piece.quenched_ms for piece in pieces if piece.quenched_ms is not None)
    return max(now_ms, last_ms + waiting * pace)


def oven_of(pieces: list[Piece], *, now_ms: float, load_ms: float, redo_s: float) -> dict[str, Any] | None:
    """Return each hard blade's wait at the loading, the oldest first, and what follows for the oven."""
    hard = of_states(pieces, LEAVING + HARD)
    if not hard:
        return None
    waits = [_wait(piece, now_ms=now_ms, load_ms=load_ms) for piece in hard]
    slacks = [wait["slack_s"] for wait in waits if wait["slack_s"] is not None]
    slack_s = min(slacks) if slacks else None
    return {
        "load_ms": load_ms,
        "waits": waits,
        "slack_s": slack_s,
        "advice": advice_of(waits, slack_s=slack_s, load_ms=load_ms, redo_s=redo_s),
        "set_points": set_points_of(pieces),
    }


def _wait(piece: Piece, *, now_ms: float, load_ms: float) -> dict[str, Any]:
    quenched_ms = piece.quenched_ms or 0.0
    return {
        "log_id": piece.log_id,
        "name": piece.name,
        "quenched_ms": quenched_ms,
        "alarm_ms": piece.alarm_ms,
        "waited_s": max(now_ms - quenched_ms, 0.0) / SECOND_MS,
        "wait_s": max(load_ms - quenched_ms, 0.0) / SECOND_MS,
        "slack_s": None if piece.alarm_ms is None else (piece.alarm_ms - load_ms) / SECOND_MS,
    }


def advice_of(
    waits: list[dict[str, Any]], *, slack_s: float | None, load_ms: float, redo_s: float
) -> dict[str, Any]:
    """Return what the waits mean: together, together with no room for a redo, or too late for the first."""
    first = waits[0]
    for wait in waits:
        if wait["slack_s"] == slack_s:
            first = wait
            break
    facts = {"name": first["name"], "wait_s": first["wait_s"], "load_ms": load_ms, "redo_s": redo_s}
    if slack_s is None:
        return note("batch.advice.plain", facts)
    facts["slack_s"] = slack_s
    if slack_s < 0:
        return note("batch.advice.late", facts)
    if slack_s < redo_s:
        facts["redone_s"] = first["wait_s"] + redo_s
        return note("batch.advice.redo", facts)
    return note("batch.advice.together", facts)


def set_points_of(pieces: list[Piece]) -> list[float]:
    """Return the oven temperatures that these blades ask for, each once, the lowest first."""
    wanted: list[float] = []
    for piece in of_states(pieces, LEAVING + HARD + IN_OVEN):
        if piece.temper_c is not None and piece.temper_c not in wanted:
            wanted.append(piece.temper_c)
    return sorted(wanted)
