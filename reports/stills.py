"""Stills of the film for the steps that need one: the sharpest frame of the time in which the step is done.

Sharpness is the variance of the Laplacian of the luminance (J. L. Pech-Pacheco et al., "Diatom autofocusing in
brightfield microscopy", ICPR 2000; from memory), on a frame scaled to one width so that values compare.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path

from extract.errors import CaseError, MissingExtraError
from extract.model import Draft
from reports.base import Picture

WHICH = ("none", "needed", "all")
MEASURED_WIDTH = 480  # pixels; frames are measured at this width
PRINTED_WIDTH = 1280  # pixels; wider films are scaled down
FRAMES_A_STEP = 32  # how many frames of a step are measured, evenly over its time
AFTER_S = 3.0  # hands follow words: so long after the last word, but not into the next step
SHARP_ENOUGH = (
    60.0  # grey levels squared; below, all is blurred or there is nothing to see (common practice, no source)
)
BRIGHT_ENOUGH = 12.0  # mean grey level of 255; below, the picture is black
# Kinds of notes that a picture explains better than words.
PICTURED_NOTES = {"align", "orient"}


@dataclass(frozen=True, slots=True)
class Span:
    """The time in the film in which a step is done."""

    step: str
    start_s: float
    end_s: float


def spans(draft: Draft, which: str) -> list[Span]:
    """Return the times of the steps that get a still: all, or those with an open point or an alignment."""
    if which not in WHICH:
        raise CaseError(f"--stills {which!r} is not known.", remedy=f"Choose one of: {', '.join(WHICH)}.")
    open_steps = {s for f in draft.flags if f.state == "open" and f.severity != "info" for s in f.steps}
    open_flags = {f.id for f in draft.flags if f.state == "open" and f.severity != "info"}
    aligned = {
        step
        for refit in draft.refit
        for step in refit.undoes
        if any(note.kind in PICTURED_NOTES for note in refit.notes)
    }
    starts = sorted(s.start_s for s in draft.steps if s.start_s is not None)
    found = []
    for step in draft.steps:
        if step.start_s is None or step.done_before_camera or which == "none":
            continue
        needed = (
            step.id in open_steps
            or step.id in aligned
            or bool(open_flags & set(step.flags))
            or any(note.kind in PICTURED_NOTES for note in step.notes)
        )
        if which == "needed" and not needed:
            continue
        end = step.end_s if step.end_s is not None else step.start_s
        following = next((s for s in starts if s >= end), end + AFTER_S)
        found.append(Span(step.id, step.start_s, max(end, min(following, end + AFTER_S))))
    return found


def take(draft: Draft, film: Path, which: str = "needed") -> dict[str, Picture]:
    """Return a still by step id. A step with no good frame gets none.

    Raises CaseError where the film cannot be read, MissingExtraError without PyAV.
    """
    wanted = spans(draft, which)
    if not wanted:
        return {}
    try:
        import av
    except ModuleNotFoundError as error:
        raise MissingExtraError("A still of the film", "film") from error
    if not film.is_file():
        raise CaseError("no such film.", file=film, remedy="Give a video file with --film.")
    try:
        with av.open(str(film)) as container:
            if not container.streams.video:
                raise CaseError("has no picture, only sound.", file=film, remedy="Give the film with its picture.")
            container.streams.video[0].thread_type = "AUTO"
            pictures = {}
            for span in wanted:
                picture = _sharpest(container, span)
                if picture is not None:
                    pictures[span.step] = picture
            return pictures
    except av.error.FFmpegError as error:
        raise CaseError(f"can't be read as a film: {error.strerror}.", file=film, remedy="Is it a video?") from error


def sharpness(grey) -> float:
    """Return the variance of the Laplacian of a grey picture (rows by columns, 0 to 255)."""
    import numpy as np

    g = grey.astype(np.float32)
    laplacian = g[:-2, 1:-1] + g[2:, 1:-1] + g[1:-1, :-2] + g[1:-1, 2:] - 4.0 * g[1:-1, 1:-1]
    return float(laplacian.var())


def _sharpest(container, span: Span) -> Picture | None:
    best, best_score = None, SHARP_ENOUGH
    for time_s, frame in _frames(container, span):
        grey = frame.reformat(width=MEASURED_WIDTH, height=_height(frame, MEASURED_WIDTH), format="gray").to_ndarray()
        if grey.mean() < BRIGHT_ENOUGH:
            continue
        score = sharpness(grey)
        if score > best_score:
            best, best_score = (time_s, frame), score
    return None if best is None else _picture(*best)


def _frames(container, span: Span) -> Iterator[tuple[float, object]]:
    stream = container.streams.video[0]
    base = stream.time_base
    first_s = float((stream.start_time or 0) * base)
    container.seek(int((span.start_s + first_s) / base), stream=stream, backward=True)
    step_s = (span.end_s - span.start_s) / FRAMES_A_STEP
    due = span.start_s
    for frame in container.decode(stream):
        if frame.pts is None:
            continue
        time_s = float(frame.pts * base) - first_s
        if time_s > span.end_s:
            return
        if time_s >= due:
            due = max(due + step_s, time_s)
            yield time_s, frame


def _height(frame, width: int) -> int:
    return max(2, round(frame.height * width / frame.width / 2) * 2)


def _picture(time_s: float, frame) -> Picture:
    import av

    width = min(PRINTED_WIDTH, frame.width) // 2 * 2
    ready = frame.reformat(width=width, height=_height(frame, width), format="yuvj420p")
    turned = (getattr(frame, "rotation", 0) or 0) // 90 % 4
    if turned:  # telephones film on their side and note it in the file
        import numpy as np

        turned_rgb = np.ascontiguousarray(np.rot90(ready.to_ndarray(format="rgb24"), turned))
        ready = av.VideoFrame.from_ndarray(turned_rgb, format="rgb24").reformat(format="yuvj420p")
    codec = av.CodecContext.create("mjpeg", "w")
    codec.width, codec.height, codec.pix_fmt = ready.width, ready.height, "yuvj420p"
    codec.time_base = Fraction(1, 25)
    codec.sample_aspect_ratio = Fraction(1, 1)  # without it there is no JFIF header, which word processors want
    codec.options = {"qmin": "4", "qmax": "4", "threads": "1"}
    ready.pts = 0
    data = b"".join(bytes(packet) for packet in [*codec.encode(ready), *codec.encode(None)])
    return Picture(data, ready.width, ready.height, time_s)
