"""Flags of the words: few, each one sentence that asks what the reviewer can see in the film."""

from __future__ import annotations

import pytest
from spoken_sentences import hear_sentences

from extract.findings.notes import find_notes
from extract.findings.renewals import find_renewals
from extract.findings.roles import find_roles
from extract.findings.word_flags import find_word_flags
from extract.speech import FlagFound


def flags(*sentences: str) -> list[FlagFound]:
    heard, phases, actions = hear_sentences(sentences)
    deaf: frozenset[int] = frozenset()
    renewals = find_renewals(heard, phases, actions, deaf)
    notes = find_notes(heard, phases, actions, renewals, (), deaf)
    roles = find_roles(heard, phases, actions, renewals, (), (), deaf, {})
    return list(find_word_flags(heard, actions, roles, renewals, (), notes, deaf))


def codes(*sentences: str) -> list[str]:
    return [flag.code for flag in flags(*sentences) if flag.severity != "info"]


@pytest.mark.parametrize(
    "said",
    [
        "Lift the five, no sorry, the six panels off the rack.",
        "Undo it with a half inch, I mean a three eighths ratchet.",
        "Slide the collar back, uh, no, scratch that, pull the clip first.",
        "The screws get thirty, no, forty newton metres.",
    ],
)
def test_a_correction_is_flagged_once(said: str) -> None:
    assert codes(said) == ["self_correction"]


@pytest.mark.parametrize(
    "said",
    ["There is no clip on the lid.", "Sorry about the noise next door.", "No bolts on this side, so lift the lid off."],
)
def test_a_plain_no_or_sorry_is_no_correction(said: str) -> None:
    assert "self_correction" not in codes(said)


@pytest.mark.parametrize("said", ["Unhook this thing here as well.", "Loosen that one there too."])
def test_what_is_only_pointed_at_is_flagged(said: str) -> None:
    assert codes("Take the fan cover off.", said) == ["missing_object"]


def test_a_bolt_from_nowhere_is_flagged() -> None:
    assert codes("Undo the bolt.") == ["missing_object"]


@pytest.mark.parametrize(
    "said",
    [
        ("Undo the bolt at the back.",),
        ("Undo the two bolts.",),
        ("There are two bolts under the seat.", "Undo the bolts."),
        ("Undo the nut and take the wheel off.",),
    ],
)
def test_what_a_reader_can_find_is_not_flagged(said: tuple[str, ...]) -> None:
    assert "missing_object" not in codes(*said)


@pytest.mark.parametrize(
    "said",
    [
        "Remove several cable ties along the frame.",
        "There are some ties on the loom so snip them.",
        "The pump is held by the usual screws, so take them out.",
        "Undo a bunch of bolts along the rim.",
    ],
)
def test_a_count_that_is_none_is_flagged(said: str) -> None:
    assert codes(said) == ["vague_quantity"]


@pytest.mark.parametrize(
    "said", ["Remove the four cable ties.", "Put some grease on the lip.", "Undo the bolts round the rim."]
)
def test_counts_plurals_and_materials_are_not_vague(said: str) -> None:
    assert "vague_quantity" not in codes(said)


def test_it_after_two_things_is_ambiguous_and_names_both() -> None:
    found = [
        flag
        for flag in flags("Clean the pin and the lever and put a drop of oil on it.")
        if flag.code == "ambiguous_reference"
    ]
    assert [flag.evidence["readings"] for flag in found] == [["pin", "lever"]]
    assert [one.text for one in found[0].suggestions] == ["pin", "lever"]


@pytest.mark.parametrize(
    "said",
    [
        "Clean the pin and put a drop of oil on it.",
        "Clean the pin and the lever and put a drop of oil on them.",
        "Undo the two screws and the clip and lift it away.",
    ],
)
def test_it_with_one_reading_is_not_flagged(said: str) -> None:
    assert "ambiguous_reference" not in codes("Take the lid off.", said)


def test_what_led_to_a_step_is_not_unread() -> None:
    assert "unread" not in codes("Undo the four screws.", "Remove the lid.", "Thanks for watching.")


def test_an_act_whose_part_was_not_understood_is_unread() -> None:
    found = flags("Take the lid off.", "You can see me undoing the top nut there.")
    assert [flag.code for flag in found if flag.severity != "info"] == ["unread"]
    assert "undoing the top nut" in found[0].message


def test_sorry_about_the_film_is_no_correction() -> None:
    assert codes("Take the lid off.", "Sorry, no, my arm is hiding the lens.") == []


def test_the_machine_is_no_missing_part() -> None:
    assert "missing_object" not in codes("Take the lid off.", "Tip her over and pull her clear of the bench.")


def test_every_message_is_one_plain_sentence_in_its_place() -> None:
    told = [
        "Lift out the five, no sorry, the six pins.",
        "Remove several ties along the frame.",
        "Unhook this thing here.",
    ]
    for flag in flags(*told):
        assert flag.message[0].isupper() or flag.message[0] == "“"
        assert flag.message.endswith(("?", "."))
        assert 0 <= flag.place.start < flag.place.end <= len(told[flag.place.utterance])


def test_untrusted_utterances_are_left_to_their_own_flag() -> None:
    heard, _, actions = hear_sentences(["Lift out the five, no sorry, the six pins."])
    assert find_word_flags(heard, actions, (), (), (), (), frozenset({0})) == ()
