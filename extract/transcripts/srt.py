"""SubRip. There is no formal specification: numbered cues, times with a comma, simple formatting tags."""

from __future__ import annotations

from extract.transcripts.captions import Dialect, read_captions
from extract.transcripts.heard import Reading
from extract.transcripts.rolling import unroll
from extract.transcripts.source import Source


def read_srt(source: Source) -> Reading:
    """The cues of a SubRip file; numbers may be missing and decimals may have a point."""
    return Reading(unroll(read_captions(source, 1, Dialect(".,", False, lambda line: False))))
