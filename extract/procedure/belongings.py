"""What belongs at each refit step: new parts, materials, tightening values, notes and measures of the whole talk."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

from extract.ids import IdMaker
from extract.model import Because, Fastener, Part, Stage, Torque, TorqueCheck
from extract.procedure import placing, wording
from extract.procedure.names import PartName, content, is_plural, part_name, singular, word_set
from extract.procedure.refit_acts import DABS
from extract.procedure.steps import Act, make_part
from extract.procedure.told import Told
from extract.procedure.units import Unit
from extract.speech import (
    Action,
    Measured,
    Mention,
    NoteFound,
    Place,
    RenewalFound,
    StageFound,
    TorqueFound,
    Understanding,
)

_MARKED = word_set("mark marks line scribe paint dot punch arrow tag tags label notch")
_SEALS = word_set("gasket ring seal washer packing")
_SAME = re.compile(r"\b(?:same|that|this)\b", re.IGNORECASE)
NOWHERE = Place(-1, 0, 0, "derived.mark")


@dataclass(frozen=True, slots=True)
class NoteEntry:
    """A note at a refit step: its kind, its written text and where it was said; `step` is its source where derived."""

    kind: str
    text: str
    place: Place
    step: str | None = None


@dataclass(slots=True)
class Attached:
    """Everything said that belongs at a unit. Keys are indices of the findings, or `id` of the unit."""

    understanding: Understanding
    renewal_at: dict[int, Unit] = field(default_factory=dict)
    torque_at: dict[int, list[Unit]] = field(default_factory=dict)
    notes_at: dict[int, list[NoteEntry]] = field(default_factory=dict)
    measures_at: dict[int, list[Measured]] = field(default_factory=dict)
    ties: list[tuple[NoteEntry, list[Unit]]] = field(default_factory=list)

    def own(self, unit: Unit) -> list[RenewalFound]:
        """Renewals of the unit's own part, not of a seal that goes in with it."""
        found = [self.understanding.renewals[index] for index, at in self.renewal_at.items() if at is unit]
        return [one for one in found if one.kind != "consumable" and part_name(one.item).head in unit.heads]

    def notes_of(self, unit: Unit) -> list[NoteEntry]:
        return self.notes_at.get(id(unit), [])

    def measures_of(self, unit: Unit) -> list[Measured]:
        return self.measures_at.get(id(unit), [])

    @staticmethod
    def place(entry: NoteEntry) -> Place:
        return entry.place

    def torque_steps(self, index: int, acts: Sequence[Act]) -> tuple[str, ...]:
        """Steps of the work that tighten the joint where its value is told."""
        found = self.understanding.torques[index]
        near = (found.place.utterance, found.place.utterance - 1)
        for where in near:
            tight = [
                act for act in acts if act.utterance == where and act.action.sense in ("tighten", "fit", "connect")
            ]
            named = [act for act in tight if any(_names(found, mention.text) for mention in act.action.objects)]
            if named:
                return tuple(act.step.id for act in named[-1:])
            if where == found.place.utterance and tight:
                return (tight[-1].step.id,)
        return ()

    def inherited_reference(self, index: int) -> str | None:
        """The document of a joint: its own, else that of a rule for all joints, or of one told before it."""
        found = self.understanding.torques[index]
        if found.reference and _SAME.search(found.reference):
            before = [one.reference for one in self.understanding.torques[:index] if one.reference]
            return before[-1] if before else found.reference
        if found.reference or found.stages:
            return found.reference
        for before, rule in enumerate(self.understanding.torques):
            if rule.reference and (rule.scope == "all" or rule.scope == "onward" and before < index):
                return self.inherited_reference(before) if before != index else rule.reference
        return None


def _names(found: TorqueFound, text: str) -> bool:
    return part_name(found.joint).head == part_name(text).head


def item_key(item: str) -> str:
    """A name by which two mentions of a new part are the same: head and qualifiers, singular."""
    name = part_name(item)
    return " ".join([*sorted(name.qualifiers), name.head])


# --------------------------------------------------------------------------- treatments


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
        unit = unit or _same_breath(act, told) or _just_before(act, units)
        if unit is None:
            told.extra.append(_own_step(act, understanding, ids, conditions_of(act)))
            told.touched.setdefault(act.place.utterance, []).append(told.extra[-1])
            continue
        if _noted(act, understanding):
            continue
        kind = "align" if act.sense == "adjust" else "treat"
        entries.append((NoteEntry(kind, treatment_text(act), act.place), unit))
    return entries


