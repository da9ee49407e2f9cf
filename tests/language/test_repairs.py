"""Self-corrections: what was taken back, and where the right words go on."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from spoken_words import parse

from extract.language.repairs import find_repairs


@pytest.mark.parametrize(
    ("text", "gone", "kept"),
    [
        ("lift out the five no sorry the six pins", "the five no sorry", "the six pins"),
        ("the left one no wait the right one", "the left one no wait", "the right one"),
        ("it gets thirty no forty newton metres", "thirty no", "forty newton metres"),
        ("use a half inch i mean a three eighths bar", "a half inch i mean", "a three eighths bar"),
    ],
)
def test_what_is_taken_back_and_what_goes_on(text: str, gone: str, kept: str) -> None:
    words = text.split()
    (repair,) = find_repairs(words)
    assert " ".join(words[repair.first : repair.goes_on]) == gone
    assert " ".join(words[repair.goes_on :]) == kept


@pytest.mark.parametrize(
    "text",
    [
        "there is no clip on the left one",
        "sorry about the noise next door",
        "the bolts are no longer made",
        "hang on to the cover",
        "undo the nut and the bolt",
    ],
)
def test_plain_talk_is_no_correction(text: str) -> None:
    assert find_repairs(text.split()) == []


def test_words_taken_back_name_nothing() -> None:
    told = parse("Lift out the five, no sorry, the six pins.")
    assert [(one.text, one.quantity) for one in told.chunks] == [("pins", 6)]


@settings(max_examples=200, deadline=None)
@given(
    st.lists(
        st.sampled_from("the a no sorry wait i mean two three left right one , bolt not just it".split()), max_size=14
    )
)
def test_repairs_lie_in_range_and_in_order(words: list[str]) -> None:
    last = 0
    for repair in find_repairs(words):
        # A second correction may take back the first one too ("three, no, four, no, five").
        assert 0 <= repair.first < repair.edit < repair.goes_on < len(words)
        assert last <= repair.edit
        last = repair.goes_on
