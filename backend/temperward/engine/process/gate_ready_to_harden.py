"""Ready to harden: all that must be so before a blade goes into the fire, the oven above all."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from temperward.engine.process import bows
from temperward.engine.process.frozen_limits import usual
from temperward.engine.process.gate_ready_for_heat import straight_enough, wanted_length
from temperward.engine.process.gates import ask, item, of, yes
from temperward.engine.process.story import Story
from temperward.engine.quantities import note

if TYPE_CHECKING:
    from temperward.engine.process.entries import Entry
    from temperward.engine.process.gates import Item

GATE = "ready_to_harden"
SECOND_MS = 1000


def items(story: Story, at_ms: int) -> list[Item]:
    """Return the items as they stand at an instant."""
    found = [cycles(story), bow(story), trend(story)]
    if bath_range(story) is not None:
        found.append(bath_temperature(story, at_ms))
    if in_oil(story):
        found.append(flash_margin(story, at_ms))
    if story.media() != ["plates"]:
        found.append(tick(story, "covers_blade", overridable=False))
    if in_oil(story):
        found.append(tick(story, "lid", overridable=False))
        found.append(tick(story, "extinguisher"))
    found.append(tick(story, "path"))
    if story.fact("bath_ready", "tipping") is not None:
        found.append(tick(story, "tipping"))
    found.append(oven(story, at_ms))
    return found


def in_oil(story: Story) -> bool:
    """Tell whether a quench can burn; a log that does not say is taken to be in oil."""
    media = story.media()
    return not media or any("oil" in medium for medium in media)


def cycles_wanted(story: Story) -> int:
    """Return how many cycles there are to be, one more where straightening owes one."""
    planned = story.limits.cycles()
    return max(planned, story.cycles_done + 1) if story.owes_cycle else planned


def cycles(story: Story) -> Item:
    """All the heats of the card, and the one that a large bow owes."""
    wanted = cycles_wanted(story)
    relief = any(step.get("kind") == "stress_relief" for step in story.limits.steps) and not story.relieved
    value = note("fold.value.of_n", {"value": story.cycles_done, "of": wanted})
    return item("cycles", passed=story.cycles_done >= wanted and not relief, hard=True, value=value)


def bow(story: Story) -> Item:
    """Straight after the last heat."""
    value = None
    if story.bows:
        last = story.bows[-1]
        value = of(last["counts_mm"], last["limit_mm"], "mm")
    check = ask("straightness", body=wanted_length(story))
    return item("bow", passed=straight_enough(story), hard=True, value=value, check=check)


def trend(story: Story) -> Item:
    """No bow that grows from heat to heat with the cause not found."""
    return item("trend", passed=bows.trend_row(story) is None, hard=True)


def bath_range(story: Story) -> list[float] | None:
    """Return the range of the bath, [low, high] in degC: its own sheet before the card."""
    sheet = story.fact("bath_ready", "from_sheet")
    low = story.limits.number_or_none("bath_low_c")
    high = story.limits.number_or_none("bath_high_c")
    if isinstance(sheet, dict):
        low = _number(sheet.get("low_c"), low)
        high = _number(sheet.get("high_c"), high)
    return None if low is None or high is None else [low, high]


def _number(value: Any, default: float | None) -> float | None:
    return float(value) if isinstance(value, (int, float)) and not isinstance(value, bool) else default


def newest(story: Story, *, check: str, kind: str) -> dict[str, Any] | None:
    """Return the newest reading as {body, at_ms}: of this log, or of the folded log of the thing."""
    found: dict[str, Any] | None = None
    entry: Entry | None = story.latest.get(check)
    if entry is not None:
        found = {"body": entry["body"], "at_ms": entry["happened_ms"]}
    related = story.thing(kind)
    rows = [] if related is None else related.get("last", [])
    for row in rows:
        fits = row.get("check") == check and "temperature_c" in row
        if fits and (found is None or row["happened_ms"] > found["at_ms"]):
            found = {"body": row, "at_ms": row["happened_ms"]}
    return found


def bath_temperature(story: Story, at_ms: int) -> Item:
    """The bath inside its range, read lately."""
    reading = newest(story, check="bath_temperature", kind="bath")
    limits = bath_range(story)
    if reading is None or limits is None:
        return item("bath_temperature", passed=None, hard=True, check=ask("bath_temperature"))
    temperature_c = reading["body"]["temperature_c"]
    until_ms = int(reading["at_ms"] + story.limits.number("readiness_s", usual("readiness_s")) * SECOND_MS)
    passed: bool | None = limits[0] <= temperature_c <= limits[1]
    value = note("fold.value.range_c", {"value_c": temperature_c, "low_c": limits[0], "high_c": limits[1]})
    return item(
        "bath_temperature",
        passed=passed if at_ms < until_ms else None,
        hard=True,
        value=value,
        expires_ms=until_ms,
        check=ask("bath_temperature"),
    )


def flash_c(story: Story) -> float | None:
    """Return the flash point of the oil, as entered or as on the card."""
    value = story.fact("flash_point", "flash_c")
    return story.limits.number_or_none("flash_c") if value is None else float(value)


def flash_margin(story: Story, at_ms: int) -> Item:
    """Far enough under the flash point (cfr1910): no way around it."""
    flash = flash_c(story)
    reading = newest(story, check="bath_temperature", kind="bath")
    if flash is None or reading is None:
        check = ask("flash_point" if flash is None else "bath_temperature")
        return item("flash_margin", passed=None, hard=True, check=check, overridable=False)
    margin_k = flash - reading["body"]["temperature_c"]
    until_ms = int(reading["at_ms"] + story.limits.number("readiness_s", usual("readiness_s")) * SECOND_MS)
    passed: bool | None = margin_k >= usual("flash_margin_k")
    return item(
        "flash_margin",
        passed=None if passed and at_ms >= until_ms else passed,
        hard=True,
        value=note("fold.value.margin_k", {"margin_k": margin_k}),
        expires_ms=until_ms if passed else None,
        check=ask("bath_temperature"),
        overridable=False,
    )


def tick(story: Story, name: str, *, overridable: bool = True) -> Item:
    """One thing that is looked at and ticked."""
    value = story.fact("bath_ready", name)
    return item(
        name, passed=value, hard=True, value=yes(value), check=ask("bath_ready"), overridable=overridable
    )


def oven(story: Story, at_ms: int) -> Item:
    """The way to the temper: the oven at its set point by its own thermometer, or a snap temper planned."""
    if "snap_temper_planned" in story.choices:
        return item("oven", passed=True, hard=True, value=note("fold.value.snap_planned"))
    reading = newest(story, check="oven_temperature", kind="oven")
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
    )


def oven_fits(story: Story, body: dict[str, Any], *, set_c: float) -> bool:
    """Tell whether a reading is near enough, its highest swing not over by more than it may be."""
    within_k = story.limits.number("oven_tolerance_k", usual("oven_tolerance_k"))
    peak_c = body.get("swing_peak_c")
    if peak_c is not None and peak_c > set_c + usual("oven_peak_over_k"):
        return False
    return bool(abs(body["temperature_c"] - set_c) <= within_k)
