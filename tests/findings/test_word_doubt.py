"""The doubt in recognised words: what raises it, and that other scales of confidence are borne."""

from __future__ import annotations

from extract import lexicon as lexicons
from extract.findings import wordstats as ws
from extract.findings.word_doubt import Doubt, doubts, word_signals
from extract.model import Cue, Talk, Word
from extract.speech import Utterance

LEXICON = lexicons.load()
LINES = (
    "Undo the two bolts and lift the cover off.",
    "Wipe the gasket face with a clean rag.",
    "Slide the shaft out of the bearing.",
    "Fit the new seal with the lip inwards.",
)


def heard(sure: list[float | None], lines: tuple[str, ...] = LINES) -> list[Doubt | None]:
    """Doubts of these utterances; `sure` is the confidence of every word of each."""
    return doubts(*_talk(sure, lines), LEXICON)


def _talk(sure: list[float | None], lines: tuple[str, ...]) -> tuple[Talk, list[Utterance]]:
    words: list[Word] = []
    cues, utterances = [], []
    for index, (line, value) in enumerate(zip(lines, sure, strict=True)):
        first = len(words)
        words += [Word(text, index * 4.0, index * 4.0 + 3, value, True, index) for text in line.split()]
        cues.append(Cue(index * 4.0, index * 4.0 + 3, line, None, None, index + 1, 0))
        utterances.append(Utterance(index, f"s-{index}", line, (first, len(words)), index * 4.0, index * 4.0 + 3))
    talk = Talk(
        name="made", title=None, format="jsonl", sha256="", duration_s=16.0, language="en", times="given",
        cues=tuple(cues), words=tuple(words),
    )  # fmt: skip
    return talk, utterances


def test_a_transcript_without_confidence_gives_no_doubt():
    assert heard([None] * 4) == [None] * 4
    assert word_signals(*_talk([None] * 4, LINES), LEXICON) == [[]] * 4


def test_low_confidence_raises_the_expected_share_of_wrong_words():
    high, low = heard([0.95, 0.95, 0.95, 0.95]), heard([0.95, 0.95, 0.3, 0.95])
    assert high[2] and low[2]
    assert high[2].share < 0.2 < 0.4 < low[2].share
    assert low[2].by_sound > 0.7


def test_words_that_are_not_of_the_workshop_are_doubted_sooner():
    odd = (*LINES[:3], "She loved the people and his music was for him.")
    plain, strange = heard([0.9, 0.9, 0.9, 0.6])[3], heard([0.9, 0.9, 0.9, 0.6], odd)[3]
    assert plain and strange
    assert strange.share > plain.share
    assert strange.by_sound < plain.by_sound


def test_a_recogniser_that_always_sounds_unsure_is_not_doubted_throughout():
    assert all(one and one.share < 0.4 for one in heard([0.5] * 4))


def test_workshop_words_are_at_home_and_others_are_not():
    assert min(map(ws.at_home, ("bolt", "undo", "gasket", "off"))) > 1.0
    assert max(map(ws.at_home, ("he", "people", "love"))) < -1.0
    assert abs(ws.at_home("grommetizer")) <= 2.5
