"""A push on the phone: asked for by a press, sealed by the server for this phone, shown by its worker.

Between the server and the browser stands a push service on loopback; what it was given is opened and handed
to Chromium by the browser's own command for delivering a push.
"""

from __future__ import annotations

import json
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from typing import Any

import pytest
from common.phones import PushBrowser
from common.push_receiver import PushReceiver, open_message
from common.running_server import RunningServer
from phone import Phone, until
from playwright.sync_api import CDPSession, expect
from test_refused_by_the_phone import permission
from words import say

LIMIT_S = 60
# The browser's own push service lies outside of this machine: its part is played by the one on loopback.
SUBSCRIBED = """
{
  const given = GIVEN;
  const make = () => {
    const options = { applicationServerKey: null };
    return { ...given, options, toJSON: () => given, unsubscribe: async () => true };
  };
  let held = localStorage.getItem("journey-subscribed") ? make() : null;
  PushManager.prototype.subscribe = async ({ userVisibleOnly, applicationServerKey }) => {
    if (!userVisibleOnly || applicationServerKey.length !== 65) throw new DOMException("no", "AbortError");
    localStorage.setItem("journey-subscribed", "yes");
    held = make();
    return held;
  };
  PushManager.prototype.getSubscription = async () => held;
}
"""
SHOWN = """
async () => {
  const registration = await navigator.serviceWorker.ready;
  const names = ["title", "body", "tag", "silent", "requireInteraction"];
  const banners = await registration.getNotifications();
  return banners.map((one) => Object.fromEntries(names.map((name) => [name, one[name]])));
}
"""
CLICKED = """
async (tag) => {
  const opened = [];
  self.clients.openWindow = async (url) => { opened.push(url); return null; };
  const [notification] = await self.registration.getNotifications({ tag });
  self.dispatchEvent(new NotificationEvent("notificationclick", { notification }));
  return opened;
}
"""


STATE = "async () => (await navigator.serviceWorker.getRegistration())?.active?.state"


@dataclass
class PushedPhone:
    """A phone with push on, and the browser's command by which a push is delivered to it."""

    phone: Phone
    browser: PushBrowser
    registrations: dict[str, str] = field(default_factory=dict)
    _cdp: CDPSession | None = None
    _delivery: dict[str, Any] = field(default_factory=dict)

    def switch_on(self) -> None:
        """Press the button, as a smith does."""
        given = {name: self.browser.subscription()[name] for name in ("endpoint", "keys")}
        self.phone.context.add_init_script(SUBSCRIBED.replace("GIVEN", json.dumps(given)))
        permission(self.phone, "notifications", "granted")
        self.phone.open("settings")
        self.phone.page.reload()
        self.phone.press(say("app.alarm.push_on"))
        expect(self.phone.button(say("app.alarm.push_off"))).to_be_visible()

    def sent(self, kind: str) -> dict[str, Any]:
        """Wait for a message of a kind that the server sends for this phone, and open it."""
        deadline = time.monotonic() + LIMIT_S
        while time.monotonic() < deadline:
            for one in list(self.browser.receiver.received):
                opened = open_message(one.body, private=self.browser.private, auth=self.browser.auth)
                message: dict[str, Any] = json.loads(opened)
                if message["kind"] == kind:
                    return message
            time.sleep(0.1)
        raise AssertionError(f"the server sent nothing of {kind}")

    def deliver(self, message: dict[str, Any]) -> None:
        """Let a push arrive."""
        if self._cdp is None:
            self._cdp = self.phone.context.new_cdp_session(self.phone.page)
            self._cdp.on("ServiceWorker.workerRegistrationUpdated", self._note)
            self._cdp.send("ServiceWorker.enable")
        deadline = time.monotonic() + LIMIT_S
        while self.phone.base_url + "/" not in self.registrations and time.monotonic() < deadline:
            self.phone.page.wait_for_timeout(50)
        wish = {
            "origin": self.phone.base_url,
            "registrationId": self.registrations[self.phone.base_url + "/"],
            "data": json.dumps(message),
        }
        # The command gives no receipt, and tells a worker that is not yet active nothing.
        until(self.phone.page, STATE, lambda state: state == "activated")
        self._delivery = wish
        self._cdp.send("ServiceWorker.deliverPushMessage", wish)

    def _note(self, event: dict[str, Any]) -> None:
        for one in event["registrations"]:
            if not one["isDeleted"]:
                self.registrations[one["scopeURL"]] = one["registrationId"]

    def shown(self) -> list[dict[str, Any]]:
        """Return the banners that stand on the phone."""
        found: list[dict[str, Any]] = self.phone.page.evaluate(SHOWN)
        return found

    def shows_one(self, what: Callable[[dict[str, Any]], bool]) -> dict[str, Any]:
        """Wait until the only banner is such a one."""
        began = time.monotonic()
        again = False
        while time.monotonic() < began + LIMIT_S:
            found = self.shown()
            if len(found) == 1 and what(found[0]):
                return found[0]
            if not found and not again and time.monotonic() > began + LIMIT_S / 2 and self._cdp is not None:
                again = True  # a command that came to nothing at all is given once more
                self._cdp.send("ServiceWorker.deliverPushMessage", self._delivery)
            time.sleep(0.1)
        raise AssertionError(self.shown())

    def click(self, tag: str) -> list[str]:
        """Touch a banner; return what the worker opens."""
        [worker] = self.phone.context.service_workers
        opened: list[str] = worker.evaluate(CLICKED, tag)
        return opened


