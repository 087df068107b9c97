"""One phone engine for the whole run."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from phone_engine import PhoneEngine, difference, here

sys.path.insert(0, str(Path(__file__).parent.parent / "engine"))  # log_maker is the fold tests' own


@pytest.fixture(scope="session")
def phone(tmp_path_factory: pytest.TempPathFactory) -> Iterator[PhoneEngine]:
    engine = PhoneEngine(tmp_path_factory.mktemp("phone"))
    yield engine
    engine.close()


@pytest.fixture(scope="session")
def same_answer(phone: PhoneEngine) -> Callable[[str, Any], Any]:
    """Ask both; return the answer they share, or fail with the place where they part."""

    def both(question: str, facts: Any) -> Any:
        ours = here(question, facts)
        parting = difference(ours, phone.ask(question, facts))
        assert parting is None, f"{question} {facts}\n{parting}"
        return ours

    return both
