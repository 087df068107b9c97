"""The demo shop, loaded once, and the fold of any of its blades."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from common.demo_time import NOW_MS

from seed_data.quillfen import DemoShop, demo_shop
from temperward.engine import api

Fold = dict[str, Any]


@pytest.fixture(scope="session")
def shop() -> DemoShop:
    return demo_shop(now_ms=NOW_MS, seed=b"test")


@pytest.fixture(scope="session")
def entries_of(shop: DemoShop) -> Callable[[str], list[dict[str, Any]]]:
    made = {entry["body"]["tag"]: entry["log_id"] for entry in shop.entries if entry["kind"] == "piece_made"}

    def find(tag: str) -> list[dict[str, Any]]:
        return [entry for entry in shop.entries if entry["log_id"] == made[tag]]

    return find


@pytest.fixture(scope="session")
def fold(entries_of: Callable[[str], list[dict[str, Any]]]) -> Callable[..., Fold]:
    def ask(tag: str, *, now_ms: int = NOW_MS, until_ms: int | None = None) -> Fold:
        entries = [entry for entry in entries_of(tag) if until_ms is None or entry["written_ms"] <= until_ms]
        facts = {"log_kind": "piece", "log_id": entries[0]["log_id"], "entries": entries, "now_ms": now_ms}
        answer = api.ask("fold", facts)
        assert "error" not in answer, answer
        state: Fold = answer["answer"]
        return state

    return ask
