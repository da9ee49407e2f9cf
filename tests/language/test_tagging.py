"""Word classes in context: the same word is a verb here and a noun there."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from spoken_words import parse, tags


@pytest.mark.parametrize(
    ("text", "word", "tag"),
    [
        ("Drain the oil.", "drain", "VERB"),
        ("The drain is blocked.", "drain", "NOUN"),
        ("Clamp the hose.", "clamp", "VERB"),
        ("Slide the clamp back.", "clamp", "NOUN"),
        ("Seal the joint with paste.", "seal", "VERB"),
        ("Prise the seal out.", "seal", "NOUN"),
        ("Screw the plug in.", "screw", "VERB"),
        ("Undo the screw.", "screw", "NOUN"),
        ("Open the tap.", "open", "VERB"),
        ("Take the lid off.", "off", "PART"),
        ("Slide it off the shaft.", "off", "PREP"),
        ("Undo the two bolts.", "two", "NUM"),
        ("The nuts must be loosened.", "must", "AUX"),
        ("Never undo the plug.", "never", "NEG"),
        ("When the lid is off, undo the plug.", "when", "SUB"),
        ("Undo the bolts and lift the lid.", "and", "CONJ"),
    ],
)
def test_a_word_has_the_class_of_its_place(text: str, word: str, tag: str) -> None:
    assert tags(text)[word] == tag


@pytest.mark.parametrize(
    ("text", "value"), [("Undo twenty-two bolts.", 22), ("Undo a hundred and ten bolts.", 110), ("Undo 4 bolts.", 4)]
)
def test_numbers_carry_their_value(text: str, value: float) -> None:
    assert value in parse(text).tagged.number


def test_a_figure_and_its_unit_are_two_words_and_a_hyphen_joins() -> None:
    low = parse("Tighten the left-hand nut to 25Nm.").tagged.low
    assert "left-hand" in low and "25" in low and "nm" in low


SAID = st.text(alphabet=st.characters(codec="utf-8", exclude_categories=("Cs", "Cc")), max_size=60)


@settings(max_examples=100, deadline=None)
@given(SAID)
def test_tokens_lie_in_the_text_in_order_and_have_one_tag_each(text: str) -> None:
    t = parse(text).tagged
    assert len(t.words) == len(t.tag) == len(t.low) == len(t.start) == len(t.end)
    assert all(0 <= start < end <= len(t.text) for start, end in zip(t.start, t.end, strict=True))
    assert all(end <= start for end, start in zip(t.end, t.start[1:], strict=False))
    assert [t.text[start:end] for start, end in zip(t.start, t.end, strict=True)] == t.words
    assert set(t.tag) <= set("DET PRON NOUN ADJ VERB AUX ADV PREP PART CONJ SUB NUM NEG TO INTJ PUNCT".split())
