"""DITA 1.3 (OASIS): a map, a machinery task each for removal and refit, and a reference topic with the lists.

Variants are filtering attributes in grouped form, `product="axis(value)"`: values of one axis are alternatives,
axes hold together (DITA 1.3, 2.4.3.2). A DITAVAL file for each variant comes with them. The document types are
named by their public identifiers; the grammars themselves are OASIS's and not part of this program.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from extract.model import Draft
from reports.base import Options
from reports.text import slug, time_code, with_marks
from reports.view import Paper, view
from reports.view_model import CautionView, ConditionView, LineView, SectionView, StepView, ToolRow
from reports.xmlout import Element, add, serialise, xml_id

_DOCTYPE = '<!DOCTYPE {root} PUBLIC "-//OASIS//DTD DITA {name}//EN" "{file}">'
MAP = _DOCTYPE.format(root="map", name="Map", file="map.dtd")
TASK = _DOCTYPE.format(root="task", name="Machinery Task", file="machineryTask.dtd")
REFERENCE = _DOCTYPE.format(root="reference", name="Reference", file="reference.dtd")


def write(draft: Draft, options: Options) -> dict[str, bytes]:
    """Write `dita/procedure.ditamap`, its topics, a DITAVAL for each variant and the pictures."""
    paper = view(draft, options)
    filters = Filters(paper.conditions)
    topics = {"removal.dita": _task(paper, filters, "removal", paper.work_title, paper.work)}
    if paper.refit:
        refit = SectionView("refit", "", None, paper.refit)
        topics["refit.dita"] = _task(paper, filters, "refit", paper.refit_title, (refit,))
    topics["lists.dita"] = _lists(paper, filters)
    files = {"procedure.ditamap": _map(paper, list(topics)), **topics}
    files |= {f"variant-{name}.ditaval": data for name, data in filters.ditaval().items()}
    files |= {picture_name(s): s.picture.jpeg for s in (*paper.steps(), *paper.refit) if s.picture}
    return {f"dita/{name}": data for name, data in files.items()}


def picture_name(step: StepView) -> str:
    """Return the file of a step's still, beside the document."""
    return f"pictures/{xml_id(step.label)}.jpg"


class Filters:
    """The variants of a document as filter values: from a mark to its attribute, and the DITAVAL files."""

    def __init__(self, conditions: Iterable[ConditionView]) -> None:
        self.axes: dict[str, dict[str, None]] = {}
        self._by_mark: dict[str, tuple[str, tuple[str, ...]]] = {}
        variants = [c for c in conditions if c.kind == "variant" and c.axis and c.values]
        for condition in variants:
            values = self.axes.setdefault(slug(condition.axis), {})
            values.update(dict.fromkeys(slug(value) for value in condition.values))
        for condition in variants:
            axis = slug(condition.axis)
            named = [slug(value) for value in condition.values]
            if condition.negated:
                others = [v for v in self.axes[axis] if v not in named and not v.startswith("not-")]
                named = ["-".join(["not", *named]), *others]
                self.axes[axis][named[0]] = None
            self._by_mark[condition.label] = (axis, tuple(named))

    def product(self, marks: Sequence[str]) -> str | None:
        """Return the value of the `product` attribute for these marks, or None."""
        groups: dict[str, dict[str, None]] = {}
        for mark in marks:
            if mark in self._by_mark:
                axis, values = self._by_mark[mark]
                groups.setdefault(axis, {}).update(dict.fromkeys(values))
        return " ".join(f"{axis}({' '.join(values)})" for axis, values in groups.items()) or None

    def ditaval(self) -> dict[str, bytes]:
        """Return a filter file for each value of each axis: it leaves out what holds only for the others."""
        files = {}
        for axis, values in self.axes.items():
            for chosen in values:
                root = Element("val")
                for other in values:
                    if _apart(chosen, other):
                        add(root, "prop", None, att=axis, val=other, action="exclude")
                files[f"{axis}-{chosen}"] = serialise(root)
        return files


