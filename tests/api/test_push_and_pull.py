"""Entries on their way in and out: each judged by itself, stored once, in one order for everybody."""

from __future__ import annotations

import json
import math
from typing import Any

import pytest
from common.logs import entry, new_id
from common.phones import Shop, packed

from temperward.api.bodies import BODY_LIMIT_BYTES

pytestmark = pytest.mark.usefixtures("both_databases")


def statuses(answer: dict[str, Any]) -> list[str]:
    return [one.get("reason", one["status"]) for one in answer["results"]]


def test_an_entry_is_stored_and_comes_back_as_it_was_written(shop: Shop) -> None:
    one = entry(
        body={"text": "smørrebrød 刀 \u2028", "x": [0.1, 1e-9, 1e300, -0.0, None, True]}, group_id="g"
    )
    answer = shop.smith.sync(one)
    assert answer["results"] == [{"index": 0, "id": one["id"], "status": "stored", "seq": 1}]
    [row] = shop.owner.pull_all()
    assert {name: row[name] for name in one} == one
    assert row["seq"] == 1
    assert row["received_ms"] == answer["now_ms"]


def test_an_entry_whose_answer_was_lost_is_stored_once(shop: Shop) -> None:
    one = entry()
    shop.smith.sync(one)
    for _ in range(5):
        assert statuses(shop.smith.sync(one)) == ["had"]
    assert len(shop.owner.pull_all()) == 1


def test_the_same_id_twice_in_one_call_is_one_entry(shop: Shop) -> None:
    one = entry()
    assert statuses(shop.smith.sync(one, one, {**one, "body": {"text": "other"}})) == [
        "stored",
        "had",
        "other_body",
    ]
    assert len(shop.owner.pull_all()) == 1


def test_another_body_under_a_known_id_is_refused_and_the_first_stays(shop: Shop) -> None:
    one = entry(body={"text": "first"})
    shop.smith.sync(one)
    assert statuses(shop.smith.sync({**one, "body": {"text": "second"}})) == ["other_body"]
    assert [row["body"] for row in shop.owner.pull_all()] == [{"text": "first"}]


@pytest.mark.parametrize(
    ("first", "again", "status"),
    [
        ({"bow_mm": 1.0}, {"bow_mm": 1}, "had"),  # a phone's JSON writes whole numbers so
        ({"a": 1, "b": 2}, {"b": 2, "a": 1}, "had"),  # order is no difference
        ({"lid": True}, {"lid": 1}, "other_body"),
        ({"list": [1, 2]}, {"list": [2, 1]}, "other_body"),
        ({"list": [1, 2]}, {"list": [1, 2, 3]}, "other_body"),
        ({"x": None}, {}, "other_body"),
    ],
)
def test_bodies_are_compared_as_values(
    shop: Shop, first: dict[str, Any], again: dict[str, Any], status: str
) -> None:
    one = entry(body=first)
    shop.smith.sync(one)
    assert statuses(shop.smith.sync({**one, "body": again})) == [status]


def test_one_bad_entry_holds_up_none_of_its_neighbours(shop: Shop) -> None:
    good = [entry() for _ in range(9)]
    bad = entry(body="text")
    answer = shop.smith.sync(*good[:4], bad, *good[4:])
    assert statuses(answer) == ["stored"] * 4 + ["bad_envelope"] + ["stored"] * 5
    assert answer["results"][4] == {
        "index": 4, "id": bad["id"], "status": "refused", "reason": "bad_envelope", "field": "body",
    }  # fmt: skip
    assert {row["id"] for row in shop.owner.pull_all()} == {one["id"] for one in good}


@pytest.mark.parametrize("offered", [None, 1, 1.5, "text", [], True])
def test_what_is_no_object_is_refused_by_that_name(shop: Shop, offered: Any) -> None:
    assert shop.smith.sync(offered)["results"] == [
        {"index": 0, "id": None, "status": "refused", "reason": "not_an_object"}
    ]


@pytest.mark.parametrize(
    ("name", "value"),
    [
        ("id", "not-a-uuid"),
        ("id", None),
        ("log_kind", "customers"),
        ("log_id", 7),
        ("kind", "Mark!"),
        ("version", 0),
        ("version", True),
        ("version", 1.0),
        ("body", [1]),
        ("lamport", -1),
        ("lamport", 2**53),
        ("happened_ms", 1.5),
        ("happened_ms", "2026-10-24T22:10:00Z"),
        ("plus_minus_s", -1),
        ("utc_offset_min", 5000),
        ("zone", None),
        ("at_source", "guessed"),
        ("initials", "x" * 17),
        ("device_id", "nul\x00"),
        ("group_id", 5),
    ],
)
def test_a_bad_envelope_is_refused_by_the_field(shop: Shop, name: str, value: Any) -> None:
    [result] = shop.smith.sync(entry(**{name: value}))["results"]
    assert (result["reason"], result["field"]) == ("bad_envelope", name)


