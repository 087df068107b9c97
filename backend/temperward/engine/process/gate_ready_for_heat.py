"""Ground ready for the heat: soft but for one thing, that it hardens in this bath at this thickness."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from temperward.engine.facts import is_number
from temperward.engine.process import bows
from temperward.engine.process.frozen_limits import usual
from temperward.engine.process.gates import ask, item, of
from temperward.engine.process.story import Story
from temperward.engine.quantities import note

if TYPE_CHECKING:
    from temperward.engine.process.gates import Item

GATE = "ready_for_heat"
LEAST_READINGS = 3  # practice: heel, middle and tip


def items(story: Story, _at_ms: int) -> list[Item]:
    """Return the items as they stand."""
    return [
        hardens(story),
        edge_thickness(story),
        bow(story),
        at_most(story, "edge_off_centre", field="value_mm", limit="edge_off_centre_mm"),
        at_most(story, "left_right", field="difference_mm", limit="left_right_mm"),
        scratches(story),
        corners(story),
    ]


def proven(story: Story) -> bool:
    """Tell whether it is proven to harden: by what is known of the steel, or by a coupon."""
    return story.limits.says("harden_proven") or coupon_mm(story) is not None


def hardens(story: Story) -> Item:
    """It hardens by what is known of the steel, or a coupon at least as thick proved it in the same bath."""
    said = story.limits.given.get("harden_proven")
    coupon = coupon_mm(story)
    passed = True if said is True or coupon is not None else (False if said is False else None)
    value = coupon_said(story) if coupon is None else note("fold.value.coupon", {"thickness_mm": coupon})
    return item(
        "hardens",
        passed=passed,
        hard=True,
        value=value,
        check=ask("coupon", body=coupon_wanted(story)),
        read_ms=story.read_ms("coupon"),
    )


def coupon_said(story: Story) -> dict[str, Any] | None:
    """Return by how much the blade cools slower than the coupons that passed in its bath, all too thin."""
    thickness = thickest_mm(story)
    proofs = [one["thickness_mm"] for one in passed_coupons(story)]
    if thickness is None or len(proofs) == 0:
        return None
    best = float(max(proofs))
    return note("fold.value.coupon_thin", {"thickness_mm": best, "ratio": thickness / best})


def coupon_wanted(story: Story) -> dict[str, Any] | None:
    """Return what a coupon would have to be, to fill in its form."""
    thickness = thickest_mm(story)
    media = story.media()
    return {"thickness_mm": thickness, "medium": media[0]} if thickness is not None and media else None


def thickest_mm(story: Story) -> float | None:
    """Return the thickest place that is to harden: as the card says, else of the figures it was made from."""
    value = story.limits.number_or_none("thickest_mm")
    if value is not None:
        return value
    stations = story.limits.fact("stations")
    found = [story.limits.fact("thickness_mm")]
    found += [
        row.get("thickness_mm")
        for row in (stations if isinstance(stations, list) else [])
        if isinstance(row, dict)
    ]
    figures = [float(one) for one in found if is_number(one)]
    return max(figures) if figures else None


def coupon_mm(story: Story) -> float | None:
    """Return the thickness that a passed coupon proves, if it is enough and went into the same first bath."""
    thickness = thickest_mm(story)
    if thickness is None:
        return None
    enough = [one["thickness_mm"] for one in passed_coupons(story) if one["thickness_mm"] >= thickness]
    return float(enough[0]) if len(enough) > 0 else None


def passed_coupons(story: Story) -> list[dict[str, Any]]:
    """Return the coupons that passed in the blade's first bath: its own, then those of the bar."""
    first = story.media()[:1]
    proofs = [story.latest["coupon"]["body"]] if "coupon" in story.latest else []
    related = story.thing("coupon")
    if related is not None:
        proofs += [one for one in related.get("last", []) if one.get("check") == "coupon"]
    return [one for one in proofs if one.get("passed") is True and one["medium"] in first]


def edge_thickness(story: Story) -> Item:
    """Enough left at the edge at three stations or more."""
    readings = story.fact("edge_thickness", "readings_mm")
    need = story.limits.number_or_none("edge_need_mm")
    passed = None
    value = None
    if readings is not None:
        least = min(readings)
        passed = None if need is None else len(readings) >= LEAST_READINGS and least >= need
        value = note("fold.value.least_mm", {"value_mm": least})
        if need is not None:
            value = note("fold.value.need_mm", {"value_mm": least, "need_mm": need})
    return item(
        "edge_thickness",
        passed=passed,
        hard=False,
        value=value,
        check=ask("edge_thickness"),
        read_ms=story.read_ms("edge_thickness"),
    )


def bow(story: Story) -> Item:
    """Straight before the first heat."""
    row = story.bows[-1] if story.bows else None
    passed = None if row is None else row["verdict"] == "within"
    value = None if row is None else of(row["judged_mm"], row["limit_mm"], "mm")
    if bows.kink_mm(story) is not None:
        value = note("fold.value.kink", {"kink_mm": bows.kink_mm(story)})
    return item(
        "bow",
        passed=passed,
        hard=False,
        value=value,
        check=ask("straightness", body=wanted_length(story)),
        read_ms=None if row is None else row["read_ms"],
    )


def wanted_length(story: Story) -> dict[str, Any] | None:
    """Return the length last measured over, to fill in the form."""
    return {"length_mm": story.bows[-1]["length_mm"]} if story.bows else None


def at_most(story: Story, check: str, *, field: str, limit: str) -> Item:
    """Return one item that must not be over a limit."""
    value = story.fact(check, field)
    most = story.limits.number(limit, usual(limit))
    passed = None if value is None else value <= most
    shown = None if value is None else of(value, most, "mm")
    return item(check, passed=passed, hard=False, value=shown, check=ask(check), read_ms=story.read_ms(check))


def scratches(story: Story) -> Item:
    """Scratches along the blade, and fine enough."""
    along = story.fact("scratches", "along")
    passed = None
    value = None
    if along is not None:
        grit = story.fact("scratches", "grit")
        passed = along and grit >= usual("scratch_grit")
        value = note("fold.value.grit", {"grit": grit})
    return item(
        "scratches",
        passed=passed,
        hard=False,
        value=value,
        check=ask("scratches"),
        read_ms=story.read_ms("scratches"),
    )


def corners(story: Story) -> Item:
    """Inside corners rounded, holes without burrs."""
    radiused = story.fact("corners", "radiused")
    passed = None if radiused is None else radiused and story.fact("corners", "deburred")
    return item("corners", passed=passed, hard=False, check=ask("corners"), read_ms=story.read_ms("corners"))


def straight_enough(story: Story) -> bool | None:
    """Tell whether the last bow is inside its limit; nothing when it was not measured since the last heat."""
    if not story.bows or story.bows[-1]["heats"] != story.heats_done:
        return None
    last = story.bows[-1]
    if last["series"] != story.series and last["series"] != -1:
        return None
    return bool(
        last["counts_mm"] <= bows.limit_pct(story) / 100.0 * last["length_mm"] and last["verdict"] == "within"
    )
