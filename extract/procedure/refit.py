"""The refit written out: every unit in its place, with the parts to renew, the tightening values and the notes."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from extract.ids import IdMaker
from extract.lexicon import Lexicon
from extract.model import (
    Because,
    Measure,
    Note,
    NotUndone,
    Part,
    RefitStep,
    Renewal,
    Torque,
    TorqueCheck,
)
from extract.procedure import belongings, doubts, refit_text, wording
from extract.procedure.attached import Attached, NoteEntry
from extract.procedure.conditions import Scopes
from extract.procedure.counts import CountConflict, find_conflicts
from extract.procedure.lists import counted
from extract.procedure.marks import mark_notes, notes_of_work
from extract.procedure.names import content, item_key
from extract.procedure.order import arrange
from extract.procedure.placing import unit_of_renewal
from extract.procedure.steps import Act, because, measure
from extract.procedure.telling import read_refit
from extract.procedure.tightening import inherited_reference, torque_entry, torque_steps
from extract.procedure.told import Told
from extract.procedure.treatments import extra_treatments
from extract.procedure.units import Unit, removal_units
from extract.speech import Action, TorqueFound, Understanding
from extract.wordforms import regular_inflections

CheckTorque = Callable[[TorqueFound], TorqueCheck]


@dataclass(frozen=True, slots=True)
class Refit:
    """The second half of the draft.

    `open_steps` are refit steps whose way back is unknown, with the removal steps; `strangers` refit steps of what
    never came off, with their utterance; `work_notes` the notes of the removal by step.
    """

    steps: tuple[RefitStep, ...]
    not_undone: tuple[NotUndone, ...]
    renewals: tuple[Renewal, ...]
    torques: tuple[Torque, ...]
    work_notes: dict[str, tuple[Note, ...]]
    open_steps: tuple[tuple[str, tuple[str, ...]], ...] = ()
    strangers: tuple[tuple[str, int], ...] = ()
    conflicts: tuple[CountConflict, ...] = ()


def write_refit(
    understanding: Understanding,
    acts: Sequence[Act],
    scopes: Scopes,
    lexicon: Lexicon,
    ids: IdMaker,
    check_torque: CheckTorque,
) -> Refit:
    """Derive the refit from the removal, work the talk's own refit in, and hang on what belongs at each step."""
    said = [utterance.analysed for utterance in understanding.utterances]
    unclear = frozenset(found.place.utterance for found in understanding.roles if found.role == "unclear")
    removal = removal_units(acts, lexicon, said)

    def conditions_of(act: Action) -> tuple[str, ...]:
        return scopes.ids_at(act.place)

    told = read_refit(understanding, removal.units, ids, conditions_of, unclear, lambda verb: participle(verb, lexicon))
    removal.units.extend(told.split)
    _supplied(removal.units, told)
    removal.not_undone.extend(_caught(removal.units, acts, understanding))
    treated = extra_treatments(understanding, told, removal.units, ids, conditions_of)
    attached = belongings.attach(understanding, removal.units, told, treated, ids, scopes.ids_at)
    for unit in removal.units:
        _renewed_as_a_whole(unit, attached)
    order = arrange(removal.units, told, acts, _mates(understanding, removal.units))
    belongings.settle_ties(attached, order)
    mark_notes(acts, attached, order)
    writer = _Writer(understanding, acts, scopes, ids, attached, told, order)
    return writer.write(removal.not_undone, check_torque)


def _renewed_as_a_whole(unit: Unit, attached: Attached) -> None:
    """Nuts that were only loosened, clamps that were opened and tabs that were bent are fitted if new ones go on."""
    renewed = any(found.kind in ("renew", "substitute") and not found.only_if for found in attached.own(unit))
    if renewed and (unit.effect in ("loose", "parted") or unit.verb == "bend over"):
        unit.verb = "fit"


def participle(verb: str, lexicon: Lexicon) -> str:
    """The past participle of a plain verb with its particle ("clip on" → "clipped on")."""
    base, _, particle = verb.partition(" ")
    sense = lexicon.verb_sense(base, particle or None) or lexicon.verb_sense(base, None)
    form = sense.participle.split("|")[0] if sense else regular_inflections(base)[1]
    return f"{form} {particle}".strip()


