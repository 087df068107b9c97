"""The sender of reminders: one round after another, as a process of its own."""

from __future__ import annotations

import signal
import time
from collections.abc import Callable

from flask import Flask
from sqlalchemy.exc import SQLAlchemyError

from temperward import logs
from temperward.errors import TemperwardError
from temperward.instants import now_ms
from temperward.services.devices import open_session
from temperward.services.sender import EVERY_S, Sender, log

NAP_S = 0.2


def send_once(app: Flask, *, is_ending: Callable[[], bool] = lambda: False) -> None:
    """Do one round: whatever is due now."""
    with app.app_context():
        settings = app.config["SETTINGS"]
        sender = Sender(
            subject=settings.push_subject, clock=now_ms, allowed=settings.push_allow, is_ending=is_ending
        )
        sender.round(open_session())


def sender_app(data: str | None) -> Flask:
    """Open the app for a sender of its own; without a database a setting is wrong, and nothing is made."""
    # The server loads this module for the senders it forks: they need no migrations, which are 9 MB.
    from temperward.opened import opened_there  # noqa: PLC0415

    logs.set_up()
    with opened_there(data) as (app, _session):
        return app


def send_forever(app: Flask, *, rest_s: float = EVERY_S) -> None:
    """Send until asked to end; a round that fails is told and followed by the next.

    Asked in the middle of a round, it still hears what became of the messages that are under way: whoever
    came after would send them again.
    """
    asked: list[int] = []
    signal.signal(signal.SIGTERM, lambda number, _frame: asked.append(number))
    if not app.config["SETTINGS"].push_subject:
        log.warning("web push is off: TEMPERWARD_PUSH_SUBJECT is not set")
    while not asked:
        try:
            send_once(app, is_ending=lambda: bool(asked))
        except (SQLAlchemyError, TemperwardError, OSError):
            log.exception("round failed; the next one comes in a few seconds")
        _rest(rest_s, is_ending=lambda: bool(asked))


def _rest(rest_s: float, *, is_ending: Callable[[], bool]) -> None:
    """Sleep in short naps: a signal that was heard wakes nobody from a long one."""
    end_s = time.monotonic() + rest_s
    while not is_ending() and (left_s := end_s - time.monotonic()) > 0:
        time.sleep(min(left_s, NAP_S))
