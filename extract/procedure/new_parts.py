"""New parts that nothing in the talk took off: each gets a refit step of its own, before the part that covers it."""

from __future__ import annotations

from collections.abc import Sequence

from extract.ids import IdMaker
from extract.model import Part
from extract.procedure import placing
from extract.procedure.names import content, is_plural, part_name
from extract.procedure.refit_acts import BACK
from extract.procedure.told import Told
from extract.procedure.units import Unit
from extract.speech import RenewalFound, Understanding
from extract.wordforms import plural_by_rule

#: Utterances after a new part's own in which the talk's refit goes on with the part that covers it.
_SOON = 2


def own_step(
    found: RenewalFound,
    mate: Unit | None,
    understanding: Understanding,
    units: Sequence[Unit],
    told: Told,
    ids: IdMaker,
    conditions: tuple[str, ...],
) -> Unit:
    """ "Fit a new impeller.", put in order before what covers it: `mate`, the next step told, or what came off last."""
    where = found.place.utterance
    several = (found.quantity or 1) > 1 and not is_plural(found.item)
    part = Part(
        id=ids.make("rpart", found.item, where),
        text=plural_by_rule(found.item) if several else found.item,
        quantity=found.quantity,
        position=found.position,
    )
    unit = Unit(
        effect="back",
        verb="fit",
        parts=[part],
        rule=found.place.rule,
        utterance=where,
        conditions=conditions,
        seal=part_name(found.item).head in placing.SEALS,
        words=content(understanding.utterances[where].analysed),
    )
    cover = mate or _told_next(where, told) or _came_off_last(where, units)
    if cover is not None:
        told.precedes[id(unit)] = cover
    told.extra.append(unit)
    told.touched.setdefault(where, []).append(unit)
    return unit


def needs_a_step(found: RenewalFound, unit: Unit | None, understanding: Understanding, told: Told) -> bool:
    """Whether a new part has a step of its own; `unit` is the step that it was found to belong to, if any.

    A part that is fitted in the work itself needs none. A seal goes in with its part, unless it is prepared itself
    ("oil the rings"); another part that is named only for the refit has a step, whatever stands near.
    """
    if found.kind != "renew" or found.only_if or _fitted_in_work(found, understanding):
        return False
    if unit is None:
        return True
    name = part_name(found.item)
    if name.head in unit.heads:
        return False
    if name.head in placing.SEALS:
        return _prepared(name.head, told)
    return not any(
        act.phase == "work" and not act.negated and act.place.utterance >= found.place.utterance
        for act in understanding.actions
    )


def _fitted_in_work(found: RenewalFound, understanding: Understanding) -> bool:
    name = part_name(found.item)
    return any(
        act.phase == "work" and act.sense in BACK and name.head == part_name(mention.text).head
        for act in understanding.actions
        for mention in act.objects
    )


def _prepared(head: str, told: Told) -> bool:
    return any(part_name(mention.text).head == head for act, _ in told.treatments for mention in act.objects)


def _told_next(where: int, told: Told) -> Unit | None:
    for at in range(where, where + _SOON + 1):
        fitted = [one for one in told.touched.get(at, []) if one.lead is not None]
        if fitted:
            return fitted[0]
    return None


def _came_off_last(where: int, units: Sequence[Unit]) -> Unit | None:
    before = [
        one for one in units if one.lead is not None and one.utterance <= where and one.effect in placing.ON_PARTS
    ]
    return max(before, key=lambda one: one.lead or 0) if before else None
