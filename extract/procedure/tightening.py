"""Tightening values: the joint of the refit that each belongs to, general rules, and the draft's entries."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence

from extract.model import Because, Fastener, Stage, Torque, TorqueCheck
from extract.procedure import placing, wording
from extract.procedure.attached import Attached
from extract.procedure.inverse import FASTENER_HEADS
from extract.procedure.names import PartName, is_plural, part_name, rivals, words
from extract.procedure.steps import Act
from extract.procedure.told import Told
from extract.procedure.units import Unit
from extract.speech import StageFound, TorqueFound, Understanding
from extract.wordforms import word_set

#: Fasteners that hold without being tightened; no general rule about values means them.
_UNTIGHTENED = word_set("pin cotter rivet")
_JOINTS = FASTENER_HEADS | {"plug", "union", "gland"}
#: Words before a fastener that name neither its part nor its place.
_PLAIN = word_set("small big large short long old new hex allen cap m5 m6 m8 m10 m12 m14 m16")
_OF = re.compile(r"\s+(?:of|on|at|in|round|around|along|for|from)\s+", re.IGNORECASE)
_SAME = re.compile(r"\b(?:same|that|this)\b", re.IGNORECASE)


def place_torques(attached: Attached, units: Sequence[Unit], told: Told) -> None:
    torques = attached.understanding.torques
    rules = [index for index, found in enumerate(torques) if found.scope != "step"]
    by_words = placing.UnitIndex(units)
    for index, found in enumerate(torques):
        if found.scope == "step":
            attached.torque_at[index] = _units_of_joint(attached, found, by_words, told)
    _one_value(attached)
    taken = {id(unit) for placed in attached.torque_at.values() for unit in placed}
    for index in rules:
        found = torques[index]
        joints = [
            unit
            for unit in units
            if unit.heads & (_JOINTS - _UNTIGHTENED)
            and unit.lead is not None
            and unit.effect in ("off", "loose", "destroyed")
        ]
        joints = [unit for unit in joints if id(unit) not in taken and _under_rule(found, unit)]
        attached.torque_at[index] = joints


def _one_value(attached: Attached) -> None:
    """A joint has one value: of two from different sentences it keeps the one that names it better."""
    torques = attached.understanding.torques
    at_unit: dict[int, list[int]] = {}
    for index, units in attached.torque_at.items():
        for unit in units:
            at_unit.setdefault(id(unit), []).append(index)
    for key, indices in at_unit.items():
        valued = [index for index in indices if torques[index].stages]
        held = {attached.governed(torques[index].place) for index in valued}
        if len({torques[index].place.utterance for index in valued}) < 2 or len(held) > 1:
            continue
        unit = next(one for one in attached.torque_at[valued[0]] if id(one) == key)
        best = max(valued, key=lambda index: (_named_by(torques[index], unit), -index))
        for index in valued:
            if index != best and _named_by(torques[index], unit) < _named_by(torques[best], unit):
                attached.torque_at[index] = [one for one in attached.torque_at[index] if one is not unit]


def _named_by(found: TorqueFound, unit: Unit) -> float:
    return placing.name_score(part_name(found.joint), unit) + _as_many(found.joint, unit)


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


def _units_of_joint(attached: Attached, found: TorqueFound, units: placing.UnitIndex, told: Told) -> list[Unit]:
    where = found.place.utterance
    name = part_name(found.joint)
    fitting = units.find(named=name.all)
    fitting = [unit for unit in fitting if unit.effect in placing.ON_PARTS - {"drained"} and _is_joint(unit)]
    scored = []
    for unit in fitting:
        score = placing.name_score(name, unit)
        if score < placing.BELONGS or not name.qualifiers and not _as_many(found.joint, unit):
            continue
        recent = any(where - 4 <= act.place.utterance <= where for act in unit.told)
        recent = recent or any(unit in told.touched.get(at, []) for at in range(where - 3, where + 1))
        scored.append((score, 0.3 * recent + placing.nearness(where, unit), unit))
    if not scored:
        return _only_fasteners(found, name, fitting, _counts(attached, found)) or _of_part(name, fitting)
    if not name.qualifiers and not name.place and not _each(found, attached):
        return [max(scored, key=lambda entry: entry[0] + 2 * entry[1])[2]]
    top = max(score for score, _, _ in scored)
    best = [entry for entry in scored if entry[0] >= top - 0.01]
    if (
        _each(found, attached)
        or is_plural(_OF.split(found.joint)[0])
        and not any(_as_many(found.joint, entry[2]) for entry in best)
    ):
        return [entry[2] for entry in best]  # "Both union nuts" that were undone one by one.
    if len({entry[2].conditions for entry in best}) == len(best):
        return [entry[2] for entry in best]
    return [max(best, key=lambda entry: entry[1])[2]]


def _counts(attached: Attached, found: TorqueFound) -> frozenset[int]:
    """The count, up to ten, that stands before the joint in the words of its value."""
    said = words(attached.understanding.utterances[found.place.utterance].analysed)
    joint = words(found.joint)[:1]
    before = {said[at - 1] for at in range(1, len(said)) if said[at : at + 1] == joint}
    return frozenset(count for count in range(2, 11) if {wording.number_word(count), str(count)} & before)


def _each(found: TorqueFound, attached: Attached) -> bool:
    """ "Each union nut" is every joint of that name."""
    said = attached.understanding.utterances[found.place.utterance].analysed
    return (
        re.search(rf"\b(?:each|every|both)\s+(?:of\s+the\s+)?{re.escape(found.joint)}", said, re.IGNORECASE) is not None
    )


def _as_many(joint: str, unit: Unit) -> bool:
    """Nuts are not one castle nut, and one bolt is not the pair of pinch bolts."""
    many = any(is_plural(part.text) or (part.quantity or 1) > 1 for part in unit.parts)
    return is_plural(_OF.split(joint)[0]) == many


def _only_fasteners(found: TorqueFound, name: PartName, units: Sequence[Unit], counts: frozenset[int]) -> list[Unit]:
    """ "The flange bolts" are the only bolts that came off under no name of their own."""
    bare = [
        unit
        for unit in units
        if name.head in unit.heads
        and unit.utterance < found.place.utterance
        and _as_many(found.joint, unit)
        and not any(rivals(name.all, own.all) for own in unit.names)
        and not any(own.qualifiers - _PLAIN for own in unit.names)
    ]
    if len(bare) > 1:
        bare = [unit for unit in bare if any(part.quantity and part.quantity in counts for part in unit.parts)]
    return bare if len(bare) == 1 else []


def _of_part(name: PartName, units: Sequence[Unit]) -> list[Unit]:
    """ "The trunnion bolts" hold the trunnion caps where no step names the bolts."""
    held = [
        unit
        for unit in units
        if unit.effect in ("off", "loose")
        and not unit.fastener
        and name.head in FASTENER_HEADS
        and any(name.qualifiers & (own.qualifiers | {own.head}) and not rivals(name.all, own.all) for own in unit.names)
    ]
    return held if len(held) == 1 else []


def torque_steps(understanding: Understanding, index: int, acts_at: Mapping[int, Sequence[Act]]) -> tuple[str, ...]:
    """Steps of the work that tighten the joint where its value is told; `acts_at` are the acts by utterance."""
    found = understanding.torques[index]
    near = (found.place.utterance, found.place.utterance - 1)
    for where in near:
        tight = [act for act in acts_at.get(where, ()) if act.action.sense in ("tighten", "fit", "connect")]
        named = [act for act in tight if any(_names(found, mention.text) for mention in act.action.objects)]
        if named:
            return tuple(act.step.id for act in named[-1:])
        if where == found.place.utterance and tight:
            return (tight[-1].step.id,)
    return ()


def inherited_reference(understanding: Understanding, index: int) -> str | None:
    """The document of a joint: its own, else that of a rule for all joints, or of one told before it."""
    found = understanding.torques[index]
    if found.reference and _SAME.search(found.reference):
        before = [one.reference for one in understanding.torques[:index] if one.reference]
        return before[-1] if before else found.reference
    if found.reference or found.stages:
        return found.reference
    for before, rule in enumerate(understanding.torques):
        if rule.reference and (rule.scope == "all" or rule.scope == "onward" and before < index):
            return inherited_reference(understanding, before) if before != index else rule.reference
    return None


def _names(found: TorqueFound, text: str) -> bool:
    return part_name(found.joint).head == part_name(text).head


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
        joint=wording.plain_words(wording.inside(found.joint)),
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
