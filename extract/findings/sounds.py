"""How words sound, how alike two sounds are, and which terms sound like what was written.

Sounds are strings of one letter a sound (`ARPABET` gives the letters). The table `lexicons/sounds.txt` is built from
the Carnegie Mellon dictionary by `lexicons/builders/build_sounds.py` and loads at the first question; words that it
lacks are read by the rules of `lexicons/letters_to_sounds.csv`.
"""

from __future__ import annotations

import csv
import math
from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Iterator, Mapping, Sequence
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
#: Stands for no sound in the table of confusions.
NOTHING = "-"
#: How fast the chance of a confusion falls with unlikeness, and how many observations a sound that expectation is worth.
_STEEP, _TRUSTED = 4.0, 40
#: Coarse letters for a first choice: sounds that are often confused share one.
_COARSE = str.maketrans(
    {**dict.fromkeys("pb", "p"), **dict.fromkeys("tdDT", "t"), **dict.fromkeys("kg", "k"), **dict.fromkeys("CJSZ", "C"),
     **dict.fromkeys("fv", "f"), **dict.fromkeys("sz", "s"), **dict.fromkeys("mnG", "n"), **dict.fromkeys("lr", "l"), **dict.fromkeys("iIeE@", "i"),
     **dict.fromkeys("aAVcYWR", "a"), **dict.fromkeys("oOUu", "u")}
)  # fmt: skip

#: How many answers are kept: enough for a talk, and no growth over a thousand of them.
_REMEMBERED = 20_000
#: How many candidates the first, coarse choice wants, and how many it keeps at most.
_ROUGH, _MOST = 150, 400


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
    """How unlike two sounds are by the way they are made: 0 for the same, about 1 for unrelated ones."""
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


def confusion_costs(counts: Mapping[tuple[str, str], int]) -> dict[tuple[str, str], float]:
    """Cost of writing a sound (second of the pair) for one that was said (first); `NOTHING` for a sound lost or added.

    `counts` holds how often each was seen in words that were misheard. They are weighed against what the way in which
    sounds are made lets expect (`_TRUSTED` observations a sound): the cost is the logarithm of how much rarer it is
    than hearing the sound rightly.
    """
    sounds = (*_VOWEL_AT, *_CONSONANT_AT)
    costs = {}
    for said in sounds:
        expected = {written: math.exp(-_STEEP * swap_cost(said, written)) for written in sounds}
        expected[NOTHING] = math.exp(-_STEEP * _LOSS.get(said, 0.8))
        total, seen = sum(expected.values()), sum(counts.get((said, written), 0) for written in expected)
        share = {w: (counts.get((said, w), 0) + _TRUSTED * e / total) / (seen + _TRUSTED) for w, e in expected.items()}
        for written, part in share.items():
            costs[said, written] = min(1.3, max(0.08, -math.log(part / share[said]) / _STEEP))
        costs[said, said] = 0.0
    added = {written: math.exp(-_STEEP * _LOSS.get(written, 0.8)) for written in sounds}
    seen, total = sum(counts.get((NOTHING, written), 0) for written in sounds), sum(added.values())
    for written, part in added.items():
        oftener = (counts.get((NOTHING, written), 0) + 4) / (seen * part / total + 4)
        costs[NOTHING, written] = min(1.2, max(0.15, _LOSS.get(written, 0.8) - math.log(oftener) / _STEEP))
    return costs


