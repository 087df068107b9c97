"""Nobody in: every call with no token, a token taken back, a viewer's token, and another shop's names."""

from __future__ import annotations

from typing import Any

import pytest
from common.logs import entry
from common.phones import Phone, PushBrowser, Shop, join, join_as
from common.pictures import jpeg
from flask import Flask

from temperward.instants import now_ms
from temperward.services.joining import TRIES_IN_ALL, TRIES_PER_ADDRESS, WINDOW_MS

OPEN = {
    ("GET", "/api/docs"),
    ("GET", "/api/openapi.json"),
    ("GET", "/api/words/<language>"),
    ("POST", "/api/claim"),
    ("POST", "/api/join"),
}
FOR_OWNERS = {
    ("DELETE", "/api/devices/<device_id>"),
    ("GET", "/api/devices"),
    ("POST", "/api/erase"),
    ("POST", "/api/join-codes"),
}
NOT_FOR_VIEWERS = FOR_OWNERS | {("PUT", "/api/photos/<sha256>")}
SHA = "ab" * 32
BODIES: dict[str, dict[str, Any]] = {
    "/api/erase": {"what": "entry", "id": "x"},
    "/api/push-subscriptions": {"endpoint": "https://push.example.com/x"},
}


def calls(app: Flask) -> list[tuple[str, str]]:
    """Return every call of the API that there is, so that a new one cannot be forgotten here."""
    found = [
        (method, rule.rule)
        for rule in app.url_map.iter_rules()
        for method in sorted((rule.methods or set()) - {"OPTIONS"})
        if rule.rule.startswith("/api/")
    ]
    return [
        one
        for one in sorted(found)
        if not (one[0] == "HEAD" and ("GET", one[1]) in found and "photos" not in one[1])
    ]


def make(phone: Phone, method: str, rule: str) -> Any:
    path = rule.replace("<device_id>", "x").replace("<sha256>", SHA).replace("<question>", "steels")
    headers = {"Upload-Offset": "0", "Upload-Length": "10"}
    if method == "PUT":
        return phone.client.put(path, data=b"0123456789", headers=headers)
    if method in ("GET", "HEAD"):
        return phone.client.open(path, method=method)
    return phone.client.open(path, method=method, json=BODIES.get(rule, {}))


def test_no_call_answers_without_a_token(app: Flask) -> None:
    nobody = Phone(client=app.test_client(), device_id="")
    closed = [one for one in calls(app) if one not in OPEN]
    assert len(closed) >= 15
    assert {one: make(nobody, *one).status_code for one in closed} == dict.fromkeys(closed, 401)


def test_no_call_answers_to_a_token_that_was_taken_back(app: Flask, shop: Shop) -> None:
    assert shop.owner.client.delete(f"/api/devices/{shop.smith.device_id}").status_code == 204
    closed = [one for one in calls(app) if one not in OPEN]
    assert {one: make(shop.smith, *one).status_code for one in closed} == dict.fromkeys(closed, 401)


def test_no_call_answers_to_a_made_up_token(app: Flask) -> None:
    client = app.test_client()
    client.set_cookie("temperward_device", "x" * 43, path="/api")
    assert client.get("/api/me").status_code == 401


@pytest.mark.parametrize(("role", "closed"), [("viewer", NOT_FOR_VIEWERS), ("smith", FOR_OWNERS)])
def test_a_role_reaches_no_further_than_it_should(
    app: Flask, shop: Shop, role: str, closed: set[tuple[str, str]]
) -> None:
    phone = getattr(shop, role)
    answers = {
        one: make(phone, *one).status_code for one in calls(app) if one not in OPEN and one[1] != "/api/leave"
    }
    assert {one for one, status in answers.items() if status == 403} == closed


def test_a_viewer_reads_but_each_entry_it_offers_is_refused(shop: Shop) -> None:
    shop.smith.sync(entry())
    answer = shop.viewer.sync(entry(), entry())
    assert [one["reason"] for one in answer["results"]] == ["not_allowed", "not_allowed"]
    assert len(answer["rows"]) == 1


