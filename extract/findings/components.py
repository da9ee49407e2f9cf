"""spaCy pipeline components: utterances and findings as span groups of a `Doc`.

`benchtalk_utterances` fills `doc.spans["benchtalk.utterances"]`, `benchtalk_findings` the groups
`benchtalk.acts`, `benchtalk.renewals` and `benchtalk.torques`, each span labelled with its role, verb or item.
Findings never go into `doc.ents`: they overlap. The words of the doc are read as a talk without times.
"""

from __future__ import annotations

from collections.abc import Iterable

from spacy.language import Language
from spacy.tokens import Doc, Span

from extract.findings.actions import find_actions
from extract.findings.phases import PhaseFound, find_phases
from extract.findings.renewals import find_renewals
from extract.findings.roles import find_roles
from extract.findings.torques import find_torques
from extract.language.clauses import Parser
from extract.language.heard import Heard, hear
from extract.language.tagging import Tagger
from extract.language.utterances import split_utterances
from extract.lexicon import load
from extract.model import Cue, Talk, Word
from extract.speech import Action, Place, RenewalFound, TorqueFound


def _talk(doc: Doc) -> Talk:
    words = tuple(Word(text, None, None, None, False, 0) for text in doc.text.split())
    cue = Cue(None, None, doc.text, None, None, 1, 0)
    return Talk(
        name="doc", title=None, format="plain", sha256="", duration_s=None, language="en", times="none", cues=(cue,), words=words
    )  # fmt: skip


def _offsets(doc: Doc, heard: Heard) -> list[list[tuple[int, int]]]:
    """For each utterance, the offset of each word in it and in the doc; only white space lies between words."""
    offsets: list[list[tuple[int, int]]] = []
    at = 0
    for said in heard.utterances:
        inside = 0
        offsets.append([])
        for word in said.text.split(" "):
            at = doc.text.index(word, at)
            offsets[-1].append((inside, at))
            inside += len(word) + 1
            at += len(word)
    return offsets


def _in_doc(words: list[tuple[int, int]], offset: int) -> int:
    inside, at = max(word for word in words if word[0] <= offset)
    return at + offset - inside


@Language.factory("benchtalk_utterances", assigns=["doc.spans"])
class Utterances:
    """Splits the doc into utterances, punctuated or not, and labels each with its role."""

    def __init__(self, nlp: Language, name: str) -> None:
        self.name = name
        self._parser = Parser(Tagger(load()))

    def __call__(self, doc: Doc) -> Doc:
        """Fill `doc.spans["benchtalk.utterances"]`."""
        heard, phases, acts, renewals, torques = _find(doc, self._parser)
        roles = find_roles(heard, phases, acts, renewals, torques, (), frozenset(), {})
        spans = (
            (Place(said.index, 0, len(said.text), role.place.rule), role.role)
            for said, role in zip(heard.utterances, roles, strict=True)
        )
        _group(doc, "benchtalk.utterances", heard, spans)
        return doc


@Language.factory("benchtalk_findings", assigns=["doc.spans"])
class Findings:
    """Finds acts, renewals and tightening requirements."""

    def __init__(self, nlp: Language, name: str) -> None:
        self.name = name
        self._parser = Parser(Tagger(load()))

    def __call__(self, doc: Doc) -> Doc:
        """Fill the span groups of the findings."""
        heard, _, acts, renewals, torques = _find(doc, self._parser)
        _group(doc, "benchtalk.acts", heard, ((act.place, act.plain) for act in acts if not act.negated))
        _group(doc, "benchtalk.renewals", heard, ((found.place, found.item) for found in renewals))
        _group(doc, "benchtalk.torques", heard, ((found.place, found.joint) for found in torques))
        return doc


def _find(
    doc: Doc, parser: Parser
) -> tuple[Heard, tuple[PhaseFound, ...], tuple[Action, ...], tuple[RenewalFound, ...], tuple[TorqueFound, ...]]:
    talk = _talk(doc)
    heard = hear(talk, split_utterances(talk, parser), parser)
    phases = find_phases(heard)
    acts = find_actions(heard, phases, frozenset())
    renewals = find_renewals(heard, phases, acts, frozenset())
    return heard, phases, acts, renewals, find_torques(heard, frozenset())


def _group(doc: Doc, name: str, heard: Heard, found: Iterable[tuple[Place, str]]) -> None:
    offsets = _offsets(doc, heard)
    spans: list[Span] = []
    for place, label in found:
        words = offsets[place.utterance]
        last = _in_doc(words, max(place.start, place.end - 1)) + 1
        span = doc.char_span(_in_doc(words, place.start), last, label=label, alignment_mode="expand")
        if span is not None:
            spans.append(span)
    doc.spans[name] = spans
