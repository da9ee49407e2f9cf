"""`benchtalk explain`: where an entry of a draft comes from."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

if TYPE_CHECKING:
    from pydantic import BaseModel

    from extract.model import Draft

_LISTS = ("segments", "sections", "steps", "refit", "renewals", "torques", "conditions", "cautions", "tools", "flags")


def register(app: typer.Typer) -> None:
    """Add the command."""
    app.command(name="explain")(explain)


def explain(
    case: Annotated[Path, typer.Argument(metavar="CASE", help="Case folder or its draft.json.")],
    entry: Annotated[
        str, typer.Argument(metavar="ID", help="A step's number (5, R5), or the id of any entry or its beginning.")
    ],
) -> None:
    """Say where an entry of a draft comes from. Shown are words, time, rule and readings that lost."""
    from extract.cli.publish import load_draft
    from extract.errors import CaseError

    draft = load_draft(case)
    entry = step_id(draft, entry)
    found = [(kind, item) for kind, item in _entries(draft) if item.id == entry]
    found = found or [(kind, item) for kind, item in _entries(draft) if item.id.startswith(entry)]
    if not found:
        raise CaseError(
            f"no entry has the id {entry!r}.",
            file=case,
            remedy="Give a step's number, such as 5 or R5, or an id from draft.json or `benchtalk points`.",
        )
    if len(found) > 1:
        names = ", ".join(item.id for _, item in found[:6])
        raise CaseError(f"{entry!r} fits {len(found)} entries: {names}.", file=case, remedy="Give more of the id.")
    kind, item = found[0]
    for line in explained(draft, kind, item):
        typer.echo(line)


def step_id(draft: Draft, words: str) -> str:
    """The id of the step that a document calls 5 or R5; anything else as it is."""
    wanted = words.strip().removeprefix("step ").upper()
    return next((step for step, label in _labels(draft).items() if label == wanted), words)


def _labels(draft: Draft) -> dict[str, str]:
    """What a document calls each step, by its id."""
    return {step.id: str(step.number) for step in draft.steps} | {step.id: f"R{step.number}" for step in draft.refit}


def explained(draft: Draft, kind: str, item: BaseModel) -> list[str]:
    """The explanation, a line each."""
    segments = {segment.id: segment for segment in draft.segments}
    labels = _labels(draft)
    texts = {step.id: step.text for step in draft.steps}
    name = f"step {labels[item.id]} ({item.id})" if item.id in labels else f"{kind.removesuffix('s')} {item.id}"
    lines = [f"{name}: {_title(item)}"]
    for because in getattr(item, "because", ()):
        lines.append(f"  rule {because.rule}" + (f" – {because.note}" if because.note else ""))
        if because.step:
            lines.append(
                f"    from step {labels.get(because.step, because.step)}: {texts.get(because.step, '')}".rstrip(": ")
            )
        segment = segments.get(because.segment) if because.segment else None
        if segment is not None:
            words = segment.corrected or segment.text
            first, last = because.span or (0, len(words))
            lines.append(f"    at {_clock(segment.start_s)}: {words[:first]}[{words[first:last]}]{words[last:]}")
    for span in getattr(item, "spans", ()):
        segment = segments[span.segment]
        words = segment.corrected or segment.text
        lines.append(
            f"    at {_clock(segment.start_s)}: {words[: span.start]}[{words[span.start : span.end]}]{words[span.end :]}"
        )
    for key, value in getattr(item, "evidence", {}).items():
        lines.append(f"  {key}: {value}")
    for suggestion in getattr(item, "suggestions", ()):
        lines.append(f"  perhaps “{suggestion.text}” ({suggestion.score:.2f}): {suggestion.why}")
    lines += _of_step(draft, item.id) if kind in ("steps", "refit") else []
    if kind == "segments":
        lines.append(f"  role {item.role}, trust {item.trust:.2f}")
    return lines


def _of_step(draft: Draft, step: str) -> list[str]:
    """What hangs on a step, with the ids that `explain` and `settle` take."""
    lines = []
    for kind in ("renewals", "torques", "conditions", "cautions", "tools", "flags"):
        for item in getattr(draft, kind):
            at = (getattr(item, "step", None), *getattr(item, "steps", ()), *_refit(item))
            if step in at:
                lines.append(f"  {kind.removesuffix('s')} {item.id}: {_title(item)}")
    return lines


def _refit(item: BaseModel) -> tuple[str, ...]:
    refit = getattr(item, "refit", None) or ()
    return (refit,) if isinstance(refit, str) else tuple(refit)


def _entries(draft: Draft) -> Iterator[tuple[str, BaseModel]]:
    for kind in _LISTS:
        for item in getattr(draft, kind):
            yield kind, item
            for note in getattr(item, "notes", ()):
                yield "notes", note


def _title(item: BaseModel) -> str:
    for name in ("text", "message", "item", "joint", "title"):
        value = getattr(item, name, None)
        if value:
            return str(value)
    return ""


def _clock(seconds: float | None) -> str:
    if seconds is None:
        return "no time"
    minutes, rest = divmod(seconds, 60)
    return f"{int(minutes)}:{rest:04.1f}"
