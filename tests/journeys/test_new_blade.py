"""From the facts to the card: typed as people type, refused by name, each number with its source."""

from __future__ import annotations

import re
from collections.abc import Callable

import pytest
from common.running_server import RunningServer
from phone import Phone
from playwright.sync_api import Locator, expect
from smith import Smith
from words import all_words, say

FACTS = {"tag": "QF-112", "thickness_mm": "4,0", "edge_mm": "1,0", "length_mm": "120", "target_hrc": "60"}


def fill(phone: Phone, facts: dict[str, str]) -> None:
    for name, text in facts.items():
        box(phone, name).fill(text)


def box(phone: Phone, name: str) -> Locator:
    return phone.page.get_by_label(re.compile("^" + re.escape(say(f"app.field.{name}"))))


def beginning(key: str) -> str:
    """Return a text up to its first number."""
    return str(all_words()[key]).split("{", maxsplit=1)[0]


def test_a_card_names_the_source_of_its_numbers(
    demo_server: RunningServer, new_phone: Callable[..., Phone]
) -> None:
    phone = new_phone(demo_server)
    phone.open("new")
    fill(phone, FACTS)
    box(phone, "steel").select_option("1084")
    phone.press(say("app.new.ask"))
    phone.shows("1084")
    numbers = phone.page.locator("main details:not(:has(details))")
    expect(numbers.first).to_be_attached()
    for opener in phone.page.locator("main summary").all():
        opener.click()
    assert numbers.count() > 20
    without = [number.inner_text() for number in numbers.all() if number.locator(".source").count() == 0]
    assert without == []


def test_a_card_draws_its_cooling_its_temper_and_its_bevels(
    demo_server: RunningServer, new_phone: Callable[..., Phone]
) -> None:
    phone = new_phone(demo_server)
    phone.open("new")
    fill(phone, {**FACTS, "width_mm": "30"})
    box(phone, "steel").select_option("1084")
    phone.press(say("app.new.ask"))
    phone.shows(say("card.label.edge_left"))
    shown = phone.page.locator("main")
    for curves, words in (("cooling", ("nose", "ms", "skin", "centre")), ("temper", ("wanted",))):
        title = beginning(f"card.picture.{curves}")
        picture = phone.page.get_by_role("img", name=re.compile("^" + re.escape(title)))
        expect(picture).to_be_visible()
        for word in words:
            expect(picture).to_contain_text(say(f"card.picture.{word}"))
    expect(shown.get_by_text(re.compile("^" + re.escape(beginning("card.picture.bevels"))))).to_be_visible()
    expect(shown).to_contain_text(beginning("card.picture.limit"))


# PROBLEMS P3, plane geometry: width and thickness in mm at a station, degrees per side; edge 0.6 and 0.5 mm.
SINGLE_EDGE = [(34, "5,2", 3.87), (32, "4,7", 3.67), (29, "4,2", 3.55), (24, "3,6", 3.58), (15, "2,9", 4.38)]
DOUBLE_EDGE = [(34, "6,0", 9.19), (32, "5,6", 9.06), (30, "5,2", 8.90), (26, "4,6", 8.96), (18, "3,8", 10.39)]
STATION_FIELDS = {"at_mm": "at_mm", "thickness": "stations_thickness_mm", "width": "stations_width_mm"}


@pytest.mark.parametrize(("edge_mm", "edges", "stations"), [("0,6", 1, SINGLE_EDGE), ("0,5", 2, DOUBLE_EDGE)])
def test_the_card_lists_the_bevel_at_each_station_and_marks_what_the_jig_does_not_fit(
    demo_server: RunningServer,
    new_phone: Callable[..., Phone],
    edge_mm: str,
    edges: int,
    stations: list[tuple[int, str, float]],
) -> None:
    """Story 21: each angle to 0.05 degrees, and the stations half a degree off the jig's one angle."""
    phone = new_phone(demo_server)
    phone.open("new")
    fill(phone, {**FACTS, "thickness_mm": stations[0][1], "edge_mm": edge_mm, "length_mm": "240"})
    box(phone, "steel").select_option("1084")
    for part in ("rarer", "part.shape", "part.stations"):
        phone.page.locator("summary", has_text=say(f"app.new.{part}")).click()
    if edges == 2:
        phone.yes_no("double_edge", yes=True)
    for at, (width_mm, thickness_mm, _) in enumerate(stations):
        phone.press(say("app.new.add.stations"))
        row = phone.page.get_by_role("group", name=say("app.new.row.stations", n=at + 1), exact=True)
        for name, text in (("at_mm", f"{at * 50}"), ("thickness", thickness_mm), ("width", f"{width_mm}")):
            row.get_by_label(re.compile("^" + say(f"app.field.{STATION_FIELDS[name]}"))).fill(text)
    phone.press(say("app.new.ask"))
    table = phone.page.locator("main table", has_text=say("card.column.off_jig"))
    expect(table).to_be_visible()
    rows = [row.locator("td, th").all_inner_texts() for row in table.locator("tbody tr").all()]
    shown_deg = [float(cells[2].split()[0].replace(",", ".")) for cells in rows]
    assert shown_deg == pytest.approx([angle_deg for _, _, angle_deg in stations], abs=0.05)
    marked = [row.locator("svg").count() > 0 for row in table.locator("tbody tr").all()]
    assert marked == [False, False, False, False, True]


