"""A new blade is offered the open batch and the next free letter; a letter twice in one batch is refused."""

from __future__ import annotations

from typing import Any

from temperward import wording
from temperward.engine import api


def blade(log_id: str, batch: str | None, letter: str | None, *, state: str = "hard") -> dict[str, Any]:
    return {"log_id": log_id, "batch": batch, "letter": letter, "state": state}


B7 = [blade("1", "B7", "A"), blade("2", "B7", "C"), blade("3", None, None)]


def offer(blades: list[dict[str, Any]], **rest: Any) -> dict[str, Any]:
    return api.ask("batch_offer", {"blades": blades, **rest})


def test_the_open_batch_is_offered_with_its_first_free_letter() -> None:
    assert offer(B7)["answer"] == {"batch": "B7", "letter": "B"}


def test_of_two_open_batches_the_one_with_the_newest_blade() -> None:
    assert offer([blade("9", "B9", "A"), *B7])["answer"]["batch"] == "B9"


def test_nothing_is_offered_where_every_blade_of_a_batch_is_done() -> None:
    ended = [blade(str(n), "B7", "A", state=state) for n, state in enumerate(["released", "scrapped"])]
    assert offer([*ended, blade("3", None, "A")])["answer"] == {"batch": None, "letter": None}


def test_a_letter_stays_taken_by_a_blade_that_is_done() -> None:
    assert offer([blade("1", "B7", "A", state="released"), blade("2", "B7", "B")])["answer"]["letter"] == "C"


def test_a_batch_of_ones_own_begins_with_a() -> None:
    assert offer(B7, batch="B8")["answer"] == {"batch": "B8", "letter": "A"}


def test_after_z_there_is_no_letter_to_offer() -> None:
    full = [blade(str(n), "B7", letter) for n, letter in enumerate("ABCDEFGHIJKLMNOPQRSTUVWXYZ")]
    assert offer(full)["answer"] == {"batch": "B7", "letter": None}


def test_a_letter_that_another_blade_has_is_refused_by_name() -> None:
    error = offer(B7, batch="B7", letter="A")["error"]
    assert (error["field"], error["value"]) == ("letter", "A")
    text = wording.render({"key": error["reason"], "facts": {}})
    assert text == "Another blade of this batch has this letter."
    assert offer(B7, batch="B8", letter="A")["answer"] == {"batch": "B8", "letter": "A"}


def test_a_batch_that_is_no_text_is_refused() -> None:
    assert offer([blade("1", 7, "A")])["error"]["field"] == "blades.0.batch"  # type: ignore[arg-type]


def test_a_letter_without_a_batch_is_nobodys() -> None:
    assert offer(B7, letter="A")["answer"] == {"batch": None, "letter": "A"}
