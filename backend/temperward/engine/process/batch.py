"""Several blades, one bath, one oven: the order, the bath before each, when to load the oven."""

from __future__ import annotations

from typing import Any

from temperward.engine import facts as facts_module
from temperward.engine.errors import MissingField
from temperward.engine.process.batch_bath import bath_of, tanks_of
from temperward.engine.process.batch_facts import (
    HARD,
    IN_OVEN,
    LEAVING,
    WAITING,
    Piece,
    instant,
    of_states,
    pieces_of,
)
from temperward.engine.process.batch_oven import load_at_ms, oven_of
from temperward.engine.process.batch_picture import picture_of
from temperward.engine.process.entries import LARGEST_INTEGER
from temperward.engine.process.frozen_limits import timer
from temperward.engine.quantities import note

MINUTE_S = 60  # definition
STOPS = ["hot", "cold", "unread"]
HOTS = ["hot", "hot_over", "hot_wait"]
SHAPES = {"hot": "octagon", "cold": "triangle", "unread": "triangle"}
Answer = dict[str, Any]


def batch(facts: dict[str, Any]) -> Answer:
    """Answer `batch`: what comes next, the bath before each blade, each wait from its quench mark.

    Equation: the bath by its heat balance (`bath_rise`), nothing lost to the room; a wait is the loading less
    the quench mark; the loading is now, or when the last blade is hard at the pace of the last two. Where two
    readings of a bath or more show how fast it cools, a bath too hot says for how long to wait (`wait`).
    In: 1 to 24 blades, instants in ms, kg, degC, litres. Error: bath +-10 % of its rise, waits for the oven
    exact, for the bath within a fifth in rooms of 10 to 28 degC.
    >>> tank = {"name": "T", "litres": 12, "high_c": 65, "temperature_c": 50, "read_ms": 1}
    >>> knife = {"tag": "K", "state": "ready_to_harden", "steel_kg": 0.1735, "steel_c": 845, "bath": tank}
    >>> four = [{"log_id": str(k), **knife} for k in range(4)]
    >>> [round(step["before_c"], 1) for step in batch({"blades": four, "now_ms": 2})["baths"][0]["steps"]]
    [50.0, 55.0, 59.9, 64.8]

    Reference: oneToOneRule, oilDensity; the length of a redo is common practice.
    """
    facts_module.only(facts, ["blades", "now_ms", "load_ms", "redo_s"])
    pieces = pieces_of(facts.get("blades"))
    now_ms = instant(facts, "now_ms")
    if now_ms is None:
        raise MissingField(field="now_ms", low=0, high=LARGEST_INTEGER, unit="ms", reason="refusal.missing")
    planned_ms = instant(facts, "load_ms")
    load_ms = load_at_ms(pieces, now_ms=now_ms) if planned_ms is None else planned_ms
    redo_s = facts_module.number(facts, "redo_s", low=0, high=7200, unit="s", default=timer("redo_s"))
    baths = [bath_of(tank, pieces, now_ms=now_ms) for tank in tanks_of(pieces)]
    oven = oven_of(pieces, now_ms=now_ms, load_ms=load_ms, redo_s=redo_s)
    answer: Answer = {"order": order_of(pieces), "baths": baths, "oven": oven}
    answer.update(shown_of(pieces, baths=baths, oven=oven))
    for bath in baths:
        bath["picture"] = picture_of(bath)
    answer["tiles"] = [tile_of(piece, baths) for piece in in_order(pieces)]
    return answer


def in_order(pieces: list[Piece]) -> list[Piece]:
    """Return the blades by danger: the hard by their quench, those that wait, those in the oven."""
    return of_states(pieces, LEAVING + HARD) + of_states(pieces, WAITING) + of_states(pieces, IN_OVEN)


def order_of(pieces: list[Piece]) -> list[str]:
    """Return the ids in that order."""
    return [piece.log_id for piece in in_order(pieces)]


def step_of(piece: Piece, baths: list[Answer]) -> Answer | None:
    """Return what the bath is to this blade."""
    for bath in baths:
        for step in bath["steps"]:
            if step["log_id"] == piece.log_id and step["quenched_ms"] is None:
                return {
                    "bath": bath,
                    "verdict": step["verdict"],
                    "before_c": step["before_c"],
                    "after_c": step["after_c"],
                }
    return None


def tile_of(piece: Piece, baths: list[Answer]) -> Answer:
    """Return one blade as the batch shows it: its letter, a shape, and its clock or what its bath will be."""
    tile: Answer = {"log_id": piece.log_id, "name": piece.name, "shape": "triangle", "from_ms": None}
    if piece.state in LEAVING + HARD:
        tile["shape"] = "octagon"
        tile["from_ms"] = piece.quenched_ms
        tile["text"] = note("batch.tile." + piece.state)
        return tile
    if piece.state in IN_OVEN:
        tile["text"] = note("batch.tile.in_oven")
        return tile
    step = step_of(piece, baths)
    verdict = "ready" if step is None else step["verdict"]
    tile["shape"] = SHAPES.get(verdict, "circle")
    tile["text"] = _bath_text(verdict, step)
    return tile


