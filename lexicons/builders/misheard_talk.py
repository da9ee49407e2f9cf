"""Which words of the recognised talks (recognised_talk.txt) were misheard as what. Used by builders only."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from functools import cache
from typing import NamedTuple

from recognised_talk import recognised_talks
from workshop_talk import honest_talks

from extract.findings import sounds
from extract.findings import wordstats as ws
from extract.findings.alike import same_word
from extract.findings.trade_talk import THINGS
from extract.lexicon import Lexicon
from extract.model import Talk
from extract.speech import Utterance

#: Words of what was said that answer to words of what was written, the other way round too.
_SPANS = ((1, 1), (1, 0), (0, 1), (1, 2), (2, 1), (2, 2), (1, 3), (3, 1), (2, 3), (3, 2))
_SAME = {"meters": "metres", "meter": "metre", "gray": "grey", "aluminum": "aluminium", "mold": "mould"}


class Misheard(NamedTuple):
    """A trade word that was written as something else; `first` to `last` are tokens of the utterance (half-open)."""

    utterance: int
    first: int
    last: int
    said: str
    written: str


class Recognised(NamedTuple):
    """One talk as recognised, with what was misheard in it and which utterances are nonsense."""

    name: str
    talk: Talk
    utterances: list[Utterance]
    misheard: list[Misheard]
    nonsense: frozenset[int]


def recognised(lexicon: Lexicon) -> Iterator[Recognised]:
    """The talks of the file, in its order."""
    for one in recognised_talks():
        misheard = []
        for utterance, said, unclear in zip(one.utterances, one.said, one.unclear, strict=True):
            if unclear:
                continue
            true = [level(t.word) for t in ws.tokens(said.replace("-", " "))]
            written = [level(t.word) for t in ws.tokens(utterance.text)]
            for a, b, c, d in differences(true, written):
                if a < b and c < d and of_the_trade(true, a, b, lexicon):
                    was, now = " ".join(true[a:b]), " ".join(written[c:d])
                    if not re.search(r"\d", was + now) and not same_word(was, now, lexicon):
                        misheard.append(Misheard(utterance.index, c, d, was, now))
        nonsense = frozenset(u.index for u, unclear in zip(one.utterances, one.unclear, strict=True) if unclear)
        yield Recognised(one.name, one.talk, one.utterances, misheard, nonsense)


def spoken() -> list[list[str]]:
    """What was said in the talks of the file that `workshop_talk.py` does not know, an utterance a line."""
    honest = {line for talk in honest_talks() for line in talk}
    talks = {one.name: one.said for one in recognised_talks() if one.name != "made" and not honest & set(one.said)}
    return list(talks.values())


def level(word: str) -> str:
    """A word without what is spelling only."""
    return _SAME.get(word, word)


def of_the_trade(said: Sequence[str], first: int, last: int, lexicon: Lexicon) -> bool:
    """True if a word between `first` and `last` is a thing or work verb of the lexicon, or belongs to a thing's name."""
    for start in range(max(0, first - 2), last):
        for end in range(start + 1, min(len(said), start + 3) + 1):
            term = lexicon.term(" ".join(said[start:end]))
            if end > first and term is not None and term.kind in THINGS:
                return True
    return any(w in lexicon.verb_forms and len(w) > 2 and w not in ws.function_words() for w in said[first:last])


def differences(said: Sequence[str], written: Sequence[str]) -> Iterator[tuple[int, int, int, int]]:
    """Where two texts differ, word groups matched by sound: said first, last, written first, last (half-open)."""
    rows, columns = len(said), len(written)
    best = {(0, 0): (0.0, 0, 0)}
    for i in range(rows + 1):
        for j in range(columns + 1):
            if (i, j) not in best:
                continue
            for a, b in _SPANS:
                if i + a > rows or j + b > columns:
                    continue
                cost = best[i, j][0] + _cost(tuple(said[i : i + a]), tuple(written[j : j + b]))
                if (i + a, j + b) not in best or cost < best[i + a, j + b][0] - 1e-9:
                    best[i + a, j + b] = (cost, a, b)
    found = []
    i, j = rows, columns
    while i or j:
        _, a, b = best[i, j]
        i, j = i - a, j - b
        if said[i : i + a] != written[j : j + b]:
            found.append((i, i + a, j, j + b))
    yield from reversed(found)


@cache
def _cost(said: tuple[str, ...], written: tuple[str, ...]) -> float:
    """How unlike the sound of two word groups is, in sounds; groups that share an end are better divided."""
    if said == written:
        return 0.0
    one, other = (sounds.pronounce(" ".join(words)) for words in (said, written))
    if not said or not written:
        return 0.3 + 0.55 * max(1, len(one + other))
    if len(said) + len(written) > 2 and (said[0] == written[0] or said[-1] == written[-1]):
        return 99.0
    return sounds.distance(other, one) * max(len(one), len(other), 1) + 0.25 * (len(said) + len(written) - 2)
