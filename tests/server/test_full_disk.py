"""A disk that is really full: the server says so, keeps nothing by half, and goes on once there is room."""

from __future__ import annotations

import hashlib
import json
import os
import re
import shutil
import signal
import subprocess
import time
import urllib.error
import urllib.request
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest
from common.logs import entry
from common.pictures import jpeg
from common.running_server import TEMPERWARD, free_port
from flask import Flask
from sqlalchemy import text

from temperward.errors import StoreFull
from temperward.storage.session import db

ROOM = "6m"
FILLER_BYTES = 2_500_000
# A file system of the server's own, small enough to fill: it needs no rights of root.
SMALL_DISK = (
    f'mount -t tmpfs -o size={ROOM} tmpfs "$1" && head -c {FILLER_BYTES} /dev/zero > "$1/filler" && shift'
    ' && exec "$@"'
)


def may_make_a_disk() -> bool:
    if shutil.which("unshare") is None:
        return False
    words = ["unshare", "--user", "--map-root-user", "--mount", "mount", "-t", "tmpfs", "tmpfs", "/mnt"]
    return subprocess.run(words, capture_output=True, check=False).returncode == 0


@dataclass
class SmallServer:
    """A server whose data lie on a small disk, and the one phone that owns its shop."""

    port: int
    data: Path
    process: subprocess.Popen[bytes]
    cookie: str = ""

    def call(self, method: str, path: str, body: bytes = b"", **headers: str) -> tuple[int, Any]:
        """Return status and JSON of an answer, whatever its status."""
        named = {name.replace("_", "-"): value for name, value in headers.items()}
        request = urllib.request.Request(
            f"http://127.0.0.1:{self.port}{path}",
            data=body or None,
            method=method,
            headers={"Content-Type": "application/json", "Cookie": self.cookie, **named},
        )
        try:
            answer = urllib.request.urlopen(request, timeout=30)  # noqa: S310 - our own server
        except urllib.error.HTTPError as error:
            answer = error
        with answer:
            self.cookie = answer.headers.get("Set-Cookie", self.cookie).split(";")[0]
            content = answer.read()
        return answer.status, json.loads(content or b"null")

    def sync(self, *entries: dict[str, Any], since: int = 0) -> tuple[int, Any]:
        body = {"entries": list(entries), "since": since, "want": 1000}
        return self.call("POST", "/api/sync", json.dumps(body).encode())

    def put_photo(self, content: bytes) -> tuple[int, Any]:
        name = hashlib.sha256(content).hexdigest()
        where = {"Upload_Offset": "0", "Upload_Length": str(len(content))}
        return self.call("PUT", f"/api/photos/{name}", content, **where)

    def on_disk(self, name: str) -> Path:
        """Return a path on the small disk, which only the server's own processes see."""
        return Path(f"/proc/{self.process.pid}/root") / self.data.relative_to("/") / name


@pytest.fixture
def small(tmp_path: Path) -> Iterator[SmallServer]:
    if not may_make_a_disk():
        pytest.skip("this machine lets nobody mount a disk of their own")
    port, data, log = free_port(), tmp_path / "data", tmp_path / "server.log"
    data.mkdir()
    serve = [TEMPERWARD, "serve", "--data", data, "--port", str(port), "--no-sender"]
    words = ["unshare", "--user", "--map-root-user", "--mount", "sh", "-c", SMALL_DISK, "sh", data, *serve]
    with log.open("wb") as file:
        process = subprocess.Popen(words, stdout=file, stderr=subprocess.STDOUT, start_new_session=True)
    server = SmallServer(port=port, data=data, process=process)
    deadline = time.monotonic() + 60
    try:
        while True:
            assert process.poll() is None, log.read_text()
            assert time.monotonic() < deadline, log.read_text()
            try:
                if server.call("GET", "/healthz")[0] == 200:
                    break
            except OSError:
                time.sleep(0.1)
        found = re.search(r"claim (\S+)", log.read_text())
        assert found is not None
        wish = {"code": found[1], "shop_name": "Small", "zone": "Europe/Dublin", "device_name": "x"}
        assert server.call("POST", "/api/claim", json.dumps(wish).encode())[0] == 201
        yield server
    finally:
        os.killpg(process.pid, signal.SIGKILL)
        process.wait()


def test_a_full_disk_is_said_and_nothing_is_kept_by_half(small: SmallServer) -> None:
    told: list[str] = []
    refused: list[dict[str, Any]] = []
    for size in (100, 20, 3, 1):  # ever less, until not even one entry finds room
        status = 200
        while status == 200:
            batch = [entry(body={"text": os.urandom(2000).hex()}) for _ in range(size)]
            status, answer = small.sync(*batch)
            told += [one["id"] for one in answer["results"]] if status == 200 else []
        assert (status, answer["message"]) == (507, "store_full")
        refused = batch
    kept = []
    since, more = 0, True
    while more:
        status, answer = small.sync(since=since)
        assert status == 200, "who reads needs no room"
        kept += [row["id"] for row in answer["rows"]]
        since, more = answer["next_since"], answer["more"]
    assert sorted(kept) == sorted(told)
    picture = jpeg(640, 480, quality=90)
    assert small.put_photo(picture)[0] == 507
    assert [one.name for one in small.on_disk("photos").rglob("*") if one.is_file()] == []
    assert small.call("GET", "/healthz")[0] == 200
    small.on_disk("filler").unlink()
    status, answer = small.sync(*refused)
    assert (status, [one["status"] for one in answer["results"]]) == (200, ["stored"])
    assert small.put_photo(picture)[0] == 201


@pytest.mark.usefixtures("both_databases")
def test_each_databases_own_word_for_a_full_disk_is_understood(app: Flask, both_databases: str) -> None:
    with app.app_context():
        session = db.session()
        if both_databases == "sqlite":
            pages = int(session.execute(text("PRAGMA page_count")).scalar_one())
            session.execute(text(f"PRAGMA max_page_count = {pages + 1}"))
            words = "INSERT INTO server_facts VALUES ('much', hex(randomblob(100000)))"
        else:
            words = "DO $$ BEGIN RAISE EXCEPTION 'could not extend file' USING ERRCODE = 'disk_full'; END $$"
        with pytest.raises(StoreFull):
            session.execute(text(words))
        session.rollback()
        assert session.execute(text("SELECT count(*) FROM server_facts WHERE name = 'much'")).scalar() == 0
