"""Misheard trade words: found in wrong sentences, left alone in honest ones."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest

from extract import lexicon as lexicons
from extract.findings.misheard import find_misheard_terms
from extract.findings.trust import assess
from extract.model import Cue, Talk, Word
from extract.speech import FlagFound, TrustFound, Utterance

CASES = tomllib.loads((Path(__file__).parent / "misheard_cases.toml").read_text("utf-8"))
LEXICON = lexicons.load()


def talk_of(lines: list[str], confidences: dict[str, float] | None = None) -> tuple[Talk, list[Utterance]]:
    """A talk of these utterances, a cue each; `confidences` gives words other than the sure ones."""
    words, cues, utterances = [], [], []
    for index, line in enumerate(lines):
        first = len(words)
        for text in line.split():
            sure = None if confidences is None else confidences.get(text.strip(".,"), 0.95)
            words.append(Word(text, None, None, sure, False, index))
        cues.append(Cue(None, None, line, None, None, index + 1, 0))
        utterances.append(Utterance(index, f"s-{index}", line, (first, len(words)), None, None))
    talk = Talk(
        name="made", title=None, format="plain", sha256="", duration_s=None, language="en", times="none",
        cues=tuple(cues), words=tuple(words),
    )  # fmt: skip
    return talk, utterances


def flags_of(lines: list[str], confidences: dict[str, float] | None = None) -> tuple[FlagFound, ...]:
    talk, utterances = talk_of(lines, confidences)
    trusted = [TrustFound(u.index, 1.0) for u in utterances]
    return find_misheard_terms(talk, utterances, trusted, LEXICON)


def flags_in(case: dict) -> tuple[FlagFound, ...]:
    """Flags of the talk that ends with the case's sentence, with confidences if the case has one."""
    sure = case.get("sure")
    heard = None if sure is None else dict.fromkeys(case["written"].split(), sure)
    return flags_of([*case["talk"], case["text"]], heard)


def found_in(case: dict) -> bool:
    """True if a flag lies on the case's own sentence and, for a hit, on the wrong words."""
    last = len(case["talk"])
    return any(
        last in flag.utterances and set(case.get("written", flag.evidence["written"]).split()) & set(flag.evidence["written"].split())
        for flag in flags_in(case)
    )  # fmt: skip


def test_most_misheard_words_are_found():
    found = [case["written"] for case in CASES["hits"] if found_in(case)]
    assert len(CASES["hits"]) >= 10
    assert len(found) >= 0.7 * len(CASES["hits"]), sorted({c["written"] for c in CASES["hits"]} - set(found))


def test_honest_sentences_are_left_alone():
    flagged = [case["text"] for case in CASES["misses"] if found_in(case)]
    assert len(CASES["misses"]) >= 10
    assert len(flagged) <= 0.15 * len(CASES["misses"]), flagged


def test_what_was_said_is_among_the_suggestions():
    told = right = 0
    for case in CASES["hits"]:
        for flag in flags_in(case):
            if set(flag.evidence["written"].split()) & set(case["written"].split()):
                told += 1
                right += any(s.text.split()[-1].rstrip("s") == case["said"].rstrip("s") for s in flag.suggestions)
    assert right >= 0.7 * told


def test_at_most_three_suggestions_each_with_a_reason_and_a_score():
    for case in CASES["hits"]:
        for flag in flags_in(case):
            assert 1 <= len(flag.suggestions) <= 3
            assert all(s.why and 0 <= s.score <= 1 for s in flag.suggestions)
            scores = [s.score for s in flag.suggestions]
            assert scores == sorted(scores, reverse=True)


def test_the_same_wrong_spelling_is_one_flag_with_all_its_places():
    lines = [
        "Undo the castle knot on the left.",
        "The nut on the right is the same.",
        "Wipe the spindle.",
        "Wind the castle knot off the spindle.",
    ]
    flags = [f for f in flags_of(lines) if f.evidence["written"] == "knot"]
    assert [f.utterances for f in flags] == [(0, 3)]


def test_the_place_covers_the_wrong_words():
    case = CASES["hits"][0]
    lines = [*case["talk"], case["text"]]
    flag = next(f for f in flags_of(lines) if f.evidence["written"] == case["written"])
    assert lines[flag.place.utterance][flag.place.start : flag.place.end] == case["written"]


def test_a_word_the_recogniser_was_unsure_of_is_suspected_more():
    lines = ["The gasket is thin.", "Take the basket off the pump.", "Clean the pump.", "Fit the cover."]
    assert not any(f.evidence["written"] == "basket" for f in flags_of(lines, {}))
    assert any(f.evidence["written"] == "basket" for f in flags_of(lines, {"basket": 0.15}))


def test_nonsense_and_corrected_utterances_are_left_alone():
    lines = ["The drain plug sits at the bottom.", "Undo the drain flug and let the oil out."]
    talk, utterances = talk_of(lines)
    trusted = [TrustFound(0, 1.0), TrustFound(1, 0.1)]
    assert not find_misheard_terms(talk, utterances, trusted, LEXICON)
    fixed = [
        utterances[0],
        Utterance(1, "s-1", lines[1], utterances[1].words, None, None, corrected="Undo the drain plug."),
    ]
    assert not find_misheard_terms(talk, fixed, [TrustFound(0, 1.0), TrustFound(1, 1.0)], LEXICON)


@pytest.mark.parametrize("lines", [[""], ["um"], ["12"], ["…"], ["Ω ß 漢字"]])
def test_odd_input_gives_no_flag(lines):
    talk, utterances = talk_of(lines)
    assert find_misheard_terms(talk, utterances, assess(talk, utterances, LEXICON), LEXICON) == ()
