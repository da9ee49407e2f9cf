"""Where a section of the talk begins: an utterance that announces what comes next and tells no act."""

from __future__ import annotations

from collections.abc import Sequence

from extract.language.heard import Heard
from extract.rules import load_rules
from extract.speech import Action


def section_starts(heard: Heard, actions: Sequence[Action]) -> frozenset[int]:
    """The utterances with words of a heading and without an act."""
    rules = [rule for rule in load_rules("roles") if rule.text("role") == "heading" and not rule.text("scope")]
    acting = {action.place.utterance for action in actions}
    return frozenset(
        said.index
        for said in heard.utterances
        if said.index not in acting and any(rule.pattern.search(said.analysed.lower()) for rule in rules)
    )


def section_of(heard: Heard, starts: frozenset[int]) -> list[int]:
    """The number of the section of each utterance, counted from 0."""
    numbers: list[int] = []
    number = 0
    for said in heard.utterances:
        number += said.index in starts and bool(numbers)
        numbers.append(number)
    return numbers
