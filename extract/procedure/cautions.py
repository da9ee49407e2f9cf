"""Cautions at the steps that they concern: before the step that they name, else before what comes next."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence

from extract.ids import IdMaker
from extract.model import Caution, RefitStep
from extract.procedure.names import content, part_name
from extract.procedure.steps import Act, because
from extract.speech import CautionFound, Place, Understanding

#: Utterances after the last act of the work in which a warning still speaks of it.
_JUST_AFTER = 2
#: A warning that looks back at what was just shown.
_BACKWARD = re.compile(
    r"^\W*(?:(?:and|but|so|careful|mind|watch)\b\W*)*(?:it|it's|its|that|that's|this|they|they're|those|these)\b"
    r"|\bdoing (?:that|this)\b|\bwhen (?:it|that|they) comes?\b",
    re.IGNORECASE,
)


def make_cautions(
    understanding: Understanding,
    acts: Sequence[Act],
    refit: Sequence[RefitStep],
    ids: IdMaker,
    governed: Callable[[Place], tuple[str, ...]],
) -> tuple[Caution, ...]:
    """The cautions of the talk; `governed` gives the ids of the conditions that hold at a place."""
    utterances = understanding.utterances
    last_work = max((act.utterance for act in acts), default=-1)
    made = []
    for found in understanding.cautions:
        steps = _steps(found, understanding, acts) if found.place.utterance <= last_work + _JUST_AFTER else ()
        made.append(
            Caution(
                id=ids.make("caution", found.hazard, utterances[found.place.utterance].text, found.origin),
                hazard=found.hazard,
                signal_word=found.signal_word,
                text=found.text,
                origin=found.origin,
                steps=steps,
                refit=_refit(found, understanding, refit, steps),
                applies_when=governed(found.place),
                segments=(utterances[found.place.utterance].id,),
                because=(because(found.place, utterances),),
            )
        )
    return tuple(made)


def _heads(act: Act) -> frozenset[str]:
    return frozenset(part_name(part.text).head for part in act.step.objects)


def _steps(found: CautionFound, understanding: Understanding, acts: Sequence[Act]) -> tuple[str, ...]:
    where = found.place.utterance
    here = [act for act in acts if act.utterance == where]
    if here:
        first = [act for act in here if act.action.place.start >= found.place.start] or here
        return (first[0].step.id,) if found.origin == "usual" else tuple(act.step.id for act in here)
    before = [act for act in acts if act.utterance < where]
    after = [act for act in acts if act.utterance > where]
    text = understanding.utterances[where].analysed
    said = content(text) | content(found.text)
    names_before = bool(before) and bool(_heads(before[-1]) & said)
    names_after = bool(after) and bool(_heads(after[0]) & said)
    back = names_before if names_before != names_after else bool(_BACKWARD.search(text))
    chosen = before[-1:] if (back or not after) and before else after[:1]
    return tuple(act.step.id for act in chosen)


def _refit(
    found: CautionFound, understanding: Understanding, refit: Sequence[RefitStep], steps: Sequence[str]
) -> tuple[str, ...]:
    """Refit steps that the warning names, or before which it stands once the removal is over."""
    segment = understanding.utterances[found.place.utterance].id
    here = [one for one in refit if segment in one.segments]
    if here:
        return tuple(one.id for one in here)
    if found.origin == "usual":
        return ()
    said = content(understanding.utterances[found.place.utterance].analysed) | content(found.text)
    undoing = [one for one in refit if set(one.undoes) & set(steps)] if steps else list(refit)
    return tuple(one.id for one in undoing if said & {part_name(part.text).head for part in one.objects})