def _bath_text(verdict: str, step: Answer | None) -> Answer:
    """Return what the bath would be before this blade; for one that must wait, what it would make of it."""
    if step is None or step["before_c"] is None:
        return note("batch.tile." + verdict)
    if verdict == "hot" and step["after_c"] is not None:
        return note("batch.tile.hot_over", {"after_c": step["after_c"]})
    return note("batch.tile." + verdict, {"before_c": step["before_c"]})


def shown_of(pieces: list[Piece], *, baths: list[Answer], oven: Answer | None) -> Answer:
    """Return one word, one number, one sentence and one thing to do."""
    waiting = of_states(pieces, WAITING)
    step = step_of(waiting[0], baths) if waiting else None
    verdict = "go" if step is None else step["verdict"]
    if oven is not None:
        return _hard(pieces, waiting, verdict=verdict, step=step, oven=oven)
    if not waiting:
        return _say("in_oven", shape="triangle", number=_no_number(), open_id=order_of(pieces)[0])
    number = _bath_number(waiting[0], step)
    return _of_waiting(waiting[0], verdict=verdict, step=step, number=number)


def _bath_number(piece: Piece, step: Answer | None) -> Answer:
    """Return the bath as the next blade finds it, or as that blade would leave it where that is too hot."""
    if step is None or step["before_c"] is None:
        return _no_number()
    bath = step["bath"]
    number = {"kind": "temperature", "value": step["before_c"], "unit": "degC"}
    number["caption"] = note("batch.caption.bath", {"name": bath["name"], "n": bath["left"]})
    if _goes_over(step):
        number["value"] = step["after_c"]
        number["caption"] = note("batch.caption.over", {"name": piece.name, "high_c": bath["high_c"]})
    return number


def _goes_over(step: Answer | None) -> bool:
    """Tell whether the bath is in its range, and only the next blade would take it out of it."""
    if step is None or step["verdict"] != "hot":
        return False
    return bool(step["before_c"] <= step["bath"]["high_c"])


def _of_waiting(piece: Piece, *, verdict: str, step: Answer | None, number: Answer) -> Answer:
    said = verdict if verdict in STOPS else "next"
    facts: Answer = {"name": piece.name}
    if step is not None:
        facts["low_c"], facts["high_c"] = step["bath"]["low_c"], step["bath"]["high_c"]
        wait = step["bath"]["wait"]
        if _goes_over(step):
            said = "hot_over"
        if verdict == "hot" and wait is not None:
            said = "hot_wait"
            facts["wait_min"] = int(wait["seconds"] // MINUTE_S) + 1
    shape = SHAPES.get(verdict, "circle")
    return _say(said, shape=shape, number=number, facts=facts, open_id=piece.log_id)


def _hard(
    pieces: list[Piece], waiting: list[Piece], *, verdict: str, step: Answer | None, oven: Answer
) -> Answer:
    """Return the oldest untempered blade's clock; the oven first where waiting would be too long."""
    oldest = of_states(pieces, LEAVING + HARD)[0]
    facts: Answer = {"name": oldest.name}
    key = "batch.caption.no_alarm"
    if oldest.alarm_ms is not None:
        facts["alarm_ms"] = oldest.alarm_ms
        key = "batch.caption.oldest"
    number = {"kind": "elapsed", "from_ms": oldest.quenched_ms, "caption": note(key, facts)}
    number["whose"] = oldest.name
    late = oven["slack_s"] is not None and oven["slack_s"] < 0
    leaving = of_states(pieces, LEAVING)
    if leaving:
        return _say("leaving", shape="octagon", number=number, open_id=leaving[0].log_id)
    if waiting and not late:
        shown = _of_waiting(waiting[0], verdict=verdict, step=step, number=number)
        calm = verdict not in STOPS and oven["slack_s"] is not None
        if calm:
            first = oven["advice"]["facts"]["name"]
            spare: Answer = {"name": waiting[0].name, "first": first, "slack_s": oven["slack_s"]}
            shown["sentence"] = note("batch.say.still", spare)
        if calm and oven["advice"]["key"] == "batch.advice.together":
            shown["word"] = note("batch.word.still", {"name": waiting[0].name})
        else:
            shown["shape"], shown["word"] = "octagon", note("batch.word.hard")
        return shown
    ready = [piece.log_id for piece in of_states(pieces, HARD)]
    said = "load_first" if waiting else "load"
    return _say(said, shape="octagon", number=number, facts={"n": len(ready)}, load=ready)


def _no_number() -> Answer:
    return {"kind": "none", "caption": note("batch.caption.none")}


def _say(
    said: str,
    *,
    shape: str,
    number: Answer,
    facts: Answer | None = None,
    open_id: str | None = None,
    load: list[str] | None = None,
) -> Answer:
    held = {} if facts is None else facts
    named = "hot" if said in HOTS else said
    action = {"label": note("batch.do." + named, held), "open": open_id, "load": [] if load is None else load}
    return {
        "shape": shape,
        "word": note("batch.word.hard" if shape == "octagon" and named != "hot" else "batch.word." + named),
        "sentence": note("batch.say." + said, held),
        "number": number,
        "next": action,
    }
