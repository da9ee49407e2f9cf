"""Looking around a word: what stands before, what can follow, which words make a name together."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from extract.language import grammar
from extract.language.word_classes import Words

FILLERS = frozenset({"uh", "um", "er", "erm", "ah", "uhm", "hmm", "mm"})
_QUANTIFIERS = frozenset("both all some any no either every many several".split())
_NOT_ONLY_SUBORDINATORS = frozenset("before after so as once till until".split())
#: Words that end a noun phrase, whatever stands before them.
_NO_NAME = (
    grammar.ARTICLES
    | grammar.PRONOUNS
    | grammar.PREPOSITIONS
    | grammar.SUBORDINATORS
    | grammar.PARTICLES
    | grammar.VERBS_FIRST
)
_ONLY_PRONOUNS = grammar.PRONOUNS - grammar.DETERMINERS


@dataclass(slots=True, eq=False)
class Tagged:
    """An utterance as parallel lists over its tokens; offsets are characters of `text`.

    `tag` is one of DET PRON NOUN ADJ VERB AUX ADV PREP PART CONJ SUB NUM NEG TO INTJ PUNCT; `form` of a VERB is
    b (base), s, d (past), n (past participle) or g (-ing), for d and n alike "dn"; `base` its base form.
    `number` holds the value on the first token of a number and `span` how many tokens it took. `repairs` lists
    the tokens, first and one past the last, that the speaker took back; they are tagged INTJ.
    """

    text: str
    words: list[str]
    low: list[str]
    start: list[int]
    end: list[int]
    tag: list[str]
    form: list[str]
    base: list[str]
    number: list[float | None]
    span: list[int]
    repairs: list[tuple[int, int]]

    def __len__(self) -> int:
        return len(self.low)

    def phrase(self, first: int, last: int) -> str:
        """The words from token `first` up to, not including, `last`, as they stand in the text."""
        return self.text[self.start[first] : self.end[last - 1]] if last > first else ""


class Context:
    """Questions about the neighbours of a token, answered before all of them are tagged."""

    def __init__(self, words: Words) -> None:
        self.words = words
        self._likely = lru_cache(maxsize=50_000)(self._likely_class)

    def peek(self, t: Tagged, i: int) -> str:
        """The likely class of token `i` without its context, fillers skipped."""
        low = t.low
        while i < len(low) and low[i] in FILLERS:
            i += 1
        if i >= len(low):
            return "END"
        tag = t.tag[i]
        return self._likely(low[i]) if tag in ("", "X") else tag

    def _likely_class(self, word: str) -> str:
        if word in grammar.ARTICLES or word in _QUANTIFIERS:
            return "DET"
        if word in grammar.PRONOUNS:
            return "PRON"
        if word in grammar.SUBORDINATORS and word not in _NOT_ONLY_SUBORDINATORS:
            return "SUB"
        if word in grammar.PARTICLES or word in grammar.PREPOSITIONS:
            return "PREP"
        if word in grammar.ADVERBS or word in grammar.INTERJECTIONS:
            return "ADV"
        return self.words.of(word).tags[0]

    def noun_follows(self, t: Tagged, i: int) -> bool:
        """Whether the words after `i` can go on with a noun phrase that `i` belongs to."""
        low, tags = t.low, t.tag
        j = i + 1
        while j < len(low) and j < i + 6:
            tag = tags[j]
            if tag:
                joins = tag == "CONJ" and j > i + 1 and j + 1 < len(low) and "ADJ" in self.words.of(low[j + 1]).tags
                if joins and "ADJ" in self.words.of(low[j - 1]).tags:
                    j += 1  # "the little red and blue cap"
                    continue
                return False
            word = low[j]
            if word in _NO_NAME:
                return False
            word_class = self.words.of(word)
            if word_class.thing or word_class.tags[0] == "NOUN":
                return True
            forms = word_class.forms
            participle = "b" not in forms and ("d" in forms or "n" in forms or "g" in forms)
            if "ADJ" not in word_class.tags and "NOUN" not in word_class.tags and not participle:
                return False
            if word_class.tags[0] == "VERB" and self.peek(t, j + 1) in {"DET", "PRON", "TO", "NUM"}:
                return False
            j += 1
        return False

    def is_thing_next(self, t: Tagged, i: int) -> bool:
        return i + 1 < len(t) and self.words.of(t.low[i + 1]).thing

    def verb_start(self, t: Tagged, i: int) -> bool:
        """Whether token `i` can only open a new verb phrase ("… off clean the …")."""
        if i >= len(t) or t.tag[i]:
            return False
        word_class = self.words.of(t.low[i])
        if "b" not in word_class.forms:
            return False
        return word_class.tags == ("VERB",) or self.peek(t, i + 1) in ("DET", "PRON")

    def verb_after_demonstrative(self, t: Tagged, i: int) -> bool:
        """ "that comes off", "this holds the …": the next word is a verb in the third person, not a noun."""
        if i + 1 >= len(t):
            return False
        word_class = self.words.of(t.low[i + 1])
        if t.low[i] in ("this", "that"):
            return "s" in word_class.forms and (not word_class.thing or self.peek(t, i + 2) in ("DET", "PREP", "PART"))
        return word_class.tags == ("VERB",) and "b" in word_class.forms and self.peek(t, i + 2) in ("DET", "PREP")

    def clause_follows(self, t: Tagged, i: int) -> bool:
        """Whether a verb with its subject follows before the next comma: "before the pump goes back"."""
        seen_noun = False
        j = i
        while j < len(t) and j < i + 8:
            if t.tag[j] in ("PUNCT", "CONJ"):
                return False
            word = t.low[j]
            if word in _ONLY_PRONOUNS:
                return True
            if t.tag[j] == "AUX" or (t.tag[j] == "X" and self.peek(t, j + 1) not in ("NOUN", "ADJ")):
                return seen_noun
            word_class = self.words.of(word)
            if seen_noun and "VERB" in word_class.tags and "s" in word_class.forms and not word_class.thing:
                return True
            if word_class.thing or "NOUN" in word_class.tags:
                seen_noun = True
            j += 1
        return False

    def bare_noun_before(self, t: Tagged, i: int) -> bool:
        """Whether a noun without article of its own stands right before the conjunction before `i`."""
        j = i - 2
        if j < 0 or t.tag[j] != "NOUN":
            return False
        before = t.low[j - 1] if j else ""
        return (
            j == 0 or t.tag[j - 1] in ("VERB", "PREP", "PUNCT") or before in {"any", "no", "all", "every", "each", "of"}
        )

    def noun_before_conjunction(self, t: Tagged, i: int) -> bool:
        j = i - 1
        while j >= 0 and t.tag[j] in ("CONJ", "INTJ", "ADV"):
            j -= 1
        return j >= 0 and t.tag[j] in ("NOUN", "NUM") and t.tag[j] != "PUNCT"

    def compound(self, t: Tagged, i: int) -> bool:
        """Whether this word and the next are a part's name ("drain plug", "lock nut") rather than verb and object."""
        if i + 1 >= len(t):
            return False
        pair = f"{t.low[i]} {t.low[i + 1]}"
        if pair in self.words.terms or (i + 2 < len(t) and f"{pair} {t.low[i + 2]}" in self.words.terms):
            return True
        word_class = self.words.of(t.low[i])
        following = self.words.of(t.low[i + 1])
        if not word_class.modifier or not following.thing:
            return False
        # A plural after a verb-like word is more often its object ("tap hammers" is no command, "check levels" is).
        rest = self.peek(t, i + 2)
        return rest in ("AUX", "VERB") or (rest != "END" and rest != "PUNCT" and not word_class.work)


def before_is_attributive(t: Tagged, i: int) -> bool:
    """Whether the adjective before token `i` belongs to a noun phrase that is still open ("the new seal")."""
    j = i - 1
    while j >= 0 and t.tag[j] in ("ADJ", "NOUN"):
        j -= 1
    return j >= 0 and t.tag[j] in ("DET", "NUM", "PREP")
