"""Clause subjects: which noun phrase before a bare verb is its own, and where it begins."""

from __future__ import annotations

import pytest
from spoken_words import scores


@pytest.mark.parametrize(
    ("text", "verb", "subject"),
    [
        ("the hinges come loose", "come", "hinges"),
        ("the screws on the left door get twelve newton metres", "get", "screws"),
        ("grease both hinges come winter", "come", "hinges"),
        ("open the vent you hear it hiss", "hear", "you"),
    ],
)
def test_a_bare_verb_has_the_plural_before_it_as_its_subject(text: str, verb: str, subject: str) -> None:
    found = scores(text)
    head = next(one for one in found.heads if found.t.low[one.first] == verb)
    assert head.subject is not None and head.subject.text == subject


@pytest.mark.parametrize(
    "text", ["wipe the shelf undo the clips", "lift it off undo the two clips", "wipe it hold the lid"]
)
def test_a_command_takes_no_subject_from_the_clause_before(text: str) -> None:
    assert [head.subject for head in scores(text).heads] == [None, None]


@pytest.mark.parametrize("text", ["let the pump run down", "watch the needle climb to four"])
def test_the_object_of_let_and_watch_is_no_subject(text: str) -> None:
    assert len(scores(text).heads) == 1


def test_a_subject_of_two_parts_begins_at_either() -> None:
    head = scores("the lamp and the fan hang on one bracket").heads[0]
    assert sorted(head.starts) == [0, 3]
