"""Ready to harden: all that must be so before a blade goes into the fire, the oven above all."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from temperward.engine.facts import is_number
from temperward.engine.process import baths, bows
from temperward.engine.process.days import end_of_day_ms
from temperward.engine.process.frozen_limits import timer, usual
from temperward.engine.process.gate_ready_for_heat import hardens, straight_enough, wanted_length
from temperward.engine.process.gates import answered, ask, item, of, yes
from temperward.engine.process.story import Story
from temperward.engine.quantities import note

if TYPE_CHECKING:
    from temperward.engine.process.gates import Item

GATE = "ready_to_harden"
SECOND_MS = 1000
DATED = ["extinguisher", "co_alarm"]


def items(story: Story, at_ms: int) -> list[Item]:
    """Return the items as they stand at an instant."""
    found = unproven(story) + [cycles(story), bow(story), trend(story)] + twist(story)
    for dip in baths.dips_of(story):
        if baths.bath_range(story, dip) is not None:
            found.append(baths.bath_temperature(story, dip, at_ms))
    oil = baths.in_oil(story)
    if oil:
        found.append(baths.flash_margin(story, at_ms))
    if story.media() != ["plates"]:
        found.append(tick(story, "covers_blade", overridable=False))
    if oil:
        found.append(tick(story, "lid", overridable=False))
        found.append(tick(story, "extinguisher"))
    found.append(tick(story, "path"))
    if stands_tall(story) or story.fact("bath_ready", "tipping") is not None:
        found.append(tick(story, "tipping"))
    found.append(oven(story, at_ms))
    return found + shop_checks(story, at_ms)


def shop_checks(story: Story, at_ms: int) -> list[Item]:
    """What the shop looks at from time to time, where the thing has a log: overdue it blocks nothing."""
    found = []
    bath, oven_log = story.thing("bath"), story.thing("oven")
    if baths.in_oil(story) and bath is not None:
        found.append(looked_after("crackle", things=[bath], at_ms=at_ms))
    if oven_log is not None:
        found.append(looked_after("oven_compared", things=[oven_log], at_ms=at_ms))
    testers = _instruments(story, "hardness_tester")
    if testers:
        found.append(looked_after("test_block", things=testers, at_ms=at_ms))
    for what in DATED:
        ends = [end_of_day_ms(one["facts"].get("until")) for one in _instruments(story, what)]
        dates = [until_ms for until_ms in ends if until_ms is not None]
        if dates:
            found.append(dated(what + "_date", until_ms=min(dates), at_ms=at_ms))
    return found


def _instruments(story: Story, what: str) -> list[dict[str, Any]]:
    """Return the shop's testers, extinguishers or alarms."""
    given = story.related.get("instrument")
    things = [one for one in (given if isinstance(given, list) else []) if isinstance(one, dict)]
    return [one for one in things if isinstance(one.get("facts"), dict) and one["facts"].get("what") == what]


def dated(name: str, *, until_ms: int, at_ms: int) -> Item:
    """Tell whether what has a date printed on it is still good."""
    over = at_ms >= until_ms
    value = note("fold.value.overdue") if over else None
    return item(name, passed=not over, hard=False, value=value, expires_ms=None if over else until_ms)


def looked_after(name: str, *, things: list[dict[str, Any]], at_ms: int) -> Item:
    """One check of the shop: done, overdue, or never done; of several things the last one done counts."""
    rows = [row for thing in things for row in thing.get("last", []) if _is(row, name)]
    if not rows:
        return item(name, passed=None, hard=False)
    if rows[-1].get("water") is True:
        return item(name, passed=False, hard=False, value=note("fold.value.water"))
    until_ms = int(max([row["happened_ms"] for row in rows]) + timer(name + "_s") * SECOND_MS)
    overdue = at_ms >= until_ms
    return item(
        name,
        passed=not overdue,
        hard=False,
        value=note("fold.value.overdue") if overdue else None,
        expires_ms=None if overdue else until_ms,
    )


def _is(row: dict[str, Any], name: str) -> bool:
    """Tell whether a row is this check; an oven read beside its own dial was compared."""
    beside_dial = name == "oven_compared" and row.get("check") == "oven_temperature" and "dial_c" in row
    return row.get("check") == name or beside_dial


def unproven(story: Story) -> list[Item]:
    """Carry on what was not proven before the first heat, until it is, or somebody answers for it."""
    one = hardens(story)
    at_the_first = answered(story, "ready_for_heat", one["id"], read_ms=one["read_ms"])
    return [] if one["passed"] is True or at_the_first is not None else [one]


