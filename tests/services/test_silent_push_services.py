"""A push service that takes a message and says nothing holds up nobody else, of its own shop or another."""

from __future__ import annotations

import json
import threading
import time
from collections import Counter
from collections.abc import Callable
from typing import Any

import pytest
from common.logs import MINUTE_MS, NOW_MS, log_of
from common.phones import Phone, PushBrowser, Shop, join_as
from common.push_receiver import PushReceiver, open_message
from flask import Flask
from sqlalchemy import text

from temperward.services import subscriptions
from temperward.services.devices import device_of_token
from temperward.services.push_test import AT_ONCE
from temperward.services.reminders import CLAIMED_AT_A_TIME, TAKE_OVER_MS, claim_due, refresh_logs, write_off
from temperward.services.sender import Sender
from temperward.services.telling import OF_ONE_SHOP
from temperward.storage.session import db

SUBJECT = "mailto:smith@quillfen.example"
LOOPBACK = "http://127.0.0.1:"
ALARM_MS = NOW_MS + 60 * MINUTE_MS
SPEED = 12  # the sender's seconds in one of ours: its minute of a claim passes in five
LIMIT_S = 10 / SPEED  # its ten seconds for one message

pytestmark = pytest.mark.usefixtures("both_databases")


def hard_blade(tag: str, *, quenched_ms: int = NOW_MS) -> list[dict[str, Any]]:
    return log_of(
        ("piece_made", {"tag": tag}, quenched_ms - 9 * MINUTE_MS),
        ("mark", {"mark": "hardening_fire"}, quenched_ms - 8 * MINUTE_MS),
        ("mark", {"mark": "quenched"}, quenched_ms),
        ("mark", {"mark": "out_of_bath"}, quenched_ms + 12_000),
        ("mark", {"mark": "stiff"}, quenched_ms + 60_000),
    )


def told(browser: PushBrowser) -> list[dict[str, Any]]:
    path = "/" + browser.endpoint.split("/", 3)[3]
    mine = [one for one in browser.receiver.received if one.path == path]
    return [json.loads(open_message(one.body, private=browser.private, auth=browser.auth)) for one in mine]


def subscribed(receiver: PushReceiver, phone: Phone, name: str) -> PushBrowser:
    browser = PushBrowser(receiver, path=f"/push/{name}")
    browser.subscribe(phone)
    return browser


def run_threads(jobs: list[Callable[[], object]]) -> list[threading.Thread]:
    threads = [threading.Thread(target=job) for job in jobs]
    for one in threads:
        one.start()
    return threads


def send_round(app: Flask, clock: Callable[[], int]) -> None:
    with app.app_context():
        Sender(subject=SUBJECT, clock=clock, allowed=LOOPBACK).round(db.session())


def test_three_senders_tell_each_reminder_once_though_another_address_never_answers(
    app: Flask, shop: Shop, push_receiver: PushReceiver, monkeypatch: pytest.MonkeyPatch
) -> None:
    """All of them together take longer than a claim holds, when one is waited for after the other."""
    monkeypatch.setattr("temperward.delivery.web_push.SEND_LIMIT_S", LIMIT_S)
    well = subscribed(push_receiver, shop.smith, "well")
    subscribed(push_receiver, shop.owner, "silent")
    push_receiver.silent.add("/push/silent")
    blades = [hard_blade(f"QF-{number}") for number in range(301, 313)]
    for blade in blades:
        shop.smith.sync(*blade)
    began = time.monotonic()

    def clock() -> int:
        return ALARM_MS + round((time.monotonic() - began) * SPEED * 1000)

    def keep_sending() -> None:
        while clock() < ALARM_MS + 2 * TAKE_OVER_MS or len(told(well)) < len(blades):
            send_round(app, clock)
            time.sleep(0.05)

    for one in run_threads([keep_sending] * 3):
        one.join()
    assert Counter(one["clock_id"] for one in told(well)) == Counter(
        f"brittle:{blade[2]['id']}" for blade in blades
    )


