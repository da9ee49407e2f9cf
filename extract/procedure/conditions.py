"""Variants, options and skips, and the steps that they govern."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence

from extract.ids import IdMaker
from extract.model import Condition
from extract.procedure.steps import because
from extract.speech import ConditionFound, Place, Understanding


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


class Scopes:
    """The conditions by the utterances that they govern."""

    def __init__(self, understanding: Understanding, conditions: Sequence[Condition]) -> None:
        self.conditions = conditions
        self._found = understanding.conditions
        self._at: defaultdict[int, list[int]] = defaultdict(list)
        for index, found in enumerate(self._found):
            for utterance in found.governed:
                self._at[utterance].append(index)

    def governing(self, utterance: int, offset: int | None = None) -> list[Condition]:
        """The conditions that hold at a place of the talk, outer ones first; without `offset` the whole utterance."""
        chosen: set[int] = set()
        for index in self._at.get(utterance, ()):
            around: int | None = index if _holds_at(self._found[index], utterance, offset) else None
            while around is not None and around not in chosen:
                chosen.add(around)
                around = self._found[around].parent
        return [self.conditions[index] for index in sorted(chosen)]

    def ids_at(self, place: Place) -> tuple[str, ...]:
        """The ids of the conditions that hold where something was said."""
        return tuple(one.id for one in self.governing(place.utterance, place.start))


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
    governs: defaultdict[str, list[str]] = defaultdict(list)
    for step, holds in governed.items():
        for condition in dict.fromkeys(holds):
            governs[condition].append(step)
    complete = []
    for condition, found in zip(conditions, understanding.conditions, strict=True):
        lands = None
        if found.resumes_at is not None:
            lands = next((steps_at[at][0] for at in range(found.resumes_at, last) if steps_at.get(at)), None)
        complete.append(condition.model_copy(update={"steps": tuple(governs[condition.id]), "resumes_at": lands}))
    return tuple(complete)
