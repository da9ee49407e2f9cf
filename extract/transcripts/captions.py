"""What WebVTT and SubRip share: cues of a timing line and rows of text, parted by blank lines."""

from __future__ import annotations

import html
import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass

from extract.transcripts.clock import read_clock
from extract.transcripts.heard import Heard, Run, cues_of_runs
from extract.transcripts.source import Source

_ARROW = re.compile(r"\s*(-->|->|=>|→|[–—]>)\s*")
_TIMELIKE = re.compile(r"[-−]?\d+[:.,]\S*")
#: Tags that say nothing about words, times or voices.
_FORMATTING = re.compile(
    r"</?(?:c|i|b|u|s|ruby|rt|lang|font|span|em|strong)(?:[ \n.][^<>]*)?>|</>|</v[^<>]*>", re.IGNORECASE
)
_READING_AID = re.compile(r"<rt(?:[ \n.][^<>]*)?>.*?(?:</rt>|(?=</ruby>)|\Z)", re.DOTALL)
_BREAK = re.compile(r"<br ?/?>", re.IGNORECASE)
#: A time stamp or the start of a voice span; the groups are the time and the speaker.
_MARK = re.compile(r"<(-?\d+:[\d:.,]*)>|<v(?:\.[^ \n<>]*)?(?:[ \n]([^<>]*))?>")
_CUT_TAG = re.compile(r"<(?:/?(?:[cibuv]|font|lang|ruby|rt)?(?:[ .][^<>]*)?|\d+:[\d:.,]*)$")
_STYLE_CODE = re.compile(r"\{\\[^{}]*\}|\{/?[biu]\}")
_ESCAPE = re.compile(r"&(?:#\d{1,7}|#[xX][0-9a-fA-F]{1,6}|\w{2,32});")
_DIRECTION_MARKS = str.maketrans("", "", "\u200e\u200f")


@dataclass(slots=True)
class Caption:
    """A cue as the file has it, its tags not yet read."""

    start_s: float | None
    end_s: float | None
    line: int
    rows: list[str]


@dataclass(frozen=True, slots=True)
class Dialect:
    """In what WebVTT and SubRip differ: decimal marks, names of cues that are no numbers, blocks that are no cues."""

    marks: str
    free_names: bool
    known_block: Callable[[str], bool]


def is_timing(line: str) -> bool:
    """Whether the line gives the times of a cue, even if badly written."""
    found = _ARROW.search(line)
    if not found:
        return False
    left, right = line[: found.start()].strip(), line[found.end() :].split(None, 1)
    timelike = [bool(_TIMELIKE.fullmatch(left)), bool(right and _TIMELIKE.fullmatch(right[0]))]
    return any(timelike) if found.group(1) == "-->" else all(timelike)


def read_captions(source: Source, first_line: int, dialect: Dialect) -> list[Heard]:
    """All cues from `first_line` on, tags read; every line is accounted for in `source`."""
    cues: list[Heard] = []
    for caption in _captions(source, first_line, dialect):
        text = "\n".join(caption.rows)
        if not text:
            continue
        if "<" in text or "{" in text:
            runs = _read_tags(source, caption, text)
        else:
            runs = [Run(_unescape(text), None, None, None)]
        cues.extend(cues_of_runs(runs, caption.start_s, caption.end_s, caption.line))
    return cues


