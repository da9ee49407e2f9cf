"""Word classes of an utterance, by lexicon, word shape and context; no statistical model.

Most words have one class; rules decide the others, above all noun or verb ("clamp", "drain", "lock").
"""

from __future__ import annotations

import re
from functools import lru_cache

from extract.language import grammar
from extract.language.closed_words import closed_class
from extract.language.context import FILLERS, Context, Tagged
from extract.language.numbers import read_number
from extract.language.repairs import find_repairs
from extract.language.tokens import tokens_of
from extract.language.verb_or_noun import is_verb
from extract.language.word_classes import WordClass, Words
from extract.lexicon import Lexicon

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
_PHRASES = frozenset({("heads", "up"), ("upside", "down"), ("next", "door"), ("y'", "all"), ("ta", "very"), ("of", "course"), ("you", "know"),
    ("first", "thing"), ("next", "thing"), ("first", "off"), ("first", "up"), ("next", "up"), ("either", "way"), ("either", "sort"),
    ("last", "thing"), ("this", "time"), ("no", "worries")})  # fmt: skip


@lru_cache(maxsize=50_000)
def _tokens(spoken: str) -> tuple[tuple[str, str], ...]:
    """The tokens of a word as they stand, and in lower case with plain apostrophes."""
    return tuple([(token, token.lower().replace("’", "'")) for token in tokens_of(spoken)])


