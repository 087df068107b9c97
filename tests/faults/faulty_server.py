"""The server as `temperward serve` runs it, in processes that can be killed, stopped and set back."""

from __future__ import annotations

import contextlib
import json
import os
import random
import signal
import subprocess
import time
import urllib.error
import urllib.request
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from common.phones import PushBrowser
from common.running_server import free_port
from flask import Flask
from sqlalchemy import select
from sqlalchemy.orm import Session

from temperward import serving
from temperward.app import create_app
from temperward.instants import now_ms
from temperward.services import backup, joining, restore, subscriptions
from temperward.services.devices import device_of_token
from temperward.settings import read_settings
from temperward.storage import migrate
from temperward.storage.models import Entry, Log, Reminder
from temperward.storage.session import db

START_LIMIT_S = 90
THREADS = 4
SENDER_REST_S = 0.2
PUSH_ALLOW = "http://127.0.0.1:"
PUSH_SUBJECT = "mailto:smith@quillfen.example"


def _children(pid: int) -> list[int]:
    with contextlib.suppress(OSError):
        return [int(one) for one in Path(f"/proc/{pid}/task/{pid}/children").read_text().split()]
    return []


def _words(pid: int) -> str:
    with contextlib.suppress(OSError):
        return Path(f"/proc/{pid}/cmdline").read_bytes().replace(b"\0", b" ").decode()
    return ""


@dataclass
class Shop:
    """A shop of one run, and the cookies of its devices; the first is the owner's."""

    shop_id: str
    cookies: list[str]


