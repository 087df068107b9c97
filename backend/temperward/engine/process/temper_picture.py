"""Each temper as planned and as written down, over time and as a table. Drawn in a unit square."""

from __future__ import annotations

import math
from typing import Any

from temperward.engine.process import oven
from temperward.engine.process.frozen_limits import timer, usual
from temperward.engine.process.picture_tables import column, row
from temperward.engine.process.story import OvenStay, Story
from temperward.engine.quantities import note

MINUTE_MS = 60000.0
ROOM_TOLERANCES = 3.0  # design: the picture reaches three tolerances to either side of the set point
ROOM_K, STEP_C = 5.0, 10.0  # design: what is left above and below, and round ends
ROOM_AFTER = 1.04  # design: what is left behind the end
ABOVE_Y, FOOT_Y = 0.03, 0.05  # design: where the names stand, over the band and at the foot
AT_HEAT_Y = 0.1  # design: the mark "at heat" is no reading, it is a stroke at the foot
# Round steps, and as many as stay apart on a phone's width (design).
STEPS_MIN = [5.0, 10.0, 15.0, 30.0, 60.0, 120.0, 240.0, 480.0, 1440.0]
STEPS_C = [10.0, 20.0, 50.0, 100.0, 200.0]
MOST_TICKS = 5


class Temper:
    """One temper: its stays in the oven, and what was planned of it."""

    def __init__(self, story: Story, first: OvenStay, *, now_ms: int) -> None:
        """Begin with its first stay."""
        self.story = story
        self.stays = [first]
        self.number = first.number
        self.snap = first.purpose == "snap"
        self.set_c = usual("snap_c") if self.snap else oven.set_point_c(story, first.number)
        self.hold_s = oven.planned_s(story, first)
        self.within_k = story.limits.number("oven_tolerance_k", usual("oven_tolerance_k"))
        self.now_ms = now_ms

    def end_ms(self) -> int:
        """Return when it was out of the oven for good, or now."""
        out_ms = self.stays[-1].out_ms
        return max(self.now_ms, self.stays[-1].in_ms) if out_ms is None else out_ms

    def start_ms(self) -> int:
        """Return when the hold began; while no reading says so, when it would have."""
        start_ms = oven.hold_start_ms(self.story, self.stays[0])
        return int(self.stays[0].in_ms + timer("heat_up_s") * 1000) if start_ms is None else start_ms

    def points(self, stay: OvenStay) -> list[list[float]]:
        """Return what was read in one stay as [at_ms, temperature_c]."""
        return oven.readings_of(self.story, stay)

    def counted_s(self) -> float:
        """Return the time that counts so far."""
        return oven.counted_s(self.story, self.number, until_ms=self.end_ms())

    def is_short(self) -> bool:
        """Tell whether it ended before enough was counted."""
        if self.stays[-1].out_ms is None or self.snap:
            return False
        return self.counted_s() + timer("temper_grace_s") < self.hold_s


def tempers_of(story: Story, *, now_ms: int) -> list[Temper]:
    """Return the tempers since the last quench; stays of one number are one temper."""
    found: list[Temper] = []
    for stay in story.stays:
        last = found[-1] if found else None
        if last is not None and last.number == stay.number and last.snap == (stay.purpose == "snap"):
            last.stays.append(stay)
        else:
            found.append(Temper(story, stay, now_ms=now_ms))
    return found


def temper_pictures(story: Story, *, now_ms: int) -> list[dict[str, Any]]:
    """Return one picture with its table for each temper that was begun."""
    return [picture_of(temper) for temper in tempers_of(story, now_ms=now_ms)]


