"""What a new blade is offered: the batch that is open, and the next letter in it."""

from __future__ import annotations

from typing import Any

from temperward.engine import data_files
from temperward.engine import facts as facts_module
from temperward.engine.errors import OutOfRange, Refused, UnknownName
from temperward.engine.process.batch_facts import text, text_or_none

LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"
MOST_BLADES = 2000  # design: more than one shop makes in ten years


def batch_offer(facts: dict[str, Any]) -> dict[str, Any]:
    """Answer `batch_offer`: the open batch and its first free letter, or the letter that fits the one given.

    A batch is open while one of its blades is still in work; of several the one whose newest blade is the
    newest counts, which the ids tell. A letter that another blade of the batch has is refused: on the screen
    of the batch letters tell hard blades apart.

    >>> batch_offer({"blades": [{"log_id": "1", "batch": "B7", "letter": "A", "state": "hard"}]})
    {'batch': 'B7', 'letter': 'B'}
    """
    facts_module.only(facts, ["blades", "batch", "letter"])
    blades = _blades(facts)
    batch = text_or_none(facts, "batch")
    wanted = text_or_none(facts, "letter")
    if batch is None and wanted is not None:
        return {"batch": None, "letter": wanted}
    if batch is None:
        batch = _open_batch(blades)
    if batch is None:
        return {"batch": None, "letter": None}
    taken = [one["letter"] for one in blades if one["batch"] == batch]
    if wanted is None:
        free = [letter for letter in LETTERS if letter not in taken]
        return {"batch": batch, "letter": free[0] if free else None}
    if wanted in taken:
        raise Refused(field="letter", value=wanted, reason="refusal.letter_taken")
    return {"batch": batch, "letter": wanted}


def _open_batch(blades: list[dict[str, Any]]) -> str | None:
    closed = data_files.load("states")["ended"] + ["released"]
    newest = None
    for one in blades:
        if one["batch"] is None or one["state"] in closed:
            continue
        if newest is None or one["log_id"] > newest["log_id"]:
            newest = one
    return None if newest is None else str(newest["batch"])


def _blades(facts: dict[str, Any]) -> list[dict[str, Any]]:
    given = facts.get("blades")
    if not isinstance(given, list):
        raise UnknownName(field="blades", value=None, reason="refusal.not_a_list")
    if len(given) > MOST_BLADES:
        raise OutOfRange(
            field="blades", value=len(given), low=0, high=MOST_BLADES, reason="refusal.out_of_range"
        )
    return [_blade(given[k], of="blades." + str(k)) for k in range(len(given))]


def _blade(facts: Any, *, of: str) -> dict[str, Any]:
    facts_module.only(facts, ["log_id", "batch", "letter", "state"], field=of)
    return {
        "log_id": text(facts, "log_id", of=of),
        "state": text(facts, "state", of=of),
        "batch": text_or_none(facts, "batch", of=of),
        "letter": text_or_none(facts, "letter", of=of),
    }
