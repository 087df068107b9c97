"""What goes wrong is written down by its kind and place, never with the words of a log or a person's name."""

from __future__ import annotations

import json
import logging
from collections.abc import Iterator

import pytest
from common.logs import entry
from common.phones import Shop
from flask import Flask
from sqlalchemy.exc import SQLAlchemyError

from temperward import logs, sending
from temperward.services.clocks import clocks_of
from temperward.storage.session import db

WORDS = "Rowan Ashdale of Quillfen"

pytestmark = pytest.mark.usefixtures("both_databases")


class Kept(logging.Handler):
    """Keeps the lines as they would be written."""

    def __init__(self) -> None:
        super().__init__()
        self.setFormatter(logs.JsonLines())
        self.lines: list[str] = []

    def emit(self, record: logging.LogRecord) -> None:
        self.lines.append(self.format(record))


@pytest.fixture
def written(app: Flask) -> Iterator[list[str]]:
    del app  # sets the logs up
    kept = Kept()
    logging.getLogger("temperward").addHandler(kept)
    yield kept.lines
    logging.getLogger("temperward").removeHandler(kept)


def errors_of(lines: list[str]) -> list[str]:
    return [one["error"] for one in map(json.loads, lines) if "error" in one]


def break_table(app: Flask, name: str) -> None:
    with app.app_context():
        db.session().execute(
            db.text(f"DROP TABLE {name} CASCADE" if is_postgresql() else f"DROP TABLE {name}")
        )
        db.session().commit()


def is_postgresql() -> bool:
    return db.engine.dialect.name == "postgresql"


def test_a_push_that_the_database_refuses_is_told_without_its_words(
    app: Flask, shop: Shop, written: list[str]
) -> None:
    break_table(app, "logs")
    answer = shop.smith.client.post("/api/sync", json={"entries": [entry(body={"text": WORDS})]})
    assert answer.status_code == 500
    [error] = errors_of(written)
    assert "sqlalchemy.exc." in error
    assert "insert_rows" in error  # where it happened is told
    assert WORDS not in "".join(written)


def test_a_name_that_is_there_already_is_not_told_by_the_database_either(
    app: Flask, shop: Shop, written: list[str]
) -> None:
    """PostgreSQL's own words quote the row."""
    del shop
    with app.app_context():
        insert = "INSERT INTO photos SELECT shop_id, :one, 1, 'image/jpeg', 1, 1, 1 FROM shops"
        db.session().execute(db.text(insert), {"one": WORDS})
        try:
            db.session().execute(db.text(insert), {"one": WORDS})
        except SQLAlchemyError:
            logging.getLogger("temperward.api").exception("unforeseen")
        db.session().rollback()
    [error] = errors_of(written)
    assert "IntegrityError" in error
    assert WORDS not in "".join(written)


def test_a_round_of_the_sender_that_fails_is_told_without_words(
    app: Flask, shop: Shop, written: list[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    del shop

    def fail(_app: Flask, **_more: object) -> None:
        with _app.app_context():
            db.session().execute(db.text("SELECT nothing FROM nowhere WHERE x = :one"), {"one": WORDS})

    def end(_seconds: float) -> None:
        raise SystemExit

    monkeypatch.setattr(sending, "send_once", fail)
    monkeypatch.setattr(sending.time, "sleep", end)
    monkeypatch.setattr(sending.signal, "signal", lambda *_: None)
    with pytest.raises(SystemExit):
        sending.send_forever(app)
    assert len(errors_of(written)) == 1
    assert WORDS not in "".join(written)


def test_an_engine_that_breaks_on_a_log_is_told_without_the_log(
    app: Flask, shop: Shop, written: list[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    one = entry(body={"text": WORDS})
    shop.smith.sync(one)

    def break_on(_question: str, facts: dict[str, object]) -> None:
        raise KeyError(str(facts))

    monkeypatch.setattr("temperward.services.clocks.engine.ask", break_on)
    with app.app_context():
        clocks_of(db.session(), shop_id=shop.shop_id, log_id=one["log_id"], now_ms=1)
    [error] = errors_of(written)
    assert "builtins.KeyError" in error
    assert "break_on" in error
    assert WORDS not in "".join(written)


def test_a_database_error_does_not_quote_what_was_to_be_written(app: Flask, shop: Shop) -> None:
    """Whoever prints such an error, and not only our own log."""
    del shop
    with app.app_context(), pytest.raises(SQLAlchemyError) as caught:
        db.session().execute(db.text("INSERT INTO nowhere VALUES (:one)"), {"one": WORDS})
    assert WORDS not in str(caught.value)
