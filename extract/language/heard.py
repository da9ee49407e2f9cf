"""A talk as heard: utterances, their parses, and for every noun phrase what it stands for."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from extract.language.clauses import Parser
from extract.language.complements import Parsed
from extract.language.phrases import Chunk
from extract.lexicon import Lexicon
from extract.model import Talk
from extract.speech import Mention, Place, Utterance


@dataclass(slots=True)
class Heard:
    """What every finding starts from. `mentions[i][first]` is the noun phrase of utterance `i` at token `first`."""

    talk: Talk
    lexicon: Lexicon
    utterances: tuple[Utterance, ...]
    parsed: list[Parsed]
    mentions: list[dict[int, Mention]] = field(default_factory=list)

    def mention(self, utterance: int, chunk: Chunk) -> Mention:
        """The noun phrase `chunk` of an utterance with its pronoun resolved."""
        return self.mentions[utterance][chunk.first]

    def place(self, utterance: int, first: int, last: int, rule: str) -> Place:
        """The words from token `first` up to, not including, `last`."""
        t = self.parsed[utterance].tagged
        if last <= first:
            return Place(utterance, 0, 0, rule)
        return Place(utterance, t.start[first], t.end[last - 1], rule)

    def searched(self, utterance: int) -> str:
        """The words of an utterance as patterns search them: lower case, with plain apostrophes."""
        return self.utterances[utterance].analysed.lower().replace("’", "'")

    def whole(self, utterance: int, rule: str) -> Place:
        """All words of an utterance."""
        return Place(utterance, 0, len(self.utterances[utterance].analysed), rule)


def hear(talk: Talk, utterances: Sequence[Utterance], parser: Parser) -> Heard:
    """Parse every utterance and resolve its noun phrases against what was said before."""
    from extract.language.references import resolve

    heard = Heard(talk, parser.lexicon, tuple(utterances), [parser.parse(said.analysed) for said in utterances])
    heard.mentions = resolve(heard)
    return heard
