"""How words sound, how alike two sounds are, and which terms sound like what was written.

Sounds are strings of one letter a sound (`ARPABET` gives the letters). The table `lexicons/sounds.txt` is built from
the Carnegie Mellon dictionary by `lexicons/builders/build_sounds.py` and loads at the first question; words that it
lacks are read by the rules of `lexicons/letters_to_sounds.csv`.
"""

from __future__ import annotations

import csv
from collections.abc import Iterable
from functools import cache, lru_cache
from importlib.resources import files

from rapidfuzz import process
from rapidfuzz.distance import Levenshtein

#: The sounds of the Carnegie Mellon dictionary, one letter each.
ARPABET = {
    "AA": "a", "AE": "A", "AH": "V", "AO": "c", "AW": "W", "AY": "Y", "EH": "E", "ER": "R", "EY": "e", "IH": "I",
    "IY": "i", "OW": "o", "OY": "O", "UH": "U", "UW": "u", "B": "b", "CH": "C", "D": "d", "DH": "D", "F": "f",
    "G": "g", "HH": "h", "JH": "J", "K": "k", "L": "l", "M": "m", "N": "n", "NG": "G", "P": "p", "R": "r", "S": "s",
    "SH": "S", "T": "t", "TH": "T", "V": "v", "W": "w", "Y": "j", "Z": "z", "ZH": "Z",
}  # fmt: skip
#: The vowel without stress ("AH0").
SCHWA = "@"
#: Height (0 open … 3 close) and place (0 front … 2 back) of vowels; of a diphthong the place of its middle.
_VOWEL_AT = {
    "i": (3, 0), "I": (2.5, 0.3), "e": (2, 0), "E": (1.3, 0.2), "A": (0.5, 0.3), "a": (0, 1.5), "c": (1, 2),
    "o": (1.7, 2), "U": (2.5, 1.7), "u": (3, 2), "V": (0.8, 1.2), "@": (1.5, 1), "R": (1.5, 1), "Y": (1, 0.8),
    "W": (0.8, 1.5), "O": (1.5, 1.5),
}  # fmt: skip
#: Manner, place (0 lips … 5 throat) and voice of consonants.
_CONSONANT_AT = {
    "p": ("stop", 0, 0), "b": ("stop", 0, 1), "t": ("stop", 2, 0), "d": ("stop", 2, 1), "k": ("stop", 4, 0),
    "g": ("stop", 4, 1), "C": ("affricate", 3, 0), "J": ("affricate", 3, 1), "f": ("hiss", 0.5, 0),
    "v": ("hiss", 0.5, 1), "T": ("hiss", 1, 0), "D": ("hiss", 1, 1), "s": ("hiss", 2, 0), "z": ("hiss", 2, 1),
    "S": ("hiss", 3, 0), "Z": ("hiss", 3, 1), "h": ("hiss", 5, 0), "m": ("nose", 0, 1), "n": ("nose", 2, 1),
    "G": ("nose", 4, 1), "l": ("glide", 2, 1), "r": ("glide", 2.5, 1), "w": ("glide", 0, 1), "j": ("glide", 3, 1),
}  # fmt: skip
#: Manners that noise turns into each other more easily than others.
_NEAR_MANNERS = {
    frozenset(("stop", "affricate")): 0.3,
    frozenset(("hiss", "affricate")): 0.3,
    frozenset(("stop", "hiss")): 0.5,
    frozenset(("nose", "glide")): 0.5,
    frozenset(("stop", "nose")): 0.55,
}
#: What it costs to lose or gain a sound: weak ones little.
_LOSS = {"@": 0.35, "I": 0.5, "h": 0.4, "r": 0.4, "R": 0.5, "l": 0.6, "w": 0.5, "j": 0.4, "t": 0.5, "d": 0.5, "n": 0.65,
         "s": 0.65, "z": 0.6, "k": 0.7, "p": 0.7, "b": 0.7}  # fmt: skip
#: Coarse letters for a first choice: sounds that are often confused share one.
_COARSE = str.maketrans(
    {**dict.fromkeys("pb", "p"), **dict.fromkeys("tdDT", "t"), **dict.fromkeys("kg", "k"), **dict.fromkeys("CJSZ", "C"),
     **dict.fromkeys("fv", "f"), **dict.fromkeys("sz", "s"), **dict.fromkeys("mnG", "n"), **dict.fromkeys("lr", "l"), **dict.fromkeys("iIeE", "i"),
     **dict.fromkeys("aAVcYW@R", "a"), **dict.fromkeys("oOUu", "u")}
)  # fmt: skip

#: How many answers are kept: enough for a talk, and no growth over a thousand of them.
_REMEMBERED = 20_000
#: How many candidates the first, coarse choice keeps.
_ROUGH = 16


@cache
def _table() -> dict[str, str]:
    rows = (files("lexicons") / "sounds.txt").read_text("utf-8").splitlines()
    return dict(row.split(" ", 1) for row in rows if not row.startswith("#"))


@cache
def _letter_rules() -> tuple[tuple[str, str, str], ...]:
    rows = csv.DictReader((files("lexicons") / "letters_to_sounds.csv").read_text("utf-8").splitlines())
    return tuple((row["letters"], row["sounds"].replace(" ", ""), row["where"]) for row in rows)


