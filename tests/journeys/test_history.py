"""What the log looks like: tempers against the plan, two fractures side by side, a new blade in its batch."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator

import pytest
from common.running_server import RunningServer
from demo_phone import demo_phone
from phone import Phone
from playwright.sync_api import Browser, Locator, expect
from smith import Smith
from words import say

FACTS = {"tag": "QF-113", "thickness_mm": "3", "edge_mm": "1", "length_mm": "120", "target_hrc": "60"}


@pytest.fixture(scope="module")
def phone(chromium: Browser, demo_server: RunningServer) -> Iterator[Phone]:
    with demo_phone(chromium, demo_server) as joined:
        yield joined


def id_of(phone: Phone, tag: str) -> str:
    """Return the blade of this tag, once the phone has folded it: the list moves while it is read."""

    def known() -> list[str]:
        return [row["log_id"] for row in phone.stored("folds") if row["answer"].get("tag") == tag]

    Smith(phone).wait_until(lambda: known() != [], tag)
    return known()[0]


def test_the_card_shows_each_temper_beside_its_plan_with_no_network(phone: Phone) -> None:
    blade = id_of(phone, "QF-106")
    phone.offline()
    try:
        phone.open(f"card/{blade}")
        phone.shows(say("app.card.tempers"))
        expect(phone.page.locator("svg.curves")).to_have_count(2)
        first = phone.page.get_by_role("img", name=say("history.temper", n=1, value_c="205 °C", hold_s="2 h"))
        expect(first).to_be_visible()
        expect(first).to_contain_text(say("history.cut"))
        table = phone.page.locator("table.readings").first
        expect(table.locator("tr", has_text=say("history.cut"))).to_contain_text("13:09")
        expect(table.locator("tr").last).to_have_text(say("history.counted", hold_s="2 h"))
        phone.picture("history-tempers")
    finally:
        phone.offline(on=False)


def test_the_bows_from_heat_to_heat_are_drawn_and_listed(phone: Phone) -> None:
    phone.open(f"blade/{id_of(phone, 'QF-102')}/straightness")
    expect(phone.page.get_by_role("img", name=say("history.warp"))).to_be_visible()
    rows = phone.page.locator("table.readings").first.locator("tbody tr")
    expect(rows).to_have_count(10)
    assert rows.locator("svg").count() > 0
    phone.picture("history-bows")


def test_two_fractures_lie_side_by_side_as_wide_as_the_glass_allows(phone: Phone) -> None:
    phone.open(f"log/{id_of(phone, 'QF-104')}")
    pictures = phone.page.locator(".fractures img")
    expect(pictures).to_have_count(2)
    code = "all => all.length === 2 && all.every(one => one.naturalWidth > 0)"
    Smith(phone).wait_until(lambda: bool(pictures.evaluate_all(code)), "two decoded pictures")
    left, right = (box_of(one) for one in pictures.all())
    wide = phone.page.evaluate("innerWidth")
    assert left["y"] == right["y"]
    assert min(left["width"], right["width"]) > 0.48 * wide
    captions = phone.page.locator(".fractures figcaption").all_inner_texts()
    assert all(re.search(r"\d{3} °C", text) and "2026" in text for text in captions)
    assert [say("history.fracture.not_passed") in text for text in captions] == [True, False]
    assert say("history.fracture.proves", thickness_mm="3.00 mm", medium="fast oil") in captions[1]
    phone.picture("history-fractures")


def box_of(one: Locator) -> dict[str, float]:
    box = one.bounding_box()
    assert box is not None
    return dict(box)


def test_a_photo_of_a_coupon_is_taken_from_its_line_on_the_log(phone: Phone) -> None:
    blade = id_of(phone, "QF-104")
    phone.open(f"log/{blade}")
    line = phone.page.locator("li", has_text=say("app.check.coupon")).first
    phone.press(line.locator("summary"))
    expect(line.locator("button.chip", has_text=say("app.photo.take"))).to_be_visible()


def field(phone: Phone, name: str) -> Locator:
    return phone.page.get_by_label(re.compile("^" + re.escape(say(f"app.field.{name}"))))


def test_a_new_blade_goes_into_the_open_batch_with_one_press_and_no_letter_twice(
    server: RunningServer, new_phone: Callable[..., Phone]
) -> None:
    phone = new_phone(server)
    phone.join(server.load_demo())
    phone.open("new")
    phone.press(say("app.new.batch", batch="QF-105", letter="G"))
    expect(field(phone, "letter")).to_have_value("G")
    phone.picture("history-new-blade")
    for name, text in FACTS.items():
        field(phone, name).fill(text)
    field(phone, "steel").select_option("1084")
    field(phone, "letter").fill("A")
    phone.press(say("app.new.ask"))
    phone.shows(say("refusal.letter_taken"))
    field(phone, "letter").fill("")
    phone.press(say("app.new.ask"))
    phone.press(say("app.new.make"))
    expect(phone.page.get_by_role("button", name=re.compile("^QF-113"))).to_be_visible()
    made = phone.entries_of(phone.page.url.rsplit("/", 1)[1])[0]
    assert made["body"] == {"tag": "QF-113", "batch": "QF-105", "letter": "G"}
    phone.open("new")
    phone.shows(say("app.new.batch", batch="QF-105", letter="H"))
