"""The trust of utterances: nonsense is found, honest talk of every kind is left alone, and the shares explain it."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest

from extract import lexicon as lexicons
from extract.findings.trade_talk import confidences
from extract.findings.trust import assess, signals
from extract.model import Cue, Talk, Word
from extract.speech import Utterance

CASES = tomllib.loads((Path(__file__).parent / "trust_cases.toml").read_text("utf-8"))
LEXICON = lexicons.load()
UNCLEAR = 0.5


def spoken(lines: list[str], sure: list[float | None] | None = None, pace: float = 2.5) -> tuple[Talk, list[Utterance]]:
    """A talk of these utterances; `sure` is the confidence of every word of each, `pace` words a second."""
    words, cues, utterances = [], [], []
    clock = 0.0
    for index, line in enumerate(lines):
        first, start = len(words), clock
        for text in line.split():
            words.append(Word(text, clock, clock + 1 / pace, sure[index] if sure else None, False, index))
            clock += 1 / pace
        cues.append(Cue(start, clock, line, None, None, index + 1, 0))
        utterances.append(Utterance(index, f"s-{index}", line, (first, len(words)), start, clock))
        clock += 0.5
    talk = Talk(
        name="made", title=None, format="jsonl", sha256="", duration_s=clock, language="en", times="given",
        cues=tuple(cues), words=tuple(words),
    )  # fmt: skip
    return talk, utterances


def trust_of(text: str, bare: bool = False) -> float:
    """Trust of an utterance in the middle of the cases' talk; `bare` takes capitals and punctuation away."""
    lines = [*CASES["talk"][:7], text, *CASES["talk"][7:]]
    if bare:
        lines = ["".join(c for c in line.lower() if c.isalnum() or c in " '") for line in lines]
    talk, utterances = spoken(lines)
    return assess(talk, utterances, LEXICON)[7].trust


@pytest.mark.parametrize("bare", [False, True], ids=["punctuated", "bare"])
def test_garbled_utterances_are_found_without_any_confidence(bare: bool):
    missed = [text for text in CASES["garbled"] if trust_of(text, bare) >= UNCLEAR]
    assert len(CASES["garbled"]) >= 10
    assert len(missed) <= 0.2 * len(CASES["garbled"]), missed


@pytest.mark.parametrize("bare", [False, True], ids=["punctuated", "bare"])
def test_honest_utterances_are_trusted(bare: bool):
    lost = [text for text in CASES["honest"] if trust_of(text, bare) < UNCLEAR]
    assert len(CASES["honest"]) >= 10
    assert lost == []


def test_a_plain_demonstration_is_trusted_from_end_to_end():
    talk, utterances = spoken(CASES["talk"])
    assert min(found.trust for found in assess(talk, utterances, LEXICON)) > 0.8


def test_low_confidence_lowers_trust():
    lines = CASES["talk"]
    even = [0.9] * len(lines)
    doubted = [*even[:4], 0.2, *even[5:]]
    before = assess(*spoken(lines, even), LEXICON)[4].trust
    after = assess(*spoken(lines, doubted), LEXICON)[4].trust
    assert before > 0.9
    assert after < UNCLEAR


def test_a_talk_that_was_recorded_badly_is_not_garbled_from_end_to_end():
    lines = CASES["talk"]
    talk, utterances = spoken(lines, [0.55] * len(lines))
    assert min(found.trust for found in assess(talk, utterances, LEXICON)) > UNCLEAR


def test_most_nonsense_that_sounds_sure_of_itself_is_found_all_the_same():
    found = 0
    for text in CASES["garbled"]:
        lines = [*CASES["talk"][:7], text, *CASES["talk"][7:]]
        talk, utterances = spoken(lines, [0.93] * len(lines))
        found += assess(talk, utterances, LEXICON)[7].trust < UNCLEAR
    assert found >= 0.6 * len(CASES["garbled"])


def test_the_shares_name_what_speaks_against_the_words():
    lines = [*CASES["talk"][:7], CASES["garbled"][3], *CASES["talk"][7:]]
    talk, utterances = spoken(lines)
    found = assess(talk, utterances, LEXICON)[7]
    assert found.signals["many_strange"] > 0 and found.signals["fields"] > 0
    assert all(share > 0 for share in found.signals.values())


def test_what_the_talk_says_elsewhere_is_no_stranger():
    odd = "The flumdoodle has a small brass grommet behind it."
    alone = assess(*spoken([*CASES["talk"], odd]), LEXICON)[-1].trust
    known = assess(*spoken([*CASES["talk"], "Here you see the flumdoodle.", odd]), LEXICON)[-1].trust
    assert known >= alone


def test_a_corrected_utterance_is_trusted():
    talk, utterances = spoken(CASES["garbled"][:1])
    fixed = [Utterance(0, "s-0", utterances[0].text, utterances[0].words, 0.0, 1.0, corrected="Undo the bolt.")]
    assert assess(talk, fixed, LEXICON)[0].trust == 1.0


def test_words_without_a_confidence_take_that_of_their_cue():
    talk, utterances = spoken(["Undo the bolt."])
    cue = talk.cues[0]._replace(confidence=0.4)
    heard, usual = confidences(talk.model_copy(update={"cues": (cue,)}), utterances)
    assert heard == [[0.4, 0.4, 0.4]] and usual == pytest.approx(0.4)


def test_speech_at_twice_the_usual_rate_is_noticed():
    talk, utterances = spoken(CASES["talk"])
    fast = utterances[3]
    rushed = Utterance(3, fast.id, fast.text, fast.words, fast.start_s, fast.start_s + (fast.end_s - fast.start_s) / 3)
    assert signals(talk, [*utterances[:3], rushed, *utterances[4:]], LEXICON)[3]["rate"] > 0
    assert signals(talk, utterances, LEXICON)[3]["rate"] == 0


@pytest.mark.parametrize("lines", [[""], ["…"], ["12 34"], ["Ω ß 漢字"], ["a"]])
def test_odd_input_gives_a_trust_between_nothing_and_one(lines):
    found = assess(*spoken(lines), LEXICON)
    assert all(0 <= one.trust <= 1 for one in found)


def test_the_same_talk_gives_the_same_trust():
    talk, utterances = spoken(CASES["talk"])
    assert assess(talk, utterances, LEXICON) == assess(talk, utterances, LEXICON)