def _captions(source: Source, first_line: int, dialect: Dialect) -> Iterator[Caption]:
    lines = source.lines
    count = len(lines)
    # One look at each line: block ends need to know whether the next line is a timing line.
    timing = [("-->" in line or ">" in line or "→" in line) and is_timing(line) for line in lines]
    timing.append(False)
    caption: Caption | None = None

    def text_ends(at: int) -> bool:
        """A cue goes on over a line of white space, which rolling captions use for an empty row."""
        line = lines[at]
        if line and not line.strip():
            return at + 2 < count and (timing[at + 2] or dialect.known_block(lines[at + 1]))
        return not line or timing[at] or (timing[at + 1] and line.strip().isdigit())

    at = first_line - 1
    while at < count:
        number = at + 1
        line = lines[at]
        if not line.strip():
            at += 1
            continue
        if timing[at]:
            if caption is not None:
                yield caption
            caption = _read_timing(source, number, line, dialect)
            at += 1
            while at < count and not text_ends(at):
                if lines[at].strip():
                    caption.rows.append(lines[at])
                    source.cue(at + 1)
                at += 1
            if at < count and lines[at].strip():
                source.warn(at + 1, "A blank line is missing before this cue.")
            if not caption.rows and at >= count - 1:
                source.warn(number, "The last cue has no text.", "The file may be cut off.")
            continue
        if timing[at + 1] and (dialect.free_names or line.strip().isdigit()):
            source.known(number)
        elif dialect.known_block(line):
            while at < count and not text_ends(at):
                source.known(at + 1)
                at += 1
            continue
        elif line.strip().isdigit():
            source.warn(number, "A cue number stands without a cue.", "The file may be cut off here.")
        else:
            if caption is None:
                caption = Caption(None, None, number, [])
            while at < count and not text_ends(at):
                if lines[at].strip():
                    kept = (
                        "It was kept with the cue before." if caption.end_s else "It was placed before the first cue."
                    )
                    source.warn(at + 1, "This text has no time of its own.", kept)
                    caption.rows.append(lines[at])
                at += 1
            continue
        at += 1
    if caption is not None:
        yield caption


def _read_timing(source: Source, number: int, line: str, dialect: Dialect) -> Caption:
    source.cue(number)
    arrow = _ARROW.search(line)
    assert arrow is not None
    if arrow.group(1) != "-->":
        source.warn(number, f"The arrow between the times is “{arrow.group(1)}”.")
    times: list[float | None] = []
    for text in (line[: arrow.start()].strip(), (line[arrow.end() :].split(None, 1) or [""])[0]):
        value, problem = read_clock(text, dialect.marks, digits=3)
        if problem:
            source.warn(number, problem, f"Here it is “{text[:40]}”." if text else "It is missing.")
        times.append(value)
    return Caption(times[0], times[1], number, [])


def _read_tags(source: Source, caption: Caption, text: str) -> list[Run]:
    """Runs of text between tags. Stamps give times, voice tags the speaker, all other tags go."""
    text = _STYLE_CODE.sub("", text)
    cut = _CUT_TAG.search(text) if text.rfind("<") > text.rfind(">") else None
    if cut:
        source.warn(caption.line, "A tag is cut off.", "It was left out.")
        text = text[: cut.start()]
    if "<rt" in text:
        source.warn(caption.line, "A reading aid (ruby) is not spoken.", "It was left out.")
        text = _READING_AID.sub("", text)
    # The end of a voice span is kept as a voice without a name.
    text = _FORMATTING.sub(lambda tag: "<v>" if tag.group().startswith("</v") else "", _BREAK.sub("\n", text))
    runs: list[Run] = []
    speaker: str | None = None
    stamp: float | None = None
    pieces = _MARK.split(text)
    for index in range(0, len(pieces), 3):
        if index:
            time, voice = pieces[index - 2], pieces[index - 1]
            if time is None:
                speaker = " ".join(_unescape(voice or "").split()) or None
            else:
                value, _ = read_clock(time)
                if value is None:
                    source.warn(caption.line, "A time inside the text cannot be read.", f"Here it is “{time[:40]}”.")
                else:
                    stamp = value
        if pieces[index]:
            runs.append(Run(_unescape(pieces[index]), stamp, None, speaker))
    _end_runs(runs, caption.end_s)
    return runs


def _end_runs(runs: list[Run], end_s: float | None) -> None:
    """A stamp ends the run before it, the end of the cue the last one."""
    start_s: float | None = None
    for index in range(len(runs) - 1, -1, -1):
        if runs[index].start_s is None:
            continue
        if start_s is not None and runs[index].start_s != start_s:
            end_s = start_s
        start_s = runs[index].start_s
        runs[index] = runs[index]._replace(end_s=end_s)


def _unescape(text: str) -> str:
    if "&" in text:
        text = _ESCAPE.sub(lambda found: html.unescape(found.group()), text)
    return text.translate(_DIRECTION_MARKS) if not text.isascii() else text
