"""Is the server up, and totals over all shops."""

from __future__ import annotations

from importlib import metadata

from sqlalchemy import func, select, text
from sqlalchemy.orm import Session

from temperward.storage.models import Device, Entry, Log, Photo, PushSubscription, Reminder, Shop


def version() -> str:
    """Return the release."""
    return metadata.version("temperward")


def is_up(session: Session) -> bool:
    """Tell whether the database answers."""
    return bool(session.execute(text("SELECT 1")).scalar_one() == 1)


def totals(session: Session, *, now_ms: int) -> list[tuple[str, int]]:
    """Return each total with its name; nothing of them names a shop or a person."""
    tables = [
        ("shops", Shop),
        ("devices", Device),
        ("entries", Entry),
        ("photos", Photo),
        ("push_subscriptions", PushSubscription),
    ]
    found = [
        (name, session.execute(select(func.count()).select_from(table)).scalar_one())
        for name, table in tables
    ]
    stale = select(func.count()).select_from(Log).where(Log.look_again_ms < now_ms)
    failed = select(func.count()).select_from(Log).where(Log.failure.is_not(None))
    late = (
        select(func.count())
        .select_from(Reminder)
        .where(Reminder.state == "waiting", Reminder.due_ms < now_ms)
    )
    sent = select(func.count()).select_from(Reminder).where(Reminder.state == "sent")
    more = [
        ("logs_stale", stale),
        ("logs_failed", failed),
        ("reminders_late", late),
        ("reminders_sent", sent),
    ]
    return found + [(name, session.execute(query).scalar_one()) for name, query in more]


def metrics_text(session: Session, *, now_ms: int) -> str:
    """Return the totals in the text exposition format that monitoring reads."""
    lines = [
        f"# TYPE temperward_{name} gauge\ntemperward_{name} {count}"
        for name, count in totals(session, now_ms=now_ms)
    ]
    return "\n".join(lines) + "\n"
