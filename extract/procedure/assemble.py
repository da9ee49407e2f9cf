"""The one place where findings become the draft."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence

from extract.ids import IdMaker
from extract.lexicon import Lexicon
from extract.model import Condition, Draft, Flag, RefitStep, Source, Talk, TorqueCheck
from extract.procedure import doubts, flags, lists, segments, states, wording
from extract.procedure.bolts import check_torque
from extract.procedure.cautions import make_cautions
from extract.procedure.conditions import Scopes, make_conditions, with_steps
from extract.procedure.misheard_numbers import find_implausible_torques, find_misheard_numbers
from extract.procedure.refit import Refit, write_refit
from extract.procedure.refit_text import tightenings
from extract.procedure.steps import Act, make_acts, mets_of
from extract.speech import TorqueFound, Understanding


def assemble(understanding: Understanding, talk: Talk, lexicon: Lexicon, made_by: str) -> Draft:
    """Write the draft: steps, refit, lists and flags, from all that was found in the talk."""
    ids = IdMaker()
    scopes = Scopes(understanding, make_conditions(understanding, ids))
    sections, section_of = segments.make_sections(understanding, ids)
    acts = make_acts(understanding, talk, ids, _conditions_of(understanding, scopes), section_of, lexicon)
    steps_at: dict[int, list[str]] = {}
    for act in acts:
        steps_at.setdefault(act.utterance, []).append(act.step.id)
    refit = write_refit(understanding, acts, scopes, lexicon, ids, _check)
    raised = _flags(understanding, acts, refit, steps_at, ids)
    flags_of = _Flags(raised)
    steps = tuple(
        act.step.model_copy(
            update={
                "text": _tightened(act, refit),
                "notes": refit.work_notes.get(act.step.id, ()),
                "flags": tuple(flag.id for flag in flags_of.step[act.step.id]),
            }
        )
        for act in acts
    )
    return Draft(
        made_by=made_by,
        title=segments.make_title(understanding, talk.title, bool(refit.steps)),
        source=Source(
            name=talk.name,
            format=talk.format,
            sha256=talk.sha256,
            duration_s=talk.duration_s,
            language=talk.language,
            times=talk.times,
            warnings=talk.warnings,
        ),
        segments=segments.make_segments(understanding, steps_at),
        sections=sections,
        steps=steps,
        not_undone=refit.not_undone,
        refit=tuple(one.model_copy(update={"flags": flags_of.refit_step(one)}) for one in refit.steps),
        renewals=refit.renewals,
        torques=refit.torques,
        conditions=with_steps(
            understanding, scopes.conditions, steps_at, {step.id: step.applies_when for step in steps}
        ),
        cautions=make_cautions(understanding, acts, refit.steps, ids, scopes.ids_at),
        tools=lists.make_tools(understanding, acts, ids),
        flags=tuple(raised),
    )


def _conditions_of(understanding: Understanding, scopes: Scopes) -> dict[int, list[Condition]]:
    return {
        index: scopes.governing(action.place.utterance, action.place.start)
        for index, action in enumerate(understanding.actions)
    }


def _check(found: TorqueFound) -> TorqueCheck:
    """The plausibility of the last value of a tightening requirement for its fastener."""
    values = [stage.value_nm if stage.value_nm is not None else stage.high_nm for stage in found.stages]
    values = [value for value in values if value is not None]
    return check_torque(found.size, found.grade, values[-1] if values else None)


def _tightened(act: Act, refit: Refit) -> str:
    """The text of a step that tightens something, with its value; one that grows too long takes a second sentence."""
    values = [one for one in refit.torques if act.step.id in one.steps and act.action.sense == "tighten"]
    told = tightenings(act.step.objects, values)
    text = act.step.text
    if not told or any(letter.isdigit() for letter in text.partition(",")[2] or text):
        return text
    own = [sentence for sentence in told if sentence.startswith(("Tighten it ", "Tighten them "))]
    if len(own) == 1:
        how = own[0].split(" ", 2)[2]
        longer = wording.sentence(f"{text.rstrip('.')} {how}")
        if wording.count_words(longer) <= wording.MAX_WORDS:
            return " ".join([longer, *(sentence for sentence in told if sentence not in own)])
    return " ".join([text, *told])


def _flags(
    understanding: Understanding, acts: Sequence[Act], refit: Refit, steps_at: Mapping[int, Sequence[str]], ids: IdMaker
) -> list[Flag]:
    """All flags in the order of the talk."""
    by_id = {act.step.id: act.step for act in acts}
    found = [*understanding.flags, *find_misheard_numbers(understanding), *find_implausible_torques(understanding)]
    raised = flags.from_words(understanding, found, steps_at, ids)
    number = {one.id: one.number for one in refit.steps}
    for refit_id, undone in refit.open_steps:
        raised.append(flags.no_refit(by_id[undone[0]], number[refit_id], ids))
    written = {one.id: one for one in refit.steps}
    for refit_id, utterance in refit.strangers:
        raised.append(flags.refitted_unremoved(written[refit_id], understanding.utterances[utterance].id, ids))
    steps = {index: act.step for index, act in enumerate(acts)}
    repeated = {segment for flag in raised if flag.code == "repeated" for segment in flag.segments}
    for part in states.follow(mets_of(acts)):
        twice = flags.removed_twice(part.mets, steps, ids)
        raised += [flag for flag in twice if not repeated & set(flag.segments)]
        raised += flags.some_still_in(part, steps, ids)
    for conflict in refit.conflicts:
        lead = conflict.unit.lead
        if lead is not None:
            raised.append(flags.count_conflict(conflict, acts[lead].step, understanding, ids))
    raised += [flags.no_value(torque, ids) for torque in refit.torques if not torque.stages and not torque.reference]
    raised += [
        flags.joint_unknown(torque, ids)
        for torque in refit.torques
        if torque.stages and torque.scope == "step" and not torque.refit and not torque.steps
    ]
    raised += doubts.two_values(refit.torques, understanding, ids)
    raised += doubts.unplaced(refit.renewals, ids)
    lost = flags.steps_without_way_back([act.step for act in acts], refit.steps, refit.not_undone, raised)
    raised += [flags.unaccounted(step, ids) for step in lost]
    place = {utterance.id: utterance.index for utterance in understanding.utterances}
    ordered = sorted(raised, key=lambda flag: place.get(flag.segments[0], 0) if flag.segments else 0)
    return flags.without_doubles(ordered)


class _Flags:
    """The flags by the steps, segments and refit steps that they concern."""

    def __init__(self, raised: Sequence[Flag]) -> None:
        self.step: defaultdict[str, list[Flag]] = defaultdict(list)
        self._segment: defaultdict[str, list[Flag]] = defaultdict(list)
        self._refit: defaultdict[object, list[Flag]] = defaultdict(list)
        self._place = {flag.id: place for place, flag in enumerate(raised)}
        for flag in raised:
            self._refit[flag.evidence.get("refit")].append(flag)
            for step in dict.fromkeys(flag.steps):
                self.step[step].append(flag)
            for segment in flag.segments if not flag.steps else ():
                self._segment[segment].append(flag)

    def refit_step(self, refit: RefitStep) -> tuple[str, ...]:
        """Flags that are open on the refit step itself: its way back, its count, what never came off, its own words."""
        own = {"no_refit", "quantity_conflict", "state_conflict"}
        found = {flag.id for step in refit.undoes for flag in self.step[step] if flag.code in own}
        found |= {flag.id for flag in self._refit[refit.id]}
        found |= {flag.id for segment in refit.segments for flag in self._segment[segment]}
        return tuple(sorted(found, key=self._place.__getitem__))
