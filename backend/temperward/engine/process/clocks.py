"""The clocks that run on a blade: instants, never counters."""

from __future__ import annotations

from typing import Any

from temperward.engine.process import gate_quench_go, oven, timeline, window
from temperward.engine.process.frozen_limits import BRITTLE_STAGES, timer, usual
from temperward.engine.process.story import OVEN_STATES, UNTEMPERED_STATES, Quench, Story
from temperward.engine.quantities import note

SECOND_MS = 1000
Clock = dict[str, Any]


def running(story: Story, gates: list[dict[str, Any]]) -> list[Clock]:
    """Return the clocks that run; none while people come first."""
    if story.people:
        return []
    found = [
        brittle(story),
        snap(story),
        no_reading(story),
        hold(story),
        straightening(story),
        soak(story),
        cooling(story),
        temper_hold(story),
        readiness(story, gates),
        put_aside(story),
    ]
    return [clock for clock in found if clock is not None]


def clock_of(
    kind: str, entry_id: str, *, from_ms: int, due_ms: int | None, stages: list[dict[str, Any]] | None = None
) -> Clock:
    """Return one clock; where no stages are given its end is its only one, a reminder."""
    if stages is None:
        stages = [] if due_ms is None else [stage_of(kind, "reminder", due_ms, useful_s=1800)]
        for stage in stages:
            stage["presses"] = True
    return {
        "id": kind + ":" + entry_id,
        "kind": kind,
        "from_ms": from_ms,
        "due_ms": due_ms,
        "paused": False,
        "stages": stages,
        "text": note("fold.clock." + kind),
    }


def stage_of(kind: str, stage: str, due_ms: float, *, useful_s: float) -> dict[str, Any]:
    """Return one stage of a clock: when it is due, how long its message is of use, whether it presses.

    What presses goes into a phone's calendar; a reminder does only where nothing comes after it.
    """
    return {
        "stage": stage,
        "due_ms": int(due_ms),
        "text": note("fold.clock." + kind + "." + stage),
        "useful_s": int(useful_s),
        "presses": stage != "reminder",
    }


def staged(kind: str, due_ms: list[float]) -> list[dict[str, Any]]:
    """Return reminder, hurry and alarm; each is of use until the next, the alarm for half a day."""
    stages = []
    for index in range(len(BRITTLE_STAGES)):
        useful_s = timer("useful_alarm_s")
        if index + 1 < len(BRITTLE_STAGES):
            useful_s = max((due_ms[index + 1] - due_ms[index]) / SECOND_MS, 60)
        stages.append(stage_of(kind, BRITTLE_STAGES[index], due_ms[index], useful_s=useful_s))
    return stages


def brittle_stages_ms(story: Story, quench: Quench) -> list[float]:
    """Return when the three stages of the brittle clock are due; boiling water holds the last, once."""
    due = [quench.at_ms + story.limits.brittle_s(stage) * SECOND_MS for stage in BRITTLE_STAGES]
    if quench.boiling_ms is None:
        return due
    until_ms = quench.boiling_ms + usual("boiling_s") * SECOND_MS
    due[-1] = max(due[-1], until_ms)
    return due


def brittle(story: Story) -> Clock | None:
    """The clock of a hard blade: from the quench mark until it has been hot enough for long enough."""
    quench = story.quench
    if quench is None or story.tempered_once:
        return None
    if story.state in UNTEMPERED_STATES:
        due = brittle_stages_ms(story, quench)
        stages = staged("brittle", due)
        return clock_of("brittle", quench.entry_id, from_ms=quench.at_ms, due_ms=int(due[2]), stages=stages)
    stay = story.stay()
    if story.state in OVEN_STATES and stay is not None and stay.from_state == "hard":
        clock = clock_of("brittle", quench.entry_id, from_ms=quench.at_ms, due_ms=None, stages=[])
        clock["paused"] = True
        return clock
    return None


def snap(story: Story) -> Clock | None:
    """The long clock of a snap-tempered blade."""
    if story.state != "snap_tempered" or story.snap_ms is None:
        return None
    due = [story.snap_ms + timer("snap_" + stage + "_s") * SECOND_MS for stage in BRITTLE_STAGES]
    return clock_of(
        "snap", str(story.snap_id), from_ms=story.snap_ms, due_ms=int(due[2]), stages=staged("snap", due)
    )


