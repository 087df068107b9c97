"""A newer engine offers a new card and shows what moved; a kept card is never recomputed."""

from __future__ import annotations

import copy
import json
import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from common.card_cases import PLAIN, VARIANTS, card, plan, step
from hypothesis import given, settings
from hypothesis import strategies as st
from log_maker import Log

from temperward.engine import api
from temperward.engine.process import card_offer as offers

OLD, NEW = "0.1.0", "0.2.0+abc"
Body = dict[str, Any]
WORDS: Body = {}
for path in sorted((Path(offers.__file__).parents[1] / "data/words/en").glob("*.json")):
    WORDS.update(json.loads(path.read_text("utf-8")))


def kept(**points: float) -> Body:
    """The plain plan's card as an older engine made it: set points named step__point differ."""
    made = copy.deepcopy(card(PLAIN))
    for name, value in points.items():
        step_id, point_id = name.split("__")
        for point in step(made, step_id.replace("_", "-"))["set_points"]:
            if point["id"] == point_id:
                point["value"] = value
    return made


def asked(log: Log, *, ours: str | None = NEW, after_s: float = 0) -> Body:
    facts = log.facts(now_ms=log.now_ms + int(after_s * 1000))
    said = api.ask("card_offer", facts if ours is None else {**facts, "engine_version": ours})
    assert "error" not in said, said
    return dict(said["answer"])


def rows(answer: Body) -> dict[str, tuple[Any, Any]]:
    """What moved, by step and figure: was and now."""
    return {
        f"{group['id']}.{row['id']}": tuple(
            None if side is None else side["value"] for side in (row["was"], row["now"])
        )
        for group in answer["moved"]
        for row in group["rows"]
    }


def newer(answer: Body) -> Body:
    """The card that would be taken."""
    return dict(answer["actions"][0]["body"]["card"])


def take(log: Log, answer: Body, *, device: str = "phone-a", version: str = NEW) -> str:
    """Take what is offered, as the phone writes it."""
    taken = log.add("card_made", answer["actions"][0]["body"], device=device)
    log.entries[-1]["engine_version"] = version
    return taken


def test_a_set_point_that_moved_is_offered_beside_what_it_was() -> None:
    answer = asked(Log(card=kept(quench__hold_in_bath=11.0, temper_1__temperature=190.0)))
    assert answer["is"] == "offered"
    assert rows(answer) == {
        "quench.hold_in_bath": (11.0, pytest.approx(13.62, abs=0.01)),
        "temper-1.temperature": (190.0, 200.0),
    }
    assert newer(answer) == card(PLAIN)
    quench, temper = answer["tables"]
    label, was, now = quench["rows"][0]["cells"]
    assert (label["key"], was["key"], now["key"]) == ("card.label.hold_in_bath", *["offer.moved.even"] * 2)
    assert was["facts"]["value"] == {"key": "offer.moved.s", "facts": {"value_s": 11.0}}
    assert temper["rows"][0]["cells"][2]["facts"]["plus"]["key"] == "offer.moved.k", (
        "an interval is no temperature"
    )
    assert quench["sources"] == step(newer(answer), "quench")["set_points"][2]["sources"]


def test_a_tolerance_that_moved_is_shown_though_the_figure_stands() -> None:
    made = kept()
    step(made, "cycle-1")["set_points"][0]["plus"] = 25
    group = asked(Log(card=made))["moved"][0]
    assert group["id"] == "cycle-1"
    row = group["rows"][0]
    assert (row["was"]["plus"], row["now"]["plus"]) == (
        25,
        step(card(PLAIN), "cycle-1")["set_points"][0]["plus"],
    )


def test_what_reads_the_same_on_a_screen_has_not_moved() -> None:
    exact = step(card(PLAIN), "straighten-now")["set_points"][0]["value"]
    assert asked(Log(card=kept(straighten_now__ms=exact + 0.01)))["is"] == "same"


def test_the_engine_that_made_the_card_offers_nothing() -> None:
    assert asked(Log(card=kept(quench__hold_in_bath=11.0)), ours=OLD)["is"] == "same"


def test_a_card_of_a_newer_release_is_never_taken_back_to_an_older_one() -> None:
    log = Log(card=kept(quench__hold_in_bath=11.0))
    log.entries[1]["engine_version"] = "0.10.0+fff"
    answer = asked(log, ours="0.9.9+abc")
    assert (answer["is"], answer["actions"], answer["tables"]) == ("newer_card", [], [])
    log.entries[1]["engine_version"] = "0.9.9+fff"
    assert asked(log, ours="0.10.0+abc")["is"] == "offered"


