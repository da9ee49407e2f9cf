"""The data that flows through the program: from the talk as read to the draft as written.

Everything here is frozen. `Talk` and its parts are what a reader makes; `Draft` and its parts are
`draft.json` (schema `benchtalk.draft/1`). Times are seconds from the start of the recording, spans are
character offsets into the text of their segment.
"""

from __future__ import annotations

from typing import Literal, NamedTuple

from pydantic import BaseModel, ConfigDict, Field

SCHEMA = "benchtalk.draft/1"

Role = Literal[
    "instruction",
    "refit_note",
    "torque_note",
    "condition",
    "caution",
    "reason",
    "heading",
    "presentation",
    "chatter",
    "unclear",
]
Severity = Literal["stop", "check", "info"]
Times = Literal["given", "interpolated", "none"]


class Frozen(BaseModel):
    """Base of all models: immutable, unknown keys refused."""

    model_config = ConfigDict(frozen=True, extra="forbid")


# --------------------------------------------------------------------------- the talk as read


class Word(NamedTuple):
    """One spoken word as the transcript has it, punctuation attached.

    `start_s` and `end_s` are null where the talk has no times; `interpolated` says that they were spread
    evenly over the cue. `confidence` is the recogniser's, 0 to 1, or null. `cue` indexes `Talk.cues`.
    """

    text: str
    start_s: float | None
    end_s: float | None
    confidence: float | None
    interpolated: bool
    cue: int


class Cue(NamedTuple):
    """One block of the transcript: a caption, a line with a time mark, a recogniser's segment.

    `line` is the 1-based line of the file on which it starts, `recording` the index of its file when
    several recordings are joined.
    """

    start_s: float | None
    end_s: float | None
    text: str
    speaker: str | None
    confidence: float | None
    line: int
    recording: int


class SourceWarning(Frozen):
    """Something in the transcript file that was read with care or left out."""

    file: str
    line: int | None
    message: str


class Talk(Frozen):
    """A timed transcript: the words that were spoken, in order, and where they stand in the film."""

    name: str
    title: str | None
    format: str
    sha256: str
    duration_s: float | None
    language: str | None
    times: Times
    cues: tuple[Cue, ...]
    words: tuple[Word, ...]
    warnings: tuple[SourceWarning, ...] = ()


# --------------------------------------------------------------------------- the draft


class Because(Frozen):
    """Where an entry of the draft comes from: words of a segment, and the rule or lexicon entry."""

    segment: str | None
    span: tuple[int, int] | None
    rule: str
    step: str | None = None
    note: str | None = None


class Document(Frozen):
    """The document's own data; from a job file or the review, never guessed."""

    machine: str | None = None
    type: str | None = None
    number: str | None = None
    revision: str | None = None
    author: str | None = None
    english: Literal["uk", "us"] | None = None


class Source(Frozen):
    """The transcript that the draft was made from."""

    name: str
    format: str
    sha256: str
    duration_s: float | None
    language: str | None
    times: Times
    warnings: tuple[SourceWarning, ...] = ()


class Segment(Frozen):
    """One utterance. `trust` is the chance that the words are what the speaker said."""

    id: str
    start_s: float | None
    end_s: float | None
    text: str
    corrected: str | None = None
    speaker: str | None = None
    role: Role
    trust: float
    steps: tuple[str, ...] = ()
    because: tuple[Because, ...] = ()


class Section(Frozen):
    """A part of the job, opened by a heading of the talk."""

    id: str
    title: str
    start_s: float | None
    segments: tuple[str, ...]


class Measure(Frozen):
    """A clearance, fill amount, waiting time, temperature … with its unit as a symbol."""

    what: str
    value: float | None = None
    low: float | None = None
    high: float | None = None
    unit: str | None = None
    text: str


class Part(Frozen):
    """The object of a step: which part, how many, where it sits and where it is moved."""

    text: str
    component: str | None = None
    quantity: int | None = None
    quantity_text: str | None = None
    position: str | None = None
    direction: str | None = None
    same_as: str | None = None
    id: str


class Note(Frozen):
    """One written thought that belongs to a step; never raw speech."""

    id: str
    kind: Literal["align", "orient", "treat", "handle", "order", "check", "reason"]
    text: str
    segments: tuple[str, ...] = ()
    applies_when: tuple[str, ...] = ()
    because: tuple[Because, ...] = ()


class Step(Frozen):
    """One act of the removal or of the work itself."""

    id: str
    number: int
    section: str | None
    action: str
    spoken_action: str
    objects: tuple[Part, ...]
    manner: str | None = None
    tools: tuple[str, ...] = ()
    text: str
    start_s: float | None
    end_s: float | None
    segments: tuple[str, ...]
    applies_when: tuple[str, ...] = ()
    measures: tuple[Measure, ...] = ()
    notes: tuple[Note, ...] = ()
    confidence: float
    flags: tuple[str, ...] = ()
    done_before_camera: bool = False
    because: tuple[Because, ...]


class NotUndone(Frozen):
    """A removal step that the refit need not undo."""

    step: str
    reason: str


