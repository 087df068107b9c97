"""The engine's questions, asked from outside."""

from __future__ import annotations

from importlib import metadata
from typing import Any

from temperward.engine import api as engine
from temperward.errors import EngineRefused, NotHere


def ask(question: str, facts: Any) -> dict[str, Any]:
    """Ask the engine; where it has to know which release it is, and nobody said, it is told ours."""
    if question == "card_offer" and isinstance(facts, dict) and "engine_version" not in facts:
        facts = {**facts, "engine_version": metadata.version("temperward")}
    return engine.ask(question, facts)


def answer_question(question: str, *, facts: dict[str, Any]) -> dict[str, Any]:
    """Return the engine's answer, or raise its refusal with every part of it."""
    if question not in engine.names():
        raise NotHere
    answer = ask(question, facts)
    if "error" in answer:
        raise EngineRefused(error=answer["error"])
    return answer
