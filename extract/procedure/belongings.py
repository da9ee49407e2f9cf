"""What belongs at each refit step: new parts, materials, tightening values, notes and measures of the whole talk."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence

from extract.ids import IdMaker
from extract.procedure import placing, wording
from extract.procedure.attached import Attached, NoteEntry
from extract.procedure.names import PartName, content, is_plural, part_name
from extract.procedure.new_parts import Work, needs_a_step, own_step
from extract.procedure.tightening import place_torques
from extract.procedure.told import Told
from extract.procedure.treatments import covered, wetted_seals
from extract.procedure.units import Unit
from extract.speech import NoteFound, Place, RenewalFound, Understanding
from extract.wordforms import plural_by_rule, word_set


def attach(
    understanding: Understanding,
    units: Sequence[Unit],
    told: Told,
    treated: Sequence[tuple[NoteEntry, Unit]],
    ids: IdMaker,
    governed: Callable[[Place], tuple[str, ...]],
) -> Attached:
    """Find the unit of every renewal, tightening value, note and measure of the refit.

    `governed` gives the ids of the conditions that hold at a place of the talk.
    """
    attached = Attached(understanding, governed)
    for place, unit, text in told.times:
        attached.notes_at.setdefault(id(unit), []).append(NoteEntry("order", text, place))
    for entry, unit in treated:
        attached.notes_at.setdefault(id(unit), []).append(entry)
    told.extra.extend(wetted_seals(understanding, units, told, ids))
    for place, unit, kind, text in told.remarks:
        if not covered(place, understanding):
            attached.notes_at.setdefault(id(unit), []).append(NoteEntry(kind, text, place))
    everything = [*units, *told.extra]
    # Notes may be about a new part or a joint, and materials go where a note uses them: parts, joints, notes, materials.
    work = Work.of(understanding.actions)
    of_kind = {kind: [] for kind in (False, True)}
    for index, found in enumerate(understanding.renewals):
        of_kind[found.kind == "consumable"].append((index, found))
    for index, found in of_kind[False]:
        unit = _renewed_at(found, attached, everything, told)
        if needs_a_step(found, unit, work, told):
            unit = own_step(found, unit, understanding, units, told, ids, governed(found.place))
            everything = [*units, *told.extra]
            _take_over_treatment(unit, attached)
        if unit is None:
            continue
        attached.renewal_at[index] = unit
        if found.replaced_by:
            substitutes = dict.fromkeys(_placed_name(found.replaced_by, own) for own in unit.names)
            unit.substitutes += [name for name in substitutes if name not in unit.substitutes]
        if found.only_if:
            attached.notes_at.setdefault(id(unit), []).append(NoteEntry("check", _choice(found, unit), found.place))
    place_torques(attached, everything, told)
    _place_notes(attached, everything, told)
    for index, found in of_kind[True]:
        unit = _renewed_at(found, attached, everything, told)
        if unit is not None:
            attached.renewal_at[index] = unit
    _place_measures(attached, told)
    return attached


def _renewed_at(found: RenewalFound, attached: Attached, units: Sequence[Unit], told: Told) -> Unit | None:
    variant = attached.of_variant(found.place, units)
    unit = _unit_of(found, attached, variant, told) if variant else None
    return unit or _unit_of(found, attached, units, told)


def _take_over_treatment(unit: Unit, attached: Attached) -> None:
    """ "Oil the rings" stands at the step of the rings once they have one."""
    for entries in attached.notes_at.values():
        for entry in [one for one in entries if one.kind == "treat" and unit.heads & content(one.text)]:
            entries.remove(entry)
            attached.notes_at.setdefault(id(unit), []).append(entry)
            return


#: Materials that are put on a part, and never poured into the machine.
_SMEARED = word_set(
    "grease paste lock threadlock threadlocker locker compound sealant sealer silicone glue adhesive tape soap jelly vaseline"
)
#: Utterances within which a washer belongs to the fastener that came out.
_JUST_SAID = 3
_FINITE = re.compile(r"\b(?:is|are|has|have|was|were|shows?|goes|does|can)\b", re.IGNORECASE)
_THEY_ARE = re.compile(r"\b(they|these|those)['’]re\b", re.IGNORECASE)
_SHORT_IS = re.compile(r"(\w)['’]s\b")


def _choice(found: RenewalFound, unit: Unit) -> str:
    """An inspection with a choice: what is renewed only if it has to be."""
    own = next((part for part in unit.parts if part_name(part.text).head == part_name(found.item).head), None)
    thing = wording.Thing(own.text, own.quantity, own.position) if own else wording.Thing(found.item, found.quantity)
    several = plural_by_rule(part_name(found.item).head) in (found.only_if or "").lower().split()
    if several and not is_plural(thing.text):
        thing = wording.Thing(plural_by_rule(thing.text), None, thing.position)
    many = several or (thing.quantity or 1) > 1 or is_plural(thing.text)
    finding = _THEY_ARE.sub(r"\1 are", wording.plain_words(found.only_if or ""))
    finding = re.sub(r"\bit['’]s\b", "it is", finding)
    if not _FINITE.search(finding):
        finding = _SHORT_IS.sub(r"\1 is", finding)
    finding = finding if re.match(r"(?:if|when|where|unless)\b", finding) else f"if {finding}"
    return f"Inspect {wording.noun_phrase(thing)}; {finding}, fit {'new ones' if many else 'a new one'}."


def _placed_name(text: str, own: PartName) -> PartName:
    name = part_name(text)
    return PartName(name.head, name.qualifiers, own.place)


def _said(understanding: Understanding, place: Place) -> str:
    return understanding.utterances[place.utterance].analysed


def _place_notes(attached: Attached, units: Sequence[Unit], told: Told) -> None:
    index = placing.UnitIndex(units)
    last_off = max((unit.utterance for unit in units if unit.lead is not None), default=-1)
    for found in attached.understanding.notes:
        if found.phase == "refit" and found.kind != "reason":
            _place_note(found, attached, units, index, last_off, told)


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


def _of_joint(found: NoteFound, attached: Attached, known: Sequence[Unit]) -> list[Unit]:
    """The joint whose value the same words tell, for a note about how it is tightened."""
    about = part_name(found.about).head if found.about else ""
    for index, units in attached.torque_at.items():
        torque = attached.understanding.torques[index]
        if torque.place.utterance == found.place.utterance and torque.scope == "step" and units:
            elsewhere = any(about in unit.heads for unit in known)
            return list(units[:1]) if not elsewhere or about == part_name(torque.joint).head else []
    return []


def _of_act(found: NoteFound, touched: Sequence[Unit]) -> list[Unit]:
    """The step whose act told the note ("fill it up to the level mark")."""
    return [
        unit
        for unit in touched
        for act in unit.told
        if (found.kind != "treat" or unit.lead is None)
        and act.place.utterance == found.place.utterance
        and found.place.start <= act.place.start < found.place.end
    ][:1]


def _place_note(
    found: NoteFound, attached: Attached, units: Sequence[Unit], index: placing.UnitIndex, last_off: int, told: Told
) -> None:
    where = found.place.utterance
    touched = told.touched.get(where, [])
    entry = NoteEntry(found.kind, found.text, found.place)
    chosen: list[Unit] = _of_act(found, touched) or _of_new_part(found, attached) or _of_joint(found, attached, units)
    if found.about and not chosen:
        name = part_name(found.about)
        variant = attached.of_variant(found.place, units)
        chosen = [unit for unit in variant if placing.name_score(name, unit) >= placing.BELONGS][:1]
    if found.about and not chosen:
        scored = [
            (placing.name_score(name, unit) + (0.3 if unit in touched and found.kind != "align" else 0.0), unit)
            for unit in index.find(named=name.all)
            if unit.effect in placing.ON_PARTS or unit in touched
        ]
        top = max((score for score, _ in scored), default=0.0)
        if top >= 0.6:
            chosen = [unit for score, unit in scored if score >= top - 0.01]
            chosen = _tensioner(found, units) or [unit for unit in chosen if unit.lead is not None] or chosen
            if len(chosen) > 1 and found.kind != "align" and _EVERY.search(found.text):
                for unit in chosen:  # "all the seals", "both springs"
                    attached.notes_at.setdefault(id(unit), []).append(entry)
                return
        elif (
            top >= 0.4
            and not touched
            and any(name.head in own.qualifiers for score, unit in scored for own in unit.names if score >= top - 0.01)
        ):
            for unit in (one for score, one in scored if score >= top - 0.01):
                attached.notes_at.setdefault(id(unit), []).append(entry)  # "the unions": each of their nuts
            return
        elif top >= 0.4:
            chosen = [_group_start(unit) for score, unit in scored if score >= top - 0.01][:1]
    if not chosen and touched:
        chosen = touched[-1:]
    if not chosen:
        said = content(_said(attached.understanding, found.place))
        best = placing.best_mentioned(said, where, index)
        chosen = [best] if best is not None else []
    if not chosen:
        before = next((at for at in range(where - 1, last_off, -1) if told.touched.get(at)), None)
        if before is not None:
            chosen = told.touched[before][-1:]  # The talk goes through the refit: what it told last is meant.
    if not chosen:
        near = [
            unit
            for unit in units
            if unit.lead is not None and unit.utterance <= where and unit.effect in placing.ON_PARTS
        ]
        chosen = [max(near, key=lambda unit: unit.lead or 0)] if near else []
    if not chosen:
        return
    if found.kind == "align":
        chosen = [unit for unit in chosen if unit.lead is not None] or chosen
    if len(chosen) > 1 and found.kind == "align":
        attached.ties.append((entry, chosen))
        return
    unit = max(chosen, key=lambda one: placing.nearness(where, one)) if len(chosen) > 1 else chosen[0]
    attached.notes_at.setdefault(id(unit), []).append(entry)


_EVERY = re.compile(r"\b(?:all|both|each|every)\b", re.IGNORECASE)
_RUNS_ROUND = frozenset({"belt", "chain", "band", "rope", "cord", "cable", "strap"})
_SLACK = re.compile(r"\b(?:slack|give|tension|deflects?|sags?|taut)\b", re.IGNORECASE)
_TENSIONING = frozenset({"tensioner", "tension", "tensioning", "adjuster", "jockey", "idler", "turnbuckle"})


def _tensioner(found: NoteFound, units: Sequence[Unit]) -> list[Unit]:
    """The slack of a belt or chain is set where its tensioner is tightened (common practice, no source)."""
    if not found.about or part_name(found.about).head not in _RUNS_ROUND or not _SLACK.search(found.text):
        return []
    return [
        unit
        for unit in units
        if unit.effect in ("loose", "moved", "parted") and any(name.all & _TENSIONING for name in unit.names)
    ][:1]


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
    name = part_name(found.item, found.position)
    touched = [unit for unit in told.touched.get(where, []) if name.head in unit.heads]
    touched = [unit for unit in touched if placing.name_score(name, unit) >= placing.BELONGS]
    if touched:
        return max(touched, key=lambda unit: placing.name_score(name, unit))
    others = [one.item for one in attached.understanding.renewals if one is not found and one.place.utterance == where]
    unit = placing.unit_of_renewal(found.item, found.position, where, said, units, found.quantity, others)
    if unit is None and name.head == "washer":
        screwed = [one for one in units if one.fastener and 0 <= where - one.utterance <= _JUST_SAID]
        unit = max(screwed, key=lambda one: one.lead or 0, default=None)
    return unit


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
    if fills and _is_filled_in(found, fills[-1], attached.understanding):
        return fills[-1]
    said = content(_said(attached.understanding, found.place)) - content(found.item)
    scored = [
        (placing.mentioned(unit, said) + placing.nearness(where, unit), unit)
        for unit in units
        if unit.effect in placing.ON_PARTS
    ]
    scored = [entry for entry in scored if entry[0] >= 0.15]
    return max(scored, key=lambda entry: entry[0])[1] if scored else None


def _is_filled_in(found: RenewalFound, fill: Unit, understanding: Understanding) -> bool:
    """A fluid that is told apart from the filling, unless the filling names its own; paste and thread lock never are."""
    if part_name(found.item).head in _SMEARED:
        return False
    own = [one for one in understanding.renewals if one.kind == "consumable" and one.place.utterance == fill.utterance]
    return found.place.utterance == fill.utterance or not own


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
