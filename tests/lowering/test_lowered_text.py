"""The lowered file does what the file did, and is small."""

from __future__ import annotations

import ast
from textwrap import dedent
from typing import Any

import pytest

from temperward.lowering.linking import missing_names
from temperward.lowering.lower import lower_source


def lowered(source: str) -> str:
    return lower_source(dedent(source), path="part.py").source


def run(source: str) -> dict[str, Any]:
    names: dict[str, Any] = {}
    exec(lowered(source), names)  # noqa: S102 (the text under test)
    return names


def test_annotations_docstrings_and_checker_imports_go() -> None:
    source = '''
        """A module."""
        from __future__ import annotations
        from collections.abc import Callable
        from typing import TYPE_CHECKING, Any, TypedDict, cast
        if TYPE_CHECKING:
            from temperward.engine.facts import number
        Answerer = Callable[[dict[str, Any]], Any]
        Entry = dict[str, Any]
        Maybe = int | None
        class Row(TypedDict):
            a: int
        def f(a: int, *, b: float = 2.0) -> float:
            """Add."""
            c: float = a + b
            d: int
            return cast(float, c)
        '''
    assert lowered(source) == "def f(a, *, b=2.0):\n c = a + b\n return c\n"


def test_an_import_that_only_annotations_used_goes() -> None:
    source = """
        from temperward.engine.errors import OutOfRange, Refused
        def f(a: OutOfRange) -> None:
            raise Refused(field="a")
        """
    assert lowered(source).splitlines()[0] == "from temperward.engine.errors import Refused"


def test_an_import_that_finds_nothing_at_run_time_is_refused() -> None:
    one = ast.parse("from temperward.engine.two import Entry, real\nfrom temperward.engine import two")
    two = ast.parse("def real(): pass")
    files = [("temperward/engine/one.py", "one.py", one), ("temperward/engine/two.py", "two.py", two)]
    problems = missing_names(files)
    assert len(problems) == 1
    assert str(problems[0]).startswith("one.py:1: temperward.engine.two.Entry is not there at run time")


def test_the_text_has_no_blank_line_and_one_space_a_level() -> None:
    text = lowered("""
        def f(a):
            # why

            if a:

                return 1
            return 2
        """)
    assert text == "def f(a):\n if a:\n  return 1\n return 2\n"


@pytest.mark.parametrize(
    "text", ["f'{a} of {b!r}'", "f'{a:>5}|{a:03d}|{{{a}}}'", "f'plain {{}}'", "f'{c[0]}{c[1]!s}'", "f''"]
)
def test_an_f_string_says_the_same_in_its_plain_form(text: str) -> None:
    source = f"def f(a, b, c):\n    return {text}"
    written: dict[str, Any] = {}
    exec(source, written)  # noqa: S102 (what the text means here)
    assert run(source)["f"](7, "x", ["p", "q"]) == written["f"](7, "x", ["p", "q"])


DATACLASSES = """
    from dataclasses import dataclass, field
    from typing import ClassVar
    @dataclass(frozen=True, slots=True, kw_only=True)
    class Reading:
        "A reading."
        UNIT: ClassVar[str] = "mm"
        bow_mm: float
        at_mm: float = 10.0
        places: list[str] = field(default_factory=list)
        note: str = field(default="", compare=False)
        @property
        def long(self) -> bool:
            return self.at_mm > 100
    @dataclass
    class Doubled:
        a: int
        def __post_init__(self) -> None:
            self.a = self.a * 2
    @dataclass(eq=False)
    class Apart:
        a: int
    @dataclass
    class Nothing:
        pass
    @dataclass
    class Own:
        a: int
        def __eq__(self, other):
            return True
    """


def test_a_dataclass_becomes_a_plain_class_that_does_the_same() -> None:
    names = run(DATACLASSES)
    reading, doubled = names["Reading"], names["Doubled"]
    assert "dataclass" not in lowered(DATACLASSES)
    one = reading(bow_mm=0.2)
    assert (one.bow_mm, one.at_mm, one.places, one.note, one.long, one.UNIT) == (
        0.2,
        10.0,
        [],
        "",
        False,
        "mm",
    )
    assert one == reading(bow_mm=0.2, note="other")
    assert one != reading(bow_mm=0.3)
    assert one != doubled(1)
    one.places.append("edge")
    assert reading(bow_mm=0.2).places == []
    assert doubled(2).a == 4
    assert names["Apart"](1) != names["Apart"](1)
    assert names["Nothing"]() == names["Nothing"]()
    assert names["Own"](1) == 5
    with pytest.raises(TypeError):
        reading(0.2)


def test_a_frozen_dataclass_can_still_be_a_key() -> None:
    source = """
        from dataclasses import dataclass
        @dataclass(frozen=True)
        class Place:
            at_mm: float
        """
    place = run(source)["Place"]
    assert len({place(1.0), place(1.0), place(2.0)}) == 2


def test_sorts_go_to_our_own() -> None:
    text = lowered("def f(a, b):\n    a.sort(key=b)\n    return sorted(a, reverse=True)")
    assert text.splitlines() == [
        "from temperward.engine.merge_sort import sort_in_place, sorted",
        "def f(a, b):",
        " sort_in_place(a, key=b)",
        " return sorted(a, reverse=True)",
    ]
