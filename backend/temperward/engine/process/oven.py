"""What a stay in the oven counts for."""

from __future__ import annotations

from typing import Any

from temperward.engine.metallurgy.equivalents import CONSTANT, equivalent_hold_s, total_hold_s
from temperward.engine.process.frozen_limits import timer, usual
from temperward.engine.process.readings import in_time
from temperward.engine.process.story import OvenStay, Story

SECOND_MS = 1000
COUNTS_FROM_C = 100.0  # below this no time is counted (source: design)


def readings_of(story: Story, stay: OvenStay) -> list[list[float]]:
    """Return the readings during a stay as [at_ms, temperature_c], the oven's own log among them."""
    rows = list(stay.readings)
    rows += [row for row in related_readings(story) if _during(stay, row[0])]
    return in_time(rows)


def _during(stay: OvenStay, at_ms: float) -> bool:
    return at_ms >= stay.in_ms and (stay.out_ms is None or at_ms <= stay.out_ms)


def related_readings(story: Story) -> list[list[float]]:
    """Return what the folded log of the oven says it read last."""
    oven = story.thing("oven")
    rows = [] if oven is None else oven.get("last", [])
    return [
        [row["happened_ms"], row["temperature_c"]]
        for row in rows
        if row.get("check") == "oven_temperature" and "temperature_c" in row
    ]


def hot_points(story: Story, stay: OvenStay) -> list[list[float]]:
    """Return the readings, an at-heat mark standing for a reading at the set point."""
    rows = readings_of(story, stay)
    if stay.at_heat_ms is not None:
        set_c = story.limits.temper_c(stay.number)
        rows.append([stay.at_heat_ms, usual("temper_default_c") if set_c is None else set_c])
    return in_time(rows)


def first_hot_ms(story: Story, stay: OvenStay) -> int | None:
    """Return when the oven was first read at the snap temperature or more."""
    for at_ms, temperature_c in hot_points(story, stay):
        if temperature_c >= usual("snap_c"):
            return int(at_ms)
    return None


def hot_enough_ms(story: Story, stay: OvenStay) -> int | None:
    """Return when the time at the snap temperature reaches what counts, the last reading carried on."""
    need_ms = usual("snap_low_s") * SECOND_MS
    rows = hot_points(story, stay)
    for index in range(len(rows)):
        if rows[index][1] < usual("snap_c"):
            continue
        end_ms = _end_of(stay, rows[index][0])
        if index + 1 < len(rows) and (end_ms is None or end_ms > rows[index + 1][0]):
            end_ms = rows[index + 1][0]
        if end_ms is None or end_ms - rows[index][0] >= need_ms:
            return int(rows[index][0] + need_ms)
        need_ms -= end_ms - rows[index][0]
    return None


def _end_of(stay: OvenStay, after_ms: float) -> float | None:
    """Return when heat stopped after an instant: a power cut or the door; nothing while it goes on."""
    for cut_ms in stay.cuts_ms:
        if cut_ms >= after_ms:
            return cut_ms
    return stay.out_ms


def hold_start_ms(story: Story, stay: OvenStay) -> int | None:
    """Return when the hold began: within a few kelvin, or after a fixed time without a thermometer."""
    set_c = story.limits.temper_c(stay.number)
    starts = [] if stay.at_heat_ms is None else [float(stay.at_heat_ms)]
    rows = readings_of(story, stay)
    for at_ms, temperature_c in rows:
        if set_c is not None and temperature_c >= set_c - timer("at_heat_k"):
            starts.append(at_ms)
            break
    if starts:
        return int(min(starts))
    if rows and set_c is not None:
        return None
    return int(stay.in_ms + timer("heat_up_s") * SECOND_MS)


def segments(story: Story, stay: OvenStay, *, set_c: float) -> list[list[Any]]:
    """Return [from_ms, temperature_c or nothing]: what the oven was at, from each instant on."""
    within_k = story.limits.number("oven_tolerance_k", usual("oven_tolerance_k"))
    rows: list[list[Any]] = []
    start_ms = hold_start_ms(story, stay)
    if start_ms is not None:
        rows.append([start_ms, set_c])
    if stay.at_heat_ms is not None:
        rows.append([stay.at_heat_ms, set_c])
    for at_ms, temperature_c in readings_of(story, stay):
        counted: float | None = set_c if abs(temperature_c - set_c) <= within_k else temperature_c
        if temperature_c < COUNTS_FROM_C:
            counted = None
        rows.append([at_ms, counted])
    rows += [[cut_ms, None] for cut_ms in stay.cuts_ms]
    return in_time(rows)


def heats_of(story: Story, number: int, *, until_ms: int, set_c: float) -> list[list[float]]:
    """Return what counts of temper number 1, 2 and so on as [temperature_c, hold_s], in the order it was."""
    heats: list[list[float]] = []
    for stay in story.stays:
        if stay.number != number or stay.purpose != "temper":
            continue
        end_ms = until_ms if stay.out_ms is None else min(until_ms, stay.out_ms)
        rows = segments(story, stay, set_c=set_c)
        for index in range(len(rows)):
            to_ms = end_ms if index + 1 == len(rows) else min(rows[index + 1][0], end_ms)
            held_s = (to_ms - rows[index][0]) / SECOND_MS
            if rows[index][1] is None or held_s <= 0:
                continue
            if heats and heats[-1][0] == rows[index][1]:
                heats[-1][1] += held_s
            else:
                heats.append([rows[index][1], held_s])
    return heats


def worth_s(heats: list[list[float]], *, at_c: float) -> float:
    """Return what heats in their order are worth as time at one temperature (hollomonJaffe1945)."""
    if len(heats) == 1 and heats[0][0] == at_c:
        return heats[0][1]
    return total_hold_s(heats, at_c=at_c, constant=CONSTANT)


def counted_s(story: Story, number: int, *, until_ms: int) -> float:
    """Return the time that counts for temper number 1, 2 and so on, interruptions left out or weighed."""
    set_c = set_point_c(story, number)
    return worth_s(heats_of(story, number, until_ms=until_ms, set_c=set_c), at_c=set_c)


def set_point_c(story: Story, number: int) -> float:
    """Return the set point that the time is counted at."""
    set_c = story.limits.temper_c(number)
    return usual("temper_default_c") if set_c is None else set_c


def due_ms(story: Story, stay: OvenStay) -> int | None:
    """Return when the running hold will have counted enough; nothing while the oven is not at heat."""
    if stay.purpose == "snap":
        return hot_enough_ms(story, stay)
    set_c = set_point_c(story, stay.number)
    rows = segments(story, stay, set_c=set_c)
    if not rows or rows[-1][1] is None or rows[-1][1] < usual("snap_c"):
        return None
    from_ms = int(rows[-1][0])
    at_c = rows[-1][1]
    wanted_s = planned_s(story, stay)
    if at_c != set_c:
        wanted_s = equivalent_hold_s(set_c, hold_s=wanted_s, at_c=at_c, constant=CONSTANT)
    heats = heats_of(story, stay.number, until_ms=from_ms, set_c=set_c)
    left_s = max(wanted_s - worth_s(heats, at_c=at_c), 0.0)
    return int(from_ms + left_s * SECOND_MS)


def planned_s(story: Story, stay: OvenStay) -> float:
    """Return the hold that is wanted of this stay."""
    if stay.purpose == "snap":
        return usual("snap_low_s")
    return story.limits.temper_hold_s(stay.number)
