"""What only the smith knows, answered by the engine on the phone; and what its models miss."""

from __future__ import annotations

import re
from collections.abc import Callable

import pytest
from common.running_server import RunningServer
from phone import Phone
from playwright.sync_api import Locator, expect
from words import say

from temperward import wording
from temperward.engine import api

FACTS = {"tag": "QF-199", "thickness_mm": "4,0", "edge_mm": "1,0", "length_mm": "220", "width_mm": "34"}


@pytest.fixture
def phone(demo_server: RunningServer, new_phone: Callable[..., Phone]) -> Phone:
    joined = new_phone(demo_server)
    joined.join(demo_server.join_link())
    joined.press(say("app.quiet"))
    return joined


def field(phone: Phone, name: str) -> Locator:
    return phone.page.get_by_label(re.compile("^" + re.escape(say(f"app.field.{name}"))))


def chip(phone: Phone, name: str) -> Locator:
    return phone.page.get_by_role("button", name=say(f"app.choice.{name}"), exact=True)


def ask(phone: Phone, question: str) -> None:
    """Press the question, once nothing is typed any more: a pad may lie over it until then."""
    phone.page.evaluate("document.activeElement.blur()")
    phone.press(say(f"app.asks.{question}"))


def engine_says(question: str, facts: dict[str, object]) -> str:
    return wording.render(api.ask(question, facts)["answer"]["sentence"])


def test_a_torch_is_told_as_an_hour_in_the_oven_by_its_colour_and_by_its_heat(phone: Phone) -> None:
    phone.open("new")
    for name, text in FACTS.items():
        field(phone, name).fill(text)
    field(phone, "steel").select_option("1084")
    chip(phone, "torch_after").click()
    phone.press(say("app.new.ask"))
    step = phone.page.locator("details.card-step", has_text=say("card.title.soften"))
    step.locator("summary").first.click()
    chip(phone, "brown").click()
    field(phone, "torch_s").last.fill("10")
    ask(phone, "torch_equals")
    said = phone.page.locator("p.do-now[role=status]")
    expect(said).to_have_text(engine_says("torch_equals", {"colour": "brown", "torch_s": 10}))
    field(phone, "temperature_c").fill("250")
    ask(phone, "torch_equals")
    expect(said).to_contain_text(
        "161 to 183 °C"
    )  # worked by hand: 160.8 and 183.1, for the constants 15 and 20
    field(phone, "torch_s").last.fill("5")
    ask(phone, "torch_equals")
    expect(phone.page.locator(".refused")).to_contain_text(re.compile(r"10.*600"))


def test_a_tube_for_a_blade_is_sized_in_the_shop(phone: Phone) -> None:
    phone.open("shop")
    phone.shows("Short oil")
    phone.press(phone.page.locator("summary", has_text=say("app.shop.bath_size")))  # once nothing moves
    for name, text in {"steel_kg": "1,05", "dip_mm": "560", "bore_mm": "150"}.items():
        field(phone, name).fill(text)
    ask(phone, "bath_size")
    facts: dict[str, object] = {"steel_kg": 1.05, "dip_mm": 560, "bore_mm": 150}
    said = phone.page.locator("p.do-now[role=status]")
    expect(said).to_have_text(engine_says("bath_size", facts))
    expect(said).to_contain_text("775 mm deep")
    field(phone, "bore_mm").fill("")
    ask(phone, "bath_size")
    expect(phone.page.locator(".refused")).to_be_visible()


def test_the_page_of_the_numbers_says_what_each_model_misses(phone: Phone) -> None:
    phone.open("sources")
    phone.shows(say("app.model.what"))
    for model in api.ask("models", {})["answer"]:
        opened = phone.page.locator("details", has_text=say(f"app.model.{model['id']}.range"))
        opened.locator("summary").click()
        expect(opened).to_contain_text(say(f"app.model.{model['id']}.not"))
        for error in model["errors"]:
            expect(opened).to_contain_text(wording.render(error["text"]))