@pytest.mark.parametrize("name", ["id", "log_id", "kind", "body", "lamport", "zone", "member_id"])
def test_an_envelope_that_lacks_a_field_is_refused_by_it(shop: Shop, name: str) -> None:
    one = entry()
    del one[name]
    [result] = shop.smith.sync(one)["results"]
    assert (result["reason"], result["field"]) == ("bad_envelope", name)


def test_an_entry_over_64_kb_is_refused_and_one_of_just_under_is_not(shop: Shop) -> None:
    answer = shop.smith.sync(entry(body={"text": "x" * 66_000}), entry(body={"text": "é" * 32_000}))
    assert statuses(answer) == ["too_big", "stored"]


def test_an_unknown_kind_or_version_is_kept_and_marked_unread(shop: Shop) -> None:
    newer = [entry(kind="laser_scan"), entry(version=2), entry(log_kind="oven", kind="mark")]
    assert statuses(shop.smith.sync(*newer, entry())) == ["stored"] * 4
    assert [row.get("unread") for row in shop.owner.pull_all()] == [True, True, True, None]


def test_fields_of_a_newer_envelope_are_kept(shop: Shop) -> None:
    shop.smith.sync(entry(pedal="left"))
    assert shop.owner.pull_all()[0]["pedal"] == "left"


def test_a_row_offered_again_by_another_phone_is_had(shop: Shop) -> None:
    shop.smith.sync(entry())
    [row] = shop.owner.pull_all()
    assert statuses(shop.owner.sync(row)) == ["had"]


def test_the_phones_own_entries_do_not_come_back_in_the_same_call(shop: Shop) -> None:
    first, second = entry(), entry()
    shop.owner.sync(first)
    answer = shop.smith.sync(second)
    assert [row["id"] for row in answer["rows"]] == [first["id"]]
    assert answer["next_since"] == 2
    assert shop.smith.sync(since=answer["next_since"])["rows"] == []


def test_what_others_wrote_before_and_after_the_phones_own_comes_in_one_order(shop: Shop) -> None:
    """The phone's cursor is far behind: its own run of numbers lies between the others'."""
    before, own, after = [entry(), entry()], [entry(), entry()], [entry()]
    shop.owner.sync(*before)
    answer = shop.smith.sync(*own, want=1)
    assert [row["id"] for row in answer["rows"]] == [before[0]["id"]]
    assert (answer["next_since"], answer["more"]) == (1, True)
    shop.owner.sync(*after)
    rest, since, more = [], answer["next_since"], True
    while more:
        page = shop.smith.sync(since=since, want=2)
        rest += [row["seq"] for row in page["rows"]]
        since, more = page["next_since"], page["more"]
    assert rest == [2, 3, 4, 5]


@pytest.mark.parametrize("want", [1, 2, 3, 1000])
def test_paging_brings_every_row_once_in_one_order(shop: Shop, want: int) -> None:
    shop.smith.sync(*[entry() for _ in range(7)])
    seqs = [row["seq"] for row in shop.owner.pull_all(want=want)]
    assert seqs == sorted(set(seqs))
    assert len(seqs) == 7


def test_an_answer_says_whether_there_is_more(shop: Shop) -> None:
    shop.smith.sync(entry(), entry())
    assert shop.owner.sync(want=1)["more"] is True
    assert shop.owner.sync(want=2)["more"] is False


def test_a_cursor_of_another_epoch_counts_from_the_beginning(shop: Shop) -> None:
    shop.smith.sync(entry())
    epoch = shop.owner.sync()["epoch"]
    assert len(shop.owner.sync(since=1, epoch=epoch)["rows"]) == 0
    assert len(shop.owner.sync(since=1, epoch="of-before-the-restore")["rows"]) == 1


def test_every_answer_names_the_epoch_even_a_refusal(shop: Shop) -> None:
    epoch = shop.owner.sync()["epoch"]
    for path in ("/api/me", "/api/nothing"):
        assert shop.owner.client.get(path).headers["Temperward-Epoch"] == epoch


def test_a_packed_push_is_read(shop: Shop) -> None:
    answer = shop.smith.sync_packed(packed({"entries": [entry()]}))
    assert answer.status_code == 200
    assert len(shop.owner.pull_all()) == 1


def test_a_page_of_large_rows_ends_before_it_is_too_much(shop: Shop) -> None:
    """A thousand rows of the largest size would be 64 MB, in the server's memory and on the phone's link."""
    large = [entry(body={"text": f"{number:03}" + "x" * 60_000}) for number in range(150)]
    for start in (0, 75):
        shop.smith.sync(*large[start : start + 75])
    answer = shop.viewer.sync(want=1000)
    assert answer["more"]
    assert 3_900_000 < len(json.dumps(answer)) < 4_400_000
    rows = shop.viewer.pull_all(want=1000)
    assert [row["id"] for row in rows] == [one["id"] for one in large]


def test_a_pull_is_packed_for_who_takes_it(shop: Shop) -> None:
    shop.smith.sync(*[entry(log_id=new_id()) for _ in range(20)])
    answer = shop.owner.client.post("/api/sync", json={}, headers={"Accept-Encoding": "gzip"})
    assert answer.headers["Content-Encoding"] == "gzip"
    assert answer.headers["Vary"] == "Accept-Encoding"
    refused = shop.owner.client.post("/api/sync", json={}, headers={"Accept-Encoding": "gzip;q=0"})
    assert "Content-Encoding" not in refused.headers


