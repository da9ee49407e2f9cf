"""New parts that nothing in the talk took off: each gets a refit step of its own, before the part that covers it."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

from extract.ids import IdMaker
from extract.model import Part
from extract.procedure import placing
from extract.procedure.names import content, is_plural, part_name
from extract.procedure.refit_acts import BACK
from extract.procedure.told import Told
from extract.procedure.units import Unit
from extract.speech import Action, RenewalFound, Understanding
from extract.wordforms import plural_by_rule

#: Utterances after a new part's own in which the talk's refit goes on with the part that covers it.
_SOON = 2
_POINTED = re.compile(r"\b(?:it|that|this|those|these|them|there|here|one)\b", re.IGNORECASE)
_OF_THE = re.compile(r"^of (?:the|that|this|each|both)\s+", re.IGNORECASE)


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
        position=None if _POINTED.search(found.position or "") else _nearest(found),
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
    if mate is not None and _sits_elsewhere(found, mate):
        mate = _named_by_place(found, [*units, *told.extra])
    cover = mate or _told_next(where, told) or _came_off_last(where, units)
    if cover is not None:
        told.precedes[id(unit)] = cover
    told.extra.append(unit)
    told.touched.setdefault(where, []).append(unit)
    return unit


@dataclass(frozen=True, slots=True)
class Work:
    """What the work itself does: its last utterance, and the head nouns of the parts that it fits."""

    last: int
    fitted: frozenset[str]

    @classmethod
    def of(cls, actions: Sequence[Action]) -> Work:
        done = [act for act in actions if act.phase == "work" and not act.negated]
        fitted = (part_name(mention.text).head for act in done if act.sense in BACK for mention in act.objects)
        return cls(max((act.place.utterance for act in done), default=-1), frozenset(fitted))


def needs_a_step(found: RenewalFound, unit: Unit | None, work: Work, told: Told) -> bool:
    """Whether a new part has a step of its own; `unit` is the step that it was found to belong to, if any.

    A part that is fitted in the work itself needs none. A seal goes in with its part, unless it is prepared itself
    ("oil the rings"); another part that is named only for the refit has a step, whatever stands near.
    """
    name = part_name(found.item)
    if found.kind != "renew" or found.only_if or name.head in work.fitted:
        return False
    if unit is None:
        return name.head != "washer"
    if name.head in unit.heads:
        return False
    if _sits_elsewhere(found, unit):
        return True
    if name.head in placing.SEALS:
        return _prepared(name.head, told)
    return work.last < found.place.utterance


def _sits_elsewhere(found: RenewalFound, unit: Unit) -> bool:
    """ "The O-rings of the sleeve" do not go in with the drain plug."""
    place = _place(found)
    return bool(place) and not any(place in own.all for own in unit.names) and place not in unit.words


def _place(found: RenewalFound) -> str:
    """The head of the part that the new one belongs to ("of the sleeve"); empty where none is named."""
    return part_name(_OF_THE.sub("", _nearest(found) or "")).head if _OF_THE.match(found.position or "") else ""


def _nearest(found: RenewalFound) -> str | None:
    """The place without what the talk goes on to name ("of the sleeve of …")."""
    return " of ".join((found.position or "").split(" of ")[:1]) or None


def _named_by_place(found: RenewalFound, units: Sequence[Unit]) -> Unit | None:
    """The step of the part on which the new one sits."""
    place = _place(found)
    return next((one for one in reversed(units) if place in one.heads), None) or next(
        (one for one in units if any(place in own.place for own in one.names)), None
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
