"""Sentences as a talk, one an utterance, parsed with the shipped lexicon."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache

from extract.findings.actions import find_actions
from extract.findings.phases import PhaseFound, find_phases
from extract.language.clauses import Parser
from extract.language.heard import Heard, hear
from extract.language.tagging import Tagger
from extract.lexicon import load
from extract.model import Talk
from extract.speech import Action, Utterance


@cache
def parser() -> Parser:
    """One parser for all tests."""
    return Parser(Tagger(load()))


def hear_sentences(sentences: Sequence[str]) -> tuple[Heard, tuple[PhaseFound, ...], tuple[Action, ...]]:
    """What is heard, the half of the job at each sentence, and the acts."""
    utterances = []
    words = 0
    for index, text in enumerate(sentences):
        count = len(text.split())
        utterances.append(Utterance(index, f"u{index}", text, (words, words + count), None, None))
        words += count
    talk = Talk(
        name="told",
        title=None,
        format="plain",
        sha256="",
        duration_s=None,
        language=None,
        times="none",
        cues=(),
        words=(),
    )
    heard = hear(talk, utterances, parser())
    phases = find_phases(heard)
    return heard, phases, find_actions(heard, phases, frozenset())
