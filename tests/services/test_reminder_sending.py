"""A hard blade is told of in time, once, to every device that listens, and no longer once it tempers."""

from __future__ import annotations

import json
import threading
from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from types import SimpleNamespace
from typing import Any

import pytest
from common.logs import MINUTE_MS, NOW_MS, entry, log_of, new_id
from common.phones import PushBrowser, Shop
from common.push_receiver import PushReceiver, open_message
from flask import Flask
from sqlalchemy import text

from temperward.delivery.message import tag_of
from temperward.engine import api as engine
from temperward.services import clocks
from temperward.services.sender import Sender
from temperward.storage.session import db

QUENCH_MS = NOW_MS
REMINDER_MS = QUENCH_MS + 10 * MINUTE_MS
HURRY_MS = QUENCH_MS + 30 * MINUTE_MS
ALARM_MS = QUENCH_MS + 60 * MINUTE_MS
SUBJECT = "mailto:smith@quillfen.example"
LOOPBACK = "http://127.0.0.1:"

pytestmark = pytest.mark.usefixtures("both_databases")


def hard_blade(tag: str = "QF-107") -> list[dict[str, Any]]:
    """A blade that has come out of the oil and is stiff."""
    return log_of(
        ("piece_made", {"tag": tag}, QUENCH_MS - 9 * MINUTE_MS),
        ("mark", {"mark": "hardening_fire"}, QUENCH_MS - 8 * MINUTE_MS),
        ("mark", {"mark": "quenched"}, QUENCH_MS),
        ("mark", {"mark": "out_of_bath"}, QUENCH_MS + 12_000),
        ("mark", {"mark": "stiff"}, QUENCH_MS + 60_000),
    )


def next_mark(log: list[dict[str, Any]], mark: str, at_ms: int, **more: Any) -> dict[str, Any]:
    return entry(
        log_id=log[0]["log_id"],
        kind="mark",
        body={"mark": mark, **more},
        happened_ms=at_ms,
        written_ms=at_ms,
        lamport=len(log) + 1,
    )


@pytest.fixture
def rounds(app: Flask) -> Callable[[int], Counter[str]]:
    """Run one round of the sender at an instant."""

    def run(at_ms: int) -> Counter[str]:
        with app.app_context():
            return Sender(subject=SUBJECT, clock=lambda: at_ms, allowed=LOOPBACK).round(db.session())

    return run


def messages(browser: PushBrowser) -> list[dict[str, Any]]:
    path = "/" + browser.endpoint.split("/", 3)[3]
    mine = [one for one in browser.receiver.received if one.path == path]
    return [json.loads(open_message(one.body, private=browser.private, auth=browser.auth)) for one in mine]


def stages(browser: PushBrowser) -> list[str]:
    return [one["stage"] for one in messages(browser)]


@pytest.fixture
def listening(shop: Shop, push_browser: PushBrowser) -> PushBrowser:
    push_browser.subscribe(shop.smith)
    return push_browser


def test_each_stage_of_the_brittle_clock_is_told_when_it_is_due(
    shop: Shop, listening: PushBrowser, rounds: Callable[[int], Counter[str]]
) -> None:
    shop.smith.sync(*hard_blade())
    told = []
    for at_ms in (REMINDER_MS - 1, REMINDER_MS, HURRY_MS - 1, HURRY_MS, ALARM_MS - 1, ALARM_MS, ALARM_MS + 1):
        rounds(at_ms)
        told.append(len(messages(listening)))
    assert told == [0, 1, 1, 2, 2, 3, 3]
    assert stages(listening) == ["reminder", "hurry", "alarm"]


def test_a_message_holds_keys_and_facts_and_names_the_blade(
    shop: Shop, listening: PushBrowser, rounds: Callable[[int], Counter[str]]
) -> None:
    log = hard_blade()
    shop.smith.sync(*log)
    rounds(REMINDER_MS + 3_000)
    [message] = messages(listening)
    clock_id = f"brittle:{log[2]['id']}"
    assert message == {
        "v": 1,
        "tag": tag_of(clock_id),
        "clock_id": clock_id,
        "kind": "brittle",
        "stage": "reminder",
        "piece_id": log[0]["log_id"],
        "piece_tag": "QF-107",
        "due_ms": REMINDER_MS,
        "sent_ms": REMINDER_MS + 3_000,
        "text": message["text"],
    }
    assert message["text"]["key"]
    assert listening.receiver.received[0].headers["topic"] == tag_of(clock_id)
    assert int(listening.receiver.received[0].headers["ttl"]) > 0


