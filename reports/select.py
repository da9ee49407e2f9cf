"""One variant of a draft: everything that holds only for another variant is taken out, so that nothing of it is left.

This works on the draft itself, before any writer sees it; so no format can leak another variant's words.
"""

from __future__ import annotations

import re
from collections.abc import Iterable

from extract.errors import CaseError
from extract.model import Because, Condition, Draft, Flag, Segment
from reports.text import clean

_RANGE = re.compile(
    r"(?:(?P<from>from|since|after)\s+(?P<a>\d{4})(?:\s+(?:on|onwards?))?"
    r"|(?P<b>\d{4})\s+(?:on|onwards?|and later|or later)"
    r"|(?P<to>up to|until|before|to)\s+(?P<c>\d{4})"
    r"|(?P<d>\d{4})\s*(?:to|-|–)\s*(?P<e>\d{4}))$"
)


def parse_only(choices: Iterable[str]) -> tuple[tuple[str, str], ...]:
    """Read `axis=value` choices; `axis=not value` picks the other branch."""
    pairs = []
    for choice in choices:
        axis, equals, value = choice.partition("=")
        if not equals or not axis.strip() or not value.strip():
            raise CaseError(f"--only {choice!r} is not a variant.", remedy='Write it as --only "axis=value".')
        pairs.append((" ".join(axis.split()), " ".join(value.split())))
    return tuple(pairs)


def variant_words(only: tuple[tuple[str, str], ...]) -> str:
    """Return how an edition names its variant: "gearbox: automated; year: 2020"."""
    return "; ".join(f"{clean(axis)}: {clean(value)}" for axis, value in only)


def axes(draft: Draft) -> dict[str, list[str]]:
    """Return the variants that the talk tells apart: axis to its values, in spoken order."""
    found: dict[str, list[str]] = {}
    for condition in draft.conditions:
        if condition.kind == "variant" and condition.axis:
            values = found.setdefault(_plain(condition.axis), [])
            values.extend(v for v in _values(condition) if v not in values)
    return found


def only_variant(draft: Draft, only: tuple[tuple[str, str], ...]) -> Draft:
    """Return the draft for one variant. Steps keep their ids and are numbered anew.

    Raises CaseError for an axis or a value that the talk does not know.
    """
    chosen = _checked(draft, only)
    out = {c.id for c in draft.conditions if _holds(c, chosen) is False}
    return _without(draft, out)


def decided(draft: Draft, only: tuple[tuple[str, str], ...]) -> set[str]:
    """Return the ids of the conditions that surely hold for the chosen variant, and so need no mark."""
    chosen = {_plain(axis): _plain(value) for axis, value in only}
    return {c.id for c in draft.conditions if _holds(c, chosen)}


def _plain(text: str | None) -> str:
    return clean(text).casefold()


def _values(condition: Condition) -> list[str]:
    given = condition.values or ((condition.value,) if condition.value else ())
    return [_plain(value) for value in given]


def _checked(draft: Draft, only: tuple[tuple[str, str], ...]) -> dict[str, str]:
    known = axes(draft)
    chosen: dict[str, str] = {}
    for axis, value in only:
        name, wanted = _plain(axis), _plain(value)
        if name not in known:
            names = ", ".join(known) or "none"
            raise CaseError(f"The talk tells no variants of {axis!r} apart.", remedy=f"It knows: {names}.")
        if chosen.get(name, wanted) != wanted:
            raise CaseError(f"Two values for {axis!r}.", remedy="Choose one.")
        values = known[name]
        bare = wanted.removeprefix("not ")
        is_year = re.fullmatch(r"\d{4}", bare) and any(_RANGE.match(v) or re.fullmatch(r"\d{4}", v) for v in values)
        if bare not in values and not is_year:
            raise CaseError(
                f"The talk knows no {axis} {value!r}.",
                remedy=f"It knows: {', '.join(values) or 'none'}. For the other branch write: {axis}=not VALUE.",
            )
        chosen[name] = wanted
    return chosen


def _holds(condition: Condition, chosen: dict[str, str]) -> bool | None:
    """Whether the condition holds for the chosen variant; None where the choice does not decide it."""
    wanted = chosen.get(_plain(condition.axis)) if condition.kind == "variant" else None
    values = _values(condition)
    if wanted is None or not values:
        return None
    if wanted.startswith("not "):
        return condition.negated if values == [wanted[4:]] else None
    return any(_matches(wanted, value) for value in values) != condition.negated


def _matches(wanted: str, value: str) -> bool:
    if wanted == value:
        return True
    found = _RANGE.match(value)
    if not found or not re.fullmatch(r"\d{4}", wanted):
        return False
    year, part = int(wanted), found.groupdict()
    if part["a"]:
        return year > int(part["a"]) if part["from"] == "after" else year >= int(part["a"])
    if part["b"]:
        return year >= int(part["b"])
    if part["c"]:
        return year < int(part["c"]) if part["to"] == "before" else year <= int(part["c"])
    return int(part["d"]) <= year <= int(part["e"])


