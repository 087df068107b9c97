"""A thumb on a list that moves: what it touched is what it means, and what slides under it is not pressed."""

from __future__ import annotations

import time
from collections.abc import Callable

import pytest
from common.running_server import RunningServer
from phone import Phone
from words import say

# What comes above the rows while the finger lies there: as an alarm does, only without waiting for one.
PUSH_DOWN = """by_px => {
  const above = document.createElement("div");
  above.style.height = `${by_px}px`;
  document.querySelector(".bars").append(above);
}"""


@pytest.fixture
def phone(demo_server: RunningServer, new_phone: Callable[..., Phone]) -> Phone:
    phone = new_phone(demo_server)
    phone.join(demo_server.join_link())
    phone.lists("QF-107")
    phone.offline()
    return phone


@pytest.mark.parametrize("rows_moved", [1, 0])
def test_a_row_that_slides_under_a_resting_thumb_is_not_opened(phone: Phone, rows_moved: int) -> None:
    rows = phone.page.locator("button.blade-row")
    first, second = (rows.nth(at).bounding_box() or {} for at in (0, 1))
    with phone.finger(second["x"] + second["width"] / 2, second["y"] + second["height"] / 2):
        phone.page.evaluate(PUSH_DOWN, rows_moved * (second["y"] - first["y"]))
        time.sleep(0.1)
    if rows_moved:
        time.sleep(1)
        assert phone.word() == say("app.blades.title")
    else:
        phone.page.wait_for_url("**/#/blade/*")
