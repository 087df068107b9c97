"""A push message as it arrives: sealed for one browser, signed by this server.

First the receiver proves itself on the worked example of RFC 8291, section 5 and appendix A.
"""

from __future__ import annotations

import doctest
import json
import time

import pytest
from common.phones import PushBrowser
from common.push_receiver import PushReceiver, check_signature, open_message, unbase64url
from cryptography.hazmat.primitives.asymmetric import ec

from temperward.delivery import message as message_module
from temperward.delivery.message import Address, Message, Sending, tag_of
from temperward.delivery.web_push import send
from temperward.services.subscriptions import _new_signing_key, public_key_text

RFC_PRIVATE = "q1dXpw3UpT5VOmu_cf_v6ih07Aems3njxI-JWgLcM94"
RFC_AUTH = "BTBZMqHH6r4Tts7J_aSIgg"
RFC_BODY = (
    "DGv6ra1nlYgDCS1FRnbzlwAAEABBBP4z9KsN6nGRTbVYI_c7VJSPQTBtkgcy27mlmlMoZIIgDll6e3vCYLocInmYWAmS6Tlz"
    "AC8wEqKK6PBru3jl7A_yl95bQpu6cVPTpK4Mqgkf1CXztLVBSt2Ks3oZwbuwXPXLWyouBWLVWGNWQexSgSxsj_Qulcy4a-fN"
)
SUBJECT = "mailto:smith@quillfen.example"


def test_the_receiver_opens_the_example_of_the_standard() -> None:
    private = ec.derive_private_key(int.from_bytes(unbase64url(RFC_PRIVATE), "big"), ec.SECP256R1())
    opened = open_message(unbase64url(RFC_BODY), private=private, auth=unbase64url(RFC_AUTH))
    assert opened == b"When I grow up, I want to be a watermelon"


def test_the_examples_of_a_tag_and_of_an_allowed_address_are_true() -> None:
    """The phone's own test names the same tag: push and local alarm of one clock are one banner."""
    assert doctest.testmod(message_module).attempted >= 3
    assert doctest.testmod(message_module).failed == 0


def address(browser: PushBrowser) -> Address:
    keys = browser.subscription()["keys"]
    return Address(endpoint=browser.endpoint, p256dh=keys["p256dh"], auth=keys["auth"])


def sending(key: str = "") -> Sending:
    return Sending(subject=SUBJECT, signing_key=key or _new_signing_key(), allowed="http://127.0.0.1:")


def message(**payload: object) -> Message:
    return Message(tag=tag_of("brittle:1"), payload={"v": 1, **payload}, useful_s=1800)


def test_a_message_opens_in_the_browser_it_was_sealed_for(push_browser: PushBrowser) -> None:
    sent = send(message(piece_tag="QF-101"), to=address(push_browser), by=sending())
    assert sent == "taken"
    [got] = push_browser.receiver.received
    opened = open_message(got.body, private=push_browser.private, auth=push_browser.auth)
    assert json.loads(opened) == {"v": 1, "piece_tag": "QF-101"}


def test_a_message_says_how_long_it_is_useful_and_that_it_is_urgent(push_browser: PushBrowser) -> None:
    send(message(), to=address(push_browser), by=sending())
    headers = push_browser.receiver.received[0].headers
    assert headers["ttl"] == "1800"
    assert headers["urgency"] == "high"
    assert headers["topic"] == tag_of("brittle:1")
    assert headers["content-encoding"] == "aes128gcm"
    assert len(headers["topic"]) <= 32


def test_a_message_is_signed_for_its_own_push_service_and_not_for_a_day(push_browser: PushBrowser) -> None:
    key = _new_signing_key()
    send(message(), to=address(push_browser), by=sending(key))
    claims, public = check_signature(push_browser.receiver.received[0].headers["authorization"])
    assert public == public_key_text(key)
    assert claims["sub"] == SUBJECT
    assert claims["aud"] == f"http://127.0.0.1:{push_browser.receiver.port}"
    assert time.time() < claims["exp"] <= time.time() + 12 * 3600


def test_two_push_services_each_get_their_own_claims(push_browser: PushBrowser) -> None:
    key = _new_signing_key()
    with PushReceiver() as second:
        other = PushBrowser(second)
        for one in (push_browser, other):
            assert send(message(), to=address(one), by=sending(key)) == "taken"
        audiences = [
            check_signature(one.receiver.received[0].headers["authorization"])[0]["aud"]
            for one in (push_browser, other)
        ]
        assert audiences == [f"http://127.0.0.1:{one.receiver.port}" for one in (push_browser, other)]


@pytest.mark.parametrize(
    ("status", "outcome"), [(404, "gone"), (410, "gone"), (500, "failed"), (429, "failed")]
)
def test_what_the_push_service_says_decides(push_browser: PushBrowser, status: int, outcome: str) -> None:
    push_browser.receiver.answers["/push/one"] = status
    assert send(message(), to=address(push_browser), by=sending()) == outcome


def test_a_push_service_that_is_away_is_a_failure_and_no_more(push_browser: PushBrowser) -> None:
    nobody = Address(endpoint="http://127.0.0.1:9/push", **push_browser.subscription()["keys"])
    assert send(message(), to=nobody, by=sending()) == "failed"


def test_a_redirect_is_not_followed(push_browser: PushBrowser) -> None:
    push_browser.receiver.answers["/push/one"] = 307
    assert send(message(), to=address(push_browser), by=sending()) == "failed"
    assert len(push_browser.receiver.received) == 1
