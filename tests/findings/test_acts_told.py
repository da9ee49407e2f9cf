"""Acts of sentences from many trades and mouths: what is done, to which parts, how many, and when it was done."""

from __future__ import annotations

from pathlib import Path

import pytest
from spoken_sentences import hear_sentences

from extract.speech import Action

TOLD = [
    tuple(part.strip() for part in line.split("=>"))
    for line in Path(__file__).with_name("acts_told.txt").read_text("utf-8").splitlines()
    if "=>" in line and not line.startswith("#")
]


def written(act: Action) -> str:
    """An act as the file of sentences writes it."""
    things = " + ".join(f"{thing.quantity} {thing.text}" if thing.quantity else thing.text for thing in act.objects)
    marks = f"{' done' * act.done}{' refit' * (act.phase == 'refit')}"
    return f"{act.plain}: {things}{marks}"


@pytest.mark.parametrize(("said", "expected"), TOLD)
def test_acts_of_the_last_sentence(said, expected):
    sentences = said.split(" / ")
    _, _, acts = hear_sentences(sentences)
    told = [written(act) for act in acts if act.place.utterance == len(sentences) - 1 and not act.negated]
    assert "; ".join(told) == ("" if expected == "nothing" else expected)
