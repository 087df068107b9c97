"""What the server calls when it pushes: the open internet, for so long, and reading no more than it must."""

from __future__ import annotations

import socket
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

import pytest
from common.phones import PushBrowser

from temperward.delivery.message import Address, Message, Sending, tag_of
from temperward.delivery.outward import is_public
from temperward.delivery.web_push import send
from temperward.services.subscriptions import _new_signing_key

MESSAGE = Message(tag=tag_of("brittle:1"), payload={"v": 1}, useful_s=1800)
NAME = "push.example.com"


def sending(*, allowed: str = "") -> Sending:
    return Sending(subject="mailto:smith@quillfen.example", signing_key=_new_signing_key(), allowed=allowed)


def address(browser: PushBrowser, endpoint: str) -> Address:
    keys = browser.subscription()["keys"]
    return Address(endpoint=endpoint, p256dh=keys["p256dh"], auth=keys["auth"])


@pytest.mark.parametrize(
    "inside",
    [
        *("127.0.0.1", "10.0.0.8", "172.16.4.1", "192.168.1.1", "169.254.169.254", "100.64.0.1", "0.0.0.1"),
        *("224.0.0.1", "255.255.255.255", "192.0.2.7", "::", "::1", "fe80::1", "fe80::1%eth0", "fd00::1"),
        *("ff02::1", "::ffff:127.0.0.1", "::ffff:10.0.0.8", "64:ff9b::7f00:1", "2002:7f00:1::"),
    ],
)
def test_an_address_inside_or_beside_the_machine_is_none_of_the_internet(inside: str) -> None:
    assert not is_public(inside)


@pytest.mark.parametrize("outside", ["8.8.8.8", "2606:4700::1111", "::ffff:8.8.8.8", "64:ff9b::808:808"])
def test_an_address_of_the_internet_may_be_called(outside: str) -> None:
    assert is_public(outside)


class Listener:
    """A port on loopback that counts who comes, and speaks to each as it is told to."""

    def __init__(self, speak: Any = None) -> None:
        self.socket = socket.create_server(("127.0.0.1", 0))
        self.port = self.socket.getsockname()[1]
        self.came = 0
        self.speak = speak
        self.thread = threading.Thread(target=self._listen, daemon=True)
        self.thread.start()

    def _listen(self) -> None:
        while True:
            try:
                line, _ = self.socket.accept()
            except OSError:
                return
            self.came += 1
            with line:
                if self.speak:
                    self.speak(line)

    def close(self) -> None:
        self.socket.close()


@contextmanager
def listening(speak: Any = None) -> Iterator[Listener]:
    made = Listener(speak)
    yield made
    made.close()


@pytest.fixture
def the_name_means(monkeypatch: pytest.MonkeyPatch) -> Any:
    """Let a public name mean an address of this machine, as its owner can at any time."""
    look_up = socket.getaddrinfo
    for name in ("HTTPS_PROXY", "https_proxy", "ALL_PROXY", "all_proxy"):
        monkeypatch.delenv(name, raising=False)

    def means(address: str, port: int) -> None:
        def found(host: Any, *given: Any, **more: Any) -> Any:
            if host == NAME:
                return [(socket.AF_INET, socket.SOCK_STREAM, 6, "", (address, port))]
            return look_up(host, *given, **more)

        monkeypatch.setattr(socket, "getaddrinfo", found)

    return means


def test_a_public_name_that_means_this_machine_is_not_called(
    push_browser: PushBrowser, the_name_means: Any
) -> None:
    with listening() as inside:
        the_name_means("127.0.0.1", inside.port)
        said = send(MESSAGE, to=address(push_browser, f"https://{NAME}/push"), by=sending())
        assert said == "failed"
        assert inside.came == 0


def test_the_servers_owner_may_allow_such_a_name(push_browser: PushBrowser, the_name_means: Any) -> None:
    """The proof that the refusal is what kept the call away."""
    with listening() as inside:
        the_name_means("127.0.0.1", inside.port)
        allowed = sending(allowed=f"https://{NAME}/")
        said = send(MESSAGE, to=address(push_browser, f"https://{NAME}/push"), by=allowed)
        assert said == "failed"  # nobody there speaks TLS
        assert inside.came == 1


def drip(line: socket.socket) -> None:
    """Take the message and answer one letter at a time, each in time."""
    line.recv(65_536)
    for letter in b"HTTP/1.1 201 Created\r\nX-Drip: " + b"." * 100:
        line.sendall(bytes([letter]))
        time.sleep(0.05)
    line.sendall(b"\r\nContent-Length: 0\r\n\r\n")


def test_a_push_service_that_answers_by_drops_is_given_up(
    push_browser: PushBrowser, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("temperward.delivery.web_push.SEND_LIMIT_S", 0.5)
    with listening(lambda line: _quietly(drip, line)) as dripping:
        endpoint = f"http://127.0.0.1:{dripping.port}/push"
        by = sending(allowed="http://127.0.0.1:")
        assert send(MESSAGE, to=address(push_browser, endpoint), by=by) == "failed"


def flood(line: socket.socket) -> None:
    """Take the message, say so, and go on talking without an end in sight."""
    line.recv(65_536)
    line.sendall(b"HTTP/1.1 201 Created\r\nContent-Length: 100000000000\r\n\r\n")
    while True:
        line.sendall(b"x" * 65_536)


def test_what_a_push_service_says_beside_its_status_is_not_read(push_browser: PushBrowser) -> None:
    with listening(lambda line: _quietly(flood, line)) as talking:
        endpoint = f"http://127.0.0.1:{talking.port}/push"
        by = sending(allowed="http://127.0.0.1:")
        assert send(MESSAGE, to=address(push_browser, endpoint), by=by) == "taken"


def _quietly(speak: Any, line: socket.socket) -> None:
    try:
        speak(line)
    except OSError:  # the server has hung up
        return
