"""Where the talk turns from the work to the refit."""

from __future__ import annotations

import pytest
from spoken_sentences import hear_sentences

STRIP = [
    "Undo the two clips and lift the lid off.",
    "Pull the belt off the drum.",
    "Take the bearing out of the housing.",
]
BUILD = [
    "Press a new bearing into the housing.",
    "Fit the belt.",
    "Tighten the clips to four newton metres.",
]


def onward(sentences: list[str]) -> list[bool]:
    _, phases, _ = hear_sentences(sentences)
    return [phase.onward for phase in phases]


@pytest.mark.parametrize(
    "hint",
    [
        "Good, together again.",
        "That's her apart, so let's build her up.",
        "For installation, the housing comes first.",
        "Anyway, back together.",
        "Alright, putting her back, and mind the seal.",
    ],
)
def test_a_hinted_turn_holds_if_parts_are_fitted_from_there_on(hint: str) -> None:
    assert onward([*STRIP, hint, *BUILD]) == [False] * 3 + [True] * 4


def test_a_hinted_turn_does_not_hold_if_parts_are_still_taken_off() -> None:
    assert not any(onward(["Good, together again.", *STRIP]))


def test_a_refit_that_nothing_announces_begins_behind_the_last_part_taken_off() -> None:
    talk = [*STRIP, "The belt wants a new tensioner when it goes back.", *BUILD]
    assert onward(talk) == [False] * 3 + [True] * 4


def test_a_note_on_the_refit_turns_nothing_while_parts_come_off() -> None:
    note = "The belt wants a new tensioner when it goes back."
    assert not any(onward([STRIP[0], note, *STRIP[1:]]))