class Frame:
    """Where an instant and a temperature stand in the picture of one temper."""

    def __init__(self, temper: Temper, seen: list[float]) -> None:
        """Span from into the oven to out of it or to the end of the plan, and all that was read."""
        self.from_ms = float(temper.stays[0].in_ms)
        planned_ms = temper.start_ms() + temper.hold_s * 1000
        self.span_ms = max(MINUTE_MS, (max(float(temper.end_ms()), planned_ms) - self.from_ms) * ROOM_AFTER)
        room_k = ROOM_TOLERANCES * temper.within_k
        heats = seen + [temper.set_c - room_k, temper.set_c + room_k]
        self.low_c = math.floor((min(heats) - ROOM_K) / STEP_C) * STEP_C
        self.top_c = math.ceil((max(heats) + ROOM_K) / STEP_C) * STEP_C

    def x(self, at_ms: float) -> float:
        """Return where an instant stands."""
        return min(1.0, max(0.0, (at_ms - self.from_ms) / self.span_ms))

    def y(self, temperature_c: float) -> float:
        """Return where a temperature stands."""
        return (temperature_c - self.low_c) / (self.top_c - self.low_c)

    def minutes(self) -> list[list[float]]:
        """Return what stands below: even minutes from into the oven."""
        whole = self.span_ms / MINUTE_MS
        step = step_of(whole, STEPS_MIN)
        return [[k * step * MINUTE_MS / self.span_ms, k * step] for k in range(int(whole / step) + 1)]

    def degrees(self) -> list[list[float]]:
        """Return what stands at the side: even degrees, none in a corner."""
        step = step_of(self.top_c - self.low_c, STEPS_C)
        first = math.floor(self.low_c / step) + 1
        heats = [k * step for k in range(first, math.ceil((self.top_c - ROOM_K) / step))]
        return [[self.y(heat_c), heat_c] for heat_c in heats]


def step_of(span: float, steps: list[float]) -> float:
    """Return the smallest step that leaves room for what stands at an axis."""
    for step in steps:
        if span / step <= MOST_TICKS:
            return step
    return steps[-1] * math.ceil(span / MOST_TICKS / steps[-1])


def line(
    kind: str, points: list[list[float]], *, label: Any = None, at: list[float] | None = None
) -> dict[str, Any]:
    """Return one line, and what is written where."""
    return {"kind": kind, "points": points, "label": label, "at": [0.0, 0.0] if at is None else at}


def box(left: float, right: float, low: float, top: float) -> list[list[float]]:
    """Return the outline of a field."""
    return [[left, low], [right, low], [right, top], [left, top]]


def picture_of(temper: Temper) -> dict[str, Any]:
    """Return the plan, what was read, and where the heat failed."""
    read = [temper.points(stay) for stay in temper.stays]
    frame = Frame(temper, [point[1] for points in read for point in points])
    lines = gaps_of(temper, frame) + plan_of(temper, frame)
    for stay, points in zip(temper.stays, read):  # noqa: B905 (no strict on the phone; one for each)
        lines += [line("main", part) for part in parts_of(stay, points, frame) if len(part) > 1]
        lines += [line("dot", [[frame.x(at_ms), frame.y(c)]] * 2) for at_ms, c in points]
    title = "history.snap" if temper.snap else "history.temper"
    return {
        "id": "temper " + str(temper.stays[0].entry_id),
        "title": note(title, {"n": temper.number, "value_c": temper.set_c, "hold_s": temper.hold_s}),
        "lines": lines,
        "x": frame.minutes(),
        "x_unit": "min",
        "y": frame.degrees(),
        "y_unit": "degC",
        "notes": [note("history.counted_at_set")],
        "sources": ["hollomonJaffe1945", "practice"],
        "table": table_of(temper, read),
    }


def plan_of(temper: Temper, frame: Frame) -> list[dict[str, Any]]:
    """Return the tolerance as a band and the planned hold over it, both named above."""
    from_x = frame.x(temper.start_ms())
    to_x = frame.x(temper.start_ms() + temper.hold_s * 1000)
    y = frame.y(temper.set_c)
    low_y, top_y = frame.y(temper.set_c - temper.within_k), frame.y(temper.set_c + temper.within_k)
    return [
        line("band", box(from_x, to_x, low_y, top_y)),
        line(
            "mark",
            [[from_x, 0.0], [from_x, y], [to_x, y], [to_x, 0.0]],
            label=note("history.planned"),
            at=[(from_x + to_x) / 2.0, top_y + ABOVE_Y],
        ),
    ]


