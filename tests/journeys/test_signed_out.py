"""Signed out, or its store cleared: the phone comes back with everything, and gives nothing to another."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from common.running_server import RunningServer
from phone import Phone
from playwright.sync_api import expect
from smith import Smith
from words import say

FACTS = {"steel": "1084", "thickness_mm": "4", "edge_mm": "1", "length_mm": "230", "target_hrc": "60"}


def code_of(link: str) -> str:
    return link.rpartition("/")[2]


def new_code(owner: Phone) -> str:
    """Return a code as the owner's phone asks for it."""
    how = "{method: 'POST', headers: {'Content-Type': 'application/json'}, body: '{}'}"
    answer = owner.page.evaluate(f"fetch('/api/join-codes', {how}).then((answer) => answer.json())")
    return str(answer["code"])


def join_by(phone: Phone, code: str) -> None:
    """Type a code on the Join screen."""
    phone.open("join")
    phone.page.get_by_label(say("app.field.code")).fill(code)
    phone.press(say("app.join.go"))


def begun(phone: Phone, tag: str) -> Smith:
    """Begin a blade."""
    smith = Smith(phone)
    smith.begin(tag, FACTS, {"heat_source": say("app.choice.forge_thermocouple")})
    return smith


def ids_on(server: RunningServer, smith: Smith) -> list[str]:
    rows = server.rows("SELECT id FROM entries WHERE log_id = ?", smith.piece_id)
    return sorted(str(row["id"]) for row in rows)


def test_a_phone_that_was_put_out_joins_again_by_a_new_code_and_what_waited_goes_there_alone(
    server: RunningServer, new_phone: Callable[..., Phone]
) -> None:
    owner, other = new_phone(server), new_phone(server)
    owner.claim(server.claim_code(), "Test Forge")
    other.join(server.join_link())
    owner.open("settings")
    owner.press(say("app.devices.show"))
    rows = owner.page.locator("li", has_text=say("app.devices.smith"))
    owner.press(rows.get_by_role("button", name=say("app.devices.put_out")).first)
    expect(owner.page.locator("li small", has_text=say("app.devices.out"))).to_be_visible()

    smith = begun(other, "QF-141")
    other.open("blades")
    other.shows(say("app.sync.signed_out"))
    written = sorted(entry["id"] for entry in other.entries_of(smith.piece_id))
    waiting = len(other.stored("outbox"))
    assert waiting >= len(written) > 0

    join_by(other, code_of(server.load_demo()))
    other.shows(say("phone.only_here_first", entries=waiting, photos=0))
    assert len(other.stored("outbox")) == waiting
    assert ids_on(server, smith) == []

    join_by(other, new_code(owner))
    expect(other.page.get_by_role("heading", name=say("app.blades.title"))).to_be_visible()
    smith.wait_until(lambda: other.stored("outbox") == [], "what waited is sent")
    assert sorted(entry["id"] for entry in other.entries_of(smith.piece_id)) == written
    assert ids_on(server, smith) == written


def test_a_phone_goes_over_to_another_shop_only_when_that_one_has_let_it_in(
    server: RunningServer, new_phone: Callable[..., Phone]
) -> None:
    phone = new_phone(server)
    phone.claim(server.claim_code(), "Test Forge")
    smith = begun(phone, "QF-143")
    smith.wait_until(lambda: phone.stored("outbox") == [], "sent")
    ours = ids_on(server, smith)
    code = code_of(server.load_demo())

    join_by(phone, "AAAA9999")
    phone.shows(say("phone.join_refused", reason="bad_code"))
    assert sorted(entry["id"] for entry in phone.entries_of(smith.piece_id)) == ours

    join_by(phone, code)
    expect(phone.page.get_by_role("heading", name=say("app.blades.title"))).to_be_visible()
    smith.wait_until(lambda: len(phone.stored("entries")) > len(ours), "the other shop's log")
    assert phone.entries_of(smith.piece_id) == []
    assert ids_on(server, smith) == ours


@pytest.mark.parametrize("gone", ["indexeddb", "indexeddb,local_storage,cache_storage,service_workers"])
def test_a_phone_whose_store_was_cleared_takes_up_its_shop_by_itself(
    server: RunningServer, new_phone: Callable[..., Phone], gone: str
) -> None:
    phone = new_phone(server)
    phone.claim(server.claim_code(), "Test Forge")
    smith = begun(phone, "QF-142")
    smith.wait_until(lambda: phone.stored("outbox") == [], "sent")
    before = phone.entries_of(smith.piece_id)

    phone.page.goto("about:blank")
    cdp = phone.context.new_cdp_session(phone.page)
    cdp.send("Storage.clearDataForOrigin", {"origin": server.base_url, "storageTypes": gone})
    phone.open("blades")
    phone.shows(say("phone.rejoined", shop="Test Forge"))
    expect(phone.page.locator("button.blade-row", has_text="QF-142")).to_be_visible()
    ours = [{**entry, "seq": 0, "received_ms": 0} for entry in before]
    back = [{**entry, "seq": 0, "received_ms": 0} for entry in phone.entries_of(smith.piece_id)]
    assert back == ours
