"""Measures trust: whether it is calibrated, and whether the suggestions for misheard terms are right."""

from __future__ import annotations

import re
from collections.abc import Sequence
from difflib import SequenceMatcher

from extract.evaluate.context import Context
from extract.evaluate.match import similar

#: The reliability table has this many bins of equal width.
BINS = 10


def compare_trust(context: Context) -> None:
    """Sum the squared error of trust against "the role is not unclear" (Brier 1950), and the reliability table."""
    for place, one in enumerate(context.gold):
        trust = context.trust(place)
        if trust is None:
            continue
        clear = one.role != "unclear"
        bin_ = min(BINS - 1, int(trust * BINS))
        context.counts["trust.squared"] += (trust - clear) ** 2
        context.counts["trust.of"] += 1
        context.counts[f"trust.n:{bin_}"] += 1
        context.counts[f"trust.sum:{bin_}"] += trust
        context.counts[f"trust.clear:{bin_}"] += clear


def compare_suggestions(context: Context) -> None:
    """Of the misheard terms that gold and draft both name: is the word that was said among the suggestions?

    Only where gold has `said`. A suggestion is right if it was said, word for word, where the text differs.
    """
    for place, one in enumerate(context.gold):
        if one.said is None or "misheard_term" not in one.flags:
            continue
        flags = [
            flag
            for flag in context.raised
            if flag["code"] == "misheard_term" and place in context.places(flag["segments"])
        ]
        if not flags:
            continue
        said = _words(one.said)
        changed = _changed(_words(one.text), said)
        ranks = [
            rank
            for flag in flags
            for rank, suggestion in enumerate(flag["suggestions"][:3])
            if _was_said(_words(suggestion["text"]), said, changed)
        ]
        context.counts["suggestion.of"] += 1
        context.counts["suggestion.first"] += 0 in ranks
        context.counts["suggestion.three"] += bool(ranks)
        if 0 not in ranks:
            given = "; ".join(suggestion["text"] for flag in flags for suggestion in flag["suggestions"][:3])
            context.error("wrong_suggestion", place, " ".join(said[i] for i in sorted(changed)), given)


def _words(text: str) -> list[str]:
    return re.findall(r"[a-z0-9]+(?:'[a-z]+)?", text.lower())


def _changed(text: Sequence[str], said: Sequence[str]) -> set[int]:
    """Indexes of the said words that the text has otherwise."""
    blocks = SequenceMatcher(None, text, said, autojunk=False).get_opcodes()
    return {index for tag, _, _, start, end in blocks if tag != "equal" for index in range(start, end)}


def _was_said(suggestion: Sequence[str], said: Sequence[str], changed: set[int]) -> bool:
    size = len(suggestion)
    if not size:
        return False
    for start in range(len(said) - size + 1):
        window = range(start, start + size)
        if changed & set(window) and all(similar(suggestion[i - start], said[i]) for i in window):
            return True
    return False