def test_a_smith_may_sign_up_a_member_but_not_take_one_away(shop: Shop) -> None:
    made = entry(log_kind="member", kind="made", body={"name": "Tam", "initials": "TK"})
    gone = entry(log_kind="member", kind="withdraw", body={"entry_id": made["id"]}, log_id=made["log_id"])
    assert [one["status"] for one in shop.smith.sync(made)["results"]] == ["stored"]
    assert [one.get("reason") for one in shop.smith.sync(gone)["results"]] == ["not_allowed"]
    assert [one["status"] for one in shop.owner.sync(gone)["results"]] == ["stored"]


def test_two_shops_see_nothing_of_each_other(shop: Shop, other_shop: Shop) -> None:
    ours = entry()
    shop.smith.sync(ours)
    shop.smith.put_photo(jpeg())
    assert other_shop.owner.pull_all() == []
    assert [one["status"] for one in other_shop.owner.sync(ours)["results"]] == ["stored"]
    assert [row["seq"] for row in other_shop.owner.pull_all()] == [1]


def test_another_shops_names_answer_like_names_that_do_not_exist(shop: Shop, other_shop: Shop) -> None:
    import hashlib  # noqa: PLC0415

    one, picture = entry(), jpeg()
    shop.smith.sync(one)
    shop.smith.put_photo(picture)
    there = hashlib.sha256(picture).hexdigest()
    client = other_shop.owner.client
    pairs = [
        (client.get(f"/api/photos/{there}"), client.get(f"/api/photos/{SHA}")),
        (client.head(f"/api/photos/{there}"), client.head(f"/api/photos/{SHA}")),
        (client.delete(f"/api/devices/{shop.smith.device_id}"), client.delete("/api/devices/none")),
        (
            client.post("/api/erase", json={"what": "entry", "id": one["id"]}),
            client.post("/api/erase", json={"what": "entry", "id": "none"}),
        ),
        (
            client.post("/api/erase", json={"what": "photo", "id": there}),
            client.post("/api/erase", json={"what": "photo", "id": SHA}),
        ),
        (
            client.post("/api/erase", json={"what": "log", "id": one["log_id"]}),
            client.post("/api/erase", json={"what": "log", "id": "none"}),
        ),
    ]
    for real, absent in pairs:
        assert (real.status_code, real.data) == (404, absent.data)
    assert shop.owner.pull_all()[0]["body"] == one["body"]
    assert shop.owner.client.get("/api/me").status_code == 200


def test_equal_pictures_of_two_shops_are_two_objects(shop: Shop, other_shop: Shop) -> None:
    import hashlib  # noqa: PLC0415

    picture = jpeg()
    assert shop.smith.put_photo(picture).status_code == 201
    assert other_shop.smith.put_photo(picture).status_code == 201
    sha256 = hashlib.sha256(picture).hexdigest()
    assert shop.owner.client.post("/api/erase", json={"what": "photo", "id": sha256}).status_code == 200
    assert shop.smith.client.get(f"/api/photos/{sha256}").status_code == 404
    assert other_shop.smith.client.get(f"/api/photos/{sha256}").data == picture


def test_the_shop_in_an_entry_is_not_believed(shop: Shop, other_shop: Shop) -> None:
    shop.smith.sync(entry(shop_id=other_shop.shop_id))
    assert other_shop.owner.pull_all() == []
    assert "shop_id" not in shop.owner.pull_all()[0]


def test_a_phone_that_names_another_shop_gives_and_gets_nothing(shop: Shop, other_shop: Shop) -> None:
    shop.smith.sync(entry(), shop_id=shop.shop_id)
    wish = {"entries": [entry()], "shop_id": other_shop.shop_id}
    answer = shop.smith.client.post("/api/sync", json=wish)
    assert (answer.status_code, answer.json["message"]) == (401, "not_signed_in")
    assert len(shop.owner.pull_all()) == 1
    assert shop.smith.client.get("/api/me").json["shop_id"] == shop.shop_id


