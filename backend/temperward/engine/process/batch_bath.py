"""One bath under several blades: what it is now, and what each blade finds and leaves."""

from __future__ import annotations

from typing import Any

from temperward.engine.process.batch_facts import WAITING, Piece, Tank, of_states
from temperward.engine.process.readings import each_once, in_time
from temperward.engine.thermal.bath import bath_rise_k
from temperward.engine.thermal.bath_cooling import between_c, cooling_rates, seconds_to

STEEL_C = 820.0  # where a blade does not say how hot it goes in (source: practice)


def tanks_of(pieces: list[Piece]) -> list[Tank]:
    """Return each bath once, by its newest reading, in the order in which the blades name them."""
    names: list[str] = []
    newest: dict[str, Tank] = {}
    for piece in pieces:
        tank = piece.tank
        if tank is None:
            continue
        held = newest.get(tank.name)
        if held is None:
            names.append(tank.name)
        if held is None or (tank.read_ms or 0) > (held.read_ms or 0):
            newest[tank.name] = tank
    return [newest[name] for name in names]


def rise_k(piece: Piece, tank: Tank, bath_c: float) -> float | None:
    """Return how far this blade warms this bath, where both are known."""
    if piece.steel_kg is None or tank.litres is None:
        return None
    steel_c = STEEL_C if piece.steel_c is None else piece.steel_c
    return bath_rise_k(
        steel_kg=piece.steel_kg, steel_c=steel_c, bath_c=bath_c, litres=tank.litres, kind=tank.liquid
    )


def wait_of(tank: Tank, pieces: list[Piece], *, now_ms: float) -> dict[str, Any] | None:
    """Return how long until the next blade leaves the bath inside its range: {seconds, low_s, high_s, to_c}.

    By the cooling that the bath's own readings show, of all logs that name it; nothing where fewer than two
    readings say so, or where it is cool enough.
    """
    mine = [piece for piece in pieces if piece.tank is not None and piece.tank.name == tank.name]
    waiting = of_states(mine, WAITING)
    to_c = coolest_c(waiting[0], tank) if waiting else None
    readings = readings_of(mine)
    if to_c is None or len(readings) == 0:
        return None
    rises = rises_of(mine, tank)
    rates = cooling_rates(readings, rises=rises)
    if rates is None:
        return None
    waits = []
    for rate in rates:
        from_c = between_c(readings[-1], now_ms, rises=rises, rate_per_s=rate)
        waits.append(seconds_to(to_c, from_c=from_c, rate_per_s=rate))
    if waits[0] is None or waits[0] <= 0.0:
        return None
    return {"seconds": waits[0], "low_s": waits[2], "high_s": waits[1], "to_c": to_c}


def coolest_c(piece: Piece, tank: Tank) -> float | None:
    """Return what the bath may be at most, so that this blade leaves it at the end of its range."""
    if tank.high_c is None:
        return None
    cold_k = rise_k(piece, tank, 0.0)
    hot_k = rise_k(piece, tank, tank.high_c)
    if cold_k is None or hot_k is None:
        return None
    # the rise falls evenly with the bath: from cold_k at 0 degC to hot_k at the end of the range
    return tank.high_c * (tank.high_c - cold_k) / (tank.high_c - cold_k + hot_k)


def readings_of(mine: list[Piece]) -> list[list[float]]:
    """Return every reading of one bath in order of time, each once, by whichever blade's log it comes."""
    found: list[list[float]] = []
    for piece in mine:
        tank = piece.tank
        if tank is None:
            continue
        found += tank.readings
        if tank.read_ms is not None and tank.temperature_c is not None:
            found.append([tank.read_ms, tank.temperature_c])
    return each_once(found)


def rises_of(mine: list[Piece], tank: Tank) -> list[list[float]]:
    """Return what each blade that went under added, as [at_ms, K], by the middle of the bath's range."""
    middle_c = tank.high_c if tank.temperature_c is None else tank.temperature_c
    found = []
    for piece in mine:
        added = None if middle_c is None else rise_k(piece, tank, middle_c)
        if piece.quenched_ms is not None and added is not None:
            found.append([piece.quenched_ms, added])
    return in_time(found)


def bath_of(tank: Tank, pieces: list[Piece], *, now_ms: float) -> dict[str, Any]:
    """Return the bath now and before and after each blade, nothing lost to the room, and how long to wait.

    What went under since the reading has warmed it; what waits will. `left` blades more go in before one
    finds it out of its range or leaves it over.
    """
    mine = [piece for piece in pieces if piece.tank is not None and piece.tank.name == tank.name]
    bath_c = tank.temperature_c
    steps: list[dict[str, Any]] = []
    for piece in _went_under(mine, tank):
        steps.append(_step(piece, tank, bath_c))
        bath_c = steps[-1]["after_c"]
    now_c = bath_c
    left = 0
    for piece in of_states(mine, WAITING):
        step = _step(piece, tank, bath_c)
        bath_c = step["after_c"]
        if step["verdict"] == "go" and left == len([one for one in steps if one["quenched_ms"] is None]):
            left += 1
        steps.append(step)
    return {
        "name": tank.name,
        "read_c": tank.temperature_c,
        "read_ms": tank.read_ms,
        "now_c": now_c,
        "low_c": tank.low_c,
        "high_c": tank.high_c,
        "left": left,
        "wait": wait_of(tank, pieces, now_ms=now_ms),
        "steps": steps,
        "sources": ["oneToOneRule", "oilDensity"],
    }


def _went_under(mine: list[Piece], tank: Tank) -> list[Piece]:
    """Return the blades quenched since the bath was read."""
    since_ms = tank.read_ms
    if since_ms is None:
        return []
    under = [piece for piece in mine if piece.quenched_ms is not None and piece.quenched_ms >= since_ms]
    return sorted(under, key=_quenched_ms)


def _quenched_ms(piece: Piece) -> float:
    return piece.quenched_ms or 0.0


def _step(piece: Piece, tank: Tank, bath_c: float | None) -> dict[str, Any]:
    rise = None if bath_c is None else rise_k(piece, tank, bath_c)
    after_c = None if bath_c is None or rise is None else bath_c + rise
    waits = piece.state in WAITING
    return {
        "log_id": piece.log_id,
        "name": piece.name,
        "quenched_ms": None if waits else piece.quenched_ms,
        "before_c": bath_c,
        "after_c": after_c,
        "verdict": verdict_of(tank, before_c=bath_c, after_c=after_c) if waits else "done",
    }


def verdict_of(tank: Tank, *, before_c: float | None, after_c: float | None) -> str:
    """Return go, or what stands against it: unread, cold, hot, or unweighed where the rise is not known."""
    if before_c is None:
        return "unread"
    if tank.low_c is not None and before_c < tank.low_c:
        return "cold"
    hottest_c = before_c if after_c is None else after_c
    if tank.high_c is not None and hottest_c > tank.high_c:
        return "hot"
    return "unweighed" if after_c is None else "go"