def _noted(act: Action, understanding: Understanding) -> bool:
    """Whether a note for the refit was written from the words of an act."""
    return any(
        found.phase == "refit"
        and found.place.utterance == act.place.utterance
        and found.place.start <= act.place.start < found.place.end
        for found in understanding.notes
    )


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


def treatment_text(act: Action) -> str:
    """The treatment written as an instruction."""
    return wording.instruction(
        act.plain or act.spoken_action,
        [wording.Thing(mention.text, mention.quantity, mention.position, _article(mention)) for mention in act.objects],
        direction=next((mention.direction for mention in act.objects if mention.direction), None),
        tools=[tool.text for tool in act.tools],
        manner=act.manner,
    )


def _article(mention: Mention) -> str:
    if part_name(mention.text).head in DABS:
        return "a" if (mention.determiner or "a") != "the" and not mention.text.startswith("nothing") else ""
    return "" if mention.kind in ("fluid", "material") else "the"


# --------------------------------------------------------------------------- placing


def attach(
    understanding: Understanding,
    units: Sequence[Unit],
    told: Told,
    treated: Sequence[tuple[NoteEntry, Unit]],
    ids: IdMaker,
) -> Attached:
    """Find the unit of every renewal, tightening value, note and measure of the refit."""
    attached = Attached(understanding)
    everything = [*units, *told.extra]
    for act, unit, text in told.checks:
        if _noted(act, understanding):
            continue
        attached.notes_at.setdefault(id(unit), []).append(NoteEntry("check", text, act.place))
    for act, unit, text in told.times:
        attached.notes_at.setdefault(id(unit), []).append(NoteEntry("order", text, act.place))
    for entry, unit in treated:
        attached.notes_at.setdefault(id(unit), []).append(entry)
    told.extra.extend(_wetted_seals(understanding, units, told, ids))
    everything = [*units, *told.extra]
    # Notes may be about a new part, and materials go where a note uses them: parts, notes, materials.
    order = sorted(enumerate(understanding.renewals), key=lambda entry: entry[1].kind == "consumable")
    noted = False
    for index, found in order:
        if found.kind == "consumable" and not noted:
            noted = _place_notes(attached, everything, told)
        unit = _unit_of(found, attached, everything, told)
        if unit is not None:
            attached.renewal_at[index] = unit
            if found.replaced_by:
                unit.substitutes += [_placed_name(found.replaced_by, own) for own in unit.names]
            if found.only_if:
                _add_choice(found, unit, told, ids)
    if not noted:
        _place_notes(attached, everything, told)
    _place_torques(attached, everything, told)
    _place_measures(attached, told)
    return attached


def _wetted_seals(understanding: Understanding, units: Sequence[Unit], told: Told, ids: IdMaker) -> list[Unit]:
    """A new seal that is wetted, greased or glued before it goes in is a step of its own, before its part."""
    made = []
    materials = {found.place.utterance for found in understanding.renewals if found.kind == "consumable"}
    for found in understanding.renewals:
        where = found.place.utterance
        name = part_name(found.item)
        if found.kind != "renew" or found.only_if or name.head not in _SEALS or where not in materials:
            continue
        if any(name.head in unit.heads for unit in [*units, *told.extra]):
            continue
        mate = placing.unit_of_renewal(
            found.item, found.position, where, _said(understanding, found.place), units, found.quantity
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
            words=content(_said(understanding, found.place)),
        )
        told.precedes[id(unit)] = mate
        told.touched.setdefault(where, []).append(unit)
        made.append(unit)
    return made


def _add_choice(found: RenewalFound, unit: Unit, told: Told, ids: IdMaker) -> None:
    """The step that inspects what is renewed only if it has to be, before it goes back."""
    own = [part for part in unit.parts if part_name(part.text).head == part_name(found.item).head]
    part = Part(
        id=ids.make("rpart", found.item, found.only_if),
        text=found.item,
        quantity=found.quantity,
        position=found.position,
    )
    choice = Unit(
        effect="back",
        verb="inspect",
        parts=own or [part],
        rule=found.place.rule,
        utterance=found.place.utterance,
        conditions=unit.conditions,
        choice=found.only_if,
    )
    told.extra.append(choice)
    told.precedes[id(choice)] = unit