def gaps_of(temper: Temper, frame: Frame) -> list[dict[str, Any]]:
    """Return where the heat failed or the blade was out, when it was at heat, and the end."""
    found = []
    for k in range(len(temper.stays)):
        stay = temper.stays[k]
        if stay.at_heat_ms is not None:
            found.append(
                line("thin", [[frame.x(stay.at_heat_ms), 0.0], [frame.x(stay.at_heat_ms), AT_HEAT_Y]])
            )
        for cut_ms in stay.cuts_ms:
            again_ms = heat_again_ms(temper, stay, after_ms=cut_ms)
            found.append(gap("cut", cut_ms, again_ms, frame))
        if stay.out_ms is not None and k + 1 < len(temper.stays):
            found.append(gap("out", stay.out_ms, temper.stays[k + 1].in_ms, frame))
    if temper.stays[-1].out_ms is not None:
        x = frame.x(temper.end_ms())
        found.append(line("thin", [[x, 0.0], [x, 1.0]]))
    return found


def gap(name: str, from_ms: float, to_ms: float, frame: Frame) -> dict[str, Any]:
    """Return one stretch without heat, named at its foot."""
    left, right = frame.x(from_ms), frame.x(to_ms)
    named = note("history." + name)
    return line("zone", box(left, right, 0.0, 1.0), label=named, at=[(left + right) / 2.0, FOOT_Y])


def heat_again_ms(temper: Temper, stay: OvenStay, *, after_ms: int) -> float:
    """Return when something was read again after the power went; else the end of the stay."""
    for at_ms, _ in temper.points(stay):
        if at_ms > after_ms:
            return at_ms
    return float(temper.end_ms() if stay.out_ms is None else stay.out_ms)


def parts_of(stay: OvenStay, points: list[list[float]], frame: Frame) -> list[list[list[float]]]:
    """Return the readings as lines, a new one after each cut."""
    parts: list[list[list[float]]] = [[]]
    before_ms = 0.0
    for at_ms, temperature_c in points:
        if any(before_ms < cut_ms <= at_ms for cut_ms in stay.cuts_ms):
            parts.append([])
        parts[-1].append([frame.x(at_ms), frame.y(temperature_c)])
        before_ms = at_ms
    return parts


def said(what: dict[str, Any], *, at_ms: float | None = None, heat_c: float | None = None) -> list[Any]:
    """Return the cells of one row: what, when, how hot."""
    return [what, None if at_ms is None else note("history.at", {"at_ms": at_ms}), heat_c]


def table_of(temper: Temper, read: list[list[list[float]]]) -> dict[str, Any]:
    """Return the plan, then everything written down by the clock, then what it counts for."""
    rows = [row(said(note("history.plan", {"hold_s": temper.hold_s}), heat_c=temper.set_c), over=False)]
    for stay, points in zip(temper.stays, read):  # noqa: B905 (no strict on the phone; one for each)
        rows += rows_of(temper, stay, points)
    if not temper.snap:
        counted = note("history.counted", {"hold_s": temper.counted_s()})
        rows.append(row(said(counted), over=temper.is_short()))
    return {"columns": [column("what", ""), column("when", ""), column("oven", "degC")], "rows": rows}


def rows_of(temper: Temper, stay: OvenStay, points: list[list[float]]) -> list[dict[str, Any]]:
    """Return what was written down of one stay, by the clock."""
    events: list[list[Any]] = [[float(stay.in_ms), 0, "in", None]]
    if stay.at_heat_ms is not None:
        events.append([float(stay.at_heat_ms), 1, "at_heat", None])
    events += [[float(at_ms), 1, "read", heat_c] for at_ms, heat_c in points]
    events += [[float(cut_ms), 2, "cut", None] for cut_ms in stay.cuts_ms]
    if stay.peak_c is not None:
        events.append(
            [float(temper.end_ms() if stay.out_ms is None else stay.out_ms), 3, "peak", stay.peak_c]
        )
    if stay.out_ms is not None:
        events.append([float(stay.out_ms), 4, "taken_out", None])
    found = []
    for at_ms, _, name, heat_c in sorted(events, key=_by_clock):
        off = heat_c is not None and abs(heat_c - temper.set_c) > temper.within_k
        clock_ms = None if name == "peak" else at_ms
        found.append(
            row(said(note("history." + name), at_ms=clock_ms, heat_c=heat_c), over=off or name == "cut")
        )
    return found


def _by_clock(event: list[Any]) -> list[Any]:
    return event[:2]
