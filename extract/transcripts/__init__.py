"""Readers of transcripts: from a file of any known format to a `Talk`."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

from extract.errors import TranscriptError
from extract.model import Talk
from extract.transcripts.assemble import Part, assemble
from extract.transcripts.formats import FORMATS, Format, choose
from extract.transcripts.heard import Heard
from extract.transcripts.source import Source, load
from extract.transcripts.speakers import name_speakers

__all__ = ["FORMATS", "Format", "read", "read_joined"]

#: Words without which nobody speaks English for long; they make up a third of running speech and more.
_ENGLISH = frozenset(
    """the a an and of to in it is that this on you we i with for at from by as are was be have has not or but so
    if then out up off down your our them they there here now just get put take going""".split()
)
#: Different words from which on a talk's language is judged, and the share of those above that English has at least.
_ENOUGH_WORDS, _ENGLISH_SHARE = 25, 0.06


def read(path: str | Path, *, format: str | None = None) -> Talk:
    """The talk of one file. `format` is a name of `FORMATS`; without it suffix and first lines decide.

    Raises `TranscriptError` where no talk can be read. What could be read only with care stands in
    `Talk.warnings`.
    """
    return read_joined([path], format=format)


def read_joined(paths: Iterable[str | Path], *, format: str | None = None) -> Talk:
    """Several recordings of one job, in order, as one talk: times go on where the one before ended.

    The talk has the name of the first file; `Cue.recording` tells the file of a cue.
    """
    parts: list[Part] = []
    for path in paths:
        source = load(path)
        if not source.text.strip():
            raise source.error("The file has no words.", "Check that it is complete.")
        chosen = choose(source, format)
        reading = chosen.reader(source)
        if not any(cue.text.strip() for cue in reading.cues):
            reported = source.warnings()
            raise source.error(
                f"The file was read as {chosen.title} and has no words.",
                "Check that it is complete" + (f"; first problem: {reported[0].message}" if reported else "."),
                reported[0].line if reported else None,
            )
        reading.cues = name_speakers(reading.cues)
        _doubt_language(source, reading.cues)
        parts.append(Part(source, reading, chosen.name))
    if not parts:
        raise TranscriptError("There is no file to read.", remedy="Name at least one transcript.")
    return assemble(parts)


def _doubt_language(source: Source, cues: list[Heard]) -> None:
    words = [word.strip(".,;:!?“”\"'()").lower() for cue in cues for word in cue.text.split()]
    words = [word for word in words if word.isalpha()]
    if len(set(words)) >= _ENOUGH_WORDS and sum(word in _ENGLISH for word in words) < _ENGLISH_SHARE * len(words):
        source.warn(None, "There are few English words.", "Is the talk in English? Other languages can't be drafted.")
