"""What a decision does to the steps of a draft: pure functions, model in, model out.

Each function returns the draft with one change, or null where the thing isn't there in the shape that the
change needs. Numbers of steps are given anew by `renumber`.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import TypeVar

from extract.ids import IdMaker
from extract.model import Because, Draft, Frozen, NotUndone, RefitStep, Step
from extract.review import decisions as say
from extract.review.decisions import Decision

AnyStep = TypeVar("AnyStep", Step, RefitStep)
AnyEntry = TypeVar("AnyEntry", bound=Frozen)


def reason_of(decision: Decision) -> Because:
    """The evidence entry that a decision leaves on what it changed."""
    return Because(
        segment=None,
        span=None,
        rule=f"review.{decision.what.kind}",
        note=f"{decision.by}, {decision.at}: {decision.id}",
    )


def edit(draft: Draft, step_id: str, what: say.Edit, why: Because) -> Draft | None:
    """Write the step anew."""
    return change_step(draft, step_id, lambda step: step.model_copy(update={"text": what.now, **because(step, why)}))


def drop(draft: Draft, step_id: str, what: say.Drop, why: Because) -> Draft | None:
    """Take a step out, and with it the derived refit steps that undo nothing else."""
    if any(step.id == step_id for step in draft.refit):
        undone = next(step for step in draft.refit if step.id == step_id).undoes
        others = {done for step in draft.refit if step.id != step_id for done in step.undoes}
        spared = tuple(NotUndone(step=done, reason=what.reason) for done in undone if done not in others)
        return draft.model_copy(
            update={
                "refit": tuple(step for step in draft.refit if step.id != step_id),
                "not_undone": draft.not_undone + spared,
            }
        )
    if not any(step.id == step_id for step in draft.steps):
        return None
    refit = []
    for step in draft.refit:
        rest = tuple(done for done in step.undoes if done != step_id)
        if len(rest) == len(step.undoes):
            refit.append(step)
        elif rest or step.origin == "spoken":
            refit.append(step.model_copy(update={"undoes": rest, **because(step, why)}))
    return draft.model_copy(
        update={
            "steps": tuple(step for step in draft.steps if step.id != step_id),
            "refit": tuple(refit),
            "not_undone": tuple(entry for entry in draft.not_undone if entry.step != step_id),
        }
    )


def split(draft: Draft, step_id: str, what: say.Split, why: Because) -> Draft | None:
    """Make two steps of one; what undid the one undoes both, what belongs to it goes with the half that names it."""
    new_id = IdMaker().make(step_id.split("-")[0], step_id, "second", what.second)
    goes = {entry.id for entry in draft.renewals if _only_in(entry.item, what.second, what.first)}
    goes |= {entry.id for entry in draft.torques if _only_in(entry.joint, what.second, what.first)}

    def halve(step: AnyStep) -> tuple[AnyStep, AnyStep]:
        theirs = tuple(part for part in step.objects if _only_in(part.text, what.second, what.first))
        mine = tuple(part for part in step.objects if part not in theirs)
        first = step.model_copy(update={"text": what.first, "objects": mine, **because(step, why)})
        second = step.model_copy(
            update={"id": new_id, "text": what.second, "objects": theirs, "notes": (), **because(step, why)}
        )
        if isinstance(step, RefitStep):
            for name in ("renewals", "torques"):
                ids = getattr(step, name)
                first = first.model_copy(update={name: tuple(one for one in ids if one not in goes)})
                second = second.model_copy(update={name: tuple(one for one in ids if one in goes)})
        return first, second

    changed = _replace_step(draft, step_id, lambda step: halve(step))
    if changed is None:
        return None
    both = {
        name: tuple(_with_second(entry, step_id, new_id, *fields) for entry in getattr(changed, name))
        for name, fields in _POINTING.items()
    }

    def moved(entry: AnyEntry) -> AnyEntry:
        return _repointed(entry, step_id, new_id) if entry.id in goes else entry

    return changed.model_copy(
        update={
            **both,
            "not_undone": tuple(
                half
                for entry in changed.not_undone
                for half in (entry, *([entry.model_copy(update={"step": new_id})] if entry.step == step_id else []))
            ),
            "torques": tuple(moved(entry) for entry in changed.torques),
            "renewals": tuple(moved(entry) for entry in changed.renewals),
        }
    )


def merge(draft: Draft, step_id: str, other_id: str, what: say.Merge, why: Because) -> Draft | None:
    """Make one step of two; everything that pointed at the other points at the one that stays."""
    steps = draft.steps if any(step.id == step_id for step in draft.steps) else draft.refit
    found = {step.id: step for step in steps}
    if step_id not in found or other_id not in found or step_id == other_id:
        return None
    one, other = found[step_id], found[other_id]
    joined: dict[str, object] = {
        name: tuple(dict.fromkeys(getattr(one, name) + getattr(other, name)))
        for name in type(one).model_fields
        if isinstance(getattr(one, name), tuple) and name != "because"
    }
    if isinstance(one, Step) and isinstance(other, Step):
        joined["start_s"] = min((at for at in (one.start_s, other.start_s) if at is not None), default=None)
        joined["end_s"] = max((at for at in (one.end_s, other.end_s) if at is not None), default=None)
    joined |= {"text": what.now, "because": (*one.because, *other.because, why)}
    new = one.model_copy(update=joined)
    kept = tuple(new if step.id == step_id else step for step in steps if step.id != other_id)
    draft = draft.model_copy(update={"steps" if isinstance(new, Step) else "refit": kept})
    draft = _repoint(draft, other_id, step_id)
    # A step of which a half is put back is put back; two that are not are one that is not.
    undone = {done for step in draft.refit for done in step.undoes}
    spared = {entry.step: entry for entry in reversed(draft.not_undone) if entry.step not in undone}
    return draft.model_copy(update={"not_undone": tuple(reversed(spared.values()))})


def move(draft: Draft, step_id: str, before_id: str | None, why: Because) -> Draft | None:
    """Move a step before another one; the derived refit step that undoes it moves the other way."""
    moved = _reorder(draft.steps, step_id, before_id)
    if moved is None:
        moved_refit = _reorder(draft.refit, step_id, before_id)
        return None if moved_refit is None else _noted(draft.model_copy(update={"refit": moved_refit}), step_id, why)
    refit = draft.refit
    mine = [step for step in refit if step.undoes == (step_id,) and step.origin == "derived"]
    place = next(index for index, step in enumerate(moved) if step.id == step_id)
    # What comes off earlier goes back later: the refit step stands after the one of the step that now follows.
    following = {step.id for step in moved[place + 1 :]}
    for own in mine:
        rest = [step for step in refit if step.id != own.id]
        after = [index for index, step in enumerate(rest) if step.origin == "derived" and following & set(step.undoes)]
        before = [
            index
            for index, step in enumerate(rest)
            if step.origin == "derived" and step.undoes and not following & set(step.undoes)
        ]
        at = max(after) + 1 if after else (min(before) if before else len(rest))
        refit = (*rest[:at], own, *rest[at:])
    return _noted(draft.model_copy(update={"steps": moved, "refit": tuple(refit)}), step_id, why)


def add(draft: Draft, after_id: str, what: say.Add, why: Because) -> Draft | None:
    """Put a new step after another; with its refit step, or declared as not to be put back."""
    ids = IdMaker()
    action = what.text.split()[0].lower()
    for place, step in enumerate(draft.refit):
        if step.id == after_id:
            new_refit = RefitStep(
                id=ids.make("refit", why.note, what.text), number=0, origin="spoken", action=action, objects=(),
                text=what.text, applies_when=step.applies_when, because=(why,),
            )  # fmt: skip
            return draft.model_copy(update={"refit": (*draft.refit[: place + 1], new_refit, *draft.refit[place + 1 :])})
    place = next((index for index, step in enumerate(draft.steps) if step.id == after_id), None)
    if place is None:
        return None
    host = draft.steps[place]
    new = Step(
        id=ids.make("step", why.note, what.text), number=0, section=host.section, action=action, spoken_action=action,
        objects=(), text=what.text, start_s=host.end_s, end_s=host.end_s, segments=(), applies_when=host.applies_when,
        confidence=1.0, because=(why,),
    )  # fmt: skip
    conditions = tuple(_with_second(entry, host.id, new.id, "steps") for entry in draft.conditions)
    draft = draft.model_copy(update={"conditions": conditions})
    steps = (*draft.steps[: place + 1], new, *draft.steps[place + 1 :])
    if not what.put_back:
        spared = NotUndone(step=new.id, reason="Nothing to put back, said the reviewer.")
        return draft.model_copy(update={"steps": steps, "not_undone": (*draft.not_undone, spared)})
    return _with_refit(draft.model_copy(update={"steps": steps}), new, place, what.put_back, why)


def put_back(draft: Draft, step_id: str, what: say.PutBack, why: Because) -> Draft | None:
    """Say how a step is undone: write the derived refit step, or declare that there is none to do."""
    step = next((step for step in draft.steps if step.id == step_id), None)
    if step is None:
        return None
    own = [entry.id for entry in draft.refit if entry.origin == "derived" and entry.undoes == (step_id,)]
    spared = tuple(entry for entry in draft.not_undone if entry.step != step_id)
    if not what.text:
        # A refit step that undoes others too, or that the talk itself tells, stays for those.
        refit = tuple(
            entry.model_copy(update={"undoes": tuple(done for done in entry.undoes if done != step_id)})
            if step_id in entry.undoes
            else entry
            for entry in draft.refit
            if entry.id not in own
        )
        told = NotUndone(step=step_id, reason=what.reason or "")
        return draft.model_copy(update={"refit": refit, "not_undone": (*spared, told)})
    draft = draft.model_copy(update={"not_undone": spared})
    if own:
        text, action = what.text, what.text.split()[0].lower()
        return change(
            draft,
            "refit",
            own[0],
            lambda entry: entry.model_copy(update={"text": text, "action": action, **because(entry, why)}),
        )
    place = next(index for index, entry in enumerate(draft.steps) if entry.id == step_id)
    return _with_refit(draft, step, place, what.text, why)


def renumber(draft: Draft) -> Draft:
    """Number the steps of both halves from 1, and drop what points at steps that are gone."""
    steps = tuple(
        step if step.number == number else step.model_copy(update={"number": number})
        for number, step in enumerate(draft.steps, start=1)
    )
    refit = tuple(
        step if step.number == number else step.model_copy(update={"number": number})
        for number, step in enumerate(draft.refit, start=1)
    )
    done, back = {step.id for step in steps}, {step.id for step in refit}
    parts = {part.id for step in steps for part in step.objects}
    draft = draft.model_copy(
        update={
            "steps": tuple(_without_gone(step, done, parts) for step in steps),
            "refit": tuple(_without_gone(step, done, parts) for step in refit),
        }
    )
    return draft.model_copy(
        update={
            "segments": _keep(draft.segments, "steps", done | back),
            "conditions": tuple(
                entry if entry.resumes_at in done else entry.model_copy(update={"resumes_at": None})
                for entry in _keep(draft.conditions, "steps", done)
            ),
            "cautions": _keep(_keep(draft.cautions, "steps", done), "refit", back),
            "tools": _keep(draft.tools, "steps", done | back),
            "torques": _keep(_keep(draft.torques, "steps", done), "refit", back),
            "flags": _keep(draft.flags, "steps", done | back),
            "renewals": tuple(
                entry.model_copy(
                    update={
                        "step": entry.step if entry.step in done else None,
                        "refit": entry.refit if entry.refit in back else None,
                    }
                )
                for entry in draft.renewals
            ),
        }
    )


# --------------------------------------------------------------------------- inside


def because(entry, why: Because) -> dict[str, tuple[Because, ...]]:
    """The update that adds a reason to an entry's evidence."""
    return {"because": (*entry.because, why)}


