"""Everything the steps of one card are written from: the plan, the steel, and the computed numbers."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from temperward.engine.process.card_facts import Plan
from temperward.engine.process.card_steel import Metal


@dataclass(frozen=True, kw_only=True)
class Temper:
    """One temper cycle: set point, hold, and the hardness expected after it."""

    temperature_c: float
    hold_s: float
    expected: dict[str, Any] | None
    sources: list[str]


@dataclass(frozen=True, kw_only=True)
class Cycle:
    """One heat before hardening: set point with its tolerance, and the soak."""

    temperature_c: float
    minus_k: float
    plus_k: float
    soak_s: float
    sources: list[str]
    soak_sources: list[str]


@dataclass(frozen=True, kw_only=True)
class Stay:
    """One stage of the quench: kind given, dip, computed, or hand_warm, which has no seconds."""

    kind: str
    seconds: float | None
    band: dict[str, Any] | None = None


@dataclass(frozen=True, kw_only=True)
class Numbers:
    """The computed values of one blade."""

    thickest_mm: float
    cycles: list[Cycle]
    dissolved: dict[str, Any]
    ms: dict[str, Any]
    magnet: dict[str, Any] | None
    to_go: dict[str, Any] | None
    as_quenched: dict[str, Any] | None
    file_hrc: float | None
    verdict: str
    verdict_notes: list[dict[str, Any]]
    proved: bool
    edge_need: dict[str, Any]
    stays: list[Stay]
    hold: dict[str, Any] | None
    hold_s: float | None
    lift_c: float | None
    hold_warnings: list[dict[str, Any]]
    window: dict[str, Any] | None
    transfer: dict[str, Any]
    hand_warm_s: float
    cooling_s: float
    bath_rise: dict[str, Any] | None
    bath_volume: dict[str, Any] | None
    tempers: list[Temper]
    temper_warnings: list[dict[str, Any]]
    halved_by: list[str]


@dataclass(frozen=True, kw_only=True)
class Work:
    """One card in the making."""

    plan: Plan
    metal: Metal
    numbers: Numbers
