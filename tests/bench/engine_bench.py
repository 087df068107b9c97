"""Prints what the engine costs on a slow phone and here, beside its budgets: `engine_bench.py [--slowed 4]`.

A browser's CPU slow-down reaches a page and not its workers: the engine runs on the page's own thread.
"""

from __future__ import annotations

import argparse
import os
import statistics
import sys
import time
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

HERE = Path(__file__).resolve().parent
sys.path[:0] = [str(HERE), str(HERE.parent), str(HERE.parent / "engine")]

from common.card_cases import VARIANTS  # noqa: E402
from engine_page import bench_page, build  # noqa: E402
from engine_questions import CARDS, FACTS, OF_LOGS  # noqa: E402
from log_maker import Log  # noqa: E402
from playwright.sync_api import Page  # noqa: E402

from temperward.engine import api  # noqa: E402

REPEATS = 15
SIZES = [50, 150, 300, 600]
BUDGET_SIZE = 300
PICTURED_SIZE = 150
FOLD_BUDGET_MS = 100
BUDGETS_MS = {"make_card": 500.0, "will_it_harden": 1500.0}
OTHER_BUDGET_MS = 400.0
SERVER_BUDGET_MS = 20.0


def long_log(count: int) -> Log:
    """Return the log of a blade that took many cycles and readings, hard and untempered at its end."""
    log = Log(card=api.ask("make_card", VARIANTS["plain"])["answer"])
    log.ground()
    while len(log.entries) < count - 40:
        log.cycle(0.15)
        log.check("magnet", {"answer": "sticks", "place": "edge"}, after_s=30)
        log.add("note", {"text": "oil still warm"})
        log.bow(0.1)
    log.get_ready().harden()
    while len(log.entries) < count:
        log.add("note", {"text": "waiting for the oven"})
    return log


@dataclass(frozen=True)
class Row:
    """What something costs: the quickest run is the least disturbed by the rest of the machine."""

    name: str
    middle_ms: float
    quickest_ms: float
    budget_ms: float | None
    server_ms: float | None = None


def runs(page: Page, name: str, script: str, facts: Any, *, budget_ms: float | None) -> Row:
    """Run something some times, the first left out: it reads the data files."""
    took = [float(page.evaluate(script, facts)) for _ in range(REPEATS + 1)][1:]
    return Row(name, statistics.median(took), min(took), budget_ms)


def here_ms(question: str, facts: Any) -> float:
    """Return what a question costs under this Python: the quickest run of some."""
    took = []
    for _ in range(REPEATS + 1):
        began = time.perf_counter()
        said = api.ask(question, facts)
        took.append((time.perf_counter() - began) * 1000)
        assert "error" not in said, f"{question}: {said['error']}"
    return min(took)


def asked(page: Page, name: str, question: str, facts: Any) -> Row:
    """Return what one question costs."""
    script = "([question, facts]) => bench.ask(question, facts).ms"
    budget_ms = BUDGETS_MS.get(question, OTHER_BUDGET_MS)
    row = runs(page, name, script, [question, facts], budget_ms=budget_ms)
    return Row(name, row.middle_ms, row.quickest_ms, budget_ms, here_ms(question, facts))


def folded(page: Page, name: str, way: str, log: Log) -> Row:
    """Return what folding a log costs: whole (`fold`), or held already and given one entry more (`mark`)."""
    facts = {"log_kind": "piece", "now_ms": log.now_ms}
    script = "([way, id, all, facts]) => bench[way](id, all, facts).ms"
    budget_ms = FOLD_BUDGET_MS if len(log.entries) <= BUDGET_SIZE else None
    row = runs(page, name, script, [way, log.log_id, log.entries, facts], budget_ms=budget_ms)
    whole = {**facts, "log_id": log.log_id, "entries": log.entries}
    server_ms = here_ms("fold", whole) if way == "fold" else None
    return Row(name, row.middle_ms, row.quickest_ms, budget_ms, server_ms)


def measure(page: Page) -> list[Row]:
    """Return everything that has a budget, and what is good to know."""
    started = float(page.evaluate("bench.start().then((one) => one.load_ms)"))
    logs = [long_log(size) for size in SIZES]
    tempered = long_log(PICTURED_SIZE)
    tempered.mark("hand_warm", after_s=900)
    tempered.temper().temper()
    questions = [name for name in api.names() if name not in OF_LOGS]
    return [
        Row("start Python and engine", started, started, None),
        *[folded(page, f"fold of {len(log.entries)} entries", "fold", log) for log in logs],
        *[folded(page, f"one mark onto {len(log.entries) - 1} held", "mark", log) for log in logs],
        asked(page, f"pictures of {len(tempered.entries)} entries", "log_pictures", tempered.facts()),
        *[asked(page, name, name, FACTS[name]) for name in questions],
        *[asked(page, f"make_card, {name}", "make_card", VARIANTS[name]) for name in CARDS],
    ]


def report(rows: list[Row], *, say: Callable[[str], Any]) -> bool:
    """Print the rows; tell whether all budgets are held."""
    kept = True
    for row in rows:
        over = row.budget_ms is not None and row.middle_ms > row.budget_ms
        over = over or (row.server_ms is not None and row.server_ms > SERVER_BUDGET_MS)
        kept = kept and not over
        budget = "" if row.budget_ms is None else f" of {row.budget_ms:4.0f}"
        server = (
            "" if row.server_ms is None else f"  server {row.server_ms:6.2f} ms of {SERVER_BUDGET_MS:.0f}"
        )
        word = "  OVER" if over else ""
        figures = f"{row.middle_ms:7.1f} ms{budget:8s} (quickest {row.quickest_ms:6.1f})"
        say(f"{row.name:32s} {figures}{server}{word}\n")
    return kept


def growth(rows: list[Row]) -> str:
    """Say what each entry more costs, from size to size: near the same where folding is linear."""
    quickest = [row.quickest_ms for row in rows if row.name.startswith("fold of ")]
    steps = zip(SIZES, SIZES[1:], quickest, quickest[1:], strict=False)
    each = [f"{low}-{high}: {(more - less) / (high - low):.3f} ms" for low, high, less, more in steps]
    return "one entry more, whole fold: " + ", ".join(each) + "\n"


def main() -> int:
    """Build the page, run it slowed, print."""
    parser = argparse.ArgumentParser(description="What the engine costs on a slow phone.")
    parser.add_argument(
        "--slowed", type=float, default=4.0, help="how many times slower the CPU is (default 4)"
    )
    wish = parser.parse_args()
    build()
    say = sys.stdout.write
    before = os.getloadavg()[0]
    with bench_page(slowed=wish.slowed) as page:
        rows = measure(page)
    kept = report(rows, say=say)
    say(growth(rows))
    say(f"load {before:.1f} before, {os.getloadavg()[0]:.1f} after, {os.cpu_count()} cores\n")
    return 0 if kept else 1


if __name__ == "__main__":
    sys.exit(main())
