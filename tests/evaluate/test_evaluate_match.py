from __future__ import annotations

from itertools import permutations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from extract.evaluate.align import align
from extract.evaluate.match import VerbGroups, best_pairs, same_condition, shipped_verb_groups, similar


@pytest.mark.parametrize(
    ("one", "other", "same"),
    [
        ("take off", "remove", True),
        ("Take  off", "take out", True),
        ("lift", "lift up", True),
        ("undo", "slacken", True),
        ("remove", "slacken", False),
        ("push", "pull", False),
        ("fit", "install", True),
        ("oil", "frobnicate", False),
    ],
)
def test_shipped_groups(one: str, other: str, same: bool) -> None:
    groups = shipped_verb_groups()
    assert groups.same(one, other) is groups.same(other, one) is same


def test_a_verb_may_stand_in_several_groups_without_joining_them() -> None:
    groups = VerbGroups("# comment\na, b\nb, c # more\n\n")
    assert groups.same("a", "b")
    assert groups.same("b", "c")
    assert not groups.same("a", "c")


def test_similar_takes_plurals_and_spelling_but_not_other_parts() -> None:
    assert similar("pinch bolt", "Pinch bolts")
    assert similar("calliper", "caliper")
    assert not similar("bolt", "pinch bolt")
    assert not similar("pad", "pin")


@pytest.mark.parametrize(
    ("gold", "found", "same"),
    [
        ("year=before 2009", ("variant", ["before 2009"], False), True),
        ("year=before 2009", ("variant", ["from 2009 onwards"], False), False),
        ("!option=air assist", ("option", ["air assist"], True), True),
        ("!option=air assist", ("option", ["air assist"], False), False),
        ("skip", ("skip", [""], False), True),
        ("skip", ("option", ["skip"], False), False),
        ("option=skip", ("skip", ["skip"], False), False),
    ],
)
def test_same_condition(gold: str, found: tuple, same: bool) -> None:
    assert same_condition(gold, *found) is same


@given(st.lists(st.lists(st.sampled_from([None, 0.0, 1.0, 2.0]), min_size=4, max_size=4), min_size=1, max_size=4))
def test_best_pairs_are_one_to_one_and_as_many_as_can_be(table: list[list[float | None]]) -> None:
    rows = len(table)
    pairs = best_pairs(rows, 4, lambda g, f: table[g][f])
    assert all(table[g][f] is not None for g, f in pairs)
    assert len({g for g, _ in pairs}) == len({f for _, f in pairs}) == len(pairs)
    most = max(sum(table[g][f] is not None for g, f in enumerate(order)) for order in permutations(range(4), rows))
    assert len(pairs) == most


@given(st.lists(st.sampled_from(["a b.", "c", "d e f."]), min_size=1), st.data())
def test_cutting_the_same_words_otherwise_loses_no_character(gold: list[str], data) -> None:
    words = " ".join(gold).split()
    cuts = sorted(data.draw(st.sets(st.integers(1, len(words)))) | {len(words)})
    draft = [" ".join(words[begin:end]) for begin, end in zip([0, *cuts], cuts, strict=False)]
    alignment = align(gold, draft)
    for index, text in enumerate(gold):
        assert sum(alignment.segments(index).values()) == len(text.replace(" ", ""))
    assert alignment.draft_ends == {cut - 1 for cut in cuts}
