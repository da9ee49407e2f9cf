"""Times of cues put in order, mended where the meaning is clear, and filled in where they are missing."""

from __future__ import annotations

import bisect
import math
from typing import NamedTuple

from extract.transcripts.heard import Heard
from extract.transcripts.source import Source

#: Speech of a demonstration, words a second (common practice, no source): the length of blocks without an end.
WORDS_PER_S = 2.5
#: Overlaps up to this length come from rounding and padding of captions.
OVERLAP_S = 0.5
LATEST_S = 1_000_000.0


class Order(NamedTuple):
    """Indices in order of time, and those that stood elsewhere. `restart` is where a clock starts anew."""

    order: list[int]
    moved: list[int]
    restart: int | None


def time_order(starts: list[float | None]) -> Order:
    """The order of time of entries that may be misplaced.

    Few entries out of place are put in order. Where a long stretch follows that starts anew, two recordings
    were put into one file: then the order of the file stays. Entries without a time stay behind their neighbour.
    """
    filled: list[float] = []
    last = -math.inf
    for start in starts:
        last = last if start is None else start
        filled.append(last)
    drops = [index for index in range(1, len(filled)) if filled[index] < filled[index - 1]]
    in_file_order = list(range(len(starts)))
    if not drops:
        return Order(in_file_order, [], None)
    tails: list[float] = []
    for value in filled:
        place = bisect.bisect_right(tails, value)
        tails[place : place + 1] = [value]
    if len(filled) - len(tails) >= 5 * len(drops):
        return Order(in_file_order, [], drops[0])
    return Order(sorted(in_file_order, key=filled.__getitem__), drops, None)


def settle(cues: list[Heard], source: Source) -> list[Heard]:
    """The cues in order, each with start and end, or all without times."""
    cues = [_checked(cue, source) for cue in cues]
    if all(cue.start_s is None for cue in cues):
        return cues
    found = time_order([cue.start_s for cue in cues])
    if found.restart is not None:
        source.warn(
            cues[found.restart].line,
            "The times start anew here.",
            "The order of the file was kept; split the file and join the parts if it holds two recordings.",
        )
    for index in found.moved:
        source.warn(cues[index].line, "The cue starts before the one above it.", "The cues were put in order of time.")
    cues = _filled([cues[index] for index in found.order], source)
    for before, cue in zip(cues, cues[1:], strict=False):
        if before.start_s <= cue.start_s < before.end_s - OVERLAP_S and before.speaker == cue.speaker:
            source.warn(cue.line, "The cue starts before the one above it ends.")
    return cues


def _checked(cue: Heard, source: Source) -> Heard:
    start, end = cue.start_s, cue.end_s
    for value in (start, end):
        if value is not None and not abs(value) < LATEST_S:
            source.warn(cue.line, "A time is out of all bounds.", "It was left out.")
            return cue._replace(start_s=None, end_s=None)
    if start is not None and start < 0:
        source.warn(cue.line, "A time is negative.", "It was taken as 0.")
        start = 0.0
    if end is not None and start is not None and end < start:
        source.warn(cue.line, "The cue ends before it starts.", "Its end was set by the words.")
        end = None
    if start is cue.start_s and end is cue.end_s:
        return cue
    return cue._replace(start_s=start, end_s=end)


def _filled(cues: list[Heard], source: Source) -> list[Heard]:
    """Missing starts lie between the neighbours, missing ends at the next cue or after the words."""
    if all(cue.start_s is not None and cue.end_s is not None for cue in cues):
        return cues
    out: list[Heard] = []
    following = _following_starts(cues)
    index = 0
    while index < len(cues):
        cue = cues[index]
        if cue.start_s is None:
            last = index
            while last + 1 < len(cues) and cues[last + 1].start_s is None:
                last += 1
            group = cues[index : last + 1]
            for member in group:
                if not source.is_reported(member.line):
                    source.warn(member.line, "The cue has no time.", "It was placed between its neighbours.")
            out.extend(spread(group, out[-1].end_s if out else 0.0, following[last]))
            index = last + 1
            continue
        if cue.end_s is None:
            length = len(cue.text.split()) / WORDS_PER_S
            room = math.inf if following[index] is None else following[index] - cue.start_s
            cue = cue._replace(end_s=cue.start_s + (min(length, room) if room > 0 else length))
        out.append(cue)
        index += 1
    return out


def _following_starts(cues: list[Heard]) -> list[float | None]:
    """For each cue the start of the next one that has a time."""
    starts: list[float | None] = [None] * len(cues)
    following: float | None = None
    for index in range(len(cues) - 1, -1, -1):
        starts[index] = following
        if cues[index].start_s is not None:
            following = cues[index].start_s
    return starts


def spread(group: list[Heard], start_s: float, end_s: float | None) -> list[Heard]:
    """The cues placed one after the other, by letters; without an end at the pace of speech."""
    if end_s is None:
        end_s = start_s + sum(len(cue.text.split()) for cue in group) / WORDS_PER_S
    end_s = max(start_s, end_s)
    total = sum(len(cue.text) for cue in group) or 1
    placed, done = [], 0
    for cue in group:
        begin, done = done, done + len(cue.text)
        bounds = [start_s + (end_s - start_s) * place / total for place in (begin, done)]
        placed.append(cue._replace(start_s=bounds[0], end_s=bounds[1]))
    return placed
