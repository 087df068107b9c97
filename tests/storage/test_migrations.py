"""The migrations go up, come back, and end where the models are, on both databases."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from alembic import command
from alembic.autogenerate import compare_metadata
from alembic.migration import MigrationContext
from alembic.script import ScriptDirectory
from sqlalchemy import Engine, create_engine, inspect

from temperward.settings import Settings
from temperward.storage import migrate
from temperward.storage.models import Base
from temperward.storage.session import prepare_sqlite

pytestmark = pytest.mark.usefixtures("both_databases")


@pytest.fixture
def engine(settings: Settings) -> Iterator[Engine]:
    made = create_engine(settings.sqlalchemy_url)
    if made.dialect.name == "sqlite":
        prepare_sqlite(made)
    yield made
    made.dispose()


def tables(engine: Engine) -> set[str]:
    return set(inspect(engine).get_table_names()) - {"alembic_version"}


def test_up_makes_every_table_and_down_takes_every_one_away(engine: Engine) -> None:
    migrate.upgrade(engine)
    assert tables(engine) == set(Base.metadata.tables)
    migrate.downgrade(engine, to="base")
    assert tables(engine) == set()
    migrate.upgrade(engine)
    assert tables(engine) == set(Base.metadata.tables)


def test_each_step_goes_up_and_back_by_itself(engine: Engine) -> None:
    steps = ScriptDirectory.from_config(migrate.config(engine)).walk_revisions()
    for step in reversed(list(steps)):
        migrate.upgrade(engine, to=step.revision)
        migrate.downgrade(engine, to="-1")
        migrate.upgrade(engine, to=step.revision)
    assert tables(engine) == set(Base.metadata.tables)


def test_the_migrations_have_not_drifted_from_the_models(engine: Engine) -> None:
    migrate.upgrade(engine)
    with engine.connect() as connection:
        context = MigrationContext.configure(connection, opts={"compare_type": True})
        assert compare_metadata(context, Base.metadata) == []


def test_going_up_twice_changes_nothing(engine: Engine) -> None:
    migrate.upgrade(engine)
    migrate.upgrade(engine)
    command.check(migrate.config(engine))


def test_every_key_of_a_shops_table_begins_with_the_shop() -> None:
    of_shops = [
        table for name, table in Base.metadata.tables.items() if name not in ("server_facts", "wrong_tries")
    ]
    assert len(of_shops) == 9
    for table in of_shops:
        assert next(iter(table.primary_key.columns)).name == "shop_id"
        for key in table.foreign_keys:
            assert "shop_id" in [column.name for column in key.constraint.columns]
