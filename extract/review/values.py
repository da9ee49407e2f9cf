"""What a decision does to counts, tightening values, names and scopes: pure functions on the draft.

Each returns the draft with one change, or null where the thing isn't there in the shape that it needs.
"""

from __future__ import annotations

import re
from typing import TypeVar

from extract.model import Because, Draft, Part, RefitStep, Step, TorqueCheck
from extract.procedure.wording import number_word
from extract.review import decisions as say
from extract.review.edits import because, change

AnyStep = TypeVar("AnyStep", Step, RefitStep)


def quantity(
    draft: Draft, thing_id: str, what: say.Quantity, why: Because, said: frozenset[str] = frozenset()
) -> Draft | None:
    """Give a count to a part of a step, to the same part in the steps that undo it, and to its renewal.

    `said` are utterances with counts that disagreed: the part has the new count wherever they name it.
    """
    renewal = next((entry for entry in draft.renewals if entry.id == thing_id), None)
    if renewal is not None:
        return _count_renewal(draft, renewal.id, what, why)
    both = (*draft.steps, *draft.refit)
    host = next((step for step in both if any(part.id == thing_id for part in step.objects)), None)
    if host is None:
        return None
    name = _singular(next(part.text for part in host.objects if part.id == thing_id))
    linked = {host.id} | {step.id for step in draft.refit if host.id in step.undoes}
    linked |= {step.id for step in both if said & set(step.segments)}

    def count(step: AnyStep) -> AnyStep:
        if step.id not in linked:
            return step
        objects, text = [], step.text
        for entry in step.objects:
            if entry.id == thing_id or (step.id != host.id and _singular(entry.text) == name):
                text = _count_in(text, entry, what.now)
                entry = entry.model_copy(update={"quantity": what.now, "quantity_text": str(what.now)})
            objects.append(entry)
        if objects == list(step.objects):
            return step
        return step.model_copy(update={"objects": tuple(objects), "text": text, **because(step, why)})

    steps, refit = tuple(count(step) for step in draft.steps), tuple(count(step) for step in draft.refit)
    draft = draft.model_copy(update={"steps": steps, "refit": refit})
    for entry in draft.renewals:
        if _singular(entry.item) != name:
            continue
        if said & set(entry.segments) or (entry.step == host.id and entry.count_from != "spoken"):
            draft = _count_renewal(draft, entry.id, what, why) or draft
    return draft


def part_number(draft: Draft, renewal_id: str, what: say.PartNumber, why: Because) -> Draft | None:
    """Give a part to renew the number to order by."""
    return change(
        draft,
        "renewals",
        renewal_id,
        lambda entry: entry.model_copy(update={"part_number": what.now, **because(entry, why)}),
    )


def tightening(draft: Draft, torque_id: str, what: say.Tightening, why: Because) -> Draft | None:
    """Give a joint its tightening stages, with the document or person that they are from."""
    values = [stage.value_nm for stage in what.stages if stage.value_nm is not None]
    angles = [stage.angle_deg for stage in what.stages if stage.angle_deg is not None]
    update = {
        "stages": what.stages,
        "value_nm": values[-1] if values else None,
        "angle_deg": sum(angles) if angles else None,
        "spoken": (what.spoken,),
        "reference": what.source,
        "check": TorqueCheck(status="not_checked", basis=f"given in the review from: {what.source}"),
    }
    return change(draft, "torques", torque_id, lambda entry: entry.model_copy(update={**update, **because(entry, why)}))


def part_name(draft: Draft, what: say.PartName, why: Because) -> Draft | None:
    """Call a part by one name throughout the written procedure; the talk stays as spoken."""
    pattern = re.compile(rf"(?<!\w){re.escape(what.was)}(?P<s>s?)(?!\w)", re.IGNORECASE)

    def rename(text: str) -> str:
        return pattern.sub(lambda match: _as_written(match.group(), what.now) + match.group("s"), text)

    def step(entry: AnyStep) -> AnyStep:
        objects = tuple(part.model_copy(update={"text": rename(part.text)}) for part in entry.objects)
        notes = tuple(note.model_copy(update={"text": rename(note.text)}) for note in entry.notes)
        new = entry.model_copy(update={"text": rename(entry.text), "objects": objects, "notes": notes})
        return entry if new == entry else new.model_copy(update=because(entry, why))

    new = draft.model_copy(
        update={
            "title": rename(draft.title) if draft.title else draft.title,
            "sections": tuple(entry.model_copy(update={"title": rename(entry.title)}) for entry in draft.sections),
            "steps": tuple(step(entry) for entry in draft.steps),
            "refit": tuple(step(entry) for entry in draft.refit),
            "renewals": tuple(entry.model_copy(update={"item": rename(entry.item)}) for entry in draft.renewals),
            "torques": tuple(entry.model_copy(update={"joint": rename(entry.joint)}) for entry in draft.torques),
        }
    )
    return None if new == draft else new


