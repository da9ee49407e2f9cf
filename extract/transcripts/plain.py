"""Plain text without times: paragraphs of speech, with a title where the text has one."""

from __future__ import annotations

import re

from extract.transcripts.heard import Reading, plain_cue
from extract.transcripts.markup import unmarked
from extract.transcripts.source import Source

HEADING = re.compile(r"\s{0,3}#{1,6}\s+(.*?)\s*#*\s*")


def read_plain(source: Source) -> Reading:
    """One cue a paragraph, all without times. Markdown headings are not speech; the first is the title."""
    reading = Reading()
    paragraph: list[str] = []
    first = 1
    for number, line in enumerate([*source.lines, ""], 1):
        heading = take_heading(source, reading, number, line, speech_began=bool(reading.cues or paragraph))
        if line.strip() and not heading:
            if not paragraph:
                first = number
            source.cue(number)
            paragraph.append(unmarked(line))
        elif paragraph:
            reading.cues.append(plain_cue(paragraph, None, None, first))
            paragraph = []
    return reading


def take_heading(source: Source, reading: Reading, number: int, line: str, *, speech_began: bool) -> bool:
    """Whether the line is a Markdown heading: one before the speech becomes the title, others are reported."""
    found = HEADING.fullmatch(line)
    if not found or not found[1]:
        return False
    if reading.title is None and not speech_began:
        reading.title = unmarked(found[1])
        source.known(number)
    else:
        source.warn(number, "A heading is not speech.", "It was left out.")
    return True
