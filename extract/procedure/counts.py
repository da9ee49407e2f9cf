"""Counts that disagree: three bolts out, four bolts to renew."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

from extract.number_words import BELOW_TWENTY
from extract.procedure.names import is_plural, part_name, singular, words
from extract.procedure.units import Unit
from extract.speech import Understanding
from extract.wordforms import word_set

_NUMBERS = {word: count for count, word in enumerate(BELOW_TWENTY) if count > 1} | {"twenty": 20, "both": 2}
_FILLING = word_set("of the new those these them old all its your other cap self locking")


@dataclass(frozen=True, slots=True)
class CountConflict:
    """A count told at `utterance` (offsets of its words) that is not the one told at the removal."""

    unit: Unit
    said: int
    removed: int
    utterance: int
    start: int
    end: int


def find_conflicts(understanding: Understanding, units: Sequence[Unit]) -> list[CountConflict]:
    """Counts of the refit and torque notes that disagree with how many came off; one for each part and utterance."""
    roles = {found.place.utterance: found.role for found in understanding.roles}
    conflicts = []
    for utterance in understanding.utterances:
        if roles.get(utterance.index) not in ("refit_note", "torque_note"):
            continue
        for count, name, start, end in counted(utterance.analysed):
            units_of = [
                unit
                for unit in units
                if unit.utterance < utterance.index and unit.effect in ("off", "destroyed", "loose", "parted")
                for part in unit.parts
                if part_name(part.text).head == name[-1] and part.quantity is not None
            ]
            fitting = [unit for unit in units_of if _qualified(name[:-1], unit)] or []
            told = [part.quantity for unit in fitting for part in unit.parts if part_name(part.text).head == name[-1]]
            known = {number for number in told if number} | {sum(number or 0 for number in told)}
            known |= {a + b for i, a in enumerate(told) for b in told[i + 1 :] if a and b}
            if fitting and count not in known:
                unit = fitting[-1]
                conflicts.append(CountConflict(unit, count, told[-1] or 0, utterance.index, start, end))
    return conflicts


def _qualified(qualifiers: Sequence[str], unit: Unit) -> bool:
    """True if every word before the noun is one by which the unit is known; a bare noun fits every unit of it."""
    known = frozenset().union(*(name.all for name in unit.names))
    return all(word in known for word in qualifiers)


def counted(text: str) -> list[tuple[int, tuple[str, ...], int, int]]:
    """Counted plural nouns of a text: count, words of the name in the singular, offsets."""
    found = []
    tokens = [(match.group(0).lower(), match.start(), match.end()) for match in re.finditer(r"[A-Za-z0-9'-]+", text)]
    for index, (token, start, _) in enumerate(tokens):
        count = _NUMBERS.get(token) or (int(token) if token.isdigit() and 1 < int(token) < 100 else None)
        if count is None:
            continue
        name: list[str] = []
        for word, _, end in tokens[index + 1 : index + 5]:
            if word in _NUMBERS or word.isdigit():
                break
            if word in _FILLING:
                continue
            name.extend(words(word))
            if is_plural(word):
                found.append((count, tuple(singular(part) for part in name), start, end))
                break
    return found
