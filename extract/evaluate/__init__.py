"""Scores drafts against annotated talks.

An annotated talk is a transcript `NAME.vtt` (or of another format) with `NAME.gold.jsonl` and, if somebody wrote it,
`NAME.refit.jsonl` beside it. A draft is compared as plain JSON data, so that drafts of any origin can be measured.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import Any

from extract.errors import GoldError
from extract.evaluate.baselines import compare_baselines
from extract.evaluate.context import Context, TalkError
from extract.evaluate.entries import (
    compare_boundaries,
    compare_flags,
    compare_renewals,
    compare_roles,
    compare_torques,
)
from extract.evaluate.gold import GoldRefit, GoldUtterance, parse_gold, parse_refit, read_gold_talks
from extract.evaluate.match import VerbGroups, shipped_verb_groups, verb_groups_for
from extract.evaluate.refit import compare_accounted, compare_refit
from extract.evaluate.report import Report, TalkReport, check_floors, load_floors, pool
from extract.evaluate.scores import score
from extract.evaluate.steps import compare_steps
from extract.evaluate.trust import compare_suggestions, compare_trust
from extract.model import Talk
from extract.transcripts import read

__all__ = ["Report", "TalkError", "TalkReport", "check_floors", "evaluate_folder", "evaluate_talk", "load_floors"]


def evaluate_talk(
    draft: Mapping[str, Any],
    gold: Sequence[Mapping[str, Any]],
    refit: Sequence[Mapping[str, Any]] | None = None,
    *,
    name: str = "talk",
    verbs: VerbGroups | None = None,
) -> TalkReport:
    """Score one draft (the dict of `draft.json`) against the rows of its gold file and, if given, its refit file.

    `verbs` says which actions count as the same, by default the shipped groups. Raises GoldError.
    """
    refit_gold = parse_refit(enumerate(refit, start=1)) if refit is not None else None
    return _compare(draft, parse_gold(enumerate(gold, start=1)), refit_gold, name, verbs or shipped_verb_groups())


def evaluate_folder(
    folder: str | Path,
    draft: Callable[[Talk], Mapping[str, Any]] | None = None,
    *,
    only: str | None = None,
) -> Report:
    """Draft every annotated talk of a folder and score it; `only` keeps talks whose name contains it.

    `draft` makes the dict of `draft.json` from a talk as read, by default with the program itself.
    Raises GoldError for an annotation that is wrong, naming file and line.
    """
    draft = draft or _own_draft
    verbs = verb_groups_for(Path(folder))
    reports = []
    for talk in read_gold_talks(folder, only):
        try:
            heard = read(talk.path)
            scored = _compare(draft(heard), talk.utterances, talk.refit, talk.name, verbs, _confidences(heard))
            reports.append(scored)
        except GoldError as error:
            if error.file:
                raise
            raise GoldError(error.what, file=talk.path, line=error.line, remedy=error.remedy) from error
    return pool(reports)


def _own_draft(talk: Talk) -> Mapping[str, Any]:
    from extract import pipeline

    return pipeline.draft(talk).model_dump(mode="json")


def _confidences(talk: Talk) -> list[float | None]:
    return [talk.cues[word.cue].confidence if word.confidence is None else word.confidence for word in talk.words]


def _compare(
    draft: Mapping[str, Any],
    gold: Sequence[GoldUtterance],
    refit: GoldRefit | None,
    name: str,
    verbs: VerbGroups,
    confidences: Sequence[float | None] = (),
) -> TalkReport:
    context = Context(name, draft, gold, verbs, confidences)
    compare_boundaries(context)
    compare_roles(context)
    compare_steps(context)
    compare_renewals(context)
    compare_torques(context)
    compare_flags(context)
    compare_accounted(context)
    compare_trust(context)
    compare_baselines(context)
    compare_suggestions(context)
    if refit is not None:
        compare_refit(context, refit)
    return TalkReport(name, context.counts, tuple(context.errors), score(context.counts))
