"""The `temperward` command: run the server, ask the engine, look after the data."""

from __future__ import annotations

import importlib
import json
import os
import sys
from pathlib import Path
from typing import Any

import click

from temperward import sending
from temperward.app import create_app
from temperward.data_commands import backup, erase, export_command, import_command, restore, tidy
from temperward.errors import TemperwardError
from temperward.instants import now_ms
from temperward.opened import data_option, keep_app_files, opened, opened_there
from temperward.serve_command import lan_address, serve
from temperward.services import asking, joining
from temperward.services import demo as demo_service
from temperward.services.secrets_made import spaced_code
from temperward.settings import read_settings, settings_table

REFUSED = 2  # exit code of a question the engine refuses


@click.group()
@click.version_option(package_name="temperward")
def commands() -> None:
    """Temperward: the server and the engine's questions."""


@commands.command()
@data_option
@click.option("--once", is_flag=True, help="One round, then end.")
def remind(data: str | None, once: bool) -> None:  # noqa: FBT001
    """Send reminders that are due; any number of these may run."""
    app = sending.sender_app(data)
    if once:
        sending.send_once(app)
    else:
        sending.send_forever(app)


@commands.command()
@data_option
def migrate(data: str | None) -> None:
    """Bring the database to this release's shape; `serve` does so by itself."""
    with opened(data) as (app, _session):
        keep_app_files(app.config["SETTINGS"])
        click.echo("The database is up to date.")


@commands.command("claim-code")
@data_option
def claim_code(data: str | None) -> None:
    """Print a one-time code with which a phone makes a new shop here."""
    with opened_there(data) as (_app, session):
        click.echo(f"claim {spaced_code(joining.make_claim_code(session))}")


@commands.command("join-code")
@data_option
@click.option("--shop", "shop_id", help="Which shop, where there is more than one.")
@click.option("--role", type=click.Choice(["owner", "smith", "viewer"]), default="smith", show_default=True)
@click.option("--base-url", default="http://127.0.0.1:8000", show_default=True)
@click.option("--qr", is_flag=True, help="Also draw it for a phone's camera.")
def join_code(data: str | None, shop_id: str | None, role: str, base_url: str, qr: bool) -> None:  # noqa: FBT001
    """Print a link that lets one more device into a shop."""
    with opened_there(data) as (_app, session):
        shop = joining.only_shop(session, shop_id=shop_id)
        made = joining.make_join_code(session, shop_id=shop, role=role, now_ms=now_ms())
    link = f"{base_url}/#/join/{made.code}"
    if qr:
        import segno  # noqa: PLC0415  (only for the picture)

        segno.make(link, micro=False).terminal(compact=True)
    click.echo(f"join {link}")


@commands.command()
@data_option
@click.option("--fresh", is_flag=True, help="Make a new demo shop beside the one that is there.")
@click.option("--base-url", default="http://127.0.0.1:8000", show_default=True)
@click.option("--json", "as_json", is_flag=True, help="Print one JSON line instead.")
def demo(data: str | None, fresh: bool, base_url: str, as_json: bool) -> None:  # noqa: FBT001
    """Load the demo shop unless it is there, and print a link that joins it."""
    with opened(data) as (app, session):
        shop_id = None if fresh else demo_service.demo_shop_id(session)
        said = "The demo shop is already there; nothing was changed."
        if shop_id is None:
            shop = _seed().demo_shop(now_ms=now_ms(), seed=os.urandom(16) if fresh else b"quillfen")
            loaded = demo_service.load_shop(
                session,
                store=app.config["PHOTO_STORE"],
                shop=shop,
                origin=demo_service.ORIGIN,
                now_ms=now_ms(),
            )
            shop_id, said = loaded.shop_id, f"{shop.name}: {loaded.entries} entries, {loaded.photos} photos."
        made = joining.make_join_code(session, shop_id=shop_id, role="owner", now_ms=now_ms())
    link = f"{base_url}/#/join/{made.code}"
    if as_json:
        click.echo(json.dumps({"shop_id": shop_id, "code": made.code, "link": link, "said": said}))
    else:
        click.echo(f"{said}\njoin {link}")


def _seed() -> Any:
    """Return the seed data: installed beside us, or in the checkout we run from."""
    try:
        return importlib.import_module("seed_data.quillfen")
    except ModuleNotFoundError:
        sys.path.insert(0, str(Path(__file__).parents[2]))
        return importlib.import_module("seed_data.quillfen")


@commands.command()
@click.argument("question")
def ask(question: str) -> None:
    """Answer one of the engine's questions; its facts come as JSON on standard input."""
    facts = json.load(sys.stdin) if not sys.stdin.isatty() else {}
    answer = asking.ask(question, facts)
    click.echo(json.dumps(answer, indent=2))
    if "error" in answer:
        sys.exit(REFUSED)


@commands.command()
def openapi() -> None:
    """Print the OpenAPI document."""
    app = create_app(read_settings())
    click.echo(json.dumps(app.config["OPENAPI"].spec.to_dict(), indent=2))


@commands.command()
def settings() -> None:
    """Print the table of settings, in Markdown."""
    click.echo(settings_table())


for _command in (backup, erase, export_command, import_command, lan_address, restore, serve, tidy):
    commands.add_command(_command)


def main() -> None:
    """Run the command and tell an error of ours in one line."""
    try:
        commands()
    except TemperwardError as error:
        click.echo(f"temperward: {error}", err=True)
        sys.exit(1)


if __name__ == "__main__":
    main()
