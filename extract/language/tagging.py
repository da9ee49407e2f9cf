"""Word classes of an utterance, by lexicon, word shape and context; no statistical model.

Most words have one class; rules decide the others, above all noun or verb ("clamp", "drain", "lock").
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from functools import lru_cache
from itertools import accumulate, chain, compress
from operator import sub
from typing import NamedTuple

from extract.language import grammar
from extract.language.closed_words import BY_CONTEXT, PLAIN
from extract.language.context import FILLERS, Context, Tagged
from extract.language.numbers import opens_number, read_number
from extract.language.repairs import find_repairs
from extract.language.tokens import tokens_of
from extract.language.verb_or_noun import is_verb
from extract.language.word_classes import WordClass, Words
from extract.lexicon import Lexicon

_SPOKEN = re.compile(" *[^ ]+")
_PUNCTUATION = re.compile(r"^[^\w°%]+$")
_SIZE = re.compile(r"^(?:m\d+(?:[x.]\d+(?:\.\d+)?)*|\d+/\d+-\d+|\d+-\d+/\d+)$")
#: Before "half" these make it a part ("the rear half"), not a number.
_HALF_OF = frozenset(
    "rear front upper lower top bottom other first second each either outer inner left right left-hand right-hand "
    "this that new old one".split()
)
_IDIOMS = (
    ("one", "after", "the", "other"), ("one", "by", "one"), ("one", "at", "a", "time"), ("at", "a", "time"), ("face", "down"), ("face", "up"),
    ("by", "the", "way"), ("of", "course"), ("in", "order"), ("in", "advance"), ("as", "well"), ("at", "all"), ("all", "the", "way"), ("the", "right", "way", "round"),
    ("the", "wrong", "way", "round"), ("and", "so", "on"), ("and", "all"), ("for", "now"), ("turn", "about"),
    ("at", "the", "same", "time"), ("while", "you", "'re", "at", "it"), ("in", "one", "go"), ("in", "the", "one", "go"), ("a", "bit", "at", "a", "time"),
    ("at", "once"), ("give", "or", "take"), ("last", "of", "all"), ("first", "of", "all"), ("before", "anything", "else"), ("to", "start", "with"), ("to", "begin", "with"),
)  # fmt: skip
_IDIOM_BEGINNINGS = frozenset(idiom[:2] for idiom in _IDIOMS)
_PHRASES = frozenset({("heads", "up"), ("upside", "down"), ("next", "door"), ("y'", "all"), ("ta", "very"), ("of", "course"), ("you", "know"),
    ("first", "thing"), ("next", "thing"), ("first", "off"), ("first", "up"), ("next", "up"), ("either", "way"), ("either", "sort"),
    ("last", "thing"), ("this", "time"), ("no", "worries")})  # fmt: skip


#: Words of a closed class that go by their neighbours.
_BY_NEIGHBOURS = frozenset({"'s", "let", "na", "ta", "got", "can", "will", "might", "must"}).union(*_PHRASES)
_POSSESSED = grammar.PRONOUNS | grammar.DEMONSTRATIVES | {"here", "that", "what", "who"}
_NAMED_BEFORE_ONE = frozenset("this that which new old other same each next another right any".split())
_NO_ADJECTIVE = grammar.DETERMINERS | grammar.PREPOSITIONS | grammar.PARTICLES | grammar.ADVERBS
_CLASSES = (
    ("INTJ", FILLERS),
    ("NEG", grammar.NEGATIONS),
    ("AUX", grammar.MODALS | grammar.BE | grammar.DO | grammar.HAVE | {"lemme", "wanna", "gotta", "gonna"}),
    ("TO", frozenset({"to"})),
    ("CONJ", grammar.CONJUNCTIONS),
)


class _Token(NamedTuple):
    """A token: as it stands, in lower case with plain apostrophes, with its class where it has the same everywhere,
    whether a number can begin with it or its class goes by its neighbours, and how far its end lies behind the token before."""

    text: str
    low: str
    tag: str
    opens_number: bool
    by_neighbours: bool
    reach: int


@lru_cache(maxsize=50_000)
def _tokens(spoken: str) -> tuple[_Token, ...]:
    """The tokens of a word and of the spaces before it."""
    found: list[_Token] = []
    word = spoken.lstrip(" ")
    spaces = len(spoken) - len(word)
    for text in tokens_of(word):
        low = text.lower().replace("’", "'")
        near = low in _BY_NEIGHBOURS
        tag = ""
        if _PUNCTUATION.match(low) and low not in ("'s", "'em"):
            tag = "PUNCT"
        elif not near:
            tag = next((tag for tag, words in _CLASSES if low in words), "")
        found.append(_Token(text, low, tag, low[0].isalnum() and opens_number(low), near, spaces + len(text)))
        spaces = 0
    return tuple(found)


class Tagger:
    """Tags utterances with the words of one lexicon."""

    def __init__(self, lexicon: Lexicon) -> None:
        self.lexicon = lexicon
        self.words = Words(lexicon)
        self.context = Context(self.words)
        self._plain = lru_cache(maxsize=50_000)(self._plain_class)

    def tag(self, text: str) -> Tagged:
        """Tag one utterance."""
        tokens = tuple(chain.from_iterable(map(_tokens, _SPOKEN.findall(text))))
        size = len(tokens)
        words, low, tags, opens, near, reach = (
            map(list, zip(*tokens, strict=True)) if tokens else ([] for _ in range(6))
        )
        end = list(accumulate(reach))
        start = list(map(sub, end, map(len, words)))
        t = Tagged(
            text, words, low, start, end, tags, [""] * size, [""] * size, [None] * size, [1] * size, []
        )  # fmt: skip
        for repair in find_repairs(t.low):
            t.repairs.append((repair.first, repair.goes_on))
            t.tag[repair.first : repair.goes_on] = ["INTJ"] * (repair.goes_on - repair.first)
        self._numbers(t, compress(range(size), opens))
        self._closed(t, list(compress(range(size), near)))
        self._idioms(t)
        self._open(t)
        return t

    def _numbers(self, t: Tagged, places: Iterable[int]) -> None:
        behind = 0
        for at in places:
            word = t.low[at]
            if at < behind or t.tag[at] or word == "half" and at and t.low[at - 1] in _HALF_OF:
                continue
            found = read_number(t.low, at)
            if found and not (word == "one" and self._one_is_pronoun(t, at)):
                t.number[at] = found.value
                t.span[at] = found.used
                behind = at + found.used
                t.tag[at:behind] = ["NUM"] * found.used

    def _one_is_pronoun(self, t: Tagged, at: int) -> bool:
        """ "this one", "the new one", "one has to": not a count."""
        before = t.low[at - 1] if at else ""
        after = t.low[at + 1] if at + 1 < len(t) else ""
        if before in _NAMED_BEFORE_ONE:
            return True
        if before and before not in _NO_ADJECTIVE and "ADJ" in self.words.of(before).tags[:2]:
            return True
        if at == 0 or before in (",", "then", "now"):
            following = self.words.of(after) if after else None
            if following is not None and "s" in following.forms and following.work and not following.thing:
                return True  # "one notes down the gap"
        return after in {"has", "must", "should", "can", "is"} and before not in ("number", "only")

    def _closed(self, t: Tagged, places: list[int]) -> None:
        """Words of the closed classes that go by their neighbours."""
        low, tags = t.low, t.tag
        for i in places:
            if tags[i]:
                continue
            word = low[i]
            after = low[i + 1] if i + 1 < len(low) else ""
            before = low[i - 1] if i else ""
            if (word, after) in _PHRASES or (before, word) in _PHRASES:
                tags[i] = "INTJ"
            elif word == "'s":
                tags[i] = "AUX" if before in _POSSESSED else "X"
            elif (
                word == "let"
                and after in {"'s", "us", "me", "s"}
                or word in ("na", "ta")
                and before in ("gon", "got", "wan")
                or word == "got"
                and after in ("to", "ta")
                or word in grammar.MODALS
                and word != "got"
                and before not in grammar.ARTICLES
            ):
                tags[i] = "AUX"
        # "let 's": both are one auxiliary.
        for i in places:
            if low[i] == "let" and tags[i] == "AUX" and low[i + 1 : i + 2] and low[i + 1] in {"'s", "us", "me", "s"}:
                tags[i + 1] = "AUX"

    @staticmethod
    def _idioms(t: Tagged) -> None:
        low = t.low
        begun = _IDIOM_BEGINNINGS.intersection(zip(low, low[1:], strict=False))
        for idiom in _IDIOMS if begun else ():
            if idiom[:2] in begun:
                for i in range(len(low) - len(idiom) + 1):
                    if low[i] == idiom[0] and t.tag[i] != "INTJ" and tuple(low[i : i + len(idiom)]) == idiom:
                        for j in range(i, i + len(idiom)):
                            t.tag[j] = "INTJ"
                            t.number[j] = None
                            t.span[j] = 1

    def _plain_class(self, word: str) -> str:
        """The class of a word that has the same one everywhere, else ""."""
        if word in PLAIN or word in BY_CONTEXT:
            return PLAIN.get(word, "")
        word_class = self.words.of(word)
        only = word_class.tags[0] if len(word_class.tags) == 1 else ""
        plain = only in ("NOUN", "ADV") and word_class.modifier != "state" and word != "brand"
        return only if plain and not _SIZE.match(word) else ""

    def _open(self, t: Tagged) -> None:
        """All other words, one after the other: what stands before is decided, what follows is guessed."""
        clause_has_verb = False
        before = -1
        low, tags = t.low, t.tag
        for i, word in enumerate(low):
            tag = tags[i]
            if tag == "" or tag == "X":
                tags[i] = self._owner_or_auxiliary(t, i) if word == "'s" else self._plain(word)
                if not tags[i]:
                    self._decide(t, i, before, clause_has_verb)
                tag = tags[i]
            if tag == "VERB" or tag == "AUX":
                clause_has_verb = True
            elif tag == "PUNCT" or tag == "SUB" or tag == "INTJ":
                clause_has_verb = False
            elif tag == "CONJ":
                clause_has_verb = clause_has_verb and self._joins_nouns(t, i)
            elif tag == "ADV":
                if word not in grammar.DISCOURSE_OPENERS:
                    continue
                if not self._after_verb(t, i):
                    clause_has_verb = False
            # Fillers and adverbs do not matter for structure.
            if word not in FILLERS:
                before = i

    def _owner_or_auxiliary(self, t: Tagged, i: int) -> str:
        """ "'s" after a noun: possessive before a noun phrase, else a short "is" or "has"."""
        following = self.context.peek(t, i + 1)
        owner = following == "NOUN" or (
            i + 1 < len(t.low)
            and (self.context.compound(t, i + 1) or following == "ADJ" and self.context.noun_follows(t, i + 1))
        )
        if t.low[i + 2 : i + 3] == ["so"] and i > 1 and t.low[i - 2] in grammar.DEMONSTRATIVES:
            owner = False  # "that fan's junk so …"
        return "DET" if owner else "AUX"

    def _after_verb(self, t: Tagged, i: int) -> bool:
        return i > 0 and t.tag[i - 1] in ("VERB", "AUX")

    def _joins_nouns(self, t: Tagged, i: int) -> bool:
        return i + 1 < len(t) and (t.tag[i + 1] in ("NUM",) or t.low[i + 1] in grammar.ARTICLES)

    def _decide(self, t: Tagged, i: int, before: int, clause_has_verb: bool) -> None:
        """Tag token `i`; `before` is the last token before it that matters for structure, -1 at the start."""
        word = t.low[i]
        previous, previous_word = (t.tag[before], t.low[before]) if before >= 0 else ("START", "")
        following = self.context.peek(t, i + 1)
        after = t.low[i + 1] if i + 1 < len(t.low) else ""
        closed = BY_CONTEXT.get(word)
        if closed is not None:
            t.tag[i] = closed(self.context, t, i, previous, previous_word, following, after)
            if t.tag[i]:
                return
        word_class = self.words.of(word)
        tags = word_class.tags
        if _SIZE.match(word):
            t.tag[i] = "ADJ"
            return
        if word in grammar.RECORDINGS and previous in ("DET", "ADJ"):
            t.tag[i] = "NOUN"
            return
        if following == "NUM" and previous == "DET" and word_class.modifier == "state":
            t.tag[i] = "ADJ"
            return
        if word in grammar.VERBS_FIRST and previous not in ("DET", "NUM", "PREP") and "VERB" in tags and (
            previous != "ADJ" or "s" in word_class.forms
        ):  # fmt: skip
            t.tag[i] = "VERB"
            t.form[i] = self._form(word_class, previous, previous_word)
            t.base[i] = self._base(word, word_class)
            return
        if (after in ("one", "ones") and "ADJ" in tags) or (word == "brand" and after == "new"):
            t.tag[i] = "ADJ"
            return
        if len(tags) == 1 and tags[0] != "VERB":
            bare = tags[0] == "ADJ" and previous in ("DET", "NUM") and (
                following in {"END", "PUNCT", "PREP", "CONJ", "AUX"} or after in grammar.VERBS_FIRST
            )  # fmt: skip
            t.tag[i] = "NOUN" if bare and word_class.modifier != "state" else tags[0]
            return
        if "VERB" in tags and is_verb(
            self.context, t, i, word_class, previous, previous_word, following, after, clause_has_verb
        ):
            t.tag[i] = "VERB"
            t.form[i] = self._form(word_class, previous, previous_word)
            t.base[i] = self._base(word, word_class)
            return
        others = [tag for tag in tags if tag != "VERB"] or ["NOUN"]
        if word_class.thing and word.endswith("s") and "NOUN" in others:
            others = ["NOUN"]
        if "ADJ" in others and len(others) > 1:
            noun_next = self.context.noun_follows(t, i)
            if (
                noun_next
                or previous == "AUX"
                and previous_word in grammar.BE
                and not word_class.thing
                or others[0] == "ADJ"
                and previous == "NOUN"
                and not word_class.thing
            ):
                t.tag[i] = "ADJ"
            elif "NOUN" in others and previous in {"DET", "ADJ", "NUM", "NOUN", "PREP", "TO"}:
                t.tag[i] = "NOUN"
            else:
                t.tag[i] = others[0]
        elif others == ["NOUN"] and word_class.forms in {"g", "dn", "nd", "d", "n"} and self.context.noun_follows(t, i):
            t.tag[i] = "ADJ"
        else:
            t.tag[i] = others[0]

    @staticmethod
    def _form(word_class: WordClass, previous: str, previous_word: str) -> str:
        forms = word_class.forms
        if previous == "AUX" and previous_word in grammar.BE | grammar.HAVE and ("n" in forms or "g" in forms):
            return "n" if "n" in forms else "g"
        if previous in ("TO", "NEG") and "b" in forms:
            return "b"
        if previous == "AUX" and "b" in forms:
            return "b"
        for form in "bsg":
            if form in forms:
                return form
        return "dn" if "d" in forms and "n" in forms else forms[:1]

    def _base(self, word: str, word_class: WordClass) -> str:
        readings = self.lexicon.verb_forms.get(word)
        return readings[0][0] if readings else word_class.base or word
