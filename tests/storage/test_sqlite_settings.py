"""How every connection to SQLite is set: what was told survives a power cut, and who must wait, waits."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from threading import Barrier

import pytest
from flask import Flask
from sqlalchemy import text
from sqlalchemy.exc import IntegrityError

from temperward.storage.session import BUSY_TIMEOUT_MS, db

FULL = 2  # sqlite.org/pragma.html: synchronous
WANTED = {"journal_mode": "wal", "synchronous": FULL, "foreign_keys": 1, "busy_timeout": BUSY_TIMEOUT_MS}
AT_ONCE = 4


def test_every_connection_is_set_as_the_promise_needs_it(app: Flask) -> None:
    gate = Barrier(AT_ONCE)

    def settings_of_one(_number: int) -> dict[str, object]:
        with app.app_context(), db.engine.connect() as connection:
            gate.wait()  # each has its own
            return {
                name: connection.exec_driver_sql(f"PRAGMA {name}").scalar_one()  # names of ours
                for name in WANTED
            }

    with ThreadPoolExecutor(AT_ONCE) as pool:
        assert list(pool.map(settings_of_one, range(AT_ONCE))) == [WANTED] * AT_ONCE


def test_a_row_of_no_shop_cannot_be(app: Flask) -> None:
    with app.app_context():
        with pytest.raises(IntegrityError, match="FOREIGN KEY"):
            db.session().execute(text("INSERT INTO erasures VALUES ('no shop', 'entry', 'key', 1)"))
        db.session().rollback()