def _placed_name(text: str, own: PartName) -> PartName:
    name = part_name(text)
    return PartName(name.head, name.qualifiers, own.place)


def _said(understanding: Understanding, place: Place) -> str:
    return understanding.utterances[place.utterance].analysed


def _place_notes(attached: Attached, units: Sequence[Unit], told: Told) -> bool:
    for found in attached.understanding.notes:
        if found.phase == "refit" and found.kind != "reason":
            _place_note(found, attached, units, told)
    return True


def _of_new_part(found: NoteFound, attached: Attached) -> list[Unit]:
    """The step at which a new part goes in, for a note about it ("one washer each side")."""
    if not found.about:
        return []
    name = part_name(found.about)
    for index, unit in attached.renewal_at.items():
        renewal = attached.understanding.renewals[index]
        item = part_name(renewal.item)
        same = item.head == name.head and name.qualifiers <= item.qualifiers | {
            word for word in name.qualifiers if word == "new"
        }
        if same and name.head not in unit.heads and abs(renewal.place.utterance - found.place.utterance) <= 3:
            return [unit]
    return []


def _place_note(found: NoteFound, attached: Attached, units: Sequence[Unit], told: Told) -> None:
    where = found.place.utterance
    touched = told.touched.get(where, [])
    entry = NoteEntry(found.kind, found.text, found.place)
    chosen: list[Unit] = _of_new_part(found, attached)
    if found.about and not chosen:
        name = part_name(found.about)
        scored = [
            (placing.name_score(name, unit) + (0.3 if unit in touched and found.kind != "align" else 0.0), unit)
            for unit in units
            if unit.effect in placing.ON_PARTS or unit in touched
        ]
        top = max((score for score, _ in scored), default=0.0)
        if top >= 0.6:
            chosen = [unit for score, unit in scored if score >= top - 0.01]
        elif top >= 0.4:
            chosen = [_group_start(unit) for score, unit in scored if score >= top - 0.01][:1]
    if not chosen and touched:
        chosen = touched[-1:]
    if not chosen:
        said = content(_said(attached.understanding, found.place))
        named = [
            (placing.mentioned(unit, said) + placing.nearness(where, unit), unit)
            for unit in units
            if unit.effect in placing.ON_PARTS
        ]
        named = [one for one in named if one[0] >= 0.5]
        chosen = [max(named, key=lambda one: one[0])[1]] if named else []
    if not chosen:
        near = [
            unit
            for unit in units
            if unit.lead is not None and unit.utterance <= where and unit.effect in placing.ON_PARTS
        ]
        chosen = [max(near, key=lambda unit: unit.lead or 0)] if near else []
    if not chosen:
        return
    if len(chosen) > 1 and found.kind == "align":
        attached.ties.append((entry, chosen))
        return
    unit = max(chosen, key=lambda one: placing.nearness(where, one)) if len(chosen) > 1 else chosen[0]
    attached.notes_at.setdefault(id(unit), []).append(entry)


def _group_start(unit: Unit) -> Unit:
    """What is done to a part of a group that has no step of its own is done before the group goes on."""
    return unit.holds if unit.holds is not None else unit


def settle_ties(attached: Attached, order: Sequence[Unit]) -> None:
    """Marks are lined up at the last of the steps that they concern."""
    for entry, units in attached.ties:
        last = max((unit for unit in units if unit in order), key=order.index, default=None)
        if last is not None:
            attached.notes_at.setdefault(id(last), []).append(entry)


def _unit_of(found: RenewalFound, attached: Attached, units: Sequence[Unit], told: Told) -> Unit | None:
    where = found.place.utterance
    said = _said(attached.understanding, found.place)
    if found.kind == "consumable":
        return _unit_of_material(found, attached, units, told)
    touched = [unit for unit in told.touched.get(where, []) if part_name(found.item).head in unit.heads]
    if touched:
        return touched[0]
    others = [one.item for one in attached.understanding.renewals if one is not found and one.place.utterance == where]
    return placing.unit_of_renewal(found.item, found.position, where, said, units, found.quantity, others)


