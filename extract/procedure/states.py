"""What state every part is in: parts told apart by name, place and count, and followed through the talk.

A part is met again under the same name, under a shorter one ("the cover", "the rear cover"), or under a
pronoun that was resolved. Bare names ("two bolts") are a new part once the earlier one of that name is off.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

from extract.procedure.names import PartName, agreement, is_plural, part_name

#: Senses of the verb lexicon that leave a part off its place, and those that leave it in place but not as it was.
OFF = frozenset({"remove", "destroy", "discard", "cut"})
LOOSE = frozenset({"loosen", "disconnect", "unclip", "open", "uncover", "release", "move", "raise", "lower", "bend"})
BACK = frozenset({"fit", "connect", "tighten", "close", "fill", "restore", "straighten", "renew", "replace"})
_STATE = {
    "remove": "removed", "destroy": "destroyed", "discard": "scrapped", "cut": "cut", "loosen": "loosened",
    "disconnect": "disconnected", "unclip": "unclipped", "open": "open", "uncover": "uncovered", "release": "released",
    "drain": "drained", "vent": "vented", "collect": "caught", "move": "moved aside", "raise": "raised",
    "lower": "lowered",
    "support": "supported", "bend": "bent", "isolate": "isolated", "fit": "fitted", "connect": "connected",
    "tighten": "tightened", "close": "closed", "cover": "covered", "fill": "filled", "restore": "restored",
    "secure": "secured", "straighten": "straightened", "renew": "renewed",
}  # fmt: skip
SAME = 0.6
#: Utterances after which a shorter name that comes off somewhere else is another part.
_APART = 3
#: Kinds of which a machine has many under one name.
_COUNTED = frozenset({"fastener", "seal"})
_OTHERS = frozenset({"other", "others", "remaining", "rest", "another"})


@dataclass(frozen=True, slots=True)
class Met:
    """One mention of a part as the object of an act.

    `part` is the id of the draft's object, `act` the running number of the act, `utterance` where it was
    told, `sense` what was done to it.
    """

    part: str
    act: int
    sense: str
    text: str
    position: str | None = None
    direction: str | None = None
    quantity: int | None = None
    quantity_text: str | None = None
    component: str | None = None
    pronoun: bool = False
    kind: str = "unknown"
    utterance: int = 0

    @property
    def name(self) -> PartName:
        return part_name(self.text, self.position)


@dataclass(slots=True)
class Tracked:
    """A part of the machine, with every mention of it in the order of work."""

    first: Met
    name: PartName
    quantity: int | None
    mets: list[Met] = field(default_factory=list)

    @property
    def state(self) -> str:
        """The state in which the last act leaves the part; "fitted" until something is done to it."""
        for met in reversed(self.mets):
            if met.sense in _STATE:
                return _STATE[met.sense]
        return "fitted"

    @property
    def off(self) -> bool:
        """True if the part is not in its place any more."""
        for met in reversed(self.mets):
            if met.sense in OFF:
                return True
            if met.sense in BACK:
                return False
        return False

    def out(self) -> int | None:
        """How many of them are off, as far as counts were told; null where one count is missing."""
        counts = [met.quantity for met in self.mets if met.sense in OFF]
        return sum(counts) if counts and None not in counts else None

    def still_in(self) -> int | None:
        """How many of the loosened ones never come off ("two of six bolts are still in"); null if all or none do."""
        loosened = [met.quantity for met in self.mets if met.sense == "loosen" and met.quantity]
        out = self.out()
        return max(loosened) - out if loosened and out and max(loosened) > out else None


def follow(mets: Iterable[Met]) -> list[Tracked]:
    """Tell the parts of a talk apart: one entry a part, each mention in exactly one of them."""
    parts: list[Tracked] = []
    for met in mets:
        found = _find(met, parts)
        if found is None:
            parts.append(Tracked(first=met, name=met.name, quantity=met.quantity, mets=[met]))
            continue
        found.mets.append(met)
        if found.quantity is None:
            found.quantity = met.quantity
        found.name = PartName(
            found.name.head, found.name.qualifiers | met.name.qualifiers, found.name.place | met.name.place
        )
    return parts


def same_part(parts: Sequence[Tracked]) -> dict[str, str]:
    """For each object that was met before: its id, and the id of the part's first mention."""
    return {met.part: part.first.part for part in parts for met in part.mets[1:]}


def _find(met: Met, parts: Sequence[Tracked]) -> Tracked | None:
    if met.quantity_text and _OTHERS & set(met.quantity_text.lower().split()):
        return None
    best: tuple[float, int] | None = None
    name = met.name
    for index, part in enumerate(parts):
        if name.all.isdisjoint(part.name.all):
            continue
        score = max(agreement(name, part.name), agreement(name, part.first.name))
        if score < SAME or not _may_be(met, part, score):
            continue
        if best is None or (score, index) >= best:
            best = (score, index)
    return parts[best[1]] if best else None


def _may_be(met: Met, part: Tracked, score: float) -> bool:
    if met.pronoun and score >= 0.8 and met.utterance - part.mets[-1].utterance <= 1:
        return True
    placed = met.position and part.first.position and met.sense in OFF | LOOSE and met.sense == part.mets[-1].sense
    if placed and not met.name.place & part.name.place:
        return False  # "The nut of the pipe" and "the nut at the rail" are two.
    told = met.quantity is not None and part.quantity is not None
    bare = not met.name.qualifiers
    counted = met.kind in _COUNTED or is_plural(met.text)
    if told and met.quantity != part.quantity and (bare or counted or score < 0.85):
        return False
    if bare and part.name.qualifiers and is_plural(met.text) != is_plural(part.first.text):
        return False
    if met.sense not in OFF | LOOSE:
        return True
    if score < 0.95 and met.name.qualifiers - part.name.qualifiers - part.name.place and part.state != "fitted":
        # "Move the duct aside", later "lower the long duct": the fuller name is another pipe.
        return False
    apart = met.utterance - part.mets[-1].utterance > _APART and score < 0.95 and part.state != "fitted"
    if apart and not met.pronoun and met.sense in OFF and (met.direction or met.position):
        # "Unhook the return spring", much later "lift the spring out of the drum": two springs.
        return False
    if not counted or _named(met):
        return True
    soon = met.utterance - part.mets[-1].utterance <= 1
    if soon and part.name.qualifiers and met.quantity is None and not is_plural(met.text):
        # "Unscrew the left-hand locknut", then "take off the locknut".
        return True
    if (
        met.act - part.mets[-1].act <= 1
        and met.quantity is not None
        and met.quantity == part.quantity
        and _one_breath(met, part)
    ):
        return True
    # "Undo the two bolts" once bolts before are out, or a count told anew: these are other bolts.
    return not part.off and not (met.quantity is not None and part.state != "fitted")


def _named(met: Met) -> bool:
    """True for a name that says more than kind and size ("guide bolts", not "M6 bolts"), or that has a place."""
    sizes = {word for word in met.name.qualifiers if any(letter.isdigit() for letter in word)}
    return bool(met.name.qualifiers - sizes or met.position)


def _one_breath(met: Met, part: Tracked) -> bool:
    return met.utterance == part.mets[-1].utterance
