"""The long run's figures: each chunk of seeds leaves a file of lines, this sums them.

python tests/faults/figures.py [seeds that must be there]
"""

from __future__ import annotations

import json
import sys
from dataclasses import asdict
from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from verdict import Verdict

FOLDER = Path(__file__).resolve().parents[1] / "results" / "faults"
FAULTS = ("lost", "double", "stuck", "wrong")


def file_of(first: int) -> Path:
    """Return the file in which the chunk that begins with this seed leaves its lines."""
    FOLDER.mkdir(parents=True, exist_ok=True)
    return FOLDER / f"{first}.jsonl"


def line_of(verdict: Verdict, database: str) -> str:
    """Return one run as a line."""
    return json.dumps({"database": database, **asdict(verdict)})


def summary(runs: list[dict[str, Any]]) -> str:
    """Return the figures of many runs in one line."""
    parts = {
        "seeds": len(runs),
        "of them on postgresql": sum(run["database"] == "postgresql" for run in runs),
        "entries kept": sum(run["kept"] for run in runs),
        "photos": sum(run["photos"] for run in runs),
        "reminders": sum(run["reminders"] for run in runs),
        **{f"seeds with {fault}": sum(bool(run[fault]) for run in runs) for fault in FAULTS},
    }
    return ", ".join(f"{name} {number}" for name, number in parts.items())


def main() -> int:
    """Print the summary and each bad run; 1 when there is one, or when runs are missing."""
    runs = [
        json.loads(line) for path in sorted(FOLDER.glob("*.jsonl")) for line in path.open(encoding="utf-8")
    ]
    bad = [run for run in runs if any(run[fault] for fault in FAULTS)]
    sys.stdout.writelines(json.dumps(run) + "\n" for run in bad)
    sys.stdout.write(summary(runs) + "\n")
    missing = len(sys.argv) > 1 and len(runs) != int(sys.argv[1])
    return 1 if bad or missing else 0


if __name__ == "__main__":
    sys.exit(main())
