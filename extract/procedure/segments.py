"""The utterances of the draft, and its sections from the headings of the talk."""

from __future__ import annotations

import itertools
from collections.abc import Mapping, Sequence

from extract.ids import IdMaker
from extract.model import Section, Segment
from extract.procedure.headings import heading_title, job_title, opens_refit
from extract.procedure.steps import because
from extract.speech import Understanding


def make_segments(understanding: Understanding, steps_at: Mapping[int, Sequence[str]]) -> tuple[Segment, ...]:
    """Every utterance with its role, its trust and the steps that came of it."""
    roles = {found.place.utterance: found for found in understanding.roles}
    trust = {found.utterance: found.trust for found in understanding.trust}
    return tuple(
        Segment(
            id=utterance.id,
            start_s=utterance.start_s,
            end_s=utterance.end_s,
            text=utterance.text,
            corrected=utterance.corrected,
            speaker=utterance.speaker,
            role=roles[utterance.index].role if utterance.index in roles else "chatter",
            trust=round(trust.get(utterance.index, 1.0), 3),
            steps=tuple(steps_at.get(utterance.index, ())),
            because=(because(roles[utterance.index].place, understanding.utterances),)
            if utterance.index in roles
            else (),
        )
        for utterance in understanding.utterances
    )


def make_sections(understanding: Understanding, ids: IdMaker) -> tuple[tuple[Section, ...], dict[int, str]]:
    """The sections of the talk, and the section of each utterance.

    The heading that announces the whole job (before any act) opens no section of its own.
    """
    utterances = understanding.utterances
    headings = [found.place.utterance for found in understanding.roles if found.role == "heading"]
    first_act = min((action.place.utterance for action in understanding.actions), default=len(utterances))
    if headings and headings[0] <= first_act:
        headings = headings[1:]
    sections: list[Section] = []
    section_of: dict[int, str] = {}
    for start, end in itertools.pairwise([*headings, len(utterances)]):
        section = Section(
            id=ids.make("sec", utterances[start].text),
            title=_heading(understanding, start),
            start_s=utterances[start].start_s,
            segments=tuple(utterance.id for utterance in utterances[start:end]),
        )
        sections.append(section)
        section_of.update(dict.fromkeys(range(start, end), section.id))
    return tuple(sections), section_of


def make_title(understanding: Understanding, name: str | None, has_refit: bool) -> str | None:
    """The job as a noun phrase: from the heading that announces it, else the talk's own title, else null."""
    first_act = min(
        (action.place.utterance for action in understanding.actions if not action.done),
        default=len(understanding.utterances),
    )
    announced = [
        found.place.utterance
        for found in understanding.roles
        if found.role == "heading"
        and found.place.utterance <= first_act
        and not opens_refit(understanding.utterances[found.place.utterance].analysed)
    ]
    if not announced:
        return name
    naming_parts = {found.place.utterance for found in understanding.titles}
    index = next((index for index in announced if index in naming_parts), announced[0])
    return job_title(_heading(understanding, index), has_refit)


def _heading(understanding: Understanding, index: int) -> str:
    """The title of a heading: the parts that it names, "Refit", or its words without their run-up."""
    words = understanding.utterances[index].analysed
    if opens_refit(words):
        return heading_title(words)
    named = next((found.text for found in understanding.titles if found.place.utterance == index), None)
    return named or heading_title(words)
