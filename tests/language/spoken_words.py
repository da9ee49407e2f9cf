"""Talks from words, with or without times, and their parses with the shipped lexicon."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache

from extract.language.boundaries import Scores
from extract.language.clauses import Parser
from extract.language.complements import Parsed, VerbPhrase
from extract.language.heard import Heard, hear
from extract.language.phrases import Chunk
from extract.language.tagging import Tagger
from extract.language.utterances import split_utterances
from extract.lexicon import load
from extract.model import Talk, Word
from extract.speech import Utterance


@cache
def parser() -> Parser:
    """One parser for all tests."""
    return Parser(Tagger(load()))


def parse(text: str) -> Parsed:
    """One utterance parsed."""
    return parser().parse(text)


def scores(text: str) -> Scores:
    """How well an utterance can start at each of these unpunctuated words."""
    tagged = parser().tagger.tag(text)
    return Scores(tagged, parser().chunker.chunks(tagged), parser().tagger.words)


def start(text: str, word: str) -> float:
    """How well an utterance starts at this word (at the first, where it comes twice)."""
    found = scores(text)
    return found.start[found.t.low.index(word)]


def tags(text: str) -> dict[str, str]:
    """The tag of each word of an utterance (of the last one, where a word comes twice)."""
    tagged = parse(text).tagged
    return dict(zip(tagged.low, tagged.tag, strict=True))


def verb(text: str, base: str) -> VerbPhrase:
    """The verb phrase with this base form."""
    return next(one for one in parse(text).verbs if one.base == base)


def chunk(text: str, noun: str) -> Chunk:
    """The noun phrase with this head."""
    return next(one for one in parse(text).chunks if one.noun == noun)


def talk(words: Sequence[str], pauses: dict[int, float] | None = None) -> Talk:
    """A talk of these words, a third of a second each where `pauses` (seconds before a word) give it times."""
    at, timed = 0.0, []
    for index, text in enumerate(words):
        at += (pauses or {}).get(index, 0.05)
        timed.append(
            Word(text, at, at + 0.3, None, False, index)
            if pauses is not None
            else Word(text, None, None, None, False, 0)
        )
        at += 0.3
    return Talk(
        name="told", title=None, format="plain", sha256="", duration_s=at if pauses is not None else None, language=None,
        times="given" if pauses is not None else "none", cues=(), words=tuple(timed),
    )  # fmt: skip


def split(text: str, pauses: dict[int, float] | None = None) -> list[str]:
    """The utterances of a text."""
    return [said.text for said in split_utterances(talk(text.split(), pauses), parser())]


def heard(*sentences: str) -> Heard:
    """Sentences with what their noun phrases stand for."""
    said, words = [], 0
    for index, text in enumerate(sentences):
        count = len(text.split())
        said.append(Utterance(index, f"u{index}", text, (words, words + count), None, None))
        words += count
    return hear(talk(" ".join(sentences).split()), said, parser())


def meant(*sentences: str, pronoun: str = "it") -> str:
    """What the last pronoun of the last sentence stands for."""
    room = heard(*sentences)
    last = [one for one in room.parsed[-1].chunks if one.pronoun == pronoun][-1]
    return room.mention(len(sentences) - 1, last).text
