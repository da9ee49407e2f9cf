"""The draft's flags: those found in the words, and those that part states, counts and the refit raise."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from extract.ids import IdMaker
from extract.model import Flag, FlagSpan, NotUndone, RefitStep, Step, Torque
from extract.procedure import wording
from extract.procedure.counts import CountConflict
from extract.procedure.states import OFF, Met, Tracked
from extract.speech import FlagFound, Understanding


def from_words(
    understanding: Understanding, found: Sequence[FlagFound], steps_at: Mapping[int, Sequence[str]], ids: IdMaker
) -> list[Flag]:
    """Flags found in the words, with the segments and steps that they concern."""
    utterances = understanding.utterances
    flags = []
    for flag in found:
        where = flag.utterances or (flag.place.utterance,)
        spans = (FlagSpan(segment=utterances[flag.place.utterance].id, start=flag.place.start, end=flag.place.end),)
        flags.append(
            Flag(
                id=ids.make("flag", flag.code, utterances[flag.place.utterance].text, flag.place.start),
                code=flag.code,
                severity=flag.severity,
                message=flag.message,
                segments=tuple(utterances[index].id for index in where),
                steps=tuple(step for index in where for step in steps_at.get(index, ())),
                spans=spans,
                evidence={"rule": flag.place.rule, **flag.evidence},
                suggestions=flag.suggestions,
            )
        )
    return flags


def no_refit(step: Step, refit_number: int, ids: IdMaker) -> Flag:
    """A removal step whose way back nobody knows."""
    return Flag(
        id=ids.make("flag", "no_refit", step.id),
        code="no_refit",
        severity="stop",
        message=(
            f"Step {step.number} ({_act(step)}) cannot simply be undone, and the talk does not say what goes back. "
            f"Say how refit step {refit_number} is done."
        ),
        segments=step.segments,
        steps=(step.id,),
        evidence={"rule": "refit.no_inverse", "sense": step.action},
    )


def refitted_unremoved(refit: RefitStep, segment: str, ids: IdMaker) -> Flag:
    """Something goes back that never came off in the talk."""
    what = wording.join_all([f"the {part.text}" for part in refit.objects]) or "something"
    return Flag(
        id=ids.make("flag", "state_conflict", refit.id),
        code="state_conflict",
        severity="check",
        message=f"Put back: {what}. Nothing in the talk takes it off. Was a removal step left out?",
        segments=(segment,),
        evidence={"rule": "state.refitted_unremoved", "refit": refit.id},
    )


def removed_twice(mets: Sequence[Met], steps: Mapping[int, Step], ids: IdMaker) -> list[Flag]:
    """The same named part taken off again without having been put back."""
    flags = []
    before: Met | None = None
    for met in mets:
        if met.sense not in OFF | {"disconnect", "unclip", "drain"} or met.sense in ("cut", "destroy", "discard"):
            continue
        if before is not None and _again(before, met, steps):
            first, second = steps[before.act], steps[met.act]
            flags.append(
                Flag(
                    id=ids.make("flag", "state_conflict", second.id),
                    code="state_conflict",
                    severity="check",
                    message=(f"Step {second.number} takes off the {met.text}; step {first.number} did so already."),
                    segments=second.segments,
                    steps=(second.id,),
                    evidence={"rule": "state.removed_twice", "first": first.id},
                )
            )
        before = met
    return flags


def some_still_in(part: Tracked, steps: Mapping[int, Step], ids: IdMaker) -> list[Flag]:
    """Fewer come off than were loosened."""
    left = part.still_in()
    if left is None:
        return []
    step = steps[max(met.act for met in part.mets if met.sense in OFF)]
    return [
        Flag(
            id=ids.make("flag", "quantity_conflict", step.id),
            code="quantity_conflict",
            severity="stop",
            message=(
                f"Step {step.number} takes off {wording.number_word(part.out() or 0)} {part.first.text}, but more were "
                f"loosened: {wording.number_word(left)} would still be in. Which count is right?"
            ),
            segments=step.segments,
            steps=(step.id,),
            evidence={"rule": "count.removed_against_loosened", "still_in": left},
        )
    ]


def _again(before: Met, met: Met, steps: Mapping[int, Step]) -> bool:
    one, other = steps[before.act], steps[met.act]
    if (
        met.pronoun
        or one.segments == other.segments
        or before.sense != met.sense
        or one.applies_when != other.applies_when
    ):
        return False
    if one.spoken_action != other.spoken_action:
        # Unscrewed, then taken off; drawn back, then taken out: stages of one removal.
        return False
    # "Off the pulleys", later "off the hanger" are two acts on one belt; a bare "the bolt" may be another one.
    apart = met.direction is not None and before.direction is not None and met.direction != before.direction
    named = bool(met.name.qualifiers or met.position) or met.kind == "part"
    return named and not apart and met.text.lower() == before.text.lower() and met.position == before.position


def count_conflict(found: CountConflict, step: Step, understanding: Understanding, ids: IdMaker) -> Flag:
    """Two counts of the same part that do not agree."""
    utterance = understanding.utterances[found.utterance]
    names = wording.join_all([part.text for part in found.unit.parts])
    return Flag(
        id=ids.make("flag", "quantity_conflict", utterance.text, found.start),
        code="quantity_conflict",
        severity="stop",
        message=(
            f"Step {step.number} takes off {wording.number_word(found.removed)} {names}; here it is "
            f"{wording.number_word(found.said)}. Which count is right?"
        ),
        segments=(utterance.id, *step.segments),
        steps=(step.id,),
        spans=(FlagSpan(segment=utterance.id, start=found.start, end=found.end),),
        evidence={"rule": "count.refit_against_removal", "removed": found.removed, "said": found.said},
    )


def no_value(torque: Torque, ids: IdMaker) -> Flag:
    """A tightening requirement with neither value nor document."""
    return Flag(
        id=ids.make("flag", "torque_no_value", torque.id),
        code="torque_no_value",
        severity="check",
        message=f"No tightening value or document is named for: {torque.joint}.",
        segments=torque.segments,
        steps=torque.steps,
        evidence={"rule": "torque.no_value"},
    )


def joint_unknown(torque: Torque, ids: IdMaker) -> Flag:
    """A tightening value whose joint no step has."""
    return Flag(
        id=ids.make("flag", "missing_object", torque.id),
        code="missing_object",
        severity="check",
        message=f"No step of the procedure has the joint of this tightening value: {torque.joint}. Which step is it?",
        segments=torque.segments,
        evidence={"rule": "torque.no_step"},
    )


def unaccounted(step: Step, ids: IdMaker) -> Flag:
    """The last net: a removal step that nothing undoes, explains or flags."""
    return Flag(
        id=ids.make("flag", "no_refit", step.id, "unaccounted"),
        code="no_refit",
        severity="stop",
        message=(
            f"Step {step.number} ({_act(step)}) appears nowhere in the refit. "
            "Say how it is undone, or that it need not be."
        ),
        segments=step.segments,
        steps=(step.id,),
        evidence={"rule": "refit.unaccounted"},
    )


def steps_without_way_back(
    steps: Sequence[Step], refit: Sequence[RefitStep], not_undone: Sequence[NotUndone], flags: Sequence[Flag]
) -> list[Step]:
    """Removal steps of which nothing says how they are undone: no refit step, no reason, no flag."""
    settled = {step for one in refit for step in one.undoes} | {one.step for one in not_undone}
    settled |= {step for flag in flags if flag.code in ("no_refit", "state_conflict") for step in flag.steps}
    return [step for step in steps if step.id not in settled]


def without_doubles(flags: Sequence[Flag]) -> list[Flag]:
    """Flags in order, the same code on the same words once."""
    seen: set[tuple[str, str | None]] = set()
    kept = []
    for flag in flags:
        key = (flag.code, flag.segments[0] if flag.segments else None)
        if flag.code in ("torque_no_value", "quantity_conflict", "state_conflict", "no_refit") and key in seen:
            continue
        seen.add(key)
        kept.append(flag)
    return kept


def _act(step: Step) -> str:
    what = wording.join_all([part.text for part in step.objects])
    return f"{step.spoken_action} {what}".strip()
