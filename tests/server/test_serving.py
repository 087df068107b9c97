"""The server as it really runs: gunicorn with threads, one sender, ended together."""

from __future__ import annotations

import datetime as dt
import http.client
import json
import os
import re
import signal
import socket
import ssl
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import ExitStack, closing, contextmanager
from pathlib import Path
from typing import Any

import psutil
import pytest
from common.logs import entry
from common.running_server import TEMPERWARD, RunningServer, free_port

from temperward.lan.addresses import present_reach
from temperward.lan.keeping import LanFolder
from temperward.serving import Plan

WAIT_S = 60
THREADS = 2  # of a server that is to be held up: each call cut off is closed for its own two seconds


@pytest.fixture
def server(tmp_path: Path) -> Iterator[RunningServer]:
    running = RunningServer(tmp_path).start()
    yield running
    running.stop()


def wait_for(question: Callable[[], Any]) -> Any:
    deadline = time.monotonic() + WAIT_S
    while time.monotonic() < deadline:
        answer = question()
        if answer:
            return answer
        time.sleep(0.1)
    raise AssertionError("it did not come about")


def call(
    server: RunningServer, method: str, path: str, body: Any, cookie: str = ""
) -> http.client.HTTPResponse:
    connection = http.client.HTTPConnection("127.0.0.1", server.port, timeout=WAIT_S)
    headers = {"Content-Type": "application/json", "Cookie": cookie, "Connection": "close"}
    connection.request(method, path, json.dumps(body), headers)
    return connection.getresponse()


def claim(server: RunningServer) -> str:
    """Claim the server with the code on its console; return the cookie."""
    said = (server.data / "server.log").read_text()
    code = re.search(r"^claim ([A-Z0-9]{4}-[A-Z0-9]{4})", said, re.MULTILINE)
    assert code is not None, said
    wish = {"code": code[1], "shop_name": "Quillfen", "zone": "Europe/Dublin", "device_name": "x"}
    answer = call(server, "POST", "/api/claim", wish)
    assert answer.status == 201
    return str(answer.headers["Set-Cookie"]).split(";")[0]


def processes(server: RunningServer) -> list[psutil.Process]:
    assert server.process is not None
    return psutil.Process(server.process.pid).children(recursive=True)


def senders(server: RunningServer) -> list[psutil.Process]:
    alive = [one for one in processes(server) if one.status() != psutil.STATUS_ZOMBIE]
    return [one for one in alive if "remind" in " ".join(one.cmdline())]


def test_the_first_phone_claims_the_server_with_the_code_on_its_console(server: RunningServer) -> None:
    cookie = claim(server)
    answer = call(server, "POST", "/api/sync", {"entries": [entry()]}, cookie)
    assert json.load(answer)["results"][0]["status"] == "stored"
    server.stop()
    server.start()
    assert (server.data / "server.log").read_text().count("\nclaim ") <= 1
    assert len(json.load(call(server, "POST", "/api/sync", {}, cookie))["rows"]) == 1


def test_ending_the_server_ends_all_of_it(server: RunningServer) -> None:
    wait_for(lambda: senders(server) and len(processes(server)) >= 3)  # gunicorn, its worker, one sender
    below = processes(server)
    server.stop()
    _gone, alive = psutil.wait_procs(below, timeout=WAIT_S)
    assert alive == []


def test_killing_the_server_outright_ends_all_of_it(server: RunningServer) -> None:
    wait_for(lambda: senders(server))
    below = processes(server)
    assert server.process is not None
    server.process.kill()
    _gone, alive = psutil.wait_procs(below, timeout=WAIT_S)
    assert alive == []


def test_a_sender_that_is_killed_is_started_again(server: RunningServer) -> None:
    [first] = wait_for(lambda: senders(server))
    first.kill()
    [second] = wait_for(lambda: [one for one in senders(server) if one.pid != first.pid])
    assert second.is_running()


def test_a_worker_that_is_killed_while_pushing_loses_and_doubles_nothing(server: RunningServer) -> None:
    cookie = claim(server)
    entries = [entry() for _ in range(400)]
    assert server.process is not None
    for start in range(0, 400, 40):
        batch = entries[start : start + 40]
        gunicorn = next(
            one for one in processes(server) if "gunicorn" in " ".join(one.cmdline()) and one.children()
        )
        os.kill(gunicorn.children()[0].pid, signal.SIGKILL)
        wait_for(lambda batch=batch: pushed(server, batch, cookie))
    rows = json.load(call(server, "POST", "/api/sync", {"want": 1000}, cookie))["rows"]
    assert sorted(row["id"] for row in rows) == sorted(one["id"] for one in entries)


def pushed(server: RunningServer, batch: list[dict[str, Any]], cookie: str) -> bool:
    try:
        answer = json.load(call(server, "POST", "/api/sync", {"entries": batch, "since": 10**9}, cookie))
    except (OSError, http.client.HTTPException):
        return False
    return {one["status"] for one in answer["results"]} <= {"stored", "had"}


def test_text_is_pushed_while_two_photos_crawl(server: RunningServer) -> None:
    cookie = claim(server)
    crawling = []
    for name in ("ab", "cd"):
        connection = http.client.HTTPConnection("127.0.0.1", server.port, timeout=WAIT_S)
        connection.putrequest("PUT", f"/api/photos/{name * 32}")
        for header, value in {
            "Upload-Offset": "0",
            "Upload-Length": "500000",
            "Content-Length": "200000",
            "Cookie": cookie,
        }.items():
            connection.putheader(header, value)
        connection.endheaders()
        connection.send(b"x" * 50_000)
        crawling.append(connection)
    for _ in range(20):
        assert pushed(server, [entry()], cookie)
    for connection in crawling:
        connection.send(b"x" * 150_000)
        answer = connection.getresponse()
        assert (answer.status, json.load(answer)["offset"]) == (200, 200_000)
        connection.close()


