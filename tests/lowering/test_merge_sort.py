"""Our sort orders as Python's own does: stable, either way round, with or without a key."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from temperward.lowering.host import merge_sort

PAIRS = st.lists(st.tuples(st.integers(0, 5), st.integers()), max_size=60)


def first(pair: tuple[int, int]) -> int:
    return pair[0]


@given(pairs=PAIRS, reverse=st.booleans())
def test_pairs_with_equal_keys_keep_their_order(*, pairs: list[tuple[int, int]], reverse: bool) -> None:
    assert merge_sort.sorted(pairs, key=first, reverse=reverse) == sorted(pairs, key=first, reverse=reverse)


@given(texts=st.lists(st.text(max_size=3)), reverse=st.booleans())
def test_texts_sort_without_a_key(*, texts: list[str], reverse: bool) -> None:
    assert merge_sort.sorted(texts, reverse=reverse) == sorted(texts, reverse=reverse)


@given(PAIRS)
def test_a_list_is_sorted_in_place(pairs: list[tuple[int, int]]) -> None:
    ours, theirs = list(pairs), list(pairs)
    merge_sort.sort_in_place(ours, key=first)
    theirs.sort(key=first)
    assert ours == theirs


def test_any_walkable_thing_is_sorted_into_a_new_list() -> None:
    given_list = [3, 1, 2]
    assert merge_sort.sorted(iter(given_list)) == [1, 2, 3]
    assert given_list == [3, 1, 2]
    assert merge_sort.sorted(given_list) is not given_list


class Counted:
    """Counts how often it is compared."""

    comparisons = 0

    def __init__(self, value: int) -> None:
        self.value = value

    def __lt__(self, other: Counted) -> bool:
        Counted.comparisons += 1
        return self.value < other.value


def test_what_is_in_order_already_is_gone_through_once() -> None:
    Counted.comparisons = 0
    merge_sort.sorted([Counted(value) for value in range(1000)])
    assert Counted.comparisons <= 1000


def test_disorder_costs_no_more_than_a_merge_sort() -> None:
    Counted.comparisons = 0
    merge_sort.sorted([Counted(value * 7919 % 1009) for value in range(1000)])
    assert Counted.comparisons < 1000 * 14
