"""October's single blades: the flare, the long knife that warped, the crack in brine, the power cut."""

from __future__ import annotations

from seed_data import pictures
from seed_data.logbook import HOUR_MS, MINUTE_MS, SECOND_MS, Log, Logbook, at
from seed_data.people import BR, BRINE, MEDIUM_OIL, MO, TALL_OIL, TK
from seed_data.steps import Blade, start_blade


def camp_knife(book: Logbook) -> None:
    """QF-101: lifted too soon, a flare, pushed back under; released a little over the finished limit."""
    facts = {
        "steel": "5160",
        "thickness_mm": 6.0,
        "edge_mm": 0.9,
        "length_mm": 245,
        "width_mm": 52,
        "target_hrc": 57,
    }
    piece = {"tag": "QF-101", "name": "Camp knife"}
    blade = start_blade(book, MO, at("18 Oct 09:20:00"), piece, facts, bath=MEDIUM_OIL, bath_c=52, oven_c=205)
    log = blade.log
    blade.ground(at("18 Oct 10:05:00"), bow_mm=0.10)
    blade.cycle(at("18 Oct 10:40:00"), bow_mm=0.10, file_hrc=55)
    blade.cycle(at("18 Oct 11:30:00"), bow_mm=0.15, file_hrc=55)
    blade.heat(at("18 Oct 12:20:00"))
    # The phone's clock was put back by 7 minutes here: the next live mark claims an instant before the last.
    log.mark(at("18 Oct 12:22:30"), "out_of_fire")
    log.mark(at("18 Oct 12:55:00"), "cold")
    log.check(at("18 Oct 12:56:00"), "file", {"file_hrc": 55, "place": "edge", "answer": "bites"})
    blade.straight(at("18 Oct 12:58:00"), 0.15)
    blade.ready(at("18 Oct 15:40:00"))
    quench_ms = at("18 Oct 15:58:00")
    blade.hardening_heat(quench_ms, heat_s=900)
    log.mark(quench_ms, "quenched", by=BR, late_s=40)
    flare = {"cause": "lifted at 4 s", "text": "Flame for 3 s when the spine came out; pushed back under."}
    entry_id = log.finding(quench_ms + 4 * SECOND_MS, "flare_up", by=BR, late_s=80, body=flare)
    log.mark(quench_ms + 33 * SECOND_MS, "out_of_bath", by=BR, late_s=20)
    closed = {"entry_id": entry_id, "text": "Out under the oil; held 26 s more."}
    log.add(quench_ms + 2 * MINUTE_MS, "finding_closed", closed)
    blade.as_hard(quench_ms + 6 * MINUTE_MS, [61.5, 62.0, 61.5], file_hrc=55)
    blade.straight(quench_ms + 11 * MINUTE_MS, 0.15)
    cold_ms = blade.temper(quench_ms + 14 * MINUTE_MS)
    cold_ms = blade.temper(cold_ms + 4 * MINUTE_MS)
    blade.straight(cold_ms + 5 * MINUTE_MS, 0.15)
    log.mark(cold_ms + 8 * MINUTE_MS, "tempered")
    done_ms = blade.finish(at("19 Oct 09:00:00"), hrc=[58.5, 58.5, 58.0], bow_mm=0.15)
    log.override(
        done_ms, "release", ["finished_bow"], "0.15 over 0.12 on a chopper: the customer has seen it"
    )
    log.mark(done_ms + MINUTE_MS, "released")


