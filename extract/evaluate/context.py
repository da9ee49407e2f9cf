"""What the comparisons of one talk share: annotation, draft, alignment, counts and the list of errors."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any

from extract.evaluate.align import Alignment, align
from extract.evaluate.gold import GoldObject, GoldUtterance
from extract.evaluate.match import VerbGroups


@dataclass(frozen=True, slots=True)
class TalkError:
    """One difference between annotation and draft; `time_s` is null where the talk has no times."""

    kind: str
    talk: str
    time_s: float | None
    gold: str
    predicted: str
    text: str


@dataclass(frozen=True, slots=True)
class FoundPart:
    """A part as the draft names it."""

    text: str
    quantity: int | None
    position: str | None


@dataclass
class Context:
    """One talk while it is being compared. `counts` holds sums only, so that talks can be pooled.

    `confidences` are the recogniser's, one a word of the talk; empty if the transcript is not at hand.
    """

    name: str
    draft: Mapping[str, Any]
    gold: Sequence[GoldUtterance]
    verbs: VerbGroups
    confidences: Sequence[float | None] = ()
    counts: Counter[str] = field(default_factory=Counter)
    errors: list[TalkError] = field(default_factory=list)

    @cached_property
    def alignment(self) -> Alignment:
        """Segments of the draft laid over the utterances."""
        return align([one.text for one in self.gold], [segment["text"] for segment in self.draft["segments"]])

    @cached_property
    def segment_index(self) -> dict[str, int]:
        """Position of each segment by its id."""
        return {segment["id"]: index for index, segment in enumerate(self.draft["segments"])}

    @cached_property
    def raised(self) -> list[Mapping[str, Any]]:
        """Flags that count: all but infos."""
        return [flag for flag in self.draft["flags"] if flag["severity"] != "info"]

    @cached_property
    def steps_by_id(self) -> dict[str, Mapping[str, Any]]:
        """Steps of the draft by id."""
        return {step["id"]: step for step in self.draft["steps"]}

    def trust(self, utterance: int) -> float | None:
        """Mean trust of the segments over an utterance, by characters; null where none shares any."""
        shared = self.alignment.segments(utterance)
        characters = sum(shared.values())
        if not characters:
            return None
        return sum(self.draft["segments"][index]["trust"] * count for index, count in shared.items()) / characters

    def places(self, segments: Iterable[str]) -> frozenset[int]:
        """Utterances that share characters with any of the segments."""
        found: set[int] = set()
        for segment in segments:
            if segment in self.segment_index:
                found |= self.alignment.utterances(self.segment_index[segment])
        return frozenset(found)

    def add(self, name: str, hits: float, gold: float, found: float) -> None:
        """Count hits among gold and found ones under a name."""
        self.counts[f"{name}.hit"] += hits
        self.counts[f"{name}.gold"] += gold
        self.counts[f"{name}.found"] += found

    def error(self, kind: str, utterance: int | None, gold: str, predicted: str) -> None:
        """Note a difference at an utterance of the annotation (null: nowhere in particular)."""
        at = None if utterance is None else self.gold[utterance]
        time = at.start_s if at is not None else None
        self.errors.append(TalkError(kind, self.name, time, gold, predicted, at.text if at is not None else ""))


def found_parts(objects: Sequence[Mapping[str, Any]]) -> list[FoundPart]:
    """The parts of a step of the draft."""
    return [FoundPart(one["text"], one.get("quantity"), one.get("position")) for one in objects]


def name_act(action: str, objects: Iterable[FoundPart | GoldObject]) -> str:
    """An act in short, for the list of errors: "undo 2 bolts (at the back)"."""
    parts = [
        (f"{one.quantity} " if one.quantity is not None else "")
        + one.text
        + (f" ({one.position})" if one.position else "")
        for one in objects
    ]
    return f"{action} {', '.join(parts)}".strip()


def first(places: Iterable[int]) -> int | None:
    """The earliest of some utterances."""
    return min(places, default=None)
