"""DocBook 5.0 (OASIS): an article with a procedure for each part of the job, and the lists as tables.

Variants are the profiling attribute `condition`, one token a mark.
"""

from __future__ import annotations

from collections.abc import Sequence

from extract.model import Draft
from reports.base import Options
from reports.dita import picture_name, value_text
from reports.text import slug, time_code, with_marks
from reports.view import Paper, view
from reports.view_model import CautionView, StepView
from reports.xmlout import Element, add, serialise, xml_id

# DocBook has no danger and no notice; the signal word itself stands in the title.
ADMONITIONS = {"DANGER": "warning", "WARNING": "warning", "CAUTION": "caution", "NOTICE": "important"}


def write(draft: Draft, options: Options) -> dict[str, bytes]:
    """Write `docbook/procedure.xml` and its pictures."""
    paper = view(draft, options)
    pictures = {picture_name(s): s.picture.jpeg for s in (*paper.steps(), *paper.refit) if s.picture}
    files = {"procedure.xml": _article(paper), **pictures}
    return {f"docbook/{name}": data for name, data in files.items()}


def _article(paper: Paper) -> bytes:
    root = Element("article", {"xmlns": "http://docbook.org/ns/docbook", "version": "5.0", "xml:lang": paper.language})
    info = add(root, "info")
    add(info, "title", paper.title)
    add(info, "subtitle", f"{paper.kind}: edition for {paper.variant}" if paper.variant else paper.kind)
    fields = dict(paper.fields)
    if "Author" in fields:
        add(add(info, "author"), "personname", fields["Author"])
    if "Document number" in fields:
        add(info, "biblioid", fields["Document number"], class_="other", otherclass="document-number")
    if "Revision" in fields:
        add(info, "releaseinfo", f"Revision {fields['Revision']}")
    for line in paper.status:
        add(info, "releaseinfo", line)
    if paper.conditions:
        listing = add(_section(root, "What applies to what"), "itemizedlist")
        for c in paper.conditions:
            add(add(listing, "listitem"), "para", f"{c.label} ({c.where})" if c.where else c.label)
    cautions = _section(root, "Cautions")
    for line in paper.status:
        add(cautions, "para", line)
    for caution in paper.cautions:
        _caution(cautions, caution)
    if not paper.cautions:
        add(cautions, "para", paper.no_caution)
    add(cautions, "para", paper.defers)
    tools = [(t.marks, (with_marks(t.marks, t.item), t.size, t.where)) for t in paper.tools]
    _table(root, "Tools", ("Tool", "Size", "Where"), tools)
    parts = [(r.marks, (r.count, with_marks(r.marks, r.text), r.part_number, r.where)) for r in paper.parts]
    _table(root, "Parts to renew", ("Quantity", "Renew", "Part number", "Where"), parts)
    materials = [(r.marks, (r.amount, with_marks(r.marks, r.text), r.where)) for r in paper.materials]
    _table(root, "Materials used up", ("Amount", "Material", "Where"), materials)
    work = _section(root, paper.work_title)
    for group in paper.work:
        _procedure(work, group.title, group.steps)
    if paper.not_undone:
        listing = add(work, "itemizedlist")
        add(listing, "title", "Not put back")
        for label, reason in paper.not_undone:
            add(add(listing, "listitem"), "para", f"{label}: {reason}")
    if not paper.work:
        add(work, "para", "No steps.")
    refit = _section(root, paper.refit_title)
    if paper.refit:
        _procedure(refit, "", paper.refit)
    else:
        add(refit, "para", "No refit steps.")
    torques = [
        (r.marks, (with_marks(r.marks, r.joint), r.fastener, value_text(r), r.spoken, r.where)) for r in paper.torques
    ]
    _table(root, "Tightening values", ("Tighten", "Fastener", "Value", "As said in the film", "Where"), torques)
    for title, lines in (
        ("Close-out", paper.close_out),
        ("Open points", [f"{f.label}{f' ({f.where})' if f.where else ''}: {f.text}" for f in paper.open_points]),
    ):
        if lines:
            listing = add(_section(root, title), "itemizedlist")
            for line in lines:
                add(add(listing, "listitem"), "para", line)
    return serialise(root)


def _section(parent: Element, title: str) -> Element:
    section = add(parent, "section")
    add(section, "title", title)
    return section


def _token(marks: Sequence[str]) -> str | None:
    return ";".join(slug(mark) for mark in marks) or None


def _caution(parent: Element, caution: CautionView) -> None:
    admonition = add(parent, ADMONITIONS[caution.signal], None, condition=_token(caution.marks))
    add(admonition, "title", caution.signal)
    add(admonition, "para", with_marks(caution.marks, caution.text))


def _procedure(parent: Element, title: str, steps: Sequence[StepView]) -> None:
    procedure = add(parent, "procedure")
    if title:
        add(procedure, "title", title)
    for step in steps:
        performance = "optional" if step.optional else None
        element = add(procedure, "step", None, condition=_token(step.marks), performance=performance)
        element.set("xml:id", xml_id(step.label))
        add(element, "title", f"Step {step.label}")  # numbers run through all procedures
        for caution in step.cautions:
            _caution(element, caution)
        if step.skip:
            add(element, "para", step.skip)
        add(element, "para", with_marks(step.marks, step.text))
        lines = [(line.words(), line.marks) for line in step.lines]
        lines += [(f"On refit: {line.words()}", line.marks) for line in step.on_refit]
        lines += [(f"Film {step.time}", ())] if step.time else []
        if lines:
            listing = add(element, "itemizedlist")
            for text, marks in lines:
                add(add(listing, "listitem", None, condition=_token(marks)), "para", text)
        for flag in step.flags:
            add(element, "remark", f"{flag.label}: {flag.text}")
        if step.picture is not None:
            figure = add(element, "informalfigure")
            holder = add(figure, "mediaobject")
            add(add(holder, "imageobject"), "imagedata", None, fileref=picture_name(step), format="JPEG")
            add(add(holder, "textobject"), "phrase", f"Film at {time_code(step.picture.time_s)}: {step.text}")
            add(add(holder, "caption"), "para", f"Film {time_code(step.picture.time_s)}")


def _table(
    root: Element, title: str, heads: Sequence[str], rows: Sequence[tuple[tuple[str, ...], Sequence[str]]]
) -> None:
    if not rows:
        return
    group = add(add(_section(root, title), "informaltable"), "tgroup", None, cols=str(len(heads)))
    head = add(add(group, "thead"), "row")
    for name in heads:
        add(head, "entry", name)
    body = add(group, "tbody")
    for marks, cells in rows:
        row = add(body, "row", None, condition=_token(marks))
        for cell in cells:
            add(row, "entry", cell)
