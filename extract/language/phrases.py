"""Noun phrases: which words name a thing, how many of it, and which words only describe it."""

from __future__ import annotations

import re
from dataclasses import dataclass

from extract.language import grammar
from extract.language.context import Tagged
from extract.language.tagging import Tagger
from extract.language.units import read_unit
from extract.speech import Kind

_SIZE_WORD = re.compile(
    r"^(?:[\w.]+|(?:[a-z]+-)+[a-z]+|\d+(?:\.\d+)?(?:/\d+)?)-?(?:mil|mill|mm|millimetre|millimeter|inch|inches|thou|tonne|ton|"
    r"litre|liter|pound|newton|bar|degree)$|^\d+(?:\.\d+)?(?:mm|mil|in)$"
)
#: Classes that a noun phrase can begin with.
_NOMINAL = frozenset({"DET", "NUM", "ADJ", "NOUN", "PRON"})
_COLOURS = frozenset("red blue green yellow black white grey gray orange brown pink purple".split())
#: Words between a count and what is counted that name nothing ("four numbers of bolts", "two pieces of washers").
_COUNTED_OUT = frozenset(["numbers", "pieces", "nos", "pcs"])
_COUNT_NOUNS = {"couple": 2, "pair": 2, "dozen": 12}
_CODE = re.compile(r"^[a-z]{1,4}-?\d+[a-z]?$")
#: Nouns whose number stands behind them ("table four").
_NUMBERED = frozenset(
    "table page figure chapter section number stage step size grade class item position sheet drawing annex "
    "cylinder".split()
)
#: Words that pick some of several parts of one name.
_WHICH_OF_SEVERAL = frozenset(
    "other remaining first last next top bottom upper lower outer inner middle left right left-hand right-hand front "
    "rear back long short big small".split()
)
#: From here on a bare number is a value without its unit rather than a count of parts.
_NO_COUNT = 60
_VAGUE = frozenset("some several few many lot lots bunch handful usual various odd number".split())
#: Parts of people: "your arm" is never the arm of a machine.
_BODY = frozenset(
    "hand finger arm eye face head chin thumb knee leg foot hair wrist elbow nose ear toe shoulder shin knuckle tooth "
    "neck back palm fingertip".split()
)
_PEOPLE = frozenset("your yer my his".split())
_LEXICON_KINDS: dict[str, Kind] = {
    "part": "part", "assembly": "part", "fastener": "fastener", "seal": "seal", "fluid": "fluid", "material": "material",
    "tool": "tool", "ppe": "tool", "machine": "machine", "place": "place", "person": "person", "abstract": "abstract",
}  # fmt: skip


@dataclass(slots=True, eq=False)
class Chunk:
    """A noun phrase over the tokens `first` up to, not including, `last`; `head` is the token of its head noun.

    `text` is the name without article, count and describing words ("pinch bolt"), `noun` its head in the
    singular. `vague` holds the words of a count that is not one ("several", "the usual").
    """

    first: int
    last: int
    head: int
    text: str
    noun: str
    kind: Kind = "unknown"
    component: str | None = None
    determiner: str | None = None
    quantity: int | None = None
    quantity_text: str | None = None
    vague: str | None = None
    plural: bool = False
    new: bool = False
    size: str | None = None
    pronoun: str | None = None
    owner: str | None = None


#: Nouns that tell how much of what follows "of".
_AMOUNTS = frozenset(
    "coat film smear drop dab bead splash squirt blob layer lick skim amount dash drizzle dollop "
    "coating thimbleful spoonful tablespoon teaspoon cupful tube".split()
)