def _caught(units: list[Unit], acts: Sequence[Act], understanding: Understanding) -> list[NotUndone]:
    """What only ran out and was caught is filled in again where the talk says so, and not else."""
    fresh = {found.head for found in understanding.renewals if found.kind == "consumable"}
    settled = []
    for unit in list(units):
        caught = unit.effect == "drained" and all(acts[number].action.sense == "collect" for number in unit.acts)
        if caught and not unit.told and not unit.heads & fresh:
            units.remove(unit)
            reason = "What ran out was only caught; the talk fills nothing in again."
            settled += [NotUndone(step=acts[number].step.id, reason=reason) for number in unit.acts]
    return settled


#: What comes back by itself once its supply is opened.
_SUPPLIED = frozenset({"water", "air", "gas", "steam", "liquid", "product", "medium"})


def _supplied(units: list[Unit], told: Told) -> None:
    """Water that a supply brings back by itself is not filled in: its outlet is shut and the supply opened."""
    supply = [
        unit
        for unit in units
        if unit.effect == "isolated"
        and unit.heads
        & {"cock", "seacock", "supply", "stopcock", "main", "valve", "water", "gas", "air", "tap", "faucet"}
    ]
    for unit in [one for one in units if one.effect == "drained" and one.heads & _SUPPLIED and not one.told]:
        outlet = [
            one
            for one in told.extra
            if one.told and one.told[0].sense == "close" and content(one.parts[0].text) <= unit.words
        ]
        for keeper in (outlet or supply)[:1] if supply else []:
            keeper.acts += unit.acts
            units.remove(unit)


def _mates(understanding: Understanding, units: Sequence[Unit]) -> dict[int, Unit]:
    """The part under which each seal lies that came away later than its part."""
    mates: dict[int, Unit] = {}
    parts = [unit for unit in units if not unit.seal and not unit.fastener and unit.effect in ("off", "parted")]
    for seal in (unit for unit in units if unit.seal and unit.effect in ("off", "destroyed")):
        head = min(seal.heads, default="")
        for found in understanding.renewals:
            if found.head != head or found.place.utterance > seal.utterance:
                continue
            said = understanding.utterances[found.place.utterance].analysed
            mate = unit_of_renewal(found.item, found.position, found.place.utterance, said, parts, None)
            if mate is not None and (mate.lead or 0) < (seal.lead or 0):
                mates[id(seal)] = mate
                break
    return mates


