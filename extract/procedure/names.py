"""Names of parts: which words tell one part from another, and how well two names agree.

A name is its head noun in the singular ("bolt"), the words before it ("guide"), and the words of its place
("at the stern"). "The gantry bolts" and "the two bolts at the stern" are told apart, or found to be the same,
by these words alone; which part a fastener holds is the business of `states`.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from functools import lru_cache

from extract.wordforms import singular_by_rule, word_set

_IS = re.compile(r"['’]s\b")
_WORD = re.compile(r"[a-z0-9]+(?:[./][0-9]+)?(?:'[a-z]+)?")
_TAIL = re.compile(
    r"\s+(?:of|on|onto|at|in|into|inside|for|from|off|out|to|with|round|around|under|behind|above|below|between|by|along"
    r"|across|near|next|that|which|who|holding|going|coming)\s+",
    re.IGNORECASE,
)
_SMALL = word_set(
    "the a an of on onto at in into inside for from off out to with round around under behind above below "
    "between by along across near next that this these those which who its his her their your our my and "
    "or is are be it them one ones some any all both each every other others up down hold holds held go "
    "goes going come comes coming there here just replacement exchange spare rebuilt reconditioned overhauled"
)
_PAIRS = word_set("pliers grips snips shears scissors tweezers pincers goggles glasses tongs cutters")
#: A noun that adds nothing to the name before it: "cover plate" is the cover.
_GENERIC = word_set("assembly unit set")
#: Pairs of which the second adds nothing to the first.
_FLAT = {"cover": "plate", "guard": "cover", "shield": "plate", "lid": "cover"}
_PLAIN_HEADS = _GENERIC | frozenset(_FLAT.values())
#: Words that exclude each other: a name with one of them is not the part whose name has another of the same row.
_RIVALS = tuple(
    frozenset(row.split())
    for row in (
        "front rear back middle centre center",
        "left right lefthand righthand nearside offside",
        "upper lower top bottom",
        "inner outer inside outside",
        "inlet outlet exhaust intake",
        "feed return supply",
        "first second third fourth",
        "long short",
        "big small large little",
        "primary secondary",
        "input output",
        "up down",
        "near far",
        "male female",
        "old new",
        "high low",
    )
)


@lru_cache(maxsize=4096)
def singular(word: str) -> str:
    """The singular of a lower-case noun by the rules of the lexicon ("bushes" → "bush", "pulleys" → "pulley")."""
    return singular_by_rule(word)


@lru_cache(maxsize=4096)
def words(text: str | None) -> tuple[str, ...]:
    """The lower-case words of a text, hyphens opened, numbers kept whole."""
    return tuple(_WORD.findall(_IS.sub("", text.lower().replace("-", " ")))) if text else ()


@lru_cache(maxsize=4096)
def content(text: str | None) -> frozenset[str]:
    """The words of a text that name things, in the singular."""
    return frozenset(singular(word) for word in words(text) if word not in _SMALL)


@lru_cache(maxsize=4096)
def is_plural(text: str) -> bool:
    """True if the last word of the noun phrase is a plural ("pliers" are one, and plural)."""
    found = words(text)
    return bool(found) and (singular(found[-1]) != found[-1] or found[-1] in _PAIRS)


@dataclass(frozen=True, slots=True)
class PartName:
    """A part's name taken apart: head noun, words before it, words of its place; all singular, lower case."""

    head: str
    qualifiers: frozenset[str]
    place: frozenset[str]
    all: frozenset[str] = field(init=False, compare=False, repr=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "all", self.qualifiers | self.place | {self.head})


@lru_cache(maxsize=8192)
def part_name(text: str, position: str | None = None) -> PartName:
    """Take a noun phrase apart; words after a preposition ("nut under the V clamp") count as place."""
    pieces = _TAIL.split(text, maxsplit=1)
    if position and position.startswith(("to ", "until ", "for ")):
        position = None  # a value or an end of movement, no place
    main = [word for word in words(pieces[0]) if word not in _SMALL] or list(words(pieces[0])) or [text.lower()]
    place = content(pieces[1]) if len(pieces) > 1 else frozenset()
    return PartName(
        head=singular(main[-1]),
        qualifiers=frozenset(singular(word) for word in main[:-1]),
        place=place | content(position),
    )


def item_key(item: str) -> str:
    """A name by which two mentions of a new part are the same: head and qualifiers, singular."""
    name = part_name(item)
    return " ".join([*sorted(name.qualifiers), name.head])


RIVAL_WORDS = frozenset().union(*_RIVALS)


def rivals(one: frozenset[str], other: frozenset[str]) -> bool:
    """True if a word of one name excludes a word of the other ("front" and "rear")."""
    mine = one & RIVAL_WORDS
    if not mine:
        return False
    theirs = other & RIVAL_WORDS
    return bool(theirs) and any((mine & row) and (theirs & row) and not (mine & theirs & row) for row in _RIVALS)


@lru_cache(maxsize=16384)
def agreement(one: PartName, other: PartName) -> float:
    """How well two names can stand for the same part: 0 (no) to 1 (same words)."""
    if one.head != other.head:
        flat = one.head in _PLAIN_HEADS or other.head in _PLAIN_HEADS
        return _generic(one, other) if flat else 0.0
    first, second = one.qualifiers | one.place, other.qualifiers | other.place
    if rivals(one.qualifiers, other.qualifiers) or rivals(first, second):
        return 0.0
    if one.qualifiers == other.qualifiers and one.place == other.place:
        return 1.0
    if one.qualifiers == other.qualifiers and not (one.place and other.place):
        return 0.9 if one.qualifiers else 0.8
    if first and second and (first <= second or second <= first):
        return 0.85
    if first & second:
        return 0.7
    if not first or not second:
        return 0.6
    return 0.25


def _generic(one: PartName, other: PartName) -> float:
    """ "The cover" and "the cover plate": the head of one stands before a noun that adds nothing."""
    for short, long in ((one, other), (other, one)):
        if (long.head in _GENERIC or _FLAT.get(short.head) == long.head) and short.head in long.qualifiers:
            if rivals(short.all, long.all):
                return 0.0
            rest = long.qualifiers - {short.head}
            return 0.75 if not rest or not short.qualifiers or rest & short.qualifiers else 0.2
    return 0.0
