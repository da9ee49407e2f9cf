"""Marks and tags of the removal that the refit lines up, and the notes of the removal itself."""

from __future__ import annotations

from collections.abc import Sequence

from extract.procedure import wording
from extract.procedure.attached import NOWHERE, Attached, NoteEntry
from extract.procedure.names import content, is_plural, part_name, singular
from extract.procedure.steps import Act
from extract.procedure.units import Unit
from extract.speech import Understanding
from extract.wordforms import word_set

_TAGGED = word_set("tape tag label sticker")
_COUNTS = word_set("count number turn position length")
#: Acts within which the thing that was photographed is taken apart.
_SOON_AFTER = 4
_MARKED = word_set("mark marks line scribe paint dot punch arrow tag tags label notch")


def mark_notes(acts: Sequence[Act], attached: Attached, order: Sequence[Unit]) -> None:
    """What was marked or tagged is lined up, or matched, where it goes back; unless the talk says so itself."""
    _photographs(acts, attached, order)
    for act in acts:
        taped = (
            act.action.sense in ("place", "fit") and bool(content(act.step.objects[0].text) & _TAGGED)
            if act.step.objects
            else False
        )
        if not (act.action.sense == "mark" or taped) or not act.step.objects:
            continue
        if part_name(act.step.objects[0].text).head in _COUNTS:
            continue
        tagged = taped or act.action.verb in ("tag", "label", "number")
        words = frozenset().union(
            *(content(part.text) | content(part.position) | content(part.direction) for part in act.step.objects)
        )
        units = [
            unit for unit in order if unit.effect in ("off", "parted", "moved", "loose") and _concerned(unit, words)
        ]
        if not units or any(_spoken_of(entry) for unit in order for entry in attached.notes_of(unit)):
            continue
        unit = [one for one in units if one.effect in ("off", "parted", "moved")][-1:] or units[-1:]
        names = wording.join_all([wording.noun_phrase(wording.Thing(part.text)) for part in unit[0].parts])
        many = any(is_plural(part.text) for part in unit[0].parts)
        text = (
            f"Match the {act.step.objects[0].text if taped else 'tags'} so that {names} {'are' if many else 'is'} not swapped around."
            if tagged
            else f"Line up the marks made in step {act.step.number}."
        )
        attached.notes_at.setdefault(id(unit[0]), []).append(NoteEntry("align", text, NOWHERE, act.step.id))


def _photographs(acts: Sequence[Act], attached: Attached, order: Sequence[Unit]) -> None:
    """What is disconnected next after a photograph of it is connected as the photograph shows."""
    for number, act in enumerate(acts):
        if act.action.verb not in ("photograph", "picture") or not act.step.objects:
            continue
        after = [unit for unit in order if unit.lead is not None and number < unit.lead <= number + _SOON_AFTER]
        parted = [unit for unit in after if unit.effect == "parted" or unit.verb in ("connect", "plug in")]
        if parted and not any("photo" in entry.text for entry in attached.notes_of(parted[-1])):
            what = act.step.objects[0].text
            text = f"Connect the {what} as photographed in step {act.step.number}."
            attached.notes_at.setdefault(id(parted[-1]), []).append(NoteEntry("align", text, NOWHERE, act.step.id))


def _concerned(unit: Unit, words: frozenset[str]) -> bool:
    moved = frozenset().union(*(content(part.direction) for part in unit.parts))
    return bool((unit.heads | moved) & words)


def _spoken_of(entry: NoteEntry) -> bool:
    return (
        entry.place.utterance >= 0
        and entry.kind == "align"
        and bool(content(entry.text) & {singular(word) for word in _MARKED})
    )


def notes_of_work(understanding: Understanding, acts: Sequence[Act]) -> list[tuple[str, NoteEntry]]:
    """Notes of the work with the step that each concerns: in its utterance, else the nearest before, else after."""
    placed = []
    for found in understanding.notes:
        if found.phase != "work" or not acts:
            continue
        where = found.place.utterance
        here = [act for act in acts if act.utterance == where]
        before = [act for act in acts if act.utterance < where]
        near = (
            here
            or (
                before[-1:]
                if before and where - before[-1].utterance <= 2
                else [act for act in acts if act.utterance > where][:1]
            )
            or before[-1:]
        )
        if found.about:
            head = part_name(found.about).head
            near = [act for act in near if any(part_name(part.text).head == head for part in act.step.objects)] or near
        placed.append((near[-1].step.id, NoteEntry(found.kind, found.text, found.place)))
    return placed
