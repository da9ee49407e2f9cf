"""Clause starts: main clauses and openers start an utterance; what hangs on another clause does not."""

from __future__ import annotations

import pytest
from spoken_words import scores, start


def test_the_second_of_two_commands_starts_an_utterance() -> None:
    text = "unplug the mixer wipe the bowl"
    assert start(text, "wipe") > 0 > start(text, "bowl")


@pytest.mark.parametrize("text", ["lift the lid and rinse the tray", "empty the bin and wipe the rim"])
def test_a_clause_joined_with_and_does_not(text: str) -> None:
    assert start(text, "and") < 0


def test_short_acts_that_and_closes_stay_together() -> None:
    found = scores("lift the lid turn the tray over and rinse it")
    assert [head.link for head in found.heads] == ["", "series", "and"]
    assert start("lift the lid turn the tray over", "turn") > start(
        "lift the lid turn the tray over and rinse it", "turn"
    )


@pytest.mark.parametrize(
    ("text", "opener", "verb"),
    [
        ("now undo the nut", "now", "undo"),
        ("if the lid is cracked fit a new one", "if", "is"),
        ("close the door after lunch the oven is cold", "after", "is"),
    ],
)
def test_an_opener_starts_better_than_the_verb_behind_it(text: str, opener: str, verb: str) -> None:
    assert start(text, opener) > start(text, verb)


def test_the_clause_behind_a_condition_is_a_weaker_start_than_the_condition() -> None:
    text = "if the lid is cracked fit a new one"
    assert start(text, "if") > start(text, "fit")
