"""The one place where findings become the draft."""

from __future__ import annotations

from extract.ids import IdMaker
from extract.lexicon import Lexicon
from extract.model import Draft, Source, Talk, TorqueCheck
from extract.procedure import conditions as scopes
from extract.procedure import flags, lists, segments
from extract.procedure.refit import write_refit
from extract.procedure.steps import make_acts
from extract.settings import Settings
from extract.speech import TorqueFound, Understanding


def assemble(understanding: Understanding, talk: Talk, lexicon: Lexicon, settings: Settings, made_by: str) -> Draft:
    """Write the draft: steps, refit, lists and flags, from all that was found in the talk."""
    ids = IdMaker()
    conditions = scopes.make_conditions(understanding, ids)
    sections, section_of = segments.make_sections(understanding, ids)
    conditions_of = {
        index: scopes.governing(understanding, conditions, action.place.utterance, action.place.start)
        for index, action in enumerate(understanding.actions)
    }
    acts = make_acts(understanding, talk, ids, conditions_of, section_of)
    steps_at: dict[int, list[str]] = {}
    for act in acts:
        steps_at.setdefault(act.utterance, []).append(act.step.id)
    refit = write_refit(understanding, acts, conditions, lexicon, ids, _check)
    governed = {act.step.id: act.step.applies_when for act in acts}
    return Draft(
        made_by=made_by,
        title=segments.make_title(understanding, talk.title, True),
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
        steps=tuple(act.step.model_copy(update={"notes": refit.work_notes.get(act.step.id, ())}) for act in acts),
        not_undone=refit.not_undone,
        refit=refit.steps,
        renewals=refit.renewals,
        torques=refit.torques,
        conditions=scopes.with_steps(understanding, conditions, steps_at, governed),
        tools=lists.make_tools(understanding, acts, steps_at, ids),
        flags=tuple(flags.from_words(understanding, understanding.flags, steps_at, ids)),
    )


def _check(found: TorqueFound) -> TorqueCheck:
    return TorqueCheck(status="not_checked" if found.stages else "no_value")