def change(draft: Draft, field: str, entry_id: str, how: Callable) -> Draft | None:
    """Change the entry of that id in a list of the draft; null if it isn't there."""
    entries = getattr(draft, field)
    if not any(entry.id == entry_id for entry in entries):
        return None
    return draft.model_copy(update={field: tuple(how(entry) if entry.id == entry_id else entry for entry in entries)})


def change_step(draft: Draft, step_id: str, how: Callable) -> Draft | None:
    """Change the step of that id in whichever half it stands; null if in neither."""
    return change(draft, "steps", step_id, how) or change(draft, "refit", step_id, how)


def _replace_step(draft: Draft, step_id: str, how: Callable) -> Draft | None:
    for field in ("steps", "refit"):
        entries = getattr(draft, field)
        if any(entry.id == step_id for entry in entries):
            new = [part for entry in entries for part in (how(entry) if entry.id == step_id else (entry,))]
            return draft.model_copy(update={field: tuple(new)})
    return None


def _with_refit(draft: Draft, step: Step, earlier: int, text: str, why: Because) -> Draft:
    """Put a refit step for `step` before the one that undoes the step at index `earlier` or one before it."""
    back = RefitStep(
        id=IdMaker().make("refit", why.note, text),
        number=0,
        origin="derived",
        undoes=(step.id,),
        action=text.split()[0].lower(),
        objects=(),
        text=text,
        applies_when=step.applies_when,
        because=(why.model_copy(update={"step": step.id}),),
    )
    done = {entry.id for entry in draft.steps[: earlier + 1]} - {step.id}
    at = next((index for index, entry in enumerate(draft.refit) if done & set(entry.undoes)), len(draft.refit))
    return draft.model_copy(update={"refit": (*draft.refit[:at], back, *draft.refit[at:])})


