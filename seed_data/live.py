"""The blades that are in work while you look: their instants hang on the moment of loading."""

from __future__ import annotations

from seed_data.logbook import HOUR_MS, MINUTE_MS, SECOND_MS, Logbook
from seed_data.people import BR, MEDIUM_OIL, MO, SHORT_OIL, TALL_OIL, TK
from seed_data.steps import Blade, start_blade

CYCLE_MS = 40 * MINUTE_MS
HARD_FOR_MS = 22 * MINUTE_MS
TEMPER_LEFT_MS = 67 * MINUTE_MS
TEMPER_HOLD_MS = 120 * MINUTE_MS
COOLING_FOR_MS = 6 * MINUTE_MS


def live_blades(book: Logbook, now_ms: int) -> None:
    """QF-107 to QF-110."""
    _hard_now(book, now_ms)
    _in_temper(book, now_ms)
    _cooling(book, now_ms)
    _nearly_ready(book, now_ms)


def _to_ready(blade: Blade, ready_ms: int) -> None:
    blade.ground(ready_ms - 4 * CYCLE_MS, bow_mm=0.05)
    for place in range(3):
        blade.cycle(ready_ms - (3 - place) * CYCLE_MS, bow_mm=0.10)


def _hard_now(book: Logbook, now_ms: int) -> None:
    facts = {
        "steel": "1075",
        "thickness_mm": 4.0,
        "edge_mm": 1.0,
        "length_mm": 230,
        "width_mm": 38,
        "target_hrc": 58.5,
    }
    quench_ms = now_ms - HARD_FOR_MS
    blade = start_blade(
        book, MO, quench_ms - 5 * HOUR_MS, {"tag": "QF-107", "name": "Field knife"}, facts,
        bath=SHORT_OIL, bath_c=50, oven_c=205,
    )  # fmt: skip
    _to_ready(blade, quench_ms - 20 * MINUTE_MS)
    blade.ready(quench_ms - 18 * MINUTE_MS)
    blade.hardening_heat(quench_ms, heat_s=600)
    blade.quench(quench_ms, hold_s=14)
    blade.as_hard(quench_ms + 9 * MINUTE_MS, [64.5, 64.5, 64.0], file_hrc=62)


def _in_temper(book: Logbook, now_ms: int) -> None:
    facts = {
        "steel": "80CrV2",
        "thickness_mm": 4.5,
        "edge_mm": 1.0,
        "length_mm": 180,
        "width_mm": 36,
        "target_hrc": 60,
    }
    facts |= {"heat_source": "kiln"}
    heat_ms = now_ms - (TEMPER_HOLD_MS - TEMPER_LEFT_MS)
    in_ms = heat_ms - 25 * MINUTE_MS
    quench_ms = in_ms - 20 * MINUTE_MS
    blade = start_blade(
        book, TK, quench_ms - 5 * HOUR_MS, {"tag": "QF-108", "name": "Trail knife"}, facts,
        bath=TALL_OIL, bath_c=50, oven_c=200,
    )  # fmt: skip
    _to_ready(blade, quench_ms - 24 * MINUTE_MS)
    blade.ready(quench_ms - 22 * MINUTE_MS)
    blade.hardening_heat(quench_ms, heat_s=900)
    blade.quench(quench_ms, hold_s=16)
    blade.as_hard(quench_ms + 5 * MINUTE_MS, [64.0, 64.0, 63.5], file_hrc=62)
    blade.log.mark(quench_ms + 17 * MINUTE_MS, "hand_warm")
    blade.log.mark(in_ms, "in_oven", body={"purpose": "temper"})
    blade.log.check(heat_ms, "oven_temperature", {"temperature_c": 200, "instrument": "Thermocouple"})
    blade.log.mark(heat_ms + 5 * SECOND_MS, "at_heat")


def _cooling(book: Logbook, now_ms: int) -> None:
    facts = {
        "steel": "1084",
        "thickness_mm": 4.0,
        "edge_mm": 1.0,
        "length_mm": 150,
        "width_mm": 32,
        "target_hrc": 60,
    }
    out_ms = now_ms - COOLING_FOR_MS
    blade = start_blade(
        book, BR, out_ms - 2 * HOUR_MS, {"tag": "QF-109", "name": "First knife, Br"}, facts,
        bath=SHORT_OIL, bath_c=50, oven_c=205,
    )  # fmt: skip
    blade.ground(out_ms - 100 * MINUTE_MS, bow_mm=0.05)
    blade.cycle(out_ms - 60 * MINUTE_MS, bow_mm=0.05)
    blade.heat(out_ms - 9 * MINUTE_MS)
    blade.log.mark(out_ms, "out_of_fire")


def _nearly_ready(book: Logbook, now_ms: int) -> None:
    facts = {
        "steel": "5160",
        "thickness_mm": 5.0,
        "edge_mm": 1.0,
        "length_mm": 220,
        "width_mm": 44,
        "target_hrc": 56.5,
    }
    blade = start_blade(
        book, MO, now_ms - 5 * HOUR_MS, {"tag": "QF-110", "name": "Big chopper"}, facts,
        bath=MEDIUM_OIL, bath_c=54, oven_c=205,
    )  # fmt: skip
    blade.ground(now_ms - 160 * MINUTE_MS, bow_mm=0.05)
    for place in range(3):
        blade.cycle(now_ms - (130 - 40 * place) * MINUTE_MS, bow_mm=0.10, file_hrc=55)
    blade.ready(now_ms - 4 * MINUTE_MS, oven_c=188)
