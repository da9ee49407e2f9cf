"""What was found to belong at each unit of the refit, before it is written."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

from extract.procedure.names import part_name
from extract.procedure.units import Unit
from extract.speech import Measured, Place, RenewalFound, Understanding

#: Place of a note that comes from a step, not from words of its own.
NOWHERE = Place(-1, 0, 0, "derived.mark")


@dataclass(frozen=True, slots=True)
class NoteEntry:
    """A note at a refit step: its kind, its written text and where it was said; `step` is its source where derived."""

    kind: str
    text: str
    place: Place
    step: str | None = None


@dataclass(slots=True)
class Attached:
    """Everything said that belongs at a unit. Keys are indices of the findings, or `id` of the unit.

    `governed` gives the ids of the conditions that hold at a place of the talk.
    """

    understanding: Understanding
    governed: Callable[[Place], tuple[str, ...]]
    renewal_at: dict[int, Unit] = field(default_factory=dict)
    torque_at: dict[int, list[Unit]] = field(default_factory=dict)
    notes_at: dict[int, list[NoteEntry]] = field(default_factory=dict)
    measures_at: dict[int, list[Measured]] = field(default_factory=dict)
    ties: list[tuple[NoteEntry, list[Unit]]] = field(default_factory=list)

    def of_variant(self, place: Place, units: Sequence[Unit]) -> list[Unit]:
        """The units of the variant that holds where something is said; none if it is said for all."""
        holds = set(self.governed(place))
        return [unit for unit in units if holds & set(unit.conditions)]

    def own(self, unit: Unit) -> list[RenewalFound]:
        """Renewals of the unit's own part, not of a seal that goes in with it."""
        found = [self.understanding.renewals[index] for index, at in self.renewal_at.items() if at is unit]
        return [one for one in found if one.kind != "consumable" and part_name(one.item).head in unit.heads]

    def notes_of(self, unit: Unit) -> list[NoteEntry]:
        return self.notes_at.get(id(unit), [])

    def measures_of(self, unit: Unit) -> list[Measured]:
        return self.measures_at.get(id(unit), [])

    @staticmethod
    def place(entry: NoteEntry) -> Place:
        return entry.place