def _noted(draft: Draft, step_id: str, why: Because) -> Draft | None:
    return change_step(draft, step_id, lambda step: step.model_copy(update=because(step, why)))


def _reorder(steps: tuple[AnyStep, ...], step_id: str, before_id: str | None) -> tuple[AnyStep, ...] | None:
    mine = next((step for step in steps if step.id == step_id), None)
    rest = [step for step in steps if step.id != step_id]
    if mine is None or (before_id is not None and before_id not in {step.id for step in rest}):
        return None
    at = len(rest) if before_id is None else next(i for i, step in enumerate(rest) if step.id == before_id)
    return (*rest[:at], mine, *rest[at:])


#: Lists whose entries name steps in groups, and the keys in which they do; both halves of a split step belong there.
_POINTING = {
    "segments": ("steps",), "refit": ("undoes",), "conditions": ("steps",), "cautions": ("steps", "refit"),
    "tools": ("steps",), "flags": ("steps",),
}  # fmt: skip


def _with_second(entry: AnyEntry, first: str, second: str, *fields: str) -> AnyEntry:
    """The entry with `second` named after `first` wherever that is named."""
    pairs = {
        name: tuple(new for old in getattr(entry, name) for new in ((old, second) if old == first else (old,)))
        for name in fields
        if first in getattr(entry, name)
    }
    return entry.model_copy(update=pairs) if pairs else entry