class RefitStep(Frozen):
    """One act of putting back together, spoken in the talk or derived from the removal."""

    id: str
    number: int
    origin: Literal["spoken", "derived"]
    undoes: tuple[str, ...] = ()
    action: str
    objects: tuple[Part, ...]
    measures: tuple[Measure, ...] = ()
    text: str
    renewals: tuple[str, ...] = ()
    torques: tuple[str, ...] = ()
    notes: tuple[Note, ...] = ()
    applies_when: tuple[str, ...] = ()
    segments: tuple[str, ...] = ()
    flags: tuple[str, ...] = ()
    because: tuple[Because, ...]


class Renewal(Frozen):
    """A part or material that must be new on refit, or is used up; one entry a mention."""

    id: str
    item: str
    component: str | None = None
    position: str | None = None
    quantity: int | None = None
    count_from: Literal["spoken", "singular", "removed", "unknown"]
    quantity_text: str | None = None
    kind: Literal["renew", "substitute", "consumable"]
    replaced_by: str | None = None
    amount_value: float | None = None
    amount_unit: str | None = None
    amount_text: str | None = None
    only_if: str | None = None
    part_number: str | None = None
    same_as: str | None = None
    step: str | None = None
    refit: str | None = None
    applies_when: tuple[str, ...] = ()
    segments: tuple[str, ...]
    because: tuple[Because, ...]


class Fastener(Frozen):
    """Thread size such as "M8" or "3/8-24" and property class such as "8.8"; null where unknown."""

    size: str | None = None
    grade: str | None = None


class Stage(Frozen):
    """One stage of tightening: a value in newton metres, or a range, or an angle."""

    value_nm: float | None = None
    low_nm: float | None = None
    high_nm: float | None = None
    angle_deg: float | None = None


class TorqueCheck(Frozen):
    """Plausibility of a tightening value for its fastener; never a source of values."""

    status: Literal["ok", "implausible", "no_value", "not_checked"]
    low_nm: float | None = None
    high_nm: float | None = None
    basis: str | None = None


class Torque(Frozen):
    """A tightening requirement, with or without a value."""

    id: str
    joint: str
    fastener: Fastener = Fastener()
    stages: tuple[Stage, ...] = ()
    value_nm: float | None = None
    angle_deg: float | None = None
    spoken: tuple[str, ...] = ()
    order: str | None = None
    reference: str | None = None
    scope: Literal["step", "onward", "all"] = "step"
    steps: tuple[str, ...] = ()
    refit: tuple[str, ...] = ()
    applies_when: tuple[str, ...] = ()
    segments: tuple[str, ...]
    check: TorqueCheck
    because: tuple[Because, ...]


class Condition(Frozen):
    """A variant, an option or a skip, with the steps that it governs."""

    id: str
    kind: Literal["variant", "option", "skip"]
    axis: str | None = None
    value: str | None = None
    values: tuple[str, ...] = ()
    negated: bool = False
    text: str
    steps: tuple[str, ...] = ()
    ends: Literal["spoken", "else", "rejoin", "heading", "never"]
    resumes_at: str | None = None
    segments: tuple[str, ...]
    because: tuple[Because, ...]


class Caution(Frozen):
    """A spoken warning, or the usual one for a hazard that the talk touches."""

    id: str
    hazard: str
    signal_word: Literal["DANGER", "WARNING", "CAUTION", "NOTICE"]
    text: str
    origin: Literal["spoken", "usual"]
    steps: tuple[str, ...] = ()
    refit: tuple[str, ...] = ()
    applies_when: tuple[str, ...] = ()
    segments: tuple[str, ...]
    because: tuple[Because, ...]


class Tool(Frozen):
    """A tool or piece of equipment that the talk names."""

    id: str
    item: str
    size: str | None = None
    steps: tuple[str, ...] = ()
    segments: tuple[str, ...]
    because: tuple[Because, ...]


class Suggestion(Frozen):
    """What was probably meant, and why."""

    text: str
    why: str
    score: float


class FlagSpan(Frozen):
    """The words that a flag points at."""

    segment: str
    start: int
    end: int


class Flag(Frozen):
    """Something that a reviewer has to look at."""

    id: str
    code: str
    severity: Severity
    message: str
    segments: tuple[str, ...] = ()
    steps: tuple[str, ...] = ()
    spans: tuple[FlagSpan, ...] = ()
    evidence: dict[str, object] = Field(default_factory=dict)
    suggestions: tuple[Suggestion, ...] = ()
    state: Literal["open", "settled"] = "open"


class SignOff(Frozen):
    """Who signed the procedure, when, and the hash of what was signed."""

    by: str
    at: str
    hash: str


class Draft(Frozen):
    """A written procedure in the making: everything said, understood, derived and still open."""

    schema_: Literal["benchtalk.draft/1"] = Field(default=SCHEMA, alias="schema")
    made_by: str
    title: str | None
    document: Document = Document()
    source: Source
    segments: tuple[Segment, ...]
    sections: tuple[Section, ...] = ()
    steps: tuple[Step, ...] = ()
    not_undone: tuple[NotUndone, ...] = ()
    refit: tuple[RefitStep, ...] = ()
    renewals: tuple[Renewal, ...] = ()
    torques: tuple[Torque, ...] = ()
    conditions: tuple[Condition, ...] = ()
    cautions: tuple[Caution, ...] = ()
    tools: tuple[Tool, ...] = ()
    flags: tuple[Flag, ...] = ()
    signed: SignOff | None = None

    model_config = ConfigDict(frozen=True, extra="forbid", populate_by_name=True, serialize_by_alias=True)