def _apart(chosen: str, other: str) -> bool:
    """Whether the other value is ruled out by the chosen one."""
    if chosen == other:
        return False
    if chosen.startswith("not-"):
        return other == chosen.removeprefix("not-")
    return not other.startswith("not-") or other == f"not-{chosen}"


def _map(paper: Paper, topics: list[str]) -> bytes:
    root = Element("map", {"xml:lang": paper.language})
    add(root, "title", paper.title)
    fields = dict(paper.fields)
    meta = add(root, "topicmeta")
    if "Author" in fields:
        add(meta, "author", fields["Author"])
    for name in ("Machine", "Document number", "Revision", "Film"):
        if name in fields:
            add(meta, "othermeta", None, name=name.lower(), content=fields[name])
    for line in paper.status:
        add(meta, "othermeta", None, name="status", content=line)
    for topic in topics:
        kind = "reference" if topic == "lists.dita" else "task"
        add(root, "topicref", None, href=topic, type=kind)
    return serialise(root, MAP)


def _task(paper: Paper, filters: Filters, name: str, title: str, sections: Sequence[SectionView]) -> bytes:
    root = Element("task", {"id": name, "xml:lang": paper.language})
    add(root, "title", f"{paper.title} – {title}")
    add(root, "shortdesc", _short(paper, "Step R1 is the first step of this topic." if name == "refit" else ""))
    body = add(root, "taskbody")
    _requirements(body, paper, filters)
    steps = add(body, "steps")
    for section in sections:
        if section.title:
            add(steps, "stepsection", section.title)
        for step in section.steps:
            _step(steps, step, filters)
    if not len(steps):
        body.remove(steps)
    if paper.close_out and name == "refit":
        conditions = add(add(body, "closereqs"), "reqconds")
        for line in paper.close_out:
            add(conditions, "reqcond", line)
    return serialise(root, TASK)


def _short(paper: Paper, more: str = "") -> str:
    edition = f"Edition for {paper.variant}." if paper.variant else ""
    return " ".join(filter(None, (*paper.status, edition, paper.defers, more)))


def _requirements(body: Element, paper: Paper, filters: Filters) -> None:
    before = add(body, "prelreqs")
    conditions = add(before, "reqconds")
    for condition in paper.conditions:
        place = f" ({condition.where})" if condition.where else ""
        product = filters.product((condition.label,))
        add(conditions, "reqcond", condition.label + place, product=product)
    if not paper.conditions:
        add(conditions, "noconds")

    def listing(outer: str, inner: str, none: str, item: str, rows: list[tuple[str, str | None]]) -> None:
        holder = add(before, outer)
        if not rows:
            add(holder, none)
            return
        entries = add(holder, inner)
        for text, product in rows:
            add(entries, item, text, product=product)

    tools = [(_led_tool(t) + _place(t.where), filters.product(t.marks)) for t in paper.tools]
    listing("supequip", "supeqli", "nosupeq", "supequi", tools)
    supplies = [(f"{r.item}: {r.amount}{_place(r.where)}", filters.product(r.marks)) for r in paper.materials]
    listing("supplies", "supplyli", "nosupply", "supply", supplies)
    spares = [(_spare(r), filters.product(r.marks)) for r in paper.parts]
    listing("spares", "sparesli", "nospares", "spare", spares)
    safety = add(before, "safety")
    for caution in paper.cautions:
        _hazard(add(safety, "safecond", None, product=filters.product(caution.marks)), caution, filters)
    add(safety, "safecond", paper.defers)


def _spare(row) -> str:
    text = f"Renew {row.item}: {row.count}"
    text += f", part number {row.part_number}" if row.part_number else ""
    text += f", fit {row.instead} instead" if row.instead else ""
    text += f", only if {row.only_if}" if row.only_if else ""
    return text + _place(row.where)


def _led_tool(tool: ToolRow) -> str:
    return with_marks(tool.marks, " ".join(filter(None, (tool.item, tool.size))))


def _place(where: str) -> str:
    return f" ({where})" if where else ""


def _hazard(parent: Element, caution: CautionView, filters: Filters) -> None:
    hazard = add(parent, "hazardstatement", None, type=caution.signal.lower(), product=filters.product(caution.marks))
    panel = add(hazard, "messagepanel")
    add(panel, "typeofhazard", caution.hazard)
    text = "; ".join(caution.marks) + " – " if caution.marks else ""
    add(panel, "howtoavoid", text + caution.text)


