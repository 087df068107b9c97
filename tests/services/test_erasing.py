"""What was erased is gone everywhere, stays gone, and leaves the blade's history standing."""

from __future__ import annotations

import hashlib
from typing import Any

import pytest
from common.logs import entry, new_id
from common.phones import Shop
from common.pictures import jpeg
from flask import Flask

from temperward.settings import Settings
from temperward.storage.photo_store import PhotoStore

pytestmark = pytest.mark.usefixtures("both_databases")


def erase(shop: Shop, what: str, key: str) -> int:
    answer = shop.owner.client.post("/api/erase", json={"what": what, "id": key})
    assert answer.status_code == 200, answer.text
    return int(answer.json["entries"])


def test_an_erased_note_keeps_its_id_place_time_and_writer(shop: Shop) -> None:
    one, after = entry(), entry()
    shop.smith.sync(one, after)
    assert erase(shop, "entry", one["id"]) == 1
    rows = {row["id"]: row for row in shop.owner.pull_all()}
    assert rows[one["id"]]["body"] == {"erased": True}
    assert rows[one["id"]]["seq"] == 1
    assert {name: rows[one["id"]][name] for name in one if name != "body"} == {
        name: value for name, value in one.items() if name != "body"
    }
    assert rows[after["id"]]["body"] == after["body"]


def test_a_phone_that_has_the_words_meets_the_erased_entry_at_its_next_pull(shop: Shop) -> None:
    one = entry()
    since = shop.smith.sync(one)["next_since"]
    erase(shop, "entry", one["id"])
    [row] = shop.smith.sync(since=since)["rows"]
    assert (row["id"], row["body"], row["erased_ms"] > 0) == (one["id"], {"erased": True}, True)


def test_the_words_of_a_mark_go_but_the_mark_stays(shop: Shop) -> None:
    one = entry(
        kind="finding", body={"finding": "crack", "text": "Mary saw it", "more": {"text": "x", "at_mm": 3}}
    )
    shop.smith.sync(one)
    erase(shop, "entry", one["id"])
    assert shop.owner.pull_all()[0]["body"] == {"finding": "crack", "more": {"at_mm": 3}, "erased": True}


def test_words_inside_lists_go_too(shop: Shop) -> None:
    told = [{"text": "Mary saw it", "at_mm": 3, "more": [[{"name": "Mary"}], 4, "left"]}]
    one = entry(kind="finding", body={"finding": "crack", "stations": told})
    shop.smith.sync(one)
    erase(shop, "entry", one["id"])
    assert shop.owner.pull_all()[0]["body"] == {
        "finding": "crack",
        "stations": [{"at_mm": 3, "more": [[{}], 4, "left"]}],
        "erased": True,
    }


def test_a_correction_of_an_erased_entry_loses_its_words_too(shop: Shop) -> None:
    one = entry()
    fix = entry(kind="correct", body={"entry_id": one["id"], "body": {"text": "Mary Quill, 12 Forge Lane"}})
    shop.smith.sync(one, fix)
    assert erase(shop, "entry", one["id"]) == 2
    later = entry(kind="correct", body={"entry_id": one["id"], "body": {"text": "again"}})
    assert shop.smith.sync(later)["results"][0]["status"] == "had"
    assert "Mary" not in str(shop.owner.pull_all())
    assert "again" not in str(shop.owner.pull_all())


def test_an_erased_entry_offered_again_is_had_and_stays_erased(shop: Shop) -> None:
    one = entry()
    shop.smith.sync(one)
    erase(shop, "entry", one["id"])
    answer = shop.smith.sync(one)
    assert answer["results"][0]["status"] == "had"
    assert answer["rows"][0]["body"] == {"erased": True}
    assert shop.owner.pull_all()[0]["body"] == {"erased": True}


def test_a_customer_is_erased_with_everything_said_of_them_now_and_later(shop: Shop) -> None:
    log_id = new_id()
    made = entry(
        log_kind="customer", kind="made", log_id=log_id, body={"name": "C-017", "wish": "blue handle"}
    )
    shop.smith.sync(made, entry(log_kind="customer", kind="changed", log_id=log_id, body={"phone": "1"}))
    assert erase(shop, "log", log_id) == 2
    late = entry(log_kind="customer", kind="note", log_id=log_id)
    assert shop.smith.sync(late)["results"][0]["status"] == "had"
    assert [row["body"] for row in shop.owner.pull_all()] == [{"erased": True}] * 3


def test_an_erased_photo_is_gone_with_its_small_copy_and_does_not_come_back(
    shop: Shop, settings: Settings
) -> None:
    picture = jpeg()
    sha256 = hashlib.sha256(picture).hexdigest()
    shop.smith.sync(entry(kind="photo", body={"sha256": sha256, "bytes": len(picture)}))
    shop.smith.put_photo(picture)
    assert shop.smith.client.get(f"/api/photos/{sha256}?small=1").status_code == 200
    assert len(files_of(settings)) == 2
    assert erase(shop, "photo", sha256) == 1
    files = [one for one in (settings.data_dir / "photos").glob("**/*") if one.is_file()]
    assert files == []
    assert shop.smith.put_photo(picture).status_code == 201  # the phone may rest: it is not asked again
    for small in ("", "?small=1"):
        assert shop.smith.client.get(f"/api/photos/{sha256}{small}").status_code == 404
    assert [one for one in (settings.data_dir / "photos").glob("**/*") if one.is_file()] == []
    assert shop.owner.pull_all()[0]["body"] == {"erased": True}


def files_of(settings: Settings) -> list[str]:
    return [one.name for one in (settings.data_dir / "photos").rglob("*") if one.is_file()]