def _unit_of_material(found: RenewalFound, attached: Attached, units: Sequence[Unit], told: Told) -> Unit | None:
    """A material goes where it is used: the treatment or the filling of the same breath, else what was drained."""
    where = found.place.utterance
    noted = [
        unit
        for unit in units
        for entry in attached.notes_of(unit)
        if entry.place.utterance == where and entry.kind == "treat"
    ]
    if noted:
        return noted[0]
    touched = told.touched.get(where, [])
    if touched:
        acts = [(act.place.start, unit) for unit in touched for act in unit.told if act.place.utterance == where]
        before = [entry for entry in acts if entry[0] <= found.place.start] or acts
        return max(before, key=lambda entry: entry[0])[1] if before else touched[0]
    name = part_name(found.item)
    drained = [unit for unit in units if unit.effect == "drained"]
    own = [unit for unit in drained if name.head in unit.heads]
    if own:
        return max(own, key=lambda unit: placing.nearness(where, unit))
    fills = [unit for unit in units if unit.lead is None and unit.verb.split()[0] in ("fill", "top", "pour", "refill")]
    if fills:
        return fills[-1]
    said = content(_said(attached.understanding, found.place)) - content(found.item)
    scored = [
        (placing.mentioned(unit, said) + placing.nearness(where, unit), unit)
        for unit in units
        if unit.effect in placing.ON_PARTS
    ]
    scored = [entry for entry in scored if entry[0] >= 0.15]
    return max(scored, key=lambda entry: entry[0])[1] if scored else None


def _place_torques(attached: Attached, units: Sequence[Unit], told: Told) -> None:
    torques = attached.understanding.torques
    rules = [index for index, found in enumerate(torques) if found.scope != "step"]
    for index, found in enumerate(torques):
        if index not in rules:
            attached.torque_at[index] = _units_of_joint(found, units, told)
    taken = {id(unit) for placed in attached.torque_at.values() for unit in placed}
    for index in rules:
        found = torques[index]
        joints = [
            unit
            for unit in units
            if unit.fastener and unit.lead is not None and unit.effect in ("off", "loose", "destroyed")
        ]
        joints = [unit for unit in joints if id(unit) not in taken and _under_rule(found, unit)]
        attached.torque_at[index] = joints


def _under_rule(found: TorqueFound, unit: Unit) -> bool:
    """A rule for one size binds the joints whose name has that size; one "from here on" those told after it."""
    size = (found.size or "").lower() or next(iter(re.findall(r"\bm\d+(?:\.\d)?\b", found.joint.lower())), "")
    if size and not any(size in part.text.lower().split() for part in unit.parts):
        return False
    return found.scope == "all" or unit.utterance > found.place.utterance


def _is_joint(unit: Unit) -> bool:
    """Steps that only exist on refit are joints if they fit, connect, close or tighten something."""
    return unit.lead is not None or any(
        act.sense in ("fit", "tighten", "connect", "close", "secure") for act in unit.told
    )


def _units_of_joint(found: TorqueFound, units: Sequence[Unit], told: Told) -> list[Unit]:
    where = found.place.utterance
    name = part_name(found.joint)
    fitting = [unit for unit in units if unit.effect in placing.ON_PARTS - {"drained"} and _is_joint(unit)]
    scored = []
    for unit in fitting:
        score = placing.name_score(name, unit)
        if score < placing.BELONGS:
            continue
        recent = any(where - 4 <= act.place.utterance <= where for act in unit.told)
        recent = recent or any(unit in told.touched.get(at, []) for at in range(where - 3, where + 1))
        scored.append((score, 0.3 * recent + placing.nearness(where, unit), unit))
    if not scored:
        return []
    if not name.qualifiers and not name.place:
        return [max(scored, key=lambda entry: entry[0] + 2 * entry[1])[2]]
    top = max(score for score, _, _ in scored)
    best = [entry for entry in scored if entry[0] >= top - 0.01]
    if len({entry[2].conditions for entry in best}) == len(best):
        return [entry[2] for entry in best]
    return [max(best, key=lambda entry: entry[1])[2]]


def _place_measures(attached: Attached, told: Told) -> None:
    """Measures of the refit that no act carries go to the act before them in the same breath."""
    carried = {id(one) for act in attached.understanding.actions for one in act.measures}
    spoken = {(one.place.utterance, one.place.start) for act in attached.understanding.actions for one in act.measures}
    for one in attached.understanding.measures:
        where = one.place.utterance
        if id(one) in carried or (where, one.place.start) in spoken or where not in told.touched:
            continue
        acts = [
            (act.place.start, unit) for unit in told.touched[where] for act in unit.told if act.place.utterance == where
        ]
        before = [entry for entry in acts if entry[0] <= one.place.start]
        if acts:
            unit = max(before, key=lambda entry: entry[0])[1] if before else min(acts, key=lambda entry: entry[0])[1]
            attached.measures_at.setdefault(id(unit), []).append(one)


