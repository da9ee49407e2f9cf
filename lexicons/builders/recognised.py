"""Recognised talks of our own beside what was said: which words were misheard as what.

`recognised_talk.jsonl.gz` holds an utterance a line, in the order of the talks: `talk`, `said` and `words`, each
word of the recogniser with its confidence. How it was made stands in SOURCES_TRUST.md. Used by builders only.
"""

from __future__ import annotations

import gzip
import json
import re
from collections.abc import Iterator, Sequence
from functools import cache
from pathlib import Path
from typing import NamedTuple

from extract.findings import sounds
from extract.findings import wordstats as ws
from extract.findings.alike import same_word
from extract.findings.trade_talk import THINGS
from extract.lexicon import Lexicon
from extract.model import Talk, Word
from extract.speech import Utterance

DATA = Path(__file__).parent / "recognised_talk.jsonl.gz"
#: Share of words wrong from which an utterance is nonsense as a whole.
NONSENSE = 0.6
#: Words of what was said that answer to words of what was written, the other way round too.
_SPANS = ((1, 1), (1, 0), (0, 1), (1, 2), (2, 1), (2, 2), (1, 3), (3, 1), (2, 3), (3, 2))
_SAME = {"meters": "metres", "meter": "metre", "gray": "grey", "aluminum": "aluminium", "mold": "mould"}
_DROPPED = 0.8


class Misheard(NamedTuple):
    """A trade word that was written as something else; `first` to `last` are tokens of the utterance (half-open)."""

    utterance: int
    first: int
    last: int
    said: str
    written: str


class Recognised(NamedTuple):
    """One talk as recognised, with what was misheard in it, what was said, and which utterances are nonsense."""

    name: str
    talk: Talk
    utterances: list[Utterance]
    said: list[list[str]]
    misheard: list[Misheard]
    nonsense: frozenset[int]


def recognised(lexicon: Lexicon, path: Path = DATA) -> Iterator[Recognised]:
    """The talks of the file, in its order."""
    lines: dict[str, list[dict]] = {}
    with gzip.open(path, "rt", encoding="utf-8") as file:
        for line in map(json.loads, file):
            if line["words"]:
                lines.setdefault(line["talk"], []).append(line)
    for name, spoken in lines.items():
        words: list[Word] = []
        utterances, said, misheard, nonsense = [], [], [], set()
        for index, line in enumerate(spoken):
            first = len(words)
            words += [Word(text, None, None, sure, False, 0) for text, sure in line["words"]]
            text = " ".join(text for text, _ in line["words"])
            utterances.append(Utterance(index, f"s-{index}", text, (first, len(words)), None, None))
            true = [level(t.word) for t in ws.tokens(line["said"].replace("-", " "))]
            written = [level(t.word) for t in ws.tokens(text)]
            said.append(true)
            pairs = list(differences(true, written))
            if sum(max(b - a, d - c) for a, b, c, d in pairs) >= NONSENSE * len(true):
                nonsense.add(index)
                continue
            for a, b, c, d in pairs:
                if a < b and c < d and of_the_trade(true, a, b, lexicon):
                    one, other = " ".join(true[a:b]), " ".join(written[c:d])
                    if not re.search(r"\d", one + other) and not same_word(one, other, lexicon):
                        misheard.append(Misheard(index, c, d, one, other))
        talk = Talk(
            name=name, title=None, format="plain", sha256="", duration_s=None, language="en", times="none", cues=(),
            words=tuple(words),
        )  # fmt: skip
        yield Recognised(name, talk, utterances, said, misheard, frozenset(nonsense))


def spoken(path: Path = DATA) -> list[list[str]]:
    """What was said in the talks of the file that `workshop_talk.py` does not know, an utterance a line."""
    with gzip.open(path, "rt", encoding="utf-8") as file:
        lines = [json.loads(line) for line in file]
    talks: dict[str, dict[str, list[str]]] = {}
    for line in lines:
        if not line["talk"].startswith(("honest_", "made_")):
            name, _, variant = line["talk"].rpartition("_")
            talks.setdefault(name, {}).setdefault(variant, []).append(line["said"])
    return [next(iter(variants.values())) for variants in talks.values()]


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