class Chunker:
    """Finds the noun phrases of a tagged utterance."""

    def __init__(self, tagger: Tagger) -> None:
        self.tagger = tagger
        self.lexicon = tagger.lexicon

    def chunks(self, t: Tagged) -> list[Chunk]:
        """All noun phrases, in order, none inside another; "of" chains are not joined."""
        found: list[Chunk] = []
        at = 0
        amount: Chunk | None = None
        tags = t.tag
        while at < len(tags):
            chunk = self._chunk_at(t, at) if tags[at] in _NOMINAL else None
            if chunk is not None and chunk.last > at:
                if found and t.low[at] == "'s" and found[-1].last == at:
                    # "the brake band's split pin": one thing, and what it belongs to.
                    owner = found.pop()
                    chunk.first, chunk.owner, chunk.determiner = owner.first, owner.text, owner.determiner
                elif (
                    amount is not None
                    and found
                    and found[-1] is amount
                    and (chunk.kind in ("fluid", "material") or (chunk.kind == "unknown" and chunk.determiner is None))
                ):
                    # "a light coat of oil": the thing is the oil, the coat its amount.
                    found.pop()
                    chunk.first, chunk.quantity, chunk.determiner = amount.first, None, amount.determiner
                    chunk.quantity_text = t.phrase(amount.first, amount.last)
                measures = chunk.noun in _AMOUNTS and t.low[chunk.last : chunk.last + 1] == ["of"]
                amount = chunk if measures else None
                found.append(chunk)
                at = chunk.last + (1 if amount is not None else 0)
            else:
                at += 1
        return found

    def _chunk_at(self, t: Tagged, at: int) -> Chunk | None:
        tag = t.tag[at]
        if tag == "PRON":
            return self._pronoun(t, at)
        if tag == "ADJ" and not self._goes_on(t, at):
            return None
        some = self._some_of_them(t, at)
        if some is not None:
            return some
        determiner: str | None = None
        quantity: int | None = None
        quantity_text: str | None = None
        vague: str | None = None
        size: str | None = None
        i = at
        # Determiners, counts and "of": "all three of the", "one of the", "a couple of", "both the".
        while i < len(t):
            word = t.low[i]
            if t.tag[i] == "DET":
                if word == "both":
                    quantity, quantity_text = 2, word
                elif word in {"some", "any", "several", "few", "many", "various"}:
                    vague = word
                    quantity_text = word
                else:
                    determiner = word if determiner is None or word not in ("all",) else determiner
                i += 1
            elif t.tag[i] == "NUM" and t.number[i] is not None:
                used = t.span[i]
                unit = self._size_unit(t, i + used)
                value = t.number[i]
                if unit:
                    if not self._nominal_follows(t, i + used + unit):
                        break
                    size = t.phrase(i, i + used + unit)
                    i += used + unit
                elif (
                    determiner in ("a", "an", "your")
                    and quantity is None
                    and not self._plural_follows(t, i + used)
                    or quantity is not None
                    and quantity_text != "both"
                ):
                    size = t.phrase(i, i + used)
                    i += used
                else:
                    quantity = int(value) if value is not None and float(value).is_integer() else None
                    quantity_text = t.phrase(i, i + used)
                    i += used
            elif (
                word in _COUNT_NOUNS
                and t.tag[i] == "NOUN"
                and i + 1 < len(t)
                and t.low[i + 1] == "of"
                and word != "dozen"
            ):
                quantity, quantity_text = _COUNT_NOUNS[word] * (quantity or 1), word
                i += 1
            elif (
                word in _COUNTED_OUT
                and quantity is not None
                and t.low[i + 1 : i + 2] == ["of"]
                and self._nominal_follows(t, i + 2)
            ):
                i += 2  # "twelve numbers of bolts"
            elif word in {"set", "lot", "lots", "bunch", "handful", "number", "load", "kind", "sort", "type", "bit", "piece",
                          "length", "each", "rest", "few"} and i + 1 < len(t) and t.low[i + 1] == "of" and i > at - 1:  # fmt: skip
                if not self._nominal_follows(t, i + 2) and t.tag[i + 2 : i + 3] not in (["DET"], ["PRON"]):
                    break
                if word == "set" or (word == "load" and t.low[i - 1] != "a"):
                    break
                if word in {"lot", "lots", "bunch", "handful", "number", "load", "few"}:
                    vague = word
                    quantity_text = word
                i += 1
            elif word == "of" and i > at and (t.low[i - 1] in grammar.DETERMINERS or t.tag[i - 1] == "NUM"
                                              or t.low[i - 1] in _COUNT_NOUNS or vague or t.low[i - 1] in {"kind", "sort", "type", "rest", "bit", "piece", "length"}):  # fmt: skip
                if t.tag[i + 1 : i + 2] == ["PRON"]:
                    pronoun = self._pronoun(t, i + 1)
                    if pronoun:
                        pronoun.first = at
                        pronoun.quantity, pronoun.quantity_text, pronoun.vague = quantity, quantity_text, vague
                    return pronoun
                if not self._nominal_follows(t, i + 1) and t.tag[i + 1 : i + 2] not in (["DET"], ["NUM"]):
                    break
                # "one of the two bolts": the count is the one before "of".
                if quantity is not None and t.tag[i + 1 : i + 2] == ["DET"]:
                    j = i + 2
                    if j < len(t) and t.tag[j] == "NUM":
                        i = j + t.span[j]
                        continue
                i += 1
            else:
                break
        first_name = i
        head = -1
        numbered = ""
        new = False
        names: list[int] = []
        while i < len(t):
            tag, word = t.tag[i], t.low[i]
            if tag == "NOUN" or (tag == "ADJ" and self._goes_on(t, i)):
                if tag == "ADJ" and head >= 0 and word in {"new", "fresh", "old", "more"}:
                    break
                if tag == "NOUN":
                    if head >= 0 and self._starts_new_thing(t, i, head):
                        break
                    if head >= 0 and t.low[head] in _NUMBERED and _CODE.match(word):
                        numbered = " " + t.words[i]
                        i += 1
                        break
                    head = i
                if word in ("new", "fresh", "brand-new"):
                    new = True
                if word in ("single", "lone", "sole") and tag == "ADJ" and quantity is None:
                    quantity, quantity_text = 1, word
                    i += 1
                    continue
                if not self._descriptive(word, t, i):
                    names.append(i)
                else:
                    size = size or (word if _SIZE_WORD.match(word) else None)
                    if word in {"several", "few", "usual", "various", "odd"}:
                        vague = word
                i += 1
            elif (
                tag == "NUM"
                and head < 0
                and t.low[i - 1]
                in {"other", "remaining", "last", "first", "same", "new", "next", "old", "short", "long"}
            ):
                value = t.number[i]
                quantity = int(value) if value is not None and float(value).is_integer() else None
                quantity_text = t.phrase(i, i + t.span[i])
                i += t.span[i]
            elif tag == "NUM" and t.number[i] is not None and head < 0 and self._size_unit(t, i + t.span[i]):
                unit = self._size_unit(t, i + t.span[i])
                size = t.phrase(i, i + t.span[i] + unit)
                i += t.span[i] + unit
            elif (
                tag == "ADV"
                and word.endswith("ly")
                and head < 0
                and i > at
                and self._nominal_follows(t, i + 1)
                or tag == "CONJ"
                and head < 0
                and word in ("and", "or")
                and i > first_name
                and t.tag[i + 1 : i + 2] == ["ADJ"]
                or (
                    tag == "PUNCT"
                    and word == ","
                    and head < 0
                    and names
                    and t.tag[i + 1 : i + 2] == ["ADJ"]
                    and self._goes_on(t, i + 1)
                )
            ):
                i += 1
            else:
                break
        if head < 0:
            return self._headless(t, at, first_name, determiner, quantity, quantity_text, size)
        last = max(head + 1, i if numbered else 0)
        if t.low[head] in _NUMBERED and t.tag[last : last + 1] == ["NUM"] and t.number[last] is not None:
            numbered = " " + t.phrase(last, last + t.span[last])
            last += t.span[last]
        names = [index for index in names if index <= head]
        if head not in names:
            names.append(head)
        # A part's number or letter behind its name: "number two cylinder" is in front, "cylinder two" behind.
        written = [t.words[index] for index in names]
        if names[0] == 0:
            written[0] = self._without_capital(t.words[0], t.low[0])
        text = " ".join(written)
        noun = self.lexicon.singular(t.low[head])
        kind, component = self._kind(t, names, noun, size is not None)
        if determiner in _PEOPLE and len(names) == 1 and noun in _BODY:
            kind, component = "person", None
        plural = noun != t.low[head]
        if kind in ("fluid", "material") and names:
            kept = [index for index in names if t.low[index] not in _COLOURS or index == head]
            text = " ".join(t.words[index] for index in kept)
        text += numbered
        if quantity == 1 and determiner is None and quantity_text and t.low[at] == "half":
            quantity = None
        return Chunk(
            at, last, head, text, noun, kind, component, determiner, quantity, quantity_text, vague, plural, new, size
        )

    def _without_capital(self, word: str, low: str) -> str:
        """The first word of a sentence in a name: the capital that only opens the sentence is none of its own."""
        opens = word[1:].islower() and (low in self.lexicon.english or self.tagger.words.of(low).thing)
        return low if opens else word

    def _goes_on(self, t: Tagged, i: int) -> bool:
        """Whether an adjective at `i` is followed, over other describing words, by its noun."""
        j = i + 1
        while j < len(t) and j < i + 5:
            if t.tag[j] == "NOUN" or t.low[j] in ("one", "ones"):
                return True
            if (
                t.tag[j] in ("ADJ", "NUM")
                or (t.tag[j] == "CONJ" and t.tag[j + 1 : j + 2] == ["ADJ"])
                or t.low[j] == ","
                and t.tag[j + 1 : j + 2] == ["ADJ"]
            ):
                j += 1
            else:
                return False
        return False

    def _nominal_follows(self, t: Tagged, i: int) -> bool:
        return i < len(t) and (
            t.tag[i] == "NOUN"
            or (t.tag[i] == "ADJ" and self._goes_on(t, i))
            or (t.tag[i] == "NUM" and t.tag[i + 1 : i + 2] == ["NOUN"])
        )

    def _plural_follows(self, t: Tagged, i: int) -> bool:
        while i < len(t) and t.tag[i] in ("ADJ", "NOUN"):
            if t.tag[i] == "NOUN" and t.tag[i + 1 : i + 2] != ["NOUN"]:
                return self.lexicon.singular(t.low[i]) != t.low[i]
            i += 1
        return False

    def _size_unit(self, t: Tagged, i: int) -> int:
        """Tokens of a unit of size at `i` that describes the noun behind it ("ten mil bolts", "half inch bar")."""
        if i >= len(t):
            return 0
        unit = read_unit(t.low, i)
        if unit and unit[0] in {"mm", "in", "thou", "cm", "t", "l", "ft", "kg", "bar"} and t.low[i] not in ("in", "l"):
            return unit[1]
        return 0

    def _starts_new_thing(self, t: Tagged, i: int, head: int) -> bool:
        """A noun right behind a complete name that cannot belong to it: "the bolts motor side up"."""
        before = t.low[head]
        plural = before.endswith("s") and self.lexicon.singular(before) != before
        named = self.lexicon.term(f"{before} {t.low[i]}") is not None or before in self.lexicon.modifiers
        return plural and not named and self.tagger.words.of(t.low[i]).thing

    def _descriptive(self, word: str, t: Tagged, i: int) -> bool:
        if t.tag[i] != "ADJ":
            return False
        return self.lexicon.modifiers.get(word) == "state" or _SIZE_WORD.match(word) is not None

    def _kind(self, t: Tagged, names: list[int], noun: str, sized: bool) -> tuple[Kind, str | None]:
        """Kind and lexicon id of the longest end of the name that the lexicon knows; `sized`: a size stands before it."""
        terms = self.tagger.words.terms
        low = [t.low[index] for index in names]
        for start in range(len(low)):
            term = terms.get(" ".join(low[start:]))
            if term is not None:
                kind = term.sized_kind if sized and term.sized_kind and len(low) == 1 else term.kind
                return _LEXICON_KINDS[kind], term.id
        term = terms.get(noun)
        if term is not None:
            return _LEXICON_KINDS[term.kind], term.id
        return "unknown", None

    def _pronoun(self, t: Tagged, at: int) -> Chunk | None:
        word = t.low[at]
        if word in {"this", "that", "these", "those", "each", "both", "all"} and t.low[at + 1 : at + 2] in (
            ["one"],
            ["ones"],
            ["lot"],
            ["two"],
            ["three"],
        ):
            last = at + 2
            return Chunk(at, last, at, t.phrase(at, last), word, pronoun=t.phrase(at, last).lower(),
                         plural=word in {"these", "those", "both", "all"}, quantity=2 if word == "both" else None)  # fmt: skip
        if word not in grammar.PART_PRONOUNS and word not in {
            "all",
            "some",
            "one",
            "each",
            "either",
            "neither",
            "ones",
            "another",
            "yours",
            "mine",
        }:
            return Chunk(
                at,
                at + 1,
                at,
                t.words[at],
                word,
                kind="person" if word in grammar.PRONOUNS else "unknown",
                pronoun=word,
            )
        quantity = 2 if word == "both" else None
        plural = word in {"them", "em", "'em", "they", "these", "those", "both", "all", "ones"}
        last = at + 1
        if word in ("all", "both") and t.tag[last : last + 1] == ["NUM"]:
            value = t.number[last]
            quantity = int(value) if value is not None else None
            last += t.span[last]
        return Chunk(at, last, at, t.phrase(at, last), word, quantity=quantity, pronoun=word, plural=plural)

    def _some_of_them(self, t: Tagged, at: int) -> Chunk | None:
        """ "the bottom four", "the other two": so many of what was named before."""
        i = at + 1
        while i < len(t) and t.low[i] in _WHICH_OF_SEVERAL:
            i += 1
        if t.tag[at] != "DET" or i == at + 1 or t.tag[i : i + 1] != ["NUM"] or t.number[i] is None:
            return None
        value, last = t.number[i], i + t.span[i]
        if value is None or not 2 <= value < _NO_COUNT or self._size_unit(t, last) or self._nominal_follows(t, last):
            return None
        return Chunk(at, last, last - 1, t.phrase(at, last), "count", determiner=t.low[at], quantity=int(value),
                     quantity_text=t.phrase(i, last), plural=True, pronoun=t.phrase(at, last).lower())  # fmt: skip

    def _headless(
        self, t: Tagged, at: int, i: int, determiner: str | None, quantity: int | None, quantity_text: str | None, size: str | None
    ) -> Chunk | None:  # fmt: skip
        """A phrase without its noun: "that one", "the new ones", "all ten", "the other", "with a seventeen"."""
        j = i
        new = False
        while j < len(t) and (t.tag[j] == "ADJ" and t.low[j + 1 : j + 2] in (["one"], ["ones"]) or t.low[j] in {"new", "old", "other", "last", "first", "second", "next", "remaining", "rest",
                                          "long", "short", "big", "small", "left", "right", "front", "rear", "top", "bottom", "outer", "inner",
                                          "upper", "lower", "left-hand", "right-hand", "lot"}):  # fmt: skip
            new = new or t.low[j] == "new"
            j += 1
        if t.low[j : j + 1] in (["one"], ["ones"], ["lot"]) and t.tag[j] in ("PRON", "NUM", "NOUN"):
            last = j + 1
            return Chunk(at, last, j, t.phrase(at, last), t.low[j], determiner=determiner, quantity=quantity,
                         quantity_text=quantity_text, plural=t.low[j] == "ones", new=new,
                         pronoun=t.phrase(i, last).lower() if j > i else t.phrase(at, last).lower())  # fmt: skip
        if t.tag[at] == "DET" and i == j and quantity is None and size is None:
            return None
        if j > i and determiner and t.low[j - 1] in {"other", "rest", "lot", "same", "last", "next"}:
            return Chunk(at, j, j - 1, t.phrase(at, j), t.low[j - 1], determiner=determiner, quantity=quantity,
                         quantity_text=quantity_text, pronoun=t.phrase(at, j).lower())  # fmt: skip
        if size is not None and quantity is None:
            return Chunk(at, i, i - 1, t.phrase(at, i), "size", kind="tool", determiner=determiner, size=size)
        if quantity is not None and quantity >= _NO_COUNT and t.tag[at] == "NUM":
            return None  # "heat it to three hundred": a value, not so many of them
        if quantity is not None and i > at and t.low[i : i + 1] not in (["long"], ["short"], ["big"], ["small"]):
            return Chunk(at, i, i - 1, t.phrase(at, i), "count", determiner=determiner, quantity=quantity,
                         quantity_text=quantity_text, plural=quantity != 1, pronoun=t.phrase(at, i).lower())  # fmt: skip
        return None
