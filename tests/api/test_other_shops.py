"""Every call there is, with another shop's names: answered as if they did not exist, and nothing is told."""

from __future__ import annotations

import hashlib
import re
from collections.abc import Callable
from dataclasses import asdict, dataclass
from typing import Any

import pytest
from common.logs import entry, new_id
from common.phones import PART, Phone, PushBrowser, Shop
from common.pictures import jpeg
from flask import Flask
from test_access import OPEN, calls, make

from temperward.services.secrets_made import digest

pytestmark = pytest.mark.usefixtures("both_databases")


@dataclass(frozen=True)
class Names:
    """All that a shop's calls can name; what is made up names nothing anywhere."""

    shop_id: str
    device_id: str
    entry_id: str
    log_id: str
    sha256: str
    begun_sha256: str
    endpoint: str
    endpoint_id: str


def made_up() -> Names:
    endpoint = f"https://push.example.com/{new_id()}"
    hashes = [hashlib.sha256(new_id().encode()).hexdigest() for _ in range(2)]
    return Names(new_id(), new_id(), new_id(), new_id(), *hashes, endpoint, digest(endpoint))


@pytest.fixture
def names(shop: Shop, push_browser: PushBrowser) -> Names:
    """What the first shop holds: an entry, a photo, one that is under way, and where it takes push."""
    one, picture, begun = entry(), jpeg(), jpeg(900, 800, quality=95)
    begun_sha256 = hashlib.sha256(begun).hexdigest()
    shop.smith.sync(one)
    assert shop.smith.put_photo(picture).status_code == 201
    assert shop.smith.put_part(begun_sha256, begun[:PART], offset=0, total=len(begun)).status_code == 200
    push_browser.subscribe(shop.smith)
    return Names(
        shop_id=shop.shop_id,
        device_id=shop.smith.device_id,
        entry_id=one["id"],
        log_id=one["log_id"],
        sha256=hashlib.sha256(picture).hexdigest(),
        begun_sha256=begun_sha256,
        endpoint=push_browser.endpoint,
        endpoint_id=digest(push_browser.endpoint),
    )


def erase(phone: Phone, what: str, key: str) -> Any:
    return phone.client.post("/api/erase", json={"what": what, "id": key})


def offer(phone: Phone, named: Names, **more: Any) -> Any:
    """Offer an entry under another's id, in another's log, correcting another's words, naming its photo."""
    body = {"sha256": named.sha256, "entry_id": named.entry_id}
    one = entry(id=named.entry_id, log_id=named.log_id, kind="photo", body=body, shop_id=named.shop_id)
    return phone.client.post("/api/sync", json={"entries": [one], "since": 10**9, **more})


def subscribe(phone: Phone, named: Names) -> Any:
    keys = {"p256dh": "AAAA", "auth": "AAAA"}
    wish = {"endpoint": named.endpoint, "keys": keys}
    return phone.client.post("/api/push-subscriptions", json=wish)


Call = tuple[str, str]
PHOTO, DEVICE, PUSH = "/api/photos/<sha256>", "/api/devices/<device_id>", "/api/push-subscriptions"
NAMING: dict[Call, list[Callable[[Phone, Names], Any]]] = {
    ("GET", PHOTO): [
        lambda phone, named: phone.client.get(f"/api/photos/{named.sha256}"),
        lambda phone, named: phone.client.get(f"/api/photos/{named.sha256}?small=1"),
    ],
    ("HEAD", PHOTO): [
        lambda phone, named: phone.client.head(f"/api/photos/{named.sha256}"),
        lambda phone, named: phone.client.head(f"/api/photos/{named.begun_sha256}"),
    ],
    ("PUT", PHOTO): [
        lambda phone, named: phone.put_part(named.begun_sha256, b"x", offset=PART, total=PART + 9),
        lambda phone, named: phone.put_part(named.sha256, b"x", offset=5, total=9),
    ],
    ("DELETE", DEVICE): [lambda phone, named: phone.client.delete(f"/api/devices/{named.device_id}")],
    ("POST", "/api/erase"): [
        lambda phone, named: erase(phone, "entry", named.entry_id),
        lambda phone, named: erase(phone, "log", named.log_id),
        lambda phone, named: erase(phone, "photo", named.sha256),
    ],
    ("DELETE", PUSH): [
        lambda phone, named: phone.client.delete(PUSH, json={"endpoint": named.endpoint}),
    ],
    ("POST", PUSH): [subscribe],
    ("POST", "/api/sync"): [
        lambda phone, named: offer(phone, named, shop_id=named.shop_id),
        offer,
    ],
}
NAMES_NOTHING: set[Call] = {
    ("GET", "/api/devices"),
    ("GET", "/api/me"),
    ("GET", "/api/push-key"),
    ("POST", "/api/ask/<question>"),
    ("POST", "/api/join-codes"),
    ("POST", "/api/leave"),
    ("POST", "/api/push-test"),
}


def told(answer: Any, named: Names) -> tuple[Any, ...]:
    """Return all that an answer says, with the caller's own names and the time of day taken out."""
    text = answer.get_data(as_text=True)
    for name, value in asdict(named).items():
        text = text.replace(value, name)
    text = re.sub(r'"\w+_ms":\d+', "", text)
    text = re.sub(r'"seq":\d+', "", text)
    return (
        answer.status_code,
        text,
        answer.headers.get("Upload-Offset"),
        answer.headers.get("Upload-Complete"),
    )


def test_every_call_answers_another_shops_names_like_names_that_do_not_exist(
    app: Flask, shop: Shop, other_shop: Shop, names: Names
) -> None:
    closed = {one for one in calls(app) if one not in OPEN}
    assert closed == NAMING.keys() | NAMES_NOTHING, "a call that is new must be tried here"
    before = shop.owner.pull_all()
    for one, ways in NAMING.items():
        for place, way in enumerate(ways):
            absent = made_up()
            real = told(way(other_shop.owner, names), names)
            assert real == told(way(other_shop.owner, absent), absent), (one, place)
    assert shop.owner.pull_all() == before
    client = shop.smith.client
    assert client.get(f"/api/photos/{names.sha256}").status_code == 200
    assert client.head(f"/api/photos/{names.begun_sha256}").headers["Upload-Offset"] == str(PART)
    assert client.post("/api/push-test", json={}).status_code == 204


def test_no_call_tells_a_name_of_another_shop(app: Flask, shop: Shop, other_shop: Shop, names: Names) -> None:
    del shop
    for one in sorted(one for one in calls(app) if one not in OPEN and one[1] != "/api/leave"):
        text = make(other_shop.owner, *one).get_data(as_text=True)
        assert [name for name, value in asdict(names).items() if value in text] == [], one
    assert names.entry_id not in str(other_shop.owner.pull_all())
