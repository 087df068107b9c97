"""The bows of one blade, heat by heat, and whether they grow."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from temperward.engine.process.frozen_limits import timer
from temperward.engine.process.story import Story
from temperward.engine.quantities import note
from temperward.engine.shape.straightness import bow_of, chord_deviations, first_of, kink_of
from temperward.engine.shape.warp import growing_after, noise_limit_mm, trend_of

if TYPE_CHECKING:
    from temperward.engine.process.entries import Entry

SOFT = [
    "planned",
    "shaped",
    "ground_ready",
    "cycle_cooling",
    "cycle_checked",
    "straightening_soft",
    "ready_to_harden",
]
FINISHED = ["tempered", "finish_grinding", "final_check", "released"]
MOST_IN_TREND = 20  # design: what the question of the warp trend takes
LEAST_IN_TREND = 2  # definition: one reading is no trend
LEAST_IN_GROWTH = 3  # design: two steps running
MOST_REPEATS = 9  # readings of one place that are weighed against one another (source: design)


def points_of(body: dict[str, Any]) -> list[list[float]]:
    """Return the stations of a straightness reading as [at_mm, gap_mm]."""
    return [[row["at_mm"], row["gap_mm"]] for row in body["stations"]]


def bow_mm_of(body: dict[str, Any]) -> float:
    """Return the bow of either kind of reading."""
    return bow_of(points_of(body)).bow_mm if body["check"] == "straightness" else float(body["bow_mm"])


def add(story: Story, entry: Entry) -> None:
    """Add one reading to the row of bows."""
    body = entry["body"]
    after, place = _place(story)
    limit_mm = limit_pct(story) / 100.0 * body["length_mm"]
    row: dict[str, Any] = {  # every key at once: on the phone a dict that grows is what takes the time
        "entry_id": entry["id"],
        "at_mm": body.get("at_mm"),
        "side": body.get("side"),
        "bow_mm": 0.0,
        "deviation_mm": 0.0,
        "length_mm": body["length_mm"],
        "after": after,
        "place": place,
        "cycle": story.cycles_done,
        "heats": story.heats_done,
        "series": story.series if story.state in SOFT else -1,
        "slot": story.slot,
        "uncertainty_mm": body.get("uncertainty_mm") or timer("feeler_mm"),
        "read_ms": entry["happened_ms"],
        "counts_mm": 0.0,
        "judged_mm": 0.0,
        "limit_mm": limit_mm,
        "verdict": "",
        "kink_at_mm": None,
        "kink_counts_mm": None,
        "before_mm": None,
        "grew": False,
        "repeated": False,
        "stations": None,
    }
    _read(row, body)
    earlier = _same_slot(story)
    if earlier:
        row["counts_mm"] = _counts_mm(story, row, earlier, name="bow_mm")
        row["judged_mm"] = _counts_mm(story, row, earlier, name="deviation_mm")
    row["kink_counts_mm"] = _kink_counts_mm(story, row, earlier)
    row["verdict"] = _verdict(row)
    if row["series"] >= 0:
        _into_run(story, row, repeats=bool(earlier))
    story.bows.append(row)


def _read(row: dict[str, Any], body: dict[str, Any]) -> None:
    """Take the bow from a row of stations, or as the one number it was given as."""
    if body["check"] == "straightness":
        _from_stations(row, body)
    else:
        row["bow_mm"] = row["deviation_mm"] = float(body["bow_mm"])
    row["counts_mm"] = row["bow_mm"]
    row["judged_mm"] = row["deviation_mm"]


def _into_run(story: Story, row: dict[str, Any], *, repeats: bool) -> None:
    """Add the reading to the run of bows from heat to heat; a repeat takes the place of what it repeats."""
    run = story.runs.get(row["series"])
    if run is None:
        run = story.runs[row["series"]] = []
    if repeats and run:
        run.pop()
    row["before_mm"] = run[-1]["counts_mm"] if run else None
    run.append(row)
    if len(run) >= LEAST_IN_GROWTH and row["counts_mm"] > row["before_mm"]:
        last = [one["counts_mm"] for one in run[-LEAST_IN_GROWTH:]]
        row["grew"] = growing_after(last, uncertainty_mm=row["uncertainty_mm"]) is not None


def _from_stations(row: dict[str, Any], body: dict[str, Any]) -> None:
    points = sorted(points_of(body), key=first_of)
    bow = bow_of(points)
    row["bow_mm"] = bow.bow_mm
    row["at_mm"] = bow.at_mm
    row["deviation_mm"] = bow.minimum_zone_mm
    if body.get("side") is not None and bow.sign < 0:
        row["side"] = "right" if body["side"] == "left" else "left"
    away = chord_deviations(points)
    kink = kink_of(away, bow=bow, uncertainty_mm=row["uncertainty_mm"])
    if kink["is_kink"]:
        row["kink_at_mm"] = kink["at_mm"]
    row["stations"] = [
        {"at_mm": points[index][0], "gap_mm": points[index][1], "bow_mm": away[index][1]}
        for index in range(len(points))
    ]


def _place(story: Story) -> tuple[dict[str, Any], str]:
    """Return after what a bow is read, in words and as an id."""
    if story.state in SOFT:
        return _soft_place(story)
    if story.state in ("hard", "snap_tempered"):
        return note("fold.after.quench"), "quench"
    if story.state in ("in_quench", "warm_window"):
        return note("fold.after.bath"), "quench"
    if story.state in ("temper_cooling", "temper_in_heat", "straightening_in_temper"):
        return note("fold.after.temper", {"n": story.temper}), "temper"
    if story.state in FINISHED:
        return note("fold.after.finish"), "finish"
    return _soft_place(story)


def _soft_place(story: Story) -> tuple[dict[str, Any], str]:
    last = story.bows[-1] if story.bows else None
    if last is not None and last["slot"] == story.slot:
        return last["after"], last["place"]
    if story.series > 0 and (last is None or last["series"] != story.series):
        return note("fold.after.straightening"), "straightening"
    if story.cycles_done > 0:
        return note("fold.after.cycle", {"n": story.cycles_done}), "cycle"
    return note("fold.after.ground"), "ground"


def limit_pct(story: Story) -> float:
    """Return the largest bow that is let through here, in percent of the measured length."""
    return story.limits.figure("finished_bow_limit_pct" if story.state in FINISHED else "bow_limit_pct")


def _verdict(row: dict[str, Any]) -> str:
    """Return within, moderate or over; a kink in a soft blade is over, however small its bow."""
    if row["kink_counts_mm"] is not None and row["series"] >= 0:
        return "over"
    if row["judged_mm"] <= row["limit_mm"]:
        return "within"
    return "moderate" if row["judged_mm"] <= timer("bow_moderate_pct") / 100.0 * row["length_mm"] else "over"


def _same_slot(story: Story) -> list[dict[str, Any]]:
    """Return the readings of the same thing that were made before."""
    found: list[dict[str, Any]] = []
    for index in range(len(story.bows) - 1, -1, -1):
        row = story.bows[index]
        if row["slot"] != story.slot or len(found) == MOST_REPEATS:
            break
        row["repeated"] = True
        found.append(row)
    return found


def _counts_mm(story: Story, row: dict[str, Any], earlier: list[dict[str, Any]], *, name: str) -> float:
    """Return what repeats count as: the middle, the worst while two phones differ, the one chosen."""
    value: float = row[name]
    if row["entry_id"] in story.chosen:
        return value
    values = sorted([one[name] for one in earlier] + [value])
    if row["entry_id"] in story.disputed:
        return float(values[-1])
    middle = len(values) // 2
    return float(values[middle]) if len(values) % 2 else (values[middle - 1] + values[middle]) / 2.0


def _kink_counts_mm(story: Story, row: dict[str, Any], earlier: list[dict[str, Any]]) -> float | None:
    """Return where it is kinked; what most readings of one thing do not show is scale under the feeler."""
    readings = [row] if row["entry_id"] in story.chosen else [row] + earlier
    seen = [one["kink_at_mm"] for one in readings if one["kink_at_mm"] is not None]
    return float(seen[0]) if seen and 2 * len(seen) >= len(readings) else None


def kink_mm(story: Story) -> float | None:
    """Return where the last bow has its kink, if it has one."""
    at_mm: float | None = story.bows[-1]["kink_counts_mm"] if story.bows else None
    return at_mm


def trend_row(story: Story) -> dict[str, Any] | None:
    """Return the last reading at which the bow had grown twice running, if nothing has answered it."""
    flagged = None
    for row in story.bows:
        if row["series"] < 0 or row["repeated"]:
            continue
        if row["grew"]:
            flagged = row
        elif flagged is not None and (row["series"] == flagged["series"] or _steady(row)):
            flagged = None
    tried = story.choices.get("cause_tried")
    if flagged is not None and tried is not None and tried["slot"] >= flagged["slot"]:
        return None
    return flagged


def _steady(row: dict[str, Any]) -> bool:
    """Tell whether a full cycle after straightening left the bow as it was."""
    if row["place"] != "cycle":
        return False
    before = row["before_mm"]
    return before is not None and row["counts_mm"] - before <= noise_limit_mm(row["uncertainty_mm"])


def trend(story: Story) -> dict[str, Any] | None:
    """Return how the bows run, for the picture: of the run that grew, else of the present one."""
    flagged = trend_row(story)
    rows = story.runs.get(story.series if flagged is None else flagged["series"], [])[-MOST_IN_TREND:]
    if len(rows) < LEAST_IN_TREND:
        return None
    answer = trend_of([row["counts_mm"] for row in rows], uncertainty_mm=rows[-1]["uncertainty_mm"])
    answer["noise_mm"] = answer["noise_limit_mm"]
    answer["next_mm"] = answer["expected_next"]["value"]
    answer["open"] = flagged is not None
    return answer


def shown(story: Story) -> list[dict[str, Any]]:
    """Return the bows as the screen draws them."""
    return [_shown(row) for row in story.bows]


def _shown(row: dict[str, Any]) -> dict[str, Any]:
    found = {
        "entry_id": row["entry_id"],
        "after": row["after"],
        "cycle": row["cycle"],
        "bow_mm": row["bow_mm"],
        "at_mm": row["at_mm"],
        "length_mm": row["length_mm"],
        "limit_mm": row["limit_mm"],
        "side": row["side"],
        "stations": row["stations"],
        "verdict": row["verdict"],
        "kink_mm": row["kink_counts_mm"],
    }
    if found["stations"] is None:
        del found["stations"]
    return found