@pytest.mark.parametrize("name", sorted(VARIANTS))
def test_from_its_own_facts_a_card_of_today_moves_in_nothing(name: str) -> None:
    """The shop's own limits, its analysis of the bar and its coupon are facts of the card, and stay."""
    assert asked(Log(card=card(VARIANTS[name])))["is"] == "same"


def test_the_shops_own_limits_stay_in_the_newer_card() -> None:
    facts = plan(shop_limits={"bow_limit_pct": 0.15, "brittle_alarm_s": 1800})
    made = card(facts)
    step(made, "quench")["set_points"][2]["value"] = 5.0
    answer = asked(Log(card=made))
    assert list(rows(answer)) == ["quench.hold_in_bath"]
    assert newer(answer)["limits"]["bow_limit_pct"] == 0.15
    assert newer(answer)["limits"]["brittle"]["alarm_s"] == 1800


def everywhere(made: Body) -> list[tuple[str, str]]:
    """The whole way of a blade: where it stands after each entry, and what is offered there."""
    log = Log(card=made).ground()
    for bow_mm in (0.15, 0.15):
        log.cycle(bow_mm)
    log.mark("straightening", after_s=60)
    log.mark("straightened", after_s=600)
    log.cycle(0.15)
    log.get_ready().harden()
    log.mark("out_of_bath", after_s=14)
    log.mark("stiff", after_s=60)
    log.mark("hand_warm", after_s=600)
    log.check("file", {"place": "edge", "answer": "skates", "file_hrc": 58}, after_s=20)
    log.temper(read_c=200).temper(read_c=215)
    log.bow(0.1)
    log.mark("tempered", after_s=60)
    log.mark("grinding", after_s=60)
    log.mark("final_check", after_s=60)
    log.mark("released", after_s=60)
    whole = log.entries
    found = []
    for count in range(2, len(whole) + 1):
        log.entries, log.now_ms = whole[:count], whole[count - 1]["written_ms"]
        found.append((log.fold()["state"]["id"], asked(log)["is"]))
    return found


def test_nothing_is_offered_in_the_fire_nor_after_the_quench() -> None:
    found = everywhere(kept(release__readings=9))
    offered = {state for state, said in found if said == "offered"}
    assert offered == {"planned", "shaped", "ground_ready", "cycle_checked", "ready_to_harden"}
    assert {said for state, said in found if state not in offered} == {"not_now"}
    states = [state for state, _ in found]
    assert {"in_quench", "hard", "temper_in_heat", "temper_cooling", "tempered", "finish_grinding"} <= set(
        states
    )


def test_nothing_is_offered_while_people_are_in_danger() -> None:
    log = Log(card=kept(quench__hold_in_bath=11.0)).ground()
    log.finding("co_alarm", after_s=5)
    assert asked(log)["is"] == "not_now"
    log.mark("all_clear", after_s=600)
    assert asked(log)["is"] == "offered"


def test_put_aside_it_is_offered_as_where_it_was_put_aside() -> None:
    log = Log(card=kept(quench__hold_in_bath=11.0)).ground().cycle(0.15)
    log.mark("put_aside", after_s=60)
    assert asked(log)["is"] == "offered"


def test_what_is_done_is_not_told_again() -> None:
    made = kept(ground_ready__left_right=0.3, cycle_1__soak=60, cycle_2__soak=60, cycle_3__soak=60)
    log = Log(card=made)
    assert [group["id"] for group in asked(log)["moved"]] == ["ground-ready", "cycle-1", "cycle-2", "cycle-3"]
    log.ground().cycle(0.15)
    assert [group["id"] for group in asked(log)["moved"]] == ["cycle-2", "cycle-3"]
    log.cycle(0.15).cycle(0.15).get_ready()
    assert asked(log)["is"] == "same"


def test_steps_that_came_went_or_changed_places_are_told() -> None:
    made = kept()
    ids = [one["id"] for one in made["steps"]]
    quench = ids.index("quench")
    made["steps"][quench], made["steps"][quench + 1] = made["steps"][quench + 1], made["steps"][quench]
    added = made["steps"].pop(ids.index("cycle-3"))
    made["steps"].insert(1, {**copy.deepcopy(added), "id": "clay", "kind": "clay"})
    answer = asked(Log(card=made))
    by_id = {group["id"]: group for group in answer["moved"]}
    assert by_id["cycle-3"]["title"]["key"] == "offer.moved.added"
    assert by_id["clay"]["title"]["key"] == "offer.moved.left_out"
    assert len(by_id["order"]["rows"]) == 2
    assert [row["label"]["facts"]["n"] for row in by_id["order"]["rows"]] == [7, 8]