def _without(draft: Draft, out: set[str]) -> Draft:
    """Take out everything governed by the conditions in `out`, and the talk's words that say nothing else."""

    def stays(entry) -> bool:
        return not out & set(entry.applies_when)

    steps = [s for s in draft.steps if stays(s)]
    refit = [s for s in draft.refit if stays(s)]
    renewals = [r for r in draft.renewals if stays(r)]
    torques = [t for t in draft.torques if stays(t)]
    cautions = [c for c in draft.cautions if stays(c)]
    gone_steps = {s.id for s in draft.steps} - {s.id for s in steps}
    # A refit step that only puts back what this variant never took off goes too.
    refit = [s for s in refit if not (s.undoes and set(s.undoes) <= gone_steps)]
    left = {s.id for s in (*steps, *refit)}
    everything = {s.id for s in (*draft.steps, *draft.refit)}

    def lost(*ids: str | None) -> bool:
        """All steps that the entry belongs to are gone."""
        named = {i for i in ids if i in everything}
        return bool(named) and not named & left

    renewals = [r for r in renewals if not lost(r.step, r.refit)]
    torques = [t for t in torques if not lost(*t.steps, *t.refit)]
    cautions = [c for c in cautions if not lost(*c.steps, *c.refit)]
    conditions = [c for c in draft.conditions if c.id not in out and not (c.kind == "skip" and lost(*c.steps))]
    tools = [t for t in draft.tools if not lost(*t.steps)]

    segments = _segments(draft, [*steps, *refit, *renewals, *torques, *cautions, *conditions, *tools], out)
    said = {s.id for s in segments}
    kept = _Kept(said, left, {c.id for c in conditions}, {r.id for r in renewals}, {t.id for t in torques})
    flags = [f for f in draft.flags if not lost(*f.steps) and not (f.segments and not set(f.segments) & said)]
    kept.flags = {f.id for f in flags}
    kept.objects = {p.id for s in (*steps, *refit) for p in s.objects}
    had_steps = {s.section for s in draft.steps}
    has_steps = {s.section for s in steps}
    sections = [s for s in draft.sections if s.id in has_steps or (s.id not in had_steps and set(s.segments) & said)]
    return draft.model_copy(
        update={
            "segments": tuple(kept.trim(s) for s in segments),
            "sections": tuple(kept.trim(s) for s in sections),
            "steps": tuple(kept.trim(s, number=n) for n, s in enumerate(steps, 1)),
            "refit": tuple(kept.trim(s, number=n) for n, s in enumerate(refit, 1)),
            "not_undone": tuple(n for n in draft.not_undone if n.step in left),
            "renewals": tuple(kept.trim(r) for r in renewals),
            "torques": tuple(kept.trim(t) for t in torques),
            "conditions": tuple(kept.trim(c) for c in conditions),
            "cautions": tuple(kept.trim(c) for c in cautions),
            "tools": tuple(kept.trim(t) for t in tools),
            "flags": tuple(kept.trim(f) for f in flags),
        }
    )


def _segments(draft: Draft, entries: list, out: set[str]) -> list[Segment]:
    """The utterances that are left: those that an entry still stands on, or that never led to one."""
    told: set[str] = set()
    for entry in (
        *draft.steps,
        *draft.refit,
        *draft.renewals,
        *draft.torques,
        *draft.cautions,
        *draft.conditions,
        *draft.tools,
    ):
        told.update(_sources(entry, set()))
    kept = {segment for entry in entries for segment in _sources(entry, out)}
    return [s for s in draft.segments if s.id not in told or s.id in kept]


def _sources(entry, out: set[str]) -> set[str]:
    found = set(entry.segments) | {b.segment for b in entry.because if b.segment}
    for note in getattr(entry, "notes", ()):
        if out & set(note.applies_when):
            found -= set(note.segments) - {b.segment for b in entry.because}
        else:
            found |= set(note.segments)
    return found


class _Kept:
    """Trims references to what is left."""

    def __init__(
        self, segments: set[str], steps: set[str], conditions: set[str], renewals: set[str], torques: set[str]
    ):
        self.segments = segments
        self.known = {
            "segments": segments,
            "steps": steps,
            "refit": steps,
            "undoes": steps,
            "applies_when": conditions,
            "renewals": renewals,
            "torques": torques,
        }
        self.flags: set[str] = set()
        self.objects: set[str] = set()

    def trim(self, entry, **update):
        for name, known in (*self.known.items(), ("flags", self.flags)):
            ids = getattr(entry, name, None)
            if isinstance(ids, tuple):
                update[name] = tuple(i for i in ids if i in known)
        for name, known in (
            ("step", self.known["steps"]),
            ("refit", self.known["steps"]),
            ("resumes_at", self.known["steps"]),
            ("same_as", self.known["renewals"]),
        ):
            if isinstance(getattr(entry, name, None), str) and getattr(entry, name) not in known:
                update[name] = None
        if getattr(entry, "because", ()):
            update["because"] = tuple(self._because(b) for b in entry.because)
        if getattr(entry, "notes", ()):
            notes = [n for n in entry.notes if set(n.applies_when) <= self.known["applies_when"]]
            update["notes"] = tuple(self.trim(n) for n in notes)
        if getattr(entry, "objects", ()):
            update["objects"] = tuple(
                p if p.same_as is None or p.same_as in self.objects else p.model_copy(update={"same_as": None})
                for p in entry.objects
            )
        if isinstance(entry, Flag):
            update["spans"] = tuple(s for s in entry.spans if s.segment in self.segments)
        return entry.model_copy(update=update)

    def _because(self, because: Because) -> Because:
        gone = {}
        if because.segment is not None and because.segment not in self.segments:
            gone |= {"segment": None, "span": None}
        if because.step is not None and because.step not in self.known["steps"]:
            gone |= {"step": None}
        return because.model_copy(update=gone) if gone else because
