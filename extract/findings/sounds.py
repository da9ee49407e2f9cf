"""How words sound, how alike two sounds are, and which terms sound like what was written.

Sounds are strings of one letter a sound (`ARPABET` gives the letters). The table `lexicons/sounds.txt` is built from
the Carnegie Mellon dictionary by `lexicons/builders/build_sounds.py` and loads at the first question; words that it
lacks are read by the rules of `lexicons/letters_to_sounds.csv`.
"""

from __future__ import annotations

import csv
from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Iterator, Sequence
from functools import cache, lru_cache
from importlib.resources import files

import numpy as np
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
#: How many candidates the first, coarse choice wants, and how many of equal rank it keeps at most.
_ROUGH, _MOST = 16, 48


@cache
def _table() -> dict[str, str]:
    rows = (files("lexicons") / "sounds.txt").read_text("utf-8").splitlines()
    return dict(row.split(" ", 1) for row in rows if not row.startswith("#"))


@cache
def _letter_rules() -> dict[str, list[tuple[str, str, str]]]:
    """Letters, their sounds and where they stand, in the order of the table, by the first letter."""
    rules: dict[str, list[tuple[str, str, str]]] = {}
    for row in csv.DictReader((files("lexicons") / "letters_to_sounds.csv").read_text("utf-8").splitlines()):
        rules.setdefault(row["letters"][0], []).append((row["letters"], row["sounds"].replace(" ", ""), row["where"]))
    return rules


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
        for letters, sounds, where in _letter_rules().get(word[at], ()):
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
def _costs() -> tuple[np.ndarray, np.ndarray]:
    """Costs of exchanges (sound by sound) and of losses, by the code of the letter; code 0 fills up short words."""
    codes = [chr(code) for code in range(128)]
    swaps = np.full((128, 128), 1.1)
    for one in (*_VOWEL_AT, *_CONSONANT_AT):
        for other in (*_VOWEL_AT, *_CONSONANT_AT):
            swaps[ord(one), ord(other)] = swap_cost(one, other)
    losses = np.array([loss_cost(letter) for letter in codes])
    swaps[0], swaps[:, 0], losses[0] = np.inf, np.inf, 0.0
    return swaps, losses


def distances(ones: Sequence[str], others: Sequence[str]) -> np.ndarray:
    """Weighted edit distances of pairs of sound strings, per sound of the longer (see `distance`)."""
    if not ones:
        return np.zeros(0)
    swaps, losses = _costs()
    a, b = (np.array(side, "S").view("u1").reshape(len(side), -1) for side in (ones, others))
    swapped = swaps[a[:, :, None], b[:, None, :]]
    # Sounds of `b` that nobody heard add up along the row, so that the cheapest way is a running minimum.
    added = np.concatenate([np.zeros((len(b), 1)), np.cumsum(losses[b], axis=1)], axis=1)
    row = added
    for at in range(a.shape[1]):
        left = losses[a[:, at], None]
        new = row + left
        np.minimum(new[:, 1:], row[:, :-1] + swapped[:, at], out=new[:, 1:])
        row = np.minimum.accumulate(new - added, axis=1) + added
    longer = np.maximum((a > 0).sum(axis=1), (b > 0).sum(axis=1))
    return np.round(row[:, -1] / np.maximum(1, longer), 9)


def distance(one: str, other: str) -> float:
    """Weighted edit distance of two sound strings, per sound of the longer: 0 alike, 0.3 easily confused, 1 unlike."""
    return float(distances([one], [other])[0]) if one and other else 1.0


class SoundIndex:
    """Finds the phrases whose sound lies nearest."""

    def __init__(self, phrases: Iterable[str]) -> None:
        by_coarse: dict[str, list[tuple[str, str]]] = {}
        for phrase in dict.fromkeys(phrases):
            sounds = pronounce(phrase)
            by_coarse.setdefault(sounds.translate(_COARSE), []).append((phrase, sounds))
        self._coarse = sorted(by_coarse, key=len)
        self._lengths = [len(coarse) for coarse in self._coarse]
        self._phrases = [sorted(by_coarse[coarse]) for coarse in self._coarse]
        self._known: dict[tuple[str, float, int], list[tuple[str, float]]] = {}

    def nearest(self, words: str, cutoff: float = 0.45, limit: int = 8) -> list[tuple[str, float]]:
        """Phrases within `cutoff` of the sound of `words`, nearest first; ties in alphabetical order."""
        return self.nearest_of_all([pronounce(words)], cutoff, limit)[0]

    def nearest_of_all(
        self, asked: Sequence[str], cutoff: float = 0.45, limit: int = 8
    ) -> list[list[tuple[str, float]]]:
        """Like `nearest` for many sound strings at once, which is far cheaper than one by one."""
        if len(self._known) > _REMEMBERED:
            self._known.clear()
        new = [sounds for sounds in dict.fromkeys(asked) if (sounds, cutoff, limit) not in self._known]
        pairs = [(sounds, *found) for sounds, near in zip(new, self._rough(new), strict=True) for found in near]
        apart = distances([pair[0] for pair in pairs], [pair[2] for pair in pairs])
        for sounds in new:
            self._known[sounds, cutoff, limit] = []
        for (sounds, phrase, _), value in zip(pairs, apart.tolist(), strict=True):
            if value <= cutoff:
                self._known[sounds, cutoff, limit].append((phrase, value))
        for sounds in new:
            found = self._known[sounds, cutoff, limit]
            found.sort(key=lambda pair: (pair[1], pair[0]))
            del found[limit:]
        return [self._known[sounds, cutoff, limit] for sounds in asked]

    def _rough(self, asked: Sequence[str]) -> Iterator[list[tuple[str, str]]]:
        """For each sound string the phrases (with their sounds) that are near in coarse letters, the nearest first."""
        coarse = [sounds.translate(_COARSE) for sounds in asked]
        edits = [max(1, round(len(sounds) * 0.42)) for sounds in coarse]
        least = min((len(sounds) - most for sounds, most in zip(coarse, edits, strict=True)), default=0)
        most = max((len(sounds) + most for sounds, most in zip(coarse, edits, strict=True)), default=0)
        first, last = bisect_left(self._lengths, least), bisect_right(self._lengths, most)
        if first == last:
            yield from ([] for _ in asked)
            return
        table = process.cdist(
            coarse, self._coarse[first:last], scorer=Levenshtein.distance, score_cutoff=max(edits), dtype=np.uint8
        )
        for row, allowed in zip(table, edits, strict=True):
            found: list[tuple[str, str]] = []
            for apart in range(allowed + 1):
                for at in np.flatnonzero(row == apart).tolist():
                    found += self._phrases[first + at]
                if len(found) >= _ROUGH:
                    break
            yield found[:_MOST]
