"""One ordinary set of facts for every question of the engine, the folds left out: those have logs."""

from __future__ import annotations

from typing import Any

from common.card_cases import PLAIN, VARIANTS

HEATS = [{"temperature_c": 200, "hold_s": 7200}, {"temperature_c": 215, "hold_s": 7200}]
SECTIONS = [
    {"at_mm": at_mm, "thickness_mm": 4.2 - at_mm / 400, "width_mm": 36} for at_mm in range(0, 440, 40)
]
STATIONS = [{"at_mm": at_mm, "gap_mm": 1.0 + 0.3 * (at_mm == 200)} for at_mm in range(0, 440, 40)]
OUTCOME = {"steel": "1075", "medium": "fast_oil", "bow_mm": 0.3, "hrc": 60, "expected_hrc": 61, "wait_s": 900}

FACTS: dict[str, dict[str, Any]] = {
    "as_quenched_hardness": {"steel": "1075", "austenitise_c": 810},
    "bath_rise": {"steel_kg": 0.4, "bath_c": 54, "litres": 20},
    "bath_size": {"steel_kg": 0.4},
    "bevels": {"stations": SECTIONS, "edge_mm": 0.5},
    "check_values": {"check": "straightness", "body": {"length_mm": 440, "pad_mm": 1, "stations": STATIONS}},
    "edge_allowance": {"heats": [{"temperature_c": 855, "hold_s": 600}] * 4},
    "findings": {},
    "flash_margin": {"flash_c": 190, "bath_c": 54},
    "look_back": {"outcomes": [OUTCOME] * 200},
    "make_card": PLAIN,
    "media": {},
    "models": {},
    "sources": {},
    "springback": {"bow_mm": 0.5, "span_mm": 300, "thickness_mm": 4.2, "state": "soft"},
    "steels": {},
    "straightening_window": {"steel": "1075", "thickness_mm": 4.2, "from_c": 260},
    "straightness": {"length_mm": 440, "stations": STATIONS},
    "temper_equivalent": {"heats": HEATS, "at_c": 205},
    "temper_for": {"steel": "1075", "target_hrc": 59},
    "tempered_hardness": {"steel": "1075", "heats": HEATS},
    "transformation_temperatures": {"steel": "1075", "to_c": 20},
    "twist": {"gap_mm": 0.3, "width_mm": 36},
    "warp_trend": {"bows": [0.1, 0.2, 0.4]},
    "will_it_harden": {"steel": "1075", "thickness_mm": 4.2, "medium": "fast_oil", "bath_c": 54},
}
CARDS = [name for name in ("by eye", "clay") if name in VARIANTS]
