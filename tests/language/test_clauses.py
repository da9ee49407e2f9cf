"""Clauses: each verb with subject, objects, particle, what opens its clause and what carries it."""

from __future__ import annotations

import pytest
from spoken_words import parse, verb


@pytest.mark.parametrize(
    ("text", "base", "particle"),
    [
        ("Take the lid off.", "take", "off"),
        ("Take off the lid.", "take", "off"),
        ("Lift the bracket away.", "lift", "away"),
        ("Whip the old pump out.", "whip", "out"),
        ("Undo the plug.", "undo", None),
    ],
)
def test_a_particle_goes_with_its_verb_split_or_not(text: str, base: str, particle: str | None) -> None:
    assert verb(text, base).particle == particle


@pytest.mark.parametrize(
    ("text", "base", "objects"),
    [
        ("Undo the bolt and the nut.", "undo", ["bolt", "nut"]),
        ("Undo the bolt, the nut and the clip.", "undo", ["bolt", "nut", "clip"]),
        ("Undo the bolt and lift the lid off.", "undo", ["bolt"]),
        ("Undo the bolt and lift the lid off.", "lift", ["lid"]),
        ("Prise the seal out of the bore.", "prise", ["seal"]),
    ],
)
def test_objects_of_a_verb(text: str, base: str, objects: list[str]) -> None:
    assert [one.text for one in verb(text, base).objects] == objects


@pytest.mark.parametrize(
    ("text", "base", "opener"),
    [
        ("When you lift the lid, hold the spring.", "lift", "when"),
        ("Undo the nut before you pull the hub.", "pull", "before"),
        ("Pull the hub by turning the screw.", "turn", "by"),
        ("Undo the nut to free the hub.", "free", "to"),
        ("If it is stuck, tap it.", "be", "if"),
    ],
)
def test_what_opens_a_clause(text: str, base: str, opener: str) -> None:
    found = [one for one in parse(text).verbs if one.opener == opener]
    assert found and (base == "be" or found[0].base == base)


@pytest.mark.parametrize(
    ("text", "base", "carrier"),
    [
        ("You want to undo the plug.", "undo", "want"),
        ("It needs undoing.", "undo", "need"),
        ("Go ahead and lift the lid.", "lift", "go"),
    ],
)
def test_a_carried_verb_is_the_one_that_counts(text: str, base: str, carrier: str) -> None:
    found = parse(text).verbs
    assert [one.base for one in found] == [base]
    assert found[0].carried_by == carrier


@pytest.mark.parametrize(
    "text", ["Don't undo the plug.", "Do not undo the plug.", "Never undo the plug.", "You must not undo the plug."]
)
def test_negation(text: str) -> None:
    assert verb(text, "undo").negated


@pytest.mark.parametrize("text", ["Undo the plug.", "Undo the plug, not the tap.", "No problem, undo the plug."])
def test_no_negation(text: str) -> None:
    assert not verb(text, "undo").negated


def test_a_passive_keeps_its_subject_for_the_second_verb() -> None:
    assert verb("The nuts are loosened and taken off.", "loosen").subject.text == "nuts"
    assert verb("The nuts are loosened and taken off.", "take").particle == "off"


def test_joined_verbs_are_marked() -> None:
    found = parse("Undo the bolt and lift the lid off.").verbs
    assert [one.joined for one in found] == [False, True]