def long_knife(book: Logbook) -> None:
    """QF-102: the bow grows cycle by cycle, is flagged, found, put right, and watched through the night."""
    facts = {
        "steel": "1075",
        "thickness_mm": 4.2,
        "edge_mm": 1.0,
        "length_mm": 440,
        "width_mm": 34,
        "target_hrc": 58.5,
    }
    piece = {"tag": "QF-102", "name": "Long single-edge"}
    made_ms = at("24 Oct 15:10:00")
    blade = start_blade(
        book, MO, made_ms, piece, facts, bath=TALL_OIL, bath_c=54, oven_c=205, bow_length_mm=420
    )
    log = blade.log
    blade.ground(at("24 Oct 16:00:00"), bow_mm=0.15)
    blade.cycle(at("24 Oct 16:45:00"), bow_mm=0.30)
    _second_cycle(blade.log, at("24 Oct 17:45:00"))
    blade.cycle(at("24 Oct 19:05:00"), bow_mm=0.80)
    cause = {
        "cause": "left side heavier",
        "text": "Left 0.35 mm heavier at 210 mm, and it lay on one cold brick.",
    }
    entry_id = log.finding(at("24 Oct 19:45:00"), "bow_growing", body=cause)
    log.check(at("24 Oct 19:52:00"), "left_right", {"difference_mm": 0.35, "at_mm": 210})
    log.mark(at("24 Oct 20:20:00"), "straightening")
    log.mark(at("24 Oct 20:31:00"), "straightened")
    blade.straight(at("24 Oct 21:05:00"), 0.10)
    evened = {
        "choice": "cause_tried",
        "text": "Evened the left side on the belt; blade now hangs in the fire.",
    }
    log.add(at("24 Oct 21:40:00"), "choice", evened)
    log.check(at("24 Oct 21:42:00"), "left_right", {"difference_mm": 0.1, "at_mm": 210})
    closed = {"entry_id": entry_id, "text": "Evened and hung: 0.10 before the extra cycle."}
    log.add(at("24 Oct 21:43:00"), "finding_closed", closed)
    blade.cycle(at("24 Oct 22:10:00"), bow_mm=0.15)
    _night_quench(blade)


def _second_cycle(log: Log, start_ms: int) -> None:
    log.mark(start_ms, "in_fire", body={"kind": "cycle"})
    log.mark(start_ms + 5 * MINUTE_MS, "even_heat")
    log.mark(start_ms + 9 * MINUTE_MS, "out_of_fire")
    log.mark(start_ms + 31 * MINUTE_MS, "cold")
    read = [1.00, 1.10, 1.35, 1.55, 1.45, 1.20, 1.00]
    stations = [{"at_mm": 70 * place, "gap_mm": gap_mm} for place, gap_mm in enumerate(read)]
    body = {"length_mm": 420, "pad_mm": 1.0, "stations": stations, "side": "left", "uncertainty_mm": 0.05}
    entry_id = log.check(start_ms + 34 * MINUTE_MS, "straightness", body)
    picture = pictures.blade_on_pads(length_px=840, bow_px=22, seed=102, station_mm=210)
    log.photo(start_ms + 35 * MINUTE_MS, picture, step="cycle-2", of=entry_id)


def _night_quench(blade: Blade) -> None:
    log = blade.log
    blade.ready(at("24 Oct 23:40:00"), oven_c=188)
    log.override(at("24 Oct 23:43:00"), "ready_to_harden", ["oven"], "oven at 188, rising")
    quench_ms = at("25 Oct 00:10:00")
    blade.hardening_heat(quench_ms, heat_s=780)
    log.mark(quench_ms, "quenched")
    # TK stood at the tank with the second phone, out of reach of the first: same place in the log, both kept.
    log.mark(quench_ms + 15 * SECOND_MS, "out_of_bath", by=TK, beside_last=True)
    log.check(quench_ms + 29 * SECOND_MS, "sight", {"answer": "bowed"}, late_s=70)
    log.check(quench_ms + 32 * SECOND_MS, "bow", {"bow_mm": 0.60, "length_mm": 420, "at_mm": 210}, late_s=70)
    log.note(quench_ms + 2 * MINUTE_MS, "Straightened between boards from 15 to 40 s after the oil.")
    log.mark(quench_ms + 15 * MINUTE_MS, "hand_warm")
    blade.straight(quench_ms + 18 * MINUTE_MS, 0.20)
    blade.as_hard(quench_ms + 22 * MINUTE_MS, [64.5, 64.0, 64.5], file_hrc=62)
    cold_ms = blade.temper(at("25 Oct 00:52:00"))
    log.mark(cold_ms + 5 * MINUTE_MS, "jigged")
    cold_ms = blade.temper(cold_ms + 9 * MINUTE_MS)
    blade.straight(cold_ms + 5 * MINUTE_MS, 0.12)
    log.mark(cold_ms + 8 * MINUTE_MS, "tempered")
    done_ms = blade.finish(at("26 Oct 10:00:00"), hrc=[59.0, 59.0, 59.5], bow_mm=0.12)
    log.note(done_ms, "Went 0.60 in the oil; the left side was heavier. Hang it next time.")
    log.mark(done_ms + MINUTE_MS, "released")


