"""Lists of noun phrases around a word, and what stands for what."""

from __future__ import annotations

import pytest
from spoken_words import heard

from extract.language.heard import Heard
from extract.language.named import denied, objects, singular_name, subjects, thing, with_of_chain
from extract.lexicon import load


def names(room: Heard, chunks) -> list[str]:
    return [chunk.text for chunk in chunks]


@pytest.mark.parametrize(
    ("sentence", "word", "expected"),
    [
        ("The shaft seal, the lip ring and the shims are renewed.", "renewed", ["shaft seal", "lip ring", "shims"]),
        ("The ring in the recess of the cap is renewed.", "renewed", ["ring"]),
        ("The four lid bolts have a wax film and are renewed.", "renewed", ["lid bolts"]),
        ("There are two seals on the shaft and they are renewed.", "renewed", ["they"]),
        ("Undo the bolt and the washer is renewed.", "renewed", ["washer"]),
    ],
)  # fmt: skip
def test_what_a_predicate_is_said_of(sentence, word, expected):
    room = heard(sentence)
    at = room.parsed[0].tagged.low.index(word)
    assert names(room, subjects(room, 0, at)) == expected


@pytest.mark.parametrize(
    ("sentence", "expected"),
    [
        ("Renew the seal and the two clips.", ["seal", "clips"]),
        ("Renew the seal of the pump, the gasket and both clips.", ["seal", "gasket", "clips"]),
        ("Renew the seal and the bolts are tightened.", ["seal"]),
        ("Renew it.", ["it"]),
        ("Renew, the seal is gone.", []),
    ],
)
def test_lists_behind_a_verb(sentence, expected):
    room = heard(sentence)
    assert names(room, objects(room, 0, 1)) == expected


def test_counted_lots_are_known_by_their_count():
    room = heard("Take out the six friction plates and the seven steel plates.", "Renew all six.")
    chunk = objects(room, 1, 1)[0]
    assert thing(room, 1, chunk).text == "friction plates"


def test_a_pronoun_is_of_the_kind_just_named():
    room = heard("Pull the clevis pin.", "Split pins are cheap, so bin it.")
    chunk = next(chunk for chunk in room.parsed[1].chunks if chunk.pronoun == "it")
    assert thing(room, 1, chunk).text == "split pins"


@pytest.mark.parametrize(
    ("sentence", "expected"),
    [("It is not renewed.", True), ("It is renewed.", False), ("It isn't bent, it is renewed.", False)],
)
def test_denial(sentence, expected):
    room = heard(sentence)
    at = room.parsed[0].tagged.low.index("renewed")
    assert denied(room, 0, at, at + 1) is expected


@pytest.mark.parametrize(
    ("name", "single"),
    [
        ("copper washers", "copper washer"),
        ("O-rings", "O-ring"),
        ("bushes", "bush"),
        ("split pin", "split pin"),
        ("", ""),
    ],
)
def test_names_in_the_singular(name, single):
    assert singular_name(load(), name) == single


def test_names_with_what_they_are_of():
    room = heard("The bolts of the end plate on the frame are tight.")
    assert with_of_chain(room.parsed[0], room.parsed[0].chunks[0]) == "bolts of the end plate"
