"""Every statement that runs again and again, as the services really run it, goes by an index."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Any

import pytest
from common.logs import MINUTE_MS, NOW_MS, entry, log_of
from common.phones import PushBrowser, Shop
from flask import Flask
from sqlalchemy import event, text

from temperward.services.sender import Sender
from temperward.storage.models import Base
from temperward.storage.session import db

pytestmark = pytest.mark.usefixtures("both_databases")

READ_WHOLE = re.compile(r"(?:SCAN|Seq Scan on) (\w+)")
# Read whole by design: what has one row or a handful in all, whatever the server holds.
FEW_ROWS = {"server_facts", "shops", "wrong_tries"}
MANY_ROWS = set(Base.metadata.tables) - FEW_ROWS
QUENCHED = log_of(
    ("piece_made", {"tag": "QF-1"}, NOW_MS - 9 * MINUTE_MS),
    ("mark", {"mark": "quenched"}, NOW_MS),
    ("mark", {"mark": "stiff"}, NOW_MS + MINUTE_MS),
)


@dataclass(frozen=True)
class Statement:
    """One statement as it went to the database."""

    words: str
    values: Any


@contextmanager
def statements(app: Flask) -> Iterator[list[Statement]]:
    """Collect what is run meanwhile, each wording once."""
    found: dict[str, Statement] = {}

    def note(_connection: Any, _cursor: Any, words: str, values: Any, _context: Any, *many: bool) -> None:
        if words.lstrip().upper().startswith(("SELECT", "UPDATE", "DELETE", "WITH")):
            found.setdefault(words, Statement(words=words, values=values[0] if any(many) else values))

    collected: list[Statement] = []
    with app.app_context():
        engine = db.engine
    event.listen(engine, "before_cursor_execute", note)
    try:
        yield collected
    finally:
        event.remove(engine, "before_cursor_execute", note)
        collected.extend(found.values())


def push_and_pull(app: Flask, shop: Shop, browser: PushBrowser) -> None:
    """A mark that is new, one that is not, a bath's reading, a pull."""
    del app, browser
    one = entry()
    shop.smith.sync(one, *QUENCHED)
    shop.smith.sync(one, entry(log_kind="oven", kind="made"), since=1)


def send(app: Flask, shop: Shop, browser: PushBrowser) -> None:
    """Rounds of the sender: worked out, claimed, looked at again, told, forgotten."""
    browser.subscribe(shop.smith)
    shop.smith.sync(*QUENCHED, entry(log_kind="oven", kind="made"))
    with app.app_context():
        for minutes, answer in ((9, 201), (10, 201), (30, 410)):
            browser.receiver.answers["/push/one"] = answer
            at_ms = NOW_MS + minutes * MINUTE_MS
            subject = "mailto:smith@quillfen.example"
            Sender(subject=subject, clock=lambda at=at_ms: at, allowed="http://").round(db.session())


def erase(app: Flask, shop: Shop, browser: PushBrowser) -> None:
    """A photo and an entry."""
    del app, browser
    one, sha256 = entry(), "ab" * 32
    shop.smith.sync(one, entry(kind="photo", body={"sha256": sha256}))
    for what, key in (("entry", one["id"]), ("photo", sha256)):
        shop.owner.client.post("/api/erase", json={"what": what, "id": key})


def plan_of(statement: Statement) -> str:
    """Ask the database how it runs a statement with these very values."""
    words = "EXPLAIN QUERY PLAN " if db.engine.dialect.name == "sqlite" else "EXPLAIN "
    with db.engine.connect() as connection, connection.begin() as transaction:
        if db.engine.dialect.name == "postgresql":
            # A table of few rows is read whole; the question is whether an index fits.
            connection.execute(text("SET LOCAL enable_seqscan = off"))
            connection.execute(text("SET LOCAL enable_sort = on"))
        rows = connection.exec_driver_sql(words + statement.words, statement.values).all()
        transaction.rollback()
    return "\n".join(str(row) for row in rows)


def read_whole(plan: str) -> set[str]:
    """Return the large tables of a plan that are read from end to end."""
    return set(READ_WHOLE.findall(plan)) & MANY_ROWS


@pytest.mark.parametrize("work", [push_and_pull, send, erase], ids=lambda work: work.__name__)
def test_what_the_services_run_goes_by_an_index(
    app: Flask, shop: Shop, push_browser: PushBrowser, work: Callable[[Flask, Shop, PushBrowser], None]
) -> None:
    with statements(app) as ran:
        work(app, shop, push_browser)
    assert len(ran) >= 6
    with app.app_context():
        plans = {one.words: plan_of(one) for one in ran}
    assert any("entries" in one.words for one in ran)
    whole = {words: plan for words, plan in plans.items() if read_whole(plan)}
    assert whole == {}, "\n\n".join(f"{words}\n{plan}" for words, plan in whole.items())


def test_a_statement_without_an_index_is_found_out(app: Flask, shop: Shop) -> None:
    """The proof that the test above can fail."""
    del shop
    with app.app_context():
        plan = plan_of(Statement(words="SELECT id FROM entries WHERE text = 'x'", values=()))
    assert read_whole(plan) == {"entries"}, plan
