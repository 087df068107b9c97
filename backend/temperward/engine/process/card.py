"""The card of one blade: facts in, ordered steps and the limits of its log out."""

from __future__ import annotations

from typing import Any

from temperward.engine.errors import Refused
from temperward.engine.process import card_plan, card_steel, cautions
from temperward.engine.process.card_baths import BathRange, baths, refuse_water
from temperward.engine.process.card_facts import Plan
from temperward.engine.process.card_limits import limits
from temperward.engine.process.card_numbers import numbers, thickest_mm
from temperward.engine.process.card_parts import model_note
from temperward.engine.process.card_steel import Metal, hardens_in_air, thin_places_harden_in_air
from temperward.engine.process.card_steps import (
    coupon,
    cycle,
    ground,
    hard,
    heat,
    quench,
    ready,
    release,
    temper,
    window,
)
from temperward.engine.process.card_work import Work
from temperward.engine.quantities import note

CARD_VERSION = 1


def refuse_steel(plan: Plan, *, metal: Metal) -> None:
    """Refuse a steel that this plan cannot harden: by eye, or unknown without a coupon."""
    if plan.by_eye and metal.row["by_eye"] == "no":
        raise Refused(field="heat_source", value=metal.name, reason="refusal.card_by_eye")
    if not metal.known and plan.coupon is None:
        raise Refused(field="steel", value=metal.name, reason="refusal.card_unknown_steel")


def flags(work: Work) -> list[str]:
    """Return what is out of the ordinary about this card, as words without figures."""
    plan, metal = work.plan, work.metal
    found = [
        ("air_hardens", hardens_in_air(metal, plan=plan)),
        ("air_hardens_thin", thin_places_harden_in_air(metal) and not hardens_in_air(metal, plan=plan)),
        ("by_eye", plan.by_eye),
        ("clay", plan.clay),
        ("clock_halved", len(work.numbers.halved_by) > 0),
        ("double_edge", plan.double_edge),
        ("edge_quench", plan.zone_kind == "edge"),
        ("kitchen_oven", plan.oven_kind == "kitchen"),
        ("layers", metal.kind == "layers"),
        ("no_window", work.numbers.window is None),
        ("torch_after", plan.oven_kind == "torch_after"),
        ("unknown_steel", not metal.known),
        ("water", plan.in_water),
    ]
    return [name for name, holds in found if holds]


def warnings(work: Work) -> list[dict[str, Any]]:
    """Return what the smith should know before starting."""
    plan, metal = work.plan, work.metal
    found = work.numbers.hold_warnings + work.numbers.temper_warnings
    if plan.by_eye and metal.row["by_eye"] == "poor":
        found.append(note("card.warning.by_eye_poor", {"steel": metal.name}))
    if plan.dips[0].medium not in metal.row["media"]:
        found.append(
            note(
                "card.warning.unusual_medium",
                {"steel": metal.name, "medium": note("medium." + plan.dips[0].medium)},
            )
        )
    if metal.row["normalise_only_if_forged"] and plan.cycles > 0:
        found.append(note("card.warning.normalise_only_if_forged"))
    if plan.in_water:
        found.append(note("card.warning.water_cracks"))
    if plan.notch:
        found.append(note("card.warning.notch"))
    if plan.oven_kind == "kitchen":
        found.append(note("card.warning.kitchen_oven"))
    if not work.numbers.proved:
        found.append(note("card.warning.not_proved"))
    return found


def steps(work: Work, *, ranges: list[BathRange]) -> list[dict[str, Any]]:
    """Return every step in order, numbered."""
    found = coupon.steps(work)
    found.append(ground.ground_ready(work))
    found = found + cycle.steps(work)
    found.append(ready.ready_to_harden(work, baths=ranges))
    found.append(heat.hardening_heat(work))
    found.append(quench.quench(work))
    found.append(window.straighten_now(work))
    found.append(hard.hard(work))
    found = found + temper.steps(work)
    softening = temper.soften(work)
    if softening is not None:
        found.append(softening)
    found.append(release.finish(work))
    found.append(release.release(work))
    for k in range(len(found)):
        found[k]["n"] = k + 1
    return found


def named(name: str, value: dict[str, Any] | None, *, model: str | None = None) -> list[dict[str, Any]]:
    """Return one computed value with its name and its model, or nothing."""
    if value is None:
        return []
    row = {"id": name, "label": note("card.label." + name)}
    for key in sorted(value):
        row[key] = value[key]
    if model is not None:
        row["notes"] = value["notes"] + [model_note(model)]
    return [row]


def shown_numbers(work: Work) -> list[dict[str, Any]]:
    """Return the computed values that stand at the head of the card."""
    numbers_of = work.numbers
    window_of = numbers_of.window
    found = named("dissolved_carbon", numbers_of.dissolved, model="dissolved")
    found = found + named("ms", numbers_of.ms, model="ms")
    found = found + named("magnet_lets_go", numbers_of.magnet)
    found = found + named("as_quenched", numbers_of.as_quenched, model="as_quenched")
    found = found + named("hold_in_bath", numbers_of.hold, model="bath_hold")
    found = found + named("edge_left", numbers_of.edge_need, model="edge")
    found = found + named("bath_rise", numbers_of.bath_rise, model="bath_rise")
    if window_of is not None:
        found = found + named("bend_until", window_of["bend"], model="window")
    return found


def make_card(facts: dict[str, Any]) -> dict[str, Any]:
    """Answer `make_card`."""
    plan = card_plan.read(facts)
    metal = card_steel.of_facts(facts)
    refuse_steel(plan, metal=metal)
    refuse_water(plan, metal=metal, thickest_mm=thickest_mm(plan))
    ranges = baths(plan)
    work = Work(plan=plan, metal=metal, numbers=numbers(plan, metal=metal, ranges=ranges))
    return {
        "card_version": CARD_VERSION,
        "facts": facts,
        "steel": metal.row,
        "dissolved_carbon_pct": work.numbers.dissolved,
        "numbers": shown_numbers(work),
        "verdict": note("verdict." + work.numbers.verdict),
        "verdict_notes": work.numbers.verdict_notes,
        "flags": flags(work),
        "warnings": warnings(work),
        "cautions": cautions.always(),
        "standing": note("caution.standing"),
        "steps": steps(work, ranges=ranges),
        "limits": limits(work, baths=ranges),
    }
