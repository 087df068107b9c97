"""What is shown at a glance: word, shape, hazards, sentence, caution, why."""

from __future__ import annotations

from typing import Any

from temperward.engine import data_files
from temperward.engine.process.big_number import number_of
from temperward.engine.process.cautions import caution
from temperward.engine.process.next_action import actions_of
from temperward.engine.process.phases import phase_of
from temperward.engine.process.said_facts import said
from temperward.engine.process.set_line import line_of
from temperward.engine.process.story import Story
from temperward.engine.process.view import View
from temperward.engine.quantities import note

COUNTED_WORDS = ["cycle", "temper"]


def screen_of(view: View) -> dict[str, Any]:
    """Return everything that the working screen shows."""
    phase_id = phase_of(view)
    phase: dict[str, Any] = data_files.load("phases")["by_id"][phase_id]
    facts = said(view, phase.get("facts", []))
    first, offers, more = actions_of(view, phase, phase_id)
    step = step_of(view.story)
    hazards = hazards_of(view.story)
    return {
        "phase": phase_id,
        "screen": phase["screen"],
        "shape": phase["shape"],
        "word": word_of(view.story, phase["word"]),
        "hazards": hazards,
        "hazard_line": hazard_line(hazards),
        "sentence": note("fold.say." + phase_id, facts),
        "caution": caution_of(phase, step),
        "why": why_of(step),
        "number": number_of(view, phase["number"]),
        "next": first,
        "offers": offers,
        "more": more,
        "step": None if step is None else step.get("id"),
        "set": None if phase.get("set") == "none" else line_of(view),
    }


def word_of(story: Story, word: str) -> dict[str, Any]:
    """Return the state word; a cycle and a temper carry their number, a stress relief its name."""
    if word == "cycle" and story.heat_kind == "stress_relief":
        return note("fold.word.relief")
    facts: dict[str, Any] = {}
    if word in COUNTED_WORDS:
        facts["number"] = story.cycle if word == "cycle" else story.temper
    return note("fold.word." + word, facts)


def hazards_of(story: Story) -> list[str]:
    """Return the hazard words of this state."""
    kind = story.people_kind()
    if kind is not None:
        return [{"fire": "FIRE", "co": "CO", "hurt": "HURT"}[kind]]
    if story.state in data_files.load("states")["ended"] and story.scrap_brittle:
        return ["BRITTLE"]
    if story.state == "temper_cooling" and story.cold:
        return []
    hazards: list[str] = data_files.load("states")["by_id"][story.state]["hazards"]
    return hazards


def hazard_line(hazards: list[str]) -> dict[str, Any] | None:
    """Return the line that stands with the first hazard, the most lasting one last in the list."""
    if not hazards:
        return None
    return note("fold.hazard." + hazards[-1].lower().replace(" ", "_"))


def step_of(story: Story) -> dict[str, Any] | None:
    """Return the card's step that is being done; a released blade has none left to warn of or explain."""
    if story.state == "released":
        return None
    cycle = story.cycle if story.cycle > 0 else None
    if story.state == "cycle_checked" and story.cycles_done > 0:
        cycle = story.cycles_done
    if story.heat_kind == "stress_relief" and story.state in ("cycle_in_heat", "cycle_cooling"):
        for step in story.limits.steps:
            if step.get("kind") == "stress_relief":
                return step
    temper = story.temper if story.temper > 0 else None
    return story.limits.step(story.state, cycle=cycle, temper=temper)


def caution_of(phase: dict[str, Any], step: dict[str, Any] | None) -> dict[str, Any] | None:
    """Return the caution of this moment, which may be none, or else the step's first."""
    name = phase.get("caution")
    if name == "none":
        return None
    return first_caution(step) if name is None else caution(name)


def first_caution(step: dict[str, Any] | None) -> dict[str, Any] | None:
    """Return the step's first caution: one is shown, not a list."""
    cautions = None if step is None else step.get("cautions")
    if isinstance(cautions, list) and cautions and isinstance(cautions[0], dict):
        return dict(cautions[0])
    return None


def why_of(step: dict[str, Any] | None) -> dict[str, Any] | None:
    """Return why this step is as it is."""
    why = None if step is None else step.get("why")
    return dict(why) if isinstance(why, dict) else None