def no_reading(story: Story) -> Clock | None:
    """A hard blade in an oven that nobody has read."""
    due_ms = timeline.no_reading_ms(story)
    stay = story.stay()
    if due_ms is None or stay is None:
        return None
    from_ms = stay.in_ms
    half_ms = from_ms + (due_ms - from_ms) // 2
    stages = [
        stage_of("no_reading", "reminder", half_ms, useful_s=(due_ms - half_ms) // SECOND_MS),
        stage_of("no_reading", "alarm", due_ms, useful_s=timer("useful_alarm_s")),
    ]
    return clock_of("no_reading", stay.entry_id, from_ms=from_ms, due_ms=due_ms, stages=stages)


def hold(story: Story) -> Clock | None:
    """The seconds in the bath."""
    if story.state != "in_quench" or story.quench is None:
        return None
    at_ms = story.quench.at_ms
    due_ms = int(at_ms + story.limits.hold_s() * SECOND_MS)
    return clock_of("hold", story.quench.entry_id, from_ms=at_ms, due_ms=due_ms, stages=[])


def straightening(story: Story) -> Clock | None:
    """The straightening window."""
    found = window.window_of(story) if story.state == "warm_window" else None
    if found is None or story.quench is None:
        return None
    return clock_of(
        "window", story.quench.entry_id, from_ms=found["open_ms"], due_ms=found["gentle_until_ms"], stages=[]
    )


def soak(story: Story) -> Clock | None:
    """The soak at heat, in a cycle or before the quench."""
    heat = story.heat
    if heat is None:
        return None
    if story.state == "hardening_heat":
        from_ms = gate_quench_go.soak_from_ms(story)
        due_ms = gate_quench_go.soak_due_ms(story)
    elif story.state == "cycle_in_heat":
        from_ms = heat.even_ms
        due_ms = cycle_soak_due_ms(story)
    else:
        return None
    return None if from_ms is None else clock_of("soak", heat.even_id, from_ms=from_ms, due_ms=due_ms)


def cycle_soak_due_ms(story: Story) -> int | None:
    """Return when the soak of a cycle is long enough."""
    heat = story.heat
    if heat is None or heat.even_ms is None:
        return None
    soak_s = story.limits.soak_cycle_s(max(story.cycle, 1))
    if story.heat_kind == "stress_relief":
        soak_s = story.limits.number("stress_relief_s", usual("stress_relief_s"))
    return int(heat.even_ms + soak_s * SECOND_MS)


def cooling_due_ms(story: Story) -> int | None:
    """Return when the blade can be held again."""
    if story.state == "cycle_cooling":
        return int(
            story.since_ms + story.limits.number("cycle_cooling_s", timer("cycle_cooling_s")) * SECOND_MS
        )
    if story.state == "temper_cooling" and not story.cold:
        return int(
            story.since_ms + story.limits.number("temper_cooling_s", timer("temper_cooling_s")) * SECOND_MS
        )
    return None


def cooling(story: Story) -> Clock | None:
    """Cooling in still air."""
    due_ms = cooling_due_ms(story)
    if due_ms is None or story.state_id is None:
        return None
    return clock_of("cooling", story.state_id, from_ms=story.since_ms, due_ms=due_ms)


def temper_hold(story: Story) -> Clock | None:
    """The hold in the oven, by what counts."""
    stay = story.stay()
    if stay is None or story.state not in OVEN_STATES:
        return None
    start_ms = oven.hold_start_ms(story, stay)
    from_ms = stay.in_ms if start_ms is None else start_ms
    due_ms = oven.due_ms(story, stay)
    return clock_of("temper_hold", stay.entry_id, from_ms=from_ms, due_ms=due_ms)


def readiness(story: Story, gates: list[dict[str, Any]]) -> Clock | None:
    """How long everything stays ready to harden."""
    if story.state != "ready_to_harden" or story.state_id is None:
        return None
    for gate in gates:
        if gate["id"] == "ready_to_harden" and gate["open"]:
            ends = [one["expires_ms"] for one in gate["items"] if one["expires_ms"] is not None]
            if ends:
                return clock_of("readiness", story.state_id, from_ms=story.since_ms, due_ms=min(ends))
    return None


def put_aside(story: Story) -> Clock | None:
    """A blade put aside is not forgotten: one reminder."""
    if story.state != "put_aside" or story.state_id is None:
        return None
    due_ms = int(story.since_ms + timer("put_aside_s") * SECOND_MS)
    return clock_of("put_aside", story.state_id, from_ms=story.since_ms, due_ms=due_ms)