def _only_in(name: str, second: str, first: str) -> bool:
    """Whether the second text names a thing that the first does not; what neither names stays with the first."""
    return name.lower() in second.lower() and name.lower() not in first.lower()


def _repointed(entry: AnyEntry, old: str, new: str) -> AnyEntry:
    """The entry with one step named in place of another, in groups, singly and as a reason."""
    update: dict[str, object] = {}
    for name in type(entry).model_fields:
        value = getattr(entry, name)
        if name in ("steps", "refit", "undoes", "step", "resumes_at") and value == old:
            update[name] = new
        elif name in ("steps", "refit", "undoes") and isinstance(value, tuple) and old in value:
            update[name] = tuple(dict.fromkeys(new if step == old else step for step in value))
        elif name == "because" and any(why.step == old for why in value):
            update[name] = tuple(why.model_copy(update={"step": new}) if why.step == old else why for why in value)
    return entry.model_copy(update=update) if update else entry


def _repoint(draft: Draft, old: str, new: str) -> Draft:
    names = (*_POINTING, "steps", "torques", "renewals", "not_undone")
    return draft.model_copy(
        update={name: tuple(_repointed(entry, old, new) for entry in getattr(draft, name)) for name in names}
    )


def _without_gone(step: AnyStep, steps: set[str], parts: set[str]) -> AnyStep:
    """The step without reasons and earlier parts that left the draft with a step."""
    update: dict[str, object] = {}
    if any(part.same_as is not None and part.same_as not in parts for part in step.objects):
        update["objects"] = tuple(
            part if part.same_as in parts else part.model_copy(update={"same_as": None}) for part in step.objects
        )
    if any(why.step is not None and why.step not in steps for why in step.because):
        update["because"] = tuple(_without_step(why, steps) for why in step.because)
    if any(why.step is not None and why.step not in steps for note in step.notes for why in note.because):
        update["notes"] = tuple(
            note.model_copy(update={"because": tuple(_without_step(why, steps) for why in note.because)})
            for note in step.notes
        )
    return step.model_copy(update=update) if update else step


def _without_step(why: Because, steps: set[str]) -> Because:
    return why if why.step in steps else why.model_copy(update={"step": None})


def _keep(entries, field: str, ids: set[str]):
    return tuple(
        entry
        if all(name in ids for name in getattr(entry, field))
        else entry.model_copy(update={field: tuple(name for name in getattr(entry, field) if name in ids)})
        for entry in entries
    )
