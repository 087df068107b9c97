"""The floor: the least that takes entries and photos durably, without access, checks or shops."""

import gzip
import json
import os
import sqlite3
from pathlib import Path

from flask import Flask, g, request

FOLDER = Path(os.environ.get("BARE_DATA", "."))
app = Flask("bare")


@app.before_request
def open_database() -> None:
    g.db = sqlite3.connect(FOLDER / "bare.sqlite3", timeout=20)
    g.db.executescript("PRAGMA journal_mode = WAL; PRAGMA synchronous = FULL")
    g.db.execute("CREATE TABLE IF NOT EXISTS entries (seq INTEGER PRIMARY KEY, id TEXT UNIQUE, text TEXT)")


@app.teardown_request
def close_database(_error: object) -> None:
    g.db.close()


@app.post("/api/sync")
def sync() -> bytes:
    wish = json.loads(gzip.decompress(request.get_data()))
    rows = [(one["id"], json.dumps(one, separators=(",", ":"))) for one in wish["entries"]]
    with g.db:
        g.db.executemany("INSERT OR IGNORE INTO entries (id, text) VALUES (?, ?)", rows)
    since = wish["since"]
    query = "SELECT seq, text FROM entries WHERE seq > ? ORDER BY seq LIMIT 500"
    found = g.db.execute(query, (since,)).fetchall() if not rows else []
    last = found[-1][0] if found else since
    answer = {"rows": [text for _, text in found], "next_since": last, "more": len(found) == 500}
    return gzip.compress(json.dumps(answer).encode(), 3)


@app.put("/api/photos/<sha256>")
def put(sha256: str) -> tuple[str, int]:
    with (FOLDER / sha256).open("ab") as file:
        file.write(request.get_data())
        os.fsync(file.fileno())
    return "", 200


@app.get("/api/photos/<sha256>")
def get(sha256: str) -> bytes:
    return (FOLDER / sha256).read_bytes()
