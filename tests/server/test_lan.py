"""https on a shop's own network: who trusts the authority gets in, nobody else; the certificate keeps up."""

from __future__ import annotations

import datetime as dt
import http.client
import socket
import ssl
import stat
import subprocess
import time
from collections.abc import Iterator
from contextlib import closing
from dataclasses import dataclass
from email.message import Message
from pathlib import Path

import pytest
from common.running_server import TEMPERWARD, free_port
from cryptography import x509
from cryptography.exceptions import InvalidSignature
from cryptography.hazmat.primitives.serialization import Encoding, load_pem_private_key

from temperward.lan.addresses import Reach, is_private, present_reach, reach_of
from temperward.lan.authority import Authority, covered, sign_server
from temperward.lan.keeping import LanFolder
from temperward.lan.page import create_page, look_once

NOW = dt.datetime.now(dt.UTC)
HOME = reach_of(addresses=["192.168.1.20", "8.8.8.8", "169.254.3.3"], host_name="Anvil.lan")
WAIT_S = 60


@dataclass
class LanServer:
    port: int
    page_port: int
    data: Path
    said: Path


@pytest.fixture(scope="module")
def server(tmp_path_factory: pytest.TempPathFactory) -> Iterator[LanServer]:
    data = tmp_path_factory.mktemp("lan")
    found = LanServer(free_port(), free_port(), data, data / "said")
    words = [TEMPERWARD, "serve", "--lan", "--data", data, "--port", str(found.port), "--workers", "1"]
    with found.said.open("wb") as said:
        process = subprocess.Popen(
            [*words, "--page-port", str(found.page_port), "--no-sender"],
            stdout=said,
            stderr=subprocess.STDOUT,
        )
    wait_for_page(found, process)
    yield found
    process.terminate()
    process.wait(30)


def wait_for_page(server: LanServer, process: subprocess.Popen[bytes]) -> None:
    deadline = time.monotonic() + WAIT_S
    while time.monotonic() < deadline:
        assert process.poll() is None, server.said.read_text()
        try:
            assert page(server, "/healthz").status == 200
            get(server, trusting(server), "/healthz")
        except OSError:
            time.sleep(0.1)
        else:
            return
    raise AssertionError(server.said.read_text())


@dataclass
class Answer:
    status: int
    headers: Message
    content: bytes

    @property
    def text(self) -> str:
        return self.content.decode()


def page(server: LanServer, path: str) -> Answer:
    return ask(http.client.HTTPConnection("127.0.0.1", server.page_port, timeout=10), path)


def ask(connection: http.client.HTTPConnection, path: str) -> Answer:
    with closing(connection):
        connection.request("GET", path, headers={"Connection": "close"})
        with connection.getresponse() as answer:
            return Answer(answer.status, answer.headers, answer.read())


def trusting(server: LanServer) -> ssl.SSLContext:
    """A phone that has fetched the certificate from the page and trusts it, and nothing else."""
    return ssl.create_default_context(cadata=page(server, "/temperward.crt").content)


def get(server: LanServer, context: ssl.SSLContext, path: str, host: str = "127.0.0.1") -> Answer:
    return ask(http.client.HTTPSConnection(host, server.port, timeout=10, context=context), path)


def test_a_phone_that_trusts_the_certificate_gets_in_by_address_and_by_name(server: LanServer) -> None:
    context = trusting(server)
    context.verify_flags |= ssl.VERIFY_X509_STRICT
    for host in ("127.0.0.1", "localhost"):
        answer = get(server, context, "/healthz", host)
        assert answer.status == 200
        assert answer.headers["Strict-Transport-Security"] is None


def test_a_phone_that_does_not_is_refused(server: LanServer) -> None:
    with pytest.raises(ssl.SSLCertVerificationError):
        get(server, ssl.create_default_context(), "/healthz")


def test_plain_http_is_not_answered_on_the_https_port(server: LanServer) -> None:
    with pytest.raises((http.client.HTTPException, OSError)):
        ask(http.client.HTTPConnection("127.0.0.1", server.port, timeout=10), "/healthz")


