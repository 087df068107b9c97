"""A card of an earlier version: what moved is offered sitting down, taken or left, and never in the heat."""

from __future__ import annotations

import copy
import time
from collections.abc import Callable
from typing import Any

import pytest
from brought import ending, shop_with
from common.card_cases import PLAIN, card, step
from common.running_server import RunningServer
from engine_scenes import begin
from log_maker import Log
from phone import Phone
from playwright.sync_api import Locator, expect
from smith import Smith
from test_two_phones import ids, synced
from words import say

OFFER = say("offer.offered")


def older_card() -> dict[str, Any]:
    """The plain plan's card as an earlier release kept it: the last temper colder, a shorter hold."""
    made = copy.deepcopy(card(PLAIN))
    for step_id, point_id, value in (("temper-2", "temperature", 195.0), ("quench", "hold_in_bath", 11.0)):
        for point in step(made, step_id)["set_points"]:
            if point["id"] == point_id:
                point.update({"value": value, "minus": 5.0, "plus": 5.0})
    made["limits"]["temper_c"][1] = 195.0
    return made


def older(log: Log) -> Log:
    """Put the older card into a log, made by a release long gone."""
    log.entries[1]["body"] = {"card": older_card()}
    for entry in log.entries:
        entry["engine_version"] = "0.0.9+0123456789ab"
    return log


def now_ms() -> int:
    return round(time.time() * 1000)


def offer(phone: Phone) -> Locator:
    return phone.page.locator("main.sit > details").first


def open_offer(phone: Phone, piece_id: str) -> Locator:
    """From the blade by a thumb: more, card, the line."""
    phone.open(f"blade/{piece_id}/more")
    phone.press(f"{say('app.card.title')}: {OFFER}")
    expect(offer(phone)).to_be_visible()
    phone.press(offer(phone).locator("summary").first)
    return offer(phone)


def cards_of(phone: Phone, piece_id: str) -> list[dict[str, Any]]:
    return [entry for entry in phone.entries_of(piece_id) if entry["kind"] == "card_made"]


def in_force(phone: Phone, piece_id: str) -> str:
    return str(phone.fold_of(piece_id)["card_id"])


def test_the_newer_card_is_seen_beside_the_old_taken_offline_and_taken_back(
    server: RunningServer, new_phone: Callable[..., Phone]
) -> None:
    log = older(begin()).ground()
    (blade,) = shop_with(server, ending(log, tag="QF-140", at_ms=now_ms()))
    phone = new_phone(server)
    phone.join(server.join_link())
    phone.lists("QF-140")
    phone.offline()
    smith = Smith(phone, piece_id=blade)
    smith.blade()
    expect(phone.page.locator("main.work")).not_to_contain_text(OFFER)  # nothing on a working screen
    shown = open_offer(phone, blade)
    quench = shown.locator("table.readings tr", has_text=say("card.label.hold_in_bath"))
    expect(quench.locator("td").nth(1)).to_contain_text("11 s")
    expect(quench.locator("td").nth(2)).to_contain_text("14 s")
    temper = shown.locator("table.readings tr", has_text=say("card.label.temperature"))
    expect(temper.locator("td").nth(1)).to_contain_text("195 °C")
    expect(temper.locator("td").nth(2)).to_contain_text("215 °C")
    expect(shown.locator("table.readings")).to_have_count(2)
    phone.picture("offer-open")

    old = in_force(phone, blade)
    phone.press(say("offer.take"))
    smith.wait_until(lambda: len(cards_of(phone, blade)) == 2, "taken")
    taken = cards_of(phone, blade)[1]
    assert taken["body"]["replaces"] == old
    assert taken["engine_version"] != "0.0.9+0123456789ab"
    assert in_force(phone, blade) == taken["id"]
    assert phone.fold_of(blade)["tempers_planned"] == 2
    expect(phone.page.locator("main.work")).to_be_visible()
    phone.open(f"card/{blade}")
    expect(phone.page.get_by_text(OFFER)).to_have_count(0)
    expect(phone.page.get_by_text(say("app.card.earlier"))).to_have_count(1)

    smith.blade()
    phone.press(phone.page.locator(".small-row button").last)  # undo
    smith.wait_until(lambda: in_force(phone, blade) == old, "taken back")
    open_offer(phone, blade)
    expect(phone.button(say("offer.take"))).to_be_visible()


def test_left_it_asks_no_more_on_either_phone(server: RunningServer, new_phone: Callable[..., Phone]) -> None:
    (blade,) = shop_with(server, ending(older(begin()).ground(), tag="QF-141", at_ms=now_ms()))
    first, second = new_phone(server), new_phone(server)
    for phone in (first, second):
        phone.join(server.join_link())
        phone.lists("QF-141")
    open_offer(first, blade)
    first.press(say("offer.leave"))
    Smith(first).wait_until(lambda: first.entries_of(blade)[-1]["kind"] == "choice", "left")
    first.open(f"card/{blade}")
    expect(offer(first).locator("summary").first).to_have_text(say("offer.left"))
    first.picture("offer-left")
    synced(first)
    synced(second)
    Smith(second).wait_until(lambda: second.entries_of(blade)[-1]["kind"] == "choice", "it is there too")
    second.open(f"card/{blade}")
    expect(offer(second).locator("summary").first).to_have_text(say("offer.left"))
    second.open(f"blade/{blade}/more")
    expect(second.button(say("app.card.title"))).to_be_visible()
    second.open(f"log/{blade}")
    second.shows(say("app.choice.card_left"))
    assert len(cards_of(second, blade)) == 1


def test_two_phones_take_it_offline_and_one_card_is_in_force_on_both(
    server: RunningServer, new_phone: Callable[..., Phone]
) -> None:
    (blade,) = shop_with(server, ending(older(begin()).ground(), tag="QF-142", at_ms=now_ms()))
    phones = [new_phone(server), new_phone(server)]
    for phone in phones:
        phone.join(server.join_link())
        phone.lists("QF-142")
        phone.offline()
        open_offer(phone, blade)
        phone.press(say("offer.take"))
        Smith(phone).wait_until(lambda phone=phone: len(cards_of(phone, blade)) == 2, "taken")
    first, second = phones
    for phone in (first, second, first):
        synced(phone)
    smith = Smith(first, piece_id=blade)
    smith.wait_until(lambda: ids(first, smith) == ids(second, smith), "one order")
    assert len(cards_of(first, blade)) == 3
    assert in_force(first, blade) == in_force(second, blade)
    assert first.fold_of(blade)["conflicts"] == []


@pytest.mark.parametrize("way", ["hard", "in the fire"])
def test_a_blade_that_is_hot_or_hard_is_offered_nothing(
    way: str, server: RunningServer, new_phone: Callable[..., Phone]
) -> None:
    log = older(begin()).ground()
    if way == "hard":
        for _ in range(3):
            log.cycle(0.15)
        log.get_ready().harden()
        log.mark("out_of_bath", after_s=14)
        log.mark("hand_warm", after_s=300)
    else:
        log.mark("in_fire", after_s=60)
    (blade,) = shop_with(server, ending(log, tag="QF-143", at_ms=now_ms()))
    phone = new_phone(server)
    phone.join(server.join_link())
    phone.lists("QF-143")
    for path in (f"card/{blade}", f"log/{blade}", f"blade/{blade}/more"):
        phone.open(path)
        expect(phone.page.locator("main.sit")).to_be_visible()
        phone.page.wait_for_timeout(2500)  # longer than a card takes to make
        expect(phone.page.get_by_text(OFFER)).to_have_count(0)
