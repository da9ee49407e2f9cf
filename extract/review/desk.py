"""What the page shows: the procedure as it will be published, with the open points at their places."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

import reports.view
from extract.model import Draft, Flag, RefitStep, Segment, Step
from extract.review.anchors import analysed
from extract.review.answers import ROLES, AnswerKind, choices, condition_of, kind_of, told_in
from extract.review.apply import Outcome
from extract.review.decisions import Decision, Drop
from extract.review.describe import SEVERITIES, describe, question
from extract.review.log import BadLine, Lines
from extract.review.signoff import SignatureState, signature_state
from reports.base import Options
from reports.text import time_code
from reports.view_model import Paper

#: Points and texts that stand before the first step, and those of the lists at the end.
TOP = "top"
#: The film starts this long before the words (seconds).
LEAD_IN_S = 2.0
_PLUMBING = frozenset({"rule", "condition", "torque", "renewal", "object", "component", "refit"})


@dataclass(frozen=True, slots=True)
class Said:
    """Words of the talk in their surroundings; `marked` are the ones in question."""

    segment: str
    before: str
    lead: str
    marked: str
    tail: str
    after: str
    spoken: str
    time: str
    play_s: float | None
    role: str

    @property
    def words(self) -> str:
        """The whole utterance as the program goes by it."""
        return self.lead + self.marked + self.tail


@dataclass(frozen=True, slots=True)
class DecisionView:
    """A decision that holds, in words."""

    id: str
    by: str
    at: str
    text: str


@dataclass(frozen=True, slots=True)
class PointView:
    """A flag with everything that a reviewer needs to settle it. `number` counts the points in document order."""

    id: str
    number: int
    code: str
    question: str
    severity: str
    severity_word: str
    message: str
    open: bool
    place: str
    said: Said | None
    also: tuple[Said, ...]
    suggestions: tuple[tuple[int, str, str], ...]
    answer: AnswerKind
    first_step: int
    evidence: tuple[tuple[str, str], ...]
    decision: DecisionView | None


@dataclass(frozen=True, slots=True)
class Change:
    """What the review changed on a step: how it read before, if it did, and whether just now."""

    was: str
    fresh: bool


@dataclass(frozen=True, slots=True)
class Desk:
    """Everything that the page needs for one state of the case."""

    paper: Paper
    draft: Draft
    talk: Talk
    points: tuple[PointView, ...]
    at: Mapping[str, tuple[PointView, ...]]
    changes: Mapping[str, Change]
    dropped: Mapping[str, tuple[DecisionView, ...]]
    unplaced: tuple[DecisionView, ...]
    bad_lines: tuple[BadLine, ...]
    version: int
    signature: SignatureState
    left: Mapping[str, int] = field(default_factory=dict)

    @property
    def total_left(self) -> int:
        """Number of open points of any severity."""
        return sum(self.left.values())

    def point(self, point_id: str) -> PointView | None:
        """The point of that id."""
        return next((point for point in self.points if point.id == point_id), None)

    def neighbour(self, point_id: str | None, direction: int) -> PointView | None:
        """The next open point after (1) or before (-1) one, round the end; the first where none is given."""
        waiting = [point for point in self.points if point.open and point.id != point_id]
        if not waiting:
            return None
        here = self.point(point_id) if point_id else None
        number = here.number if here else 0
        if direction > 0:
            return next((point for point in waiting if point.number > number), waiting[0])
        return next((point for point in reversed(waiting) if point.number < number), waiting[-1])

    def said(self, segment_id: str) -> Said | None:
        """An utterance in its surroundings."""
        return self.talk.said(segment_id)


@dataclass(frozen=True, slots=True)
class Passage:
    """Utterances that follow each other without a long pause, under a heading of the talk if one begins here."""

    title: str
    time: str
    segments: tuple[Segment, ...]
    points: tuple[PointView, ...]


class Talk:
    """The utterances of a draft by their ids, and each in its surroundings."""

    def __init__(self, draft: Draft) -> None:
        self._segments = draft.segments
        self._at = {segment.id: index for index, segment in enumerate(draft.segments)}

    def position(self, segment_id: str | None) -> int:
        """Number of an utterance from 0; -1 where there is none of that id."""
        return self._at.get(segment_id or "", -1)

    def said(self, segment_id: str, flag: Flag | None = None) -> Said | None:
        """An utterance with its neighbours, the words that a flag points at marked; null for no such one."""
        index = self.position(segment_id)
        if index < 0:
            return None
        segment = self._segments[index]
        words = analysed(segment)
        span = next((span for span in flag.spans if span.segment == segment.id), None) if flag else None
        start, end = (span.start, span.end) if span else (0, 0)
        begins = segment.start_s
        return Said(
            segment=segment.id,
            before=" ".join(analysed(other) for other in self._segments[max(0, index - 2) : index]),
            lead=words[:start],
            marked=words[start:end],
            tail=words[end:],
            after=" ".join(analysed(other) for other in self._segments[index + 1 : index + 3]),
            spoken=segment.text if segment.corrected is not None else "",
            time=time_code(begins),
            play_s=max(0.0, begins - LEAD_IN_S) if begins is not None else None,
            role=segment.role,
        )


def passages(desk: Desk, *, pause_s: float = 2.5, longest: int = 8) -> list[Passage]:
    """The whole talk in passages for reading."""
    draft = desk.draft
    titles = {section.segments[0]: section.title for section in draft.sections if section.segments}
    groups: list[list[Segment]] = []
    for segment in draft.segments:
        last = groups[-1][-1] if groups else None
        gap = segment.start_s - last.end_s if last and segment.start_s is not None and last.end_s is not None else 0
        if last is None or segment.id in titles or gap > pause_s or len(groups[-1]) >= longest:
            groups.append([])
        groups[-1].append(segment)
    asked: dict[str, list[PointView]] = {}
    for point in desk.points:
        if point.said:
            asked.setdefault(point.said.segment, []).append(point)
    return [
        Passage(
            title=titles.get(group[0].id, ""),
            time=time_code(group[0].start_s),
            segments=tuple(group),
            points=tuple(point for segment in group for point in asked.get(segment.id, ())),
        )
        for group in groups
    ]


def lay_out(outcome: Outcome, lines: Lines[Decision], before: Draft | None = None) -> Desk:
    """Lay the case out. `before` is the draft before the last change, to mark what is fresh."""
    draft = outcome.draft
    signature = signature_state(draft)
    paper = reports.view.view(draft, Options(edition="published", signature=signature))
    places = _Places(draft)
    talk = Talk(draft)
    flags = sorted(draft.flags, key=lambda flag: (places.order(places.of(flag)), talk.position(told_in(flag))))
    points = tuple(
        _point(draft, talk, flag, number, places.of(flag), outcome.settled_by.get(flag.id))
        for number, flag in enumerate(flags, 1)
    )
    at: dict[str, list[PointView]] = {}
    for point in points:
        at.setdefault(point.place, []).append(point)
    dropped: dict[str, list[DecisionView]] = {}
    for entry in outcome.placed:
        if isinstance(entry.decision.what, Drop) and entry.state == "placed":
            text = f"{entry.decision.about.label} {describe(entry.decision)}"
            dropped.setdefault(places.before(entry.decision, outcome.base), []).append(_view(entry.decision, text))
    waiting = [point for point in points if point.open]
    return Desk(
        paper=paper,
        draft=draft,
        talk=talk,
        points=points,
        at={place: tuple(found) for place, found in at.items()},
        changes=_changes(outcome.base, before, draft),
        dropped={place: tuple(found) for place, found in dropped.items()},
        unplaced=tuple(_view(decision, _lost(decision)) for decision in outcome.unplaced),
        bad_lines=lines.bad,
        version=lines.version,
        signature=signature,
        left={severity: sum(point.severity == severity for point in waiting) for severity in SEVERITIES},
    )


def view_of(decision: Decision) -> DecisionView:
    """A decision in words."""
    return _view(decision, describe(decision))


# --------------------------------------------------------------------------- places


class _Places:
    """Where in the document a point stands: at a step it names, else at the step told last before its words."""

    def __init__(self, draft: Draft) -> None:
        ids = [TOP, *(step.id for step in draft.steps), *(step.id for step in draft.refit)]
        self._order = {name: index for index, name in enumerate(ids)}
        self._by_segment: dict[str, str] = {}
        host = TOP
        steps_of: dict[str, list[str]] = {}
        for step in (*draft.steps, *draft.refit):
            for segment in step.segments:
                steps_of.setdefault(segment, []).append(step.id)
        for segment in draft.segments:
            mine = steps_of.get(segment.id)
            self._by_segment[segment.id] = mine[0] if mine else host
            host = mine[-1] if mine else host

    def of(self, flag: Flag) -> str:
        named = [name for name in flag.steps if name in self._order]
        told = [self._by_segment[name] for name in flag.segments if name in self._by_segment]
        return next(iter([*named, *told]), TOP)

    def before(self, decision: Decision, base: Draft) -> str:
        """The step after which one stood that a decision took out."""
        for half in (base.steps, base.refit):
            if half is base.steps and decision.about.kind == "refit":
                continue
            texts = [step.text for step in half]
            if decision.about.label in texts and texts.count(decision.about.label) == 1:
                earlier = half[: texts.index(decision.about.label)]
                return next((step.id for step in reversed(earlier) if step.id in self._order), TOP)
        spots = decision.about.spots
        return self._by_segment.get(spots[0].segment, TOP) if spots else TOP

    def order(self, place: str) -> int:
        return self._order[place]


# --------------------------------------------------------------------------- points


def _point(draft: Draft, talk: Talk, flag: Flag, number: int, place: str, decision: Decision | None) -> PointView:
    told = told_in(flag)
    others = [talk.said(name, flag) for name in flag.segments if name != told]
    return PointView(
        id=flag.id,
        number=number,
        code=flag.code,
        question=question(flag.code),
        severity=flag.severity,
        severity_word=SEVERITIES[flag.severity],
        message=flag.message,
        open=flag.state == "open",
        place=place,
        said=talk.said(told, flag) if told else None,
        also=tuple(other for other in others if other)[:3],
        suggestions=tuple((n, _shown(draft, s.text), s.why) for n, s in enumerate(choices(draft, flag), start=1)),
        answer=kind_of(flag),
        first_step=_first_step(draft, flag, place),
        evidence=tuple(
            (key.replace("_", " "), _plain(value)) for key, value in flag.evidence.items() if key not in _PLUMBING
        )[:6],
        decision=view_of(decision) if decision else None,
    )


def _first_step(draft: Draft, flag: Flag, place: str) -> int:
    """Number of the first step that the condition in question can govern."""
    condition = condition_of(draft, flag)
    numbers = {step.id: step.number for step in draft.steps}
    governed = [numbers[name] for name in condition.steps if name in numbers] if condition else []
    return min(governed, default=numbers.get(place, 1))


def _shown(draft: Draft, text: str) -> str:
    """A suggestion as shown: a role in words, a step that is named by its id with its number and text."""
    if text in ROLES:
        return text.replace("_", " ")
    step = next((step for step in draft.steps if step.id == text), None)
    return f"ends with step {step.number}: {step.text}" if step else text


def _plain(value: object) -> str:
    if isinstance(value, float):
        return f"{value:g}"
    if isinstance(value, list | tuple):
        return ", ".join(_plain(entry) for entry in value)
    if isinstance(value, dict):
        return ", ".join(f"{key}: {_plain(entry)}" for key, entry in value.items())
    return str(value)


def _view(decision: Decision, text: str) -> DecisionView:
    day, _, clock = decision.at.partition("T")
    return DecisionView(decision.id, decision.by, f"{day} {clock[:5]} UTC", text)


def _lost(decision: Decision) -> str:
    spot = decision.about.spots[0].words if decision.about.spots else decision.about.label
    return f"{describe(decision)} — decided on “{spot}”"


# --------------------------------------------------------------------------- changes


def _changes(base: Draft, before: Draft | None, now: Draft) -> dict[str, Change]:
    fresh = _differences(before, now) if before is not None else {}
    changes = {name: Change(was, name in fresh) for name, was in _differences(base, now).items()}
    for name, was in fresh.items():
        changes.setdefault(name, Change(was, True))
    return changes


def _differences(old: Draft, new: Draft) -> dict[str, str]:
    """Steps that read or apply otherwise than in the old draft, with how they read there (may be empty)."""
    found: dict[str, str] = {}
    was: dict[str, str] = {}
    for olds, news in ((old.steps, new.steps), (old.refit, new.refit)):
        by_id = {step.id: step for step in olds}
        gone = [step for step in olds if step.id not in {step.id for step in news}]
        for step in news:
            same = by_id.get(step.id) or next((entry for entry in gone if _stood_for(entry, step, was)), None)
            if same is None:
                found[step.id] = ""
                continue
            was[step.id] = same.id
            if (same.text, same.applies_when, same.notes) != (step.text, step.applies_when, step.notes):
                found[step.id] = same.text if same.text != step.text else ""
    return found


def _stood_for(old: Step | RefitStep, new: Step | RefitStep, was: Mapping[str, str]) -> bool:
    """Whether a step that is gone came from the same words, or undid the step that the new one undoes now."""
    if set(old.segments) & set(new.segments):
        return True
    if isinstance(old, RefitStep) and isinstance(new, RefitStep):
        return bool({was.get(name) for name in new.undoes} & set(old.undoes))
    return False
