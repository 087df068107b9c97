"""Writing together: on SQLite, those who wait for the one writer's lock share its next commit.

A commit waits for the disk; two hundred phones that come in one moment would wait for two hundred of them.
"""

from __future__ import annotations

import threading
from collections.abc import Callable
from typing import Any, TypeVar
from weakref import WeakKeyDictionary

from sqlalchemy.orm import Session

from temperward.storage.session import begin_write, is_sqlite

T = TypeVar("T")
Work = Callable[[Session], T]


class _Job:
    """One piece of writing, and what came of it."""

    def __init__(self, work: Work[Any]) -> None:
        self.work = work
        self.done = False
        self.value: Any = None
        self.error: Exception | None = None

    def settle(self, value: Any = None, *, error: Exception | None = None) -> None:
        self.value, self.error, self.done = value, error, True


class _Queue:
    """Who waits to write to one database of this process."""

    def __init__(self) -> None:
        self.turn = threading.Lock()
        self.door = threading.Lock()
        self.waiting: list[_Job] = []

    def come(self, job: _Job) -> None:
        with self.door:
            self.waiting.append(job)

    def take(self, job: _Job) -> list[_Job]:
        """Return all who wait, with this one among them even if who took it before came to grief."""
        with self.door:
            taken, self.waiting = self.waiting, []
        return taken if job in taken else [*taken, job]


QUEUES: WeakKeyDictionary[Any, _Queue] = WeakKeyDictionary()
_making = threading.Lock()


def write_together(session: Session, work: Work[T]) -> T:
    """Do a piece of writing and commit; return once it is committed, alone or with that of others.

    The work gets the session it is to write with. When a shared transaction fails, each is tried by itself,
    so that no one's error is another's.
    """
    if not is_sqlite(session):
        value = work(session)
        session.commit()
        return value
    with _making:
        queue = QUEUES.setdefault(session.get_bind(), _Queue())
    job = _Job(work)
    queue.come(job)
    with queue.turn:
        if not job.done:
            _write(session, queue.take(job))
    if job.error is not None:
        raise job.error
    done: T = job.value
    return done


def _write(session: Session, jobs: list[_Job]) -> None:
    """Write for all, or, when that fails, for each."""
    try:
        begin_write(session)
        values = [job.work(session) for job in jobs]
        session.commit()
    except Exception as error:  # noqa: BLE001  (raised again by whoever it belongs to)
        session.rollback()
        if len(jobs) == 1:
            jobs[0].settle(error=error)
            return
        for job in jobs:
            _write(session, [job])
    else:
        for job, value in zip(jobs, values, strict=True):
            job.settle(value)
