"""Treatments on refit: greasing, cleaning, wetting and lining up, as notes at the step of their part."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence

from extract.ids import IdMaker
from extract.model import Part
from extract.procedure import placing, wording
from extract.procedure.attached import NoteEntry
from extract.procedure.names import content, part_name
from extract.procedure.refit_acts import DABS, spoken_time
from extract.procedure.steps import make_part, measure
from extract.procedure.told import Told
from extract.procedure.units import Unit
from extract.speech import Action, Mention, NoteFound, Place, RenewalFound, Understanding
from extract.wordforms import regular_inflections

#: Treatments that take their time before the part goes in.
_STEEPED = frozenset({"soak", "steep"})
_TIMES = frozenset({"s", "min", "h", "d"})
_MATTER = frozenset({"fluid", "material"})
_BEFORE = re.compile(r"\bbefore\b", re.IGNORECASE)
_WETTED = re.compile(r"\b(wet|oil|grease|coat|lubricat|smear|dip|soak)(?:ted|ed|d|s|ing|es?)?\b", re.IGNORECASE)


def extra_treatments(
    understanding: Understanding,
    told: Told,
    units: Sequence[Unit],
    ids: IdMaker,
    conditions_of: Callable[[Action], tuple[str, ...]],
) -> list[tuple[NoteEntry, Unit]]:
    """Greasing, cleaning and lining up as notes at their step; without a step they become one of their own."""
    entries = []
    for act, unit in told.treatments:
        alone = unit is None and all(one.kind in ("part", "fastener") for one in act.objects) and act.sense == "apply"
        cover = unit or _before_what(act, understanding, units) or _same_breath(act, told) or _just_before(act, units)
        if cover is None or alone or act.verb in _STEEPED:
            own = _own_step(act, understanding, ids, conditions_of(act))
            if cover is not None:
                told.precedes[id(own)] = cover
            elif before := [at for at in told.touched if at < act.place.utterance and told.touched[at]]:
                told.follows[id(own)] = told.touched[max(before)][-1]  # it stands where it is told
            if (when := _when(act, understanding)) and _before_what(act, understanding, units):
                told.times.append((act.place, own, when))
            told.remarks += [(place, own, "check", text) for place, text in told.looks.get(act.place.utterance, ())]
            told.extra.append(own)
            told.touched.setdefault(act.place.utterance, []).insert(0, own)
            continue
        unit = cover
        if _noted(act, understanding):
            continue
        kind = "align" if act.sense == "adjust" else "treat"
        entries.append((NoteEntry(kind, treatment_text(act, unit), act.place), unit))
    return entries


def _noted(act: Action, understanding: Understanding) -> bool:
    """Whether a note for the refit was written from the words of an act."""
    named = frozenset().union(*(_named_by(one) for one in act.objects))
    return any(not named or content(found.text) & named for found in _covering(act.place, understanding))


def covered(place: Place, understanding: Understanding) -> bool:
    return bool(_covering(place, understanding))


def _covering(place: Place, understanding: Understanding) -> list[NoteFound]:
    return [
        found
        for found in understanding.notes
        if found.phase == "refit"
        and found.place.utterance == place.utterance
        and found.place.start <= place.start < found.place.end
    ]


def _named_by(mention: Mention) -> frozenset[str]:
    words = content(f"{mention.text} {mention.position or ''} {mention.direction or ''}")
    return content(mention.text) if DABS & set(mention.text.split()[:1]) else words


def _before_what(act: Action, understanding: Understanding, units: Sequence[Unit]) -> Unit | None:
    """ "… before the motor goes in": the part that the words after "before" name."""
    after = _BEFORE.split(understanding.utterances[act.place.utterance].analysed[act.place.start :], maxsplit=1)[1:]
    named = content(after[0]) if after else frozenset()
    scored = [(placing.mentioned(one, named), one) for one in units if one.effect in placing.ON_PARTS]
    return max(scored, key=lambda entry: entry[0])[1] if any(score >= placing.BELONGS for score, _ in scored) else None


def _when(act: Action, understanding: Understanding) -> str:
    """The time of a treatment in the talk's words: "Do this before the motor goes in."."""
    after = _BEFORE.split(understanding.utterances[act.place.utterance].analysed[act.place.start :], maxsplit=1)[1:]
    time = spoken_time("before", after[0], "", lambda verb: regular_inflections(verb)[1]) if after else ""
    return f"Do this {time}." if time else ""