def test_one_shops_silent_addresses_do_not_hold_up_another_shop(
    app: Flask, shop: Shop, other_shop: Shop, push_receiver: PushReceiver
) -> None:
    for phone, name in ((shop.owner, "a"), (shop.smith, "b"), (shop.viewer, "c")):
        subscribed(push_receiver, phone, name)
    push_receiver.silent |= {"/push/a", "/push/b", "/push/c"}
    subscribed(push_receiver, other_shop.smith, "well")
    for number in range(12):  # all due before the other shop's
        shop.smith.sync(*hard_blade(f"QF-{number}", quenched_ms=NOW_MS - MINUTE_MS))
    other_shop.smith.sync(*hard_blade("OE-1"))
    [sending] = run_threads([lambda: send_round(app, lambda: ALARM_MS)])
    came = push_receiver.wait_for("/push/well")
    assert not push_receiver.speak.is_set()
    push_receiver.speak.set()
    sending.join()
    assert came


def test_a_living_address_is_told_beside_silent_ones_of_its_own_shop(
    app: Flask, shop: Shop, push_receiver: PushReceiver
) -> None:
    names = ("1", "2", "3")
    for name in names:
        subscribed(push_receiver, shop.owner, name)
    push_receiver.silent |= {f"/push/{name}" for name in names}
    subscribed(push_receiver, shop.smith, "well")
    shop.smith.sync(*hard_blade("QF-1"))
    [sending] = run_threads([lambda: send_round(app, lambda: ALARM_MS)])
    assert push_receiver.wait_for("/push/well")
    push_receiver.speak.set()
    sending.join()


def test_who_comes_back_after_a_minute_writes_nothing_over_the_claim_of_another(
    app: Flask, shop: Shop
) -> None:
    shop.smith.sync(*hard_blade("QF-1"))

    def state() -> str:
        query = text("SELECT state FROM reminders WHERE stage = 'alarm'")
        return str(db.session().execute(query).scalar_one())

    with app.app_context():
        refresh_logs(db.session(), now_ms=ALARM_MS)
        first = {one.stage: one for one in claim_due(db.session(), now_ms=ALARM_MS)}["alarm"]
        later_ms = ALARM_MS + TAKE_OVER_MS
        second = {one.stage: one for one in claim_due(db.session(), now_ms=later_ms)}["alarm"]
        reached = frozenset({"x"})
        write_off(db.session(), claim=first, state="sent", reached=reached, now_ms=later_ms)
        assert state() == "claimed"
        write_off(db.session(), claim=second, state="sent", reached=reached, now_ms=later_ms)
        assert state() == "sent"


def test_a_claim_that_has_nearly_run_out_is_left_to_the_next_sender(
    app: Flask, shop: Shop, push_receiver: PushReceiver
) -> None:
    """The machine slept between claim and send."""
    subscribed(push_receiver, shop.smith, "well")
    shop.smith.sync(*hard_blade("QF-1"))
    instants = iter([ALARM_MS] * 2)

    def clock() -> int:
        return next(instants, ALARM_MS + TAKE_OVER_MS - 1000)

    with app.app_context():
        done = Sender(subject=SUBJECT, clock=clock, allowed=LOOPBACK).round(db.session())
    assert done["left"] == 1
    assert push_receiver.received == []
    send_round(app, lambda: ALARM_MS + TAKE_OVER_MS)
    assert len(push_receiver.received) == 1


