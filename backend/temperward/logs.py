"""One line of JSON for each thing worth knowing; never a name, a text, an address or a token."""

from __future__ import annotations

import json
import logging
import sys
from typing import Any


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
