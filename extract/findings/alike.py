"""Which terms of a lexicon sound like written words, and which words are forms of one another."""

from __future__ import annotations

import math
import re
from collections import Counter, defaultdict
from functools import lru_cache

from extract.findings import sounds
from extract.findings.trade_talk import THINGS
from extract.lexicon import Lexicon

#: By how much a term counts as nearer for its fame.
_FAVOUR = 0.04
#: Sound distance up to which several words may be the pieces of one.
_JOINED = 0.23
_REMEMBERED = 20_000
_INFLECTIONS = frozenset(
    ("", "s", "es", "d", "ed", "ing", "r", "er", "e", "y", "ly", "ies", "ied", "n", "en", "ting", "ning")
)
_DIGIT = re.compile(r"\d")


def is_thing(phrase: str, lexicon: Lexicon) -> bool:
    term = lexicon.term(phrase)
    return term is not None and term.kind in THINGS


@lru_cache(maxsize=4)
def term_sounds(lexicon: Lexicon) -> sounds.SoundIndex:
    """Things of the workshop, what qualifies them and work verbs by their sound.

    Sizes and other names with digits are never guessed.
    """
    terms = lexicon.term_forms().items()
    forms = [form for form, term in terms if term.kind in THINGS and len(form) > 2 and not _DIGIT.search(form)]
    words = [word for word in (*lexicon.verb_forms, *lexicon.modifiers) if len(word) > 3 and not _DIGIT.search(word)]
    phrases = dict.fromkeys((*forms, *words))
    return sounds.SoundIndex(phrases, {phrase: _FAVOUR * fame_of(phrase, lexicon) for phrase in phrases})


@lru_cache(maxsize=4)
def word_sounds(lexicon: Lexicon) -> sounds.SoundIndex:
    """The single words of the index."""
    return sounds.SoundIndex(p for p in term_sounds(lexicon).phrases if len(p) > 3 and " " not in p and "-" not in p)


@lru_cache(maxsize=_REMEMBERED)
def joined(written: str, lexicon: Lexicon) -> dict[str, float]:
    """Single words of which several written ones may be the pieces, with their distance: "in pillar", "and screw"."""
    near = word_sounds(lexicon).alike(sounds.pronounce(written), _JOINED)
    # "Bolt in" is no worse than "bolting".
    pieces = (written, *written.split())
    return {word: apart for word, apart in near if not any(same_word(word, piece, lexicon) for piece in pieces)}


@lru_cache(maxsize=4)
def partners(lexicon: Lexicon) -> tuple[dict[str, set[str]], dict[str, set[str]]]:
    """For two-word terms: the first words that go with a second one, and the other way round."""
    before: dict[str, set[str]] = defaultdict(set)
    after: dict[str, set[str]] = defaultdict(set)
    for form, term in lexicon.term_forms().items():
        parts = form.replace("-", " ").split()
        if term.kind in THINGS and len(parts) == 2:
            before[parts[1]].add(parts[0])
            after[parts[0]].add(parts[1])
    return before, after


@lru_cache(maxsize=4096)
def partner_sounds(lexicon: Lexicon, word: str, side: int) -> sounds.SoundIndex:
    """The words that stand before (`side` 0) or after (1) a word in two-word terms, by their sound."""
    return sounds.SoundIndex(sorted(partners(lexicon)[side].get(word, ())))


@lru_cache(maxsize=4)
def _fame(lexicon: Lexicon) -> Counter[str]:
    """In how many terms each word stands: how ordinary it is in the trade."""
    return Counter(word for term in lexicon.terms for word in set(term.term.replace("-", " ").split()))


def fame_of(phrase: str, lexicon: Lexicon) -> float:
    """How ordinary a phrase is in the trade, 1.5 for verbs and what qualifies things."""
    if not is_thing(phrase, lexicon):
        return 1.5
    return math.log1p(min(_fame(lexicon)[lexicon.singular(word)] for word in phrase.replace("-", " ").split()))


def same_word(term: str, written: str, lexicon: Lexicon) -> bool:
    """True for another spelling or inflection of the written words."""
    a, b = term.replace("-", "").replace(" ", ""), written.replace(" ", "")
    if (
        a == b
        or _shares_end(term.split(), written.split())
        or (lexicon.term(term) is not None and lexicon.term(term) is lexicon.term(written))
    ):
        return True
    same = next((i for i, (x, y) in enumerate(zip(a, b, strict=False)) if x != y), min(len(a), len(b)))
    return same >= 3 and {a[same:], b[same:]} <= _INFLECTIONS


def _shares_end(new: list[str], old: list[str]) -> bool:
    """True where only some of the words would change: the search for those alone finds that reading too."""
    return new[0] == old[0] or new[-1].rstrip("s") == old[-1].rstrip("s")
