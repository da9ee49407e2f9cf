"""The formats that can be read, and how a file is told to be one of them."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass

from extract.errors import TranscriptError
from extract.transcripts.captions import is_timing
from extract.transcripts.ctm import read_ctm
from extract.transcripts.heard import Reading
from extract.transcripts.jsonl import looks_like_other_json, read_jsonl
from extract.transcripts.marked_text import MARK, read_marked_text
from extract.transcripts.plain import read_plain
from extract.transcripts.source import Source
from extract.transcripts.srt import read_srt
from extract.transcripts.ttml import read_ttml
from extract.transcripts.vtt import read_vtt


@dataclass(frozen=True, slots=True)
class Format:
    """A format by its name for users, the suffixes of its files, and its reader."""

    name: str
    title: str
    suffixes: tuple[str, ...]
    reader: Callable[[Source], Reading]


FORMATS: dict[str, Format] = {
    form.name: form
    for form in (
        Format("vtt", "WebVTT", (".vtt", ".webvtt"), read_vtt),
        Format("srt", "SubRip", (".srt",), read_srt),
        Format("ttml", "TTML", (".ttml", ".dfxp", ".xml"), read_ttml),
        Format("ctm", "CTM", (".ctm",), read_ctm),
        Format("jsonl", "JSON Lines", (".jsonl", ".ndjson", ".json"), read_jsonl),
        Format("marked", "text with time marks", (".txt", ".md", ".markdown", ".text"), read_marked_text),
        Format("plain", "plain text", (".txt", ".md", ".markdown", ".text"), read_plain),
    )
}
#: Lines at the start of a file that are looked at to tell its format.
LOOKED_AT = 400


def choose(source: Source, name: str | None = None) -> Format:
    """The format that is asked for, or else the one that the content shows; a wrong suffix is reported."""
    if name is not None:
        if name not in FORMATS:
            raise TranscriptError(f"“{name}” is not a format.", file=source.path, remedy=f"Known are: {_listed()}.")
        return FORMATS[name]
    suffix = source.path.suffix.lower()
    fitting = [FORMATS[form] for form in _looks_like(source)]
    named = next((form for form in FORMATS.values() if suffix in form.suffixes), None)
    if fitting[0].name == "plain" and named is not None and _has_line_of(named.name, source):
        return named
    for form in fitting:
        if suffix in form.suffixes:
            return form
    known = any(suffix in form.suffixes for form in FORMATS.values())
    if known:
        source.warn(None, f"The suffix is {suffix}, but the content is {fitting[0].title}.", "It was read as that.")
        return fitting[0]
    if fitting[0].name != "plain":
        return fitting[0]
    raise source.error(
        "The format of the file is unknown.", f"Name it with --format, if it is one of these: {_listed()}."
    )


def _listed() -> str:
    return ", ".join(f"{form.name} ({form.title}, {' '.join(form.suffixes)})" for form in FORMATS.values())


def _looks_like(source: Source) -> tuple[str, ...]:
    """Names of formats that the first lines fit, the likeliest first; never empty."""
    lines = [line for line in source.lines[:LOOKED_AT] if line.strip()]
    if not lines:
        return tuple(FORMATS)
    if re.match(r"WEBVTT(?:[ \t]|$)", lines[0]):
        return ("vtt",)
    if source.path.suffix.lower() in FORMATS["jsonl"].suffixes and looks_like_other_json(source):
        return ("jsonl",)
    if re.match(r"\s*\[\s*\{\s*\"", source.text):
        return ("jsonl",)
    if re.match(r"\s*<(?:\?xml|!DOCTYPE|!--|(?:\w+:)?tt[\s>])", lines[0]):
        return ("ttml",)
    timing = [line for line in lines if is_timing(line)]
    if timing and not lines[0].lstrip().startswith("{"):
        return ("srt",) if "," in timing[0].partition("-->")[0] else ("vtt", "srt")
    if sum(line.lstrip().startswith('{"') or line.strip() == "{" for line in lines) * 2 > len(lines):
        return ("jsonl",)
    words = [line for line in lines if not line.lstrip().startswith(";;")]
    if words and sum(map(_is_ctm, words)) * 2 > len(words):
        return ("ctm",)
    if any(MARK.search(line) for line in lines):
        return ("marked",)
    return ("plain",)


def _has_line_of(name: str, source: Source) -> bool:
    """Whether a line of the file fits the format that its suffix names, where most do not."""
    if name == "ctm":
        return any(_is_ctm(line) for line in source.lines)
    return name == "jsonl" and any(line.lstrip().startswith("{") for line in source.lines)


def _is_ctm(line: str) -> bool:
    fields = line.split()
    return len(fields) > 4 and all(re.fullmatch(r"-?\d*[.,]?\d+|\*", field) for field in fields[2:4])