def brine_skinner(book: Logbook) -> None:
    """QF-103: hard in brine, forgotten in a jacket for 16 h 18 min, cracked, kept as a sample."""
    facts = {
        "steel": "W1",
        "thickness_mm": 3.8,
        "edge_mm": 0.7,
        "length_mm": 95,
        "width_mm": 26,
        "target_hrc": 61.5,
        "coupon": {"thickness_mm": 4.0, "medium": "brine"},
    }
    blade = start_blade(
        book, TK, at("24 Oct 14:20:00"), {"tag": "QF-103", "name": "Small skinner"}, facts,
        bath=BRINE, bath_c=24, oven_c=180,
    )  # fmt: skip
    log = blade.log
    blade.ground(at("24 Oct 14:40:00"), bow_mm=0.05, marked=False)
    log.override(
        at("24 Oct 14:46:00"), "ready_for_heat", ["edge_thickness"], "thin edge wanted, will go in slowly"
    )
    log.mark(at("24 Oct 14:47:00"), "ground_ready")
    for start, bow_mm in (("24 Oct 14:50:00", 0.05), ("24 Oct 15:35:00", 0.05), ("24 Oct 16:20:00", 0.05)):
        blade.cycle(at(start), bow_mm=bow_mm)
    blade.ready(at("24 Oct 17:38:00"))
    quench_ms = at("24 Oct 17:52:00")
    blade.hardening_heat(quench_ms, heat_s=480)
    blade.quench(quench_ms, hold_s=9)
    blade.as_hard(quench_ms + 6 * MINUTE_MS, [66.0, 66.0, 65.5], file_hrc=62)
    blade.straight(quench_ms + 9 * MINUTE_MS, 0.10)
    log.note(quench_ms + 11 * MINUTE_MS, "Called away. After tea.")
    found_ms = at("25 Oct 09:10:00")
    log.check(found_ms, "crack", {"answer": "seen", "method": "sight"})
    crack = {"cause": "left hard overnight", "text": "11 mm crack from the plunge."}
    entry_id = log.finding(found_ms + 30 * SECOND_MS, "crack_seen", body=crack)
    plunge = pictures.crack_at_plunge(seed=103, station_mm=12)
    log.photo(found_ms + 2 * MINUTE_MS, plunge, step="hard", of=entry_id)
    log.mark(found_ms + 20 * MINUTE_MS, "scrapped", body={"reason": "cracked from the plunge", "kept": True})
    log.mark(found_ms + 24 * MINUTE_MS, "broken_up")
    face = pictures.fracture(bright=True, grain_px=4, seed=104)
    log.photo(found_ms + 26 * MINUTE_MS, face, step="hard", of=entry_id)
    log.note(found_ms + 27 * MINUTE_MS, "Bright face: it opened cold, while it waited. 16 h 18 min hard.")


def power_cut(book: Logbook) -> None:
    """QF-106: the power goes in temper one, the probe slips in temper two; two points soft, accepted."""
    facts = {"steel": "O1", "thickness_mm": 3.2, "edge_mm": 0.6, "length_mm": 105, "width_mm": 28}
    facts |= {"target_hrc": 61, "heat_source": "kiln"}
    blade = start_blade(
        book, MO, at("28 Oct 08:00:00"), {"tag": "QF-106", "name": "Drop-point", "customer": "C-017"}, facts,
        bath=MEDIUM_OIL, bath_c=55, oven_c=205,
    )  # fmt: skip
    blade.ground(at("28 Oct 08:20:00"), bow_mm=0.05)
    for start in ("28 Oct 08:50:00", "28 Oct 09:40:00", "28 Oct 10:30:00"):
        blade.cycle(at(start), bow_mm=0.05, file_hrc=62)
    blade.ready(at("28 Oct 11:20:00"))
    quench_ms = at("28 Oct 11:45:00")
    blade.hardening_heat(quench_ms, heat_s=1_320)
    blade.quench(quench_ms, hold_s=15)
    blade.as_hard(quench_ms + 3 * MINUTE_MS, [64.5, 64.5, 64.0], file_hrc=62)
    blade.straight(quench_ms + 7 * MINUTE_MS, 0.15)
    _cut_temper(blade, quench_ms + 9 * MINUTE_MS)
    blade.log.mark(at("28 Oct 17:20:00"), "jigged")
    _drifted_temper(blade, at("28 Oct 17:30:00"))
    _soft_spine_and_out(blade.log, blade)


