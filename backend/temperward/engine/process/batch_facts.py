"""The blades of one batch as a question gives them: each checked, in order of what comes next."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from temperward.engine import facts as facts_module
from temperward.engine.errors import MissingField, OutOfRange, UnknownName, shown
from temperward.engine.process.entries import LARGEST_INTEGER

BLADE_FACTS = [
    "log_id",
    "tag",
    "letter",
    "state",
    "quenched_ms",
    "alarm_ms",
    "steel_kg",
    "steel_c",
    "temper_c",
    "bath",
]
BATH_FACTS = ["name", "litres", "liquid", "low_c", "high_c", "temperature_c", "read_ms", "readings"]
WAITING = ["hardening_heat", "ready_to_harden"]  # in the order in which they go under
LEAVING = ["in_quench", "warm_window"]
HARD = ["hard", "snap_tempered"]
IN_OVEN = ["temper_in_heat", "straightening_in_temper"]
STATES = WAITING + LEAVING + HARD + IN_OVEN
MOST_READINGS = 40  # design: more than one evening at one bath
MOST_BLADES = 24  # design: more than one person quenches in a row


@dataclass(frozen=True, kw_only=True)
class Tank:
    """One bath: what it holds, its range and its last reading."""

    name: str
    litres: float | None
    liquid: str
    low_c: float | None
    high_c: float | None
    temperature_c: float | None
    read_ms: float | None
    readings: list[list[float]]  # [at_ms, degC], in order of time


@dataclass(frozen=True, kw_only=True)
class Piece:
    """One blade of the batch."""

    log_id: str
    name: str  # its letter, else its tag
    state: str
    quenched_ms: float | None
    alarm_ms: float | None
    steel_kg: float | None
    steel_c: float | None
    temper_c: float | None
    tank: Tank | None


def optional(
    facts: dict[str, Any], name: str, *, low: float, high: float, unit: str, of: str
) -> float | None:
    """Return a number that may be missing."""
    if facts.get(name) is None:
        return None
    return facts_module.number(facts, name, low=low, high=high, unit=unit, of=of)


def instant(facts: dict[str, Any], name: str, *, of: str = "") -> float | None:
    """Return an instant that may be missing."""
    return optional(facts, name, low=0, high=LARGEST_INTEGER, unit="ms", of=of)


def text(facts: dict[str, Any], name: str, *, of: str) -> str:
    """Return a text that must be there."""
    value = facts.get(name)
    if not isinstance(value, str) or not value:
        raise MissingField(field=of + "." + name, reason="refusal.missing")
    return value


def text_or_none(facts: dict[str, Any], name: str, *, of: str = "") -> str | None:
    """Return a text that may be missing; an empty one is missing."""
    value = facts.get(name)
    if value is None or value == "":
        return None
    if not isinstance(value, str):
        raise UnknownName(
            field=of + "." + name if of else name, value=shown(value), reason="refusal.not_a_text"
        )
    return value


def pieces_of(given: Any) -> list[Piece]:
    """Return the blades, or refuse the first one that is wrong."""
    if not isinstance(given, list):
        raise UnknownName(field="blades", value=shown(given), reason="refusal.card_not_a_group")
    if not 1 <= len(given) <= MOST_BLADES:
        raise OutOfRange(
            field="blades", value=len(given), low=1, high=MOST_BLADES, unit="", reason="refusal.out_of_range"
        )
    return [_piece(given[k], of="blades." + str(k)) for k in range(len(given))]


def _piece(facts: Any, *, of: str) -> Piece:
    facts_module.only(facts, BLADE_FACTS, field=of)
    state = facts_module.choice(facts, "state", choices=STATES)
    quenched_ms = instant(facts, "quenched_ms", of=of)
    if quenched_ms is None and state in LEAVING + HARD:
        raise MissingField(field=of + ".quenched_ms", unit="ms", reason="refusal.missing")
    letter = facts.get("letter")
    return Piece(
        log_id=text(facts, "log_id", of=of),
        name=letter if isinstance(letter, str) and letter else text(facts, "tag", of=of),
        state=state,
        quenched_ms=quenched_ms,
        alarm_ms=instant(facts, "alarm_ms", of=of),
        steel_kg=optional(facts, "steel_kg", low=0.005, high=20.0, unit="kg", of=of),
        steel_c=optional(facts, "steel_c", low=600.0, high=1000.0, unit="degC", of=of),
        temper_c=optional(facts, "temper_c", low=50.0, high=700.0, unit="degC", of=of),
        tank=None if facts.get("bath") is None else _tank(facts["bath"], of=of + ".bath"),
    )


def _tank(facts: Any, *, of: str) -> Tank:
    facts_module.only(facts, BATH_FACTS, field=of)
    temperature_c = optional(facts, "temperature_c", low=-10.0, high=200.0, unit="degC", of=of)
    read_ms = instant(facts, "read_ms", of=of)
    return Tank(
        name=text(facts, "name", of=of),
        litres=optional(facts, "litres", low=0.5, high=1000.0, unit="l", of=of),
        liquid=facts_module.choice(facts, "liquid", choices=["oil", "water"], default="oil"),
        low_c=optional(facts, "low_c", low=-10.0, high=200.0, unit="degC", of=of),
        high_c=optional(facts, "high_c", low=-10.0, high=250.0, unit="degC", of=of),
        temperature_c=None if read_ms is None else temperature_c,
        read_ms=None if temperature_c is None else read_ms,
        readings=_readings(facts.get("readings"), of=of + ".readings"),
    )


def _readings(given: Any, *, of: str) -> list[list[float]]:
    """Return what the bath was read at over time, each reading once."""
    if given is None:
        return []
    if not isinstance(given, list):
        raise UnknownName(field=of, value=shown(given), reason="refusal.not_a_list")
    if len(given) > MOST_READINGS:
        raise OutOfRange(
            field=of, value=len(given), low=0, high=MOST_READINGS, unit="", reason="refusal.out_of_range"
        )
    found = []
    for one in given:
        facts_module.only(one, ["at_ms", "temperature_c"], field=of)
        found.append(
            [
                facts_module.number(one, "at_ms", low=0, high=LARGEST_INTEGER, unit="ms", of=of),
                facts_module.number(one, "temperature_c", low=-40.0, high=300.0, unit="degC", of=of),
            ]
        )
    return found


def of_states(pieces: list[Piece], states: list[str]) -> list[Piece]:
    """Return the blades in these states: the untempered by their quench, the others by state and name."""
    found = [piece for piece in pieces if piece.state in states]
    return sorted(found, key=_turn)


def _turn(piece: Piece) -> tuple[int, float, str, str]:
    rank = STATES.index(piece.state) if piece.state in WAITING else 0
    since_ms = piece.quenched_ms if piece.quenched_ms is not None else 0.0
    return (rank, since_ms, piece.name, piece.log_id)