def test_a_server_that_was_away_tells_the_newest_stage_only_and_how_late_it_is(
    shop: Shop, listening: PushBrowser, rounds: Callable[[int], Counter[str]]
) -> None:
    shop.smith.sync(*hard_blade())
    done = rounds(ALARM_MS + 40 * MINUTE_MS)
    assert (done["sent"], done["passed"]) == (1, 2)
    [message] = messages(listening)
    assert message["stage"] == "alarm"
    assert message["sent_ms"] - message["due_ms"] == 40 * MINUTE_MS


def test_nothing_is_told_once_the_blade_is_in_the_oven(
    shop: Shop, listening: PushBrowser, rounds: Callable[[int], Counter[str]]
) -> None:
    log = hard_blade()
    shop.smith.sync(*log)
    rounds(REMINDER_MS - 1)
    shop.smith.sync(next_mark(log, "in_oven", REMINDER_MS - 1000, purpose="temper"))
    rounds(REMINDER_MS)
    assert messages(listening) == []


def test_a_mark_that_came_between_claim_and_send_is_seen(
    app: Flask, shop: Shop, listening: PushBrowser
) -> None:
    log = hard_blade()
    shop.smith.sync(*log)
    with app.app_context():
        sender = Sender(subject=SUBJECT, clock=lambda: REMINDER_MS, allowed=LOOPBACK)
        from temperward.services.reminders import claim_due, refresh_logs  # noqa: PLC0415

        refresh_logs(db.session(), now_ms=REMINDER_MS)
        [claim] = claim_due(db.session(), now_ms=REMINDER_MS)
        shop.smith.sync(next_mark(log, "in_oven", REMINDER_MS - 1000, purpose="temper"))
        assert sender.settle(db.session(), claim) == "dropped"
    assert messages(listening) == []


def test_undoing_the_oven_mark_wakes_the_clock_with_its_old_start(
    shop: Shop, listening: PushBrowser, rounds: Callable[[int], Counter[str]]
) -> None:
    log = hard_blade()
    into = next_mark(log, "in_oven", REMINDER_MS - 1000, purpose="temper")
    shop.smith.sync(*log, into)
    rounds(HURRY_MS - 5 * MINUTE_MS)
    assert "brittle" not in [one["kind"] for one in messages(listening)]
    undo = entry(
        log_id=log[0]["log_id"],
        kind="withdraw",
        body={"entry_id": into["id"]},
        happened_ms=HURRY_MS,
        written_ms=HURRY_MS,
        lamport=9,
    )
    shop.smith.sync(undo)
    rounds(HURRY_MS)
    assert stages(listening)[-1] == "hurry"


def test_a_quench_moved_later_moves_what_is_still_to_come(
    shop: Shop, listening: PushBrowser, rounds: Callable[[int], Counter[str]]
) -> None:
    log = hard_blade()
    shop.smith.sync(*log)
    rounds(REMINDER_MS)
    later_ms = QUENCH_MS + 5 * MINUTE_MS
    moved = [
        entry(
            log_id=log[0]["log_id"],
            kind="correct",
            body={"entry_id": log[place]["id"], "happened_ms": later_ms + place * 1000},
            happened_ms=REMINDER_MS,
            written_ms=REMINDER_MS,
            lamport=10 + place,
        )
        for place in (2, 3, 4)
    ]
    shop.smith.sync(*moved)
    rounds(REMINDER_MS + MINUTE_MS)
    assert stages(listening) == ["reminder"]
    rounds(HURRY_MS)
    assert stages(listening) == ["reminder", "reminder"]
    rounds(HURRY_MS + 5 * MINUTE_MS + 3000)
    assert stages(listening) == ["reminder", "reminder", "hurry"]


def test_every_device_that_listens_is_told_and_no_other_shop(
    shop: Shop, other_shop: Shop, push_receiver: PushReceiver, rounds: Callable[[int], Counter[str]]
) -> None:
    ours = [PushBrowser(push_receiver, path=f"/push/{name}") for name in ("owner", "smith", "viewer")]
    for browser, phone in zip(ours, (shop.owner, shop.smith, shop.viewer), strict=True):
        browser.subscribe(phone)
    stranger = PushBrowser(push_receiver, path="/push/stranger")
    stranger.subscribe(other_shop.owner)
    shop.smith.sync(*hard_blade())
    rounds(REMINDER_MS)
    assert [len(messages(one)) for one in ours] == [1, 1, 1]
    assert messages(stranger) == []