# --------------------------------------------------------------------------- marks and work notes


def mark_notes(acts: Sequence[Act], attached: Attached, order: Sequence[Unit]) -> None:
    """What was marked or tagged is lined up, or matched, where it goes back; unless the talk says so itself."""
    for act in acts:
        if act.action.sense not in ("mark",) or not act.step.objects:
            continue
        tagged = act.action.verb in ("tag", "label", "number")
        words = frozenset().union(*(content(part.text) | content(part.position) for part in act.step.objects))
        units = [
            unit for unit in order if unit.effect in ("off", "parted", "moved", "loose") and _concerned(unit, words)
        ]
        if not units or any(_spoken_of(entry) for unit in order for entry in attached.notes_of(unit)):
            continue
        unit = [one for one in units if one.effect in ("off", "parted", "moved")][-1:] or units[-1:]
        names = wording.join_all([wording.noun_phrase(wording.Thing(part.text)) for part in unit[0].parts])
        many = any(is_plural(part.text) for part in unit[0].parts)
        text = (
            f"Match the tags so that {names} {'are' if many else 'is'} not swapped around."
            if tagged
            else f"Line up the marks made in step {act.step.number}."
        )
        attached.notes_at.setdefault(id(unit[0]), []).append(NoteEntry("align", text, NOWHERE, act.step.id))


def _concerned(unit: Unit, words: frozenset[str]) -> bool:
    moved = frozenset().union(*(content(part.direction) for part in unit.parts))
    return bool((unit.heads | moved) & words)


def _spoken_of(entry: NoteEntry) -> bool:
    return (
        entry.place.utterance >= 0
        and entry.kind == "align"
        and bool(content(entry.text) & {singular(word) for word in _MARKED})
    )


def notes_of_work(understanding: Understanding, acts: Sequence[Act]) -> list[tuple[str, NoteEntry]]:
    """Notes of the work with the step that each concerns: in its utterance, else the nearest before, else after."""
    placed = []
    for found in understanding.notes:
        if found.phase != "work" or not acts:
            continue
        where = found.place.utterance
        here = [act for act in acts if act.utterance == where]
        before = [act for act in acts if act.utterance < where]
        near = (
            here
            or (
                before[-1:]
                if before and where - before[-1].utterance <= 2
                else [act for act in acts if act.utterance > where][:1]
            )
            or before[-1:]
        )
        if found.about:
            head = part_name(found.about).head
            near = [act for act in near if any(part_name(part.text).head == head for part in act.step.objects)] or near
        placed.append((near[-1].step.id, NoteEntry(found.kind, found.text, found.place)))
    return placed


# --------------------------------------------------------------------------- tightening entries


def torque_entry(
    found: TorqueFound,
    identity: str,
    *,
    steps: tuple[str, ...],
    refit: tuple[str, ...],
    applies_when: tuple[str, ...],
    segment: str,
    reference: str | None,
    evidence: Because,
    check: TorqueCheck,
) -> Torque:
    """The draft's entry for a tightening requirement; the last stage with a value counts, angles add up."""
    stages = tuple(_stage(one) for one in found.stages)
    values = [stage.value_nm if stage.value_nm is not None else stage.high_nm for stage in stages]
    values = [value for value in values if value is not None]
    angles = [stage.angle_deg for stage in stages if stage.angle_deg is not None]
    return Torque(
        id=identity,
        joint=found.joint,
        fastener=Fastener(size=found.size, grade=found.grade),
        stages=stages,
        value_nm=values[-1] if values else None,
        angle_deg=sum(angles) if angles else None,
        spoken=found.spoken,
        order=found.order,
        reference=reference,
        scope=found.scope,
        steps=steps,
        refit=refit,
        applies_when=applies_when,
        segments=(segment,),
        check=check,
        because=(evidence,),
    )


def _stage(found: StageFound) -> Stage:
    return Stage(value_nm=found.value_nm, low_nm=found.low_nm, high_nm=found.high_nm, angle_deg=found.angle_deg)
