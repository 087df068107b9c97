"""One ordinary set of facts for every question of the engine, but for those that are asked of a log."""

from __future__ import annotations

from typing import Any

from common.card_cases import PLAIN, VARIANTS

HEATS = [{"temperature_c": 200, "hold_s": 7200}, {"temperature_c": 215, "hold_s": 7200}]
SECTIONS = [
    {"at_mm": at_mm, "thickness_mm": 4.2 - at_mm / 400, "width_mm": 36} for at_mm in range(0, 440, 40)
]
STATIONS = [{"at_mm": at_mm, "gap_mm": 1.0 + 0.3 * (at_mm == 200)} for at_mm in range(0, 440, 40)]
TANK = {"name": "Tall oil", "litres": 20, "low_c": 35, "high_c": 65, "temperature_c": 54, "read_ms": 0}
MINUTE_MS = 60_000
OUTCOME = {"steel": "1075", "medium": "fast_oil", "bow_mm": 0.3, "hrc": 60, "expected_hrc": 61, "wait_s": 900}


def batch_of(letters: str, *, state: str, **more: Any) -> list[dict[str, Any]]:
    """Return blades of one bath, quenched four minutes after one another where they are hard."""
    blade = {"state": state, "steel_kg": 0.4, "steel_c": 810, "temper_c": 205, "bath": TANK, **more}
    quenched = [{"quenched_ms": k * 4 * MINUTE_MS} if state == "hard" else {} for k in range(len(letters))]
    named = [{"log_id": letter, "tag": "K-" + letter, "letter": letter} for letter in letters]
    return [{**blade, **name, **times} for name, times in zip(named, quenched, strict=True)]


BATCH = batch_of("ABC", state="hard", alarm_ms=60 * MINUTE_MS) + batch_of("DEF", state="ready_to_harden")

FACTS: dict[str, dict[str, Any]] = {
    "as_quenched_hardness": {"steel": "1075", "austenitise_c": 810},
    "batch": {"blades": BATCH, "now_ms": 12 * MINUTE_MS, "load_ms": 40 * MINUTE_MS, "redo_s": 1080},
    "batch_offer": {"blades": [{"log_id": str(k), "batch": "B7", "state": "hard"} for k in range(200)]},
    "bath_rise": {"steel_kg": 0.4, "bath_c": 54, "litres": 20},
    "bath_size": {"steel_kg": 0.4},
    "bevels": {"stations": SECTIONS, "edge_mm": 0.5},
    "card_pictures": PLAIN,
    "check_values": {"check": "straightness", "body": {"length_mm": 440, "pad_mm": 1, "stations": STATIONS}},
    "edge_allowance": {"heats": [{"temperature_c": 855, "hold_s": 600}] * 4},
    "edge_plan": {"steel": "1075", "cycles": 3, "quench": [{"medium": "fast_oil"}]},
    "findings": {},
    "flash_margin": {"flash_c": 190, "bath_c": 54},
    "hardness_scales": {"hrc": 60},
    "look_back": {"outcomes": [OUTCOME] * 200},
    "make_card": PLAIN,
    "media": {},
    "models": {},
    "overshoot": {"set_c": 205, "planned_s": 7200, "peak_c": 231, "peak_s": 1500, "steel": "1075"},
    "power_cut": {"set_c": 205, "planned_s": 7200, "held_s": 3000, "away_s": 5400, "steel": "1075"},
    "sources": {},
    "springback": {"bow_mm": 0.5, "span_mm": 300, "thickness_mm": 4.2, "state": "soft"},
    "steels": {},
    "straightening_window": {"steel": "1075", "thickness_mm": 4.2, "from_c": 260},
    "straightness": {"length_mm": 440, "stations": STATIONS},
    "temper_equivalent": {"heats": HEATS, "at_c": 205},
    "temper_for": {"steel": "1075", "target_hrc": 59},
    "tempered_hardness": {"steel": "1075", "heats": HEATS},
    "thermocouple_tolerance": {"temperature_c": 810},
    "torch_equals": {"colour": "brown", "torch_s": 10},
    "transformation_temperatures": {"steel": "1075", "to_c": 20},
    "twist": {"gap_mm": 0.3, "width_mm": 36},
    "warp_trend": {"bows": [0.1, 0.2, 0.4]},
    "will_it_harden": {"steel": "1075", "thickness_mm": 4.2, "medium": "fast_oil", "bath_c": 54},
}
OF_LOGS = ["card_offer", "fold", "log_pictures", "paper_times"]
CARDS = [name for name in ("by eye", "clay") if name in VARIANTS]
