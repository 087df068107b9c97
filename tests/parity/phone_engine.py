"""The lowered engine under the phone's own Python, in Node: asked like the engine here, by JSON lines."""

from __future__ import annotations

import json
import math
import shutil
import subprocess
from pathlib import Path
from typing import Any

from temperward.engine import api
from temperward.lowering.bundle import bundle

RUNNER = Path(__file__).parent / "runner.mjs"
OWN_NODE = Path(__file__).resolve().parents[2] / ".venv" / "bin" / "node"
NEAR = 1e-9  # relative: sums may be taken in another order where sets have none


class PhoneEngine:
    """One running process."""

    def __init__(self, folder: Path) -> None:
        """Lower the engine as it stands now and start it."""
        content = folder / "engine.bin"
        content.write_bytes(bundle(precompiled=True))
        node = str(OWN_NODE) if OWN_NODE.exists() else shutil.which("node")
        assert node, "Node is missing: install the project with its dev extra"
        self.process = subprocess.Popen(
            [node, str(RUNNER), str(content)], stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True
        )
        self.version = self._read()

    def call(self, *call: str) -> Any:
        """Call one entry of the phone's host with texts."""
        assert self.process.stdin is not None
        self.process.stdin.write(json.dumps({"call": call}) + "\n")
        self.process.stdin.flush()
        return self._read()

    def ask(self, question: str, facts: Any) -> Any:
        """Ask as the page asks: its JSON writes every character as itself."""
        if (
            question == "fold"
            and isinstance(facts.get("entries"), list)
            and isinstance(facts.get("log_id"), str)
        ):
            rest = {name: facts[name] for name in facts if name not in ("entries", "log_id")}
            return json.loads(
                self.call("foldPacked", facts["log_id"], text_of(facts["entries"]), text_of(rest))
            )
        return json.loads(self.call("ask", question, text_of(facts)))

    def close(self) -> None:
        """End the process."""
        assert self.process.stdin is not None
        assert self.process.stdout is not None
        self.process.stdin.close()
        self.process.wait(timeout=20)
        self.process.stdout.close()

    def _read(self) -> Any:
        assert self.process.stdout is not None
        line = self.process.stdout.readline()
        assert line, "the phone's Python ended"
        answer = json.loads(line)
        assert "fault" not in answer, answer["fault"]
        return answer["ok"]


def text_of(value: Any) -> str:
    """Return JSON as a browser writes it: every character as itself."""
    return json.dumps(value, ensure_ascii=False)


def here(question: str, facts: Any) -> Any:
    """Ask the same engine under this Python, text in and text out; of a fold what its workers hand on."""
    said = json.loads(api.ask_json(question, json.dumps(facts)))
    if question == "fold" and "answer" in said:
        del said["answer"]["shop_order"]
    return said


def difference(one: Any, other: Any, *, at: str = "answer") -> str | None:
    """Return where two answers part, or nothing."""
    if isinstance(one, dict) and isinstance(other, dict):
        if sorted(one) != sorted(other):
            return f"{at}: keys {sorted(one)} and {sorted(other)}"
        parts = [difference(one[key], other[key], at=f"{at}.{key}") for key in sorted(one)]
        return next((part for part in parts if part), None)
    if isinstance(one, list) and isinstance(other, list):
        if len(one) != len(other):
            return f"{at}: {len(one)} and {len(other)} rows"
        parts = [difference(one[place], other[place], at=f"{at}[{place}]") for place in range(len(one))]
        return next((part for part in parts if part), None)
    return None if same_leaf(one, other) else f"{at}: {one!r} here, {other!r} on the phone"


def same_leaf(one: Any, other: Any) -> bool:
    """Tell whether two plain values are the same; numbers to within a billionth of themselves."""
    numbers = all(isinstance(value, (int, float)) and not isinstance(value, bool) for value in (one, other))
    if numbers:
        return math.isclose(one, other, rel_tol=NEAR, abs_tol=1e-12)
    return type(one) is type(other) and one == other
