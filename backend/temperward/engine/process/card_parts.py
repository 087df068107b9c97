"""The parts a step is made of: set points with their tolerance and source, checks, and the step itself."""

from __future__ import annotations

from typing import Any

from temperward.engine.process.cautions import cautions as cautions_named
from temperward.engine.process.limit_values import sources_of, unit_of, value_of
from temperward.engine.quantities import note, once


def set_point(
    name: str,
    value: Any,
    *,
    unit: str,
    sources: list[str],
    minus: float | None = None,
    plus: float | None = None,
    kind: str = "value",
    notes: list[dict[str, Any]] | None = None,
) -> dict[str, Any]:
    """Return one figure of a step: value, unit, tolerance below and above, and where it comes from."""
    return {
        "id": name,
        "label": note("card.label." + name),
        "value": value,
        "unit": unit,
        "minus": minus,
        "plus": plus,
        "kind": kind,
        "sources": once(sources),
        "notes": [] if notes is None else notes,
    }


def limit_point(
    name: str,
    limit: str,
    *,
    shop: dict[str, float],
    minus: float | None = None,
    plus: float | None = None,
    notes: list[dict[str, Any]] | None = None,
) -> dict[str, Any]:
    """Return a set point from the figures of common practice, or the shop's own."""
    unit = unit_of(limit)
    return set_point(
        name,
        value_of(limit, shop=shop),
        unit=unit,
        sources=sources_of(limit, shop=shop),
        minus=minus,
        plus=plus,
        kind="interval" if unit == "K" else "value",
        notes=notes,
    )


def banded_point(
    name: str, found: dict[str, Any], *, notes: list[dict[str, Any]] | None = None
) -> dict[str, Any]:
    """Return a set point from a computed value; its tolerance is the value's own band."""
    value, low, high = found["value"], found["low"], found["high"]
    return set_point(
        name,
        value,
        unit=found["unit"],
        sources=list(found["sources"]),
        minus=None if low is None else value - low,
        plus=None if high is None else high - value,
        kind="interval" if found["unit"] == "K" else "value",
        notes=found["notes"] + ([] if notes is None else notes),
    )


def text_point(
    name: str, key: str, *, facts: dict[str, Any] | None = None, sources: list[str]
) -> dict[str, Any]:
    """Return a set point that is words, not a figure."""
    return set_point(name, note(key, facts), unit="", sources=sources, kind="text")


def model_note(model: str) -> dict[str, Any]:
    """Return by which model a figure was reckoned, and how far that reaches: a row of its page."""
    return note("card.note.model", {"model": note("app.model." + model + ".range")})


def check(name: str | None, text: str, facts: dict[str, Any] | None = None) -> dict[str, Any]:
    """Return one check of a step; without a name it is looked at and not entered."""
    return {"check": name, "text": note("card.check." + text, facts)}


def follow_up(text: str, facts: dict[str, Any] | None = None) -> dict[str, Any]:
    """Return what to do when a step does not go as planned."""
    return note("card.follow." + text, facts)


def step(
    name: str,
    *,
    kind: str,
    states: list[str],
    title: dict[str, Any],
    set_points: list[dict[str, Any]],
    checks: list[dict[str, Any]],
    why: dict[str, Any],
    hazards: list[str] | None = None,
    cautions: list[str] | None = None,
    follow_ups: list[dict[str, Any]] | None = None,
) -> dict[str, Any]:
    """Return one step; its number in the card is set when the card is put together."""
    return {
        "n": 0,
        "id": name,
        "kind": kind,
        "states": states,
        "title": title,
        "set_points": set_points,
        "checks": checks,
        "hazards": [] if hazards is None else hazards,
        "cautions": [] if cautions is None else cautions_named(cautions),
        "why": why,
        "follow_ups": [] if follow_ups is None else follow_ups,
    }
