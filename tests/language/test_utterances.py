"""Utterances: with punctuation, without it, and in spite of it; no word is ever lost."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from spoken_words import parser, split, talk

from extract.language.utterances import split_utterances
from extract.model import Talk, Word


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
        "and pull the motor clear then you slide the rope off the drum and hang it up next thing is the drive shaft "
        "it comes out to the left"
    )
    words = text.split()
    pauses = {words.index("take"): 0.8, words.index("now"): 0.9, words.index("then"): 0.9, words.index("next"): 1.0}
    found = split(text, pauses)
    assert found[0] == "so we start with the guard"
    assert "now undo the two nuts on the motor and pull the motor clear" in found
    assert "then you slide the rope off the drum and hang it up" in found


#: Told without punctuation and without times: only the words say where an utterance ends, here written "|".
WORDS_ALONE = [
    "the lamp sits behind the panel | the panel is held by two clips",
    "undo the hinge and lay it aside | on both ovens the fan comes out next",
    "if the filter is torn fit a new one | wash the tray in warm water",
    "slide the drawer out | the runners are greased every year",
    "there's two clips on the lid so take those off | pull the lid away",
    "the kettle you filled this morning is still warm | pour it away",
    "okay now the fan | undo the three screws and pull it clear",
    "brush the grille and wipe it dry | right element next | unplug the two wires",
    "never touch the element with wet hands | let the oven cool before you open the door",
    "the door hinge gets a new pin every time | the pin is four newton metres",
    "unplug the oven open the door and lift the racks out | now the lamp",
    "first off nobody opens the door | i already switched the wall socket off",
    "with the long screwdriver undo the fan nut | keep the washer",
    "put two drops no three drops of oil on the spindle | spin the fan by hand",
    "check that the lamp works | that's it | thanks for watching",
    "undo the two clips and lift the tray out | never ever put your hand in the chute",
    "take the lid off and inspect them for scoring | pull the bolts out of the flange",
    "don't drop that in the sump | have someone take the weight and slide the box out",
    "unhook the spring and lay it aside | on the electric one there's a key in the shaft so tap that out",
    "take the clamp off | in both cases pull the sleeve straight up",
    "the motor is disconnected from the supply | kindly check that the gauge shows zero",
]


@pytest.mark.parametrize("told", WORDS_ALONE)
def test_words_alone_tell_where_an_utterance_ends(told: str) -> None:
    assert split(told.replace(" | ", " ")) == told.split(" | ")


def test_a_breath_ends_what_the_words_leave_open_and_a_hesitation_before_a_name_does_not() -> None:
    text = (
        "take the lid off the oven lift the tray out and rinse it the fan nut is under the cover "
        "hold the fan still and turn the nut to the left wipe the blades with a rag and dry them"
    )
    words = text.split()
    breaths = {words.index(word): 0.6 for word in ("lift", "hold", "wipe")} | {words.index("fan") - 1: 0.6}
    assert split(text, breaths) == [
        "take the lid off the oven",
        "lift the tray out and rinse it",
        "the fan nut is under the cover",
        "hold the fan still and turn the nut to the left",
        "wipe the blades with a rag and dry them",
    ]
    hesitant = breaths | {words.index("cover"): 0.6, words.index("still"): 0.12}
    assert split(text, hesitant) == split(text, breaths)


def captions(*texts: str, gaps: dict[int, float]) -> Talk:
    """A talk of captions whose words have no times of their own; `gaps` (seconds) stand before a caption."""
    at, timed = 0.0, []
    for cue, text in enumerate(texts):
        at += gaps.get(cue, 0.01)
        for word in text.split():
            timed.append(Word(word, at, at + 0.3, None, True, cue))
            at += 0.3
    return talk([]).model_copy(update={"words": tuple(timed), "times": "given"})


def test_captions_cut_anywhere_are_joined_and_a_gap_between_them_ends_an_utterance() -> None:
    told = captions(
        "take the three screws", "out of the back and", "lift the panel away the", "element is held by", "two nuts",
        "lovely", "push the new one", "in until it clicks",
        gaps={5: 0.9, 6: 0.8},
    )  # fmt: skip
    assert [said.text for said in split_utterances(told, parser())] == [
        "take the three screws out of the back and lift the panel away",
        "the element is held by two nuts",
        "lovely",
        "push the new one in until it clicks",
    ]


def test_a_long_talk_is_cut_into_pieces_without_a_trace() -> None:
    once = WORDS_ALONE[0].replace(" | ", " ")
    said = split(" ".join([once] * 120))
    assert len(said) == 240 and set(said) == set(WORDS_ALONE[0].split(" | "))


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
