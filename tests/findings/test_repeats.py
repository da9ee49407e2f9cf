"""The same words again: a recogniser's loop or the same act on another part."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest

from extract import lexicon as lexicons
from extract.findings.repeats import Repeat, find_repeats, repeat_flags
from extract.model import Cue, Talk, Word
from extract.speech import Utterance

CASES = tomllib.loads((Path(__file__).parent / "repeat_cases.toml").read_text("utf-8"))
LEXICON = lexicons.load()


def repeats_in(lines: list[str], length_s: float = 2.0) -> tuple[Repeat, ...]:
    words, cues, utterances = [], [], []
    for index, line in enumerate(lines):
        first, start = len(words), index * 3.0
        words += [Word(text, start, start + length_s, None, False, index) for text in line.split()]
        cues.append(Cue(start, start + length_s, line, None, None, index + 1, 0))
        utterances.append(Utterance(index, f"s-{index}", line, (first, len(words)), start, start + length_s))
    talk = Talk(
        name="made", title=None, format="vtt", sha256="", duration_s=None, language="en", times="given",
        cues=tuple(cues), words=tuple(words),
    )  # fmt: skip
    return find_repeats(talk, utterances, LEXICON)


@pytest.mark.parametrize("case", CASES["hits"], ids=lambda c: c["name"])
def test_repeats_are_found_and_told_apart(case: dict):
    assert [(r.second, r.kind) for r in repeats_in(case["lines"])] == [(case["second"], case["kind"])]


@pytest.mark.parametrize("case", CASES["misses"], ids=lambda c: c["name"])
def test_honest_repetition_is_left_alone(case: dict):
    assert repeats_in(case["lines"]) == ()


def test_there_are_enough_cases():
    assert len(CASES["hits"]) >= 10 and len(CASES["misses"]) >= 10


def test_a_copy_that_takes_no_time_is_a_loop():
    lines = ["Take the screw out.", "Take the screw out."]
    assert [r.kind for r in repeats_in(lines)] == ["again"]
    assert [r.kind for r in repeats_in(lines, length_s=0.1)] == ["loop"]


def test_three_copies_are_two_repeats():
    assert [(r.first, r.second) for r in repeats_in(["Pull the hub off the shaft."] * 3)] == [(0, 1), (1, 2)]


def test_the_flag_sits_on_the_second_copy():
    (flag,) = repeat_flags(repeats_in(["Pull the hub off the shaft.", "Pull the hub off the shaft."]))
    assert flag.code == "repeated" and flag.utterances == (1,) and flag.place.utterance == 1


def test_a_corrected_copy_is_left_alone():
    lines = ["Pull the hub off.", "Pull the hub off."]
    said = [
        Utterance(i, f"s-{i}", text, (0, 4), None, None, corrected="Pull the ring off." if i else None)
        for i, text in enumerate(lines)
    ]
    talk = Talk(
        name="made",
        title=None,
        format="vtt",
        sha256="",
        duration_s=None,
        language=None,
        times="none",
        cues=(),
        words=(),
    )
    assert find_repeats(talk, said, LEXICON) == ()