@pytest.fixture
def receiver() -> Iterator[PushReceiver]:
    with PushReceiver() as made:
        yield made


@pytest.fixture
def warned(
    push_server: RunningServer, new_phone: Callable[..., Phone], receiver: PushReceiver
) -> tuple[PushedPhone, str, dict[str, Any]]:
    """A phone with push on, its hard blade, and the reminder that the server sends of it."""
    phone = new_phone(push_server)
    phone.join(push_server.load_demo())
    piece_id = open_blade(phone, "QF-107")
    pushed = PushedPhone(phone, PushBrowser(receiver))
    pushed.switch_on()
    return pushed, piece_id, pushed.sent("brittle")


def open_blade(phone: Phone, tag: str) -> str:
    phone.open("blades")
    phone.press(phone.page.locator("button.blade-row", has_text=tag))
    expect(phone.page.locator("main.work")).to_be_visible()
    return phone.page.url.rsplit("/", 1)[1]


def minutes_late(message: dict[str, Any], minutes: float) -> dict[str, Any]:
    """Return a message as it would be that many minutes after its stage was due."""
    return {**message, "due_ms": round(time.time() * 1000 - minutes * 60_000)}


def test_a_reminder_of_the_server_is_shown_says_how_late_it_is_and_leads_to_its_blade(
    warned: tuple[PushedPhone, str, dict[str, Any]],
) -> None:
    pushed, piece_id, message = warned
    phone = pushed.phone
    assert (message["piece_tag"], message["stage"]) == ("QF-107", "reminder")
    phone.open("blades")

    pushed.deliver(minutes_late(message, 12.5))
    shown = pushed.shows_one(lambda one: say("push.late", late_min="12 min") in one["body"])
    assert (shown["title"], shown["tag"]) == ("QF-107", message["tag"])
    assert (shown["silent"], shown["requireInteraction"]) == (False, True)
    assert message["text"]["key"] not in shown["body"]

    # The next stage of the same clock takes the place of the banner; on time, it does not speak of lateness.
    on_time = {**minutes_late(message, 0.2), "stage": "hurry"}
    pushed.deliver(on_time)
    late_words = say("push.late", late_min="").split()[:2]
    shown = pushed.shows_one(lambda one: " ".join(late_words) not in one["body"])
    assert shown["tag"] == message["tag"]

    assert pushed.click(message["tag"]) == [f"/#/blade/{piece_id}"]
    assert pushed.shown() == []
    phone.open(f"blade/{piece_id}")
    phone.reads(say("fold.word.brittle"))


def test_a_reminder_of_what_is_done_on_this_phone_is_quiet_and_says_so(
    warned: tuple[PushedPhone, str, dict[str, Any]],
) -> None:
    """The server does not know yet: the blade went into the oven without a network."""
    pushed, piece_id, message = warned
    phone = pushed.phone
    phone.open(f"blade/{piece_id}")
    phone.offline()
    phone.press(say("fold.do.in_oven"))
    phone.reads(say("fold.word.temper", number=1))
    phone.fold_of(piece_id)
    pushed.deliver(minutes_late(message, 12.5))
    shown = pushed.shows_one(lambda one: one["body"] == say("push.done_already"))
    assert (shown["silent"], shown["requireInteraction"]) == (True, False)
    assert shown["tag"] == message["tag"]


def test_the_test_message_reaches_the_phone_that_asked_and_opens_the_app(
    push_server: RunningServer, new_phone: Callable[..., Phone], receiver: PushReceiver
) -> None:
    phone = new_phone(push_server)
    phone.claim(push_server.claim_code(), "Test Forge")
    pushed = PushedPhone(phone, PushBrowser(receiver))
    pushed.switch_on()
    assert [row["endpoint"] for row in push_server.rows("SELECT endpoint FROM push_subscriptions")] == [
        pushed.browser.endpoint
    ]
    phone.press(say("app.alarm.test_one", way=say("app.alarm.push")))
    message = pushed.sent("test")
    pushed.deliver(message)
    shown = pushed.shows_one(lambda one: one["body"] == say("push.test"))
    assert shown["title"] == "Temperward"
    assert pushed.click(message["tag"]) == ["/"]


def test_at_every_start_the_phone_tells_the_server_its_address_again(
    push_server: RunningServer, new_phone: Callable[..., Phone], receiver: PushReceiver
) -> None:
    """A push service said 410 once, or the server was set back: what is on must be on at both ends."""
    phone = new_phone(push_server)
    phone.claim(push_server.claim_code(), "Test Forge")
    pushed = PushedPhone(phone, PushBrowser(receiver))
    pushed.switch_on()
    receiver.answers["/push/one"] = 410
    phone.press(say("app.alarm.test_one", way=say("app.alarm.push")))
    deadline = time.monotonic() + LIMIT_S
    addresses = "SELECT endpoint FROM push_subscriptions"
    while push_server.rows(addresses) and time.monotonic() < deadline:
        phone.page.wait_for_timeout(100)
    assert push_server.rows(addresses) == []
    phone.page.reload()
    while not push_server.rows(addresses) and time.monotonic() < deadline:
        phone.page.wait_for_timeout(100)
    assert [row["endpoint"] for row in push_server.rows(addresses)] == [pushed.browser.endpoint]
    expect(phone.button(say("app.alarm.push_off"))).to_be_visible()
