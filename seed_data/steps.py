"""The steps of a blade as the shop marks them; each story strings them together and adds its own."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from seed_data.logbook import MINUTE_MS, SECOND_MS, Body, Log, Logbook, Smith, uuid7
from seed_data.people import Bath
from temperward.engine import api

STATIONS = 7
PAD_MM = 1.0
HEAT_UP_MS = 25 * MINUTE_MS
HOLD_MS = 120 * MINUTE_MS


class DemoRefused(Exception):
    """The engine refused the facts of a demo card: the demo, or the engine, is wrong."""


def make_card(facts: Body) -> Body:
    """Return the card that the engine makes from these facts today."""
    answer = api.ask("make_card", facts)
    if "error" in answer:
        raise DemoRefused(f"{facts}: {answer['error']}")
    card: Body = answer["answer"]
    return card


def gaps(*, length_mm: float, bow_mm: float) -> list[Body]:
    """Return feeler gaps of an even bow, to the half tenth a feeler set can tell; the middle one is exact.

    >>> [station["gap_mm"] for station in gaps(length_mm=420, bow_mm=0.15)]
    [1.0, 1.1, 1.15, 1.15, 1.15, 1.1, 1.0]
    """
    stations = []
    for place in range(STATIONS):
        share = place / (STATIONS - 1)
        rise_mm = min(bow_mm, round(4 * share * (1 - share) * bow_mm * 20) / 20)
        if place == STATIONS // 2:
            rise_mm = bow_mm
        stations.append({"at_mm": round(length_mm * share, 1), "gap_mm": round(PAD_MM + rise_mm, 2)})
    return stations


@dataclass(slots=True)
class Blade:
    """One blade's log being written, and the few facts its steps repeat."""

    log: Log
    length_mm: float
    edge_mm: float
    bath: Bath
    bath_c: float
    oven_c: float
    bow_length_mm: float | None = None

    def straight(self, now_ms: int, bow_mm: float, *, side: str = "left") -> str:
        """Write a straightness reading at seven stations."""
        length_mm = self.bow_length_mm or self.length_mm
        body = {
            "length_mm": length_mm,
            "pad_mm": PAD_MM,
            "stations": gaps(length_mm=length_mm, bow_mm=bow_mm),
        }
        return self.log.check(now_ms, "straightness", {**body, "side": side, "uncertainty_mm": 0.05})

    def ground(self, now_ms: int, *, bow_mm: float, left_right_mm: float = 0.1, marked: bool = True) -> None:
        """Write the checks of a ground blade and the mark that it is ready for the heat."""
        log, edge_mm = self.log, self.edge_mm
        readings = [edge_mm + 0.05, edge_mm, edge_mm + 0.02]
        log.check(now_ms, "edge_thickness", {"readings_mm": [round(value, 2) for value in readings]})
        log.check(now_ms + 40 * SECOND_MS, "edge_off_centre", {"value_mm": 0.1})
        log.check(now_ms + 70 * SECOND_MS, "left_right", {"difference_mm": left_right_mm})
        log.check(now_ms + 95 * SECOND_MS, "scratches", {"along": True, "grit": 220})
        log.check(now_ms + 110 * SECOND_MS, "corners", {"radiused": True, "deburred": True})
        self.straight(now_ms + 3 * MINUTE_MS, bow_mm)
        if marked:
            log.mark(now_ms + 4 * MINUTE_MS, "ground_ready")

    def cycle(self, now_ms: int, *, bow_mm: float, file_hrc: int | None = None) -> None:
        """Write one whole cycle; with file_hrc also the file check of a steel that hardens in air."""
        self.heat(now_ms)
        self.log.mark(now_ms + 9 * MINUTE_MS, "out_of_fire")
        self.log.mark(now_ms + 31 * MINUTE_MS, "cold")
        if file_hrc is not None:
            self.log.check(
                now_ms + 32 * MINUTE_MS, "file", {"file_hrc": file_hrc, "place": "edge", "answer": "bites"}
            )
        self.straight(now_ms + 34 * MINUTE_MS, bow_mm)

    def heat(self, now_ms: int) -> None:
        """Write the blade into the fire and its even heat."""
        self.log.mark(now_ms, "in_fire", body={"kind": "cycle"})
        self.log.mark(now_ms + 5 * MINUTE_MS, "even_heat")

    def ready(self, now_ms: int, *, oven_c: float | None = None) -> None:
        """Write the mark that the blade goes to be hardened, then bath, fire cover and oven readings."""
        log = self.log
        log.mark(now_ms, "ready")
        bath = {"temperature_c": self.bath_c, "instrument": "Thermocouple"}
        log.check(now_ms + 30 * SECOND_MS, "bath_temperature", bath)
        cover = {"covers_blade": True, "lid": True, "extinguisher": True, "path": True, "tipping": True}
        log.check(now_ms + 60 * SECOND_MS, "bath_ready", cover)
        oven_c = self.oven_c if oven_c is None else oven_c
        oven = {"temperature_c": oven_c, "instrument": "Thermocouple"}
        log.check(now_ms + 90 * SECOND_MS, "oven_temperature", oven)

    def hardening_heat(self, quench_ms: int, *, heat_s: int) -> None:
        """Write the hardening heat that ends at the quench: fire, magnet on the rise, colour, going."""
        log, start_ms = self.log, quench_ms - heat_s * SECOND_MS
        log.mark(start_ms, "hardening_fire")
        magnet = {"place": "plunge", "answer": "none", "rising": True}
        log.check(start_ms + heat_s * 550, "magnet", magnet)
        log.check(start_ms + heat_s * 600, "colour", {"even": True, "bright": False})
        log.mark(start_ms + heat_s * 610, "even_heat")
        log.mark(quench_ms - 4 * SECOND_MS, "going_to_quench")

    def quench(self, quench_ms: int, *, hold_s: int, transfer_s: float | None = None) -> None:
        """Write the quench mark and the mark of leaving the bath."""
        body = {} if transfer_s is None else {"transfer_s": transfer_s}
        self.log.mark(quench_ms, "quenched", body=body)
        self.log.mark(quench_ms + hold_s * SECOND_MS, "out_of_bath")

    def as_hard(self, now_ms: int, readings_hrc: list[float], *, file_hrc: int) -> None:
        """Write file and hardness of the hard blade."""
        self.log.check(now_ms, "file", {"file_hrc": file_hrc, "place": "edge", "answer": "skates"})
        self.hardness(now_ms + 2 * MINUTE_MS, readings_hrc)

    def hardness(self, now_ms: int, readings_hrc: list[float]) -> None:
        """Write hardness readings from the bench tester, its block checked that day."""
        body = {
            "readings_hrc": readings_hrc,
            "place": "edge",
            "block_checked": True,
            "instrument": "Bench tester",
        }
        self.log.check(now_ms, "hardness", body)

    def temper(self, in_ms: int, *, oven_c: float | None = None) -> int:
        """Write one temper cycle with its readings; return the instant at which the blade was cold again."""
        log = self.log
        log.mark(in_ms, "in_oven", body={"purpose": "temper"})
        at_heat_ms = in_ms + HEAT_UP_MS
        reading = {"temperature_c": self.oven_c if oven_c is None else oven_c, "instrument": "Thermocouple"}
        log.check(at_heat_ms, "oven_temperature", reading)
        log.mark(at_heat_ms + 10 * SECOND_MS, "at_heat")
        out_ms = at_heat_ms + HOLD_MS + MINUTE_MS
        log.check(out_ms - MINUTE_MS, "oven_temperature", reading)
        log.mark(out_ms, "out_of_oven")
        cold_ms = out_ms + 35 * MINUTE_MS
        log.check(cold_ms - MINUTE_MS, "blade_temperature", {"temperature_c": 31})
        log.mark(cold_ms, "cold_after_temper")
        return cold_ms

    def finish(self, now_ms: int, *, hrc: list[float], bow_mm: float, crack: str = "penetrant") -> int:
        """Write finish grinding and the final checks; return the instant at which release can follow."""
        log = self.log
        log.mark(now_ms, "grinding")
        done_ms = now_ms + 95 * MINUTE_MS
        log.mark(done_ms, "final_check")
        self.hardness(done_ms + 6 * MINUTE_MS, hrc)
        log.check(done_ms + 12 * MINUTE_MS, "crack", {"answer": "none", "method": crack})
        log.check(done_ms + 14 * MINUTE_MS, "file", {"file_hrc": 50, "place": "tang", "answer": "bites"})
        self.straight(done_ms + 17 * MINUTE_MS, bow_mm)
        return done_ms + 20 * MINUTE_MS


def start_blade(
    book: Logbook,
    smith: Smith,
    made_ms: int,
    piece: Body,
    card_facts: Body,
    *,
    bath: Bath,
    bath_c: float,
    oven_c: float,
    **more: Any,
) -> Blade:
    """Open the log of a new blade with its card, shaped and soft."""
    log = Log(book, "piece", smith, uuid7(made_ms, seed=book.seed + str(piece["tag"]).encode()))
    log.add(made_ms, "piece_made", piece)
    facts = {
        "quench": [{"medium": bath.medium, "bath_c": bath_c}],
        "bath": bath.facts(),
        "heat_source": "forge_thermocouple",
        "oven_kind": "kiln",
        **card_facts,
    }
    log.add(made_ms + MINUTE_MS, "card_made", {"card": make_card(facts)})
    log.mark(made_ms + 2 * MINUTE_MS, "shaped")
    return Blade(
        log,
        length_mm=facts["length_mm"],
        edge_mm=facts["edge_mm"],
        bath=bath,
        bath_c=bath_c,
        oven_c=oven_c,
        **more,
    )
