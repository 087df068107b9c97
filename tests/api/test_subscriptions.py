"""Where this server will push to: real push services only, with keys that can seal a message."""

from __future__ import annotations

from typing import Any

import pytest
from common.phones import PushBrowser, Shop, base64url

from temperward.app import create_app
from temperward.settings import Settings, read_settings


def subscribe(shop: Shop, subscription: dict[str, Any]) -> tuple[int, str | None]:
    answer = shop.smith.client.post("/api/push-subscriptions", json=subscription)
    return answer.status_code, answer.json.get("message")


@pytest.mark.parametrize(
    "endpoint",
    [
        "https://push.example.com/v1/abc",
        "https://push.example.com:443/v1/abc?x=1",
    ],
)
def test_a_public_push_service_is_taken(shop: Shop, push_browser: PushBrowser, endpoint: str) -> None:
    assert subscribe(shop, push_browser.subscription() | {"endpoint": endpoint}) == (201, None)


@pytest.mark.parametrize(
    "endpoint",
    [
        "http://push.example.com/v1",
        "https://localhost/v1",
        "https://127.0.0.1/v1",
        "https://[::1]/v1",
        "https://[broken/v1",
        "https://10.0.0.8/v1",
        "https://2130706433/v1",
        "https://169.254.169.254/latest",
        "https://router.local/v1",
        "https://db.internal/v1",
        "https://push.example.com:8443/v1",
        "https://push.example.com:99999/v1",
        "https://user@push.example.com/v1",
        "https://127.1/v1",
        "https://127.0.0.0x1/v1",
        "https://169.254.169.0xfe/v1",
        "https://0x7f.0x1/v1",
        "https://localhost./v1",
        "https://push.example.com./v1",
        "https://push..example.com/v1",
        "https://nas.home.arpa/v1",
        "https://push.example.com/ä",
        "file:///etc/passwd",
        "nothing",
    ],
)
def test_an_address_inside_or_beside_the_server_is_refused(
    shop: Shop, push_browser: PushBrowser, endpoint: str
) -> None:
    assert subscribe(shop, push_browser.subscription() | {"endpoint": endpoint}) == (422, "bad_endpoint")


@pytest.mark.parametrize(
    "keys",
    [
        {"p256dh": "AAAA", "auth": base64url(b"x" * 16)},
        {"p256dh": base64url(b"\x04" + b"x" * 64), "auth": base64url(b"x" * 16)},
        {"p256dh": "no base64!", "auth": base64url(b"x" * 16)},
    ],
)
def test_keys_that_could_seal_nothing_are_refused(
    shop: Shop, push_browser: PushBrowser, keys: dict[str, str]
) -> None:
    assert subscribe(shop, push_browser.subscription() | {"keys": keys}) == (422, "bad_push_keys")


def test_an_authentication_secret_of_another_length_is_refused(shop: Shop, push_browser: PushBrowser) -> None:
    subscription = push_browser.subscription()
    subscription["keys"]["auth"] = base64url(b"x" * 15)
    assert subscribe(shop, subscription) == (422, "bad_push_keys")


def test_subscribing_again_changes_the_keys_and_adds_nothing(shop: Shop, push_browser: PushBrowser) -> None:
    push_browser.subscribe(shop.smith)
    renewed = PushBrowser(push_browser.receiver)
    renewed.subscribe(shop.smith)
    assert shop.smith.client.post("/api/push-test", json={}).status_code == 204
    [got] = push_browser.receiver.received
    from common.push_receiver import open_message  # noqa: PLC0415

    assert b'"kind":"test"' in open_message(got.body, private=renewed.private, auth=renewed.auth)


def test_a_dead_address_is_forgotten_by_the_test_message_too(shop: Shop, push_browser: PushBrowser) -> None:
    push_browser.subscribe(shop.smith)
    push_browser.receiver.answers["/push/one"] = 410
    assert shop.smith.client.post("/api/push-test", json={}).status_code == 502
    assert shop.smith.client.post("/api/push-test", json={}).status_code == 404


def test_the_push_key_is_made_once_and_stays(settings: Settings, shop: Shop) -> None:
    first = shop.smith.client.get("/api/push-key").json
    assert first["why_not"] is None
    assert len(first["public_key"]) == 87  # 65 bytes in base64url
    assert shop.owner.client.get("/api/push-key").json == first
    again = create_app(settings).test_client()
    again.set_cookie(
        "temperward_device", shop.smith.client.get_cookie("temperward_device", path="/api").value, path="/api"
    )
    assert again.get("/api/push-key").json == first


def test_a_server_without_a_contact_says_that_it_cannot_push(shop: Shop, settings: Settings) -> None:
    quiet = create_app(read_settings(data=settings.data, push_subject="")).test_client()
    token = shop.smith.client.get_cookie("temperward_device", path="/api").value
    quiet.set_cookie("temperward_device", token, path="/api")
    assert quiet.get("/api/push-key").json == {"public_key": None, "why_not": "no_push_subject"}
    assert quiet.post("/api/push-test", json={}).json["message"] == "no_push"