def test_a_code_of_another_shop_than_the_phones_own_lets_nobody_in_and_stays_good(
    app: Flask, shop: Shop, other_shop: Shop
) -> None:
    code = shop.owner.client.post("/api/join-codes", json={}).json["code"]
    client = app.test_client()
    wish = {"code": code, "device_name": "x"}
    refused = client.post("/api/join", json={**wish, "shop_id": other_shop.shop_id})
    assert (refused.status_code, refused.json["message"]) == (409, "other_shop")
    assert "Set-Cookie" not in refused.headers
    assert client.post("/api/join", json={**wish, "shop_id": shop.shop_id}).status_code == 201


def test_a_phone_with_a_shops_log_makes_no_new_shop_of_it_and_the_claim_code_stays_good(
    app: Flask, shop: Shop
) -> None:
    from temperward.services import joining  # noqa: PLC0415
    from temperward.storage.session import db  # noqa: PLC0415

    with app.app_context():
        code = joining.make_claim_code(db.session())
    client = app.test_client()
    wish = {"code": code, "shop_name": "Two", "zone": "Europe/Dublin", "device_name": "x"}
    refused = client.post("/api/claim", json={**wish, "shop_id": shop.shop_id})
    assert (refused.status_code, refused.json["message"]) == (409, "other_shop")
    assert client.post("/api/claim", json=wish).status_code == 201


def test_one_endpoint_in_two_shops_is_two_subscriptions(
    shop: Shop, other_shop: Shop, push_browser: PushBrowser
) -> None:
    push_browser.subscribe(shop.smith)
    push_browser.subscribe(other_shop.smith)
    gone = {"endpoint": push_browser.endpoint}
    assert other_shop.smith.client.delete("/api/push-subscriptions", json=gone).status_code == 204
    assert shop.smith.client.post("/api/push-test", json={}).status_code == 204
    assert other_shop.smith.client.post("/api/push-test", json={}).status_code == 404


def test_a_code_lets_one_device_in_once(app: Flask, shop: Shop) -> None:
    code = shop.owner.client.post("/api/join-codes", json={"role": "viewer"}).json["code"]
    joined = join(app, f" {code[:4].lower()}-{code[4:]} ")
    assert joined.client.get("/api/me").json["role"] == "viewer"
    again = app.test_client().post("/api/join", json={"code": code, "device_name": "x"})
    assert (again.status_code, again.json["message"]) == (403, "bad_code")


def test_a_code_lets_nobody_in_once_its_ten_minutes_are_over(
    app: Flask, shop: Shop, monkeypatch: pytest.MonkeyPatch
) -> None:
    made = shop.owner.client.post("/api/join-codes", json={}).json
    wish = {"code": made["code"], "device_name": "x"}
    assert 9 * 60_000 < made["expires_ms"] - now_ms() <= 10 * 60_000
    client = app.test_client()
    monkeypatch.setattr("temperward.api.access.now_ms", lambda: made["expires_ms"])
    late = client.post("/api/join", json=wish)
    assert (late.status_code, late.json["message"]) == (403, "bad_code")
    monkeypatch.setattr("temperward.api.access.now_ms", lambda: made["expires_ms"] - 1)
    assert client.post("/api/join", json=wish).status_code == 201


def test_codes_are_eight_letters_that_look_like_no_other(shop: Shop) -> None:
    for _ in range(20):
        code = shop.owner.client.post("/api/join-codes", json={}).json["code"]
        assert len(code) == 8
        assert not set(code) & set("0O1IL2Z5S8BUV")


def test_the_claim_code_makes_one_shop_only(app: Flask) -> None:
    from temperward.services import joining  # noqa: PLC0415
    from temperward.storage.session import db  # noqa: PLC0415

    with app.app_context():
        code = joining.claim_code_if_new(db.session())
    wish = {"code": code, "shop_name": "One", "zone": "Europe/Dublin", "device_name": "x"}
    assert app.test_client().post("/api/claim", json=wish).status_code == 201
    assert app.test_client().post("/api/claim", json=wish).status_code == 403
    with app.app_context():
        assert joining.claim_code_if_new(db.session()) is None


