#!/usr/bin/env python3
"""Start Temperward from a fresh clone: environment, phone app, demo shop on request, server.

    python3 deploy/start.py --demo [--lan] [--host ADDRESS] [--port 8000] [--data DIR] [--fresh] [--no-open]

Needs Linux or macOS, Python 3.11 or newer and, the first time, a network.
"""

from __future__ import annotations

import sys

if sys.version_info < (3, 11):
    sys.exit(
        "Temperward needs Python 3.11 or newer; this is %d.%d. Start it with a newer one, for example: "
        "python3.11 deploy/start.py --demo" % sys.version_info[:2]
    )

if sys.platform == "win32":
    sys.exit(
        "The server runs on Linux and macOS. On Windows start it in the Windows Subsystem for Linux: "
        "python3 deploy/start.py --demo"
    )

import argparse
import json
import os
import signal
import socket
import subprocess
import time
import urllib.error
import urllib.request
import webbrowser
from pathlib import Path

import machine

START_LIMIT_S = 60
THIS_MACHINE = "127.0.0.1"
EVERY_ADDRESS = "0.0.0.0"  # noqa: S104 - phones come from outside


def arguments() -> argparse.Namespace:
    """Read the command line."""
    parser = argparse.ArgumentParser(description="Start Temperward.")
    parser.add_argument(
        "--demo", action="store_true", help="load the invented demo shop and print a link that joins it"
    )
    parser.add_argument(
        "--fresh", action="store_true", help="with --demo: make a new demo shop even if there is one"
    )
    parser.add_argument(
        "--host", help="address to listen on (default: this machine only; with --lan: every address)"
    )
    parser.add_argument(
        "--lan", action="store_true", help="https for phones on the shop's network, without a domain"
    )
    parser.add_argument(
        "--port",
        type=int,
        default=8000,
        help="port to listen on (default 8000); --lan takes the next one too",
    )
    parser.add_argument(
        "--data", type=Path, default=machine.ROOT / "data", help="folder of database and photos"
    )
    parser.add_argument("--no-open", action="store_true", help="do not open a browser window")
    options = parser.parse_args()
    options.host = options.host or (EVERY_ADDRESS if options.lan else THIS_MACHINE)
    return options


def ports_of(options: argparse.Namespace) -> list[tuple[str, int]]:
    """Return what will be listened on: the server, and with --lan the page for new phones beside it."""
    page = [(EVERY_ADDRESS, options.port + 1)] if options.lan else []
    return [(options.host, options.port), *page]


def require_free_port(host: str, port: int) -> None:
    """Stop with the way out when another program has the port, or the address is not this machine's."""
    with socket.socket(socket.AF_INET, socket.SOCK_STREAM) as trial:
        trial.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            trial.bind((host, port))
        except OSError as error:
            raise machine.Trouble(
                f"Port {port} on {host} cannot be used ({error.strerror}). "
                f"Choose another with --port, for example --port {port + 10}."
            ) from error


def load_demo(options: argparse.Namespace, base_url: str) -> str:
    """Load the demo shop unless it is there; return the link that joins it."""
    words = [machine.program("temperward"), "demo", "--data", str(options.data), "--base-url", base_url]
    if options.fresh:
        words.append("--fresh")
    answer = subprocess.run(words, env=machine.environment(), capture_output=True, text=True, check=False)
    lines = answer.stdout.splitlines()
    links = [line.removeprefix("join ") for line in lines if line.startswith("join ")]
    for line in lines:
        if not line.startswith("join "):
            machine.say(f"    {line}")
    if answer.returncode or not links:
        raise machine.Trouble(f"The demo shop could not be loaded:\n{answer.stderr.strip()}")
    return links[-1]


def wait_until_up(server: subprocess.Popen[bytes], base_url: str) -> None:
    """Return once /healthz answers; stop with the reason when the server ends or stays silent."""
    deadline = time.monotonic() + START_LIMIT_S
    while time.monotonic() < deadline:
        if server.poll() is not None:
            raise machine.Trouble(
                f"The server ended at once (exit code {server.returncode}); its words stand above."
            )
        try:
            with urllib.request.urlopen(f"{base_url}/healthz", timeout=2) as answer:  # noqa: S310 - our own http
                json.load(answer)
                return
        except (urllib.error.URLError, OSError):
            time.sleep(0.2)
    server.terminate()
    raise machine.Trouble(f"The server did not answer on {base_url}/healthz within {START_LIMIT_S} s.")


def prepare(options: argparse.Namespace) -> None:
    """Everything that is needed before the server can start; quick when it is already there."""
    machine.say("Temperward")
    for host, port in ports_of(options):
        require_free_port(host, port)
    machine.ensure_environment(extra="build")
    machine.ensure_phone_app()
    options.data.mkdir(parents=True, exist_ok=True)


def lan_address(port: int) -> str:
    """Return the https address at which phones on the shop's network find the server."""
    words = [machine.program("temperward"), "lan-address", "--port", str(port)]
    return subprocess.run(words, capture_output=True, text=True, check=True).stdout.strip()


def serve(options: argparse.Namespace) -> int:
    """Run the server until it ends or Ctrl-C; print the link once it answers."""
    here = THIS_MACHINE if options.host == EVERY_ADDRESS else options.host
    base_url = f"http://{here}:{options.port}"
    words = [machine.program("temperward"), "serve", "--data", str(options.data)]
    words += ["--host", options.host, "--port", str(options.port), *(["--lan"] if options.lan else [])]
    shown = lan_address(options.port) if options.lan else base_url
    if options.lan:
        base_url = f"http://127.0.0.1:{options.port + 1}"  # the page for new phones; it answers /healthz too
    link = load_demo(options, shown) if options.demo else shown
    server = subprocess.Popen(words, env=machine.environment())
    signal.signal(signal.SIGTERM, lambda *_: server.terminate())
    try:
        wait_until_up(server, base_url)
        machine.say(f"\nTemperward is up: {shown}   (Ctrl-C stops it)")
        if options.demo:
            machine.say(f"Join the demo shop (once, within 10 minutes): {link}")
        if not options.no_open and (os.environ.get("DISPLAY") or sys.platform == "darwin"):
            webbrowser.open(base_url if options.lan else link)
        return server.wait()
    except KeyboardInterrupt:
        server.send_signal(signal.SIGTERM)
        server.wait(timeout=20)
        machine.say("\nStopped.")
        return 0


def main() -> int:
    """Prepare and serve."""
    with machine.told_plainly():
        options = arguments()
        prepare(options)
        return serve(options)


if __name__ == "__main__":
    sys.exit(main())
