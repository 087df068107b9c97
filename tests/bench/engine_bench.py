"""Prints what the engine costs on a slow phone, beside its budget: `engine_bench.py [--slowed 4]`.

A browser's CPU slow-down reaches a page and not its workers: the engine runs on the page's own thread.
"""

from __future__ import annotations

import argparse
import statistics
import sys
from collections.abc import Callable
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


def median_ms(page: Page, script: str, facts: Any) -> float:
    """Return the middle of some runs, the first left out: it reads the data files."""
    runs = [float(page.evaluate(script, facts)) for _ in range(REPEATS + 1)]
    return statistics.median(runs[1:])


def ask_ms(page: Page, question: str, facts: Any) -> float:
    """Return what one question costs."""
    return median_ms(page, "([question, facts]) => bench.ask(question, facts).ms", [question, facts])


def fold_ms(page: Page, way: str, log: Log) -> float:
    """Return what folding a log costs: whole (`fold`), or held already and given one entry more (`mark`)."""
    facts = {"log_kind": "piece", "now_ms": log.now_ms}
    script = "([way, id, all, facts]) => bench[way](id, all, facts).ms"
    return median_ms(page, script, [way, log.log_id, log.entries, facts])


def measure(page: Page) -> list[tuple[str, float, float | None]]:
    """Return name, milliseconds and budget of everything that has one, and of what is good to know."""
    started = float(page.evaluate("bench.start().then((one) => one.load_ms)"))
    log = long_log(FOLD_ENTRIES)
    rows: list[tuple[str, float, float | None]] = [("start Python and engine", started, None)]
    rows.append((f"fold of {FOLD_ENTRIES} entries", fold_ms(page, "fold", log), FOLD_BUDGET_MS))
    rows.append(
        (f"one mark onto {FOLD_ENTRIES - 1} held entries", fold_ms(page, "mark", log), FOLD_BUDGET_MS)
    )
    cards = [name for name in ("plain", "by eye", "clay") if name in VARIANTS]
    rows += [
        (f"make_card, {name}", ask_ms(page, "make_card", VARIANTS[name]), CARD_BUDGET_MS) for name in cards
    ]
    harden = {"steel": "1075", "thickness_mm": 4.2, "medium": "fast_oil", "bath_c": 54}
    rows.append(("will_it_harden", ask_ms(page, "will_it_harden", harden), None))
    return rows


def report(rows: list[tuple[str, float, float | None]], *, say: Callable[[str], Any]) -> bool:
    """Print the rows; tell whether all budgets are held."""
    held = True
    for name, took_ms, budget_ms in rows:
        over = budget_ms is not None and took_ms > budget_ms
        held = held and not over
        budget = "" if budget_ms is None else f"  budget {budget_ms:4.0f} ms  {'OVER' if over else 'ok'}"
        say(f"{name:36s} {took_ms:7.1f} ms{budget}\n")
    return held


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
