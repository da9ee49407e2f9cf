"""Carrying a correction of words over to the words as they are now."""

from __future__ import annotations

import re
from difflib import SequenceMatcher

from extract.review.anchors import find_words, plain

#: Words on each side that must agree before a changed word is touched.
CONTEXT = 2

#: Punctuation around a run of words stays as it is in the present text.
_OUTER = " .,;:!?"
_WORDS = re.compile(r"\S+")


def carry_over(was: str, now: str, present: str) -> str | None:
    """Apply the change from `was` to `now` to the text `present`.

    Where `present` reads as `was`, the result is `now`. Else every changed run of words must be found
    exactly once with its neighbouring words; the rest of `present` stays. Null where that fails.
    """
    if plain(present) == plain(now):
        return present
    if plain(present) == plain(was):
        return now
    result = present
    for old, new in _changes(was, now):
        place = find_words(old, result)
        if place is None:
            return None
        result = result[: place[0]] + new.strip(_OUTER) + result[place[1] :]
    return result


def _changes(was: str, now: str) -> list[tuple[str, str]]:
    """Changed runs of words with up to `CONTEXT` equal words on each side: what to find, what to put."""
    old, new = _WORDS.findall(was), _WORDS.findall(now)
    match = SequenceMatcher(None, [plain(word) for word in old], [plain(word) for word in new], autojunk=False)
    changes = []
    for tag, start, end, new_start, new_end in match.get_opcodes():
        if tag == "equal":
            continue
        left, right = max(0, start - CONTEXT), min(len(old), end + CONTEXT)
        before, after = old[left:start], old[end:right]
        changes.append((" ".join(old[left:right]), " ".join([*before, *new[new_start:new_end], *after])))
    return changes
