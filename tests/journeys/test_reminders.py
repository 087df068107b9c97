"""The server's reminder goes when the blade is in the oven, and a quench told late does not ring."""

from __future__ import annotations

import time
from collections.abc import Callable

from common.running_server import RunningServer
from phone import Phone
from playwright.sync_api import expect
from smith import Smith
from words import say

LIMIT_S = 60


def waiting(server: RunningServer, log_id: str) -> list[str]:
    """Return the brittle stages that the server still means to send for a blade."""
    query = "SELECT clock_id, stage FROM reminders WHERE log_id = ? AND state IN ('waiting', 'claimed')"
    rows = server.rows(query, log_id)
    return sorted(str(row["stage"]) for row in rows if str(row["clock_id"]).startswith("brittle"))


def eventually(server: RunningServer, log_id: str, stages: set[str]) -> None:
    """Wait until of the stages still to come exactly these are waiting."""
    deadline = time.monotonic() + LIMIT_S
    while set(waiting(server, log_id)) - {"reminder"} != stages:
        assert time.monotonic() < deadline, waiting(server, log_id)
        time.sleep(0.3)


def open_blade(phone: Phone, tag: str) -> str:
    """Open a blade from the list; return its id."""
    phone.open("blades")
    phone.press(phone.page.locator("button.blade-row", has_text=tag))
    expect(phone.page.locator("main.work")).to_be_visible()
    return phone.page.url.rsplit("/", 1)[1]


def test_into_the_oven_cancels_the_reminder_on_the_server(
    server: RunningServer, new_phone: Callable[..., Phone]
) -> None:
    phone = new_phone(server)
    phone.join(server.load_demo())
    piece_id = open_blade(phone, "QF-107")
    eventually(server, piece_id, {"alarm", "hurry"})
    phone.press(say("fold.do.in_oven"))
    phone.shows(say("fold.word.temper", number=1))
    eventually(server, piece_id, set())
    assert waiting(server, piece_id) == []


def test_a_quench_told_late_after_the_oven_does_not_ring(
    server: RunningServer, new_phone: Callable[..., Phone]
) -> None:
    phone = new_phone(server)
    phone.join(server.load_demo())
    smith = Smith(phone)
    smith.piece_id = open_blade(phone, "QF-110")
    smith.answers["oven_temperature"] = {"temperature_c": 205}
    smith.until_can(say("fold.do.hardening_fire"))
    smith.press(say("fold.do.hardening_fire"))
    smith.until_can(say("fold.do.going_early"))
    phone.press(say("fold.do.going_early"))
    phone.press(phone.page.locator("main.quench [data-primary]"))
    time.sleep(2.5)
    phone.press(phone.page.locator("main.quench [data-primary]"))
    into_the_oven(phone)
    phone.open(f"blade/{smith.piece_id}/earlier")
    quenched = phone.page.locator("button.row-button", has_text=say("fold.do.quenched"))
    phone.press(quenched)
    for _ in range(2):
        phone.press(say("app.earlier.minutes", n=30))
    phone.press(phone.primary())
    phone.shows(say("fold.word.temper", number=1))
    fold = phone.fold_of(smith.piece_id)
    assert fold["state"]["id"] == "temper_in_heat"
    assert [clock["stages"] for clock in fold["clocks"] if clock["kind"] == "brittle"] in ([], [[]])
    smith.wait_until(lambda: phone.stored("outbox") == [], "sync", limit_s=LIMIT_S)
    eventually(server, smith.piece_id, set())
    assert ringing(phone, "QF-110") == 0


def into_the_oven(phone: Phone) -> None:
    """From the window straight to the oven: everything else can wait."""
    phone.press(phone.page.locator(".people-strip .tag"))
    phone.press(say("fold.do.in_oven"))
    phone.shows(say("fold.word.temper", number=1))


def ringing(phone: Phone, tag: str) -> int:
    """Return how many alarm banners name this blade."""
    return phone.page.locator(".ring", has_text=tag).count()
