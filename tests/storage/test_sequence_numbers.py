"""Numbers are given in the order in which they become visible, so no puller ever steps over an entry."""

from __future__ import annotations

import threading
from collections.abc import Callable

import pytest
from common.logs import entry
from common.phones import Phone, Shop, join_as
from flask import Flask
from sqlalchemy import text

from temperward.storage.session import db, lock_counter

pytestmark = pytest.mark.usefixtures("both_databases")


def run_all(jobs: list[Callable[[], None]]) -> None:
    """Run all at once, and raise what any of them raised."""
    failures: list[BaseException] = []

    def guarded(job: Callable[[], None]) -> None:
        try:
            job()
        except BaseException as error:  # noqa: BLE001  (raised again below, in the test's own thread)
            failures.append(error)

    threads = [threading.Thread(target=guarded, args=(job,)) for job in jobs]
    for one in threads:
        one.start()
    for one in threads:
        one.join()
    if failures:
        raise failures[0]


def test_while_one_push_is_unfinished_a_later_one_waits_and_a_puller_sees_neither(
    app: Flask, shop: Shop
) -> None:
    late = threading.Event()
    pushed = threading.Thread(target=lambda: (shop.owner.sync(entry()), late.set()))
    with app.app_context():
        session = db.session()
        assert lock_counter(session, shop_id=shop.shop_id) == 0
        session.execute(text("UPDATE shops SET last_seq = 100 WHERE shop_id = :one"), {"one": shop.shop_id})
        pushed.start()
        assert not late.wait(0.5)
        assert shop.viewer.sync()["rows"] == []
        session.commit()
    pushed.join()
    assert [row["seq"] for row in shop.viewer.pull_all()] == [101]


def test_many_phones_push_at_once_while_another_pulls_and_none_is_missed(app: Flask, shop: Shop) -> None:
    phones = [join_as(app, shop.owner, "smith") for _ in range(6)]
    seen: list[int] = []
    done = threading.Event()

    def push(phone: Phone) -> None:
        for _ in range(5):
            answer = phone.sync(*[entry() for _ in range(7)])
            assert {one["status"] for one in answer["results"]} == {"stored"}

    def pull() -> None:
        since = 0
        while True:
            last_round = done.is_set()
            answer = shop.viewer.sync(since=since, want=3)
            seen.extend(row["seq"] for row in answer["rows"])
            since = answer["next_since"]
            if last_round and not answer["more"]:
                return

    puller = threading.Thread(target=pull)
    puller.start()
    run_all([lambda phone=phone: push(phone) for phone in phones])  # type: ignore[misc]
    done.set()
    puller.join()
    assert seen == sorted(set(seen))
    assert len(seen) == 6 * 5 * 7


def test_the_same_entries_pushed_by_all_at_once_are_stored_once(app: Flask, shop: Shop) -> None:
    phones = [join_as(app, shop.owner, "smith") for _ in range(6)]
    entries = [entry() for _ in range(50)]
    results: list[str] = []

    def push(phone: Phone) -> None:
        results.extend(one["status"] for one in phone.sync(*entries)["results"])

    run_all([lambda phone=phone: push(phone) for phone in phones])  # type: ignore[misc]
    assert (results.count("stored"), results.count("had")) == (50, 250)
    assert len(shop.viewer.pull_all()) == 50


def test_one_code_lets_one_of_many_in(app: Flask, shop: Shop) -> None:
    code = shop.owner.client.post("/api/join-codes", json={}).json["code"]
    statuses: list[int] = []

    def join() -> None:
        answer = app.test_client().post("/api/join", json={"code": code, "device_name": "x"})
        statuses.append(answer.status_code)

    run_all([join] * 5)
    assert sorted(statuses) == [201, 403, 403, 403, 403]
