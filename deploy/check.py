#!/usr/bin/env python3
"""Check everything, quickest first, on a laptop and in continuous integration alike.

    python3 deploy/check.py [--long] [--only STAGE ...] [--list]

Installs what it needs by itself (environment, Node, packages, Chromium); ends with a table of seconds.
"""

from __future__ import annotations

import sys

if sys.version_info < (3, 11):
    sys.exit("The check needs Python 3.11 or newer; this is %d.%d." % sys.version_info[:2])

import argparse
import os
import shutil
import subprocess
import time
import xml.etree.ElementTree as ET
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path

import machine

RESULTS = machine.ROOT / "tests" / "results"
COVERAGE_DATA = machine.CACHE / "coverage"
# The aim is 100 for the engine; a full run shows 98 for it and 97 for everything. Raise both when they rise.
COVERAGE_FLOORS_PCT = {"engine": 97, "everything": 96}
CORES = os.cpu_count() or 1
STAGE_LIMIT_S = 2400  # the longest takes about 700 s; one that hangs is named instead of holding up everybody
LONG_STAGE_LIMIT_S = 3 * 3600
FAULT_RUNS_AT_ONCE = 6  # a run is mostly waiting
FAULT_SEEDS = os.environ.get("TEMPERWARD_FAULT_SEEDS", "1000")
DESK_TESTS = [
    "tests",
    "--ignore=tests/parity",
    "--ignore=tests/faults",
    "--ignore=tests/fuzz",
    "--ignore=tests/journeys",
    "--ignore=tests/bench",
]


class Failed(Exception):
    """A stage found something; its words were printed where it ran."""


@dataclass(frozen=True)
class Stage:
    """One line of the table."""

    name: str
    work: Callable[[Check], None]
    needs: tuple[str, ...] = ()
    long_only: bool = False


@dataclass
class Check:
    """One run: what was asked for and what came of it."""

    long: bool
    notes: dict[str, list[str]] = field(default_factory=dict)
    current: str = ""

    def note(self, text: str) -> None:
        """Keep a word for the table."""
        self.notes.setdefault(self.current, []).append(text)

    def run(self, *words: str, cwd: Path = machine.ROOT, extra: dict[str, str] | None = None) -> None:
        """Run a program with its output shown; a code other than 0, or no end, fails the stage."""
        limit_s = LONG_STAGE_LIMIT_S if self.long else STAGE_LIMIT_S
        code = machine.run_at_most(limit_s, words, cwd=cwd, extra=extra)
        if code is None:
            self.note(f"stopped after {limit_s} s")
        if code != 0:
            raise Failed

    def tool(self, name: str, *words: str) -> None:
        """Run a program of the virtual environment."""
        self.run(machine.program(name), *words)

    def npm(self, script: str, *words: str) -> None:
        """Run one of the phone app's scripts."""
        self.run(*machine.npm("run", "--silent", script, *words), cwd=machine.PHONE)

    def pytest(
        self, *words: str, covered: bool = False, at_once: int = 0, extra: dict[str, str] | None = None
    ) -> None:
        """Run pytest, note its counts; covered: measure which lines ran; at_once: so many files at a time."""
        RESULTS.mkdir(parents=True, exist_ok=True)
        report = RESULTS / f"{self.current}.xml"
        report.unlink(missing_ok=True)
        module = ["-m", "coverage", "run", f"--data-file={COVERAGE_DATA}.{self.current}", "-m", "pytest"]
        start = module if covered else ["-m", "pytest"]
        markers = [] if self.long else ["-m", "not long"]
        spread = [f"--numprocesses={at_once}", "--dist=loadfile", "--no-loadscope-reorder"] if at_once else []
        words = (*start, "--durations=10", f"--junitxml={report}", *spread, *markers, *words)
        try:
            self.run(machine.program("python"), *words, extra=extra)
        finally:
            if report.exists():
                self.note(counts_text(counts_of(report)))


def counts_of(report: Path) -> dict[str, int]:
    """Return how many tests passed, failed and were skipped, from pytest's own report."""
    suites = ET.parse(report).getroot().iter("testsuite")  # noqa: S314 - written by our own pytest a moment ago
    total = {"passed": 0, "failed": 0, "skipped": 0}
    for suite in suites:
        bad = int(suite.get("failures", 0)) + int(suite.get("errors", 0))
        skipped = int(suite.get("skipped", 0))
        total["failed"] += bad
        total["skipped"] += skipped
        total["passed"] += int(suite.get("tests", 0)) - bad - skipped
    return total


