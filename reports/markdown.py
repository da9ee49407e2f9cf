"""The procedure as Markdown (CommonMark with pipe tables), for people and for version control."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence

from extract.model import Draft
from reports.base import Options
from reports.view import Paper, view
from reports.view_model import CautionView, FlagView, LineView, StepView

_SPECIAL = re.compile(r"([\\`*_\[\]<>|~]|&(?=#?\w+;)|!(?=\[))")
_LINE_START = re.compile(r"^(\s*)([#+\-=]|\d+(?=[.)](?:\s|$)))")


def escape(text: str) -> str:
    """Return text whose every character Markdown shows as it is."""
    text = _SPECIAL.sub(r"\\\1", text)
    found = _LINE_START.match(text)
    if found is None:
        return text
    mark = found.group(2)
    rest = text[found.end() :]
    return f"{mark}\\{rest}" if mark[0].isdigit() else f"\\{mark}{rest}"


def write(draft: Draft, options: Options) -> dict[str, bytes]:
    """Write `procedure.md`."""
    return {"procedure.md": render(view(draft, options))}


def render(paper: Paper) -> bytes:
    """Lay the document out as Markdown."""
    blocks: list[str] = [f"# {escape(paper.title)}", escape(paper.kind)]
    if paper.variant:
        blocks.append(f"**Edition for {escape(paper.variant)}**")
    blocks.extend(f"> **{escape(line)}**" for line in paper.status)
    if paper.fields:
        blocks.append("\n".join(f"- {name}: {escape(value)}" for name, value in paper.fields))
    review = paper.edition == "review"
    if review and paper.transcript:
        blocks.append("Read with care in the transcript:")
        blocks.append(_bullets(paper.transcript))
    if paper.open_summary:
        blocks.append(f"**{paper.open_summary}**")
    blocks.extend([*_cautions(paper), *_variants(paper)] if review else [*_variants(paper), *_cautions(paper)])
    if not review:
        blocks.extend(_lists(paper))
    blocks.append(f"## {paper.work_title}")
    if not paper.work:
        blocks.append("No steps.")
    for section in paper.work:
        if section.title:
            blocks.append(f"### {escape(section.title)}")
        for step in section.steps:
            blocks.extend(_step(step))
    if paper.not_undone:
        blocks.append("### Not put back")
        blocks.append(_bullets(f"{label}: {reason}" for label, reason in paper.not_undone))
    blocks.append(f"## {paper.refit_title}")
    if not paper.refit:
        blocks.append("No refit steps.")
    for step in paper.refit:
        blocks.extend(_step(step))
    if review:
        blocks.extend(_lists(paper))
    blocks.extend(_torques(paper))
    if paper.close_out and not review:
        blocks.append("## Close-out")
        blocks.append("\n".join(f"- [ ] {escape(line)}" for line in paper.close_out))
    blocks.extend(_points(paper))
    if review:
        blocks.append("## The whole talk")
        rows = [(s.time, s.role, s.text + _spoken(s.as_spoken) + _trust(s.trust), s.where) for s in paper.talk]
        blocks.append(_table(("Film", "Role", "Words", "Went to"), rows))
    blocks.append(f"Made from “{escape(paper.source)}” by {escape(paper.made_by)}.")
    return ("\n\n".join(block for block in blocks if block) + "\n").encode()


def _spoken(text: str) -> str:
    return f" (heard: “{text}”)" if text else ""


def _trust(text: str) -> str:
    return f" (trust {text})" if text else ""


def _cautions(paper: Paper) -> list[str]:
    blocks = ["## Cautions", *(_caution(c, c.where) for c in paper.cautions)]
    return [*blocks, *([] if paper.cautions else [paper.no_caution]), escape(paper.defers)]


def _variants(paper: Paper) -> list[str]:
    if not paper.conditions:
        return []
    return ["## What applies to what", _bullets(f"{c.label} ({c.where or 'no step'})" for c in paper.conditions)]


def _caution(caution: CautionView, where: str = "") -> str:
    marks = "".join(f" **{escape(mark)}** –" for mark in caution.marks)
    place = f" ({where})" if where else ""
    added = " *Added by the program.*" if caution.added else ""
    return f"> **{caution.signal}:**{marks} {escape(caution.text)}{place}{added}"


def _step(step: StepView) -> list[str]:
    blocks = [_caution(c) for c in step.cautions]
    if step.skip:
        blocks.append(f"*{escape(step.skip)}*")
    marks = "".join(f"**{escape(mark)}** – " for mark in step.marks)
    time = f" `[{step.time}]`" if step.time else ""
    lines = [f"**{step.label}.** {marks}{escape(step.text)}{time}"]
    lines += [f"- {_line(line)}" for line in step.lines]
    lines += [f"- On refit: {_line(line)}" for line in step.on_refit]
    lines += [f"- **{flag.label}:** {_flag_text(flag)}" for flag in step.flags]
    blocks.append(lines[0] + ("\n\n" + "\n".join(lines[1:]) if lines[1:] else ""))
    return blocks


def _line(line: LineView) -> str:
    marks = "".join(f"**{escape(mark)}** – " for mark in line.marks)
    label = f"**{escape(line.label)}** " if line.label else ""
    return marks + label + escape(line.text)


def _flag_text(flag: FlagView) -> str:
    return escape(flag.text) + (f" Perhaps: {escape('; '.join(flag.suggestions))}." if flag.suggestions else "")


def _lists(paper: Paper) -> list[str]:
    blocks = []
    if paper.tools:
        blocks.append("## Tools")
        blocks.append(
            _table(
                ("Applies to", "Tool", "Size", "Where"),
                [("; ".join(t.marks), t.item, t.size, t.where) for t in paper.tools],
            )
        )
    blocks.append("## Parts to renew")
    rows = [
        ("; ".join(r.marks), r.item, r.count, r.part_number, r.instead and f"fit {r.instead}", r.only_if, r.where)
        for r in paper.parts
    ]
    heads = ("Applies to", "Part", "Quantity", "Part number", "Instead", "Only if", "Where")
    blocks.append(_table(heads, rows) if rows else "No part to renew was named.")
    if paper.materials:
        blocks.append("## Materials")
        heads = ("Applies to", "Material", "Amount", "Only if", "Where")
        blocks.append(
            _table(heads, [("; ".join(r.marks), r.item, r.amount, r.only_if, r.where) for r in paper.materials])
        )
    return blocks


def _torques(paper: Paper) -> list[str]:
    if not paper.torques:
        return ["## Tightening values", "No tightening value was named."]
    rows = [
        (
            "; ".join(r.marks),
            " ".join(filter(None, (r.joint, r.scope and f"({r.scope})"))),
            r.fastener,
            r.value or (f"see {r.reference}" if r.reference else "no value said"),
            r.order,
            r.spoken,
            r.where,
            r.check,
        )
        for r in paper.torques
    ]
    heads = ("Applies to", "Tighten", "Fastener", "Value", "Order", "As said", "Where", "Check")
    return ["## Tightening values", _table(heads, rows)]


def _points(paper: Paper) -> list[str]:
    blocks = []
    points = paper.open_points if paper.edition == "published" else paper.loose_points
    if points:
        blocks.append("## Open points" if paper.edition == "published" else "## Open points outside the steps")
        blocks.append(_point_list(points))
    if paper.remarks and paper.edition == "review":
        blocks.append("## Remarks")
        blocks.append(_point_list(paper.remarks))
    return blocks


def _point_list(points: Sequence[FlagView]) -> str:
    lines = []
    for flag in points:
        place = ", ".join(filter(None, (flag.where, flag.time and f"film {flag.time}")))
        lines.append(f"- **{flag.label}** {f'({place})' if place else ''}: {_flag_text(flag)}".replace("  ", " "))
    return "\n".join(lines).replace("** :", "**:")


def _bullets(lines: Iterable[str]) -> str:
    return "\n".join(f"- {escape(line)}" for line in lines)


def _table(heads: Sequence[str], rows: Sequence[Sequence[str]]) -> str:
    """A pipe table without the columns that are empty throughout."""
    used = [i for i in range(len(heads)) if any(row[i] for row in rows)]
    lines = ["| " + " | ".join(heads[i] for i in used) + " |", "|" + " --- |" * len(used)]
    lines += ["| " + " | ".join(escape(row[i]) for i in used) + " |" for row in rows]
    return "\n".join(lines)
