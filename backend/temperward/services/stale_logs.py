"""Which logs have changed since their reminders were last worked out."""

from __future__ import annotations

from typing import Any

from sqlalchemy import Insert
from sqlalchemy.dialects import postgresql, sqlite
from sqlalchemy.orm import Session

from temperward.storage.models import Log
from temperward.storage.session import is_sqlite


def upsert(session: Session, table: Any) -> Any:
    """Return the INSERT that knows ON CONFLICT, in the database's own dialect."""
    return sqlite.insert(table) if is_sqlite(session) else postgresql.insert(table)


def mark_stale(session: Session, *, shop_id: str, logs: list[tuple[str, str]]) -> None:
    """Note in the same transaction that these logs' reminders must be worked out again.

    Folding here would make a phone wait for work that only the sender needs.
    """
    rows = [{"shop_id": shop_id, "log_id": log_id, "log_kind": kind, "stale": True} for log_id, kind in logs]
    insert: Insert = upsert(session, Log).on_conflict_do_update(
        index_elements=["shop_id", "log_id"], set_={"stale": True}
    )
    session.execute(insert, rows)