def test_the_page_hands_out_the_certificate_and_the_way_without_a_script_or_a_code(server: LanServer) -> None:
    answer = page(server, "/")
    text = answer.text
    policy = answer.headers["Content-Security-Policy"]
    assert "'unsafe-inline'" not in policy
    assert "<script" not in text
    assert " style=" not in text
    assert f"https://{present_reach().best}:{server.port}/" in text
    assert text.count("<svg") == 2
    assert "#/join" not in text
    handed = page(server, "/temperward.crt")
    assert handed.headers["Content-Type"] == "application/x-x509-ca-cert"
    certificate = x509.load_der_x509_certificate(handed.content)
    assert certificate.extensions.get_extension_for_class(x509.BasicConstraints).value.ca
    assert page(server, "/lan.css").headers["Content-Type"].startswith("text/css")
    assert page(server, "/lan/authority.pem").status == 404


def test_the_console_says_where_phones_go_and_which_fingerprint_to_expect(server: LanServer) -> None:
    said = server.said.read_text()
    assert f"new phone  http://{present_reach().best}:{server.page_port}/" in said
    mark = said.split("sha256 ")[1].split()[0]
    assert mark in page(server, "/").text
    assert "push off" in said
    assert "claim " in said


def test_a_renewed_certificate_is_shown_at_the_next_connection(server: LanServer) -> None:
    lan = LanFolder(server.data)
    context = trusting(server)
    before = shown(server, context)
    wider = Reach(addresses=(*present_reach().addresses, "10.9.8.7"), names=present_reach().names)
    look_once(lan, reach=wider)
    after = shown(server, context)
    assert before != after
    assert "10.9.8.7" in covered(x509.load_der_x509_certificate(after))


def shown(server: LanServer, context: ssl.SSLContext) -> bytes:
    with (
        socket.create_connection(("127.0.0.1", server.port), timeout=10) as plain,
        context.wrap_socket(plain, server_hostname="127.0.0.1") as wrapped,
    ):
        return wrapped.getpeercert(binary_form=True) or b""


def test_the_keys_are_for_this_user_alone(tmp_path: Path) -> None:
    lan = made(tmp_path)
    assert stat.S_IMODE(lan.folder.stat().st_mode) == 0o700
    for file in (lan.authority_file, lan.server_key_file):
        assert stat.S_IMODE(file.stat().st_mode) == 0o600
    assert b"PRIVATE" not in lan.server_file.read_bytes()


def made(data: Path, *, reach: Reach = HOME, now: dt.datetime = NOW) -> LanFolder:
    lan = LanFolder(data)
    lan.keep_current(reach=reach, now=now)
    return lan


def test_the_certificate_names_what_is_private_and_lives_no_longer_than_phones_allow(tmp_path: Path) -> None:
    found = made(tmp_path).server()
    expected = {"192.168.1.20", "169.254.3.3", "127.0.0.1", "localhost", "anvil.local", "anvil.lan"}
    assert covered(found) == expected
    assert found.not_valid_after_utc - found.not_valid_before_utc <= dt.timedelta(days=397)
    assert HOME.best == "192.168.1.20"
    assert not is_private("8.8.8.8")
    assert not is_private("fd00::2")


@pytest.mark.parametrize(
    ("reach", "days", "renewed"),
    [
        (HOME, 0, False),
        (HOME, 300, False),
        (HOME, 340, True),
        (HOME, -10, True),  # the clock was wrong when it was made
        (reach_of(addresses=["192.168.1.20"], host_name="anvil"), 1, False),  # fewer than it names
        (reach_of(addresses=["192.168.1.21"], host_name="anvil"), 1, True),
        (reach_of(addresses=["192.168.1.20"], host_name="vice"), 1, True),
    ],
)
def test_it_is_renewed_when_addresses_or_age_ask_for_it(
    tmp_path: Path,
    reach: Reach,
    days: int,
    renewed: bool,  # noqa: FBT001
) -> None:
    lan = made(tmp_path)
    authority, key = lan.authority_file.read_bytes(), lan.server_key_file.read_bytes()
    later = NOW + dt.timedelta(days=days)
    assert lan.keep_current(reach=reach, now=later) == renewed
    assert reach.all <= covered(lan.server())
    assert lan.server().not_valid_before_utc <= later
    assert (lan.authority_file.read_bytes(), lan.server_key_file.read_bytes()) == (authority, key)


