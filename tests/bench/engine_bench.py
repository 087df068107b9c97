"""Prints what the engine costs on a slow phone, beside its budget: `engine_bench.py [--slowed 4]`.

A browser's CPU slow-down reaches a page and not its workers: the engine runs on the page's own thread.
"""

from __future__ import annotations

import argparse
import statistics
import sys
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

HERE = Path(__file__).resolve().parent
sys.path[:0] = [str(HERE), str(HERE.parent), str(HERE.parent / "engine")]

from common.card_cases import VARIANTS  # noqa: E402
from engine_page import bench_page, build  # noqa: E402
from log_maker import Log  # noqa: E402
from playwright.sync_api import Page  # noqa: E402

from temperward.engine import api  # noqa: E402

REPEATS = 5
FOLD_ENTRIES = 300
FOLD_BUDGET_MS = 100
CARD_BUDGET_MS = 500


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


def runs(page: Page, name: str, script: str, facts: Any, *, budget_ms: float | None) -> Row:
    """Run something some times, the first left out: it reads the data files."""
    took = [float(page.evaluate(script, facts)) for _ in range(REPEATS + 1)][1:]
    return Row(name, statistics.median(took), min(took), budget_ms)


def asked(page: Page, name: str, question: str, facts: Any, *, budget_ms: float | None = None) -> Row:
    """Return what one question costs."""
    script = "([question, facts]) => bench.ask(question, facts).ms"
    return runs(page, name, script, [question, facts], budget_ms=budget_ms)


def folded(page: Page, name: str, way: str, log: Log) -> Row:
    """Return what folding a log costs: whole (`fold`), or held already and given one entry more (`mark`)."""
    facts = {"log_kind": "piece", "now_ms": log.now_ms}
    script = "([way, id, all, facts]) => bench[way](id, all, facts).ms"
    return runs(page, name, script, [way, log.log_id, log.entries, facts], budget_ms=FOLD_BUDGET_MS)


def measure(page: Page) -> list[Row]:
    """Return everything that has a budget, and what is good to know."""
    started = float(page.evaluate("bench.start().then((one) => one.load_ms)"))
    log = long_log(FOLD_ENTRIES)
    harden = {"steel": "1075", "thickness_mm": 4.2, "medium": "fast_oil", "bath_c": 54}
    cards = [name for name in ("plain", "by eye", "clay") if name in VARIANTS]
    return [
        Row("start Python and engine", started, started, None),
        folded(page, f"fold of {FOLD_ENTRIES} entries", "fold", log),
        folded(page, f"one mark onto {FOLD_ENTRIES - 1} held entries", "mark", log),
        *[
            asked(page, f"make_card, {name}", "make_card", VARIANTS[name], budget_ms=CARD_BUDGET_MS)
            for name in cards
        ],
        asked(page, "will_it_harden", "will_it_harden", harden),
    ]


def report(rows: list[Row], *, say: Callable[[str], Any]) -> bool:
    """Print the rows; tell whether all budgets are held."""
    over = [row for row in rows if row.budget_ms is not None and row.middle_ms > row.budget_ms]
    for row in rows:
        verdict = "OVER" if row in over else "ok"
        budget = "" if row.budget_ms is None else f"  budget {row.budget_ms:4.0f} ms  {verdict}"
        say(f"{row.name:36s} {row.middle_ms:7.1f} ms (quickest {row.quickest_ms:6.1f}){budget}\n")
    return not over


def main() -> int:
    """Build the page, run it slowed, print."""
    parser = argparse.ArgumentParser(description="What the engine costs on a slow phone.")
    parser.add_argument(
        "--slowed", type=float, default=4.0, help="how many times slower the CPU is (default 4)"
    )
    wish = parser.parse_args()
    build()
    with bench_page(slowed=wish.slowed) as page:
        return 0 if report(measure(page), say=sys.stdout.write) else 1


if __name__ == "__main__":
    sys.exit(main())
