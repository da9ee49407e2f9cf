"""WebVTT, after the W3C specification (https://www.w3.org/TR/webvtt1/), with tolerance for its usual mistakes."""

from __future__ import annotations

import re

from extract.transcripts.captions import Dialect, is_timing, read_captions
from extract.transcripts.heard import Reading
from extract.transcripts.rolling import unroll
from extract.transcripts.source import Source

_BLOCK = re.compile(r"NOTE(?:[ \t].*)?|STYLE\s*|REGION\s*")
_METADATA = re.compile(r"([A-Za-z][\w-]*)\s*[:=]\s*(.*)")


def read_vtt(source: Source) -> Reading:
    """The cues of a WebVTT file; the header may give title and language."""
    reading = Reading()
    first = _read_header(source, reading)
    reading.cues = unroll(read_captions(source, first, Dialect(".", True, lambda line: bool(_BLOCK.fullmatch(line)))))
    return reading


def _read_header(source: Source, reading: Reading) -> int:
    """Account for the header and return the line on which the cues may start."""
    if not re.match(r"WEBVTT(?:[ \t]|$)", source.lines[0]):
        source.warn(1, "The file does not start with WEBVTT.")
        return 1
    source.known(1)
    title = re.fullmatch(r"[ \t]+[-–—][ \t]+(.+)", source.lines[0][6:].rstrip())
    reading.title = title[1] if title else None
    for number in range(2, len(source.lines) + 1):
        line = source.lines[number - 1]
        next_line = source.lines[number] if number < len(source.lines) else ""
        if not line.strip() or is_timing(line) or is_timing(next_line):
            return number
        source.known(number)
        found = _METADATA.fullmatch(line.strip())
        if found and found[1].lower() == "language":
            reading.language = found[2].strip() or None
        elif found and found[1].lower() == "title":
            reading.title = found[2].strip() or reading.title
    return len(source.lines) + 1
