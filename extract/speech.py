"""What is understood of a talk, between its words and the draft.

These are the hand-over types of the stages: `language` makes `Utterance`s, each module of `findings` makes
one kind of finding, `procedure` turns findings into the entries of the draft. They are plain frozen
records without spaCy objects. `Place.start` and `Place.end` are character offsets into the utterance's
text as analysed (`Utterance.text`, or `Utterance.corrected` where a reviewer gave the right words).
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Literal, Protocol, TypeVar

from extract.model import Role, Severity, Suggestion

#: What a noun phrase stands for. `unknown` is a thing that the lexicon lacks.
Kind = Literal[
    "part", "fastener", "seal", "fluid", "material", "tool", "machine", "place", "person", "abstract", "unknown"
]
#: Which half of the job an act belongs to.
Phase = Literal["work", "refit"]


@dataclass(frozen=True, slots=True)
class Place:
    """Words of an utterance, and the id of the rule or lexicon entry that found something in them."""

    utterance: int
    start: int
    end: int
    rule: str


@dataclass(frozen=True, slots=True)
class Utterance:
    """A sentence, or what would be one if the transcript had punctuation.

    `words` is the half-open range of `Talk.words`; `text` those words joined with single spaces.
    """

    index: int
    id: str
    text: str
    words: tuple[int, int]
    start_s: float | None
    end_s: float | None
    speaker: str | None = None
    corrected: str | None = None

    @property
    def analysed(self) -> str:
        """The words that the program goes by."""
        return self.text if self.corrected is None else self.corrected


@dataclass(frozen=True, slots=True)
class Mention:
    """A noun phrase: a part, tool, material or place that the speaker names or points at.

    `text` has neither article nor count ("pinch bolt"); `head` is its last noun, singular. `position`
    tells which one ("at the back", "of the pump"), `direction` where it is moved ("off the hub").
    `pronoun` holds the word where the speaker only pointed ("it", "those"); `text` is then that word
    until it is resolved, and `antecedents` lists the readings that survived, best first. `others` holds what else
    a plural pronoun stands for ("dry them": the gland and the piston).
    """

    place: Place
    text: str
    head: str
    kind: Kind = "unknown"
    component: str | None = None
    determiner: str | None = None
    plural: bool = False
    quantity: int | None = None
    quantity_text: str | None = None
    size: str | None = None
    position: str | None = None
    direction: str | None = None
    new: bool = False
    pronoun: str | None = None
    antecedents: tuple[str, ...] = ()
    others: tuple[Mention, ...] = ()


@dataclass(frozen=True, slots=True)
class Measured:
    """A value with its unit, kept as spoken and as a number; `unit` is a symbol ("mm", "min", "Nm")."""

    place: Place
    what: str
    value: float | None
    low: float | None
    high: float | None
    unit: str | None
    text: str


@dataclass(frozen=True, slots=True)
class Action:
    """An act that somebody performs on something.

    `verb` and `particle` are base forms ("take", "off"); `plain` is the verb of the written instruction
    ("remove"), `sense` its class in the verb lexicon. `done` marks what was reported as done before
    filming, `negated` what must not be done (such an action never becomes a step). `phase` says whether
    it belongs to the work at this point of the talk or to the refit. `order` is the position in the order
    of work inside the utterance ("before you …, …" turns the order of words round).
    """

    place: Place
    verb: str
    particle: str | None
    spoken: str
    plain: str
    sense: str
    objects: tuple[Mention, ...] = ()
    tools: tuple[Mention, ...] = ()
    manner: str | None = None
    purpose: str | None = None
    until: str | None = None
    done: bool = False
    negated: bool = False
    phase: Phase = "work"
    order: int = 0
    measures: tuple[Measured, ...] = ()

    @property
    def spoken_action(self) -> str:
        """Base verb with its particle, as annotators write it ("take off")."""
        return f"{self.verb} {self.particle}" if self.particle else self.verb


@dataclass(frozen=True, slots=True)
class RoleFound:
    """The main purpose of an utterance, with the readings that lost, best first."""

    place: Place
    role: Role
    score: float
    losers: tuple[tuple[Role, float, str], ...] = ()


@dataclass(frozen=True, slots=True)
class TrustFound:
    """How far the words of an utterance can be trusted: `trust` in 0…1, and each signal's share of it."""

    utterance: int
    trust: float
    signals: dict[str, float] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class RenewalFound:
    """A part that must be new on refit, or a material that is used up."""

    place: Place
    item: str
    head: str
    component: str | None
    kind: Literal["renew", "substitute", "consumable"]
    quantity: int | None = None
    quantity_text: str | None = None
    count_from: Literal["spoken", "singular", "removed", "unknown"] = "unknown"
    position: str | None = None
    replaced_by: str | None = None
    amount_value: float | None = None
    amount_unit: str | None = None
    amount_text: str | None = None
    only_if: str | None = None


