"""The draft's flags: those found in the words, and those that part states, counts and the refit raise."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from extract.ids import IdMaker
from extract.model import Flag, FlagSpan
from extract.speech import FlagFound, Understanding


def from_words(
    understanding: Understanding, found: Sequence[FlagFound], steps_at: Mapping[int, Sequence[str]], ids: IdMaker
) -> list[Flag]:
    """Flags found in the words, with the segments and steps that they concern."""
    utterances = understanding.utterances
    flags = []
    for flag in found:
        where = flag.utterances or (flag.place.utterance,)
        spans = (FlagSpan(segment=utterances[flag.place.utterance].id, start=flag.place.start, end=flag.place.end),)
        flags.append(
            Flag(
                id=ids.make("flag", flag.code, utterances[flag.place.utterance].text, flag.place.start),
                code=flag.code,
                severity=flag.severity,
                message=flag.message,
                segments=tuple(utterances[index].id for index in where),
                steps=tuple(step for index in where for step in steps_at.get(index, ())),
                spans=spans,
                evidence={"rule": flag.place.rule, **flag.evidence},
                suggestions=flag.suggestions,
            )
        )
    return flags