def test_cautions_and_checks_that_changed_stand_side_by_side() -> None:
    made = kept()
    quench = step(made, "quench")
    gone = {"key": "caution.forge_lit", "facts": {}}
    came = quench["cautions"][0]
    quench["cautions"][0] = gone
    hard = step(made, "hard")
    for check in hard["checks"]:
        if "file_hrc" in check["text"]["facts"]:
            check["text"]["facts"]["file_hrc"] = 50
    answer = asked(Log(card=made))
    assert rows(answer)["quench." + came["key"]] == (None, came)
    assert rows(answer)["quench." + gone["key"]] == (gone, None)
    files = [(was, now) for key, (was, now) in rows(answer).items() if key.startswith("hard.card.check.file")]
    assert [(was["facts"]["file_hrc"], now["facts"]["file_hrc"]) for was, now in files] == [(50, 58.0)] * len(
        files
    )
    assert files


def test_a_wait_that_no_step_shows_is_told_at_the_head() -> None:
    made = kept()
    made["limits"]["cycle_cooling_s"] = 600
    group = asked(Log(card=made))["moved"][0]
    assert (group["id"], [row["id"] for row in group["rows"]]) == ("head", ["cycle_cooling_s"])


def test_left_it_is_remembered_and_offered_again_only_when_something_else_moves() -> None:
    log = Log(card=kept(quench__hold_in_bath=11.0))
    answer = asked(log)
    leave = answer["actions"][1]
    body = {"choice": leave["choice"], **leave["body"]}
    left = log.add("choice", body)
    assert log.fold()["unread"] == []
    again = asked(log)
    assert (again["is"], again["line"]) == ("left", None)
    assert again["actions"] == answer["actions"][:1], "whoever thinks better of it can still take it"
    assert asked(log, ours="0.3.0+def")["is"] == "left", (
        "the next version with the same numbers asks nobody again"
    )
    log.add("withdraw", {"entry_id": left})
    assert asked(log)["is"] == "offered"
    log.entries = log.entries[:2]
    step(log.entries[1]["body"]["card"], "hard")["set_points"][1]["value"] = 40
    log.add("choice", body)
    assert asked(log)["is"] == "offered"


def test_taken_it_is_a_new_card_that_names_the_old_one_and_can_be_taken_back() -> None:
    log = Log(card=kept(temper_1__temperature=190.0))
    first = log.entries[1]["id"]
    taken = take(log, asked(log))
    fold = log.fold()
    assert fold["card_id"] == taken
    assert fold["undo"]["entry_id"] == taken
    assert asked(log)["is"] == "same"
    log.add("withdraw", {"entry_id": taken})
    assert log.fold()["card_id"] == first
    assert asked(log)["is"] == "offered"


def test_a_blades_first_card_is_not_taken_back_by_a_press() -> None:
    assert Log(card=card(PLAIN)).fold()["undo"] is None


def test_two_builds_of_one_release_do_not_offer_each_others_numbers_for_ever() -> None:
    log = Log(card=card(PLAIN))
    log.entries[1]["engine_version"] = "0.2.0+older"
    log.add("card_made", {"card": kept(quench__hold_in_bath=20.0), "replaces": log.entries[1]["id"]})
    log.entries[2]["engine_version"] = "0.2.0+newer"
    assert asked(log, ours="0.2.0+older")["is"] == "replaced"
    assert asked(log, ours="0.3.0+later")["is"] == "offered", "a later release may come back to them"


def test_two_phones_that_take_the_same_numbers_do_not_differ() -> None:
    log = Log(card=kept(quench__hold_in_bath=11.0))
    answer = asked(log)
    take(log, answer)
    last = take(log, answer, device="phone-b")
    fold = log.fold()
    assert (fold["card_id"], fold["conflicts"]) == (last, [])


@pytest.mark.parametrize("ahead_s", [0, 600])
def test_of_two_phones_cards_for_one_the_last_written_is_in_force_until_one_is_chosen(ahead_s: int) -> None:
    """A clock that is ahead has no say in it: the order of writing down decides."""
    log = Log(card=kept(temper_1__temperature=190.0))
    answer = asked(log)
    other = copy.deepcopy(answer)
    newer(other)["limits"]["temper_c"] = [180.0, 180.0]
    first = take(log.wait(ahead_s), other, device="phone-b")
    last = take(log.wait(-ahead_s), answer)
    fold = log.wait(ahead_s).fold()
    assert fold["card_id"] == last
    assert fold["conflicts"] == [
        {"check": "card_made", "entry_ids": [last, first] if ahead_s else [first, last]}
    ]
    conflict = next(flag for flag in fold["flags"] if flag["id"] == "conflict")
    assert sorted(conflict["facts"]["entry_ids"]) == sorted([first, last])
    assert WORDS[conflict["text"]["facts"]["check"]["key"]] == "The card"
    log.add("choose", {"entry_id": first})
    fold = log.fold()
    assert fold["card_id"] == first
    assert "conflict" not in [flag["id"] for flag in fold["flags"]]