@pytest.mark.parametrize(("thickness_mm", "verdict"), [("4", "proven"), ("3", "likely")])
def test_a_coupon_proves_a_section_no_thicker_than_itself(
    demo_server: RunningServer, new_phone: Callable[..., Phone], thickness_mm: str, verdict: str
) -> None:
    phone = new_phone(demo_server)
    phone.open("new")
    fill(phone, FACTS)
    box(phone, "steel").select_option("1084")
    phone.page.locator("summary", has_text=say("app.new.rarer")).click()
    phone.page.locator("summary", has_text=say("app.new.part.coupon")).click()
    box(phone, "coupon_thickness_mm").fill(thickness_mm)
    phone.press(say("app.new.ask"))
    phone.shows(say("card.label.edge_left"))
    phone.shows(say(f"verdict.{verdict}"))


def test_a_value_out_of_range_is_refused_by_name_and_nothing_typed_is_lost(
    demo_server: RunningServer, new_phone: Callable[..., Phone]
) -> None:
    phone = new_phone(demo_server)
    phone.open("new")
    fill(phone, {**FACTS, "thickness_mm": "400"})
    box(phone, "steel").select_option("1084")
    phone.press(say("app.new.ask"))
    refused = phone.page.get_by_role("alert").filter(has_text=say("app.field.thickness_mm"))
    expect(refused).to_be_visible()
    assert re.search(r"\d.*mm", refused.inner_text())
    for name, text in FACTS.items():
        expect(box(phone, name)).to_have_value("400" if name == "thickness_mm" else text)


def test_a_number_that_could_mean_two_things_is_asked_back(
    demo_server: RunningServer, new_phone: Callable[..., Phone]
) -> None:
    phone = new_phone(demo_server)
    phone.open("new")
    box(phone, "length_mm").fill("1,250")
    expect(phone.page.get_by_role("alert").filter(has_text=say("app.pad.which"))).to_be_visible()
    phone.press(phone.page.get_by_role("button", name=re.compile(r"^1[.,]25$")))
    expect(box(phone, "length_mm")).to_have_value(re.compile(r"^1[.,]25$"))


def test_what_was_typed_survives_a_killed_page(
    demo_server: RunningServer, new_phone: Callable[..., Phone]
) -> None:
    phone = new_phone(demo_server)
    phone.open("new")
    fill(phone, FACTS)
    phone.page.wait_for_timeout(500)
    phone.kill_and_reopen()
    for name, text in FACTS.items():
        expect(box(phone, name)).to_have_value(text)


def test_a_new_blade_goes_straight_to_its_first_step(
    demo_server: RunningServer, new_phone: Callable[..., Phone]
) -> None:
    phone = new_phone(demo_server)
    smith = Smith(phone)
    picks = {"heat_source": say("app.choice.forge_by_eye")}
    smith.begin("QF-113", {**{k: v for k, v in FACTS.items() if k != "tag"}, "steel": "1084"}, picks)
    phone.reads(say("fold.word.planned"))
    kinds = [entry["kind"] for entry in phone.entries_of(smith.piece_id)]
    assert kinds == ["piece_made", "card_made"]


def test_the_pad_comes_with_a_number_its_keys_are_for_a_wet_thumb_and_the_field_stays_in_sight(
    demo_server: RunningServer, new_phone: Callable[..., Phone]
) -> None:
    phone = new_phone(demo_server)
    for size, least_px in ((390, 844), 72), ((320, 640), 44), ((844, 390), 44):
        phone.page.set_viewport_size({"width": size[0], "height": size[1]})
        phone.open("blades")
        phone.shows(say("app.blades.title"))  # two addresses in one breath are one step for the app
        phone.open("new")
        pad = phone.page.get_by_role("group", name=say("app.pad.keys"))
        expect(pad).to_have_count(0)
        for name in ("thickness_mm", "target_hrc"):
            box(phone, name).click()
            expect(pad).to_be_visible()
            boxes = [one.bounding_box() for one in pad.get_by_role("button").all()]
            assert all(one and min(one["width"], one["height"]) >= least_px for one in boxes), (size, name)
            phone.page.wait_for_function(SEEN_ABOVE_THE_PAD)
        for digit in ("5", "9"):
            phone.press(pad.get_by_role("button", name=digit, exact=True))
        expect(box(phone, "target_hrc")).to_have_value(re.compile("59$"))
        expect(box(phone, "target_hrc")).to_be_focused()
        phone.picture(f"new-blade-pad-{size[0]}")
        phone.press(pad.get_by_role("button", name=say("app.next"), exact=True))
        expect(pad).to_have_count(0)  # it was the last one in sight
        box(phone, "target_hrc").fill("")


SEEN_ABOVE_THE_PAD = """() => {
  const field = document.activeElement.getBoundingClientRect();
  const [x, y] = [field.left + 20, (field.top + field.bottom) / 2];
  return document.elementFromPoint(x, y) === document.activeElement && field.top >= 0;
}"""


def test_the_edge_to_leave_moves_with_each_heat_while_it_is_planned(
    demo_server: RunningServer, new_phone: Callable[..., Phone]
) -> None:
    phone = new_phone(demo_server)
    phone.open("new")
    box(phone, "steel").select_option("1084")
    said = phone.page.locator("main p[role=status]")
    needs = []
    for cycles in ("3", "2", "1", "0"):
        phone.pick("cycles", cycles)
        expect(said).to_have_text(re.compile(f"^Heats: {int(cycles) + 1}\\."))
        found = re.search(r"Leave ([\d.]+)", said.inner_text())
        assert found
        needs.append(float(found[1]))
    assert needs == sorted(needs, reverse=True)
    assert len(set(needs)) == 4
    for part in ("final", "decarb", "scale", "clean_up", "warp"):
        expect(said).to_contain_text(beginning(f"card.edge.{part}").strip())
    phone.picture("new-blade-edge")