class Tagger:
    """Tags utterances with the words of one lexicon."""

    def __init__(self, lexicon: Lexicon) -> None:
        self.lexicon = lexicon
        self.words = Words(lexicon)
        self.context = Context(self.words)

    def tag(self, text: str) -> Tagged:
        """Tag one utterance."""
        words: list[str] = []
        low: list[str] = []
        start: list[int] = []
        end: list[int] = []
        at = 0
        for spoken in text.split(" "):
            for token, lower in _tokens(spoken):
                words.append(token)
                low.append(lower)
                start.append(at)
                at += len(token)
                end.append(at)
            at += 1
        size = len(words)
        tagged = Tagged(
            text, words, low, start, end, [""] * size, [""] * size, [""] * size, [None] * size, [1] * size, [],
        )  # fmt: skip
        for repair in find_repairs(low):
            tagged.repairs.append((repair.first, repair.goes_on))
            for index in range(repair.first, repair.goes_on):
                tagged.tag[index] = "INTJ"
        self._numbers(tagged)
        self._closed(tagged)
        self._open(tagged)
        return tagged

    def _numbers(self, t: Tagged) -> None:
        at = 0
        while at < len(t):
            if t.low[at] == "half" and at and t.low[at - 1] in _HALF_OF:
                at += 1
                continue
            found = read_number(t.low, at) if t.low[at][0].isalnum() and not t.tag[at] else None
            if found and not (t.low[at] == "one" and self._one_is_pronoun(t, at)):
                t.number[at] = found.value
                t.span[at] = found.used
                for index in range(at, at + found.used):
                    t.tag[index] = "NUM"
                at += found.used
            else:
                at += 1

    def _one_is_pronoun(self, t: Tagged, at: int) -> bool:
        """ "this one", "the new one", "one has to": not a count."""
        before = t.low[at - 1] if at else ""
        after = t.low[at + 1] if at + 1 < len(t) else ""
        if before in (
            "this",
            "that",
            "which",
            "new",
            "old",
            "other",
            "same",
            "each",
            "next",
            "another",
            "right",
            "any",
        ):
            return True
        if (
            before
            and before not in grammar.DETERMINERS | grammar.PREPOSITIONS | grammar.PARTICLES
            and before not in grammar.ADVERBS
            and "ADJ" in self.words.of(before).tags[:2]
        ):
            return True
        if at == 0 or before in (",", "then", "now"):
            following = self.words.of(after) if after else None
            if following is not None and "s" in following.forms and following.work and not following.thing:
                return True  # "one notes down the gap"
        return after in ("has", "must", "should", "can", "is") and before not in ("number", "only")

    def _closed(self, t: Tagged) -> None:
        low = t.low
        for i, word in enumerate(low):
            if t.tag[i]:
                continue
            after = low[i + 1] if i + 1 < len(low) else ""
            before = low[i - 1] if i else ""
            if _PUNCTUATION.match(word) and word not in ("'s", "'em"):
                t.tag[i] = "PUNCT"
            elif word in FILLERS or (word, after) in _PHRASES or (before, word) in _PHRASES:
                t.tag[i] = "INTJ"
            elif word in grammar.NEGATIONS:
                t.tag[i] = "NEG"
            elif word == "'s":
                t.tag[i] = (
                    "AUX"
                    if before in grammar.PRONOUNS | grammar.DEMONSTRATIVES | {"here", "that", "what", "who"}
                    else "X"
                )
            elif (
                word in ("lemme", "let")
                and (word == "lemme" or after in ("'s", "us", "me", "s"))
                or word in ("wanna", "gotta", "gonna", "na", "ta")
                and not (word in ("na", "ta") and before not in ("gon", "got", "wan"))
                or word == "got"
                and after in ("to", "ta")
            ):
                t.tag[i] = "AUX"
            elif word in grammar.MODALS and word != "got":
                t.tag[i] = (
                    "AUX" if not (word in ("can", "will", "might", "must") and before in grammar.ARTICLES) else ""
                )
            elif word in grammar.BE or word in grammar.DO or word in grammar.HAVE:
                t.tag[i] = "AUX"
            elif word == "to":
                t.tag[i] = "TO"
            elif word in grammar.CONJUNCTIONS:
                t.tag[i] = "CONJ"
        for idiom in _IDIOMS:
            if idiom[0] in low:
                for i in range(len(low) - len(idiom) + 1):
                    if low[i] == idiom[0] and tuple(low[i : i + len(idiom)]) == idiom and t.tag[i] != "INTJ":
                        for j in range(i, i + len(idiom)):
                            t.tag[j] = "INTJ"
                            t.number[j] = None
                            t.span[j] = 1
        # "let 's": both are one auxiliary.
        for i in range(1, len(low)):
            if low[i] in ("'s", "us", "me", "s") and low[i - 1] == "let" and t.tag[i - 1] == "AUX":
                t.tag[i] = "AUX"

    def _open(self, t: Tagged) -> None:
        clause_has_verb = False
        for i in range(len(t)):
            if t.tag[i] in ("", "X"):
                if t.low[i] == "'s":
                    # After a noun: possessive before a noun phrase, else a short "is" or "has".
                    following = self.context.peek(t, i + 1)
                    owner = (
                        following == "NOUN"
                        or i + 1 < len(t)
                        and (
                            self.context.compound(t, i + 1)
                            or following == "ADJ"
                            and self.context.noun_follows(t, i + 1)
                        )
                    )
                    if t.low[i + 2 : i + 3] == ["so"] and i > 1 and t.low[i - 2] in grammar.DEMONSTRATIVES:
                        owner = False  # "that fan's junk so …"
                    t.tag[i] = "DET" if owner else "AUX"
                else:
                    self._decide(t, i, clause_has_verb)
            tag = t.tag[i]
            if tag == "VERB" or tag == "AUX":
                clause_has_verb = True
            elif tag in ("PUNCT", "CONJ", "SUB"):
                clause_has_verb = False if tag != "CONJ" or not self._joins_nouns(t, i) else clause_has_verb
            elif tag == "INTJ" or (
                tag == "ADV" and t.low[i] in grammar.DISCOURSE_OPENERS and not self._after_verb(t, i)
            ):
                clause_has_verb = False

    def _after_verb(self, t: Tagged, i: int) -> bool:
        return i > 0 and t.tag[i - 1] in ("VERB", "AUX")

    def _joins_nouns(self, t: Tagged, i: int) -> bool:
        return i + 1 < len(t) and (t.tag[i + 1] in ("NUM",) or t.low[i + 1] in grammar.ARTICLES)

    def _decide(self, t: Tagged, i: int, clause_has_verb: bool) -> None:
        word = t.low[i]
        before = self.context.previous(t, i)
        previous = t.tag[before] if before >= 0 else "START"
        previous_word = t.low[before] if before >= 0 else ""
        following = self.context.peek(t, i + 1)
        after = t.low[i + 1] if i + 1 < len(t) else ""

        closed = closed_class(self.context, t, i, word, previous, previous_word, following, after)
        if closed:
            t.tag[i] = closed
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
                following in ("END", "PUNCT", "PREP", "CONJ", "AUX") or after in grammar.VERBS_FIRST
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
            elif "NOUN" in others and previous in ("DET", "ADJ", "NUM", "NOUN", "PREP", "TO"):
                t.tag[i] = "NOUN"
            else:
                t.tag[i] = others[0]
        elif others == ["NOUN"] and word_class.forms in ("g", "dn", "nd", "d", "n") and self.context.noun_follows(t, i):
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
