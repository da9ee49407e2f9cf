"""Tightening values whose unit was said with another: which bare numbers are told of a joint."""

from __future__ import annotations

from collections.abc import Sequence

from extract.findings.joints import is_screwed
from extract.language.heard import Heard
from extract.language.phrases import Chunk
from extract.language.quantities import number_at


def told_bare(heard: Heard, index: int, next_to: bool) -> bool:
    """ "and the rocker bolts get twenty": a number for a fastener, in the unit of the utterance before.

    `next_to` says that it was the very utterance before; then a part that is screwed may take the number too.
    """
    parsed = heard.parsed[index]
    t = parsed.tagged
    if next_to and not parsed.verbs and _named_with_number(heard, index):
        return True
    for verb in parsed.verbs:
        if verb.base not in ("get", "take", "want", "need", "require", "be") or verb.subject is None:
            continue
        plain = verb.base in ("get", "take") and verb.subject.kind == "fastener"
        told = plain or (next_to and is_screwed(heard, index, verb.subject))
        read = number_at(t, verb.at + 1) if told else None
        if read is not None and read[0] >= 4 and stands_alone(parsed.chunks, verb.at + 1, verb.at + 1 + read[1]):
            return True
    return False


def _named_with_number(heard: Heard, index: int) -> bool:
    """ "Grub screw, twelve.", "The disc bolts five.": nothing but the joint and its number."""
    parsed = heard.parsed[index]
    t = parsed.tagged
    end = next((i for i in range(len(t)) if t.low[i] in (".", ";")), len(t))
    joint = next((c for c in parsed.chunks if c.last < end), None)
    if joint is None or joint.first > 2 or not is_screwed(heard, index, joint):
        return False
    at = joint.last + (t.low[joint.last] == ",")
    read = number_at(t, at)
    return read is not None and read[0] >= 4 and at + read[1] == end


def fastener_between(heard: Heard, index: int, since: int, first: int) -> bool:
    """ "the pinch bolt to eleven newton metres and the two clamp bolts to six"."""
    chunks = heard.parsed[index].chunks
    return any(since <= c.first and c.last < first and c.kind == "fastener" for c in chunks)


def stands_alone(chunks: Sequence[Chunk], first: int, last: int) -> bool:
    """Whether a number counts nothing ("then fifty-five"), rather than a noun ("the two bolts")."""
    return not any(
        chunk.first <= first and chunk.last > last - 1 and chunk.noun not in ("count", "size") for chunk in chunks
    )
