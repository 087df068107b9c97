"""How fast a bath cools by itself, from its own readings, and how long until it is cool enough."""

from __future__ import annotations

import math

ROOM_C = 20.0  # practice: what the bath cools towards; nobody reads the room
READING_K = 1.0  # practice: one standard deviation of a thermometer in a stirred bath
LEAST_APART_S = 120.0  # design: readings nearer than this say more of the thermometer than of the bath
FASTEST_PER_S = (
    1.0 / 300.0
)  # design: a bath that loses two thirds of its heat in five minutes is none of ours
HALVINGS = 50  # design: the rate is found to 1e-15 of the fastest

Row = list[float]  # [at_ms, degC] of a reading, [at_ms, K] of what a blade added


def cooled_c(bath_c: float, *, seconds: float, rate_per_s: float, room_c: float = ROOM_C) -> float:
    """Temperature of a bath left alone.

    Equation: Newton, Tr + (T0 - Tr) exp(-k t). In: degC, s, 1/s. Valid while the oil is stirred or still
    but not boiling.
    >>> round(cooled_c(70.0, seconds=3600.0, rate_per_s=1.0 / 5400.0), 1)
    45.7

    Reference: definition.
    """
    return room_c + (bath_c - room_c) * math.exp(-rate_per_s * seconds)


def seconds_to(to_c: float, *, from_c: float, rate_per_s: float, room_c: float = ROOM_C) -> float | None:
    """Time until a bath has cooled to a temperature; nothing where it never gets there by itself.

    >>> round(seconds_to(45.7, from_c=70.0, rate_per_s=1.0 / 5400.0) / 60)
    60
    """
    if from_c <= to_c:
        return 0.0
    if to_c <= room_c or rate_per_s <= 0.0:
        return None
    return math.log((from_c - room_c) / (to_c - room_c)) / rate_per_s


def between_c(first: Row, until_ms: float, *, rises: list[Row], rate_per_s: float) -> float:
    """Return what a bath that read so is at later: cooled, and warmed by each blade in between."""
    at_ms, now_c = first
    for rise_ms, rise_k in rises:
        if at_ms <= rise_ms < until_ms:
            now_c = cooled_c(now_c, seconds=(rise_ms - at_ms) / 1000.0, rate_per_s=rate_per_s) + rise_k
            at_ms = rise_ms
    return cooled_c(now_c, seconds=(until_ms - at_ms) / 1000.0, rate_per_s=rate_per_s)


def pairs_of(readings: list[Row], *, rises: list[Row]) -> list[list[Row]]:
    """Return neighbouring readings far enough apart, in which nobody warmed the bath but the blades."""
    found: list[list[Row]] = []
    for k in range(1, len(readings)):
        pair = [readings[k - 1], readings[k]]
        apart_s = (pair[1][0] - pair[0][0]) / 1000.0
        kept_c = between_c(pair[0], pair[1][0], rises=rises, rate_per_s=0.0)
        if apart_s >= LEAST_APART_S and pair[1][1] < kept_c + READING_K:
            found.append(pair)
    return found


def too_warm_k(pairs: list[list[Row]], *, rises: list[Row], rate_per_s: float) -> float:
    """Return by how much a rate leaves the bath warmer than it was read, over all pairs."""
    total = 0.0
    for first, second in pairs:
        total += between_c(first, second[0], rises=rises, rate_per_s=rate_per_s) - second[1]
    return total


def rate_where(pairs: list[list[Row]], *, rises: list[Row], off_k: float) -> float:
    """Return the rate at which the readings are missed by so much in all; 0 where none is slow enough."""
    low, high = 0.0, FASTEST_PER_S
    for _ in range(HALVINGS):
        middle = (low + high) / 2.0
        if too_warm_k(pairs, rises=rises, rate_per_s=middle) > off_k:
            low = middle
        else:
            high = middle
    return low


def cooling_rates(readings: list[Row], *, rises: list[Row]) -> list[float] | None:
    """Rate at which a bath cools, [nominal, slowest, fastest] in 1/s, from two readings or more.

    Equation: the one rate of Newton's law that meets the readings, what blades added between them counted by
    their heat balance. Band: two readings off by a standard deviation each (nine of ten within 1.645 of it).
    In: readings [at_ms, degC] and rises [at_ms, K], both in order of time. Nothing where no two readings are
    far enough apart or the bath did not cool.
    >>> [round(1.0 / rate) for rate in cooling_rates([[0, 70.0], [3600000, 45.7]], rises=[])[:1]]
    [5409]

    Reference: definition; the scatter of a thermometer is common practice.
    """
    pairs = pairs_of(readings, rises=rises)
    if len(pairs) == 0 or too_warm_k(pairs, rises=rises, rate_per_s=0.0) <= 0.0:
        return None
    off_k = 1.645 * math.sqrt(2.0) * READING_K
    return [rate_where(pairs, rises=rises, off_k=off) for off in (0.0, off_k, -off_k)]
