"""Which blades' logs have changed since their reminders were last worked out."""

from __future__ import annotations

from sqlalchemy import update
from sqlalchemy.orm import Session

from temperward.storage.models import Log
from temperward.storage.session import insert_rows

AT_ONCE_MS = 0
LOGS = Log.metadata.tables["logs"]
COLUMNS = ("shop_id", "log_id", "changes", "look_again_ms")
AGAIN = f"(shop_id, log_id) DO UPDATE SET changes = logs.changes + 1, look_again_ms = {AT_ONCE_MS}"


def mark_blades_stale(session: Session, *, shop_id: str) -> None:
    """Note that every blade with a clock must be looked at again: a bath or an oven has changed."""
    live = update(Log).where(Log.shop_id == shop_id, Log.look_again_ms.is_not(None))
    again = {"changes": Log.changes + 1, "look_again_ms": AT_ONCE_MS}
    session.execute(live.values(again), execution_options={"synchronize_session": False})


def mark_stale(session: Session, *, shop_id: str, log_ids: list[str]) -> None:
    """Note in the same transaction that these logs' reminders must be worked out again.

    Folding here would make a phone wait for work that only the sender needs.
    """
    if not log_ids:
        return
    rows = [(shop_id, log_id, 1, AT_ONCE_MS) for log_id in log_ids]
    insert_rows(session, LOGS, columns=COLUMNS, rows=rows, there=AGAIN)