class _Writer:
    def __init__(
        self,
        understanding: Understanding,
        acts: Sequence[Act],
        scopes: Scopes,
        ids: IdMaker,
        attached: Attached,
        told: Told,
        order: Sequence[Unit],
    ) -> None:
        self.understanding = understanding
        self.acts = acts
        self.acts_at: defaultdict[int, list[Act]] = defaultdict(list)
        for act in acts:
            self.acts_at[act.utterance].append(act)
        self.scopes = scopes
        self.conditions = {one.id: one for one in scopes.conditions}
        self.ids = ids
        self.attached = attached
        self.told = told
        self.order = order
        self.refit_id = {id(unit): self._id(unit) for unit in order}
        self.taken_off = {part.id for act in acts for part in act.step.objects}

    def _id(self, unit: Unit) -> str:
        source = self.acts[unit.lead].step.id if unit.lead is not None else self._text(unit.utterance)
        return self.ids.make("refit", source, unit.verb, *(part.text for part in unit.parts))

    def _text(self, utterance: int) -> str:
        return self.understanding.utterances[utterance].text

    def write(self, not_undone: Sequence[NotUndone], check_torque: CheckTorque) -> Refit:
        renewals = tuple(self._renewal(index) for index in range(len(self.understanding.renewals)))
        renewals = _same(renewals)
        torques = tuple(self._torque(index, check_torque) for index in range(len(self.understanding.torques)))
        steps = tuple(self._step(number, unit, renewals, torques) for number, unit in enumerate(self.order, start=1))
        open_steps = tuple(
            (self.refit_id[id(unit)], tuple(self.acts[number].step.id for number in unit.acts))
            for unit in self.order
            if self._is_open(unit)
        )
        strangers = tuple((self.refit_id[id(unit)], act.place.utterance) for act, unit in self.told.strangers)
        return Refit(
            steps=steps,
            not_undone=tuple(not_undone),
            renewals=renewals,
            torques=torques,
            work_notes=self._work_notes(),
            open_steps=open_steps,
            strangers=strangers,
            conflicts=tuple(find_conflicts(self.understanding, self.order)),
        )

    def _is_open(self, unit: Unit) -> bool:
        """True where no way back is known, or what came off cannot be used again and nothing new is named for it."""
        if not unit.verb:
            return True
        renewed = any(found.kind in ("renew", "substitute") for found in self.attached.own(unit))
        return unit.broken and not renewed and not unit.told

    # ------------------------------------------------------------------ entries

    def _step(self, number: int, unit: Unit, renewals: Sequence[Renewal], torques: Sequence[Torque]) -> RefitStep:
        mine = [one for one in renewals if one.refit == self.refit_id[id(unit)]]
        tight = [one for one in torques if self.refit_id[id(unit)] in one.refit]
        parts = refit_text.parts_of(unit, mine)
        applies = unit.conditions
        measures = self._measures(unit)
        conditions = [self.conditions[one] for one in applies]
        text = refit_text.text_of(unit, parts, mine, tight, measures, conditions, self._is_open(unit))
        entries = refit_text.telling(self.attached.notes_of(unit), text)
        if all(one.kind == "consumable" for one in mine) and not tight and not measures:
            text, entries = refit_text.said_once(unit, text, entries, conditions)
        if unit.lead is None and mine and all(one.only_if for one in mine):
            text, entries = refit_text.chosen(text, entries)
        notes = tuple(self._note(entry, applies) for entry in entries)
        segments = tuple(
            dict.fromkeys(
                self.understanding.utterances[at].id
                for at in [*(act.place.utterance for act in unit.told), *self._sources(unit)]
            )
        )
        return RefitStep(
            id=self.refit_id[id(unit)],
            number=number,
            origin="spoken" if unit.told or unit.lead is None else "derived",
            undoes=tuple(self.acts[act].step.id for act in unit.acts),
            action=refit_text.action_of(unit),
            objects=tuple(self._object(part, unit) for part in parts),
            measures=measures,
            text=text,
            renewals=tuple(one.id for one in mine),
            torques=tuple(one.id for one in tight),
            notes=notes,
            applies_when=applies,
            segments=segments,
            because=self._because(unit),
        )

    def _sources(self, unit: Unit) -> list[int]:
        return [self.attached.place(entry).utterance for entry in self.attached.notes_of(unit)]

    def _object(self, part: Part, unit: Unit) -> Part:
        """The object of a refit step: the same part as at the removal, unless something else stands in its place."""
        if part.id.startswith("rpart"):
            return part
        other = unit.equipment or (unit.effect != "drained" and part.text not in {own.text for own in unit.parts})
        same = None if other else part.same_as or part.id
        same = same if same in self.taken_off else None  # what the talk only puts back was no object before
        return part.model_copy(update={"id": self.ids.make("rpart", part.id), "same_as": same, "direction": None})

    def _because(self, unit: Unit) -> tuple[Because, ...]:
        utterances = self.understanding.utterances
        found = [because(act.place, utterances) for act in unit.told]
        found += [
            Because(segment=None, span=None, rule=unit.rule, step=self.acts[number].step.id) for number in unit.acts
        ]
        if not found:
            found = [Because(segment=utterances[unit.utterance].id, span=None, rule=unit.rule)]
        return tuple(found)

    def _measures(self, unit: Unit) -> tuple[Measure, ...]:
        found = [measure(one) for act in unit.told for one in act.measures]
        found += [measure(one) for one in self.attached.measures_of(unit)]
        return tuple(dict.fromkeys(found))

    def _note(self, entry: NoteEntry, inherited: Sequence[str]) -> Note:
        place = self.attached.place(entry)
        if place.utterance < 0:
            return Note(
                id=self.ids.make("note", entry.text, entry.step or ""),
                kind=entry.kind,
                text=entry.text,
                applies_when=tuple(inherited),
                because=(Because(segment=None, span=None, rule=place.rule, step=entry.step),),
            )
        governed = self.scopes.ids_at(place)
        return Note(
            id=self.ids.make("note", entry.text, self._text(place.utterance)),
            kind=entry.kind,
            text=refit_text.note_text(entry.text),
            segments=(self.understanding.utterances[place.utterance].id,),
            applies_when=tuple(dict.fromkeys([*governed, *inherited])),
            because=(because(place, self.understanding.utterances),),
        )

    def _work_notes(self) -> dict[str, tuple[Note, ...]]:
        """Notes of the work, by step."""
        found: dict[str, list[Note]] = {}
        for step, entry in notes_of_work(self.understanding, self.acts):
            found.setdefault(step, []).append(self._note(entry, ()))
        return {step: tuple(notes) for step, notes in found.items()}

    def _renewal(self, index: int) -> Renewal:
        found = self.understanding.renewals[index]
        unit = self.attached.renewal_at.get(index)
        governed = self.scopes.ids_at(found.place)
        if unit is not None:
            governed = tuple(dict.fromkeys([*governed, *unit.conditions]))
        in_order = unit is not None and id(unit) in self.refit_id
        off = [(part.text, part.quantity) for part in unit.parts] if unit is not None and unit.lead is not None else []
        entry = Renewal(
            id=self.ids.make("renew", found.item, self._text(found.place.utterance)),
            item=wording.plain_words(wording.inside(found.item)),
            component=found.component,
            position=wording.listed_place(found.position),
            quantity=found.quantity,
            count_from=found.count_from if found.quantity is not None else "unknown",
            quantity_text=found.quantity_text,
            kind=found.kind,
            replaced_by=found.replaced_by,
            amount_value=found.amount_value,
            amount_unit=found.amount_unit,
            amount_text=found.amount_text,
            only_if=wording.plain_words(found.only_if) if found.only_if else None,
            step=self.acts[unit.lead].step.id if unit is not None and unit.lead is not None else None,
            refit=self.refit_id[id(unit)] if unit is not None and in_order else None,
            applies_when=governed,
            segments=(self.understanding.utterances[found.place.utterance].id,),
            because=(because(found.place, self.understanding.utterances),),
        )
        return counted(entry, off)

    def _torque(self, index: int, check_torque: CheckTorque) -> Torque:
        found = self.understanding.torques[index]
        if doubts.is_choice(found, self.understanding.utterances[found.place.utterance].analysed):
            found = replace(found, stages=found.stages[:1])  # the other one is asked about
        units = [unit for unit in self.attached.torque_at.get(index, []) if id(unit) in self.refit_id]
        work = torque_steps(self.understanding, index, self.acts_at)
        governed = self.scopes.ids_at(found.place)
        shared = [unit.conditions for unit in units]
        if len(shared) == 1:
            governed = tuple(dict.fromkeys([*governed, *shared[0]]))
        return torque_entry(
            found,
            self.ids.make("torque", found.joint, self._text(found.place.utterance)),
            steps=work or tuple(self.acts[unit.lead].step.id for unit in units if unit.lead is not None),
            refit=tuple(self.refit_id[id(unit)] for unit in sorted(units, key=self.order.index)),
            applies_when=governed,
            segment=self.understanding.utterances[found.place.utterance].id,
            reference=inherited_reference(self.understanding, index),
            evidence=because(found.place, self.understanding.utterances),
            check=check_torque(found),
        )


def _same(renewals: Sequence[Renewal]) -> tuple[Renewal, ...]:
    """Mark the second mention of the same new part, so that lists can merge."""
    first: dict[tuple[str, str, str | None], Renewal] = {}
    done = []
    for one in renewals:
        key = (one.kind, item_key(one.item), one.refit)
        known = first.get(key)
        if known is None:
            first[key] = one
            done.append(one)
        else:
            done.append(one.model_copy(update={"same_as": known.id}))
    return tuple(done)
