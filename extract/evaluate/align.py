"""Lays the segments of a draft over the utterances of the annotation, by the characters that they share.

Both texts are taken as whitespace words. As a rule they are the same; where they differ (a word that a
reader joined, a line that the annotation lacks), equal words are aligned and the rest goes word by word.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from rapidfuzz.distance import Indel

from extract.errors import GoldError

#: Below this share of common words the annotation is of another talk.
_LEAST_AGREEMENT = 0.5


@dataclass(frozen=True, slots=True)
class Alignment:
    """`shared[s][u]` counts the characters that segment s and utterance u have in common.

    `gold_ends` and `draft_ends` are word indexes of the annotation after which an utterance ends; an end
    of the draft behind a word that the annotation lacks is no member. `agreement` is the share of the
    annotation's words that the draft has too.
    """

    shared: tuple[Counter[int], ...]
    gold_ends: frozenset[int]
    draft_ends: frozenset[int]
    unplaced_ends: int
    agreement: float
    gold_words: tuple[str, ...]

    def utterances(self, segment: int) -> frozenset[int]:
        """Utterances that share characters with the segment."""
        return frozenset(self.shared[segment])

    def segments(self, utterance: int) -> dict[int, int]:
        """Segments that share characters with the utterance, with how many."""
        return {index: row[utterance] for index, row in enumerate(self.shared) if row[utterance]}


def align(gold: Sequence[str], draft: Sequence[str]) -> Alignment:
    """Align texts of gold utterances with texts of draft segments. Raises GoldError if they are different talks."""
    gold_words = [word for text in gold for word in text.split()]
    draft_words = [word for text in draft for word in text.split()]
    owner = [index for index, text in enumerate(gold) for _ in text.split()]
    place = _places(gold_words, draft_words)

    shared: list[Counter[int]] = []
    draft_ends: set[int] = set()
    unplaced = 0
    position = 0
    for text in draft:
        row: Counter[int] = Counter()
        words = text.split()
        for offset in range(position, position + len(words)):
            if place[offset] is not None:
                row[owner[place[offset]]] += len(draft_words[offset])
        position += len(words)
        if words:
            end = place[position - 1]
            if end is None:
                unplaced += 1
            else:
                draft_ends.add(end)
        shared.append(row)
    agreeing = sum(
        1 for index, at in enumerate(place) if at is not None and gold_words[at].lower() == draft_words[index].lower()
    )
    agreement = agreeing / len(gold_words)
    if agreement < _LEAST_AGREEMENT:
        raise GoldError(
            f"Only {agreement:.0%} of its words are in the talk.",
            remedy="Check that transcript and annotation belong together.",
        )
    return Alignment(tuple(shared), _ends(gold), frozenset(draft_ends), unplaced, agreement, tuple(gold_words))


def _ends(texts: Sequence[str]) -> frozenset[int]:
    ends: set[int] = set()
    count = 0
    for text in texts:
        count += len(text.split())
        ends.add(count - 1)
    return frozenset(ends)


def _places(gold: list[str], draft: list[str]) -> list[int | None]:
    """For each word of the draft the index of its word in the annotation, or null."""
    if gold == draft:
        return list(range(len(gold)))
    place: list[int | None] = [None] * len(draft)
    changed: list[int] = []
    instead: list[int] = []

    def settle() -> None:
        # words changed between equal neighbours: pair them in order, extra ones with the last
        for offset, index in enumerate(changed):
            if instead:
                place[index] = instead[min(offset, len(instead) - 1)]
        changed.clear()
        instead.clear()

    for block in Indel.opcodes([word.lower() for word in draft], [word.lower() for word in gold]):
        if block.tag == "equal":
            settle()
            for offset in range(block.src_end - block.src_start):
                place[block.src_start + offset] = block.dest_start + offset
        else:
            changed += range(block.src_start, block.src_end)
            instead += range(block.dest_start, block.dest_end)
    settle()
    return place
