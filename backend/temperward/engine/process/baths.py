"""The baths of a quench: each dip with its own range and its own reading."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from temperward.engine import data_files
from temperward.engine.facts import is_number
from temperward.engine.process.frozen_limits import usual
from temperward.engine.process.gates import ask, item
from temperward.engine.process.readings import each_once
from temperward.engine.process.story import Story
from temperward.engine.quantities import note
from temperward.engine.thermal.bath_cooling import cooling_rates, seconds_to

if TYPE_CHECKING:
    from temperward.engine.process.gates import Item

SECOND_MS = 1000
MOST_READINGS = 12  # design: an evening at one bath
ITEM = "bath_temperature"


class Dip:
    """One bath of the quench: its place in the row of dips and what is in it."""

    def __init__(self, place: int, medium: str, *, alone: bool) -> None:
        """Name it; `alone` where the whole quench is in this one bath."""
        self.place = place
        self.medium = medium
        self.alone = alone
        self.item_id = ITEM if place == 0 else ITEM + "_" + str(place + 1)

    def burns(self) -> bool:
        """Tell whether it can burn; a log that does not say is taken to be in oil."""
        return self.medium == "" or "oil" in self.medium

    def form(self) -> dict[str, Any] | None:
        """Return what the form of its reading begins with: which of several baths is read."""
        return None if self.alone else {"medium": self.medium}


def dips_of(story: Story) -> list[Dip]:
    """Return the baths of the quench, each once, in the order of the dips."""
    media = story.media() or [""]
    places = [place for place in range(len(media)) if media[place] not in media[:place]]
    return [Dip(place, media[place], alone=len(places) == 1) for place in places]


def in_oil(story: Story) -> bool:
    """Tell whether a quench can burn."""
    return any(dip.burns() for dip in dips_of(story))


def bath_range(story: Story, dip: Dip) -> list[float] | None:
    """Return the range of a bath, [low, high] in degC: its own sheet before the card."""
    if dip.place == 0:
        low = story.limits.number_or_none("bath_low_c")
        high = story.limits.number_or_none("bath_high_c")
    else:
        low, high = _later_range(story, dip)
    sheet = story.fact("bath_ready", "from_sheet")
    if isinstance(sheet, dict) and (dip.alone or dip.burns()):
        low = _number(sheet.get("low_c"), low)
        high = _number(sheet.get("high_c"), high)
    return None if low is None or high is None else [low, high]


def _later_range(story: Story, dip: Dip) -> tuple[float | None, float | None]:
    """Return the range of a second bath: the card's set point, else what is usual for what is in it."""
    step = story.limits.step("ready_to_harden", cycle=None, temper=None)
    points = None if step is None else step.get("set_points")
    for point in points if isinstance(points, list) else []:
        if isinstance(point, dict) and point.get("id") == dip.item_id:
            figures = [point.get("value"), point.get("minus"), point.get("plus")]
            if all(is_number(figure) for figure in figures):
                return (point["value"] - point["minus"], point["value"] + point["plus"])
    for row in data_files.load("media")["media"]:
        if row["id"] == dip.medium:
            return (float(row["bath_low_c"]), float(row["bath_high_c"]))
    return (None, None)


def _number(value: Any, default: float | None) -> float | None:
    return float(value) if is_number(value) else default


def newest(
    story: Story, *, check: str, kind: str, keys: list[str] | None = None, medium: str | None = None
) -> dict[str, Any] | None:
    """Return the newest reading as {body, at_ms}: of this log, or of the folded log of the thing."""
    found: dict[str, Any] | None = None
    for key in [check] if keys is None else keys:
        entry = story.latest.get(key)
        if entry is not None and (found is None or entry["happened_ms"] > found["at_ms"]):
            found = {"body": entry["body"], "at_ms": entry["happened_ms"]}
    related = story.thing(kind, medium=medium)
    for row in [] if related is None else related.get("last", []):
        fits = row.get("check") == check and "temperature_c" in row
        if fits and (found is None or row["happened_ms"] > found["at_ms"]):
            found = {"body": row, "at_ms": row["happened_ms"]}
    return found


