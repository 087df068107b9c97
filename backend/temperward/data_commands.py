"""Commands that look after the data: backup and restore of all, export, import and erasing in one shop."""

from __future__ import annotations

import datetime as dt
from pathlib import Path
from typing import Any

import click

from temperward.instants import now_ms
from temperward.opened import data_option, opened, opened_there
from temperward.services import backup as backup_service
from temperward.services import devices, joining, transfer
from temperward.services import erase as erase_service
from temperward.services import restore as restore_service
from temperward.services import tidy as tidy_service
from temperward.services.erased import FREE_TEXT
from temperward.storage.session import db

FOLDER = click.Path(path_type=Path, file_okay=False)
FILE = click.Path(path_type=Path, dir_okay=False)
MOST_SHOWN = 20  # entries before the question, the rest are counted
LONGEST_SHOWN = 60


@click.command()
@data_option
@click.argument("folder", type=FOLDER)
@click.option("--without-missing-photos", is_flag=True, help="Also when photos are not where they should be.")
def backup(data: str | None, folder: Path, without_missing_photos: bool) -> None:  # noqa: FBT001
    """Copy everything into a new folder, and prove the copy."""
    with opened_there(data) as (app, _session):
        made = backup_service.make_backup(
            db.engine,
            store=app.config["PHOTO_STORE"],
            to=folder,
            now_ms=now_ms(),
            without_missing=without_missing_photos,
        )
    lines = [f"missing photo {name}" for name in made["missing"]]
    rows, photos = made["tables"]["entries"]["rows"], len(made["photos"])
    click.echo("\n".join([*lines, f"{folder}: {rows} entries, {photos} photo files; proved."]))


@click.command()
@data_option
@click.argument("folder", type=FOLDER)
@click.option("--replace", is_flag=True, help="Put it in the place of what is there.")
def restore(data: str | None, folder: Path, replace: bool) -> None:  # noqa: FBT001
    """Bring a backup back; phones then offer again all they hold."""
    with opened(data) as (app, session):
        store = app.config["PHOTO_STORE"]
        made = restore_service.restore(
            db.engine, store=store, folder=folder, replace=replace, now_ms=now_ms()
        )
        signed_in = devices.count_signed_in(session)
    rows, photos = made["tables"]["entries"]["rows"], len(made["photos"])
    click.echo(f"{folder}: {rows} entries, {photos} photo files are back; proved.")
    click.echo(f"{signed_in} devices are signed in as at that time: put out those that should not be.")


@click.command("export")
@data_option
@click.argument("file", type=FILE)
@click.option("--shop", "shop_id", help="Which shop, where there is more than one.")
def export_command(data: str | None, file: Path, shop_id: str | None) -> None:
    """Write one shop into one file."""
    with opened_there(data) as (app, session):
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


@click.command()
@data_option
@click.argument("what", type=click.Choice(["entry", "photo", "log"]))
@click.argument("name", metavar="ID")
@click.option("--shop", "shop_id", help="Which shop, where there is more than one.")
@click.option("--yes", is_flag=True, help="Do not ask.")
def erase(data: str | None, what: str, name: str, shop_id: str | None, yes: bool) -> None:  # noqa: FBT001
    """Erase an entry's words, a photo, or a whole log such as a customer's, for good.

    ID is the entry's or the log's own, or the photo's SHA-256. Who, when and the step stay.
    """
    with opened_there(data) as (app, session):
        shop = joining.only_shop(session, shop_id=shop_id)
        goes = erase_service.would_go(session, shop_id=shop, what=what, key=name)
        click.echo("\n".join(_told(goes)))
        session.rollback()  # nothing stays open while a person thinks
        if not yes:
            click.confirm("Erase this for good?", abort=True)
        wish = {"what": what, "id": name}
        store = app.config["PHOTO_STORE"]
        count = erase_service.erase(wish, session=session, store=store, shop_id=shop, now_ms=now_ms())
    click.echo(f"erased: {count} entries, {len(goes.photos)} photos. Backups made before still hold them.")


@click.command()
@data_option
def tidy(data: str | None) -> None:
    """Take away what was left behind: bytes of erased photos, uploads nobody went on with, half imports.

    `serve` does so when it starts, `backup.sh` each night.
    """
    with opened_there(data) as (app, session):
        done = tidy_service.tidy(session, store=app.config["PHOTO_STORE"], now_ms=now_ms())
    click.echo(f"{done.photos} erased photos, {done.unfinished} unfinished files, {done.shops} half shops.")


def _told(goes: erase_service.WouldGo) -> list[str]:
    """Return what would go, one line each."""
    lines = [_line(entry) for entry in goes.entries[:MOST_SHOWN]]
    if len(goes.entries) > MOST_SHOWN:
        lines.append(f"and {len(goes.entries) - MOST_SHOWN} entries more")
    lines += [f"photo {sha256}" for sha256 in goes.photos]
    return lines or ["nothing is left of it to erase"]


def _line(entry: dict[str, Any]) -> str:
    at = dt.datetime.fromtimestamp(entry["happened_ms"] / 1000, dt.UTC)
    words = [str(entry["body"][name]) for name in FREE_TEXT if entry["body"].get(name)]
    shown = " ".join(words).replace("\n", " ")[:LONGEST_SHOWN]
    return (
        f"{at:%Y-%m-%d %H:%M} UTC  {entry['log_kind']} {entry['kind']}  {entry['initials']}  {shown}".rstrip()
    )
