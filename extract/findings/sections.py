"""Where a section of the talk begins: an utterance that announces what comes next and tells no act."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache

from extract.language.heard import Heard
from extract.rules import Rules, select_rules
from extract.speech import Action


@cache
def _headings() -> Rules:
    return Rules(rule for rule in select_rules("roles", "role", "heading") if not rule.text("scope"))


def section_starts(heard: Heard, actions: Sequence[Action]) -> frozenset[int]:
    """The utterances with words of a heading and without an act."""
    acting = {action.place.utterance for action in actions}
    return frozenset(said.index for said in heard.utterances if said.index not in acting and _announces(said.analysed))


def _announces(said: str) -> bool:
    text = said.lower()
    return any(rule.pattern.search(text) for rule in _headings().near(text))


def section_of(heard: Heard, starts: frozenset[int]) -> list[int]:
    """The number of the section of each utterance, counted from 0."""
    numbers: list[int] = []
    number = 0
    for said in heard.utterances:
        number += said.index in starts and bool(numbers)
        numbers.append(number)
    return numbers