def test_guessing_codes_is_stopped_and_says_when_to_try_again(app: Flask, shop: Shop) -> None:
    client = app.test_client()
    for _ in range(TRIES_PER_ADDRESS):
        assert client.post("/api/join", json={"code": "AAAA", "device_name": "x"}).status_code == 403
    good = shop.owner.client.post("/api/join-codes", json={}).json["code"]
    stopped = client.post("/api/join", json={"code": good, "device_name": "x"})
    assert (stopped.status_code, stopped.json["message"]) == (429, "too_many_tries")
    assert 0 < int(stopped.headers["Retry-After"]) <= 601
    elsewhere = client.post(
        "/api/join", json={"code": good, "device_name": "x"}, environ_base={"REMOTE_ADDR": "127.0.0.2"}
    )
    assert elsewhere.status_code == 201


def test_guessing_the_code_of_a_new_server_is_stopped_too_and_the_right_one_stays_good(app: Flask) -> None:
    from temperward.services import joining  # noqa: PLC0415
    from temperward.storage.session import db  # noqa: PLC0415

    with app.app_context():
        code = joining.make_claim_code(db.session())
    client = app.test_client()
    wish = {"shop_name": "One", "zone": "Europe/Dublin", "device_name": "x"}
    for _ in range(TRIES_PER_ADDRESS):
        assert client.post("/api/claim", json={**wish, "code": "AAAA"}).status_code == 403
    assert client.post("/api/claim", json={**wish, "code": code}).status_code == 429
    elsewhere = {"REMOTE_ADDR": "127.0.0.2"}
    assert client.post("/api/claim", json={**wish, "code": code}, environ_base=elsewhere).status_code == 201


