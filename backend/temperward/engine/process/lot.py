"""What a batch needs to know of one blade: the row that the question `batch` takes."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from temperward.engine import data_files
from temperward.engine.facts import is_number
from temperward.engine.process import baths
from temperward.engine.process.batch_facts import STATES
from temperward.engine.process.frozen_limits import usual
from temperward.engine.process.story import UNTEMPERED_STATES, Story
from temperward.engine.thermal.bath import STEEL_KG_MM3

if TYPE_CHECKING:
    from temperward.engine.process.view import View

GRAMS_PER_KG = 1000.0


def lot_of(view: View, *, log_id: str) -> dict[str, Any] | None:
    """Return the blade's row between ready to harden and out of the oven; nothing before and after."""
    story = view.story
    if story.state not in STATES:
        return None
    quench = story.quench
    return {
        "log_id": log_id,
        "tag": story.made.get("tag"),
        "letter": story.made.get("letter"),
        "state": story.state,
        "quenched_ms": None if quench is None or story.state == "hardening_heat" else quench.at_ms,
        "alarm_ms": _alarm_ms(view),
        "steel_kg": steel_kg(story),
        "steel_c": story.limits.number_or_none("harden_c"),
        "temper_c": story.limits.temper_c(max(story.temper, 1)),
        "bath": bath_of(story),
    }


def _alarm_ms(view: View) -> int | None:
    if view.story.state not in UNTEMPERED_STATES + ["snap_tempered"]:
        return None
    for clock in view.clocks:
        if clock["kind"] in ("brittle", "snap"):
            return clock["due_ms"] if clock["due_ms"] is None else int(clock["due_ms"])
    return None


def steel_kg(story: Story) -> float | None:
    """Return the blade's weight: weighed, else from its section where the card has all three."""
    mass_g = story.fact("weight", "mass_g")
    if is_number(mass_g):
        return float(mass_g) / GRAMS_PER_KG
    sides = [story.limits.fact(name) for name in ("length_mm", "width_mm", "thickness_mm")]
    if not all(is_number(side) for side in sides):
        return None
    return float(sides[0] * sides[1] * sides[2] * usual("shape_factor") * STEEL_KG_MM3)


def bath_of(story: Story) -> dict[str, Any] | None:
    """Return the first bath of the quench: its volume, range and last reading; plates are none."""
    dip = baths.dips_of(story)[0]
    kind = _kind(dip.medium)
    if kind is None:
        return None
    given = story.limits.fact("bath")
    facts = dict(given) if isinstance(given, dict) else {}
    thing = story.thing("bath", medium=None if dip.alone else dip.medium)
    if thing is not None and isinstance(thing.get("facts"), dict):
        facts.update(thing["facts"])
    limits = baths.bath_range(story, dip)
    reading = baths.reading_of(story, dip)
    name = facts.get("name")
    return {
        "name": name if isinstance(name, str) and name else dip.medium,
        "litres": float(facts["litres"]) if is_number(facts.get("litres")) else None,
        "liquid": kind,
        "low_c": None if limits is None else limits[0],
        "high_c": None if limits is None else limits[1],
        "temperature_c": None if reading is None else float(reading["body"]["temperature_c"]),
        "read_ms": None if reading is None else reading["at_ms"],
        "readings": [{"at_ms": row[0], "temperature_c": row[1]} for row in baths.readings_of(story, dip)],
    }


def _kind(medium: str) -> str | None:
    for row in data_files.load("media")["media"]:
        if row["id"] == medium:
            return str(row["kind"]) if row["kind"] in ("oil", "water") else None
    return None
