"""The heats before hardening: normalising and refining cycles, stress relief, clay."""

from __future__ import annotations

from typing import Any

from temperward.engine.process.card_parts import check, follow_up, limit_point, set_point, step, text_point
from temperward.engine.process.card_steel import hardens_in_air, thin_places_harden_in_air
from temperward.engine.process.card_work import Cycle, Work
from temperward.engine.process.limit_values import sources_of, value_of
from temperward.engine.quantities import note

STATES = ["cycle_in_heat", "cycle_cooling", "cycle_checked", "straightening_soft"]


def steps(work: Work) -> list[dict[str, Any]]:
    """Return the cycles in order, with the stress relief where it belongs."""
    found = []
    after_first = work.plan.stress_relief and hardens_in_air(work.metal, plan=work.plan)
    for k in range(len(work.numbers.cycles)):
        found.append(one_cycle(work, cycle=work.numbers.cycles[k], n=k + 1))
        if k == 0 and after_first:
            found.append(stress_relief(work))
    if work.plan.stress_relief and (not after_first or len(work.numbers.cycles) == 0):
        found.append(stress_relief(work))
    if work.plan.clay:
        found.append(clay(work))
    return found


def cycle_checks(work: Work) -> list[dict[str, Any]]:
    """Return what is looked at in and after each cycle."""
    found = [check("colour", "even_colour_tip")]
    if hardens_in_air(work.metal, plan=work.plan):
        found.append(check("file", "file_after_air"))
    elif thin_places_harden_in_air(work.metal):
        found.append(check("file", "file_thin_places"))
    found.append(check("straightness", "straight_when_cold"))
    if work.plan.double_edge:
        found.append(check("twist", "twist_stations", {"count": value_of("twist_stations")}))
    found.append(check(None, "magnet_returns"))
    return found


def cycle_follow_ups(work: Work) -> list[dict[str, Any]]:
    """Return what a bow, or a file that skates, leads to."""
    found = [
        follow_up("bow_after_cycle", {"limit_pct": value_of("bow_limit_pct", shop=work.plan.shop)}),
        follow_up("bow_far", {"limit_pct": value_of("straighten_hot_pct")}),
        follow_up("bow_growing"),
    ]
    if thin_places_harden_in_air(work.metal):
        found.append(
            follow_up("hard_in_air", {"soften_c": value_of("soften_c"), "hold_s": value_of("soften_s")})
        )
    return found


def forge_lit(work: Work) -> list[dict[str, Any]]:
    """Return how long a forge burns before its lining heats evenly; a kiln shows that itself."""
    if work.plan.heat_source == "kiln":
        return []
    return [limit_point("forge_preheat", "forge_preheat_s", shop=work.plan.shop)]


def one_cycle(work: Work, *, cycle: Cycle, n: int) -> dict[str, Any]:
    """Return one cycle."""
    first = n == 1
    notes = []
    if first and work.metal.row["normalise_only_if_forged"]:
        notes.append(note("card.note.only_if_forged"))
    built = step(
        "cycle-" + str(n),
        kind="cycle",
        states=STATES,
        title=note("card.title.cycle", {"n": n, "of": len(work.numbers.cycles)}),
        set_points=[
            set_point(
                "temperature",
                cycle.temperature_c,
                unit="degC",
                minus=cycle.minus_k,
                plus=cycle.plus_k,
                sources=cycle.sources,
                notes=notes,
            ),
            set_point(
                "soak",
                cycle.soak_s,
                unit="s",
                minus=value_of("soak_under_s"),
                plus=value_of("soak_over_s"),
                sources=cycle.soak_sources,
            ),
            text_point("cool", "card.text.still_air", sources=["practice"]),
            limit_point("cool_below", "cold_c", shop=work.plan.shop),
        ]
        + (forge_lit(work) if first else []),
        checks=cycle_checks(work),
        hazards=["HOT"],
        cautions=["forge_lit", "black_is_hot"],
        why=note("card.why.cycle_first" if first else "card.why.cycle"),
        follow_ups=cycle_follow_ups(work),
    )
    built["cycle"] = n
    return built


def stress_relief(work: Work) -> dict[str, Any]:
    """Return the stress relief below the change."""
    return step(
        "stress-relief",
        kind="stress_relief",
        states=STATES,
        title=note("card.title.stress_relief"),
        set_points=[
            limit_point(
                "temperature",
                "stress_relief_c",
                shop=work.plan.shop,
                minus=value_of("stress_relief_under_k"),
                plus=value_of("stress_relief_over_k"),
            ),
            limit_point(
                "soak", "stress_relief_s", shop=work.plan.shop, minus=0, plus=value_of("stress_relief_over_s")
            ),
            text_point("cool", "card.text.still_air", sources=["practice"]),
        ],
        checks=[check("file", "file_bites_everywhere"), check("straightness", "straight_when_cold")],
        hazards=["HOT"],
        cautions=["black_is_hot"],
        why=note("card.why.stress_relief"),
        follow_ups=[
            follow_up("bow_after_cycle", {"limit_pct": value_of("bow_limit_pct", shop=work.plan.shop)})
        ],
    )


def clay(work: Work) -> dict[str, Any]:
    """Return the clay on the back, dried before the fire."""
    return step(
        "clay",
        kind="clay",
        states=[],
        title=note("card.title.clay"),
        set_points=[
            limit_point("clay_wash", "clay_wash_mm", shop=work.plan.shop),
            limit_point(
                "clay_back",
                "clay_back_mm",
                shop=work.plan.shop,
                minus=value_of("clay_back_band_mm"),
                plus=value_of("clay_back_band_mm"),
            ),
            set_point(
                "clay_dry",
                value_of("clay_dry_c"),
                unit="degC",
                minus=value_of("clay_dry_band_k"),
                plus=value_of("clay_dry_band_k"),
                sources=sources_of("clay_dry_c"),
            ),
            limit_point("clay_dry_hold", "clay_dry_s", shop=work.plan.shop),
        ],
        checks=[check(None, "clay_dry")],
        cautions=["damp_clay"],
        why=note("card.why.clay"),
        follow_ups=[],
    )