def _cut_temper(blade: Blade, in_ms: int) -> None:
    log = blade.log
    log.mark(in_ms, "in_oven", body={"purpose": "temper"})
    heat_ms = in_ms + 25 * MINUTE_MS
    log.check(heat_ms, "oven_temperature", {"temperature_c": 205, "instrument": "Thermocouple"})
    log.mark(heat_ms + 5 * SECOND_MS, "at_heat")
    cut_ms = heat_ms + 50 * MINUTE_MS
    cut = {"cause": "power cut", "text": "Street dark. Door left shut."}
    entry_id = log.finding(cut_ms, "power_cut_in_temper", body=cut)
    log.check(
        cut_ms + 90 * MINUTE_MS, "oven_temperature", {"temperature_c": 39.5, "instrument": "Thermocouple"}
    )
    again_ms = cut_ms + 118 * MINUTE_MS
    log.check(again_ms, "oven_temperature", {"temperature_c": 205, "instrument": "Thermocouple"})
    log.add(
        again_ms + MINUTE_MS,
        "finding_closed",
        {"entry_id": entry_id, "text": "Counts as 52 min; ran 70 more."},
    )
    log.check(
        again_ms + 69 * MINUTE_MS, "oven_temperature", {"temperature_c": 205, "instrument": "Thermocouple"}
    )
    log.mark(again_ms + 70 * MINUTE_MS, "out_of_oven")
    log.check(again_ms + 97 * MINUTE_MS, "blade_temperature", {"temperature_c": 30})
    log.mark(again_ms + 98 * MINUTE_MS, "cold_after_temper")


def _drifted_temper(blade: Blade, in_ms: int) -> None:
    log = blade.log
    log.mark(in_ms, "in_oven", body={"purpose": "temper"})
    heat_ms = in_ms + 25 * MINUTE_MS
    log.check(heat_ms, "oven_temperature", {"temperature_c": 205, "instrument": "Thermocouple"})
    log.mark(heat_ms + 5 * SECOND_MS, "at_heat")
    hot_ms = heat_ms + 95 * MINUTE_MS
    log.check(hot_ms, "oven_temperature", {"temperature_c": 231, "instrument": "Thermocouple"})
    slipped = {"cause": "probe slipped", "text": "231 for about 25 min."}
    entry_id = log.finding(hot_ms + MINUTE_MS, "temper_overshoot", body=slipped)
    log.mark(heat_ms + 121 * MINUTE_MS, "out_of_oven")
    log.check(heat_ms + 150 * MINUTE_MS, "blade_temperature", {"temperature_c": 32})
    log.mark(heat_ms + 151 * MINUTE_MS, "cold_after_temper")
    weighed = {"entry_id": entry_id, "text": "Counts as 2 h at 217 to 218: hardness will tell."}
    log.add(heat_ms + 152 * MINUTE_MS, "finding_closed", weighed)
    blade.straight(heat_ms + 155 * MINUTE_MS, 0.10)


def _soft_spine_and_out(log: Log, blade: Blade) -> None:
    start_ms = at("29 Oct 09:00:00")
    log.mark(start_ms, "tempered")
    log.mark(start_ms + 20 * MINUTE_MS, "softening")
    log.check(start_ms + 24 * MINUTE_MS, "temper_colour", {"colour": "dark_blue"})
    log.photo(start_ms + 25 * MINUTE_MS, pictures.spine_colours(seed=106), step="temper-2")
    log.mark(start_ms + 40 * MINUTE_MS, "softened")
    log.note(start_ms + 41 * MINUTE_MS, "Spine to blue with the edge in water.")
    done_ms = blade.finish(start_ms + HOUR_MS, hrc=[59.5, 59.5, 59.0], bow_mm=0.05)
    accepted = {"choice": "customer_accepts", "text": "59.5 where 61 was asked: C-017 takes it as it is."}
    log.add(done_ms, "choice", accepted)
    log.mark(done_ms + 2 * MINUTE_MS, "released")