def test_a_sender_that_is_asked_to_end_writes_down_what_is_under_way_and_begins_nothing_new(
    app: Flask, shop: Shop, push_receiver: PushReceiver
) -> None:
    """Else whoever comes after it would tell the same again."""
    subscribed(push_receiver, shop.owner, "silent")
    push_receiver.silent.add("/push/silent")
    well = subscribed(push_receiver, shop.smith, "well")
    # One shop may have eight messages under way, and four reminders are claimed at a time: eleven at most.
    blades = OF_ONE_SHOP + CLAIMED_AT_A_TIME
    for number in range(blades):
        shop.smith.sync(*hard_blade(f"QF-{number}"))
    asked = threading.Event()

    def send() -> None:
        with app.app_context():
            sender = Sender(subject=SUBJECT, clock=lambda: ALARM_MS, allowed=LOOPBACK, is_ending=asked.is_set)
            sender.round(db.session())

    [sending] = run_threads([send])
    assert push_receiver.wait_for("/push/silent", times=4)
    assert push_receiver.wait_for("/push/well", times=4)
    asked.set()
    push_receiver.speak.set()
    sending.join()
    query = text("SELECT state, reached FROM reminders WHERE state = 'claimed' OR reached <> '[]'")
    with app.app_context():
        rows = db.session().execute(query).all()
    assert {row.state for row in rows} == {"waiting"}
    assert len(rows) == len(told(well)) < blades


def test_a_test_message_that_is_under_way_holds_one_thread_of_the_server_and_no_more(
    shop: Shop, push_receiver: PushReceiver
) -> None:
    subscribed(push_receiver, shop.viewer, "silent")
    push_receiver.silent.add("/push/silent")
    [first] = run_threads([lambda: shop.viewer.client.post("/api/push-test", json={})])
    assert push_receiver.wait_for("/push/silent")
    answer = shop.viewer.client.post("/api/push-test", json={})
    push_receiver.speak.set()
    first.join()
    assert (answer.status_code, answer.json["message"]) == (429, "too_many_tries")
    assert int(answer.headers["Retry-After"]) > 0
    assert len(push_receiver.received) == 1


def test_few_test_messages_are_under_way_at_once_whoever_asks(
    app: Flask, shop: Shop, push_receiver: PushReceiver
) -> None:
    phones = [join_as(app, shop.owner, "viewer") for _ in range(AT_ONCE + 1)]
    for number, phone in enumerate(phones):
        subscribed(push_receiver, phone, f"{number}")
        push_receiver.silent.add(f"/push/{number}")

    def ask(phone: Phone) -> None:
        phone.client.post("/api/push-test", json={})

    threads = run_threads([lambda phone=phone: ask(phone) for phone in phones[:-1]])  # type: ignore[misc]
    assert all(push_receiver.wait_for(f"/push/{number}") for number in range(AT_ONCE))
    answer = phones[-1].client.post("/api/push-test", json={})
    push_receiver.speak.set()
    for one in threads:
        one.join()
    assert answer.status_code == 429


def test_all_addresses_of_a_device_are_tried_at_once(shop: Shop, push_receiver: PushReceiver) -> None:
    for name in ("1", "2", "3"):
        subscribed(push_receiver, shop.smith, name)
        push_receiver.silent.add(f"/push/{name}")
    [asking] = run_threads([lambda: shop.smith.client.post("/api/push-test", json={})])
    came = [push_receiver.wait_for(f"/push/{name}", limit_s=8) for name in ("1", "2", "3")]
    push_receiver.speak.set()
    asking.join()
    assert came == [True, True, True]


def test_of_one_device_the_newest_addresses_are_kept(
    app: Flask, shop: Shop, push_receiver: PushReceiver
) -> None:
    token = shop.smith.client.get_cookie("temperward_device", path="/api").value
    browsers = [PushBrowser(push_receiver, path=f"/push/{number}") for number in range(9)]
    with app.app_context():
        device = device_of_token(db.session(), token=token)
        for at_ms, browser in enumerate(browsers):
            wish = browser.subscription()
            subscriptions.subscribe(
                wish, session=db.session(), device=device, allowed=LOOPBACK, now_ms=NOW_MS + at_ms
            )
    subscribed(push_receiver, shop.owner, "owner")
    shop.smith.sync(*hard_blade("QF-1"))
    send_round(app, lambda: ALARM_MS)
    paths = sorted(one.path for one in push_receiver.received)
    assert paths == ["/push/5", "/push/6", "/push/7", "/push/8", "/push/owner"]
