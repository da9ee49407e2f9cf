"""Flags for what the talk leaves open in the refit: two values for one joint, a new part that no step takes."""

from __future__ import annotations

import re
from collections.abc import Sequence
from itertools import combinations

from extract.ids import IdMaker
from extract.model import Flag, Renewal, Torque
from extract.procedure import wording
from extract.speech import TorqueFound, Understanding

#: What stands between two values of which only one can be meant.
_EITHER = re.compile(
    r"^[\s,]*(?:or|or else|or maybe|or is it|or was it|maybe|perhaps)[\s,]*(?:it's |is it |to |at )?(?:about )?$"
)


def is_choice(found: TorqueFound, said: str) -> bool:
    """Whether the stages of a value are two values to choose from: "twenty-five or thirty newton metres"."""
    text = said.lower()
    for one, other in zip(found.spoken, found.spoken[1:], strict=False):
        start = text.find(one.lower())
        end = text.find(other.lower(), start + len(one)) if start >= 0 else -1
        if end > start >= 0 and _EITHER.match(text[start + len(one) : end]):
            return True
    return False


def two_values(torques: Sequence[Torque], understanding: Understanding, ids: IdMaker) -> list[Flag]:
    """One flag for each joint that has two values and no word that decides."""
    raised = []
    for torque, found in zip(torques, understanding.torques, strict=True):
        if is_choice(found, understanding.utterances[found.place.utterance].analysed):
            raised.append(_undecided(torque, [" or ".join(found.spoken)], torque.segments, ids))
    places = {said.id: said.index for said in understanding.utterances}
    single = [one for one in torques if len(one.stages) == 1 and one.value_nm is not None]
    for one, other in combinations(single, 2):
        if _rival(one, other) and abs(places[one.segments[0]] - places[other.segments[0]]) > 1:
            spoken = [*one.spoken, *other.spoken]
            raised.append(_undecided(one, spoken, (*other.segments, *one.segments), ids))
    return raised


def _rival(one: Torque, other: Torque) -> bool:
    """Whether two values of one joint stand at the same refit step."""
    same = one.joint == other.joint and not set(one.refit).isdisjoint(other.refit)
    return same and one.value_nm != other.value_nm and one.applies_when == other.applies_when


def _undecided(torque: Torque, spoken: Sequence[str], segments: tuple[str, ...], ids: IdMaker) -> Flag:
    return Flag(
        id=ids.make("flag", "weak_reading", torque.id, *spoken),
        code="weak_reading",
        severity="check",
        message=f"Two tightening values are named for the {torque.joint}: {' and '.join(spoken)}. Which one holds?",
        segments=segments,
        steps=torque.steps,
        evidence={"rule": "torque.two_values", "spoken": list(spoken)},
    )


def unplaced(renewals: Sequence[Renewal], ids: IdMaker) -> list[Flag]:
    """One flag for each new part that no step of the refit takes."""
    return [
        Flag(
            id=ids.make("flag", "missing_object", one.id),
            code="missing_object",
            severity="check",
            message=f"No step of the refit fits {wording.indefinite(f'new {one.item}')}. Where does it go?",
            segments=one.segments,
            evidence={"rule": "renewal.no_step"},
        )
        for one in renewals
        if one.refit is None and one.kind != "consumable" and one.same_as is None and not one.only_if
    ]