@dataclass
class FaultyServer:
    """One server; its data outlives its processes."""

    data: Path
    database_url: str = ""
    workers: int = 2
    senders: int = 1
    port: int = field(default_factory=free_port)
    process: subprocess.Popen[bytes] | None = None
    app: Flask = field(init=False)

    def __post_init__(self) -> None:
        self.data.mkdir(parents=True, exist_ok=True)
        settings = read_settings(data=str(self.data), database_url=self.database_url, app_dist="")
        self.app = create_app(settings)
        with self.desk():
            migrate.upgrade(db.engine)

    @contextlib.contextmanager
    def desk(self) -> Iterator[Session]:
        """Open the database beside the server, as its commands do."""
        with self.app.app_context():
            try:
                yield db.session()
            finally:
                db.session.remove()
                db.engine.dispose()

    def launch(self) -> None:
        """Start the processes; `wait` tells when they answer."""
        environment = {
            **os.environ,
            "TEMPERWARD_DATA": str(self.data),
            "TEMPERWARD_DATABASE_URL": self.database_url,
            "TEMPERWARD_PUSH_SUBJECT": PUSH_SUBJECT,
            "TEMPERWARD_PUSH_ALLOW": PUSH_ALLOW,
        }
        plan = serving.Plan(
            host="127.0.0.1",
            port=self.port,
            workers=self.workers,
            threads=THREADS,
            senders=self.senders,
            sender_rest_s=SENDER_REST_S,
        )
        with (self.data / "server.log").open("ab") as log:
            self.process = subprocess.Popen(
                plan.as_words(),
                stdout=log,
                stderr=subprocess.STDOUT,
                start_new_session=True,
                env=environment,
            )

    def wait(self) -> None:
        """Wait until the server answers."""
        deadline = time.monotonic() + START_LIMIT_S
        while time.monotonic() < deadline and self.process is not None and self.process.poll() is None:
            with (
                contextlib.suppress(urllib.error.URLError, OSError),
                urllib.request.urlopen(f"http://127.0.0.1:{self.port}/healthz", timeout=5),
            ):
                return
            time.sleep(0.05)
        raise AssertionError((self.data / "server.log").read_text()[-4000:])

    def master(self) -> int | None:
        """Return gunicorn's own process."""
        assert self.process is not None
        return next((pid for pid in _children(self.process.pid) if "gunicorn" in _words(pid)), None)

    def worker(self, chance: random.Random) -> int | None:
        """Return one of the worker processes."""
        found = self.all_workers()
        return chance.choice(found) if found else None

    def all_workers(self) -> list[int]:
        """Return all worker processes."""
        return _children(self.master() or 0)

    def kill_worker(self, chance: random.Random) -> None:
        """End one worker outright; gunicorn makes another."""
        self._signal(self.worker(chance), signal.SIGKILL)

    def kill_sender(self, chance: random.Random) -> None:
        """End one sender outright; it is started again."""
        assert self.process is not None
        own = [pid for pid in _children(self.process.pid) if "remind" in _words(pid)]
        self._signal(chance.choice(own) if own else None, signal.SIGKILL)

    def pause(self, pid: int | None) -> None:
        """Stop a process where it is."""
        self._signal(pid, signal.SIGSTOP)

    def go_on(self, pid: int | None) -> None:
        """Let a stopped process go on."""
        self._signal(pid, signal.SIGCONT)

    def _signal(self, pid: int | None, number: signal.Signals) -> None:
        if pid is not None:
            with contextlib.suppress(ProcessLookupError):
                os.kill(pid, number)

    def kill(self) -> None:
        """End everything at once, as when the power goes."""
        if self.process is not None:
            with contextlib.suppress(ProcessLookupError):
                os.killpg(self.process.pid, signal.SIGKILL)
            self.process.wait()
        self.process = None

    def open_shop(self, *, name: str, devices: int) -> Shop:
        """Make a shop and let devices in."""
        with self.desk() as session:
            wish = {
                "code": joining.make_claim_code(session),
                "shop_name": name,
                "zone": "Europe/Dublin",
                "device_name": "the owner's",
            }
            first = joining.claim_shop(wish, session=session, address="127.0.0.1", now_ms=now_ms())
            shop_id, tokens = first.shop.shop_id, [first.token]
            for number in range(devices - 1):
                made = joining.make_join_code(session, shop_id=shop_id, role="smith", now_ms=now_ms())
                let_in = {"code": made.code, "device_name": f"phone {number}"}
                joined = joining.join_shop(let_in, session=session, address="127.0.0.1", now_ms=now_ms())
                tokens.append(joined.token)
        return Shop(shop_id=shop_id, cookies=[f"temperward_device={token}" for token in tokens])

    def subscribe(self, shop: Shop, browsers: list[PushBrowser]) -> None:
        """Let each device of a shop take push messages."""
        with self.desk() as session:
            for cookie, browser in zip(shop.cookies, browsers, strict=True):
                device = device_of_token(session, token=cookie.partition("=")[2])
                wish = browser.subscription()
                subscriptions.subscribe(
                    wish, session=session, device=device, allowed=PUSH_ALLOW, now_ms=now_ms()
                )

    def reminders(self, shop_id: str) -> list[Reminder]:
        """Return the reminders of a shop that are due, whatever became of them."""
        with self.desk() as session:
            query = select(Reminder).where(Reminder.shop_id == shop_id, Reminder.due_ms <= now_ms())
            return list(session.scalars(query))

    def logs_are_due(self, shop_id: str) -> bool:
        """Tell whether a log of a shop waits for a sender to work it out; one that is held does not."""
        with self.desk() as session:
            query = select(Log.log_id).where(Log.shop_id == shop_id, Log.look_again_ms <= now_ms())
            return bool(session.scalars(query.limit(1)).all())

    def back_up(self, to: Path) -> None:
        """Copy everything while the server runs."""
        with self.desk():
            backup.make_backup(db.engine, store=self.app.config["PHOTO_STORE"], to=to, now_ms=now_ms())

    def set_back(self, to: Path) -> None:
        """Put an older copy in the place of what is there; the server must not run."""
        with self.desk():
            store = self.app.config["PHOTO_STORE"]
            restore.restore(db.engine, store=store, folder=to, replace=True, now_ms=now_ms())

    def stored(self, shop_id: str) -> list[dict[str, Any]]:
        """Return the entries as they lie in the database, in the server's order."""
        with self.desk() as session:
            query = (
                select(Entry.text, Entry.seq, Entry.cursor_seq)
                .where(Entry.shop_id == shop_id)
                .order_by(Entry.cursor_seq)
            )
            return [
                {**json.loads(text), "seq": seq, "cursor_seq": cursor}
                for text, seq, cursor in session.execute(query)
            ]

    def call(self, path: str, *, cookie: str, body: dict[str, Any] | None = None) -> bytes:
        """Call the server itself, past every bad link."""
        content = None if body is None else json.dumps(body).encode()
        request = urllib.request.Request(
            f"http://127.0.0.1:{self.port}{path}",
            data=content,
            headers={"Cookie": cookie, "Content-Type": "application/json"},
        )
        with urllib.request.urlopen(request, timeout=20) as answer:  # noqa: S310
            return answer.read()

    def pull(self, *, cookie: str, want: int) -> list[dict[str, Any]]:
        """Pull everything page by page, as a fresh phone does."""
        rows: list[dict[str, Any]] = []
        since, more = 0, True
        while more:
            wish = {"epoch": None, "since": since, "entries": [], "want": want}
            answer = json.loads(self.call("/api/sync", cookie=cookie, body=wish))
            rows += answer["rows"]
            since, more = answer["next_since"], answer["more"]
        return rows
