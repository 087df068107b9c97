"""The engine's questions over HTTP, and the words its keys stand for."""

from __future__ import annotations

from typing import Any

from temperward import wording
from temperward.api.access import needs
from temperward.api.bodies import Blueprint
from temperward.api.schemas import AskAnswer, FactsRequest
from temperward.errors import NotHere
from temperward.services.asking import answer_question

blp = Blueprint("asking", __name__, url_prefix="/api", description="The engine's questions and words")


@blp.post("/ask/<question>")
@needs()
@blp.arguments(FactsRequest)
@blp.response(200, AskAnswer)
def ask(facts: dict[str, Any], question: str) -> dict[str, Any]:
    """Answer one question from facts alone; a refusal names field, value, range and unit."""
    return answer_question(question, facts=facts)


@blp.get("/words/<language>")
@blp.response(200)
def words(language: str) -> dict[str, Any]:
    """Give the whole table of words of one language."""
    if language not in wording.languages():
        raise NotHere
    return wording.words(language)
