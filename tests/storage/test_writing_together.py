"""Those who wait for SQLite's one writer share its next commit; nobody's error is another's."""

from __future__ import annotations

import sqlite3
import threading
import time
from collections.abc import Callable
from contextlib import closing

import pytest
from common.logs import entry
from common.phones import Shop
from flask import Flask
from sqlalchemy import Engine, event, text
from sqlalchemy.orm import Session

from temperward.settings import Settings
from temperward.storage.session import db, is_sqlite, lock_counter
from temperward.storage.together import QUEUES, write_together

WAIT_S = 30


def add(name: str) -> Callable[[Session], str]:
    """Return the writing of one fact."""

    def work(session: Session) -> str:
        session.execute(text("INSERT INTO server_facts (name, value) VALUES (:name, 'x')"), {"name": name})
        return name

    return work


def kept(session: Session) -> set[str]:
    found = session.execute(text("SELECT name FROM server_facts WHERE value = 'x'")).scalars()
    return set(found)


def run_behind_a_writer(app: Flask, works: list[Callable[[Session], str]]) -> list[str | Exception | None]:
    """Let all come while another holds the writer's lock, and return what each got."""
    said: list[str | Exception | None] = [None] * len(works)

    def one(place: int) -> None:
        with app.app_context():
            try:
                said[place] = write_together(db.session(), works[place])
            except ValueError as error:
                said[place] = error

    threads = [threading.Thread(target=one, args=[place]) for place in range(len(works))]
    with app.app_context():
        holder = db.session()
        holder.connection().exec_driver_sql("BEGIN IMMEDIATE")
        for thread in threads:
            thread.start()
        all_but_the_first_wait(db.engine, len(works) - 1)
        holder.rollback()
    for thread in threads:
        thread.join(WAIT_S)
    return said


def all_but_the_first_wait(engine: Engine, count: int) -> None:
    """Wait until one stands before the database and the others behind it."""
    deadline = time.monotonic() + WAIT_S
    while engine not in QUEUES or len(QUEUES[engine].waiting) < count or not QUEUES[engine].turn.locked():
        assert time.monotonic() < deadline
        time.sleep(0.01)


@pytest.fixture
def commits(app: Flask) -> list[int]:
    """Collect one sign for each commit."""
    seen: list[int] = []
    with app.app_context():
        event.listen(db.engine, "commit", lambda _connection: seen.append(1))
    return seen


def refuse(_session: Session) -> str:
    raise ValueError("mine alone")


def test_each_gets_its_own_answer_and_two_commits_keep_it_all(app: Flask, commits: list[int]) -> None:
    """One for the first, who came before the others, and one for all who came while it waited."""
    names = [f"fact-{number}" for number in range(8)]
    assert run_behind_a_writer(app, [add(name) for name in names]) == names
    assert len(commits) == 2
    with app.app_context():
        assert kept(db.session()) == set(names)


def test_one_that_fails_fails_alone(app: Flask) -> None:
    works = [add("first"), refuse, add("second"), refuse, add("third")]
    said = run_behind_a_writer(app, works)
    assert [type(one) for one in said] == [str, ValueError, str, ValueError, str]
    with app.app_context():
        assert kept(db.session()) == {"first", "second", "third"}


def test_what_is_answered_is_seen_by_everybody_else(app: Flask, settings: Settings) -> None:
    with app.app_context():
        write_together(db.session(), add("told"))
        with closing(sqlite3.connect(settings.data_dir / "temperward.sqlite3")) as beside:
            query = "SELECT count(*) FROM server_facts WHERE name = 'told'"
            assert beside.execute(query).fetchone() == (1,)


@pytest.mark.usefixtures("both_databases")
def test_who_offers_nothing_new_waits_for_nobody(app: Flask, shop: Shop) -> None:
    """Another holds the lock for as long as this call takes: waiting for it would never end well."""
    one = entry()
    shop.smith.sync(one)
    with app.app_context():
        session = db.session()
        lock_counter(session, shop_id=shop.shop_id)
        assert [each["status"] for each in shop.smith.sync(one)["results"]] == ["had"]
        assert shop.viewer.sync(entry())["results"][0]["reason"] == "not_allowed"
        if is_sqlite(session):
            assert session.connection().connection.dbapi_connection.in_transaction  # type: ignore[union-attr]
        session.rollback()
