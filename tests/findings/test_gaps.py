"""Silences: measured where words have times, only guessed at where blocks have marks."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest

from extract.findings.gaps import find_gaps
from extract.model import Cue, Talk, Word
from extract.speech import Utterance

CASES = tomllib.loads((Path(__file__).parent / "gap_cases.toml").read_text("utf-8"))


def timed(pauses: list[float], words: int = 8) -> tuple[Talk, list[Utterance]]:
    """Utterances of `words` words with real times; `pauses` are the silences before the second and every later one."""
    spoken, cues, utterances = [], [], []
    clock = 0.0
    for index, pause in enumerate([0.0, *pauses]):
        clock += pause
        first, start = len(spoken), clock
        for _ in range(words):
            spoken.append(Word("word", clock, clock + 0.35, None, False, index))
            clock += 0.4
        clock -= 0.05
        text = " ".join(["word"] * words)
        cues.append(Cue(start, clock, text, None, None, index + 1, 0))
        utterances.append(Utterance(index, f"s-{index}", text, (first, len(spoken)), start, clock))
    return _talk(spoken, cues, "given"), utterances


def marked(blocks: list[tuple[float, int]]) -> tuple[Talk, list[Utterance]]:
    """Blocks of (seconds, words) with a mark at the start of each only: words lie evenly in them."""
    spoken, cues, utterances = [], [], []
    clock = 0.0
    for index, (seconds, words) in enumerate(blocks):
        first = len(spoken)
        for at in range(words):
            start = clock + at * seconds / words
            spoken.append(Word("word", start, start + seconds / words, None, True, index))
        text = " ".join(["word"] * words)
        cues.append(Cue(clock, clock + seconds, text, None, None, index + 1, 0))
        utterances.append(Utterance(index, f"s-{index}", text, (first, len(spoken)), clock, clock + seconds))
        clock += seconds
    return _talk(spoken, cues, "interpolated"), utterances


def _talk(words: list[Word], cues: list[Cue], times: str) -> Talk:
    return Talk(
        name="made", title=None, format="vtt", sha256="", duration_s=None, language="en", times=times,
        cues=tuple(cues), words=tuple(words),
    )  # fmt: skip


def found(talk: Talk, utterances: list[Utterance]) -> list[int]:
    return [flag.place.utterance for flag in find_gaps(talk, utterances)]


@pytest.mark.parametrize("case", CASES["hits"], ids=lambda c: c["name"])
def test_a_silence_is_flagged_on_the_utterance_after_it(case: dict):
    made = timed(case["pauses"]) if "pauses" in case else marked([tuple(b) for b in case["blocks"]])
    assert found(*made) == case["after"]


@pytest.mark.parametrize("case", CASES["misses"], ids=lambda c: c["name"])
def test_the_rhythm_of_the_talk_is_no_silence(case: dict):
    made = timed(case["pauses"]) if "pauses" in case else marked([tuple(b) for b in case["blocks"]])
    assert found(*made) == []


def test_there_are_enough_cases():
    assert len(CASES["hits"]) >= 10 and len(CASES["misses"]) >= 10


def test_the_evidence_says_from_when_to_when():
    (flag,) = find_gaps(*timed([1, 1, 1, 40, 1, 1]))
    assert flag.code == "silent_gap" and flag.severity == "check"
    assert flag.evidence["to_s"] - flag.evidence["from_s"] == pytest.approx(40, abs=0.2)


def test_a_talk_without_times_has_no_silences():
    talk, utterances = timed([1, 60, 1])
    assert find_gaps(talk.model_copy(update={"times": "none"}), utterances) == ()


def test_captions_without_word_times_are_measured_from_caption_to_caption():
    talk, utterances = timed([1, 1, 45, 1, 1])
    words = tuple(w._replace(interpolated=True) for w in talk.words)
    assert found(talk.model_copy(update={"words": words, "times": "interpolated"}), utterances) == [3]


def test_the_break_between_two_recordings_is_no_silence():
    talk, utterances = timed([1, 1, 45, 1, 1])
    words = tuple(w._replace(interpolated=True) for w in talk.words)
    cues = tuple(c._replace(recording=int(i > 2)) for i, c in enumerate(talk.cues))
    assert found(talk.model_copy(update={"words": words, "cues": cues, "times": "interpolated"}), utterances) == []


@pytest.mark.parametrize("count", [0, 1])
def test_talks_of_next_to_nothing(count: int):
    talk, utterances = timed([])
    assert find_gaps(talk, utterances[:count]) == ()
