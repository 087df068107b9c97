"""What the phone or its browser refuses (room, lasting storage, a lit screen, push) is said as it is."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager

import pytest
from common.pictures import jpeg
from common.running_server import RunningServer
from phone import Phone
from photo_pick import pick_photo
from playwright.sync_api import expect
from smith import Smith
from words import say

FACTS = {"steel": "1084", "thickness_mm": "4", "edge_mm": "1", "length_mm": "230", "target_hrc": "60"}
# What the browser does on a full phone: each write is refused with this error. Its own switch for a small
# quota does not reach IndexedDB.
NO_ROOM = """
for (const name of ["add", "put"]) {
  const write = IDBObjectStore.prototype[name];
  IDBObjectStore.prototype[name] = function (...given) {
    if (localStorage.getItem("journey-full")) throw new DOMException("no room", "QuotaExceededError");
    return write.apply(this, given);
  };
}
"""


def permission(phone: Phone, name: str, setting: str) -> None:
    """Answer a question of the browser beforehand, as its settings page does."""
    phone.browser.new_browser_cdp_session().send(
        "Browser.setPermission",
        {
            "origin": phone.base_url,
            "permission": {"name": name},
            "setting": setting,
            "browserContextId": context_id(phone),
        },
    )


def context_id(phone: Phone) -> str:
    """Return the browser's own name of this phone's storage."""
    cdp = phone.context.new_cdp_session(phone.page)
    info = cdp.send("Target.getTargetInfo")
    cdp.detach()
    return str(info["targetInfo"]["browserContextId"])


# The same, of what is as large as a photo only.
NO_ROOM_FOR_PHOTOS = NO_ROOM.replace(
    'localStorage.getItem("journey-full")',
    '(given[0].bytes ?? "").byteLength > 10_000 && localStorage.getItem("journey-full")',
)


@contextmanager
def full(phone: Phone) -> Iterator[None]:
    """Let the phone have no room left for as long as the block lasts."""
    phone.page.evaluate("localStorage.setItem('journey-full', 'yes')")
    yield
    phone.page.evaluate("localStorage.removeItem('journey-full')")


def test_a_full_phone_says_that_nothing_was_kept_and_loses_nothing_typed(
    server: RunningServer, new_phone: Callable[..., Phone]
) -> None:
    phone = new_phone(server)
    phone.context.add_init_script(NO_ROOM)
    phone.open("blades")
    smith = Smith(phone)
    smith.begin("QF-140", FACTS, {"heat_source": say("app.choice.forge_thermocouple")})
    before = phone.entries_of(smith.piece_id)
    word = phone.word()
    phone.open(f"blade/{smith.piece_id}/note")
    with full(phone):
        phone.page.get_by_label(say("app.note.label")).fill("Kept or not kept?")
        phone.press(say("app.keep"))
        expect(phone.page.locator(".notice.not_kept")).to_contain_text(say("phone.full"))
        phone.picture("full-note")
        expect(phone.page.get_by_label(say("app.note.label"))).to_have_value("Kept or not kept?")
        assert phone.entries_of(smith.piece_id) == before
        phone.press(say("app.notice.seen"))
        smith.blade()
        phone.press(phone.primary())
        expect(phone.page.locator(".notice.not_kept")).to_contain_text(say("phone.full"))
        phone.picture("full-mark")
        phone.reads(word)
        expect(phone.page.get_by_text(say("app.kept_undo"))).to_have_count(0)
        assert phone.entries_of(smith.piece_id) == before
        phone.press(say("app.notice.seen"))
        phone.open("settings")
        group = phone.page.get_by_role("group", name=say("app.set.length_unit"), exact=True)
        phone.press(group.get_by_role("button", name=say("app.set.length_unit.thou"), exact=True))
        expect(phone.page.locator(".notice")).to_contain_text(say("phone.no_room"))
        phone.picture("full-settings")
    phone.open(f"blade/{smith.piece_id}/note")
    expect(phone.page.get_by_label(say("app.note.label"))).to_have_value("Kept or not kept?")
    phone.press(say("app.keep"))
    smith.wait_until(lambda: len(phone.entries_of(smith.piece_id)) == len(before) + 1, "kept now")


def test_a_photo_that_finds_no_room_is_said_not_to_be_kept_and_the_marks_go_on(
    server: RunningServer, new_phone: Callable[..., Phone]
) -> None:
    phone = new_phone(server)
    phone.context.add_init_script(NO_ROOM_FOR_PHOTOS)
    phone.open("blades")
    smith = Smith(phone)
    smith.begin("QF-141", FACTS, {"heat_source": say("app.choice.forge_thermocouple")})
    before = phone.entries_of(smith.piece_id)
    with full(phone):
        pick_photo(phone, smith.piece_id, jpeg(900, 700))
        expect(phone.page.locator(".notice.not_kept")).to_contain_text(say("phone.photo_full"))
        phone.picture("full-photo")
        phone.press(say("app.notice.seen"))
        assert phone.entries_of(smith.piece_id) == before
        assert phone.stored("photos") == []
        smith.blade()
        smith.press_on()
        assert len(phone.entries_of(smith.piece_id)) == len(before) + 1
        expect(phone.page.locator("main.work")).to_be_visible()
    pick_photo(phone, smith.piece_id, jpeg(900, 700))
    smith.wait_until(lambda: len(phone.stored("photos")) == 1, "the photo, now")


@pytest.mark.parametrize(
    "browser", ["says no", "does not answer", "has no such thing"], ids=lambda name: name.replace(" ", "_")
)
def test_a_store_that_may_be_cleared_is_never_called_safe(
    demo_server: RunningServer, new_phone: Callable[..., Phone], browser: str
) -> None:
    phone = new_phone(demo_server)
    refusals = {
        "says no": "navigator.storage.persist = () => Promise.resolve(false)",
        "does not answer": "navigator.storage.persist = () => Promise.reject(new TypeError('no'))",
        "has no such thing": "StorageManager.prototype.persist = undefined",
    }
    phone.context.add_init_script(refusals[browser])
    phone.open("settings")
    phone.shows(say("app.sync.not_persisted"))
    if browser == "says no":
        phone.page.get_by_text(say("app.sync.not_persisted")).scroll_into_view_if_needed()
        phone.picture("not-persisted")


def test_a_lasting_store_is_not_warned_of(
    demo_server: RunningServer, new_phone: Callable[..., Phone]
) -> None:
    phone = new_phone(demo_server)
    phone.open("blades")
    permission(phone, "persistent-storage", "granted")
    phone.open("settings")
    phone.page.reload()
    phone.shows(say("app.sync.title"))
    assert phone.page.evaluate("navigator.storage.persisted()")
    expect(phone.page.get_by_text(say("app.sync.not_persisted"))).to_have_count(0)


@pytest.mark.parametrize("lit", [True, False], ids=["lit", "may_sleep"])
def test_a_screen_that_may_sleep_is_not_said_to_warn(
    server: RunningServer, new_phone: Callable[..., Phone], *, lit: bool
) -> None:
    phone = new_phone(server)
    phone.open("blades")
    permission(phone, "screen-wake-lock", "granted" if lit else "denied")
    phone.join(server.load_demo())
    phone.press(phone.page.locator("button.blade-row", has_text="QF-107"))
    expect(phone.page.locator("h1")).to_have_text(say("fold.word.brittle"))
    phone.press(phone.page.locator(".small-row button").nth(1))
    phone.page.go_back()
    warns = phone.page.locator("main.work .warns")
    expect(warns).to_contain_text(say("app.warns.screen"))
    if lit:
        expect(warns).not_to_contain_text(say("app.warns.screen_lit"))
    else:
        expect(warns).to_contain_text(say("app.warns.screen_lit"))
        phone.picture("wake-refused")
        phone.open("settings")
        phone.press(say("app.alarm.test_one", way=say("app.alarm.wake_lock")))
        expect(phone.page.locator("li", has_text=say("app.alarm.wake_lock"))).to_contain_text(
            say("app.alarm.blocked")
        )


def test_push_that_was_denied_is_not_asked_for_again_and_never_said_to_be_on(
    server: RunningServer, new_phone: Callable[..., Phone]
) -> None:
    phone = new_phone(server)
    phone.claim(server.claim_code(), "Test Forge")
    permission(phone, "notifications", "denied")
    phone.open("settings")
    phone.page.reload()
    line = phone.page.locator("li", has_text=say("app.alarm.push.blocked"))
    expect(line).to_be_visible()
    expect(line.get_by_role("button")).to_have_count(0)
    line.scroll_into_view_if_needed()
    phone.picture("push-denied")
    expect(phone.page.get_by_text(say("app.warns.push"), exact=True)).to_have_count(0)


def test_push_that_fails_is_said_to_be_off(
    push_server: RunningServer, new_phone: Callable[..., Phone]
) -> None:
    phone = new_phone(push_server)
    phone.claim(push_server.claim_code(), "Test Forge")
    permission(phone, "notifications", "granted")
    phone.context.add_init_script(
        "PushManager.prototype.subscribe = () => Promise.reject(new DOMException('no', 'AbortError'))"
    )
    phone.open("settings")
    phone.page.reload()
    phone.press(say("app.alarm.push_on"))
    phone.shows(say("app.alarm.push.failed"))
    expect(phone.button(say("app.alarm.push_on"))).to_be_visible()
    assert push_server.rows("SELECT * FROM push_subscriptions") == []


def test_a_server_that_cannot_push_is_named_as_the_reason(
    server: RunningServer, new_phone: Callable[..., Phone]
) -> None:
    phone = new_phone(server)
    phone.claim(server.claim_code(), "Test Forge")
    permission(phone, "notifications", "granted")
    phone.open("settings")
    phone.page.reload()
    phone.press(say("app.alarm.push_on"))
    phone.shows(say("app.alarm.push.no_server"))
    expect(phone.button(say("app.alarm.push_on"))).to_be_visible()