def test_a_third_reading_joins_its_own_conflict_and_not_that_of_the_cards() -> None:
    log = Log(card=kept(temper_1__temperature=190.0)).ground().cycle(0.15)
    second = log.bow(0.9, device="phone-b")
    answer = asked(log)
    other = copy.deepcopy(answer)
    newer(other)["limits"]["temper_c"] = [180.0, 180.0]
    cards = [take(log, other, device="phone-b"), take(log, answer)]
    third = log.bow(1.2, device="phone-c")
    found = {one["check"]: one["entry_ids"] for one in log.fold()["conflicts"]}
    assert found["bow"][-2:] == [second, third]
    assert found["card_made"] == cards


def without(name: str) -> Callable[[Body], None]:
    return lambda made: made["facts"].pop(name)


@pytest.mark.parametrize("name", ["thickness_mm", "quench", "heat_source"])
def test_facts_that_this_engine_needs_and_the_old_card_lacks_are_named(name: str) -> None:
    made = kept()
    without(name)(made)
    answer = asked(Log(card=made))
    assert answer["is"] == "refused"
    assert answer["refusal"]["field"] == name
    assert answer["refusal"]["reason"] in WORDS
    assert answer["actions"] == []


def test_a_steel_that_is_refused_today_is_named_too() -> None:
    made = kept()
    made["facts"]["steel"] = "D2"
    answer = asked(Log(card=made))
    assert (answer["is"], answer["refusal"]["field"]) == ("refused", "steel")


@pytest.mark.parametrize("made", [{}, {"facts": None}, {"facts": [], "steps": "none"}])
def test_a_card_that_is_hardly_one_is_refused_and_no_crash(made: Body) -> None:
    assert asked(Log(card=made))["is"] == "refused"


def test_a_blade_without_a_card_has_nothing_to_offer() -> None:
    log = Log()
    log.add("piece_made", {"tag": "QF-1"})
    assert asked(log)["is"] == "no_card"


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"log_kind": "bath"}, "log_kind"),
        ({"engine_version": 3}, "engine_version"),
        ({"entries": None}, "entries"),
    ],
)
def test_what_is_no_question_of_a_blade_is_refused(change: Body, field: str) -> None:
    log = Log(card=card(PLAIN))
    facts = {**log.facts(), **change}
    if change.get("log_kind"):
        facts["entries"] = []
    assert api.ask("card_offer", facts)["error"]["field"] == field


ODD = st.recursive(
    st.none() | st.booleans() | st.floats() | st.integers() | st.text(max_size=4),
    lambda inner: (
        st.lists(inner, max_size=3)
        | st.dictionaries(st.sampled_from(["id", "key", "facts", "value", "unit"]), inner)
    ),
    max_leaves=6,
)


@settings(max_examples=150, deadline=None)
@given(data=st.data())
def test_whatever_stands_in_a_kept_card_nothing_breaks(data: st.DataObject) -> None:
    made = kept(quench__hold_in_bath=11.0)
    for _ in range(data.draw(st.integers(1, 4))):
        place: Any = made
        while isinstance(place, (dict, list)) and place:
            name = (
                data.draw(st.sampled_from(sorted(place)))
                if isinstance(place, dict)
                else data.draw(st.integers(0, len(place) - 1))
            )
            if data.draw(st.booleans()) and name != "facts":
                place[name] = data.draw(ODD)
                break
            place = place[name]
    assert asked(Log(card=made))["is"] in ("offered", "same", "refused")


def notes_in(value: Any) -> list[Body]:
    if isinstance(value, list):
        return [found for one in value for found in notes_in(one)]
    if not isinstance(value, dict):
        return []
    own = [value] if sorted(value) == ["facts", "key"] else []
    return own + [found for one in value.values() for found in notes_in(one)]


@pytest.mark.parametrize("name", sorted(VARIANTS))
def test_every_word_of_an_offer_is_there_whatever_the_card(name: str) -> None:
    """An old card with nothing in it: everything in today's card is new, so all of it is worded."""
    new = card(VARIANTS[name])
    made = {**new, "steps": [{"id": "old", "title": {}}], "numbers": [], "limits": {}, "warnings": []}
    answer = asked(Log(card=made))
    assert len(answer["tables"]) > len(new["steps"])
    for one in notes_in([answer["text"], answer["tables"], [one["label"] for one in answer["actions"]]]):
        if one["key"].startswith("say:"):
            continue
        text = WORDS[one["key"]]
        for each in [text] if isinstance(text, str) else text.values():
            assert set(re.findall(r"\{(\w+)\}", each)) <= set(one["facts"]), one
