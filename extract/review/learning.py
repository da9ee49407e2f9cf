"""What reviews teach: names of parts and verbs that reviewers wrote and the lexicon lacks.

Proposals are rows of a user's own tables with the sentences that speak for them; a person decides what
becomes of each.
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterable
from dataclasses import dataclass, field

from extract.lexicon import Lexicon
from extract.model import Draft
from extract.review import decisions as say
from extract.review.anchors import analysed, plain
from extract.review.apply import Outcome
from reports.text import harmless

MAX_EVIDENCE = 3
_WORD = re.compile(r"[a-z][a-z'-]*")


@dataclass(slots=True)
class Proposal:
    """A part name or verb to add, and sentences in which reviewers used it."""

    word: str
    kind: str
    evidence: list[str] = field(default_factory=list)


def propose(outcomes: Iterable[Outcome], lexicon: Lexicon) -> tuple[list[Proposal], list[Proposal]]:
    """Part names and verbs to add to the lexicon, those with most evidence first."""
    parts: dict[str, Proposal] = {}
    verbs: dict[str, Proposal] = {}
    for outcome in outcomes:
        for name, sentence in _part_names(outcome):
            singular = lexicon.singular(name)
            if singular and lexicon.term(name) is None and lexicon.term(singular) is None:
                _note(parts, singular, "part", sentence)
        for verb, sentence in _verbs(outcome):
            if not lexicon.verb_senses(verb):
                _note(verbs, verb, "verb", sentence)
    return _ranked(parts), _ranked(verbs)


def terms_csv(parts: list[Proposal], table: str = "") -> str:
    """The user's table of terms with the proposed ones after its rows; the sentences stand in the remarks.

    `table` is the text of an existing table, empty for a new one. Its columns stay as they are.
    """
    columns = next(csv.reader(io.StringIO(table)), []) or ["term", "kind", "remarks"]
    names = [column.strip().lower() for column in columns]
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    if not table:
        writer.writerow(columns)
    for part in parts:
        cells = {"term": part.word, "kind": part.kind, "remarks": " | ".join(part.evidence)}
        writer.writerow([harmless(cells.get(name, "")) for name in names])
    return table + ("\n" if table and not table.endswith("\n") else "") + text.getvalue()


def _part_names(outcome: Outcome) -> Iterable[tuple[str, str]]:
    """Names that a reviewer gave, and parts of the draft that stand in words which a reviewer wrote."""
    written = _written(outcome)
    for entry in outcome.placed:
        if isinstance(entry.decision.what, say.PartName) and entry.state == "placed":
            yield plain(entry.decision.what.now), entry.decision.what.now
    texts = {segment.id: analysed(segment) for segment in outcome.draft.segments}
    for segments, name in _named(outcome.draft):
        for segment in segments:
            new = written.get(segment)
            if new and set(plain(name).split()) & new and f" {plain(name)} " in f" {plain(texts[segment])} ":
                yield plain(name), texts[segment]


def _named(draft: Draft) -> Iterable[tuple[tuple[str, ...], str]]:
    for step in (*draft.steps, *draft.refit):
        yield from ((step.segments, part.text) for part in step.objects if part.component is None)
    yield from ((entry.segments, entry.item) for entry in draft.renewals if entry.component is None)


def _written(outcome: Outcome) -> dict[str, set[str]]:
    """Words that reviewers put into each utterance."""
    return {
        segment.id: set(plain(segment.corrected).split()) - set(plain(segment.text).split())
        for segment in outcome.draft.segments
        if segment.corrected is not None
    }


def _verbs(outcome: Outcome) -> Iterable[tuple[str, str]]:
    """First words of steps that a reviewer wrote: instructions begin with their verb."""
    for entry in outcome.placed:
        what = entry.decision.what
        if entry.state != "placed":
            continue
        texts: tuple[str, ...] = ()
        if isinstance(what, say.Edit | say.Merge):
            texts = (what.now,)
        elif isinstance(what, say.Add):
            texts = (what.text, what.put_back or "")
        elif isinstance(what, say.Split):
            texts = (what.first, what.second)
        for text in texts:
            match = _WORD.match(text.strip().lower())
            if match:
                yield match.group(), text


def _note(found: dict[str, Proposal], word: str, kind: str, sentence: str) -> None:
    proposal = found.setdefault(word, Proposal(word, kind))
    sentence = " ".join(sentence.split())
    if sentence not in proposal.evidence and len(proposal.evidence) < MAX_EVIDENCE:
        proposal.evidence.append(sentence)


def _ranked(found: dict[str, Proposal]) -> list[Proposal]:
    return sorted(found.values(), key=lambda proposal: (-len(proposal.evidence), proposal.word))