@dataclass(frozen=True, slots=True)
class StageFound:
    """One tightening stage: newton metres (value or range) or degrees."""

    value_nm: float | None = None
    low_nm: float | None = None
    high_nm: float | None = None
    angle_deg: float | None = None


@dataclass(frozen=True, slots=True)
class TorqueFound:
    """A tightening requirement as said."""

    place: Place
    joint: str
    head: str
    stages: tuple[StageFound, ...] = ()
    spoken: tuple[str, ...] = ()
    size: str | None = None
    grade: str | None = None
    order: str | None = None
    reference: str | None = None
    scope: Literal["step", "onward", "all"] = "step"


@dataclass(frozen=True, slots=True)
class ConditionFound:
    """A variant, option or skip, and the utterances that it governs (`first` to `last`, inclusive).

    In its own utterance it holds for what starts at the characters `governs_from` up to `governs_until` (null: the end).
    `parent` indexes the enclosing condition in the list of conditions, or is null.
    """

    place: Place
    kind: Literal["variant", "option", "skip"]
    axis: str | None
    value: str | None
    values: tuple[str, ...]
    negated: bool
    text: str
    governed: tuple[int, ...]
    ends: Literal["spoken", "else", "rejoin", "heading", "never"]
    resumes_at: int | None = None
    parent: int | None = None
    governs_from: int = 0
    governs_until: int | None = None


@dataclass(frozen=True, slots=True)
class CautionFound:
    """A warning: spoken, or the usual one for a hazard of the lexicon that the words touch."""

    place: Place
    hazard: str
    signal_word: Literal["DANGER", "WARNING", "CAUTION", "NOTICE"]
    text: str
    origin: Literal["spoken", "usual"]


@dataclass(frozen=True, slots=True)
class NoteFound:
    """One thought about a part, written as an instruction, for the step that it concerns.

    `about` is the part (head noun phrase) that decides which step; `phase` which half of the job.
    """

    place: Place
    kind: Literal["align", "orient", "treat", "handle", "order", "check", "reason"]
    text: str
    about: str | None
    phase: Phase = "refit"


@dataclass(frozen=True, slots=True)
class FlagFound:
    """Something for the reviewer, found in the words alone."""

    place: Place
    code: str
    severity: Severity
    message: str
    evidence: dict[str, object] = field(default_factory=dict)
    suggestions: tuple[Suggestion, ...] = ()
    utterances: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class TitleFound:
    """The noun phrase that a spoken heading stands for."""

    place: Place
    text: str


class _Placed(Protocol):
    @property
    def place(self) -> Place: ...


Found = TypeVar("Found", bound=_Placed)


def by_utterance(findings: Iterable[Found]) -> defaultdict[int, list[Found]]:
    """Findings of one kind by the index of their utterance, each list in the order given."""
    grouped: defaultdict[int, list[Found]] = defaultdict(list)
    for found in findings:
        grouped[found.place.utterance].append(found)
    return grouped


@dataclass(frozen=True, slots=True)
class Understanding:
    """All findings of a talk, one list a kind, in the order of the talk."""

    utterances: tuple[Utterance, ...]
    roles: tuple[RoleFound, ...] = ()
    trust: tuple[TrustFound, ...] = ()
    actions: tuple[Action, ...] = ()
    renewals: tuple[RenewalFound, ...] = ()
    torques: tuple[TorqueFound, ...] = ()
    measures: tuple[Measured, ...] = ()
    conditions: tuple[ConditionFound, ...] = ()
    cautions: tuple[CautionFound, ...] = ()
    notes: tuple[NoteFound, ...] = ()
    titles: tuple[TitleFound, ...] = ()
    flags: tuple[FlagFound, ...] = ()