def test_a_port_that_is_taken_ends_the_server_with_an_error(server: RunningServer, tmp_path: Path) -> None:
    words = [str(TEMPERWARD), "serve", "--data", str(tmp_path / "other"), "--port", str(server.port)]
    done = subprocess.run(words, capture_output=True, text=True, check=False, timeout=60)
    assert done.returncode != 0
    assert "in use" in done.stderr


HALF = {
    "in the first line": b"POST /api/sy",
    "among the headers": b"GET /healthz HTTP/1.1\r\nHost: x\r\n",
    "in the body": b"POST /api/join HTTP/1.1\r\nHost: x\r\nContent-Type: application/json\r\n"
    b"Content-Length: 1000\r\n\r\n{",
}
CUT_OFF = [
    pytest.param(said, tls, id=f"{where}{', https' * tls}") for where, said in HALF.items() for tls in (0, 1)
]
CUT_OFF.append(pytest.param(b"", 1, id="in the handshake, https"))


@pytest.mark.parametrize(("said", "tls"), CUT_OFF)
def test_phones_cut_off_in_mid_call_do_not_hold_the_server(tmp_path: Path, said: bytes, tls: int) -> None:
    """More of them than there are threads: each thread comes free again once its phone has been silent."""
    with soon_impatient(tmp_path, tls=tls) as (port, trusted), ExitStack() as open_ones:
        for _ in range(THREADS + 1):
            open_ones.enter_context(half_a_call(port, said, trusted))
        assert wait_for(lambda: is_up(port, trusted))


# Runs the server, and lets it wait ten minutes for whom it hung up on to hang up too (RFC 9112, section 9.6).
LINGERS = """
import json, sys
import gunicorn.util
from temperward.serving import Plan, run
close = gunicorn.util.close_graceful
gunicorn.util.close_graceful = lambda line: close(line, timeout=600)
sys.exit(run(Plan(**json.loads(sys.argv[1]))))
"""


@pytest.mark.parametrize("tls", [0, 1], ids=["http", "https"])
def test_waiting_for_one_phone_to_hang_up_keeps_nobody_else_waiting(tmp_path: Path, tls: int) -> None:
    """Nor does gunicorn take the process that serves for one that hangs, and put another in its place."""
    with (
        soon_impatient(tmp_path, tls=tls, runs=LINGERS) as (port, trusted),
        half_a_call(port, HALF["in the first line"], trusted) as silent,
    ):
        serving = below()
        while silent.recv(4096):  # until the server has hung up; the phone does not know that it should
            pass
        assert wait_for(lambda: is_up(port, trusted))
        assert below() == serving


def below() -> set[int]:
    """Return the processes of the server that this test has started."""
    return {one.pid for one in psutil.Process().children(recursive=True)}


@contextmanager
def soon_impatient(data: Path, *, tls: int, runs: str = "") -> Iterator[tuple[int, ssl.SSLContext | None]]:
    """Run a server that listens to nobody who is silent for a second; give its port and whom phones trust."""
    lan = LanFolder(data)
    lan.keep_current(reach=present_reach(), now=dt.datetime.now(dt.UTC))
    files = {"certfile": str(lan.server_file), "keyfile": str(lan.server_key_file)} if tls else {}
    trusted = ssl.create_default_context(cafile=str(lan.authority_file)) if tls else None
    plan = Plan(
        host="127.0.0.1", port=free_port(), workers=1, threads=THREADS, senders=0, silence_s=1, **files
    )
    environment = {**os.environ, "TEMPERWARD_DATA": str(data)}
    subprocess.run([str(TEMPERWARD), "migrate"], env=environment, check=True, stdout=subprocess.DEVNULL)
    words = [sys.executable, "-c", runs, plan.as_words()[-1]] if runs else plan.as_words()
    process = subprocess.Popen(words, env=environment, stderr=subprocess.DEVNULL)
    try:
        wait_for(lambda: is_up(plan.port, trusted))
        yield plan.port, trusted
    finally:
        process.terminate()
        process.wait(WAIT_S)


def half_a_call(port: int, said: bytes, trusted: ssl.SSLContext | None) -> socket.socket:
    """Begin a call and fall silent; with nothing to say, fall silent in the middle of the handshake."""
    one = socket.create_connection(("127.0.0.1", port), timeout=WAIT_S)
    if trusted is not None and not said:
        one.sendall(b"\x16\x03\x01")  # the first bytes of a greeting
        return one
    if trusted is not None:
        one = trusted.wrap_socket(one, server_hostname="127.0.0.1")
    one.sendall(said)
    return one


def is_up(port: int, trusted: ssl.SSLContext | None) -> bool:
    plain, safe = http.client.HTTPConnection, http.client.HTTPSConnection
    there = (
        safe("127.0.0.1", port, timeout=5, context=trusted)
        if trusted
        else plain("127.0.0.1", port, timeout=5)
    )
    try:
        with closing(there) as connection:
            connection.request("GET", "/healthz")
            return connection.getresponse().status == 200
    except OSError:
        return False


NOT_SERVING = ("alembic", "pywebpush", "boto3", "numpy")  # 9 to 30 MB each, in every process


def test_what_only_some_commands_need_is_not_loaded_to_serve() -> None:
    script = (
        "import importlib, sys; from temperward import app, serving; "
        "[importlib.import_module(one) for one in serving.LOADED]; "
        f"print([one for one in {NOT_SERVING} if one in sys.modules])"
    )
    done = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"
