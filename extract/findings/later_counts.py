"""Counts told behind the act: "pop the seals out, there's four of them"."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from extract.language.heard import Heard
from extract.language.phrases import Chunk
from extract.speech import Action, Mention
from extract.wordforms import word_set

_THEM = word_set("them em 'em those these")
#: How many utterances behind its act a count may be told.
_LATER = 1


def with_later_counts(heard: Heard, acts: Sequence[Action]) -> list[Action]:
    """The acts, each plural object without a count with the one that is told of it behind the act."""
    counted = list(acts)
    for index, parsed in enumerate(heard.parsed):
        for chunk in parsed.chunks:
            if not _tells_a_count(heard, index, chunk):
                continue
            start = parsed.tagged.start[chunk.first]
            for number in range(len(counted) - 1, -1, -1):
                act = counted[number]
                ahead = act.place.utterance > index or act.place.utterance == index and act.place.start > start
                if ahead or act.negated:
                    continue
                if act.place.utterance < index - _LATER:
                    break
                objects = tuple(_with_count(thing, heard.mention(index, chunk), chunk) for thing in act.objects)
                if objects != act.objects:
                    counted[number] = replace(act, objects=objects)
                    break
    return counted


def _tells_a_count(heard: Heard, index: int, chunk: Chunk) -> bool:
    """Whether "four of them" is all that is told: after "there are", or without a verb."""
    if chunk.quantity is None or chunk.noun not in _THEM or chunk.last - chunk.first < 3:
        return False
    verbs = [verb for verb in heard.parsed[index].verbs if chunk in verb.objects or chunk is verb.subject]
    return all(
        verb.base == "be"
        and verb.subject is not None
        and (verb.subject.pronoun or "").lower() in ("there", "it", "that")
        for verb in verbs
    )


def _with_count(thing: Mention, counted: Mention, chunk: Chunk) -> Mention:
    if thing.quantity is not None or not thing.plural or thing.head != counted.head:
        return thing
    return replace(thing, quantity=chunk.quantity, quantity_text=chunk.quantity_text)
