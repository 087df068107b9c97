"""Everything that can go wrong, does, by seed; then nothing is lost, double or stuck.

    pytest tests/faults                          the seeds below and those that once failed
    pytest tests/faults -m long -n 6             a thousand, six at once: a run is mostly waiting
    TEMPERWARD_FAULT_SEEDS=200 pytest tests/faults -m long -n 6
    python tests/faults/figures.py               what they came to
    TEMPERWARD_FAULT_SEED=17 pytest tests/faults -k one_seed

A failure prints its seed; put it into crashers.txt, and it is run every time from then on.
"""

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path

import figures
import pytest
from verdict import Verdict

SEEDS_SQLITE = tuple(range(1, 16))
SEEDS_POSTGRESQL = (5, 17, 18, 19, 20)
LONG_SEEDS = int(os.environ.get("TEMPERWARD_FAULT_SEEDS", "1000"))
LONG_FROM = 1000
CHUNK = 25
POSTGRESQL_EVERY = 5  # of the long run's seeds, so many on PostgreSQL: one in five
CRASHERS = Path(__file__).with_name("crashers.txt")

Run = Callable[..., Verdict]


def crashers() -> list[tuple[str, int]]:
    """Return database and seed of every run that once failed."""
    lines = [line.split("#")[0].split() for line in CRASHERS.read_text("utf-8").splitlines()]
    return [(parts[0], int(parts[1])) for parts in lines if parts]


def seeds_of(database: str, usual: tuple[int, ...]) -> list[int]:
    """Return the seeds to run on a database."""
    return [*usual, *(seed for name, seed in crashers() if name == database and seed not in usual)]


def told(verdict: Verdict, database: str) -> str:
    """Return a verdict as it is printed."""
    return f"seed {verdict.seed} on {database}: {verdict}"


@pytest.mark.parametrize("seed", seeds_of("sqlite", SEEDS_SQLITE))
def test_nothing_is_lost_double_or_stuck_on_sqlite(run_on_sqlite: Run, seed: int) -> None:
    verdict = run_on_sqlite(seed)
    assert verdict.good, told(verdict, "sqlite")
    assert verdict.kept > 0


@pytest.mark.postgresql
@pytest.mark.parametrize("seed", seeds_of("postgresql", SEEDS_POSTGRESQL))
def test_nothing_is_lost_double_or_stuck_on_postgresql(run_on_postgresql: Run, seed: int) -> None:
    verdict = run_on_postgresql(seed)
    assert verdict.good, told(verdict, "postgresql")
    assert verdict.kept > 0


@pytest.mark.skipif("TEMPERWARD_FAULT_SEED" not in os.environ, reason="no seed was named")
def test_one_seed(run_on_sqlite: Run) -> None:
    verdict = run_on_sqlite(int(os.environ["TEMPERWARD_FAULT_SEED"]))
    assert verdict.good, told(verdict, "sqlite")


def test_a_phone_that_takes_entries_out_of_its_queue_before_the_answer_is_found_out(
    run_on_sqlite: Run, phone_code: Path, tmp_path: Path
) -> None:
    """The proof that these runs can fail: a phone with the commonest fault of such queues loses entries."""
    right = phone_code.read_text("utf-8")
    asks = "const answer = await callHalving("
    assert right.count(asks) == 1
    early = (
        'await store.write(["outbox"], (tx) => '
        'Promise.all(sent.map((entry) => tx.objectStore("outbox").delete(entry.id))));'
    )
    wrong = tmp_path / "phone.mjs"
    wrong.write_text(right.replace(asks, early + asks), "utf-8")
    verdict = run_on_sqlite(SEEDS_SQLITE[0], code=wrong, heal_limit_s=5.0)
    assert verdict.lost, verdict


@pytest.mark.long
@pytest.mark.postgresql
@pytest.mark.parametrize("first", range(LONG_FROM, LONG_FROM + LONG_SEEDS, CHUNK))
def test_one_chunk_of_a_thousand_runs(run_on_sqlite: Run, run_on_postgresql: Run, first: int) -> None:
    """All seeds of the chunk are run, whatever the first come to; `figures.py` sums up all chunks."""
    runs = {"sqlite": run_on_sqlite, "postgresql": run_on_postgresql}
    bad = []
    with figures.file_of(first).open("w", encoding="utf-8") as log:
        for seed in range(first, min(first + CHUNK, LONG_FROM + LONG_SEEDS)):
            database = "sqlite" if seed % POSTGRESQL_EVERY else "postgresql"
            verdict = runs[database](seed)
            log.write(figures.line_of(verdict, database) + "\n")
            log.flush()
            if not verdict.good:
                bad.append(told(verdict, database))
    assert bad == [], "\n".join(bad)