@lru_cache(maxsize=_REMEMBERED)
def pronounce(words: str) -> str:
    """Sounds of a word or phrase in lower case."""
    return "".join([_pronounce_word(word) for word in words.replace("-", " ").split()])


@lru_cache(maxsize=_REMEMBERED)
def _pronounce_word(word: str) -> str:
    table = _table()
    known = table.get(word)
    if known:
        return known
    if word.endswith("'s"):
        return _pronounce_word(word[:-2]) + "z"
    for ending, sound in (("es", "Iz"), ("s", "z"), ("ing", "IG"), ("ed", "d"), ("er", "R")):
        stem = word.removesuffix(ending)
        if stem != word and len(stem) > 2:
            for base in (stem, stem + "e", stem[:-1] if stem[-2:-1] == stem[-1:] else stem):
                if base in table:
                    return table[base] + sound
    # Compounds: "millibus", "dustcap".
    for at in range(len(word) - 3, 2, -1):
        if word[:at] in table and word[at:] in table and len(word[at:]) > 2:
            return table[word[:at]] + table[word[at:]]
    return _by_letters(word)


def _by_letters(word: str) -> str:
    found, at = [], 0
    while at < len(word):
        for letters, sounds, where in _letter_rules():
            if not word.startswith(letters, at):
                continue
            end = at + len(letters)
            if (where == "start" and at) or (where == "end" and (end != len(word) or not at)):
                continue
            found.append(sounds)
            at = end
            break
        else:
            at += 1
    return "".join(found)


@cache
def swap_cost(one: str, other: str) -> float:
    """Cost of hearing one sound as another: 0 for the same, about 1 for unrelated ones."""
    if one == other:
        return 0.0
    if one in _VOWEL_AT and other in _VOWEL_AT:
        (h1, p1), (h2, p2) = _VOWEL_AT[one], _VOWEL_AT[other]
        return min(0.7, 0.12 + 0.14 * abs(h1 - h2) + 0.14 * abs(p1 - p2))
    if one in _CONSONANT_AT and other in _CONSONANT_AT:
        (m1, p1, v1), (m2, p2, v2) = _CONSONANT_AT[one], _CONSONANT_AT[other]
        manner = 0.0 if m1 == m2 else _NEAR_MANNERS.get(frozenset((m1, m2)), 0.7)
        return min(0.95, 0.1 + manner + 0.11 * abs(p1 - p2) + 0.2 * (v1 != v2))
    if {one, other} in ({"R", "r"}, {"u", "w"}, {"i", "j"}, {"U", "w"}):
        return 0.3
    return 1.1


def loss_cost(sound: str) -> float:
    """Cost of not hearing a sound, or of hearing one that is not there."""
    return _LOSS.get(sound, 0.8)


@cache
def _swaps(one: str) -> dict[str, float]:
    return {other: swap_cost(one, other) for other in (*_VOWEL_AT, *_CONSONANT_AT)}


@lru_cache(maxsize=_REMEMBERED)
def distance(one: str, other: str) -> float:
    """Weighted edit distance of two sound strings, per sound of the longer: 0 alike, 0.3 easily confused, 1 unlike."""
    if not one or not other:
        return 1.0
    losses = [loss_cost(sound) for sound in other]
    row = [0.0]
    for loss in losses:
        row.append(row[-1] + loss)
    for a in one:
        left, swaps = loss_cost(a), _swaps(a)
        above = row[0]
        last = above + left
        new = [last]
        for b, loss, over in zip(other, losses, row[1:], strict=True):
            last = min(above + swaps[b], over + left, last + loss)
            above = over
            new.append(last)
        row = new
    return row[-1] / max(len(one), len(other))


class SoundIndex:
    """Finds the phrases whose sound lies nearest."""

    def __init__(self, phrases: Iterable[str]) -> None:
        by_length: dict[int, list[tuple[str, str, str]]] = {}
        for phrase in dict.fromkeys(phrases):
            sounds = pronounce(phrase)
            coarse = sounds.translate(_COARSE)
            by_length.setdefault(len(coarse), []).append((phrase, sounds, coarse))
        self._by_length = {length: list(zip(*rows, strict=True)) for length, rows in by_length.items()}

    def nearest(self, words: str, cutoff: float = 0.45, limit: int = 8) -> list[tuple[str, float]]:
        """Phrases within `cutoff` of the sound of `words`, nearest first; ties in alphabetical order."""
        return self.nearest_to(pronounce(words), cutoff, limit)

    def nearest_to(self, sounds: str, cutoff: float = 0.45, limit: int = 8) -> list[tuple[str, float]]:
        """Like `nearest`, for a sound string."""
        coarse = sounds.translate(_COARSE)
        edits = max(1, round(len(coarse) * 0.42))
        found = []
        for length in range(len(coarse) - edits, len(coarse) + edits + 1):
            if length not in self._by_length:
                continue
            phrases, exact, rough = self._by_length[length]
            near = process.extract(
                coarse, rough, scorer=Levenshtein.distance, score_cutoff=edits, limit=_ROUGH, processor=None
            )
            found += [(phrases[at], exact[at], apart) for _, apart, at in near]
        found.sort(key=lambda row: (row[2], row[0]))
        measured = [(phrase, distance(sounds, exact)) for phrase, exact, _ in found[:_ROUGH]]
        return sorted(((p, d) for p, d in measured if d <= cutoff), key=lambda pair: (pair[1], pair[0]))[:limit]