def counts_text(counts: dict[str, int]) -> str:
    """Return the counts as pytest says them."""
    return ", ".join(f"{number} {name}" for name, number in counts.items() if number or name == "passed")


def rules_of_format(check: Check) -> None:
    """Python is formatted."""
    check.tool("ruff", "format", "--check", ".")


def lint_python(check: Check) -> None:
    """Ruff with every rule but those refused with a reason."""
    check.tool("ruff", "check", ".")


def import_rules_python(check: Check) -> None:
    """Layers, the pure engine, and the api that never touches storage."""
    check.tool("lint-imports")


def types_python(check: Check) -> None:
    """Mypy, strict."""
    check.tool("mypy")


def lowering(check: Check) -> None:
    """Every line of the engine can be lowered for the phone."""
    check.tool("python", "-m", "temperward.lowering", "--check")


def lint_typescript(check: Check) -> None:
    """Biome: format and lint."""
    check.npm("lint")


def types_typescript(check: Check) -> None:
    """Every tsconfig of the phone app."""
    check.npm("types")


def import_rules_typescript(check: Check) -> None:
    """The phone app's layers."""
    check.npm("imports")


def tests_python(check: Check) -> None:
    """Unit, service and rule tests."""
    for old in machine.CACHE.glob("coverage.*"):
        old.unlink()
    check.pytest(*DESK_TESTS, covered=True, at_once=CORES + 1)  # some wait


def tests_typescript(check: Check) -> None:
    """Vitest."""
    check.npm("test")


def parity(check: Check) -> None:
    """The phone's engine and the server's give the same answers."""
    check.pytest("tests/parity", covered=True, at_once=CORES)


def documents(_check: Check) -> None:
    """The committed OpenAPI document and the types made from it are those of today's code."""
    path = machine.ROOT / "backend" / "docs" / "openapi.json"
    words = [machine.program("temperward"), "openapi"]
    answer = subprocess.run(words, env=machine.environment(), capture_output=True, text=True, check=False)
    if answer.returncode or answer.stdout.strip() != path.read_text(encoding="utf-8").strip():
        machine.say(answer.stderr)
        machine.say(f"{path} is not today's document. Write it: temperward openapi > {path}")
        raise Failed


def coverage(check: Check) -> None:
    """Which lines and branches the tests ran, against the floors."""
    check.tool("coverage", "combine", "--keep", f"--data-file={COVERAGE_DATA}", str(machine.CACHE))
    for scope, floor_pct in COVERAGE_FLOORS_PCT.items():
        narrowed = ["--include=backend/temperward/engine/*"] if scope == "engine" else []
        words = ["report", f"--data-file={COVERAGE_DATA}", "--show-missing", "--skip-covered", *narrowed]
        check.note(f"{scope} floor {floor_pct} %")
        check.tool("coverage", *words, f"--fail-under={floor_pct}")


def dead_code(check: Check) -> None:
    """Knip: no unused file, export or package."""
    check.npm("unused")


def build_and_size(check: Check) -> None:
    """The phone app builds and stays within its budget."""
    machine.ensure_phone_app()
    check.npm("size")


def api_fuzz(check: Check) -> None:
    """Schemathesis against the running server: no 500, nothing that the document does not say."""
    check.pytest("tests/fuzz")


def faults(check: Check) -> None:
    """Phones, links and servers broken by seed: nothing lost, double or stuck; a thousand with --long."""
    shutil.rmtree(RESULTS / "faults", ignore_errors=True)
    try:
        check.pytest("tests/faults", f"--numprocesses={FAULT_RUNS_AT_ONCE}")
    finally:
        if check.long:
            check.run(machine.program("python"), "tests/faults/figures.py", FAULT_SEEDS)


def journeys(check: Check) -> None:
    """A real browser against the real server."""
    machine.ensure_phone_app()
    webkit_missing = machine.ensure_webkit()
    if webkit_missing:
        check.note(f"WebKit left out: {webkit_missing}")
    check.pytest("tests/journeys", at_once=min(2 * CORES, 8))  # a journey mostly waits


def benches(check: Check) -> None:
    """Figures beside their budgets; they inform, they do not fail."""
    machine.ensure_phone_app()
    for bench in sorted((machine.ROOT / "tests" / "bench").glob("*_bench.py")):
        check.run(machine.program("python"), str(bench))


