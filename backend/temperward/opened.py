"""What every command begins with: the app over a database that is up to date."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Any, TypeVar

import click
from flask import Flask
from sqlalchemy.orm import Session

from temperward.app import create_app
from temperward.services.devices import open_session
from temperward.services.old_assets import keep_assets
from temperward.settings import Settings, read_settings
from temperward.storage import migrate
from temperward.storage.session import db

F = TypeVar("F", bound=Callable[..., Any])


@contextmanager
def opened(data: str | None) -> Iterator[tuple[Flask, Session]]:
    """Open the app over a migrated database."""
    app = create_app(read_settings(data=data))
    with app.app_context():
        migrate.upgrade(db.engine)
        yield app, open_session()


@contextmanager
def opened_there(data: str | None) -> Iterator[tuple[Flask, Session]]:
    """Open the app over a database that is there already; the database's shape is not touched.

    A command that looks at what a shop has must not make an empty one where a setting is wrong.
    """
    app = create_app(read_settings(data=data))
    with app.app_context():
        migrate.check_there(db.engine)
        yield app, open_session()


def keep_app_files(settings: Settings) -> None:
    """Put the app's files aside for when the next release is here; without room for them all else goes on."""
    try:
        keep_assets(app_dir=settings.app_dir, kept=settings.kept_dir)
    except OSError as error:
        click.echo(f"The app's files could not be put aside for pages of this release: {error}", err=True)


def data_option(command: F) -> F:
    """Give a command the option that names the data folder."""
    return click.option("--data", help="Folder of database and photos.")(command)
