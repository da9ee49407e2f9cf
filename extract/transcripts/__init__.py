"""Readers of transcripts: from a file of any known format to a `Talk`."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

from extract.errors import TranscriptError
from extract.model import Talk
from extract.transcripts.assemble import Part, assemble
from extract.transcripts.formats import FORMATS, Format, choose
from extract.transcripts.source import load

__all__ = ["FORMATS", "Format", "read", "read_joined"]


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
        chosen = choose(source, format)
        reading = chosen.reader(source)
        if not any(cue.text.strip() for cue in reading.cues):
            reported = source.warnings()
            raise source.error(
                f"The file was read as {chosen.title} and has no words.",
                "Check that it is complete" + (f"; first problem: {reported[0].message}" if reported else "."),
                reported[0].line if reported else None,
            )
        parts.append(Part(source, reading, chosen.name))
    if not parts:
        raise TranscriptError("There is no file to read.", remedy="Name at least one transcript.")
    return assemble(parts)