def test_a_device_that_was_put_out_is_told_nothing(
    shop: Shop, listening: PushBrowser, rounds: Callable[[int], Counter[str]]
) -> None:
    shop.owner.client.delete(f"/api/devices/{shop.smith.device_id}")
    shop.owner.sync(*hard_blade())
    rounds(REMINDER_MS)
    assert messages(listening) == []


@pytest.mark.parametrize("gone", [404, 410])
def test_a_dead_address_is_forgotten_and_only_that_one(
    shop: Shop, push_receiver: PushReceiver, rounds: Callable[[int], Counter[str]], gone: int
) -> None:
    dead, ill, well = (PushBrowser(push_receiver, path=f"/push/{name}") for name in ("dead", "ill", "well"))
    for browser in (dead, ill, well):
        browser.subscribe(shop.smith)
    push_receiver.answers |= {"/push/dead": gone, "/push/ill": 500}
    shop.smith.sync(*hard_blade())
    rounds(REMINDER_MS)
    push_receiver.answers.clear()
    rounds(HURRY_MS)
    tried = Counter(one.path for one in push_receiver.received)
    assert tried == {"/push/dead": 1, "/push/ill": 2, "/push/well": 2}


def test_a_push_service_that_failed_is_tried_again_and_the_others_are_not(
    shop: Shop, push_receiver: PushReceiver, rounds: Callable[[int], Counter[str]]
) -> None:
    ill, well = (PushBrowser(push_receiver, path=f"/push/{name}") for name in ("ill", "well"))
    for browser in (ill, well):
        browser.subscribe(shop.smith)
    push_receiver.answers["/push/ill"] = 503
    shop.smith.sync(*hard_blade())
    assert rounds(REMINDER_MS)["waiting"] == 1
    push_receiver.answers.clear()
    assert rounds(REMINDER_MS + 1000) == {}
    assert rounds(REMINDER_MS + 25_000)["sent"] == 1
    tried = Counter(one.path for one in push_receiver.received)
    assert tried == {"/push/ill": 2, "/push/well": 1}


def test_trying_again_ends_when_the_message_is_no_longer_of_use(
    shop: Shop, push_browser: PushBrowser, rounds: Callable[[int], Counter[str]]
) -> None:
    push_browser.subscribe(shop.smith)
    push_browser.receiver.answers["/push/one"] = 500
    shop.smith.sync(*hard_blade())
    rounds(ALARM_MS)
    assert rounds(ALARM_MS + 13 * 60 * MINUTE_MS)["unheard"] == 1
    assert rounds(ALARM_MS + 14 * 60 * MINUTE_MS) == {}


def test_who_subscribes_after_the_alarm_is_still_told(
    shop: Shop, push_browser: PushBrowser, rounds: Callable[[int], Counter[str]]
) -> None:
    shop.smith.sync(*hard_blade())
    rounds(ALARM_MS)
    push_browser.subscribe(shop.smith)
    rounds(ALARM_MS + MINUTE_MS)
    assert stages(push_browser) == ["alarm"]


def test_a_blade_hot_without_a_reading_is_told_of_though_nobody_pushes(
    shop: Shop, listening: PushBrowser, rounds: Callable[[int], Counter[str]]
) -> None:
    log = hard_blade()
    shop.smith.sync(*log, next_mark(log, "in_oven", QUENCH_MS + 5 * MINUTE_MS, purpose="temper"))
    at_ms = QUENCH_MS + 6 * MINUTE_MS
    while at_ms < QUENCH_MS + 70 * MINUTE_MS:
        rounds(at_ms)
        at_ms += MINUTE_MS
    told = [(one["kind"], one["stage"]) for one in messages(listening)]
    assert ("no_reading", "alarm") in told or ("brittle", "hurry") in told
    assert ("brittle", "alarm") in told


def test_a_reading_of_the_shops_oven_speaks_for_the_blade_in_it(
    shop: Shop, listening: PushBrowser, rounds: Callable[[int], Counter[str]]
) -> None:
    log = hard_blade()
    in_ms = QUENCH_MS + 5 * MINUTE_MS
    shop.smith.sync(*log, next_mark(log, "in_oven", in_ms, purpose="temper"))
    rounds(in_ms + MINUTE_MS)
    oven = new_id()
    made = entry(log_kind="oven", kind="made", log_id=oven, body={"name": "Small kiln"})
    said = {"log_kind": "oven", "kind": "check", "log_id": oven}
    body = {"check": "oven_temperature", "temperature_c": 205}
    readings = [
        entry(**said, body=body, lamport=2 + place, happened_ms=at_ms, written_ms=at_ms)
        for place, at_ms in enumerate([in_ms + 10 * MINUTE_MS, in_ms + 41 * MINUTE_MS])
    ]
    shop.smith.sync(made, *readings)
    for minute in range(11, 55):
        rounds(in_ms + minute * MINUTE_MS)
    assert "brittle" not in [one["kind"] for one in messages(listening)]