def test_a_small_body_that_swells_is_stopped_at_the_limit(shop: Shop) -> None:
    bomb = packed({"entries": [], "x": "0" * (BODY_LIMIT_BYTES + 1)})
    assert len(bomb) < 20_000
    answer = shop.smith.sync_packed(bomb)
    assert answer.status_code == 413
    assert answer.json["message"] == "body_too_big"
    assert answer.json["errors"] == {"high": BODY_LIMIT_BYTES, "unit": "bytes"}


@pytest.mark.parametrize(
    "cut",
    [b"no gzip at all", packed({})[:-3], packed({}) + b"more"],
    ids=["none", "cut short", "more after it"],
)
def test_a_broken_packing_is_told(shop: Shop, cut: bytes) -> None:
    answer = shop.smith.sync_packed(cut)
    assert (answer.status_code, answer.json["message"]) == (400, "bad_gzip")


def test_a_body_over_the_limit_gets_a_readable_413(shop: Shop) -> None:
    answer = shop.smith.client.post(
        "/api/sync", data=b" " * (BODY_LIMIT_BYTES + 1), content_type="application/json"
    )
    assert (answer.status_code, answer.json["message"]) == (413, "too_big")


@pytest.mark.parametrize(
    ("body", "status", "word"),
    [
        (b"{", 400, "bad_json"),
        (b'{"entries": [NaN]}', 400, "bad_json"),
        (b"\xff\xfe", 400, "bad_json"),
        (b"[" * 100_000, 400, "bad_json"),
        (b'{"since": -1}', 422, "bad_fields"),
        (b'{"since": "1"}', 422, "bad_fields"),
        (b'{"want": 100000}', 422, "bad_fields"),
        (b"[]", 422, "bad_fields"),
        (b"null", 422, "bad_fields"),
    ],
)
def test_a_call_that_cannot_be_read_says_why(shop: Shop, body: bytes, status: int, word: str) -> None:
    answer = shop.smith.client.post("/api/sync", data=body, content_type="application/json")
    assert (answer.status_code, answer.json["message"]) == (status, word)


def test_more_than_500_entries_in_a_call_are_refused_together(shop: Shop) -> None:
    answer = shop.smith.client.post("/api/sync", json={"entries": [entry() for _ in range(501)]})
    assert (answer.status_code, answer.json["message"]) == (422, "bad_fields")
    assert shop.owner.pull_all() == []


def test_a_number_beyond_all_numbers_is_refused_in_its_entry_alone(shop: Shop) -> None:
    text = packed({"entries": [entry(body={"x": 12321}), entry()]})
    import gzip  # noqa: PLC0415

    swollen = gzip.compress(gzip.decompress(text).replace(b"12321", b"1e999"))
    answer = shop.smith.sync_packed(swollen)
    assert statuses(answer.json) == ["bad_envelope", "stored"]
    assert math.isinf(float("1e999"))


def test_half_a_character_survives_the_journey(shop: Shop) -> None:
    one = entry(body={"text": "\ud83d"})
    assert statuses(shop.smith.sync(one)) == ["stored"]
    assert shop.owner.pull_all()[0]["body"] == one["body"]


def test_a_phone_too_old_for_the_server_is_told_to_take_the_new_version_and_nothing_is_stored(
    shop: Shop, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert statuses(shop.smith.sync(entry(), protocol=1)) == ["stored"]
    monkeypatch.setattr("temperward.services.exchange.OLDEST_PROTOCOL", 2)
    for older in ({}, {"protocol": 1}):
        answer = shop.smith.client.post("/api/sync", json={"entries": [entry()], **older})
        assert (answer.status_code, answer.json["message"]) == (426, "upgrade_needed")
        assert answer.json["errors"] == {"value": 1, "low": 2}
        assert answer.headers["Temperward-Epoch"]
    assert statuses(shop.smith.sync(entry(), protocol=2)) == ["stored"]
    assert len(shop.owner.sync(protocol=2)["rows"]) == 2


@pytest.mark.parametrize(
    ("said", "skewed"),
    [
        ({}, None),
        ({"skew_ms": 90_000}, None),
        ({"skew_ms": 3_600_000}, True),  # the phone is an hour behind, and knows
        ({"skew_ms": -3_600_000}, True),
        ({"written_ms": 4_070_908_800_000}, True),  # 2099, and it has asked no server yet
        ({"happened_ms": 0, "written_ms": 0}, None),  # written long ago on a phone without a network
    ],
)
def test_a_wrong_clock_is_flagged_and_its_entry_stored_as_it_was_said(
    shop: Shop, said: dict[str, int], *, skewed: bool | None
) -> None:
    one = entry(**said)
    [result] = shop.smith.sync(one)["results"]
    assert (result["status"], result.get("skewed")) == ("stored", skewed)
    [row] = shop.owner.pull_all()
    assert {name: row[name] for name in one} == one
