"""Word classes of an utterance, by lexicon, word shape and context; no statistical model.

Most words have one class; the rules below decide the others, above all noun or verb ("clamp", "drain",
"lock"): what stands before, what stands after, and whether the clause already has its verb.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from extract.language import grammar
from extract.language.numbers import read_number
from extract.language.repairs import find_repairs
from extract.language.tokens import blank_english
from extract.lexicon import Lexicon

_PUNCTUATION = re.compile(r"^[^\w°%]+$")
_SIZE = re.compile(r"^(?:m\d+(?:[x.]\d+(?:\.\d+)?)*|\d+/\d+-\d+|\d+-\d+/\d+)$")
_NP_OPENERS = frozenset({"DET", "NUM", "ADJ"})
#: Words that are nouns only behind an article or a preposition.
_VERBS_FIRST = frozenset("go goes get gets want wants come comes put puts take takes keep keeps need needs let lets make makes give gives look looks".split())
#: Before "half" these make it a part ("the rear half"), not a number.
_HALF_OF = frozenset(
    "rear front upper lower top bottom other first second each either outer inner left right left-hand right-hand this that new old one".split()
)
_IDIOMS = (
    ("one", "after", "the", "other"), ("one", "by", "one"), ("one", "at", "a", "time"), ("at", "a", "time"), ("face", "down"), ("face", "up"),
    ("by", "the", "way"), ("of", "course"), ("in", "order"), ("in", "advance"), ("as", "well"), ("at", "all"), ("all", "the", "way"), ("the", "right", "way", "round"),
    ("the", "wrong", "way", "round"), ("and", "so", "on"), ("and", "all"), ("for", "now"), ("turn", "about"),
    ("at", "the", "same", "time"), ("while", "you", "'re", "at", "it"), ("in", "one", "go"), ("in", "the", "one", "go"), ("a", "bit", "at", "a", "time"),
    ("last", "of", "all"), ("first", "of", "all"), ("before", "anything", "else"), ("to", "start", "with"), ("to", "begin", "with"),
)  # fmt: skip
_PHRASES = frozenset({("heads", "up"), ("y'", "all"), ("ta", "very"), ("of", "course"), ("you", "know"),
    ("first", "thing"), ("next", "thing"), ("first", "off"), ("first", "up"), ("next", "up"), ("either", "way"), ("either", "sort"),
    ("last", "thing"), ("this", "time"), ("no", "worries")})  # fmt: skip
_FILLERS = frozenset({"uh", "um", "er", "erm", "ah", "uhm", "hmm", "mm"})


@dataclass(slots=True)
class WordClass:
    """Classes that a word can have: `tags` most usual first, `forms` its verb forms, `base` its verb, `work` if it
    is a verb of the work lexicon, `thing` if it is a term of the trade, `modifier` its modifier kind."""

    tags: tuple[str, ...]
    forms: str = ""
    base: str = ""
    work: bool = False
    thing: bool = False
    modifier: str = ""


@dataclass(slots=True)
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


class Tagger:
    """Tags utterances with the words of one lexicon; keeps what it learned about each word."""

    def __init__(self, lexicon: Lexicon) -> None:
        self.lexicon = lexicon
        self._terms = lexicon.term_forms()
        self._classes: dict[str, WordClass] = {}
        self._tokenizer = blank_english().tokenizer

    def word_class(self, low: str) -> WordClass:
        """What the lower-case word `low` can be."""
        found = self._classes.get(low)
        if found is None:
            found = self._classes[low] = self._classify(low)
        return found

    def _classify(self, low: str) -> WordClass:
        tags: list[str] = []
        forms = ""
        base = ""
        verb_forms = self.lexicon.verb_forms.get(low, ())
        work = bool(verb_forms)
        for verb, form in verb_forms:
            base = base or verb
            if form not in forms:
                forms += form
        thing = low in self._terms
        modifier = self.lexicon.modifiers.get(low, "")
        english = self.lexicon.english.get(low)
        if english is not None:
            for group in english.classes:
                tag = {"N": "NOUN", "V": "VERB", "J": "ADJ", "R": "ADV"}[group[0]]
                if tag not in tags:
                    tags.append(tag)
                forms += "".join(form for form in group[1:] if form not in forms)
            base = base or english.lemma_verb or low
        if work and "VERB" not in tags:
            tags.append("VERB")
        if thing and "NOUN" not in tags:
            tags.insert(0, "NOUN")
        if modifier and not tags:
            tags.append("ADJ")
        elif modifier and "ADJ" not in tags and "NOUN" not in tags:
            tags.append("ADJ")
        if not tags:
            tags, forms, base = self._by_shape(low)
        return WordClass(tuple(tags), forms, base, work, thing, modifier)

    def _by_shape(self, low: str) -> tuple[list[str], str, str]:
        if "-" in low:
            last = low.rsplit("-", 1)[1]
            if last in self._terms and last not in ("hand", "side"):
                return ["NOUN"], "", ""
            return ["ADJ"], "", ""
        if low.endswith("ly") and len(low) > 4:
            return ["ADV"], "", ""
        for prefix in ("re", "un", "de", "dis"):
            stem = low[len(prefix) :]
            if low.startswith(prefix) and stem in self.lexicon.verb_forms:
                verb, form = self.lexicon.verb_forms[stem][0]
                return ["VERB"], form, prefix + verb
        if low.endswith("ing") and len(low) > 5:
            return ["NOUN", "VERB"], "g", low[:-3]
        if low.endswith("ed") and len(low) > 4:
            return ["ADJ", "VERB"], "dn", low[:-2]
        return ["NOUN"], "", ""

    def tag(self, text: str) -> Tagged:
        """Tag one utterance."""
        doc = self._tokenizer(text)
        words = [token.text for token in doc]
        low = [word.lower().replace("’", "'") for word in words]
        start = [token.idx for token in doc]
        size = len(words)
        tagged = Tagged(
            text, words, low, start, [at + len(word) for at, word in zip(start, words, strict=True)],
            [""] * size, [""] * size, [""] * size, [None] * size, [1] * size, [],
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
        if before in ("this", "that", "which", "new", "old", "other", "same", "each", "next", "another", "right", "any"):
            return True
        if before and before not in grammar.DETERMINERS and before not in grammar.ADVERBS and "ADJ" in self.word_class(before).tags[:2]:
            return True
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
            elif word in _FILLERS:
                t.tag[i] = "INTJ"
            elif (word, after) in _PHRASES or (before, word) in _PHRASES:
                t.tag[i] = "INTJ"
            elif word in grammar.NEGATIONS:
                t.tag[i] = "NEG"
            elif word == "'s":
                t.tag[i] = "AUX" if before in grammar.PRONOUNS | grammar.DEMONSTRATIVES | {"here", "that", "what", "who"} else "X"
            elif word in ("lemme", "let") and (word == "lemme" or after in ("'s", "us", "me", "s")):
                t.tag[i] = "AUX"
            elif word in ("wanna", "gotta", "gonna", "na", "ta") and not (word in ("na", "ta") and before not in ("gon", "got", "wan")):
                t.tag[i] = "AUX"
            elif word == "got" and after in ("to", "ta"):
                t.tag[i] = "AUX"
            elif word in grammar.MODALS and word != "got":
                t.tag[i] = "AUX" if not (word in ("can", "will", "might") and before in grammar.ARTICLES) else ""
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
                    following = self._peek(t, i + 1)
                    owner = following in ("NOUN", "ADJ") or (i + 1 < len(t) and self._compound(t, i + 1))
                    t.tag[i] = "DET" if owner else "AUX"
                else:
                    self._decide(t, i, clause_has_verb)
            tag = t.tag[i]
            if tag == "VERB" or tag == "AUX":
                clause_has_verb = True
            elif tag in ("PUNCT", "CONJ", "SUB"):
                clause_has_verb = False if tag != "CONJ" or not self._joins_nouns(t, i) else clause_has_verb
            elif tag == "INTJ" or (tag == "ADV" and t.low[i] in grammar.DISCOURSE_OPENERS and not self._after_verb(t, i)):
                clause_has_verb = False

    def _after_verb(self, t: Tagged, i: int) -> bool:
        return i > 0 and t.tag[i - 1] in ("VERB", "AUX")

    def _joins_nouns(self, t: Tagged, i: int) -> bool:
        return i + 1 < len(t) and (t.tag[i + 1] in ("NUM",) or t.low[i + 1] in grammar.ARTICLES)

    def _peek(self, t: Tagged, i: int) -> str:
        """The likely class of token `i` without its context, fillers skipped."""
        while i < len(t) and t.low[i] in _FILLERS:
            i += 1
        if i >= len(t):
            return "END"
        if t.tag[i] not in ("", "X"):
            return t.tag[i]
        word = t.low[i]
        if word in grammar.ARTICLES or word in ("both", "all", "some", "any", "no", "either", "every", "many", "several"):
            return "DET"
        if word in grammar.PRONOUNS:
            return "PRON"
        if word in grammar.SUBORDINATORS and word not in ("before", "after", "so", "as", "once", "till", "until"):
            return "SUB"
        if word in grammar.PARTICLES or word in grammar.PREPOSITIONS:
            return "PREP"
        if word in grammar.ADVERBS or word in grammar.INTERJECTIONS:
            return "ADV"
        return self.word_class(word).tags[0]

    def _previous(self, t: Tagged, i: int) -> int:
        """Index of the token before `i` that matters for structure: fillers and adverbs skipped; -1 at the start."""
        i -= 1
        while i >= 0 and (t.low[i] in _FILLERS or (t.tag[i] == "ADV" and t.low[i] not in grammar.DISCOURSE_OPENERS)):
            i -= 1
        return i

    def _noun_follows(self, t: Tagged, i: int) -> bool:
        """Whether the words after `i` can go on with a noun phrase that `i` belongs to."""
        j = i + 1
        while j < len(t) and j < i + 4:
            if t.tag[j] == "PUNCT" or t.tag[j] == "CONJ":
                return False
            word = t.low[j]
            if t.tag[j] == "NUM" or word in grammar.ARTICLES or word in grammar.PRONOUNS:
                return False
            if word in grammar.PREPOSITIONS or word in grammar.SUBORDINATORS or word in grammar.PARTICLES or t.tag[j]:
                return False
            word_class = self.word_class(word)
            if word_class.thing or word_class.tags[0] == "NOUN":
                return True
            if "ADJ" not in word_class.tags and "NOUN" not in word_class.tags:
                return False
            if word_class.tags[0] == "VERB" and self._peek(t, j + 1) in ("DET", "PRON", "TO", "NUM"):
                return False
            j += 1
        return False

    def _decide(self, t: Tagged, i: int, clause_has_verb: bool) -> None:
        word = t.low[i]
        before = self._previous(t, i)
        previous = t.tag[before] if before >= 0 else "START"
        previous_word = t.low[before] if before >= 0 else ""
        following = self._peek(t, i + 1)
        after = t.low[i + 1] if i + 1 < len(t) else ""

        closed = self._decide_closed(t, i, word, previous, previous_word, following, after)
        if closed:
            t.tag[i] = closed
            return
        word_class = self.word_class(word)
        tags = word_class.tags
        if _SIZE.match(word):
            t.tag[i] = "ADJ"
            return
        if word in _VERBS_FIRST and previous not in ("DET", "NUM", "PREP") and "VERB" in tags and (
            previous != "ADJ" or "s" in word_class.forms
        ):  # fmt: skip
            t.tag[i] = "VERB"
            t.form[i] = self._form(word_class, previous, previous_word)
            t.base[i] = self._base(word, word_class)
            return
        if after in ("one", "ones") and "ADJ" in tags:
            t.tag[i] = "ADJ"
            return
        if len(tags) == 1 and tags[0] != "VERB":
            bare = tags[0] == "ADJ" and previous in ("DET", "NUM") and (
                following in ("END", "PUNCT", "PREP", "CONJ", "AUX") or after in _VERBS_FIRST
            )  # fmt: skip
            t.tag[i] = "NOUN" if bare and word_class.modifier != "state" else tags[0]
            return
        if "VERB" in tags and self._is_verb(t, i, word_class, previous, previous_word, following, after, clause_has_verb):
            t.tag[i] = "VERB"
            t.form[i] = self._form(word_class, previous, previous_word)
            t.base[i] = self._base(word, word_class)
            return
        others = [tag for tag in tags if tag != "VERB"] or ["NOUN"]
        if "ADJ" in others and len(others) > 1:
            noun_next = self._noun_follows(t, i)
            if noun_next:
                t.tag[i] = "ADJ"
            elif previous == "AUX" and previous_word in grammar.BE and not word_class.thing:
                t.tag[i] = "ADJ"
            elif others[0] == "ADJ" and previous == "NOUN" and not word_class.thing:
                t.tag[i] = "ADJ"
            elif "NOUN" in others and previous in ("DET", "ADJ", "NUM", "NOUN", "PREP", "TO"):
                t.tag[i] = "NOUN"
            else:
                t.tag[i] = others[0]
        elif others == ["NOUN"] and word_class.forms in ("g", "dn", "nd", "d", "n") and self._noun_follows(t, i):
            t.tag[i] = "ADJ"
        else:
            t.tag[i] = others[0]

    def _decide_closed(
        self, t: Tagged, i: int, word: str, previous: str, previous_word: str, following: str, after: str
    ) -> str:
        """Class of a word of the closed classes that context decides; empty for words of the open classes."""
        phrase_next = following in ("DET", "NUM", "NOUN", "ADJ", "PRON")
        if word == "back" and after in ("off", "out", "up") and previous in ("START", "PUNCT", "CONJ", "INTJ", "ADV", "TO"):
            return ""
        if word in ("right", "well", "grand", "so", "next", "first", "second", "last", "now"):
            if word in ("right", "next", "first", "second", "last") and previous in ("DET", "NUM"):
                return "ADJ" if self._noun_follows(t, i) or after in ("one", "ones", "two", "three", "step", "steps") else "NOUN"
            if word == "right" and after in ("hand", "side", "angle", "angles", "front", "rear") and previous in ("DET", "PREP", "ADJ"):
                return "ADJ"
            return "ADV" if word in ("next", "first", "second", "last", "now", "so") else "INTJ"
        if word in ("before", "after", "since", "until", "till", "as", "like", "than"):
            if following in ("END", "PUNCT") and word in ("before", "after"):
                return "ADV"
            if word in ("until", "till", "as", "than"):
                return "SUB"
            return "SUB" if following == "PRON" or self._clause_follows(t, i + 1) else "PREP"
        if word == "once":
            return "SUB" if following in ("DET", "PRON", "NOUN", "ADJ", "NUM") else "ADV"
        if word == "that" or word in grammar.DEMONSTRATIVES:
            if previous in ("NOUN",) and word == "that":
                ahead = self._peek(t, i + 2)
                whole = following in ("NOUN", "ADJ") and (ahead == "AUX" or t.low[i + 2 : i + 3] == ["'s"])
                return "DET" if whole else "SUB"
            if word == "that" and previous == "VERB" and following == "DET":
                return "SUB"
            if i + 1 < len(t) and self._compound(t, i + 1):
                return "DET"
            if word in ("this", "these", "those", "that") and (following in ("NOUN", "ADJ", "NUM") or after in ("one", "ones")):
                if word in ("this", "that") and self._verb_after_demonstrative(t, i):
                    return "PRON"
                return "DET"
            return "PRON"
        if word in ("which", "who", "whose", "where", "what"):
            return "SUB"
        if word in ("more", "less"):
            return "ADJ" if previous == "NUM" or following == "NOUN" else "ADV"
        if word in ("both", "all", "some", "any", "each", "either", "neither", "many", "several", "few", "another", "enough"):
            named = i + 1 < len(t) and (self._compound(t, i + 1) or self.word_class(after).thing)
            return "DET" if named or following in ("NOUN", "ADJ", "DET", "NUM", "PRON") or after == "of" else "PRON"
        if word == "them" and following in ("NOUN", "ADJ") and not self._verb_after_demonstrative(t, i):
            return "DET" if previous not in ("VERB",) or self._is_thing_next(t, i) else "PRON"
        if word == "her":
            return "DET" if following == "NOUN" and self._is_thing_next(t, i) else "PRON"
        if word in ("no",):
            return "DET" if following in ("NOUN", "ADJ", "NUM") else "INTJ"
        if word in grammar.DETERMINERS:
            return "DET"
        if word in grammar.PRONOUNS:
            return "PRON"
        if word in grammar.PARTICLES and word in grammar.PREPOSITIONS:
            if word == "out" and after == "of":
                return "PREP"
            if previous in ("NOUN", "PRON", "VERB") and t.tag[i + 1 : i + 2] == ["NUM"] and {"turn", "turns", "degrees"} & set(t.low[i + 2 : i + 7]):
                return "PART"
            ahead = self._peek(t, i + 2)
            if following == "PREP" and after in grammar.PARTICLES and ahead == "NOUN":
                return "PREP"  # "in forward gear"
            named = following == "VERB" and i + 1 < len(t) and (
                self.word_class(after).thing or "b" not in self.word_class(after).forms)  # fmt: skip
            return "PREP" if (phrase_next or named) and not self._verb_start(t, i + 1) else "PART"
        if word in grammar.PREPOSITIONS:
            return "PREP"
        if word in ("away", "back", "apart", "aside", "together", "forwards", "backwards", "upwards", "downwards",
                    "inwards", "outwards", "sideways", "upright", "forward", "backward", "upward", "downward", "outward", "inward"):  # fmt: skip
            if word in ("forward", "upward", "downward") and previous == "PREP" and following == "NOUN":
                return "ADJ"
            if word == "upright" and previous in ("DET", "ADJ") and following == "NOUN":
                return "ADJ"
            if word == "back" and previous in ("DET", "ADJ", "NUM"):
                return "ADJ" if self._noun_follows(t, i) else "NOUN"
            return "PART"
        if word in ("loose", "open", "home", "free", "clear", "tight", "shut", "straight", "flush"):
            if previous in ("VERB", "PRON", "NOUN", "PART") and not phrase_next and following != "VERB":
                return "PART" if previous != "NOUN" or i >= 2 else ""
            if previous == "VERB" and after in ("the", "a", "it", "them"):
                return "PART"
            return ""
        if word in grammar.SUBORDINATORS:
            return "SUB"
        if word in grammar.INTERJECTIONS:
            return "INTJ" if word not in ("actually", "basically", "obviously") else "ADV"
        if word in grammar.ADVERBS:
            return "ADV"
        return ""

    def _is_thing_next(self, t: Tagged, i: int) -> bool:
        return i + 1 < len(t) and self.word_class(t.low[i + 1]).thing

    def _verb_start(self, t: Tagged, i: int) -> bool:
        """Whether token `i` can only open a new verb phrase ("… off clean the …")."""
        if i >= len(t) or t.tag[i]:
            return False
        word_class = self.word_class(t.low[i])
        if "b" not in word_class.forms:
            return False
        return word_class.tags == ("VERB",) or self._peek(t, i + 1) in ("DET", "PRON")

    def _verb_after_demonstrative(self, t: Tagged, i: int) -> bool:
        """ "that comes off", "this holds the …": the next word is a verb in the third person, not a noun."""
        if i + 1 >= len(t):
            return False
        word_class = self.word_class(t.low[i + 1])
        if t.low[i] in ("this", "that"):
            return "s" in word_class.forms and (not word_class.thing or self._peek(t, i + 2) in ("DET", "PREP", "PART"))
        return word_class.tags == ("VERB",) and "b" in word_class.forms and self._peek(t, i + 2) in ("DET", "PREP")

    def _clause_follows(self, t: Tagged, i: int) -> bool:
        """Whether a verb with its subject follows before the next comma: "before the pump goes back"."""
        seen_noun = False
        j = i
        while j < len(t) and j < i + 8:
            if t.tag[j] in ("PUNCT", "CONJ"):
                return False
            word = t.low[j]
            if word in grammar.PRONOUNS - grammar.DETERMINERS:
                return True
            if t.tag[j] == "AUX" or (t.tag[j] == "X" and self._peek(t, j + 1) not in ("NOUN", "ADJ")):
                return seen_noun
            word_class = self.word_class(word)
            if seen_noun and "VERB" in word_class.tags and "s" in word_class.forms and not word_class.thing:
                return True
            if word_class.thing or "NOUN" in word_class.tags:
                seen_noun = True
            j += 1
        return False

    def _is_verb(
        self, t: Tagged, i: int, word_class: WordClass, previous: str, previous_word: str, following: str, after: str,
        clause_has_verb: bool,
    ) -> bool:  # fmt: skip
        """Noun or verb? Adjective or verb? The rules in the order in which they are safest."""
        tags = word_class.tags
        forms = word_class.forms
        only_verb = tags == ("VERB",)
        phrase_next = following in ("DET", "PRON", "NUM")
        if previous == "NEG":
            return True
        if previous == "AUX":
            if previous_word in grammar.BE:
                if "n" in forms and following == "NOUN" and "g" not in forms:
                    return False  # "it's split flanges"
                if "g" in forms or "n" in forms:
                    return not (tags[0] == "ADJ" and not word_class.work) or following in ("PREP", "TO")
                return only_verb
            if previous_word in grammar.HAVE:
                return "n" in forms or only_verb
            if previous_word in ("need", "needs"):
                return True
            return True
        if previous == "TO":
            if "b" not in forms:
                return False
            if only_verb or phrase_next or following in ("PREP", "PART", "ADV"):
                return True
            return tags[0] == "VERB" or (word_class.work and not word_class.thing) or (
                following in ("NOUN", "ADJ") and word_class.work
            )  # fmt: skip
        if previous in ("DET", "NUM") or (previous == "ADJ" and before_is_attributive(t, i)):
            if previous_word in ("them", "all", "both", "each") and previous != "DET":
                return phrase_next
            if previous == "NUM" and "s" not in forms and phrase_next and "b" in forms and not word_class.thing:
                return True
            return False
        if previous == "PREP":
            if "g" in forms:
                if previous_word in ("with", "of", "from") and not phrase_next and self._noun_follows(t, i):
                    return False
                return phrase_next or (following in ("NOUN", "ADJ") and not self._compound(t, i)) or (
                    only_verb and not self._noun_follows(t, i)
                )  # fmt: skip
            if following in ("END", "PUNCT") or previous_word in ("of", "from", "with", "at", "for", "in", "into"):
                return only_verb and "b" in forms and phrase_next
            return only_verb or (phrase_next and "b" in forms and t.tag[i - 1] != "PREP")
        if previous == "PRON":
            if previous_word in grammar.SUBJECT_PRONOUNS and previous_word not in ("it",):
                return True
            if "b" in forms and (phrase_next or following in ("PART", "PREP")) and not clause_has_verb:
                return True
            if previous_word in ("it", "this", "that") and ("s" in forms or "d" in forms):
                return not word_class.thing or following in ("DET", "PREP", "PART", "ADV", "END", "PUNCT")
            if previous_word in grammar.OBJECT_PRONOUNS and i >= 2 and t.low[i - 2] in grammar.CAUSATIVES:
                return True
            if "b" in forms and only_verb:
                return True
            return "b" in forms and word_class.work and (phrase_next or tags[0] == "VERB") and tags[0] != "ADJ"
        if previous in ("START", "PUNCT", "CONJ", "SUB", "INTJ", "ADV"):
            return self._is_verb_at_clause_start(t, i, word_class, previous, previous_word, following, after)
        if previous in ("PART",):
            if "b" in forms and (phrase_next or only_verb):
                return True
            return "b" in forms and word_class.work and tags[0] == "VERB" and following in ("NOUN", "ADJ")
        if previous == "VERB":
            # "go ahead and undo", "help lift the": a bare verb after a verb is rare; gerunds are not.
            if "g" in forms and t.base[i - 1] in ("need", "want", "start", "stop", "finish", "keep", "avoid", "mean", "require"):
                return True
            if "n" in forms and t.base[i - 1] in ("get", "need", "want") and not self._noun_follows(t, i):
                return True
            return only_verb and "b" in forms and phrase_next
        if previous in ("NOUN", "ADJ"):
            return self._is_verb_after_noun(t, i, word_class, following, after, clause_has_verb)
        return tags[0] == "VERB"

    def _is_verb_at_clause_start(
        self, t: Tagged, i: int, word_class: WordClass, previous: str, previous_word: str, following: str, after: str
    ) -> bool:
        tags = word_class.tags
        forms = word_class.forms
        only_verb = tags == ("VERB",)
        phrase_next = following in ("DET", "PRON", "NUM")
        if "b" in forms:
            if previous == "CONJ" and word_class.thing and not only_verb and following != "DET" and self._bare_noun_before(t, i):
                return False  # "oil and grease", "any nut or bolt"
            if phrase_next or only_verb:
                return True
            if after in grammar.PARTICLES or after in ("to",):
                return tags[0] == "VERB" or word_class.work
            if previous == "CONJ" and following in ("END", "PUNCT", "PREP", "AUX", "CONJ"):
                coordinated_noun = self._noun_before_conjunction(t, i)
                if coordinated_noun and word_class.thing:
                    return False
                return tags[0] == "VERB" or (word_class.work and not coordinated_noun)
            if following in ("NOUN", "ADJ", "ADV"):
                if self._compound(t, i):
                    return False
                return word_class.work or tags[0] == "VERB"
            if tags[0] == "NOUN" and after in ("for", "of") and not only_verb:
                return False
            if following in ("PREP", "END", "PUNCT", "CONJ", "TO"):
                return (word_class.work and tags[0] != "ADJ") or tags[0] == "VERB"
            if following == "VERB":
                return False
            return word_class.work and following != "AUX"
        if "g" in forms:
            if phrase_next:
                return True
            if following in ("NOUN", "ADJ"):
                return not self._compound(t, i)
            return only_verb or word_class.work
        if "s" in forms:
            return only_verb or (not word_class.thing and phrase_next)
        if ("d" in forms or "n" in forms) and phrase_next:
            return True
        return only_verb or ("n" in forms and word_class.work and following in ("PREP", "ADV", "PART"))

    def _bare_noun_before(self, t: Tagged, i: int) -> bool:
        """Whether a noun without article of its own stands right before the conjunction before `i`."""
        j = i - 2
        if j < 0 or t.tag[j] != "NOUN":
            return False
        before = t.low[j - 1] if j else ""
        return j == 0 or t.tag[j - 1] in ("VERB", "PREP", "PUNCT") or before in ("any", "no", "all", "every", "each", "of")

    def _noun_before_conjunction(self, t: Tagged, i: int) -> bool:
        j = i - 1
        while j >= 0 and t.tag[j] in ("CONJ", "INTJ", "ADV"):
            j -= 1
        return j >= 0 and t.tag[j] in ("NOUN", "NUM") and t.tag[j] != "PUNCT"

    def _compound(self, t: Tagged, i: int) -> bool:
        """Whether this word and the next are a part's name ("drain plug", "lock nut") rather than verb and object."""
        if i + 1 >= len(t):
            return False
        pair = f"{t.low[i]} {t.low[i + 1]}"
        if pair in self._terms or (i + 2 < len(t) and f"{pair} {t.low[i + 2]}" in self._terms):
            return True
        word_class = self.word_class(t.low[i])
        following = self.word_class(t.low[i + 1])
        if not word_class.modifier or not following.thing:
            return False
        # A plural after a verb-like word is more often its object ("tap hammers" is no command, "check levels" is).
        rest = self._peek(t, i + 2)
        return rest in ("AUX", "VERB") or (rest != "END" and rest != "PUNCT" and not word_class.work)

    def _is_verb_after_noun(
        self, t: Tagged, i: int, word_class: WordClass, following: str, after: str, clause_has_verb: bool
    ) -> bool:
        tags = word_class.tags
        forms = word_class.forms
        only_verb = tags == ("VERB",)
        phrase_next = following in ("DET", "PRON", "NUM")
        plural_before = t.low[i - 1].endswith("s") and not t.low[i - 1].endswith("ss")
        if i + 2 < len(t) and "b" in forms and "b" in self.word_class(after).forms and not t.tag[i + 1]:
            # "the air assist pull the …": of two words that could be the verb, the one before the object is.
            if self._peek(t, i + 2) in ("DET", "PRON"):
                return False
        if clause_has_verb:
            # A new clause without a mark between ("… the cover lift it off"), or a participle behind its noun.
            term = self._terms.get(t.low[i])
            named = f"{t.low[i - 1]} {t.low[i]}" in self._terms or (
                term is not None and term.kind in ("fluid", "material") and i > 1 and t.tag[i - 2] in ("DET", "ADJ", "VERB", "PREP")
            )  # fmt: skip
            if named and not only_verb:
                return False
            if "b" in forms and phrase_next and (word_class.work or only_verb or tags[0] == "VERB"):
                return not word_class.thing or only_verb or tags[0] == "VERB" or after in (
                    "it", "them", "em", "the", "your", "that", "those", "both")  # fmt: skip
            if "b" in forms and word_class.work and after in grammar.PARTICLES and self._peek(t, i + 2) in ("DET", "PRON"):
                return True
            if ("n" in forms or "d" in forms or "g" in forms) and (only_verb or tags[0] == "VERB") and following in (
                "PREP", "PART", "ADV", "DET", "TO", "END", "PUNCT", "AUX", "CONJ",
            ):  # fmt: skip
                return True
            if "s" in forms and only_verb:
                return True
            return only_verb and "b" in forms
        if after in ("they", "we", "you", "i", "ye") and not only_verb:
            return False
        if "s" in forms and not plural_before:
            if only_verb or (not word_class.thing and following in ("DET", "PRON", "PREP", "PART", "ADV", "ADJ", "NUM", "END", "PUNCT")):
                return True
            named = f"{t.low[i - 1]} {t.low[i]}" in self._terms
            return not named and (following in ("DET", "PRON") or ((not word_class.thing or tags[0] == "VERB") and after in grammar.PARTICLES))
        if "d" in forms or "n" in forms:
            return only_verb or tags[0] == "VERB" or following in ("PREP", "PART", "DET")
        if "g" in forms:
            return following in ("DET", "PRON") or (only_verb and following in ("PREP", "PART"))
        if "b" in forms and plural_before:
            return only_verb or phrase_next or (not word_class.thing and following in ("PREP", "PART", "ADV", "ADJ"))
        if "b" in forms and phrase_next and word_class.work and (not word_class.thing or tags[0] == "VERB"):
            # "at the gearbox end pull the …": without -s no verb of the noun before it, so a command.
            return f"{t.low[i - 1]} {t.low[i]}" not in self._terms
        return only_verb and "b" in forms and following in ("DET", "PRON", "NUM", "PART", "PREP", "ADV")

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


def before_is_attributive(t: Tagged, i: int) -> bool:
    """Whether the adjective before token `i` belongs to a noun phrase that is still open ("the new seal")."""
    j = i - 1
    while j >= 0 and t.tag[j] in ("ADJ", "NOUN"):
        j -= 1
    return j >= 0 and t.tag[j] in ("DET", "NUM", "PREP")
