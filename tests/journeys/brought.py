"""Blades that are on their way: logs brought as another phone would, so that a journey starts there."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Any

sys.path[:0] = [str(Path(__file__).resolve().parents[1] / part) for part in ("bench", "engine")]

from bench_client import BenchPhone, packed  # noqa: E402
from common.logs import new_id  # noqa: E402
from common.running_server import RunningServer  # noqa: E402
from log_maker import Log  # noqa: E402

MINUTE_MS = 60_000


def ending(log: Log, *, tag: str, at_ms: int) -> list[dict[str, Any]]:
    """Return a log's entries with ids of their own, moved so that the last was made at this instant."""
    later_ms, log_id = at_ms - log.now_ms, new_id()
    moved = []
    for entry in log.entries:
        body = {**entry["body"], "tag": tag} if entry["kind"] == "piece_made" else entry["body"]
        times = {name: entry[name] + later_ms for name in ("happened_ms", "written_ms")}
        moved.append({**entry, **times, "id": new_id(), "log_id": log_id, "body": body})
    return moved


def bring(phone: BenchPhone, *logs: list[dict[str, Any]]) -> list[str]:
    """Push logs, and return the blades' ids."""
    for entries in logs:
        answer = phone.sync(packed(entries, since=0))
        assert {one["status"] for one in answer["results"]} == {"stored"}, answer["results"]
    phone.hang_up()
    return [str(entries[0]["log_id"]) for entries in logs]


def shop_with(server: RunningServer, *logs: list[dict[str, Any]]) -> list[str]:
    """Claim a shop on a new server and bring these logs; return the blades' ids."""
    phone = BenchPhone(server.port)
    wish = {"shop_name": "Test Forge", "zone": "Europe/Dublin", "device_name": "desk"}
    phone.json("POST", "/api/claim", {"code": server.claim_code(), **wish})
    return bring(phone, *logs)


def joined(server: RunningServer) -> BenchPhone:
    """Return a device that has joined the shop that is there."""
    phone = BenchPhone(server.port)
    code = server.join_link().rsplit("/", 1)[1]
    phone.json("POST", "/api/join", {"code": code, "device_name": "desk"})
    return phone
