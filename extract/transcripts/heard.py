"""What a reader hands over: cues with rows of pieces, before words and missing times are worked out."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import NamedTuple


class Piece(NamedTuple):
    """A stretch of text with its own times, in seconds, where the file gives them.

    White space at its ends tells whether it is joined to its neighbours in the row.
    """

    text: str
    start_s: float | None = None
    end_s: float | None = None
    confidence: float | None = None


class Run(NamedTuple):
    """A stretch of a cue with one speaker; line breaks in `text` part the rows of the caption."""

    text: str
    start_s: float | None
    end_s: float | None
    speaker: str | None


class Heard(NamedTuple):
    """One cue as the file has it. `rows` are the lines that a viewer would see, each a row of pieces."""

    start_s: float | None
    end_s: float | None
    rows: tuple[tuple[Piece, ...], ...]
    line: int
    speaker: str | None = None
    confidence: float | None = None
    recording: int = 0

    @property
    def text(self) -> str:
        """The words of all rows, as written."""
        return " ".join("".join(piece.text for piece in row) for row in self.rows)


@dataclass(slots=True)
class Reading:
    """All cues of a file, with what its header tells."""

    cues: list[Heard] = field(default_factory=list)
    title: str | None = None
    language: str | None = None


def plain_cue(rows: list[str], start_s: float | None, end_s: float | None, line: int) -> Heard:
    """A cue of lines of running text without times of their own inside."""
    return Heard(start_s, end_s, tuple((Piece(row),) for row in rows if row.strip()), line)


def cues_of_runs(runs: list[Run], start_s: float | None, end_s: float | None, line: int) -> list[Heard]:
    """One cue a speaker: a caption in which the voice changes is parted, its time shared out by letters."""
    groups: list[list[Run]] = []
    for run in runs:
        if groups and (groups[-1][-1].speaker == run.speaker or not run.text.strip()):
            groups[-1].append(run)
        else:
            groups.append([run])
    total = sum(len(run.text) for run in runs) or 1
    cues, done = [], 0
    for group in groups:
        begin, done = done, done + sum(len(run.text) for run in group)
        bounds = (start_s, end_s)
        if len(groups) > 1 and start_s is not None and end_s is not None:
            bounds = tuple(start_s + (end_s - start_s) * place / total for place in (begin, done))
        cues.append(Heard(*bounds, _rows(group), line, group[0].speaker))
    return cues


def _rows(runs: list[Run]) -> tuple[tuple[Piece, ...], ...]:
    rows: list[list[Piece]] = [[]]
    for run in runs:
        if "\n" not in run.text:
            rows[-1].append(Piece(run.text, run.start_s, run.end_s))
            continue
        for number, text in enumerate(run.text.split("\n")):
            if number:
                rows.append([])
            if text:
                rows[-1].append(Piece(text, run.start_s, run.end_s))
    return tuple(tuple(row) for row in rows if any(piece.text.strip() for piece in row))
