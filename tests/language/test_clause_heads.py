"""Clause heads: commands and statements, their subjects, and what hangs on another clause."""

from __future__ import annotations

import pytest
from spoken_words import scores

from extract.language.boundaries import divide


@pytest.mark.parametrize(
    ("text", "verb", "command", "link"),
    [
        ("lift the lid", "lift", True, ""),
        ("the lid sits on the pan", "sits", False, ""),
        ("rinse the pan and dry it", "dry", True, "and"),
        ("if the lid is cracked fit a new one", "is", False, "sub"),
        ("put it on the shelf it came from", "came", False, "contact"),
        ("there's two clips so undo those", "undo", True, "so"),
        ("unplug the oven open the door and lift the rack out", "open", True, "series"),
        ("the hinges need four screws", "need", False, ""),
        ("let the oven cool", "let", True, ""),
    ],
)
def test_a_head_is_a_command_or_a_statement_and_knows_what_it_hangs_on(
    text: str, verb: str, command: bool, link: str
) -> None:
    found = scores(text)
    head = next(one for one in found.heads if found.t.low[one.first] == verb)
    assert (head.command, head.link) == (command, link)


def test_a_bare_verb_after_let_makes_no_clause() -> None:
    found = scores("let the oven cool")
    assert [found.t.low[head.first] for head in found.heads] == ["let"]


def test_marks_steer_the_parse_and_are_no_tokens() -> None:
    found = scores("wipe the pan ; lift the lid")
    assert found.t.low == "wipe the pan lift the lid".split()
    assert [found.t.low[head.first] for head in found.heads] == ["wipe", "lift"]


def test_silence_decides_where_the_words_leave_it_open() -> None:
    found = scores("dry the pan on the left hob put the lid")
    size = len(found.t)
    allowed = [at > 0 for at in range(size)]
    before_on = found.t.low.index("on")
    without = divide(found, [0.0] * size, allowed)
    breath = divide(found, [3.0 if at == before_on else -1.5 for at in range(size)], allowed)
    assert before_on not in without and breath == [before_on]