def _step(parent: Element, step: StepView, filters: Filters) -> None:
    optional = "optional" if step.optional else None
    element = add(
        parent, "step", None, id_=xml_id(step.label), product=filters.product(step.marks), importance=optional
    )
    for caution in step.cautions:
        _hazard(element, caution, filters)
    if step.skip:
        add(element, "note", step.skip)
    add(element, "cmd", ("; ".join(step.marks) + " – " if step.marks else "") + step.text)
    for line in step.lines:
        _info(element, line, "", filters)
    for line in step.on_refit:
        _info(element, line, "On refit: ", filters)
    if step.time:
        add(element, "info", f"Film {step.time}")
    for flag in step.flags:
        more = f" Perhaps: {'; '.join(flag.suggestions)}." if flag.suggestions else ""
        add(add(element, "info"), "draft-comment", f"{flag.label}: {flag.text}{more}")
    if step.picture is not None:
        image = add(add(element, "info"), "image", None, href=picture_name(step), placement="break")
        add(image, "alt", f"Film at {time_code(step.picture.time_s)}: {step.text}")


def _info(parent: Element, line: LineView, lead: str, filters: Filters) -> None:
    add(parent, "info", lead + line.words(), product=filters.product(line.marks))


def _lists(paper: Paper, filters: Filters) -> bytes:
    root = Element("reference", {"id": "lists", "xml:lang": paper.language})
    add(root, "title", f"{paper.title} – Lists")
    add(root, "shortdesc", _short(paper))
    body = add(root, "refbody")
    cautions = add(body, "section")
    add(cautions, "title", "Cautions")
    for caution in paper.cautions:
        _hazard(cautions, caution, filters)
    add(cautions, "p", paper.defers)
    parts = [(r.marks, (r.count, with_marks(r.marks, r.text), r.part_number, r.where)) for r in paper.parts]
    _table(body, filters, "Parts to renew", ("Quantity", "Renew", "Part number", "Where"), parts)
    materials = [(r.marks, (r.amount, with_marks(r.marks, r.text), r.where)) for r in paper.materials]
    _table(body, filters, "Materials used up", ("Amount", "Material", "Where"), materials)
    torques = [
        (r.marks, (with_marks(r.marks, r.joint), r.fastener, value_text(r), r.spoken, r.where)) for r in paper.torques
    ]
    heads = ("Tighten", "Fastener", "Value", "As said in the film", "Where")
    _table(body, filters, "Tightening values", heads, torques)
    tools = [(t.marks, (with_marks(t.marks, t.item), t.size, t.where)) for t in paper.tools]
    _table(body, filters, "Tools", ("Tool", "Size", "Where"), tools)
    rows = [((), (label, reason)) for label, reason in paper.not_undone]
    _table(body, filters, "Not put back", ("Steps", "Reason"), rows)
    if paper.open_points:
        section = add(body, "section")
        add(section, "title", "Open points")
        points = add(section, "ul")
        for flag in paper.open_points:
            add(points, "li", f"{flag.label}{_place(flag.where)}: {flag.text}", product=filters.product(flag.marks))
    return serialise(root, REFERENCE)


def value_text(row) -> str:
    value = row.value or (f"see {row.reference}" if row.reference else "no value said")
    extra = (row.reference if row.value else "", row.order, row.scope, f"check: {row.check}" if row.check else "")
    return "; ".join(filter(None, (value, *extra)))


def _table(
    body: Element,
    filters: Filters,
    title: str,
    heads: Sequence[str],
    rows: Sequence[tuple[tuple[str, ...], Sequence[str]]],
) -> None:
    if not rows:
        return
    section = add(body, "section")
    add(section, "title", title)
    table = add(section, "simpletable")
    head = add(table, "sthead")
    for name in heads:
        add(head, "stentry", name)
    for marks, cells in rows:
        row = add(table, "strow", None, product=filters.product(marks))
        for cell in cells:
            add(row, "stentry", cell)
