"""The engine's questions, asked from outside."""

from __future__ import annotations

from typing import Any

from temperward.engine import api as engine
from temperward.errors import EngineRefused, NotHere


def answer_question(question: str, *, facts: dict[str, Any]) -> dict[str, Any]:
    """Return the engine's answer, or raise its refusal with every part of it."""
    if question not in engine.names():
        raise NotHere
    answer = engine.ask(question, facts)
    if "error" in answer:
        raise EngineRefused(error=answer["error"])
    return answer
