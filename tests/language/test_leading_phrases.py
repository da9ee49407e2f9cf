"""Leading phrases: what place, tool and kind of machine stand before belongs to the clause behind or ends the one before."""

from __future__ import annotations

import pytest
from spoken_words import start


def test_a_place_that_opens_the_talk_is_a_better_start_than_its_clause() -> None:
    text = "on both ovens the lamp sits at the back"
    assert start(text, "on") > start(text, "the")


def test_a_kind_of_machine_opens_what_is_said_of_it() -> None:
    text = "slide it out on ovens with a gas burner the tap comes next"
    assert start(text, "on") > start(text, "the") > start(text, "with")


@pytest.mark.parametrize(
    ("text", "tool", "verb"),
    [
        ("wipe the tray with a rag undo the nut", "with", "undo"),
        ("wash the tray in warm water rinse the filter", "in", "rinse"),
        ("scrape the pan with a spatula lift the ring off", "with", "lift"),
    ],
)
def test_a_tool_between_two_commands_stays_with_the_first(text: str, tool: str, verb: str) -> None:
    assert start(text, verb) > start(text, tool)


def test_a_place_may_stand_before_the_verb_of_its_subject() -> None:
    text = "above it hangs the lamp"
    assert start(text, "above") > start(text, "it") > start(text, "lamp")