def test_guessing_from_everywhere_at_once_is_stopped_as_well(
    app: Flask, shop: Shop, monkeypatch: pytest.MonkeyPatch
) -> None:
    from temperward.storage.models import WrongTry  # noqa: PLC0415
    from temperward.storage.session import db  # noqa: PLC0415

    at_ms = now_ms() // WINDOW_MS * WINDOW_MS + 1
    monkeypatch.setattr("temperward.api.access.now_ms", lambda: at_ms)
    code = shop.owner.client.post("/api/join-codes", json={}).json["code"]
    with app.app_context():
        for number in range(TRIES_IN_ALL // 10):
            db.session().add(WrongTry(address_digest=str(number), window_ms=at_ms - 1, tries=10))
        db.session().commit()
    answer = app.test_client().post("/api/join", json={"code": code, "device_name": "x"})
    assert (answer.status_code, answer.json["message"]) == (429, "too_many_tries")


def test_the_token_is_out_of_reach_of_scripts_and_other_sites(app: Flask, shop: Shop) -> None:
    code = shop.owner.client.post("/api/join-codes", json={}).json["code"]
    answer = app.test_client().post(
        "/api/join", json={"code": code, "device_name": "x"}, base_url="https://forge.example"
    )
    cookie = answer.headers["Set-Cookie"]
    assert all(word in cookie for word in ("HttpOnly", "SameSite=Strict", "Secure", "Path=/api"))
    assert len(cookie.split("=")[1].split(";")[0]) == 43  # 256 bits in base64url
    assert "max-age" in answer.headers["Strict-Transport-Security"]


def test_the_token_is_kept_only_as_a_digest(app: Flask, shop: Shop) -> None:
    token = shop.owner.client.get_cookie("temperward_device", path="/api").value
    from temperward.storage.session import db  # noqa: PLC0415

    with app.app_context():
        kept = db.session().scalars(db.text("SELECT token_digest FROM devices")).all()
    assert token not in kept
    assert all(len(one) == 64 for one in kept)


@pytest.mark.parametrize(
    "headers",
    [
        {"Sec-Fetch-Site": "cross-site"},
        {"Sec-Fetch-Site": "same-site"},
        {"Origin": "https://evil.example"},
        {"Origin": "null"},
        {"Origin": "http://["},
        {"Origin": "http://[::1"},
    ],
)
def test_another_sites_page_changes_nothing(shop: Shop, headers: dict[str, str]) -> None:
    answer = shop.owner.client.post("/api/sync", json={"entries": [entry()]}, headers=headers)
    assert (answer.status_code, answer.json["message"]) == (403, "cross_site")
    assert shop.owner.pull_all() == []


def test_a_form_of_another_site_is_not_read(shop: Shop) -> None:
    answer = shop.owner.client.post("/api/join-codes", data={"role": "owner"})
    assert (answer.status_code, answer.json["message"]) == (415, "needs_json")


def test_the_last_owner_cannot_be_put_out(app: Flask, shop: Shop) -> None:
    refused = shop.owner.client.delete(f"/api/devices/{shop.owner.device_id}")
    assert (refused.status_code, refused.json["message"]) == (403, "last_owner")
    second = join_as(app, shop.owner, "owner")
    assert second.client.delete(f"/api/devices/{shop.owner.device_id}").status_code == 204
    assert shop.owner.client.get("/api/me").status_code == 401


def test_a_device_can_leave(shop: Shop) -> None:
    assert shop.smith.client.post("/api/leave", json={}).status_code == 204
    assert shop.smith.client.get("/api/me").status_code == 401


def test_the_owner_sees_the_devices_and_not_their_secrets(shop: Shop) -> None:
    devices = shop.owner.client.get("/api/devices").json
    assert [one["role"] for one in devices] == ["owner", "smith", "viewer"]
    assert not any("token" in name or "digest" in name for one in devices for name in one)


@pytest.mark.parametrize(
    "wish",
    [
        {"shop_name": "x", "zone": "Atlantis/Capital"},
        {"shop_name": "", "zone": "Europe/Dublin"},
        {"shop_name": "x\x00", "zone": "Europe/Dublin"},
        {"shop_name": "x" * 81, "zone": "Europe/Dublin"},
        {"zone": "Europe/Dublin"},
    ],
)
def test_a_shop_that_cannot_be_is_refused_by_its_field(app: Flask, wish: dict[str, str]) -> None:
    answer = app.test_client().post("/api/claim", json={"code": "A", "device_name": "x"} | wish)
    assert (answer.status_code, answer.json["message"]) == (422, "bad_fields")
    assert set(answer.json["errors"]["json"]) <= {"zone", "shop_name"}


def test_a_packing_we_do_not_know_is_refused(shop: Shop) -> None:
    headers = {"Content-Encoding": "zstd"}
    answer = shop.smith.client.post("/api/sync", data=b"x", content_type="application/json", headers=headers)
    assert (answer.status_code, answer.json["message"]) == (415, "unknown_encoding")


def test_a_devices_last_visit_is_kept_to_the_hour(app: Flask, shop: Shop) -> None:
    from temperward.storage.session import db  # noqa: PLC0415

    with app.app_context():
        db.session().execute(db.text("UPDATE devices SET seen_ms = 5"))
        db.session().commit()
    shop.smith.client.get("/api/me")
    seen = {one["role"]: one["seen_ms"] for one in shop.owner.client.get("/api/devices").json}
    assert seen["viewer"] == 5
    assert seen["smith"] > 5


def test_a_phone_whose_visit_finds_no_room_to_be_noted_is_served_all_the_same(
    app: Flask, shop: Shop, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A full disk takes nothing new; whoever only reads needs no room."""
    from temperward.errors import StoreFull  # noqa: PLC0415
    from temperward.storage.session import db  # noqa: PLC0415

    def no_room(_session: object) -> None:
        raise StoreFull

    shop.smith.sync(entry())
    with app.app_context():
        db.session().execute(db.text("UPDATE devices SET seen_ms = 5"))
        db.session().commit()
    monkeypatch.setattr("temperward.services.devices.begin_write", no_room)
    assert len(shop.viewer.pull_all()) == 1
