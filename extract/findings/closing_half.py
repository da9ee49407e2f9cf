"""Where the talk itself goes over to putting back, though nobody announces it.

Once nothing more is taken apart, acts on what is off ("the belt goes back on", "do the clips up", "fill it") are the
refit. Many speakers say no word like "reassembly": what was done before tells it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from extract.findings.phases import APART, PhaseFound
from extract.speech import Action, Mention
from extract.wordforms import word_set

_BACK = frozenset({"fit", "connect", "close", "tighten", "fill", "restore", "secure", "replace", "renew"})
#: What is opened, shut and switched at the end of a job as well as at its start.
_SUPPLIES = word_set("valve cock tap breaker isolator supply gas water fuel switch stopcock")
#: What is brought in for the job, and taken away again at its end.
_BROUGHT = word_set(
    "padlock lock tag clamp tray pan jack stand block prop chock sling plug cap rag wedge bowl bucket barrier"
)
_PUT = frozenset(
    {"fit", "place", "secure", "support", "cover", "apply", "raise", "hold", "isolate", "collect", "adjust"}
)
#: As many acts of putting back make a refit where no word announces it.
_ENOUGH = 2
_INWARDS = word_set("in on home back through together")


def with_closing_half(acts: Sequence[Action]) -> tuple[Action, ...]:
    """After the last act of taking apart, everything that follows a first act of putting back belongs to the refit."""
    latest_first = sorted(acts, key=lambda act: act.place.utterance, reverse=True)
    last = next((act.place.utterance for act in latest_first if _takes_apart(act, acts)), -1)
    behind = [act for act in acts if act.place.utterance > last and not act.negated and not act.done]
    told = [act.place.utterance for act in behind if act.phase == "refit"]
    back = [act.place.utterance for act in behind if act.phase == "work" and _puts_back(act, acts)]
    enough = len(back) >= _ENOUGH or bool(told and back)
    begins = min(told + back if enough else told, default=None)
    if begins is None:
        return tuple(acts)
    return tuple(replace(act, phase="refit") if act.place.utterance >= begins and not act.done else act for act in acts)


def phases_of_closing_half(phases: Sequence[PhaseFound], acts: Sequence[Action]) -> tuple[PhaseFound, ...]:
    """The phases, with the refit going on from its first act behind the last one of the work."""
    working = max((act.place.utterance for act in acts if act.phase == "work" and not act.negated), default=-1)
    begins = min(
        (act.place.utterance for act in acts if act.phase == "refit" and act.place.utterance > working),
        default=len(phases),
    )
    return tuple(
        replace(found, refit=True, onward=True) if index >= begins else found for index, found in enumerate(phases)
    )


def _takes_apart(act: Action, acts: Sequence[Action]) -> bool:
    """Whether an act of the work takes off, or loosens, what was in its place until then."""
    if act.sense not in APART or act.phase != "work" or act.negated:
        return False
    if act.sense in ("open", "isolate") and any(thing.head in _SUPPLIES for thing in act.objects):
        return False
    return not act.objects or not all(
        _was_brought(thing, act, acts) or _is_off(thing, act, acts) for thing in act.objects
    )


def _before(act: Action, acts: Sequence[Action]) -> list[Action]:
    return [one for one in acts if one.place.utterance < act.place.utterance and not one.negated]


def _was_brought(thing: Mention, act: Action, acts: Sequence[Action]) -> bool:
    """Whether a thing was put there by an act before: the tray, the padlock, the clamp on the hose."""
    for one in _before(act, acts):
        named = one.objects if one.sense in _PUT else ()
        if any(_same(thing, other) for other in [*named, *one.tools]):
            return True
    return thing.head in _BROUGHT and thing.kind in ("tool", "material", "unknown")


def _is_off(thing: Mention, act: Action, acts: Sequence[Action]) -> bool:
    """Whether a part (no screw of many) came off before, so that "knock the pin through" puts it back."""
    if thing.kind == "fastener" or not set((act.particle or "").split()) & _INWARDS:
        return False
    return any(_same(thing, other) for one in _before(act, acts) if one.sense in APART for other in one.objects)


def _puts_back(act: Action, acts: Sequence[Action]) -> bool:
    """Whether an act puts back what was taken off, loosened or drained before, or something new."""
    inwards = bool(set((act.particle or "").split()) & _INWARDS)
    if act.sense not in _BACK and not (inwards and act.sense in ("move", "operate", "remove", "turn")):
        return False
    if act.sense == "fill":
        return any(one.sense in ("drain", "collect", "remove", "disconnect") for one in _before(act, acts))
    gone = [thing for one in _before(act, acts) if one.sense in APART for thing in one.objects]
    return bool(gone) and any(
        thing.new and thing.kind != "tool" or any(_same(thing, other) for other in gone) for thing in act.objects
    )


def _same(one: Mention, other: Mention) -> bool:
    """One name, in full or shortened."""
    if one.head != other.head:
        return False
    first, second = set(one.text.lower().split()), set(other.text.lower().split())
    return first <= second or second <= first
