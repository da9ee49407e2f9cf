"""Hidden starts: commands and statements whose verb looks like a noun, or is not said at all."""

from __future__ import annotations

import pytest
from spoken_words import scores, start


@pytest.mark.parametrize(
    ("text", "word"),
    [
        ("the tray slides out the knob turns on it", "the"),
        ("undo the nut with a spanner the washer drops out", "the"),
        ("right element next", "element"),
    ],
)
def test_a_statement_whose_verb_looks_like_a_noun_is_marked_as_latent(text: str, word: str) -> None:
    found = scores(text)
    assert [found.t.low[i] for i in sorted(found.latent)] == [word]


@pytest.mark.parametrize("text", ["hinge pins two newton metres", "lid screws now four newton metres"])
def test_a_value_without_a_verb_starts_at_its_part(text: str) -> None:
    told = f"close it up {text}"
    first, *_, unit = text.split()
    assert start(told, first) > 0 > start(told, unit)


def test_what_is_done_meanwhile_is_no_start_of_its_own() -> None:
    text = "holding the lid with one hand lift the tray"
    assert start(text, "lift") > 0 > start(text, "holding")


def test_clauses_that_show_their_verb_hide_nothing() -> None:
    assert scores("lift the lid and rinse the tray").latent == set()