@cache
def _costs() -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Costs of exchanges (written, said), of added and of lost sounds, by letter code; code 0 fills up short words."""
    rows = csv.DictReader((files("lexicons") / "confusions.csv").read_text("utf-8").splitlines())
    counts = {(row["said"], row["written"]): int(row["times"]) for row in rows}
    swaps, added, lost = np.full((128, 128), 1.1), np.full(128, 0.8), np.full(128, 0.8)
    for (said, written), cost in confusion_costs(counts).items():
        if said == NOTHING:
            added[ord(written)] = cost
        elif written == NOTHING:
            lost[ord(said)] = cost
        else:
            swaps[ord(written), ord(said)] = cost
    swaps[0], swaps[:, 0], lost[0] = np.inf, np.inf, 0.0
    return swaps, added, lost


def _codes(sounds: Sequence[str]) -> np.ndarray:
    """Sound strings as rows of letter codes, filled up with 0."""
    return np.array(sounds, "S").view("u1").reshape(len(sounds), -1) if sounds else np.zeros((0, 1), "u1")


def _distances(one: str, others: np.ndarray) -> np.ndarray:
    """Weighted edit distances of a written sound string to each row of codes, per sound of the longer."""
    swaps, added, lost = _costs()
    # Sounds that got lost add up along the row, so that the cheapest way is a running minimum.
    losses = np.zeros((len(others), others.shape[1] + 1))
    np.cumsum(lost[others], axis=1, out=losses[:, 1:])
    row = losses
    for letter in map(ord, one):
        new = row + added[letter]
        np.minimum(new[:, 1:], row[:, :-1] + swaps[letter][others], out=new[:, 1:])
        new -= losses
        row = np.minimum.accumulate(new, axis=1, out=new) + losses
    longer = np.maximum((others > 0).sum(axis=1), len(one))
    return np.round(row[:, -1] / longer, 9)


@lru_cache(maxsize=_REMEMBERED)
def distance(written: str, said: str) -> float:
    """Weighted edit distance of two sound strings, per sound of the longer: 0 alike, 0.3 easily confused, 1 unlike.

    What a recogniser writes for what was said has a direction: a lost sound is not as likely as an added one.
    """
    return float(_distances(written, _codes([said]))[0]) if written and said else 1.0


def _skeleton(coarse: str) -> str:
    """The consonants of a sound string in coarse letters, doubles once."""
    letters = [c for c in coarse if c not in "iauwjh"]
    return "".join(a for a, b in zip(letters, ["", *letters], strict=False) if a != b)


class SoundIndex:
    """Finds the phrases whose sound lies nearest.

    `phrases` are those of the index; `favour` gives phrases that count as nearer than they sound, by how much: what is named often is meant often.
    """

    def __init__(self, phrases: Iterable[str], favour: Mapping[str, float] | None = None) -> None:
        rows = sorted((len(sounds := pronounce(phrase)), phrase, sounds) for phrase in set(phrases))
        self._lengths = [length for length, _, _ in rows]
        self.phrases = [phrase for _, phrase, _ in rows]
        self._coarse = [sounds.translate(_COARSE) for _, _, sounds in rows]
        self._codes = _codes([sounds for _, _, sounds in rows])
        self._favour = np.array([(favour or {}).get(phrase, 0.0) for phrase in self.phrases])
        self._skeletons: dict[str, list[int]] = {}
        self._known: dict[tuple[str, float, int], list[tuple[str, float]]] = {}

    def nearest(self, words: str, cutoff: float = 0.45, limit: int = 8) -> list[tuple[str, float]]:
        """Phrases within `cutoff` of the sound of `words`, nearest first; ties by length and in alphabetical order."""
        return self.nearest_of_all([pronounce(words)], cutoff, limit)[0]

    def nearest_of_all(
        self, asked: Sequence[str], cutoff: float = 0.45, limit: int = 8
    ) -> list[list[tuple[str, float]]]:
        """Like `nearest` for many sound strings at once, which is far cheaper than one by one."""
        if len(self._known) > _REMEMBERED:
            self._known.clear()
        new = [sounds for sounds in dict.fromkeys(asked) if (sounds, cutoff, limit) not in self._known]
        for sounds, near in zip(new, self._rough(new), strict=True):
            apart = _distances(sounds, self._codes[near, : len(sounds) * 2 + 2])
            near, apart = near[apart <= cutoff], apart[apart <= cutoff]
            order = np.argsort(apart - self._favour[near], kind="stable")[:limit]
            found = zip(near[order].tolist(), apart[order].tolist(), strict=True)
            self._known[sounds, cutoff, limit] = [(self.phrases[at], value) for at, value in found]
        return [self._known[sounds, cutoff, limit] for sounds in asked]

    def alike(self, asked: str, cutoff: float) -> list[tuple[str, float]]:
        """Phrases that hold the same consonants but for one at most that is too many, and lie within `cutoff`.

        Much cheaper than a search, for the many places where nothing sounds alike.
        """
        if not self._skeletons:
            for at, coarse in enumerate(self._coarse):
                self._skeletons.setdefault(_skeleton(coarse), []).append(at)
        coarse = asked.translate(_COARSE)
        key = _skeleton(coarse)
        if len(key) < 3:
            return []
        # Of short words only a weak one may be too many: more would fit everything.
        spare = (at for at in range(len(key)) if len(key) > 3 or key[at] == "l")
        keys = {key, *(key[:at] + key[at + 1 :] for at in spare)}
        found = sorted(
            at for one in keys for at in self._skeletons.get(one, ()) if abs(self._lengths[at] - len(asked)) < 3
        )
        if not found:
            return []
        values = _distances(asked, self._codes[found, : len(asked) + 3])
        return [(self.phrases[at], value) for at, value in zip(found, values.tolist(), strict=True) if value <= cutoff]

    def _rough(self, asked: Sequence[str]) -> Iterator[np.ndarray]:
        """For each sound string the places of the phrases that are near in coarse letters, in order."""
        coarse = [sounds.translate(_COARSE) for sounds in asked]
        edits = [max(1, round(len(sounds) * 0.42)) for sounds in coarse]
        least = min((len(sounds) - most for sounds, most in zip(coarse, edits, strict=True)), default=0)
        most = max((len(sounds) + most for sounds, most in zip(coarse, edits, strict=True)), default=0)
        first, last = bisect_left(self._lengths, least), bisect_right(self._lengths, most)
        if first == last:
            yield from (np.zeros(0, int) for _ in asked)
            return
        table = process.cdist(
            coarse, self._coarse[first:last], scorer=Levenshtein.distance, score_cutoff=max(edits), dtype=np.uint8
        )
        for row, allowed in zip(table, edits, strict=True):
            counts = np.bincount(row, minlength=allowed + 1)[: allowed + 1].cumsum()
            enough = int(min(allowed, np.searchsorted(counts, _ROUGH)))
            found = np.flatnonzero(row <= enough)
            if len(found) > _MOST:
                found = np.sort(np.argsort(row, kind="stable")[:_MOST])
            yield found + first
