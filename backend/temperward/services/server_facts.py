"""What the server remembers of itself: its epoch, its push keys, its claim code."""

from __future__ import annotations

from sqlalchemy import bindparam, delete, select
from sqlalchemy.exc import IntegrityError
from sqlalchemy.orm import Session

from temperward.services.secrets_made import new_id
from temperward.storage.models import ServerFact
from temperward.storage.session import begin_write

EPOCH = "epoch"
BY_NAME = select(ServerFact.value).where(ServerFact.name == bindparam("name"))


def read_fact(session: Session, name: str) -> str | None:
    """Return what stands under a name."""
    return session.connection().execute(BY_NAME, {"name": name}).scalar()


def keep_fact(session: Session, name: str, value: str) -> str:
    """Keep a value unless the name is taken, and return what stands there: two hosts may start at once."""
    begin_write(session)
    try:
        with session.begin_nested():
            session.add(ServerFact(name=name, value=value))
    except IntegrityError:
        value = session.scalars(select(ServerFact.value).where(ServerFact.name == name)).one()
    session.commit()
    return value


def replace_fact(session: Session, name: str, value: str) -> None:
    """Put a value under a name, whatever stood there."""
    begin_write(session)
    session.merge(ServerFact(name=name, value=value))
    session.commit()
    session.info.pop(name, None)


def forget_fact(session: Session, name: str) -> bool:
    """Take a name away and tell whether it was there: of two that try at once, one hears yes."""
    begin_write(session)
    gone = session.execute(delete(ServerFact).where(ServerFact.name == name).returning(ServerFact.name)).all()
    return len(gone) == 1


def epoch(session: Session) -> str:
    """Return the random id of this database's life; a restored database gets a new one.

    A session lasts for one call and reads it once: one answer names one epoch.
    """
    if EPOCH not in session.info:
        session.info[EPOCH] = read_fact(session, EPOCH) or keep_fact(session, EPOCH, new_id())
    return str(session.info[EPOCH])


def note_epoch(session: Session, found: str | None) -> None:
    """Take an epoch that was read beside something else, unless this call has read it before."""
    if found is not None:
        session.info.setdefault(EPOCH, found)