def test_three_senders_tell_each_reminder_once(
    app: Flask, shop: Shop, listening: PushBrowser, both_databases: str
) -> None:
    del both_databases
    blades = [hard_blade(tag=f"QF-{number}") for number in range(201, 213)]
    for blade in blades:
        shop.smith.sync(*blade)
    start = threading.Barrier(3)
    failures: list[BaseException] = []

    def send() -> None:
        try:
            with app.app_context():
                start.wait()
                for _ in range(4):
                    Sender(subject=SUBJECT, clock=lambda: ALARM_MS, allowed=LOOPBACK).round(db.session())
        except BaseException as error:  # noqa: BLE001  (told below, in the test's own thread)
            failures.append(error)

    threads = [threading.Thread(target=send) for _ in range(3)]
    for one in threads:
        one.start()
    for one in threads:
        one.join()
    assert failures == []
    told = Counter(one["clock_id"] for one in messages(listening))
    assert told == Counter(f"brittle:{blade[2]['id']}" for blade in blades)


def test_a_sender_that_died_with_a_claim_is_stood_in_for(
    app: Flask, shop: Shop, listening: PushBrowser, rounds: Callable[[int], Counter[str]]
) -> None:
    shop.smith.sync(*hard_blade())
    with app.app_context():
        from temperward.services.reminders import claim_due, refresh_logs  # noqa: PLC0415

        refresh_logs(db.session(), now_ms=REMINDER_MS)
        assert len(claim_due(db.session(), now_ms=REMINDER_MS)) == 1
    assert rounds(REMINDER_MS + 59_000) == {}
    assert rounds(REMINDER_MS + 61_000)["sent"] == 1
    assert stages(listening) == ["reminder"]


@contextmanager
def breaking_on(log_id: str) -> Iterator[None]:
    """Let the engine come to grief over one blade's log, as a mistake of ours in it would."""

    def ask(question: str, facts: dict[str, Any]) -> dict[str, Any]:
        if facts["log_id"] == log_id:
            raise ZeroDivisionError
        return engine.ask(question, facts)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(clocks, "engine", SimpleNamespace(ask=ask))
        yield


def test_a_log_that_cannot_be_folded_keeps_nobody_else_from_being_told(
    shop: Shop, listening: PushBrowser, rounds: Callable[[int], Counter[str]]
) -> None:
    broken, whole = hard_blade("QF-1"), hard_blade("QF-2")
    shop.smith.sync(*broken, *whole)
    with breaking_on(broken[0]["log_id"]):
        rounds(REMINDER_MS)
    assert [one["piece_tag"] for one in messages(listening)] == ["QF-2"]


def test_a_claimed_reminder_of_a_log_that_broke_waits_for_better_days(
    shop: Shop, listening: PushBrowser, rounds: Callable[[int], Counter[str]]
) -> None:
    log = hard_blade()
    shop.smith.sync(*log)
    rounds(REMINDER_MS - 1)
    with breaking_on(log[0]["log_id"]):
        assert rounds(REMINDER_MS)["failed"] == 1
    rounds(REMINDER_MS + 30_000)
    assert stages(listening) == ["reminder"]


def test_without_a_contact_nothing_is_sent_but_all_is_worked_out(
    app: Flask, shop: Shop, listening: PushBrowser
) -> None:
    shop.smith.sync(*hard_blade())
    with app.app_context():
        done = Sender(subject="", clock=lambda: ALARM_MS).round(db.session())
        waiting = (
            db.session().execute(text("SELECT count(*) FROM reminders WHERE state = 'waiting'")).scalar_one()
        )
    assert done == {"logs": 1}
    assert waiting == 3
    assert messages(listening) == []


def test_the_test_message_reaches_the_device_that_asked(shop: Shop, listening: PushBrowser) -> None:
    assert shop.smith.client.post("/api/push-test", json={}).status_code == 204
    assert [one["kind"] for one in messages(listening)] == ["test"]
    listening.receiver.answers["/push/one"] = 500
    failed = shop.smith.client.post("/api/push-test", json={})
    assert (failed.status_code, failed.json["message"]) == (502, "push_failed")
