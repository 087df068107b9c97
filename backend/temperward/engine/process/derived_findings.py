"""Findings that the readings themselves say, beside those that the smith enters."""

from __future__ import annotations

from typing import Any

from temperward.engine.process import baths, bows
from temperward.engine.process.frozen_limits import timer, usual
from temperward.engine.process.gate_release import outside_promise
from temperward.engine.process.story import OVEN_STATES, Story

Row = dict[str, Any]
BEFORE_QUENCH = ["cycle_checked", "ready_to_harden", "hardening_heat"]
NOTHING_TO_DO = "bow_within"  # straight enough: told, and nothing to deal with
AFTER_TEMPER = ["temper_cooling", "tempered", "finish_grinding", "final_check"]


def findings_of(story: Story) -> list[Row]:
    """Return what was entered, then what the readings say now."""
    found = [{name: one[name] for name in ("id", "entry_id", "open", "facts")} for one in story.findings]
    for rows in (_heat(story), _bow(story), _hard(story), _bath(story), _oven(story), _after(story)):
        for row in rows:
            row["open"] = row["id"] != NOTHING_TO_DO and row["entry_id"] not in story.closed
            found.append(row)
    return found


def _row(finding: str, entry_id: str | None, facts: dict[str, Any] | None = None) -> Row:
    return {"id": finding, "entry_id": entry_id, "open": True, "facts": {} if facts is None else facts}


def _heat(story: Story) -> list[Row]:
    heat = story.heat
    if story.state != "hardening_heat" or heat is None:
        return []
    found = []
    if heat.magnet_tries > 0 and heat.magnet_ms is None:
        found.append(_row("still_magnetic", story.latest["magnet"]["id"], {"n": heat.magnet_tries}))
    last = story.latest.get("colour")
    if last is not None and last["happened_ms"] >= heat.in_ms:
        if not last["body"]["even"]:
            found.append(_row("uneven_colour", last["id"]))
        elif last["body"].get("bright") is True:
            found.append(_row("dull_in_bright_light", last["id"]))
    return found


def _bow(story: Story) -> list[Row]:
    if story.state not in bows.SOFT:
        return []
    found = []
    last = story.bows[-1] if story.bows else None
    if last is not None and last["series"] == story.series:
        facts = {"value_mm": last["counts_mm"], "limit_mm": last["limit_mm"]}
        found.append(_row("bow_" + last["verdict"], last["entry_id"], facts))
    twist = story.twist
    if twist is not None and not twist["within"] and twist["series"] == story.series:
        facts = {"twist_deg": twist["twist_deg"], "limit_deg": twist["limit_deg"]}
        found.append(_row("bow_over", twist["entry_id"], facts))
    grown = bows.trend_row(story)
    if grown is not None:
        found.append(_row("bow_growing", grown["entry_id"], {"value_mm": grown["counts_mm"]}))
    return found


def _hard(story: Story) -> list[Row]:
    quench = story.quench
    if quench is None or story.state not in ("warm_window", "hard", "snap_tempered"):
        return []
    checked = quench.checked
    found = []
    if checked.get("sight") == "bowed" or _bowed_hard(story):
        leaving = story.state == "warm_window"
        found.append(_row("warp_leaving_oil" if leaving else "warp_cold_hard", _id_of(story, "sight")))
    if checked.get("file_spine") == "bites" and checked.get("file_edge") == "skates":
        found.append(_row("spine_soft_edge_hard", _id_of(story, "file")))
    elif checked.get("file") in ("bites", "drags"):
        found.append(_row("file_bites", _id_of(story, "file")))
    if checked.get("crack") in ("seen", "suspected"):
        found.append(_row("crack_" + checked["crack"], _id_of(story, "crack")))
    return found


def _id_of(story: Story, check: str) -> str | None:
    entry = story.latest.get(check)
    return None if entry is None else str(entry["id"])


def _bowed_hard(story: Story) -> bool:
    return bool(story.bows) and story.bows[-1]["place"] == "quench" and story.bows[-1]["verdict"] != "within"


def _bath(story: Story) -> list[Row]:
    if story.state not in BEFORE_QUENCH:
        return []
    found = []
    for dip in baths.dips_of(story):
        limits = baths.bath_range(story, dip)
        reading = baths.reading_of(story, dip)
        if limits is None or reading is None:
            continue
        value_c = reading["body"]["temperature_c"]
        facts = {"value_c": value_c, "low_c": limits[0], "high_c": limits[1]}
        if not limits[0] <= value_c <= limits[1]:
            name = "bath_too_cold" if value_c < limits[0] else "bath_too_hot"
            found.append(_row(name, None, facts))
    return found


def _oven(story: Story) -> list[Row]:
    """A reading too hot in any stay of this temper, or the last one too cold when it came out."""
    if not story.stays or story.state not in OVEN_STATES + AFTER_TEMPER:
        return []
    stay = story.stays[-1]
    set_c = story.limits.temper_c(stay.number)
    if set_c is None or not stay.readings:
        return []
    hottest_c = max(row[1] for row in stay.readings)
    if stay.peak_c is not None and stay.peak_c > set_c + usual("oven_peak_over_k"):
        hottest_c = max(hottest_c, stay.peak_c)
    if hottest_c > set_c + timer("peak_over_k"):
        return [_row("temper_overshoot", stay.entry_id, {"value_c": hottest_c, "of_c": set_c})]
    within_k = story.limits.number("oven_tolerance_k", usual("oven_tolerance_k"))
    if stay.out_ms is not None and stay.readings[-1][1] < set_c - within_k:
        return [_row("temper_under", stay.entry_id, {"value_c": stay.readings[-1][1], "of_c": set_c})]
    return []


def _after(story: Story) -> list[Row]:
    if story.state not in AFTER_TEMPER:
        return []
    found = []
    answer = story.fact("crack", "answer")
    if answer in ("seen", "suspected"):
        found.append(_row("crack_" + answer, _id_of(story, "crack")))
    readings = story.fact("hardness", "readings_hrc")
    if readings is not None and uneven(story, readings):
        spread = max(readings) - min(readings)
        found.append(
            _row("hardness_uneven", _id_of(story, "hardness"), {"spread_hrc": spread, "n": len(readings)})
        )
    return found


def uneven(story: Story, readings: list[float]) -> bool:
    """Tell whether readings lie too far apart, or some inside what was promised and some outside."""
    if max(readings) - min(readings) > 2.0 * usual("release_band_hrc"):
        return True
    outside = outside_promise(story, readings)
    return 0 < outside < len(readings)
