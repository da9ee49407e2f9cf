"""Text with time marks: `[m:ss]`, `[h:mm:ss]` or `(m:ss)` at the start of a block or on a line of its own."""

from __future__ import annotations

import bisect
import re

from extract.transcripts.clock import read_clock
from extract.transcripts.heard import Reading, plain_cue
from extract.transcripts.markup import unmarked
from extract.transcripts.plain import take_heading
from extract.transcripts.source import Source

_TIME = r"-?(?:\d{1,3}:)?\d{1,4}:\d{1,2}(?:[.,]\d{1,3})?"
_RANGE = rf"({_TIME})(?:\s*(?:-->|[-–—])\s*({_TIME}))?"
#: A mark at the start of a line, or one in square brackets anywhere: nobody speaks those.
#: A list bullet and bold print around it belong to it.
MARK = re.compile(rf"^\s*(?:[-*•]\s+)?\**[\[(]{_RANGE}[\])]\**|\[{_RANGE}\]")
_CUT_MARK = re.compile(r"\s*[\[(]\d[\d:.]*\s*")


def read_marked_text(source: Source) -> Reading:
    """One cue a block; it ends where the next begins, so its words have interpolated times.

    What stands before the first mark is a title or a note, not speech.
    """
    reading = Reading()
    blocks: list[tuple[float | None, float | None, int, list[str]]] = []
    notes: list[int] = []
    for number, line in enumerate(source.lines, 1):
        if not line.strip():
            continue
        marks = list(MARK.finditer(line))
        if not marks and take_heading(source, reading, number, line, speech_began=bool(blocks)):
            continue
        if not marks and _CUT_MARK.fullmatch(line) and not any(rest.strip() for rest in source.lines[number:]):
            source.warn(number, "The last time mark is cut off.", "It was left out.")
            continue
        if not marks and not blocks:
            notes.append(number)
            continue
        source.cue(number)
        done = 0
        for mark in marks:
            if blocks:
                blocks[-1][3].append(unmarked(line[done : mark.start()]))
            elif line[: mark.start()].strip():
                source.warn(number, "The text before the first time mark was taken as a note, not as speech.")
            start, end = mark[1] or mark[3], mark[2] or mark[4]
            blocks.append((_time(source, number, start), _time(source, number, end), number, []))
            done = mark.end()
        blocks[-1][3].append(unmarked(line[done:]))
    _keep_notes(source, reading, notes)
    starts = sorted(start for start, *_ in blocks if start is not None)
    for index, (start, end, number, texts) in enumerate(blocks):
        if end is None and start is not None:
            end = _next_start(starts, start, blocks[index + 1][0] if index + 1 < len(blocks) else None)
        if any(text.strip() for text in texts):
            reading.cues.append(plain_cue(texts, start, end, number))
    return reading


def _time(source: Source, number: int, text: str | None) -> float | None:
    if text is None:
        return None
    value, problem = read_clock(text)
    if problem:
        source.warn(number, problem, f"Here it is “{text}”.")
    return value


def _next_start(starts: list[float], start: float, following: float | None) -> float | None:
    """Where the next block begins; in a file whose marks are not in order, the next one in time."""
    if following is not None and following >= start:
        return following
    place = bisect.bisect_right(starts, start)
    return starts[place] if place < len(starts) else None


def _keep_notes(source: Source, reading: Reading, notes: list[int]) -> None:
    """The first line above the marks is the title if no heading is; the rest is reported as notes."""
    if notes and reading.title is None:
        first = notes[0]
        alone = len(notes) == 1 or notes[1] > first + 1
        text = source.lines[first - 1].strip()
        if alone and len(text) <= 120 and not text.endswith((".", "!", "?")):
            reading.title = unmarked(text).removeprefix("Title:").strip()
            source.known(notes.pop(0))
    for number in notes:
        source.warn(number, "The text before the first time mark was taken as a note, not as speech.")
