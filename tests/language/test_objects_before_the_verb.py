"""Objects that stand before the teller, or behind the rest of the act, and counts without a noun."""

from __future__ import annotations

import pytest

from extract.language.clauses import Parser
from extract.language.tagging import Tagger
from extract.lexicon import load

PARSER = Parser(Tagger(load()))


def acts(sentence: str) -> list[tuple[str, list[str]]]:
    return [(verb.base, [chunk.text for chunk in verb.objects]) for verb in PARSER.parse(sentence).verbs]


@pytest.mark.parametrize(
    ("sentence", "act"),
    [
        ("The plunger you push from behind with a dowel.", ("push", ["plunger"])),
        ("after this the guard you can lift off", ("lift", ["guard"])),
        ("the lock nut you tighten with thirty newton metres", ("tighten", ["lock nut"])),
        ("There's a thin spacer behind the hub, which you hook out with a wire.", ("hook", ["thin spacer"])),
        ("what you do is take the two hinge pins out", ("take", ["hinge pins"])),
    ],
)
def test_the_object_before_the_teller_is_found(sentence: str, act: tuple[str, list[str]]) -> None:
    assert act in acts(sentence)


@pytest.mark.parametrize(
    "sentence",
    [
        "The screw you undo first is the long one.",
        "The washer you can use again.",
        "The lever you would need is in the kit.",
    ],
)
def test_what_only_tells_which_one_is_no_object(sentence: str) -> None:
    assert acts(sentence)[0][1] == []


@pytest.mark.parametrize(
    ("sentence", "objects"),
    [
        ("Take the piston out, and the springs, if there are any.", ["piston", "springs"]),
        ("Draw the cap off and with it the filter.", ["cap", "filter"]),
        ("Pull the plug out and after that the sleeve.", ["plug", "sleeve"]),
    ],
)
def test_a_part_told_behind_the_act_is_its_object_too(sentence: str, objects: list[str]) -> None:
    assert acts(sentence)[0][1] == objects


@pytest.mark.parametrize(
    ("sentence", "count"),
    [("Undo the bottom four.", 4), ("Take the other two out.", 2), ("Slacken the outer three.", 3)],
)
def test_so_many_of_several_are_counted(sentence: str, count: int) -> None:
    (verb,) = PARSER.parse(sentence).verbs
    assert [chunk.quantity for chunk in verb.objects] == [count]