STAGES = (
    Stage("format", rules_of_format),
    Stage("lint-python", lint_python),
    Stage("imports-python", import_rules_python),
    Stage("types-python", types_python),
    Stage("lowering", lowering),
    Stage("lint-typescript", lint_typescript, needs=("node",)),
    Stage("types-typescript", types_typescript, needs=("node",)),
    Stage("imports-typescript", import_rules_typescript, needs=("node",)),
    Stage("tests-typescript", tests_typescript, needs=("node",)),
    Stage("tests-python", tests_python, needs=("node",)),
    Stage("parity", parity, needs=("node", "browser")),
    Stage("documents", documents),
    Stage("coverage", coverage),
    Stage("dead-code", dead_code, needs=("node",)),
    Stage("build-and-size", build_and_size, needs=("node",)),
    Stage("api-fuzz", api_fuzz),
    Stage("faults", faults, needs=("node",)),
    Stage("journeys", journeys, needs=("node", "browser")),
    Stage("benches", benches, needs=("node", "browser"), long_only=True),
)


@dataclass(frozen=True)
class Row:
    """What one stage came to."""

    name: str
    passed: bool
    seconds: float


def run_stage(stage: Stage, check: Check) -> Row:
    """Run one stage and time it."""
    machine.say(f"\n== {stage.name}: {(stage.work.__doc__ or '').strip()}")
    check.current = stage.name
    started = time.monotonic()
    try:
        if "node" in stage.needs:
            machine.ensure_node_modules()
        if "browser" in stage.needs:
            os.environ["TEMPERWARD_CHROMIUM"] = machine.ensure_chromium()
        stage.work(check)
        passed = True
    except Failed:
        passed = False
    except (machine.Trouble, OSError) as trouble:
        machine.say(str(trouble))
        passed = False
    seconds = time.monotonic() - started
    machine.say(f"   {'passed' if passed else 'FAILED'} in {seconds:.0f} s")
    return Row(stage.name, passed, seconds)


def table(rows: list[Row], check: Check) -> str:
    """Return the table of stages."""
    lines = [f"{'stage':<20} {'result':<8} {'seconds':>8}  notes"]
    for row in rows:
        notes = "; ".join(check.notes.get(row.name, []))
        lines.append(f"{row.name:<20} {'passed' if row.passed else 'FAILED':<8} {row.seconds:>8.1f}  {notes}")
    lines.append(f"{'all':<20} {'':<8} {sum(row.seconds for row in rows):>8.1f}")
    return "\n".join(lines)


def summary(rows: list[Row]) -> str:
    """Return one line over all pytest runs, in pytest's own form."""
    reports = [RESULTS / f"{row.name}.xml" for row in rows]
    counts = [counts_of(report) for report in reports if report.exists()]
    total = {name: sum(count[name] for count in counts) for name in ("passed", "failed", "skipped")}
    seconds = sum(row.seconds for row in rows)
    return f" {counts_text(total)} in {seconds:.2f}s ".center(80, "=")


def arguments() -> argparse.Namespace:
    """Read the command line."""
    parser = argparse.ArgumentParser(description="Check everything, quickest first.")
    parser.add_argument("--long", action="store_true", help="all seeds, and the benches")
    parser.add_argument("--only", action="append", default=[], choices=[stage.name for stage in STAGES])
    parser.add_argument("--list", action="store_true", help="name the stages")
    return parser.parse_args()


def main() -> int:
    """Run the stages that were asked for; 0 when all passed."""
    options = arguments()
    if options.list:
        machine.say("\n".join(f"{stage.name:<20} {(stage.work.__doc__ or '').strip()}" for stage in STAGES))
        return 0
    with machine.told_plainly():
        machine.ensure_environment(extra="dev")
        check = Check(long=options.long)
        wanted = [stage for stage in STAGES if stage.name in options.only or not options.only]
        wanted = [stage for stage in wanted if options.long or options.only or not stage.long_only]
        rows = [run_stage(stage, check) for stage in wanted]
    machine.say("\n" + table(rows, check))
    machine.say("\n" + summary(rows))
    failed = [row.name for row in rows if not row.passed]
    machine.say(f"FAILED: {', '.join(failed)}" if failed else "All passed.")
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main())
