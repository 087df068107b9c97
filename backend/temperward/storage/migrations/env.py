"""What Alembic runs: the engine comes from storage/migrate.py."""

from __future__ import annotations

from alembic import context

from temperward.storage.models import Base

engine = context.config.attributes["engine"]
with engine.connect() as connection:
    # Batches: SQLite cannot change a column in place.
    context.configure(
        connection=connection, target_metadata=Base.metadata, render_as_batch=True, compare_type=True
    )
    with context.begin_transaction():
        context.run_migrations()
    connection.commit()
