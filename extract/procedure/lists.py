"""Lists for the stores and the bench: tools of a talk, renewals merged over one talk or many, the tightening sheet."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from extract.ids import IdMaker
from extract.model import Because, Condition, Draft, Renewal, Source, Tool
from extract.procedure import wording
from extract.procedure.names import is_plural, item_key, part_name
from extract.procedure.steps import Act, because
from extract.speech import Mention, Understanding

#: 1 lbf·ft in N·m, NIST SP 811 (2008), appendix B.8: 1.355 818.
NM_PER_LBF_FT = 1.355818


def make_tools(understanding: Understanding, acts: Sequence[Act], ids: IdMaker) -> tuple[Tool, ...]:
    """The tools and equipment that the talk names, each once, with the steps that use it."""
    utterances = understanding.utterances
    used: dict[str, tuple[Mention, list[str], list[str], list[Because]]] = {}
    mentions = [(tool, act.step.id) for act in acts for tool in act.action.tools]
    for mention, step in sorted(mentions, key=lambda entry: (entry[0].place.utterance, entry[0].place.start)):
        if mention.pronoun:
            continue
        key = _known(wording.tool_name(mention.text, mention.size), used)
        entry = used.setdefault(key, (mention, [], [], []))
        if step not in entry[1]:
            entry[1].append(step)
        segment = utterances[mention.place.utterance].id
        if segment not in entry[2]:
            entry[2].append(segment)
            entry[3].append(because(mention.place, utterances))
    return tuple(
        Tool(
            id=ids.make("tool", name),
            item=name,
            size=_size(mention),
            steps=tuple(steps),
            segments=tuple(segments),
            because=tuple(evidence),
        )
        for name, (mention, steps, segments, evidence) in used.items()
    )


def _size(mention: Mention) -> str | None:
    size = mention.size or wording.tool_size(mention.text)
    return wording.written_size(size) if size else None


def _known(name: str, used: Iterable[str]) -> str:
    """The name under which the tool is listed already: "the gauge" is the feeler gauge named before."""
    new = part_name(name)
    for other in used:
        known = part_name(other)
        if known.head == new.head and new.qualifiers <= known.qualifiers:
            return other
    return name


# --------------------------------------------------------------------------- parts and materials


@dataclass(frozen=True, slots=True)
class PartsLine:
    """One line of the list for the stores.

    `quantity` is null where no count is known (`quantity_text` then holds what was said, if anything); `places`
    are step labels ("6", "R11"), `applies` the variants for which alone it is needed, `optional` the skips that make
    it needless, `start_s` where the film first says so, `jobs` the talks that need it.
    """

    kind: str
    item: str
    quantity: int | None
    quantity_text: str | None
    replaced_by: str | None
    amount: str
    only_if: str | None
    part_number: str | None
    applies: tuple[str, ...]
    optional: tuple[str, ...]
    places: tuple[str, ...]
    start_s: float | None
    jobs: tuple[str, ...]
    renewals: tuple[str, ...]


def parts_list(draft: Draft) -> list[PartsLine]:
    """The parts to renew and the materials of one talk, each once: what holds for all first, then each variant."""
    groups: dict[str, list[Renewal]] = {}
    for one in draft.renewals:
        groups.setdefault(one.same_as or one.id, []).append(one)
    lines = [_line(draft, group) for group in groups.values()]
    return sorted(lines, key=lambda line: (line.kind == "consumable", line.applies != (), line.applies))


def sum_lists(lists: Sequence[Sequence[PartsLine]]) -> list[PartsLine]:
    """What to order for several jobs: counts add up; a count that one job leaves open keeps the sum open."""
    groups: dict[tuple, list[PartsLine]] = {}
    for line in (line for one in lists for line in one):
        key = (
            line.kind,
            item_key(line.item),
            item_key(line.replaced_by or ""),
            line.only_if or "",
            line.applies,
            line.part_number,
        )
        groups.setdefault(key, []).append(line)
    return [_sum(group) for group in groups.values()]


def _sum(lines: Sequence[PartsLine]) -> PartsLine:
    first = lines[0]
    if len(lines) == 1:
        return first
    known = [line.quantity for line in lines if line.quantity is not None]
    missing = len(lines) - len(known)
    total = sum(known) if not missing else None
    text = f"{sum(known)} and {missing} not counted" if missing and known else first.quantity_text
    return PartsLine(
        kind=first.kind,
        item=first.item,
        quantity=total,
        quantity_text=text if total is None else None,
        replaced_by=first.replaced_by,
        amount=" + ".join(dict.fromkeys(line.amount for line in lines if line.amount)),
        only_if=first.only_if,
        part_number=first.part_number,
        applies=first.applies,
        optional=first.optional,
        places=(),
        start_s=None,
        jobs=tuple(dict.fromkeys(job for line in lines for job in line.jobs)),
        renewals=tuple(one for line in lines for one in line.renewals),
    )


def _line(draft: Draft, group: Sequence[Renewal]) -> PartsLine:
    first = group[0]
    counts = [one.quantity for one in group if one.quantity is not None]
    numbers = {step.id: str(step.number) for step in draft.steps} | {one.id: f"R{one.number}" for one in draft.refit}
    places = [numbers[place] for one in group for place in (one.step, one.refit) if place in numbers]
    starts = {segment.id: segment.start_s for segment in draft.segments}
    common = set(group[0].applies_when).intersection(*(one.applies_when for one in group[1:]))
    applies = [one for one in draft.conditions if one.id in common]
    item = first.item if not first.position else f"{first.item} {first.position}"
    return PartsLine(
        kind=first.kind,
        item=item,
        quantity=max(counts) if counts and first.kind != "consumable" else None,
        quantity_text=next((one.quantity_text for one in group if one.quantity_text), None),
        replaced_by=next((one.replaced_by for one in group if one.replaced_by), None),
        amount=next(filter(None, map(_amount, group)), ""),
        only_if=first.only_if if all(one.only_if for one in group) else None,
        part_number=next((one.part_number for one in group if one.part_number), None),
        applies=tuple(dict.fromkeys(_label(one) for one in applies if one.kind != "skip")),
        optional=tuple(dict.fromkeys(one.text for one in applies if one.kind == "skip")),
        places=tuple(dict.fromkeys(places)),
        start_s=min(
            (at for one in group for part in one.segments if (at := starts.get(part)) is not None), default=None
        ),
        jobs=(draft.source.name,),
        renewals=tuple(one.id for one in group),
    )


def _label(condition: Condition) -> str:
    return wording.condition_phrase(condition).removeprefix("if ") or condition.text


def _amount(renewal: Renewal) -> str:
    if renewal.kind != "consumable":
        return ""
    if renewal.amount_value is not None:
        return f"{wording.digits(renewal.amount_value)} {renewal.amount_unit or ''}".strip()
    return renewal.amount_text or ""


def counted(renewal: Renewal, draft_objects: Sequence[tuple[str, int | None]]) -> Renewal:
    """A renewal without a spoken count takes that of what came off: two pads out are two pads in, one disc is one.

    `draft_objects` are the names and counts of the objects of the step that takes it off.
    """
    if renewal.quantity is not None or renewal.kind == "consumable" or renewal.quantity_text:
        return renewal
    for text, count in draft_objects:
        if part_name(text).head != part_name(renewal.item).head:
            continue
        if count is not None and (count > 1 or not is_plural(text)):
            return renewal.model_copy(update={"quantity": count, "count_from": "removed"})
        if not is_plural(text):
            return renewal.model_copy(update={"quantity": 1, "count_from": "singular"})
    return renewal


# --------------------------------------------------------------------------- several talks


@dataclass(frozen=True, slots=True)
class ToolLine:
    """A tool to have ready: `places` are labels of steps, `jobs` the talks that need it."""

    item: str
    places: tuple[str, ...]
    jobs: tuple[str, ...]


def tool_list(drafts: Sequence[Draft]) -> list[ToolLine]:
    """The tools that the talks name, each once."""
    needed: dict[str, tuple[str, list[str], list[str]]] = {}
    for draft in drafts:
        labels = {step.id: str(step.number) for step in draft.steps}
        labels |= {step.id: f"R{step.number}" for step in draft.refit}
        for tool in draft.tools:
            _, places, jobs = needed.setdefault(tool.item.casefold(), (tool.item, [], []))
            places += [labels[step] for step in tool.steps if step in labels]
            jobs.append(draft.source.name)
    return [
        ToolLine(item, tuple(dict.fromkeys(places)), tuple(dict.fromkeys(jobs)))
        for item, places, jobs in needed.values()
    ]


def combined(drafts: Sequence[Draft]) -> Draft:
    """A draft that holds only the lists of several talks, for the list writers: parts and materials summed."""
    ids = IdMaker()
    lines = sum_lists([parts_list(draft) for draft in drafts])
    known = {one.id: one for draft in drafts for one in draft.renewals}
    renewals = tuple(_summed(line, known, ids) for line in lines)
    names = ", ".join(draft.source.name for draft in drafts)
    digest = hashlib.sha256("".join(draft.source.sha256 for draft in drafts).encode()).hexdigest()
    return Draft(
        made_by=drafts[0].made_by,
        title=f"Parts and materials for {len(drafts)} jobs",
        source=Source(name=names, format="lists", sha256=digest, duration_s=None, language=None, times="none"),
        segments=(),
        renewals=renewals,
        torques=tuple(one for draft in drafts for one in draft.torques),
        conditions=tuple({one.id: one for draft in drafts for one in draft.conditions}.values()),
        cautions=tuple({one.text: one for draft in drafts for one in draft.cautions}.values()),
        tools=tuple({one.item: one for draft in drafts for one in draft.tools}.values()),
    )


def _summed(line: PartsLine, known: Mapping[str, Renewal], ids: IdMaker) -> Renewal:
    first = known[line.renewals[0]]
    return first.model_copy(
        update={
            "id": ids.make("renew", line.kind, line.item, *line.applies),
            "quantity": line.quantity,
            "quantity_text": line.quantity_text,
            "only_if": line.only_if,
            "same_as": None,
            "amount_text": line.amount or None,
            "amount_value": first.amount_value if len(line.renewals) == 1 else None,
        }
    )
