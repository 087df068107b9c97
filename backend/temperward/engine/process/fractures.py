"""Photos of a fracture, two to lie side by side: the newest, and the one that proved it or came before."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from temperward.engine import data_files
from temperward.engine.facts import is_number
from temperward.engine.process.story import Story
from temperward.engine.quantities import note

if TYPE_CHECKING:
    from temperward.engine.process.entries import Entry

PROOFS = ["coupon", "grain"]
PROOF_STEP = "prove-coupon"
UNKNOWN = "unknown"


def fractures(story: Story, events: list[Entry]) -> list[dict[str, Any]]:
    """Return the newest fracture and, beside it, the newest other that passed, else the one before."""
    found = found_in(events)
    if not found:
        return []
    others = [found[k] for k in range(len(found) - 2, -1, -1)]
    passed = [one for one in others if did_pass(one["proof"]) is True]
    return [shown(story, one) for one in [found[-1]] + (passed or others)[:1]]


def found_in(events: list[Entry]) -> list[dict[str, Any]]:
    """Return the photos of fractures in shop order, each with the entry that proved or did not."""
    proofs: dict[str, Entry] = {}
    newest: Entry | None = None
    broken = False
    found = []
    for entry in events:
        body = entry["body"]
        if entry["kind"] == "check" and body["check"] in PROOFS:
            proofs[entry["id"]] = entry
            newest = entry
        elif entry["kind"] == "mark" and body["mark"] == "broken_up":
            broken = True
        elif entry["kind"] == "photo":
            proof = proofs.get(str(body.get("of")))
            if proof is None and body.get("step") == PROOF_STEP:
                proof = newest
            if proof is not None or broken or body.get("step") == PROOF_STEP:
                found.append({"photo": entry, "proof": proof})
    return found


def did_pass(proof: Entry | None) -> bool | None:
    """Tell whether a coupon passed or a grain was fine; nothing where nobody said."""
    if proof is None:
        return None
    body = proof["body"]
    return bool(body.get("passed")) if body["check"] == "coupon" else body.get("answer") == "fine"


def shown(story: Story, one: dict[str, Any]) -> dict[str, Any]:
    """Return a photo with its steel, its heat and what it proved."""
    photo: Entry = one["photo"]
    steel = story.limits.fact("steel")
    known = isinstance(steel, str) and steel != UNKNOWN
    facts: dict[str, Any] = {"steel": steel if known else note("history.steel_unknown")}
    heat_c, key = heat_of(story, one["proof"])
    if heat_c is not None:
        facts["heat_c"] = heat_c
    return {
        "sha256": photo["body"]["sha256"],
        "happened_ms": photo["happened_ms"],
        "title": note("history.fracture." + key, facts),
        "verdict": verdict_of(one["proof"]),
    }


def verdict_of(proof: Entry | None) -> dict[str, Any]:
    """Return what a break proves: a coupon that passed its own thickness in its bath, no more."""
    passed = did_pass(proof)
    if proof is None or passed is None:
        return note("history.fracture.unsaid")
    body = proof["body"]
    if passed and body["check"] == "coupon":
        baths = [row["id"] for row in data_files.load("media")["media"]]
        named = ("medium." if body["medium"] in baths else "say:") + body["medium"]
        facts = {"thickness_mm": body["thickness_mm"], "medium": note(named)}
        return note("history.fracture.proves", facts)
    return note("history.fracture." + ("passed" if passed else "not_passed"))


def heat_of(story: Story, proof: Entry | None) -> tuple[float | None, str]:
    """Return the heat it was quenched from: the coupon's own, else the plan's, said to be that."""
    things = story.related.get("coupon")
    name = None if proof is None else proof["body"].get("name")
    for thing in things if isinstance(things, list) and isinstance(name, str) else []:
        facts = thing.get("facts") if isinstance(thing, dict) and thing.get("name") == name else None
        if isinstance(facts, dict) and is_number(facts.get("heat_c")):
            return float(facts["heat_c"]), "heat"
    planned_c = story.limits.number_or_none("harden_c")
    return (None, "no_heat") if planned_c is None else (planned_c, "planned")
