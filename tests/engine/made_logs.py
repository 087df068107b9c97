"""Made-up logs of one piece: marks, readings, findings, and what no phone would write."""

from __future__ import annotations

from typing import Any

from hypothesis import strategies as st
from log_maker import START_MS, Log, plain_card

from temperward.engine import data_files

MARKS = data_files.load("marks")["order"]
CHECKS = data_files.load("entries")["check_order"]
FINDINGS = data_files.load("findings")["order"]
BODIES: dict[str, list[dict[str, Any]]] = {
    "magnet": [{"answer": "none", "rising": True}, {"answer": "sticks"}],
    "colour": [{"even": True}, {"even": False}, {"even": True, "bright": True}],
    "bow": [
        {"bow_mm": 0.1, "length_mm": 420},
        {"bow_mm": 0.55, "length_mm": 420},
        {"bow_mm": 2, "length_mm": 420},
    ],
    "straightness": [
        {
            "length_mm": 420,
            "pad_mm": 1,
            "side": "left",
            "stations": [
                {"at_mm": 0, "gap_mm": 1},
                {"at_mm": 200, "gap_mm": 1.5},
                {"at_mm": 420, "gap_mm": 1},
            ],
        }
    ],
    "file": [{"answer": answer, "place": "edge"} for answer in ("bites", "skates")] + [{"answer": "bites"}],
    "oven_temperature": [{"temperature_c": t} for t in (20, 150, 190, 205, 240)],
    "bath_temperature": [{"temperature_c": 54}, {"temperature_c": 180}],
    "bath_ready": [{"covers_blade": True, "lid": True, "extinguisher": True, "path": True}, {"lid": False}],
    "edge_thickness": [{"readings_mm": [1.0, 0.9, 1.1]}],
    "crack": [{"answer": "none", "method": "sight"}, {"answer": "seen"}],
    "sight": [{"answer": "bowed"}, {"answer": "straight"}],
    "hardness": [{"readings_hrc": [59, 60, 59.5]}],
    "blade_temperature": [{"temperature_c": 30}],
}
GARBAGE = st.recursive(
    st.none() | st.booleans() | st.integers(-5, 5) | st.floats(allow_nan=False) | st.text(max_size=4),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=5), inner, max_size=3),
    max_leaves=6,
)
EXTRA_MARK_BODIES = [
    {},
    {"purpose": "snap"},
    {"purpose": "temper"},
    {"kind": "stress_relief"},
    {"kept": True},
]


@st.composite
def bodies(draw: st.DrawFn) -> tuple[str, dict[str, Any]]:  # noqa: PLR0911 (one line per kind)
    kind = draw(
        st.sampled_from(["mark"] * 6 + ["check"] * 5 + ["finding", "override", "choice", "other", "note"])
    )
    if kind == "mark":
        return kind, {"mark": draw(st.sampled_from(MARKS)), **draw(st.sampled_from(EXTRA_MARK_BODIES))}
    if kind == "check":
        check = draw(st.sampled_from(CHECKS))
        return kind, {"check": check, **draw(st.sampled_from(BODIES.get(check, [{}])))}
    if kind == "finding":
        return kind, {"finding": draw(st.sampled_from(FINDINGS))}
    if kind == "override":
        items = draw(st.lists(st.sampled_from(["oven", "bow", "lid", "cycles", "tempers"]), min_size=1))
        gate = draw(st.sampled_from(["ready_to_harden", "temper_done", "release"]))
        return kind, {"gate": gate, "items": items, "reason": "rising", "initials": "MO"}
    if kind == "choice":
        choices = ["snap_temper_planned", "jig_planned", "customer_accepts", "customer_asked", "cause_tried"]
        return kind, {"choice": draw(st.sampled_from(choices))}
    if kind == "other":
        known = ["card_made", "photo", "finding_closed", "choose", "same_as", "check", "mark", "later_kind"]
        return draw(st.sampled_from(known)), draw(st.dictionaries(st.text(max_size=6), GARBAGE, max_size=3))
    return kind, {"text": "x"}


@st.composite
def logs(draw: st.DrawFn) -> list[dict[str, Any]]:
    log = Log(
        card=plain_card(**draw(st.sampled_from([{}, {"air_hardens": True}, {"window": None}, {"cycles": 0}])))
    )
    if draw(st.booleans()):
        log.to_hard()
    for _ in range(draw(st.integers(0, 14))):
        log.wait(draw(st.sampled_from([0, 1, 20, 60, 400, 1900, 8000])))
        kind, body = draw(bodies())
        if kind in ("choose", "finding_closed") and draw(st.booleans()):
            body = {"entry_id": draw(st.sampled_from(log.entries))["id"]}
        log.add(
            kind,
            body,
            device=draw(st.sampled_from(["phone-a", "phone-b"])),
            ago_s=draw(st.sampled_from([0, 0, 0, 30, 600])),
            version=draw(st.sampled_from([1, 1, 1, 1, 2])),
        )
        if draw(st.integers(0, 9)) == 0:
            log.add("withdraw", {"entry_id": draw(st.sampled_from(log.entries))["id"]})
        if draw(st.integers(0, 9)) == 0:
            target = draw(st.sampled_from(log.entries))
            log.add("correct", {"entry_id": target["id"], "happened_ms": target["happened_ms"] - 5000})
    return log.entries


def end_of(entries: list[dict[str, Any]]) -> int:
    return max([START_MS, *[entry["written_ms"] for entry in entries]])


WAITS = st.sampled_from([0, 1, 61, 700, 2000, 3700, 100_000])
