"""The one way in: a question by name, facts as JSON, an answer or a refusal as JSON."""

from __future__ import annotations

import json
from typing import Any

from temperward.engine import questions
from temperward.engine.errors import EngineError, UnknownQuestion

API_VERSION = 1


def names() -> list[str]:
    """Return the names of all questions, in alphabetical order."""
    return sorted(questions.all_questions())


def ask(question: str, facts: dict[str, Any]) -> dict[str, Any]:
    """Answer one question: {"api", "question", "answer"} or {"api", "question", "error"}."""
    answers = questions.all_questions()
    try:
        if question not in answers:
            raise UnknownQuestion(
                field="question", value=question, reason="refusal.unknown_question", choices=sorted(answers)
            )
        return {"api": API_VERSION, "question": question, "answer": answers[question](facts)}
    except EngineError as refusal:
        return {"api": API_VERSION, "question": question, "error": refusal.as_json()}


def ask_json(question: str, facts_json: str) -> str:
    """Answer one question with text in and text out, for the phone's workers."""
    return json.dumps(ask(question, json.loads(facts_json)))
