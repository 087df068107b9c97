"""The facts of one blade, read and checked, before anything is computed."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from temperward.engine import data_files
from temperward.engine import facts as facts_module
from temperward.engine.errors import MissingField, OutOfRange, Refused, UnknownName, shown
from temperward.engine.process.card_refusals import refuse_name

ALLOWED = [
    "steel", "steels", "composition", "thickness_mm", "edge_mm", "length_mm", "width_mm", "stations",
    "cycles", "stress_relief", "soft_tang", "hard_zone", "double_edge", "clay", "bolster_mm", "notch",
    "heat_source", "quench", "bath", "oven_kind", "target_hrc", "temper_cycles", "coupon", "shop_limits",
]  # fmt: skip
HEAT_SOURCES = ["kiln", "forge_thermocouple", "forge_by_eye"]
OVEN_KINDS = ["kiln", "kitchen", "torch_after"]
TANGS = ["kept_out", "softened_after"]
EVENTS = ["lift", "hand_warm", "trembling_stops"]
# Sections that the conduction model covers, blades that a hand can hold, baths from frost to hot oil, and
# hardness from a spring's to the hardest that is measured (design).
THICKNESS_MM = [0.5, 8.0]
BOLSTER_MM = [1.0, 25.0]
EDGE_MM = [0.2, 6.0]
LENGTH_MM = [20.0, 1500.0]
WIDTH_MM = [3.0, 150.0]
BATH_C = [-10.0, 200.0]
TARGET_HRC = [45.0, 67.0]


@dataclass(frozen=True, kw_only=True)
class Dip:
    """One stage of the quench."""

    medium: str
    kind: str
    bath_c: float | None
    seconds: float | None
    event: str | None


@dataclass(frozen=True, kw_only=True)
class Coupon:
    """A piece of the same bar, hardened first: planned, or passed."""

    thickness_mm: float
    medium: str
    passed: bool


@dataclass(frozen=True, kw_only=True)
class Bath:
    """The tank: what it holds and what its own sheet says."""

    name: str
    litres: float | None
    flash_c: float | None
    low_c: float | None
    high_c: float | None


@dataclass(frozen=True, kw_only=True)
class Plan:
    """What the smith wants done to this blade."""

    given: dict[str, Any]
    thickness_mm: float
    edge_mm: float | None
    length_mm: float
    width_mm: float | None
    stations: list[dict[str, float]]
    cycles: int
    stress_relief: bool
    soft_tang: str
    zone_kind: str
    zone_from_mm: float | None
    zone_to_mm: float | None
    double_edge: bool
    clay: bool
    bolster_mm: float | None
    notch: bool
    heat_source: str
    dips: list[Dip]
    bath: Bath
    oven_kind: str
    target_hrc: float | None
    temper_cycles: int
    coupon: Coupon | None
    shop: dict[str, float]

    @property
    def by_eye(self) -> bool:
        """Tell whether nothing but the eye and the magnet measures the heat."""
        return self.heat_source == "forge_by_eye"

    @property
    def in_water(self) -> bool:
        """Tell whether any stage of the quench is water or brine."""
        return any(dip.kind == "water" for dip in self.dips)

    @property
    def in_oil(self) -> bool:
        """Tell whether any stage of the quench is oil."""
        return any(dip.kind == "oil" for dip in self.dips)


def number_or_none(
    facts: dict[str, Any], name: str, *, limits: list[float], unit: str, field: str = ""
) -> float | None:
    """Return the number under name, or nothing when it is not given."""
    if facts.get(name) is None:
        return None
    try:
        return facts_module.number(facts, name, low=limits[0], high=limits[1], unit=unit)
    except OutOfRange as refusal:
        refusal.field = field + name
        raise


def whole(facts: dict[str, Any], name: str, *, low: int, high: int, default: int) -> int:
    """Return the whole number under name."""
    value = facts_module.number(facts, name, low=low, high=high, unit="count", default=default)
    if value != int(value):
        raise OutOfRange(
            field=name, value=value, low=low, high=high, unit="count", reason="refusal.card_not_whole"
        )
    return int(value)


def part(facts: dict[str, Any], name: str, *, allowed: list[str]) -> dict[str, Any] | None:
    """Return the group of facts under name, or nothing."""
    given = facts.get(name)
    if given is None:
        return None
    if not isinstance(given, dict):
        raise UnknownName(field=name, value=shown(given), reason="refusal.card_not_a_group", choices=allowed)
    for key in sorted(given):
        if key not in allowed:
            raise UnknownName(
                field=name + "." + key, value=None, reason="refusal.unknown_field", choices=allowed
            )
    return given


def items(facts: dict[str, Any], name: str) -> list[Any]:
    """Return the list under name, empty when it is not given."""
    given = facts.get(name)
    if given is None:
        return []
    if not isinstance(given, list):
        raise UnknownName(field=name, value=shown(given), reason="refusal.card_not_a_list")
    return given


def medium_row(name: Any, *, field: str) -> dict[str, Any]:
    """Return the data of a quench medium; refuse by name what no card is made for."""
    refuse_name(name, field=field)
    rows = data_files.load("media")["media"]
    for row in rows:
        if row["id"] == name:
            return row  # type: ignore[no-any-return]
    raise UnknownName(
        field=field, value=shown(name), reason="refusal.unknown_name", choices=[row["id"] for row in rows]
    )


def read_dips(facts: dict[str, Any]) -> list[Dip]:
    """Return the stages of the quench in order; at least one, at most three."""
    given = items(facts, "quench")
    if len(given) < 1 or len(given) > 3:  # noqa: PLR2004  # water, oil, plates: the longest that has a use
        raise MissingField(
            field="quench", value=len(given), low=1, high=3, unit="count", reason="refusal.card_quench"
        )
    dips = []
    for k in range(len(given)):
        field = "quench." + str(k) + "."
        stage = part({"quench." + str(k): given[k]}, "quench." + str(k), allowed=[
            "medium", "bath_c", "seconds", "event"
        ])  # fmt: skip
        if stage is None or stage.get("medium") is None:
            raise MissingField(field=field + "medium", reason="refusal.missing")
        row = medium_row(stage["medium"], field=field + "medium")
        if row["kind"] == "air":
            raise Refused(field=field + "medium", value=row["id"], reason="refusal.air_is_no_quench")
        event = stage.get("event")
        if event is not None:
            refuse_name(event, field=field + "event")
            event = facts_module.choice({field + "event": event}, field + "event", choices=EVENTS)
        dips.append(
            Dip(
                medium=row["id"],
                kind=row["kind"],
                bath_c=number_or_none(stage, "bath_c", limits=BATH_C, unit="degC", field=field),
                seconds=number_or_none(stage, "seconds", limits=[0.5, 600.0], unit="s", field=field),
                event=event,
            )
        )
    check_order(dips)
    return dips


def check_order(dips: list[Dip]) -> None:
    """Refuse an order of baths that cannot be done: plates only last, oil never back into water."""
    for k in range(1, len(dips)):
        if dips[k - 1].kind == "plates":
            raise Refused(field="quench." + str(k), value=dips[k].medium, reason="refusal.card_after_plates")
        if dips[k].kind == "water" and dips[k - 1].kind == "oil":
            raise Refused(
                field="quench." + str(k), value=dips[k].medium, reason="refusal.card_water_after_oil"
            )


def read_bath(facts: dict[str, Any]) -> Bath:
    """Return what is known of the tank."""
    given = part(facts, "bath", allowed=["name", "litres", "flash_c", "low_c", "high_c"])
    if given is None:
        given = {}
    return Bath(
        name=str(given.get("name", "")),
        litres=number_or_none(given, "litres", limits=[0.5, 1000.0], unit="l", field="bath."),
        flash_c=number_or_none(given, "flash_c", limits=[60.0, 400.0], unit="degC", field="bath."),
        low_c=number_or_none(given, "low_c", limits=BATH_C, unit="degC", field="bath."),
        high_c=number_or_none(given, "high_c", limits=BATH_C, unit="degC", field="bath."),
    )


def read_coupon(facts: dict[str, Any]) -> Coupon | None:
    """Return the coupon; without `passed` it counts as proved, with `passed` false as planned."""
    given = part(facts, "coupon", allowed=["thickness_mm", "medium", "passed"])
    if given is None:
        return None
    thickness = number_or_none(given, "thickness_mm", limits=THICKNESS_MM, unit="mm", field="coupon.")
    if thickness is None or given.get("medium") is None:
        raise MissingField(field="coupon", reason="refusal.card_coupon")
    return Coupon(
        thickness_mm=thickness,
        medium=medium_row(given["medium"], field="coupon.medium")["id"],
        passed=facts_module.flag(given, "passed", default=True),
    )


def read_stations(facts: dict[str, Any], *, length_mm: float) -> list[dict[str, float]]:
    """Return the measured sections along the blade."""
    stations = []
    given = items(facts, "stations")
    for k in range(len(given)):
        field = "stations." + str(k)
        row = part({field: given[k]}, field, allowed=["at_mm", "thickness_mm", "width_mm"])
        if row is None:
            raise MissingField(field=field, reason="refusal.missing")
        station = {
            "at_mm": facts_module.number(row, "at_mm", low=0.0, high=length_mm, unit="mm", of=field),
            "thickness_mm": facts_module.number(
                row, "thickness_mm", low=THICKNESS_MM[0], high=THICKNESS_MM[1], unit="mm", of=field
            ),
        }
        width = number_or_none(row, "width_mm", limits=WIDTH_MM, unit="mm", field=field + ".")
        if width is not None:
            station["width_mm"] = width
        stations.append(station)
    return stations
