"""The stages in their order: the only place that knows them all."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from functools import cache

from extract import __version__
from extract.findings.actions import find_actions
from extract.findings.cautions import find_cautions
from extract.findings.closing_half import phases_of_closing_half
from extract.findings.conditions import find_conditions, find_scope_flags, without_utterances
from extract.findings.gaps import find_gaps
from extract.findings.garbled import find_garbled
from extract.findings.measures import find_measures, with_measures
from extract.findings.misheard import find_misheard_terms
from extract.findings.notes import find_notes
from extract.findings.phases import find_phases
from extract.findings.precautions import find_precaution_flags
from extract.findings.renewals import find_renewals, said_for_refit
from extract.findings.repeats import find_repeats, repeat_flags
from extract.findings.replacing import find_replace_flags
from extract.findings.roles import find_roles
from extract.findings.titles import find_titles
from extract.findings.torques import find_torques
from extract.findings.trust import assess
from extract.findings.word_flags import find_word_flags
from extract.language.clauses import Parser
from extract.language.heard import hear
from extract.language.tagging import Tagger
from extract.language.utterances import split_utterances
from extract.lexicon import Lexicon, load
from extract.model import Draft, Role, Talk
from extract.procedure.assemble import assemble
from extract.settings import Settings
from extract.speech import Understanding, Utterance


@cache
def _parser(lexicon: Lexicon) -> Parser:
    return Parser(Tagger(lexicon))


def draft(
    talk: Talk,
    *,
    lexicon: Lexicon | None = None,
    settings: Settings | None = None,
    corrections: Mapping[str, str] | None = None,
    roles: Mapping[str, Role] | None = None,
) -> Draft:
    """Write the draft of a talk.

    `corrections` gives a segment's right words by its id, `roles` a role that the reviewer has set; both run
    through all stages again.
    """
    lexicon = lexicon or load()
    settings = settings or Settings()
    understanding = understand(talk, lexicon, settings, corrections or {}, roles or {})
    return assemble(understanding, talk, lexicon, f"benchtalk {__version__}, lexicon {lexicon.hash[:8]}")


def understand(
    talk: Talk, lexicon: Lexicon, settings: Settings, corrections: Mapping[str, str], roles: Mapping[str, Role]
) -> Understanding:
    """All findings of a talk."""
    parser = _parser(lexicon)
    utterances = tuple(_corrected(said, corrections) for said in split_utterances(talk, parser))
    trust = assess(talk, utterances, lexicon)
    # The reviewer's own words and roles are beyond doubt.
    settled = {said.index for said in utterances if said.corrected is not None or said.id in roles}
    deaf = frozenset(
        found.utterance for found in trust if found.trust < settings.unclear_below and found.utterance not in settled
    ) | {said.index for said in utterances if roles.get(said.id) == "unclear"}
    repeats = find_repeats(talk, utterances, lexicon)
    loops = {again.second: again.first for again in repeats if again.kind == "loop" and again.first != again.second}
    # An echo is as clear as what it repeats: the loop has a point of its own.
    deaf -= {second for second, first in loops.items() if first not in deaf}
    heard = hear(talk, utterances, parser)
    phases = find_phases(heard)
    actions = find_actions(heard, phases, deaf)
    phases = phases_of_closing_half(phases, actions)
    renewals = find_renewals(heard, phases, actions, deaf)
    torques = find_torques(heard, deaf)
    measures = find_measures(heard, actions, torques, deaf)
    actions = with_measures(actions, measures)
    conditions = find_conditions(heard, phases, actions, deaf)
    found_roles = find_roles(
        heard, phases, actions, said_for_refit(renewals, actions), torques, conditions, deaf, roles
    )
    # "If yours has a belt, you want our other film" says nothing about the work that follows.
    spoken_to_viewers = {found.place.utterance for found in found_roles if found.role in ("presentation", "chatter")}
    conditions = without_utterances(conditions, spoken_to_viewers)
    # What is told only as a tightening value is no act of this point of the job.
    told = {found.place.utterance for found in found_roles if found.role == "torque_note"}
    # What the recogniser said twice was done once.
    actions = tuple(
        act
        for act in actions
        if act.place.utterance not in loops and (act.phase == "refit" or act.place.utterance not in told)
    )
    notes = find_notes(heard, phases, actions, renewals, torques, deaf, found_roles)
    flags = (
        *find_garbled(heard, trust, actions, deaf),
        *find_misheard_terms(talk, utterances, trust, lexicon),
        *find_gaps(talk, utterances),
        *repeat_flags(repeats),
        *find_replace_flags(heard, phases, deaf),
        *find_scope_flags(conditions),
        *find_precaution_flags(heard, actions, conditions, deaf),
        *find_word_flags(heard, actions, found_roles, renewals, torques, notes, deaf),
    )
    return Understanding(
        utterances,
        found_roles,
        trust=trust,
        actions=actions,
        renewals=renewals,
        torques=torques,
        measures=measures,
        conditions=conditions,
        cautions=find_cautions(heard, actions, deaf, settings.equipment_caution),
        notes=notes,
        titles=find_titles(heard, found_roles),
        flags=flags,
    )


def _corrected(said: Utterance, corrections: Mapping[str, str]) -> Utterance:
    words = corrections.get(said.id)
    return said if words is None else replace(said, corrected=" ".join(words.split()))
