"""The sender of reminders: one round after another, as a process of its own."""

from __future__ import annotations

import signal
import sys
import time

from flask import Flask
from sqlalchemy.exc import SQLAlchemyError

from temperward import logs
from temperward.app import create_app
from temperward.errors import TemperwardError
from temperward.instants import now_ms
from temperward.services.devices import open_session
from temperward.services.sender import EVERY_S, Sender, log
from temperward.settings import read_settings


def send_once(app: Flask) -> None:
    """Do one round: whatever is due now."""
    with app.app_context():
        settings = app.config["SETTINGS"]
        sender = Sender(subject=settings.push_subject, clock=now_ms, allowed=settings.push_allow)
        sender.round(open_session())


def sender_app(data: str | None) -> Flask:
    """Open the app for a sender of its own."""
    logs.set_up()
    return create_app(read_settings(data=data))


def send_forever(app: Flask, *, rest_s: float = EVERY_S) -> None:
    """Send until asked to end; a round that fails is told and followed by the next."""
    signal.signal(signal.SIGTERM, lambda *_: sys.exit(0))
    if not app.config["SETTINGS"].push_subject:
        log.warning("web push is off: TEMPERWARD_PUSH_SUBJECT is not set")
    while True:
        try:
            send_once(app)
        except (SQLAlchemyError, TemperwardError, OSError):
            log.exception("round failed; the next one comes in a few seconds")
        time.sleep(rest_s)
