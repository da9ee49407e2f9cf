"""WebVTT for the film: chapters of the procedure, and the talk as captions with the reviewer's words in.

Format: W3C WebVTT. Chapter cues do not overlap here, and each ends where the next begins.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from extract.model import Draft
from reports.base import Options
from reports.text import with_marks
from reports.view import Paper, view

SHORTEST_S = 0.001  # a cue must end after it starts; times are written in milliseconds


def write_chapters(draft: Draft, options: Options) -> dict[str, bytes]:
    """Write `chapters.vtt`: a chapter a section, or a step where the options say so."""
    paper = view(draft, options)
    steps = [*paper.steps(), *paper.refit]
    marks: list[tuple[float, str]] = []
    if options.chapters == "section":
        for section in paper.work:
            start = section.start_s if section.start_s is not None else section.steps[0].start_s
            first, last = section.steps[0].label, section.steps[-1].label
            name = section.title or (f"Step {first}" if first == last else f"Steps {first} to {last}")
            if start is not None:
                marks.append((start, name))
    else:
        marks = [(s.start_s, f"{s.label} {with_marks(s.marks, s.text)}") for s in steps if s.start_s is not None]
    end = max([paper.duration_s or 0.0, *(s.end_s or 0.0 for s in steps), *(s for s, _ in marks)], default=0.0)
    ordered = _one_a_start(sorted(marks, key=lambda mark: mark[0]))
    cues = [(start, next_start, name) for (start, name), (next_start, _) in pairwise([*ordered, (end, "")])]
    return {"chapters.vtt": _file(paper, cues)}


def write_captions(draft: Draft, options: Options) -> dict[str, bytes]:
    """Write `talk.vtt`: every utterance with its time, corrected words instead of heard ones."""
    paper = view(draft, options)
    spoken = [s for s in paper.talk if s.start_s is not None]
    cues = []
    for index, s in enumerate(spoken):
        following = spoken[index + 1].start_s if index + 1 < len(spoken) else paper.duration_s
        end = s.end_s if s.end_s is not None else following
        voice = f"<v {_escape(s.speaker).replace('&gt;', '')}>" if s.speaker else ""
        cues.append((s.start_s, end if end is not None else s.start_s, voice + _escape(s.text)))
    cues.sort(key=lambda cue: cue[0])
    return {"talk.vtt": _file(paper, cues, escaped=True)}


def _one_a_start(marks: list[tuple[float, str]]) -> list[tuple[float, str]]:
    """Join chapters that begin at the same moment: two acts told in one breath."""
    joined: list[tuple[float, str]] = []
    for start, name in marks:
        if joined and round(joined[-1][0], 3) == round(start, 3):
            joined[-1] = (joined[-1][0], f"{joined[-1][1]} {name}")
        else:
            joined.append((start, name))
    return joined


def _file(paper: Paper, cues: Sequence[tuple[float, float, str]], escaped: bool = False) -> bytes:
    head = [paper.title, *paper.status]
    head += [f"Edition for {paper.variant}"] if paper.variant else []
    head += [f"{c.signal}: {c.text}{f' ({c.where})' if c.where else ''}" for c in paper.cautions]
    head.append(paper.defers)
    blocks = ["WEBVTT", "NOTE\n" + "\n".join(line.replace("-->", "→") for line in head)]
    for number, (start, end, text) in enumerate(cues, 1):
        end = max(end, start + SHORTEST_S)
        words = text if escaped else _escape(text)
        blocks.append(f"{number}\n{_stamp(start)} --> {_stamp(end)}\n{words}")
    return ("\n\n".join(blocks) + "\n").encode()


def _stamp(seconds: float) -> str:
    milliseconds = round(seconds * 1000)
    minutes, rest = divmod(milliseconds, 60_000)
    return f"{minutes // 60:02}:{minutes % 60:02}:{rest // 1000:02}.{rest % 1000:03}"


def _escape(text: str) -> str:
    return text.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")