def heading(draft: Draft, section_id: str, what: say.Heading, why: Because) -> Draft | None:
    """Give a part of the job another heading."""
    return change(draft, "sections", section_id, lambda entry: entry.model_copy(update={"title": what.now}))


def document(draft: Draft, what: say.DocumentData) -> Draft | None:
    """Fill in the document's own data."""
    if what.field == "title":
        return draft.model_copy(update={"title": what.now or draft.title})
    return draft.model_copy(update={"document": draft.document.model_copy(update={what.field: what.now})})


def scope_end(draft: Draft, condition_id: str, last_id: str | None, why: Because) -> Draft | None:
    """Let a condition govern the steps from where it begins up to and with `last_id`, and none after.

    The refit steps that undo them, the renewals and the tightening values follow their steps.
    """
    condition = next((entry for entry in draft.conditions if entry.id == condition_id), None)
    order = [step.id for step in draft.steps]
    if condition is None or (last_id is not None and last_id not in order):
        return None
    spoken = {segment.id: index for index, segment in enumerate(draft.segments)}
    begins = min((spoken[name] for name in condition.segments if name in spoken), default=0)
    governed = set()
    if last_id is not None:
        first = next(
            (order.index(name) for name in order if name in condition.steps),
            next(
                (
                    index
                    for index, step in enumerate(draft.steps)
                    if any(spoken.get(name, -1) >= begins for name in step.segments)
                ),
                0,
            ),
        )
        governed = set(order[first : order.index(last_id) + 1])
        if not governed:
            return None

    def regovern(entry, concerned: set[str], *, skip: bool = False):
        """Set the condition on an entry whose steps are `concerned`."""
        if not concerned:
            return entry
        has = tuple(name for name in entry.applies_when if name != condition_id)
        if concerned <= governed and not skip:
            has = (*has, condition_id)
        return entry if has == entry.applies_when else entry.model_copy(update={"applies_when": has})

    is_skip = condition.kind == "skip"
    new = condition.model_copy(
        update={
            "steps": tuple(name for name in order if name in governed),
            "ends": "rejoin",
            "resumes_at": _after(order, last_id) if is_skip else condition.resumes_at,
            **because(condition, why),
        }
    )
    return draft.model_copy(
        update={
            "conditions": tuple(new if entry.id == condition_id else entry for entry in draft.conditions),
            "steps": tuple(regovern(step, {step.id}, skip=is_skip) for step in draft.steps),
            "refit": tuple(regovern(step, set(step.undoes), skip=is_skip) for step in draft.refit),
            "renewals": tuple(
                regovern(entry, {entry.step} if entry.step else set(), skip=is_skip) for entry in draft.renewals
            ),
            "torques": tuple(regovern(entry, set(entry.steps), skip=is_skip) for entry in draft.torques),
        }
    )


# --------------------------------------------------------------------------- inside


def _count_renewal(draft: Draft, renewal_id: str, what: say.Quantity, why: Because) -> Draft | None:
    return change(
        draft,
        "renewals",
        renewal_id,
        lambda entry: entry.model_copy(
            update={"quantity": what.now, "quantity_text": str(what.now), **because(entry, why)}
        ),
    )


def _count_in(text: str, part: Part, count: int) -> str:
    """Put the count before the part's name, in place of the vague or wrong one; written as all counts are."""
    now = number_word(count)
    before = (str(part.quantity), number_word(part.quantity)) if part.quantity is not None else ()
    for old in filter(None, (*before, part.quantity_text)):
        pattern = re.compile(rf"(?<!\w){re.escape(old)}(?!\w)", re.IGNORECASE)
        if pattern.search(text):
            return pattern.sub(now, text, count=1)
    name = re.compile(rf"(?<!\w){re.escape(part.text)}s?(?!\w)", re.IGNORECASE)
    if count > 1 and part.quantity is None:
        return name.sub(lambda match: f"{now} {match.group()}", text, count=1)
    return text


def _singular(text: str) -> str:
    return text.lower().removesuffix("s")


def _as_written(old: str, new: str) -> str:
    return new[:1].upper() + new[1:] if old[:1].isupper() else new


def _after(order: list[str], step_id: str | None) -> str | None:
    at = order.index(step_id) + 1 if step_id is not None else len(order)
    return order[at] if at < len(order) else None
