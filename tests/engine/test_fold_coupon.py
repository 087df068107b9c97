"""A card that begins with a coupon: it is proved before the blade is shaped, unless the plan changes."""

from __future__ import annotations

from common.card_cases import card, plan
from log_maker import Log

COUPON = {"thickness_mm": 5, "medium": "medium_oil", "passed": False}
FOUND_BAR = plan(steel="unknown", quench=[{"medium": "medium_oil"}], bath=None, coupon=COUPON)


def test_a_card_that_begins_with_a_coupon_has_it_proved_before_the_blade_is_shaped() -> None:
    log = Log(card=card(FOUND_BAR))
    fold = log.fold()
    assert (fold["state"]["id"], fold["phase"]) == ("coupon_being_proved", "coupon_being_proved")
    assert (fold["next"]["check"], [one["mark"] for one in fold["offers"]]) == ("coupon", ["shaped"])
    log.check("coupon", {"thickness_mm": 3, "medium": "medium_oil", "passed": True}, after_s=60)
    assert log.fold()["phase"] == "coupon_being_proved", "thinner than the blade, it proves nothing"
    log.check("coupon", {"thickness_mm": 5, "medium": "medium_oil", "passed": True}, after_s=60)
    assert log.fold()["next"]["mark"] == "shaped"
    log.mark("shaped", after_s=60)
    assert log.fold()["state"]["id"] == "shaped"


def test_a_changed_plan_may_do_without_the_coupon() -> None:
    log = Log(card=card(FOUND_BAR))
    replaced = log.entries[-1]["id"]
    log.wait(60).add("card_made", {"card": card(plan()), "replaces": replaced})
    assert log.fold()["state"]["id"] == "planned"
