"""Variants, options and skips, and the steps that they govern."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from extract.ids import IdMaker
from extract.model import Condition
from extract.procedure.steps import because
from extract.speech import ConditionFound, Understanding


def make_conditions(understanding: Understanding, ids: IdMaker) -> tuple[Condition, ...]:
    """The conditions of the talk without their steps, in the order of the findings."""
    utterances = understanding.utterances
    return tuple(
        Condition(
            id=ids.make("cond", utterances[found.place.utterance].text, found.kind, found.text),
            kind=found.kind,
            axis=found.axis,
            value=found.value,
            values=found.values,
            negated=found.negated,
            text=found.text,
            ends=found.ends,
            segments=(utterances[found.place.utterance].id,),
            because=(because(found.place, utterances),),
        )
        for found in understanding.conditions
    )


def governing(
    understanding: Understanding, conditions: Sequence[Condition], utterance: int, offset: int | None = None
) -> list[Condition]:
    """The conditions that hold at this place of the talk, outer ones first; without `offset` the whole utterance."""
    chosen: set[int] = set()
    for index, found in enumerate(understanding.conditions):
        if utterance in found.governed and _holds_at(found, utterance, offset):
            chosen.add(index)
            parent = found.parent
            while parent is not None and parent not in chosen:
                chosen.add(parent)
                parent = understanding.conditions[parent].parent
    return [conditions[index] for index in sorted(chosen)]


def _holds_at(found: ConditionFound, utterance: int, offset: int | None) -> bool:
    """In its own utterance a condition holds for some of its words only: "…, and on the automatic …, otherwise …"."""
    if offset is None or utterance != found.place.utterance:
        return True
    return found.governs_from <= offset and (found.governs_until is None or offset < found.governs_until)


def with_steps(
    understanding: Understanding,
    conditions: Sequence[Condition],
    steps_at: Mapping[int, Sequence[str]],
    governed: Mapping[str, Sequence[str]],
) -> tuple[Condition, ...]:
    """The conditions with the steps that they govern, and the step at which a skip lands.

    `steps_at` gives the step ids of an utterance, `governed` the condition ids of a step.
    """
    last = len(understanding.utterances)
    complete = []
    for condition, found in zip(conditions, understanding.conditions, strict=True):
        lands = None
        if found.resumes_at is not None:
            lands = next((steps_at[at][0] for at in range(found.resumes_at, last) if steps_at.get(at)), None)
        steps = tuple(step for step, holds in governed.items() if condition.id in holds)
        complete.append(condition.model_copy(update={"steps": steps, "resumes_at": lands}))
    return tuple(complete)