def _same_breath(act: Action, told: Told) -> Unit | None:
    touched = told.touched.get(act.place.utterance, [])
    return touched[0] if touched else None


def _just_before(act: Action, units: Sequence[Unit]) -> Unit | None:
    near = [one for one in units if 0 <= act.place.utterance - one.utterance <= 2 and one.effect in placing.ON_PARTS]
    return max(near, key=lambda one: one.lead or 0) if near else None


def _own_step(act: Action, understanding: Understanding, ids: IdMaker, conditions: tuple[str, ...]) -> Unit:
    utterance = understanding.utterances[act.place.utterance]
    return Unit(
        effect="back",
        verb=act.plain or act.spoken_action,
        parts=[make_part(mention, utterance, ids) for mention in act.objects],
        rule=act.place.rule,
        utterance=act.place.utterance,
        conditions=conditions,
        told=[act],
        words=content(utterance.analysed),
    )


def treatment_text(act: Action, unit: Unit) -> str:
    """The treatment written as an instruction; a material that is put nowhere else is put on the part of the unit."""
    way = next((mention.direction for mention in act.objects if mention.direction), None)
    if act.sense == "place" and way is None and unit.parts and not any(one.position for one in act.objects):
        way = f"on the {unit.parts[0].text}"
    return wording.instruction(
        act.plain or act.spoken_action,
        [wording.Thing(mention.text, mention.quantity, mention.position, _article(mention)) for mention in act.objects],
        direction=way,
        tools=[tool.text for tool in act.tools if not _is_matter(tool, act)],
        bare_tools=[tool.text for tool in act.tools if _is_matter(tool, act)],
        manner=act.manner,
        measures=[measure(one) for one in act.measures if one.unit in _TIMES],
    )


def _is_matter(tool: Mention, act: Action) -> bool:
    """ "Wet it with glycerine": what is applied is a material, also where the lexicon lacks it."""
    return tool.kind in _MATTER or act.sense == "apply" and tool.kind == "unknown" and tool.determiner is None


def _article(mention: Mention) -> str:
    if part_name(mention.text).head in DABS:
        return "a" if (mention.determiner or "a") != "the" and not mention.text.startswith("nothing") else ""
    return "" if mention.kind in ("fluid", "material") else "the"


def wetted_seals(understanding: Understanding, units: Sequence[Unit], told: Told, ids: IdMaker) -> list[Unit]:
    """A new seal that is wetted, greased or glued before it goes in is a step of its own, before its part."""
    made = []
    materials = {found.place.utterance for found in understanding.renewals if found.kind == "consumable"}
    for found in understanding.renewals:
        where = found.place.utterance
        name = part_name(found.item)
        if found.kind != "renew" or found.only_if or name.head not in placing.SEALS or where not in materials:
            continue
        if any(name.head in unit.heads for unit in [*units, *told.extra]):
            continue
        mate = placing.unit_of_renewal(
            found.item, found.position, where, _said(understanding, found), units, found.quantity
        )
        if mate is None:
            continue
        part = Part(
            id=ids.make("rpart", found.item, where), text=found.item, quantity=found.quantity, position=found.position
        )
        unit = Unit(
            effect="back",
            verb="fit",
            parts=[part],
            rule=found.place.rule,
            utterance=where,
            conditions=mate.conditions,
            seal=True,
            words=content(_said(understanding, found)),
        )
        told.precedes[id(unit)] = mate
        told.touched.setdefault(where, []).append(unit)
        told.remarks += _wetting(understanding, found, unit)
        made.append(unit)
    return made


def _wetting(understanding: Understanding, found: RenewalFound, unit: Unit) -> list[tuple[Place, Unit, str, str]]:
    """ "… and oiled before it goes in": the treatment of a new seal as a note at its step."""
    where = found.place.utterance
    verb = _WETTED.search(_said(understanding, found))
    matter = [one for one in understanding.renewals if one.kind == "consumable" and one.place.utterance == where]
    if not verb or not matter:
        return []
    base = {"lubricat": "lubricate"}.get(verb.group(1).lower(), verb.group(1).lower())
    place = Place(where, verb.start(), verb.end(), found.place.rule)
    return [(place, unit, "treat", f"{base.capitalize()} the {found.item} with {matter[0].item}.")]


def _said(understanding: Understanding, found: RenewalFound) -> str:
    return understanding.utterances[found.place.utterance].analysed