def stands_tall(story: Story) -> bool:
    """Tell whether the bath is a tall tube: a long blade goes in upright, unless by its edge or in plates."""
    zone = story.limits.fact("hard_zone")
    if isinstance(zone, dict) and zone.get("kind") == "edge":
        return False
    length_mm = story.limits.fact("length_mm")
    return is_number(length_mm) and length_mm >= usual("long_blade_mm") and story.media() != ["plates"]


def cycles_wanted(story: Story) -> int:
    """Return how many cycles there are to be: those done on top, and one that straightening owes."""
    owed = 1 if story.owes_cycle else 0
    return max(story.limits.cycles(), story.cycles_done + owed)


def cycles(story: Story) -> Item:
    """All the heats of the card, and the one that a large bow owes."""
    wanted = cycles_wanted(story)
    relief = any(step.get("kind") == "stress_relief" for step in story.limits.steps) and not story.relieved
    value = note("fold.value.of_n", {"value": story.cycles_done, "of": wanted})
    return item(
        "cycles",
        passed=story.cycles_done >= wanted and not relief,
        hard=True,
        value=value,
        read_ms=story.cold_ms,
    )


def bow(story: Story) -> Item:
    """Straight after the last heat."""
    value = None
    if story.bows:
        last = story.bows[-1]
        value = of(last["counts_mm"], last["limit_mm"], "mm")
        if bows.kink_mm(story) is not None:
            value = note("fold.value.kink", {"kink_mm": bows.kink_mm(story)})
    check = ask("straightness", body=wanted_length(story))
    return item(
        "bow", passed=straight_enough(story), hard=True, value=value, check=check, read_ms=bow_read_ms(story)
    )


def bow_read_ms(story: Story) -> int | None:
    """Return when the bow was last read, or could have changed."""
    found = [] if story.cold_ms is None else [story.cold_ms]
    if story.bows:
        found.append(story.bows[-1]["read_ms"])
    return max(found) if found else None


def trend(story: Story) -> Item:
    """No bow that grows from heat to heat with the cause not found."""
    row = bows.trend_row(story)
    return item("trend", passed=row is None, hard=True, read_ms=None if row is None else row["read_ms"])


def twist(story: Story) -> list[Item]:
    """No twist, where it was measured; after straightening or a heat a twisted blade is measured again."""
    row = story.twist
    if row is None:
        return []
    same = row["series"] == story.series and row["heats"] == story.heats_done
    passed = True if row["within"] else (False if same else None)
    value = note("fold.value.of_deg", {"value_deg": row["twist_deg"], "of_deg": row["limit_deg"]})
    return [item("twist", passed=passed, hard=True, value=value, check=ask("twist"), read_ms=row["read_ms"])]


def tick(story: Story, name: str, *, overridable: bool = True) -> Item:
    """One thing that is looked at and ticked."""
    value = story.fact("bath_ready", name)
    return item(
        name,
        passed=value,
        hard=True,
        value=yes(value),
        check=ask("bath_ready"),
        overridable=overridable,
        read_ms=story.read_ms("bath_ready"),
    )


def oven(story: Story, at_ms: int) -> Item:
    """The way to the temper: the oven at its set point by its own thermometer, or a snap temper planned."""
    if "snap_temper_planned" in story.choices:
        return item("oven", passed=True, hard=True, value=note("fold.value.snap_planned"))
    reading = baths.newest(story, check="oven_temperature", kind="oven")
    set_c = story.limits.number_or_none("oven_set_c")
    if set_c is None:
        set_c = story.limits.temper_c(1)
    if reading is None or set_c is None:
        return item("oven", passed=None, hard=True, check=ask("oven_temperature"))
    until_ms = int(
        reading["at_ms"] + story.limits.number("oven_reading_s", usual("oven_reading_s")) * SECOND_MS
    )
    passed: bool | None = oven_fits(story, reading["body"], set_c=set_c)
    return item(
        "oven",
        passed=passed if at_ms < until_ms else None,
        hard=True,
        value=of(reading["body"]["temperature_c"], set_c, "c"),
        expires_ms=until_ms,
        check=ask("oven_temperature"),
        read_ms=reading["at_ms"],
    )


def oven_fits(story: Story, body: dict[str, Any], *, set_c: float) -> bool:
    """Tell whether a reading is near enough, its highest swing not over by more than it may be."""
    within_k = story.limits.number("oven_tolerance_k", usual("oven_tolerance_k"))
    peak_c = body.get("swing_peak_c")
    if peak_c is not None and peak_c > set_c + usual("oven_peak_over_k"):
        return False
    return bool(abs(body["temperature_c"] - set_c) <= within_k)
