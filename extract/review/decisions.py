"""What reviewers decide, as records: who, when, about which words, and what.

A decision never changes the transcript. It carries the words that it was decided on, with their
neighbours, so that it finds its place again when the transcript changes. Undo is a decision too.
"""

from __future__ import annotations

import secrets
from collections.abc import Iterable
from datetime import UTC, datetime
from typing import Annotated, Literal

from pydantic import Field

from extract.model import Frozen, Role, Severity, Stage

Short = Annotated[str, Field(max_length=200)]
Text = Annotated[str, Field(max_length=4000)]
Reason = Annotated[str, Field(min_length=1, max_length=1000)]
Thing = Literal["segment", "step", "refit", "object", "renewal", "torque", "condition", "flag", "section", "document"]


class Spot(Frozen):
    """Spoken words of one utterance with the utterances before and after it.

    `twins` counts other utterances of the talk with the same words. `corrected` is how it read at the time where a reviewer had given the right words. `at` is its place in
    the talk, 0 for the first and 1 for the last.
    """

    segment: str
    words: Text
    corrected: Text | None = None
    before: Text = ""
    after: Text = ""
    at: float = Field(ge=0, le=1)
    twins: int = 0


class Anchor(Frozen):
    """The thing that was decided on: its id, what it was called, and the words that it came from.

    For a flag, `label` holds the flagged words, and code, severity and message are kept, because a flag
    that has been answered is no longer raised by the program.
    """

    kind: Thing
    id: Short
    label: Text = ""
    spots: tuple[Spot, ...] = ()
    code: Short | None = None
    severity: Severity | None = None
    message: Text | None = None


class Words(Frozen):
    """The utterance read `was` and should read `now`; `suggestion` is set where one was taken."""

    kind: Literal["words"] = "words"
    was: Text
    now: Annotated[str, Field(min_length=1, max_length=4000)]
    suggestion: Text | None = None


class RoleSet(Frozen):
    """The utterance's main purpose is `now`."""

    kind: Literal["role"] = "role"
    was: Role
    now: Role


class Edit(Frozen):
    """The written step reads `now`."""

    kind: Literal["edit"] = "edit"
    was: Text
    now: Annotated[str, Field(min_length=1, max_length=4000)]


class Split(Frozen):
    """The written step becomes two."""

    kind: Literal["split"] = "split"
    first: Reason
    second: Reason


class Merge(Frozen):
    """The step and the one after it become one that reads `now`."""

    kind: Literal["merge"] = "merge"
    with_: Anchor = Field(alias="with")
    now: Reason

    model_config = {"frozen": True, "extra": "forbid", "populate_by_name": True, "serialize_by_alias": True}


class Move(Frozen):
    """The step goes directly before `before`, or to the end where that is null."""

    kind: Literal["move"] = "move"
    before: Anchor | None


class Add(Frozen):
    """A new step after the one decided on.

    `put_back` is the refit step that undoes it; null says that nothing has to be put back.
    """

    kind: Literal["add"] = "add"
    text: Reason
    put_back: Text | None = None


class PutBack(Frozen):
    """How a step is undone on refit: by a step that reads `text`, or not at all, for a `reason`."""

    kind: Literal["put_back"] = "put_back"
    text: Text | None = None
    reason: Text | None = None


class Drop(Frozen):
    """The step does not belong in the procedure."""

    kind: Literal["drop"] = "drop"
    reason: Reason


class Quantity(Frozen):
    """How many, and who says so (a parts list, the film, a person)."""

    kind: Literal["quantity"] = "quantity"
    now: int = Field(ge=1, le=9999)
    source: Reason


class PartNumber(Frozen):
    """The number to order by, and where it is from."""

    kind: Literal["part_number"] = "part_number"
    now: Reason
    source: Reason


class Tightening(Frozen):
    """The tightening stages in order, as a person read them in `source`."""

    kind: Literal["tightening"] = "tightening"
    stages: tuple[Stage, ...] = Field(min_length=1, max_length=9)
    spoken: Short
    source: Reason


class PartName(Frozen):
    """What is called `was` in the draft is to be called `now` throughout."""

    kind: Literal["part_name"] = "part_name"
    was: Reason
    now: Reason


class ScopeEnd(Frozen):
    """The condition holds up to and with step `last`; null says that it governs no step."""

    kind: Literal["scope_end"] = "scope_end"
    last: Anchor | None


class Accept(Frozen):
    """The flagged thing is fine as it stands, for a reason."""

    kind: Literal["accept"] = "accept"
    reason: Reason


class DocumentData(Frozen):
    """One entry of the document's own data."""

    kind: Literal["document"] = "document"
    field: Literal["title", "machine", "type", "number", "revision", "author", "english"]
    now: Short | None


class Heading(Frozen):
    """The part of the job that was headed `was` is headed `now`."""

    kind: Literal["heading"] = "heading"
    was: Text
    now: Annotated[str, Field(min_length=1, max_length=200)]


class Undo(Frozen):
    """An earlier decision no longer holds."""

    kind: Literal["undo"] = "undo"
    of: Short


What = Annotated[
    Words
    | RoleSet
    | Edit
    | Split
    | Merge
    | Move
    | Add
    | Drop
    | PutBack
    | Quantity
    | PartNumber
    | Tightening
    | PartName
    | ScopeEnd
    | Accept
    | DocumentData
    | Heading
    | Undo,
    Field(discriminator="kind"),
]


class Decision(Frozen):
    """One line of the decisions log. `settles` is the flag that it answers, if any."""

    id: Short
    at: Short
    by: Annotated[str, Field(min_length=1, max_length=80)]
    about: Anchor
    what: What
    settles: Anchor | None = None

    @property
    def subjects(self) -> frozenset[str]:
        """Ids of everything that the decision touches; two decisions with one in common can clash."""
        ids = {self.about.id}
        if self.settles is not None:
            ids.add(self.settles.id)
        if isinstance(self.what, Words | RoleSet):
            ids.update(spot.segment for spot in self.about.spots)
        if isinstance(self.what, Merge):
            ids.add(self.what.with_.id)
        return frozenset(ids)


def decide(by: str, about: Anchor, what: What, *, settles: Anchor | None = None) -> Decision:
    """Make a decision as of now. Its id is an event's number, so it is drawn, not derived."""
    at = datetime.now(UTC).isoformat(timespec="milliseconds").replace("+00:00", "Z")
    return Decision(id=f"d-{secrets.token_hex(5)}", at=at, by=by, about=about, what=what, settles=settles)


def in_force(decisions: Iterable[Decision]) -> tuple[Decision, ...]:
    """Decisions that hold, in order: neither undone nor undoing. An undo that was undone has no effect."""
    decisions = tuple(decisions)
    gone = taken_back(decisions)
    return tuple(entry for entry in decisions if entry.id not in gone and not isinstance(entry.what, Undo))


def taken_back(decisions: Iterable[Decision]) -> frozenset[str]:
    """Ids of the decisions that were undone, undoings among them."""
    gone: set[str] = set()
    for decision in reversed(tuple(decisions)):
        if decision.id not in gone and isinstance(decision.what, Undo):
            gone.add(decision.what.of)
    return frozenset(gone)
