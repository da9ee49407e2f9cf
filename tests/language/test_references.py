"""Pronouns: what they stand for, by number, by use and by nearness."""

from __future__ import annotations

import pytest
from spoken_words import heard, meant


@pytest.mark.parametrize(
    ("sentences", "pronoun", "name"),
    [
        (("Undo the four screws.", "Take them out."), "them", "screws"),
        (("Pull the pump off.", "Put it on the bench."), "it", "pump"),
        (("Undo the two bolts and pull the pump off.", "Put it on the bench."), "it", "pump"),
        (("Undo the two bolts and pull the pump off.", "Keep them in a tin."), "them", "bolts"),
        (("Lift the lid and put it aside.",), "it", "lid"),
    ],
)
def test_number_and_use_decide(sentences: tuple[str, ...], pronoun: str, name: str) -> None:
    assert meant(*sentences, pronoun=pronoun) == name


def test_a_count_goes_with_the_plural_pronoun() -> None:
    room = heard("Undo the four screws.", "Take them out.")
    them = next(one for one in room.parsed[1].chunks if one.pronoun == "them")
    assert room.mention(1, them).quantity == 4


def test_nothing_named_before_leaves_the_pronoun() -> None:
    room = heard("Take it off.")
    it = next(one for one in room.parsed[0].chunks if one.pronoun == "it")
    assert room.mention(0, it).antecedents == ()


def test_a_tool_is_not_what_comes_off() -> None:
    assert meant("Pull the hub off with the puller.", "Put it on the bench.") == "hub"


def test_place_and_direction_are_told_apart() -> None:
    room = heard("Undo the bolt behind the pump.", "Slide the hub off the shaft.")
    bolt = next(one for one in room.parsed[0].chunks if one.noun == "bolt")
    hub = next(one for one in room.parsed[1].chunks if one.noun == "hub")
    assert (room.mention(0, bolt).position, room.mention(0, bolt).direction) == ("behind the pump", None)
    assert (room.mention(1, hub).position, room.mention(1, hub).direction) == (None, "off the shaft")


def test_every_noun_phrase_has_a_mention_in_its_place() -> None:
    sentences = ["Undo the two nuts under the tray and lift the bracket away.", "Put them in a tin with the old seal."]
    room = heard(*sentences)
    for index, parsed in enumerate(room.parsed):
        for one in parsed.chunks:
            place = room.mention(index, one).place
            assert place.utterance == index
            assert 0 <= place.start < place.end <= len(sentences[index])
