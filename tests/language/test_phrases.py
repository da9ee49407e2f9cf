"""Noun phrases: the name without article, count and size; counts and sizes beside it."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from spoken_words import chunk, parse


@pytest.mark.parametrize(
    ("text", "noun", "name", "quantity"),
    [
        ("Undo the two pinch bolts.", "bolt", "pinch bolts", 2),
        ("Undo both pinch bolts.", "bolt", "pinch bolts", 2),
        ("all four of the screws come out", "screw", "screws", 4),
        ("Take a couple of clips off.", "clip", "clips", 2),
        ("Take the remaining three nuts off.", "nut", "nuts", 3),
        ("Take one of the two nuts off.", "nut", "nuts", 1),
        ("Pull the brake hose bracket off.", "bracket", "brake hose bracket", None),
        ("Undo the bolts.", "bolt", "bolts", None),
    ],
)
def test_name_and_count(text: str, noun: str, name: str, quantity: int | None) -> None:
    found = chunk(text, noun)
    assert (found.text, found.quantity) == (name, quantity)


@pytest.mark.parametrize(
    ("text", "noun", "size"),
    [("Undo the two ten-mil bolts.", "bolt", "ten-mil"), ("Undo the ten mil bolts.", "bolt", "ten mil")],
)
def test_a_size_is_no_part_of_the_name(text: str, noun: str, size: str) -> None:
    found = chunk(text, noun)
    assert (found.text, found.size) == ("bolts", size)


@pytest.mark.parametrize(
    ("text", "noun"),
    [("Remove several clips.", "clip"), ("Undo the usual screws.", "screw"), ("There's a few bolts.", "bolt")],
)
def test_a_vague_count_is_kept_as_such(text: str, noun: str) -> None:
    found = chunk(text, noun)
    assert found.quantity is None and found.vague


def test_new_parts_are_marked() -> None:
    assert chunk("Fit a new seal.", "seal").new
    assert not chunk("Fit the seal.", "seal").new


def test_kinds_come_from_the_lexicon() -> None:
    told = parse("Undo the bolt with a spanner and catch the oil in a tray.")
    kinds = {one.noun: one.kind for one in told.chunks}
    assert (kinds["bolt"], kinds["spanner"], kinds["oil"]) == ("fastener", "tool", "fluid")


@pytest.mark.parametrize(
    ("text", "kind"),
    [
        ("Undo the cap with a six-mil key.", "tool"),
        ("Tap the key out of the shaft.", "part"),
        ("Undo the cap with the long key.", "part"),
        ("Leave the ten millimetre woodruff key in.", "fastener"),
    ],
)
def test_a_size_may_make_a_tool_of_a_part(text: str, kind: str) -> None:
    assert chunk(text, "key").kind == kind


def test_an_owner_with_s_belongs_to_the_name() -> None:
    found = chunk("Pull the pump's drive shaft out.", "shaft")
    assert (found.text, found.owner) == ("drive shaft", "pump")


WORDS = st.sampled_from(
    "the a two bolts pump of housing cover 's all four new left-hand and it them several oil on".split()
)


@settings(max_examples=100, deadline=None)
@given(st.lists(WORDS, max_size=12))
def test_phrases_lie_in_range_and_never_overlap(words: list[str]) -> None:
    told = parse(" ".join(words))
    last = 0
    for one in told.chunks:
        assert last <= one.first < one.last <= len(told.tagged)
        assert one.first <= one.head < one.last
        last = one.last