def reading_of(story: Story, dip: Dip) -> dict[str, Any] | None:
    """Return the newest reading of one bath; of several, a reading that names none is of the first."""
    if dip.alone:
        return newest(story, check=ITEM, kind="bath")
    keys = [ITEM + "." + dip.medium]
    if dip.place == 0:
        keys.append(ITEM + ".")
    return newest(story, check=ITEM, kind="bath", keys=keys, medium=dip.medium)


def readings_of(story: Story, dip: Dip) -> list[list[float]]:
    """Return what a bath was read at over time, [at_ms, degC] in order: in this log and in the bath's own."""
    names = [dip.medium, ""] if dip.alone or dip.place == 0 else [dip.medium]
    rows = [row for name in names for row in story.bath_reads.get(name, [])]
    thing = story.thing("bath", medium=None if dip.alone else dip.medium)
    held = [] if thing is None else thing.get("bath_readings", [])
    rows += [[one["at_ms"], one["temperature_c"]] for one in held]
    return each_once(rows)[-MOST_READINGS:]


def cool_ms(story: Story, dip: Dip) -> int | None:
    """Return when a bath that was too hot is in its range again, by the cooling that its readings show."""
    rows = readings_of(story, dip)
    limits = bath_range(story, dip)
    rates = cooling_rates(rows, rises=[])
    if rates is None or limits is None:
        return None
    wait_s = seconds_to(limits[1], from_c=rows[-1][1], rate_per_s=rates[0])
    return None if wait_s is None or wait_s <= 0.0 else int(rows[-1][0] + wait_s * SECOND_MS)


def until_ms(story: Story, reading: dict[str, Any]) -> int:
    """Return until when a reading of a bath stands."""
    return int(reading["at_ms"] + story.limits.number("readiness_s", usual("readiness_s")) * SECOND_MS)


def bath_temperature(story: Story, dip: Dip, at_ms: int) -> Item:
    """A bath inside its range, read lately."""
    reading = reading_of(story, dip)
    limits = bath_range(story, dip)
    check = ask(ITEM, body=dip.form())
    text = None if dip.alone else note("fold.item.bath_of", {"medium": note("medium." + dip.medium)})
    if reading is None or limits is None:
        return item(dip.item_id, passed=None, hard=True, check=check, text=text)
    temperature_c = reading["body"]["temperature_c"]
    passed: bool | None = limits[0] <= temperature_c <= limits[1]
    stands_ms = until_ms(story, reading)
    return item(
        dip.item_id,
        passed=passed if at_ms < stands_ms else None,
        hard=True,
        value=note("fold.value.range_c", {"value_c": temperature_c, "low_c": limits[0], "high_c": limits[1]}),
        expires_ms=stands_ms,
        check=check,
        text=text,
        read_ms=reading["at_ms"],
    )


def flash_c(story: Story) -> float | None:
    """Return the flash point of the oil, as entered or as on the card."""
    value = story.fact("flash_point", "flash_c")
    return story.limits.number_or_none("flash_c") if value is None else float(value)


def flash_margin(story: Story, at_ms: int) -> Item:
    """Far enough under the flash point (cfr1910), by the oil's own reading: no way around it."""
    flash = flash_c(story)
    hottest: dict[str, Any] | None = None
    stands: list[int] = []
    for dip in dips_of(story):
        if not dip.burns():
            continue
        reading = reading_of(story, dip)
        if flash is None or reading is None:
            check = ask("flash_point") if flash is None else ask(ITEM, body=dip.form())
            return item("flash_margin", passed=None, hard=True, check=check, overridable=False)
        if hottest is None or reading["body"]["temperature_c"] > hottest["body"]["temperature_c"]:
            hottest = {"body": reading["body"], "form": dip.form()}
        stands.append(until_ms(story, reading))
    if flash is None or hottest is None:
        return item("flash_margin", passed=None, hard=True, check=ask("flash_point"), overridable=False)
    margin_k = flash - hottest["body"]["temperature_c"]
    stands_ms = min(stands)
    passed = margin_k >= usual("flash_margin_k")
    return item(
        "flash_margin",
        passed=None if passed and at_ms >= stands_ms else passed,
        hard=True,
        value=note("fold.value.margin_k", {"margin_k": margin_k}),
        expires_ms=stands_ms if passed else None,
        check=ask(ITEM, body=hottest["form"]),
        overridable=False,
    )
