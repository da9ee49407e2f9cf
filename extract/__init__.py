"""benchtalk: from the timed transcript of a narrated demonstration to a written procedure.

`import extract; extract.draft("talk.vtt")` returns the draft as a pydantic model whose
`model_dump(mode="json")` is `draft.json`. Nothing heavy is imported until a function is called.
"""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from extract.lexicon import Lexicon
    from extract.model import Draft, Talk
    from extract.settings import Settings

__version__ = "0.1.0"
__all__ = ["draft", "publish", "read"]


def read(path: str | Path, *, format: str | None = None) -> Talk:
    """Read a transcript file; raises `TranscriptError` with file and line where it cannot be read."""
    from extract import transcripts

    return transcripts.read(Path(path), format=format)


def draft(
    talk: str | Path | Talk,
    *,
    format: str | None = None,
    lexicon: Lexicon | None = None,
    settings: Settings | None = None,
) -> Draft:
    """Write the draft procedure of a talk, given as a file or as read."""
    from extract import pipeline
    from extract.model import Talk as TalkModel

    read_talk = talk if isinstance(talk, TalkModel) else read(talk, format=format)
    return pipeline.draft(read_talk, lexicon=lexicon, settings=settings)


def publish(draft: Draft, names: list[str], **options: object) -> Mapping[str, bytes]:
    """Write a draft in the named document formats: file name → bytes."""
    import reports

    return reports.publish(draft, names, **options)
