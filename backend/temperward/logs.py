"""One line of JSON for each thing worth knowing; never a name, a text, an address or a token."""

from __future__ import annotations

import json
import logging
import sys
import traceback
from types import TracebackType
from typing import Any

ExcInfo = tuple[type[BaseException], BaseException, TracebackType | None] | tuple[None, None, None]
# What an error may say of itself: short codes. What it says in words may quote what somebody wrote.
CODES = ("word", "errno", "sqlstate", "sqlite_errorname")


class JsonLines(logging.Formatter):
    """Writes a record as one JSON object."""

    def format(self, record: logging.LogRecord) -> str:
        """Return the line."""
        line: dict[str, Any] = {
            "at": self.formatTime(record, "%Y-%m-%dT%H:%M:%S%z"),
            "level": record.levelname.lower(),
            "from": record.name,
            "what": record.getMessage(),
            **getattr(record, "facts", {}),
        }
        if record.exc_info:
            line["error"] = self.formatException(record.exc_info)
        return json.dumps(line)

    def formatException(self, ei: ExcInfo) -> str:  # noqa: N802  (the library's name)
        """Return what kind of error it was and where it came from, without its words."""
        return "\n".join(_kinds(ei[1]))


def _kinds(error: BaseException | None) -> list[str]:
    lines: list[str] = []
    seen: set[int] = set()
    while error is not None and id(error) not in seen:
        seen.add(id(error))
        codes = [f"{name}={getattr(error, name)}" for name in CODES if getattr(error, name, None)]
        lines.append(" ".join([f"{type(error).__module__}.{type(error).__qualname__}", *codes]))
        frames = traceback.extract_tb(error.__traceback__)
        lines += [f"  {frame.filename}:{frame.lineno} {frame.name}" for frame in frames]
        error = error.__cause__ or (None if error.__suppress_context__ else error.__context__)
    return lines


def set_up(level: int = logging.INFO) -> None:
    """Write our own records as JSON lines on standard error, once."""
    ours = logging.getLogger("temperward")
    if ours.handlers:
        return
    handler = logging.StreamHandler(sys.stderr)
    handler.setFormatter(JsonLines())
    ours.addHandler(handler)
    ours.setLevel(level)
    ours.propagate = False
