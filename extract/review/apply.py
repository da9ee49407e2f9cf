"""From a talk and the decisions on it to the reviewed draft: always computed anew, never patched.

Corrected words and roles go through the whole pipeline; edits of the written procedure are applied to what
comes out; answered flags are settled. Decisions whose place can't be told are listed and have no effect.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import partial
from typing import Literal

from extract.model import Draft, Flag, Role, Segment
from extract.review import decisions as say
from extract.review import edits, values
from extract.review.anchors import Finder, analysed, decisive, plain
from extract.review.decisions import Decision, in_force
from extract.review.wording import carry_over

#: Makes a draft of the case's talk with corrected words and roles by segment id.
Make = Callable[[Mapping[str, str], Mapping[str, Role]], Draft]

Placement = Literal["placed", "fulfilled", "unplaced"]


@dataclass(frozen=True, slots=True)
class Placed:
    """What became of a decision that holds.

    `fulfilled`: the talk itself now reads as decided. `unplaced`: its place can't be told; it has no effect
    and waits for the reviewer. `target` is the id of the thing in the present draft.
    """

    decision: Decision
    state: Placement
    target: str | None = None


@dataclass(frozen=True, slots=True)
class Outcome:
    """The reviewed draft, the draft without any decision, and what became of each decision that holds.

    `settled_by` gives the decision that settled each flag, by the flag's id in the reviewed draft.
    """

    draft: Draft
    base: Draft
    placed: tuple[Placed, ...]
    settled_by: Mapping[str, Decision] = field(default_factory=dict)

    @property
    def unplaced(self) -> tuple[Decision, ...]:
        """Decisions that wait for a new place."""
        return tuple(entry.decision for entry in self.placed if entry.state == "unplaced")


def reviewed(base: Draft, decisions: Sequence[Decision], make: Make) -> Outcome:
    """Apply all decisions that hold to the talk of `base`, which is the draft without decisions."""
    holding = in_force(decisions)
    finder = Finder(base.segments)
    fates: dict[str, Placed] = {}
    corrections, roles = _spoken(base, holding, finder, fates)
    draft = make(corrections, roles) if corrections or roles else base
    left_with: dict[str, Decision] = {}
    for decision in holding:
        if decision.id in fates or isinstance(decision.what, say.Accept):
            continue
        target, new = _edited(draft, decision, finder)
        if new is not None and isinstance(decision.what, say.Drop):
            left_with |= {flag_id: decision for flag_id in _hanging_on(draft, new)}
        fates[decision.id] = Placed(decision, "unplaced" if new is None else "placed", target)
        draft = new or draft
    draft, settled_by = _settled(edits.renumber(draft), holding, finder, fates)
    gone = {flag.id for flag in draft.flags if flag.id in left_with and flag.state == "open"}
    flags = tuple(flag.model_copy(update={"state": "settled"}) if flag.id in gone else flag for flag in draft.flags)
    draft = draft.model_copy(update={"flags": flags})
    settled_by |= {flag_id: left_with[flag_id] for flag_id in gone}
    return Outcome(draft, base, tuple(fates[decision.id] for decision in holding), settled_by)


def _hanging_on(before: Draft, after: Draft) -> list[str]:
    """Flags that hang on nothing but the steps that were taken out between two drafts."""
    rest = {step.id: step for step in (*after.steps, *after.refit)}
    out = [step for step in (*before.steps, *before.refit) if step.id not in rest]
    names = {step.id for step in out}
    told = {name for step in out for name in step.segments} - {name for s in rest.values() for name in s.segments}
    return [
        flag.id
        for flag in before.flags
        if (set(flag.steps) & names if flag.steps else set(flag.segments) & told)
        and not set(flag.steps) & set(rest)
        and (flag.steps or set(flag.segments) <= told)
    ]


def _spoken(
    base: Draft, holding: Sequence[Decision], finder: Finder, fates: dict[str, Placed]
) -> tuple[dict[str, str], dict[str, Role]]:
    """Corrected words and roles by present segment id."""
    segments = {segment.id: segment for segment in base.segments}
    reading = {segment.id: segment.text for segment in base.segments}
    roles: dict[str, Role] = {}
    for decision in holding:
        what = decision.what
        if not isinstance(what, say.Words | say.RoleSet):
            continue
        home = finder.find(decision.about, base)
        if home is None and isinstance(what, say.Words):
            home = _already_reads(what.now, decision, base.segments)
        if home is None:
            fates[decision.id] = Placed(decision, "unplaced")
        elif isinstance(what, say.RoleSet):
            roles[home] = what.now
            fates[decision.id] = Placed(decision, "placed", home)
        else:
            carried = carry_over(what.was, what.now, reading[home])
            fulfilled = carried is not None and plain(carried) == plain(reading[home])
            if carried is None:
                fates[decision.id] = Placed(decision, "unplaced", home)
            else:
                reading[home] = carried
                fates[decision.id] = Placed(decision, "fulfilled" if fulfilled else "placed", home)
    corrections = {name: text for name, text in reading.items() if text != segments[name].text}
    return corrections, roles


def _already_reads(now: str, decision: Decision, segments: Sequence[Segment]) -> str | None:
    """The utterance that reads as corrected where the spoken words were, or null: the talk was mended."""
    place = decision.about.spots[0]
    moved = place.model_copy(update={"words": now})
    return Finder(segments).home(moved)


def _edited(draft: Draft, decision: Decision, finder: Finder) -> tuple[str | None, Draft | None]:
    what, why = decision.what, edits.reason_of(decision)
    target = finder.find(decision.about, draft)
    if target is not None and _outdated(draft, decision, target, finder):
        return target, None
    if isinstance(what, say.PartName):
        return target, values.part_name(draft, what, why)
    if isinstance(what, say.DocumentData):
        return "document", values.document(draft, what)
    if target is None:
        return None, None
    other: str | None = None
    linked = {say.Merge: "with_", say.Move: "before", say.ScopeEnd: "last"}.get(type(what))
    if linked is not None and getattr(what, linked) is not None:
        other = finder.find(getattr(what, linked), draft)
        if other is None:
            return target, None
    change = {
        say.Edit: edits.edit,
        say.Split: edits.split,
        say.Add: edits.add,
        say.Drop: edits.drop,
        say.PutBack: edits.put_back,
        say.Quantity: lambda *given: values.quantity(*given, said=_disagreeing(decision, finder)),
        say.PartNumber: values.part_number,
        say.Heading: values.heading,
        say.Tightening: values.tightening,
        say.Merge: partial(_with_other, edits.merge, other),
        say.Move: lambda draft, target, what, why: edits.move(draft, target, other, why),
        say.ScopeEnd: lambda draft, target, what, why: values.scope_end(draft, target, other, why),
    }[type(what)]
    return target, change(draft, target, what, why)


def _outdated(draft: Draft, decision: Decision, target: str, finder: Finder) -> bool:
    """Whether a number or direction beneath was corrected since: what was written on it before would bring the old one back."""
    rewrites = isinstance(decision.what, say.Edit | say.Split | say.Merge)
    if not rewrites and not isinstance(decision.what, say.Quantity | say.Tightening):
        return False
    written = {step.id: step.text for step in (*draft.steps, *draft.refit)}.get(target, "")
    if rewrites and decisive(written) != decisive(decision.about.label):
        return True
    texts = {segment.id: analysed(segment) for segment in draft.segments}
    return any(
        decisive(spot.words if spot.corrected is None else spot.corrected) != decisive(texts[finder.home(spot) or ""])
        for spot in decision.about.spots
    )


def _disagreeing(decision: Decision, finder: Finder) -> frozenset[str]:
    """Utterances whose counts the decision settles between."""
    if decision.settles is None or decision.settles.code != "quantity_conflict":
        return frozenset()
    return frozenset(home for spot in decision.settles.spots if (home := finder.home(spot)) is not None)


def _with_other(change: Callable, other: str, draft: Draft, target: str, what: object, why: object) -> Draft | None:
    return change(draft, target, other, what, why)


def _settled(
    draft: Draft, holding: Sequence[Decision], finder: Finder, fates: dict[str, Placed]
) -> tuple[Draft, dict[str, Decision]]:
    """Set answered flags to `settled`, and say by which decision; those no longer raised are kept as settled."""
    settled_by: dict[str, Decision] = {}
    flags = {flag.id: flag for flag in draft.flags}
    present = {segment.id for segment in draft.segments}
    for decision in holding:
        answer = decision.settles or (decision.about if isinstance(decision.what, say.Accept) else None)
        fate = fates.get(decision.id)
        if answer is None or (fate is not None and fate.state == "unplaced"):
            continue
        homes = tuple(dict.fromkeys(finder.home(spot) for spot in answer.spots))
        target = finder.find(answer, draft)
        if fate is None:
            # Accepting holds only for what was accepted: the same flag on the same words.
            state: Placement = "placed" if target or None not in homes else "unplaced"
            fates[decision.id] = Placed(decision, state, target)
            if state == "unplaced":
                continue
        if target is not None:
            flags[target] = flags[target].model_copy(update={"state": "settled"})
            settled_by[target] = decision
            continue
        for flag in _raised_on_given_words(draft, decision, homes):
            flags[flag.id] = flag.model_copy(update={"state": "settled"})
            settled_by[flag.id] = decision
        name = answer.id if answer.id not in flags else f"{answer.id}~{decision.id}"
        flags[name] = Flag(
            id=name,
            code=answer.code or "unread",
            severity=answer.severity or "check",
            message=answer.message or "",
            segments=tuple(home for home in homes if home in present),
            state="settled",
        )
        settled_by[name] = decision
    return draft.model_copy(update={"flags": tuple(flags.values())}), settled_by


def _raised_on_given_words(draft: Draft, decision: Decision, homes: Sequence[str | None]) -> list[Flag]:
    """The same question again about the very words that the reviewer gave."""
    if not isinstance(decision.what, say.Words) or decision.settles is None:
        return []
    given = set(plain(decision.what.now).split()) - set(plain(decision.what.was).split())
    texts = {segment.id: analysed(segment) for segment in draft.segments}
    return [
        flag
        for flag in draft.flags
        if flag.code == decision.settles.code
        and flag.spans
        and all(
            span.segment in homes and set(plain(texts[span.segment][span.start : span.end]).split()) <= given
            for span in flag.spans
        )
    ]
