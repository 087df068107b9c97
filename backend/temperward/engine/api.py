"""The one way in: a question by name, facts as JSON, an answer or a refusal as JSON."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING, Any

from temperward.engine import questions
from temperward.engine.errors import EngineError, UnknownQuestion

if TYPE_CHECKING:
    from temperward.engine.questions import Answerer

API_VERSION = 1


def names() -> list[str]:
    """Return the names of all questions, in alphabetical order."""
    return sorted(questions.all_questions())


def ask(question: str, facts: dict[str, Any]) -> dict[str, Any]:
    """Answer one question: {"api", "question", "answer"} or {"api", "question", "error"}."""
    answers = questions.all_questions()
    if question not in answers:
        unknown = UnknownQuestion(
            field="question", value=question, reason="refusal.unknown_question", choices=sorted(answers)
        )
        return refused(question, unknown)
    return answered(question, answers[question], facts)


def answered(question: str, answer: Answerer, facts: dict[str, Any]) -> dict[str, Any]:
    """Answer one question by this function."""
    try:
        return {"api": API_VERSION, "question": question, "answer": answer(facts)}
    except EngineError as refusal:
        return refused(question, refusal)


def refused(question: str, refusal: EngineError) -> dict[str, Any]:
    """Return a refusal the way an answer is returned."""
    return {"api": API_VERSION, "question": question, "error": refusal.as_json()}


def ask_json(question: str, facts_json: str) -> str:
    """Answer one question with text in and text out, for the phone's workers."""
    return json.dumps(ask(question, json.loads(facts_json)))
