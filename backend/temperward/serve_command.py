"""The `temperward` commands that run the server, in the open or behind the shop's own certificate."""

from __future__ import annotations

import datetime as dt
from pathlib import Path

import click

from temperward import serving
from temperward.instants import now_ms
from temperward.lan.addresses import Reach, present_reach
from temperward.lan.authority import fingerprint
from temperward.lan.keeping import LanFolder
from temperward.opened import data_option, keep_app_files, opened
from temperward.services import joining, server_facts
from temperward.services.secrets_made import spaced_code
from temperward.services.tidy import tidy
from temperward.settings import Settings
from temperward.storage.photo_store import FolderStore

PUSH_OFF = (
    "push off   locked phones get no reminder; set TEMPERWARD_PUSH_SUBJECT=mailto:you@your-forge.example"
)


@click.command()
@data_option
@click.option("--host", help="Address to listen on.  [default: 127.0.0.1, with --lan every address]")
@click.option("--port", default=8000, show_default=True)
@click.option("--workers", default=1, show_default=True)
@click.option("--threads", default=16, show_default=True)
@click.option("--sender/--no-sender", default=True, help="Also send reminders.", show_default=True)
@click.option("--lan", is_flag=True, help="https with a certificate of this shop's own; needs no domain.")
@click.option("--page-port", type=int, help="With --lan: the page for new phones.  [default: port + 1]")
def serve(  # noqa: PLR0917  (click gives each by name)
    data: str | None,
    host: str | None,
    port: int,
    workers: int,
    threads: int,
    sender: bool,  # noqa: FBT001
    lan: bool,  # noqa: FBT001
    page_port: int | None,
) -> None:
    """Serve the phone app and the API, and send reminders."""
    with opened(data) as (app, session):
        server_facts.epoch(session)
        settings: Settings = app.config["SETTINGS"]
        keep_app_files(settings)
        code = joining.claim_code_if_new(session)
        if isinstance(app.config["PHOTO_STORE"], FolderStore):  # a bucket may be long, or away
            tidy(session, store=app.config["PHOTO_STORE"], now_ms=now_ms())
    if code:
        click.echo(f"claim {spaced_code(code)}   (one use: the first phone types it and owns the shop)")
    if not settings.push_subject:
        click.echo(PUSH_OFF)
    environment = {"TEMPERWARD_DATA": str(settings.data_dir)}
    page_port = (page_port or port + 1) if lan else 0
    certfile, keyfile = _certified(settings.data_dir, port=port, page_port=page_port) if lan else ("", "")
    if lan:
        environment["TEMPERWARD_HSTS_S"] = "0"  # a name on this network may mean another machine tomorrow
    plan = serving.Plan(
        host=host or ("0.0.0.0" if lan else "127.0.0.1"),  # noqa: S104  (phones come from outside)
        port=port,
        workers=workers,
        threads=threads,
        senders=1 if sender else 0,
        certfile=certfile,
        keyfile=keyfile,
        page_port=page_port,
    )
    serving.become(plan, settings=environment)


def _certified(data_dir: Path, *, port: int, page_port: int) -> tuple[str, str]:
    """Make the certificates, say where phones go, and return the certificate's file and the key's."""
    lan, reach = LanFolder(data_dir), present_reach()
    lan.keep_current(reach=reach, now=dt.datetime.now(dt.UTC))
    click.echo("\n".join(_told(reach, port=port, page_port=page_port)))
    click.echo(f"sha256 {fingerprint(lan.authority_certificate())}   (of the certificate phones trust)")
    return str(lan.server_file), str(lan.server_key_file)


def _told(reach: Reach, *, port: int, page_port: int) -> list[str]:
    lines = [f"new phone  http://{reach.best}:{page_port}/   (open this first, once for each phone)"]
    lines += [f"https      https://{one}:{port}/" for one in (*reach.addresses, *reach.names)]
    if len(reach.addresses) == 1:
        lines.append("No address of a shop's network was found: only this machine reaches the server.")
    return lines


@click.command("lan-address")
@click.option("--port", default=8000, show_default=True)
def lan_address(port: int) -> None:
    """Print the https address at which phones find `serve --lan`."""
    click.echo(f"https://{present_reach().best}:{port}")