@pytest.mark.parametrize("what", ["entry", "log"])
def test_a_photo_goes_with_the_last_entry_that_shows_it(shop: Shop, settings: Settings, what: str) -> None:
    picture = jpeg()
    sha256 = hashlib.sha256(picture).hexdigest()
    shows = [entry(kind="photo", body={"sha256": sha256, "bytes": len(picture)}) for _ in range(2)]
    shop.smith.sync(*shows)
    shop.smith.put_photo(picture)
    name = "id" if what == "entry" else "log_id"
    assert erase(shop, what, shows[0][name]) == 1
    assert shop.smith.client.get(f"/api/photos/{sha256}").data == picture
    assert erase(shop, what, shows[1][name]) == 1
    assert shop.smith.client.get(f"/api/photos/{sha256}").status_code == 404
    assert files_of(settings) == []
    assert shop.smith.put_photo(picture).status_code == 201  # another phone that still has it
    assert files_of(settings) == []


def test_a_photo_entry_that_comes_late_into_an_erased_log_shows_nobody_its_photo(shop: Shop) -> None:
    picture, log_id = jpeg(), new_id()
    sha256 = hashlib.sha256(picture).hexdigest()
    shop.smith.sync(entry(log_kind="customer", kind="made", log_id=log_id))
    shop.smith.put_photo(picture)
    erase(shop, "log", log_id)
    late = entry(log_kind="customer", kind="photo", log_id=log_id, body={"sha256": sha256})
    shop.smith.sync(late)
    assert shop.smith.client.get(f"/api/photos/{sha256}").status_code == 404
    assert sha256 not in str(shop.owner.pull_all())


def test_bytes_that_outlived_their_erasure_are_given_to_nobody(app: Flask, shop: Shop) -> None:
    """As after a server that fell over between the commit and the disk."""
    picture = jpeg()
    sha256 = hashlib.sha256(picture).hexdigest()
    shop.smith.put_photo(picture)
    shop.smith.client.get(f"/api/photos/{sha256}?small=1")
    store: PhotoStore = app.config["PHOTO_STORE"]
    small = store.get(f"{shop.shop_id}/{sha256}.small")
    assert small is not None
    erase(shop, "photo", sha256)
    store.put(f"{shop.shop_id}/{sha256}", picture)
    store.put(f"{shop.shop_id}/{sha256}.small", small)
    for query in ("", "?small=1"):
        assert shop.smith.client.get(f"/api/photos/{sha256}{query}").status_code == 404


def test_a_photo_that_is_erased_while_its_last_part_comes_is_gone(
    app: Flask, shop: Shop, settings: Settings, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The server has asked whether it is erased, and is about to write the bytes."""
    picture = jpeg()
    sha256 = hashlib.sha256(picture).hexdigest()
    shop.smith.sync(entry(kind="photo", body={"sha256": sha256}))
    store = app.config["PHOTO_STORE"]
    put = store.put

    def erased_meanwhile(name: str, content: bytes, **more: bool) -> None:
        monkeypatch.undo()
        erase(shop, "photo", sha256)
        put(name, content, **more)

    monkeypatch.setattr(store, "put", erased_meanwhile)
    assert shop.smith.put_photo(picture).status_code == 201
    assert files_of(settings) == []
    assert shop.smith.client.get(f"/api/photos/{sha256}").status_code == 404


def test_erasing_twice_is_erasing_once(shop: Shop) -> None:
    one = entry()
    shop.smith.sync(one)
    assert [erase(shop, "entry", one["id"]) for _ in range(2)] == [1, 0]


def test_a_mark_that_lost_its_words_still_moves_the_blade(shop: Shop) -> None:
    from temperward.engine.api import ask  # noqa: PLC0415

    log_id = new_id()
    made = entry(log_id=log_id, kind="piece_made", body={"tag": "QF-1"})
    mark = entry(log_id=log_id, kind="mark", body={"mark": "shaped", "text": "private"}, lamport=2)
    shop.smith.sync(made, mark)
    erase(shop, "entry", mark["id"])
    rows: list[dict[str, Any]] = shop.owner.pull_all()
    facts = {"log_kind": "piece", "log_id": log_id, "entries": rows, "now_ms": rows[0]["happened_ms"]}
    answer = ask("fold", facts)["answer"]
    assert answer["state"]["id"] == "shaped"
    assert "private" not in str(rows)


OUTSIDE = [
    ("photo", "../../temperward.sqlite3"),
    ("photo", "../precious"),
    ("photo", "."),
    ("photo", "\x00"),
    ("photo", "\ud800"),
    ("entry", "\ud800"),
    ("entry", "\x00"),
    ("log", "\ud800"),
    ("log", "\x00"),
]


@pytest.mark.parametrize(("what", "key"), OUTSIDE, ids=repr)
def test_a_name_that_leads_out_of_the_shop_erases_nothing(
    shop: Shop, settings: Settings, what: str, key: str
) -> None:
    """An entry may name anything as its photo; erasing it must reach no file but that photo."""
    content = jpeg()
    shop.owner.put_photo(content)
    photos = settings.data_dir / "photos"
    precious = photos / "precious"
    precious.write_bytes(b"another shop's")
    before = {one for one in settings.data_dir.rglob("*") if one.is_file()}
    shop.smith.sync(entry(kind="photo", body={"sha256": key}))
    answer = shop.owner.client.post("/api/erase", json={"what": what, "id": key})
    assert (answer.status_code, answer.json["message"]) == (404, "not_here")
    assert before <= {one for one in settings.data_dir.rglob("*") if one.is_file()}
