"""Regular inflection of English nouns and verbs, with the irregular nouns of the workshop."""

from __future__ import annotations

import re

#: Plurals that no rule gives, and singulars that look like plurals.
IRREGULAR_PLURALS = {
    "half": "halves", "knife": "knives", "shelf": "shelves", "leaf": "leaves", "loaf": "loaves", "life": "lives",
    "man": "men", "woman": "women", "foot": "feet", "tooth": "teeth", "person": "people", "child": "children",
    "axis": "axes", "radius": "radii", "analysis": "analyses", "basis": "bases", "vertex": "vertices",
    "die": "dies", "tie": "ties", "gas": "gases", "lens": "lenses", "bus": "buses", "bias": "biases",
    "torus": "tori", "mouse": "mice", "datum": "data", "photo": "photos", "piano": "pianos", "dynamo": "dynamos",
    "servo": "servos", "turbo": "turbos", "silo": "silos", "logo": "logos", "ratio": "ratios", "video": "videos",
    "radio": "radios", "solo": "solos", "memo": "memos", "quiz": "quizzes",
}  # fmt: skip
IRREGULAR_SINGULARS = {plural: singular for singular, plural in IRREGULAR_PLURALS.items()}
_WITHOUT_SINGULAR = """
    chassis series species means pliers scissors snips shears tongs tweezers glasses goggles overalls trousers
    pincers nippers bellows works gallows aircraft headquarters
"""


def word_set(text: str) -> frozenset[str]:
    """The words of a list written as one text."""
    return frozenset(text.split())


INVARIABLE = word_set(_WITHOUT_SINGULAR)


def plural_by_rule(noun: str) -> str:
    """Regular English plural of the last word, with the few irregular ones of the workshop."""
    if " of " in noun:
        first, _, rest = noun.partition(" of ")
        return f"{plural_by_rule(first)} of {rest}"
    cut = max(noun.rfind(" "), noun.rfind("-")) + 1
    before, last = noun[:cut], noun[cut:]
    if last in INVARIABLE:
        return noun
    if last in IRREGULAR_PLURALS:
        return before + IRREGULAR_PLURALS[last]
    if last.endswith("man") and last not in ("talisman", "human"):
        return before + last[:-3] + "men"
    if last.endswith(("s", "x", "z", "ch", "sh")):
        return noun + "es"
    if last.endswith("y") and last[-2:-1] not in ("", *"aeiou"):
        return noun[:-1] + "ies"
    return noun + "s"


def singular_by_rule(word: str) -> str:
    """Singular of a word by the regular rules only."""
    if word in IRREGULAR_SINGULARS:
        return IRREGULAR_SINGULARS[word]
    if not word.endswith("s") or len(word) < 4 or word.endswith(("ss", "us", "is")) or word in INVARIABLE:
        return word
    if word.endswith("ies"):
        return word[:-1] if len(word) <= 4 else word[:-3] + "y"
    if re.search(r"(ss|x|zz|ch|sh)es$", word):
        return word[:-2]
    if word.endswith("men"):
        return word[:-2] + "an"
    return word[:-1]


def regular_inflections(base: str) -> tuple[str, str, str, str]:
    """Past, participle, -ing and third person of a regular verb; one-syllable stems double their consonant."""
    doubles = re.fullmatch(r"(un|re)?y?[^aeiouy]*(qu)?[aeiou][bdfgklmnprtvz]", base) is not None
    stem = base + base[-1] if doubles else base
    if base.endswith("ie"):
        past, ing = base + "d", base[:-2] + "y"
    elif base.endswith("e"):
        past, ing = base + "d", base if base.endswith(("ee", "ye", "oe")) else base[:-1]
    elif re.search(r"[^aeiou]y$", base):
        past, ing = base[:-1] + "ied", base
    else:
        past, ing = stem + "ed", stem
    return past, past, ing + "ing", plural_by_rule(base) if not base.endswith("o") else base + "es"
