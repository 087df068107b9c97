"""The commands that look after the data: backup and restore of everything, export and import of one shop."""

from __future__ import annotations

from pathlib import Path

import click

from temperward.instants import now_ms
from temperward.opened import data_option, opened
from temperward.services import backup as backup_service
from temperward.services import joining, transfer
from temperward.services import restore as restore_service
from temperward.storage.session import db

FOLDER = click.Path(path_type=Path, file_okay=False)
FILE = click.Path(path_type=Path, dir_okay=False)


@click.command()
@data_option
@click.argument("folder", type=FOLDER)
def backup(data: str | None, folder: Path) -> None:
    """Copy everything into a new folder, and prove the copy."""
    with opened(data) as (app, _session):
        made = backup_service.make_backup(
            db.engine, store=app.config["PHOTO_STORE"], to=folder, now_ms=now_ms()
        )
    click.echo(
        f"{folder}: {made['tables']['entries']['rows']} entries, {len(made['photos'])} photo files; proved."
    )


@click.command()
@data_option
@click.argument("folder", type=FOLDER)
@click.option("--replace", is_flag=True, help="Put it in the place of what is there.")
def restore(data: str | None, folder: Path, replace: bool) -> None:  # noqa: FBT001
    """Bring a backup back; phones then offer again all they hold."""
    with opened(data) as (app, _session):
        store = app.config["PHOTO_STORE"]
        made = restore_service.restore(
            db.engine, store=store, folder=folder, replace=replace, now_ms=now_ms()
        )
    rows, photos = made["tables"]["entries"]["rows"], len(made["photos"])
    click.echo(f"{folder}: {rows} entries, {photos} photo files are back; proved.")


@click.command("export")
@data_option
@click.argument("file", type=FILE)
@click.option("--shop", "shop_id", help="Which shop, where there is more than one.")
def export_command(data: str | None, file: Path, shop_id: str | None) -> None:
    """Write one shop into one file."""
    with opened(data) as (app, session):
        shop = joining.only_shop(session, shop_id=shop_id)
        found = transfer.export_shop(session, store=app.config["PHOTO_STORE"], shop_id=shop, to=file)
    click.echo(f"{file}: state hash {found}")


@click.command("import")
@data_option
@click.argument("file", type=FILE)
@click.option("--base-url", default="http://127.0.0.1:8000", show_default=True)
def import_command(data: str | None, file: Path, base_url: str) -> None:
    """Make a new shop from a file, and print a link that joins it as its owner."""
    with opened(data) as (app, session):
        loaded = transfer.import_shop(session, store=app.config["PHOTO_STORE"], file=file, now_ms=now_ms())
        made = joining.make_join_code(session, shop_id=loaded.shop_id, role="owner", now_ms=now_ms())
    click.echo(f"{loaded.entries} entries, {loaded.photos} photos; the state hash is the same.")
    click.echo(f"join {base_url}/#/join/{made.code}")
