"""Builds what the findings would say of an invented talk, so that the procedure can be tested on its own."""

from __future__ import annotations

from functools import cache

from extract.lexicon import Lexicon, load
from extract.model import Draft, Talk, Word
from extract.procedure.assemble import assemble
from extract.procedure.names import is_plural, part_name
from extract.speech import (
    Action,
    CautionFound,
    ConditionFound,
    Measured,
    Mention,
    NoteFound,
    Place,
    RenewalFound,
    RoleFound,
    StageFound,
    TorqueFound,
    Understanding,
    Utterance,
)

FASTENERS = frozenset("bolt screw nut rivet stud pin clip clamp circlip".split())
SEALS = frozenset("gasket washer ring seal".split())
FLUIDS = frozenset("oil coolant water fluid petrol".split())
TOOLS = frozenset("tray strap spanner rag padlock clamp jack drill".split())


@cache
def lexicon() -> Lexicon:
    return load()


def kind_of(text: str) -> str:
    head = part_name(text).head
    for kind, heads in (("fastener", FASTENERS), ("seal", SEALS), ("fluid", FLUIDS), ("tool", TOOLS)):
        if head in heads:
            return kind
    return "part"


class Bench:
    """A talk in the making: `say` adds an utterance with what was found in it."""

    def __init__(self) -> None:
        self.utterances: list[Utterance] = []
        self.words: list[Word] = []
        self.found: dict[str, list] = {}

    def say(self, text: str, *found: object, role: str = "instruction", trust: float = 1.0) -> Bench:
        """Add an utterance; `found` are acts (see `do`), renewals, torques, notes, conditions … of it."""
        index = len(self.utterances)
        start = len(self.words)
        for offset, word in enumerate(text.split()):
            at = index * 10.0 + offset * 0.4
            self.words.append(Word(word, at, at + 0.3, None, False, index))
        self.utterances.append(
            Utterance(index, f"u{index}", text, (start, len(self.words)), index * 10.0, index * 10.0 + 8.0)
        )
        self._add("roles", RoleFound(Place(index, 0, len(text), "test.role"), role, 1.0))
        order = 0
        for maker in found:
            kind, entry = maker(index, text, order)
            order += kind == "actions"
            self._add(kind, entry)
        return self

    def _add(self, kind: str, entry: object) -> None:
        self.found.setdefault(kind, []).append(entry)

    def understanding(self) -> Understanding:
        return Understanding(tuple(self.utterances), **{kind: tuple(found) for kind, found in self.found.items()})

    def talk(self) -> Talk:
        return Talk(
            name="bench",
            title=None,
            format="vtt",
            sha256="0" * 64,
            duration_s=len(self.utterances) * 10.0,
            language="en",
            times="given",
            cues=(),
            words=tuple(self.words),
        )

    def draft(self) -> Draft:
        return assemble(self.understanding(), self.talk(), lexicon(), "test")


def thing(
    text: str,
    quantity: int | None = None,
    position: str | None = None,
    direction: str | None = None,
    **more: object,
):
    """A mention; its offset is found in the utterance when it is used."""

    def make(index: int, said: str, fallback: int) -> Mention:
        start = said.lower().find(text.lower())
        place = Place(index, start if start >= 0 else fallback, max(start, fallback) + len(text), "test.phrase")
        given = {"kind": kind_of(text), "head": part_name(text).head, "plural": is_plural(text)} | more
        return Mention(place, text, quantity=quantity, position=position, direction=direction, **given)

    return make


def do(verb: str, *things, particle: str | None = None, phase: str = "work", tools=(), **more: object):
    """An act; sense and plain verb come from the shipped lexicon unless given."""

    def make(index: int, said: str, order: int) -> tuple[str, Action]:
        start = max(0, said.lower().find(verb[:4].lower()))
        mentions = tuple(one(index, said, start) for one in things)
        sense = lexicon().verb_sense(verb, particle, mentions[0].kind if mentions else None)
        given = {
            "plain": sense.plain if sense else verb,
            "sense": sense.sense if sense else "operate",
            "order": order,
        } | more
        return "actions", Action(
            Place(index, start, start + len(verb), sense.id if sense else "test.verb"),
            verb,
            particle,
            verb,
            objects=mentions,
            tools=tuple(one(index, said, start) for one in tools),
            phase=phase,
            **given,
        )

    return make


def again(verb: str, *things, **more: object):
    """An act of the refit."""
    return do(verb, *things, phase="refit", **more)


def renew(item: str, quantity: int | None = None, kind: str = "renew", **more: object):
    def make(index: int, said: str, order: int) -> tuple[str, RenewalFound]:
        start = max(0, said.lower().find(item.lower()))
        place = Place(index, start, start + len(item), "test.renew")
        return "renewals", RenewalFound(place, item, part_name(item).head, None, kind, quantity, **more)

    return make


def tighten(joint: str, *values: float, **more: object):
    def make(index: int, said: str, order: int) -> tuple[str, TorqueFound]:
        stages = tuple(StageFound(value_nm=value) for value in values)
        return "torques", TorqueFound(Place(index, 0, 4, "test.torque"), joint, part_name(joint).head, stages, **more)

    return make


def note(text: str, about: str | None = None, kind: str = "orient", phase: str = "refit"):
    return lambda index, said, order: ("notes", NoteFound(Place(index, 0, 4, "test.note"), kind, text, about, phase))


def caution(text: str, hazard: str = "heavy", origin: str = "spoken"):
    return lambda index, said, order: (
        "cautions",
        CautionFound(Place(index, 0, 4, "test.caution"), hazard, "CAUTION", text, origin),
    )


def when(kind: str, text: str, governed: tuple[int, ...], **more: object):
    given = {"axis": None, "value": None, "values": (), "negated": False, "ends": "spoken"} | more
    return lambda index, said, order: (
        "conditions",
        ConditionFound(
            Place(index, max(0, said.find(text)), 4, "test.when"), kind, text=text, governed=governed, **given
        ),
    )


def measured(what: str, value: float, unit: str, text: str):
    return lambda index, said, order: (
        "measures",
        Measured(Place(index, max(0, said.find(text)), 4, "test.measure"), what, value, None, None, unit, text),
    )


def texts(draft: Draft) -> list[str]:
    return [step.text for step in draft.refit]
