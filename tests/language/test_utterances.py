"""Utterances: with punctuation, without it, and in spite of it; no word is ever lost."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from spoken_words import parser, split, talk

from extract.language.utterances import split_utterances


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("Undo the nut. Lift the lid off.", ["Undo the nut.", "Lift the lid off."]),
        ("Is it off? Good. Put it down!", ["Is it off?", "Good.", "Put it down!"]),
        ("Use approx. two litres. Close the tap.", ["Use approx. two litres.", "Close the tap."]),
        ("Set it to 0.3 mm. Lock it.", ["Set it to 0.3 mm.", "Lock it."]),
        ("See fig. 3 for the plug. Undo it.", ["See fig. 3 for the plug.", "Undo it."]),
        ("Undo the nut at the. back of the pump.", ["Undo the nut at the. back of the pump."]),
    ],
)
def test_full_stops_end_sentences_but_not_abbreviations_or_breaths(text: str, expected: list[str]) -> None:
    assert split(text) == expected


def test_without_punctuation_pauses_and_verbs_split() -> None:
    text = (
        "so we start with the guard take out the four screws and lift it off now undo the two nuts on the motor "
        "and pull the motor clear then you slide the belt off the pulley and hang it up next thing is the drive shaft "
        "it comes out to the left"
    )
    words = text.split()
    pauses = {words.index("take"): 0.8, words.index("now"): 0.9, words.index("then"): 0.9, words.index("next"): 1.0}
    found = split(text, pauses)
    assert found[0] == "so we start with the guard"
    assert "now undo the two nuts on the motor and pull the motor clear" in found
    assert "then you slide the belt off the pulley and hang it up" in found


def test_an_empty_talk_has_no_utterances() -> None:
    assert split("") == []


WORDS = st.lists(
    st.sampled_from(
        "undo the nut. lid, off and then Lift it so no. 0.3 mm. you it's is now next approx. Right".split()
    ),
    max_size=80,
)


@settings(max_examples=80, deadline=None)
@given(WORDS, st.booleans())
def test_no_word_is_lost_and_ranges_join(words: list[str], timed: bool) -> None:
    told = talk(words, {} if timed else None)
    found = split_utterances(told, parser())
    assert " ".join(said.text for said in found) == " ".join(words)
    ends = [0, *(said.words[1] for said in found)]
    assert [said.words[0] for said in found] == ends[:-1] and ends[-1] == len(words)
    assert [said.index for said in found] == list(range(len(found)))


@settings(max_examples=40, deadline=None)
@given(WORDS)
def test_ids_are_unique_and_the_same_from_run_to_run(words: list[str]) -> None:
    first = split_utterances(talk(words), parser())
    again = split_utterances(talk(words), parser())
    assert [said.id for said in first] == [said.id for said in again]
    assert len({said.id for said in first}) == len(first)


def test_an_id_keeps_when_other_sentences_change() -> None:
    one = split_utterances(talk("Undo the nut. Lift the lid off.".split()), parser())
    other = split_utterances(talk("Undo both nuts. Lift the lid off.".split()), parser())
    assert one[1].id == other[1].id and one[0].id != other[0].id