def test_a_lost_key_or_another_authority_is_noticed(tmp_path: Path) -> None:
    lan = made(tmp_path)
    lan.server_key_file.unlink()
    assert lan.keep_current(reach=HOME, now=NOW)
    old = lan.authority_certificate()
    lan.authority_file.unlink()
    assert lan.keep_current(reach=HOME, now=NOW)
    lan.server().verify_directly_issued_by(lan.authority_certificate())
    with pytest.raises((ValueError, InvalidSignature)):
        lan.server().verify_directly_issued_by(old)


def test_its_key_cannot_vouch_for_a_site_on_the_internet(tmp_path: Path) -> None:
    """Whoever stole the key and signed a bank's name would still be refused by every phone."""
    lan = made(tmp_path)
    authority = Authority(
        certificate=lan.authority_certificate(),
        key=load_pem_private_key(lan.authority_file.read_bytes(), password=None),  # type: ignore[arg-type]
    )
    for name, taken in (("bank.example", False), ("anvil.local", True)):
        key = load_pem_private_key(lan.server_key_file.read_bytes(), password=None)
        forged = sign_server(
            authority,
            key=key.public_key(),  # type: ignore[arg-type]
            reach=Reach(addresses=("192.168.1.20",), names=(name,)),
            now=NOW,
        )
        assert handshake(tmp_path, forged, lan, name=name) == taken


def handshake(folder: Path, certificate: x509.Certificate, lan: LanFolder, *, name: str) -> bool:
    """Tell whether a client that trusts the authority takes this certificate for this name."""
    file = folder / "forged.pem"
    file.write_bytes(certificate.public_bytes(Encoding.PEM))
    serving = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    serving.load_cert_chain(file, lan.server_key_file)
    asking = ssl.create_default_context(cadata=lan.authority_certificate().public_bytes(Encoding.DER))
    to_server, to_client = ssl.MemoryBIO(), ssl.MemoryBIO()
    server = serving.wrap_bio(to_server, to_client, server_side=True)
    client = asking.wrap_bio(to_client, to_server, server_hostname=name)
    for _ in range(4):
        for side in (client, server):
            try:
                side.do_handshake()
            except ssl.SSLWantReadError:
                continue
            except ssl.SSLCertVerificationError as error:
                assert "permitted subtree" in str(error)  # noqa: PT017  (the reason is the point)
                return False
    return client.version() is not None


def test_the_link_follows_the_name_a_phone_came_by_but_never_a_foreign_one(tmp_path: Path) -> None:
    by_name = page_as(tmp_path, came_by="anvil.local:8001")
    foreign = page_as(tmp_path, came_by="evil.example:8001")
    assert "https://anvil.local:8000/" in by_name
    assert "evil.example" not in foreign
    assert f"https://{present_reach().best}:8000/" in foreign


@pytest.mark.parametrize("came_by", ["127.0.0.1:8001", "localhost:8001", "localhost"])
def test_the_shops_own_computer_is_shown_an_address_that_a_phone_can_use(
    tmp_path: Path, came_by: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """start.py opens the page on the computer itself; the picture on it is for the phone."""
    monkeypatch.setattr("temperward.lan.page.present_reach", lambda: HOME)
    text = page_as(tmp_path, came_by=came_by)
    assert "https://192.168.1.20:8000/" in text
    assert "http://192.168.1.20:8001/" in text
    assert "127.0.0.1" not in text
    assert "localhost" not in text


def test_the_page_names_the_certificate_as_the_phone_will_list_it(tmp_path: Path) -> None:
    subject = made(tmp_path).authority_certificate().subject.rfc4514_string()
    assert subject.removeprefix("CN=") in page_as(tmp_path, came_by="anvil.local:8001")


def page_as(data: Path, *, came_by: str) -> str:
    client = create_page(made(data), https_port=8000, page_port=8001).test_client()
    return client.get("/", headers={"Host": came_by}).text
