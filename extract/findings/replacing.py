"""The two senses of "replace": put back what was taken off, or fit a new one. Where nothing decides, a flag."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from extract.findings.phases import PhaseFound
from extract.language.complements import VerbPhrase
from extract.language.heard import Heard
from extract.language.named import objects, subjects, thing
from extract.language.phrases import Chunk
from extract.model import Suggestion
from extract.rules import select_rules
from extract.speech import FlagFound, Mention

Sense = Literal["fit-new", "put-back", "undecided"]
_KINDS = frozenset({"part", "fastener", "seal", "unknown", "machine", "fluid", "material"})
#: Things that nobody renews as a matter of course: to replace one is to put it back.
_PUT_BACK = frozenset({
    "cover", "cap", "lid", "guard", "panel", "shield", "door", "hood", "housing", "casing", "wheel", "plate",
    "bung", "hatch", "tray", "seat", "shroud", "battery",
})  # fmt: skip
#: Things that are renewed whenever they are taken off. Common practice, no source.
_RENEWED = frozenset({
    "gasket", "seal", "o-ring", "filter", "element", "pin", "washer", "packing",
})  # fmt: skip


@dataclass(frozen=True, slots=True)
class Replacing:
    """One use of "replace" in an utterance: what is replaced, and in which sense."""

    verb: VerbPhrase
    things: tuple[tuple[Chunk, Mention], ...]
    sense: Sense
    rule: str


def find_replacing(heard: Heard, index: int) -> list[Replacing]:
    """The uses of "replace" that are told of a part; the job's name ("replacing the pump") and purposes are none."""
    found: list[Replacing] = []
    parsed = heard.parsed[index]
    for verb in parsed.verbs:
        if verb.base != "replace" or verb.negated or verb.opener in ("to", "by", "for", "after", "before"):
            continue
        if verb.form == "g" and verb.carried_by not in ("need", "want", "require"):
            continue
        passive = verb.form in ("n", "dn", "d", "g")
        chunks = subjects(heard, index, verb.at) if passive else objects(heard, index, verb.at + 1)
        if passive and not verb.aux and verb.carried_by is None and not chunks:
            continue
        things = tuple(
            (chunk, mention)
            for chunk in chunks
            if (mention := thing(heard, index, chunk)) is not None and mention.kind in _KINDS
        )
        if things:
            sense, rule = _sense(heard, index, things)
            found.append(Replacing(verb, things, sense, rule))
    return found


def _sense(heard: Heard, index: int, things: Sequence[tuple[Chunk, Mention]]) -> tuple[Sense, str]:
    text = heard.searched(index)
    for kind, sense in (("if", "fit-new"), ("put-back", "put-back"), ("fit-new", "fit-new")):
        for rule in select_rules("renewals", "kind", kind):
            if rule.pattern.search(text):
                return sense, rule.id  # type: ignore[return-value]
    heads = {mention.head for _, mention in things}
    if heads <= _PUT_BACK:
        return "put-back", "replace.usual"
    if all(mention.kind == "seal" or mention.head in _RENEWED for _, mention in things):
        return "fit-new", "replace.usual"
    return "undecided", "replace.undecided"


def find_replace_flags(heard: Heard, phases: Sequence[PhaseFound], deaf: frozenset[int]) -> tuple[FlagFound, ...]:
    """A flag for each "replace" that may mean either."""
    found: list[FlagFound] = []
    for said in heard.utterances:
        if said.index in deaf:
            continue
        for replacing in find_replacing(heard, said.index):
            if replacing.sense != "undecided":
                continue
            names = _listed([mention.text for _, mention in replacing.things])
            fresh = _listed([f"{'' if mention.plural else 'a '}new {mention.text}" for _, mention in replacing.things])
            place = heard.place(
                said.index, replacing.verb.first, max(chunk.last for chunk, _ in replacing.things), replacing.rule
            )
            if place.start >= place.end:
                place = heard.whole(said.index, replacing.rule)
            found.append(
                FlagFound(
                    place, "replace_sense", "stop",
                    f"“Replace” may mean to put the {names} back or to fit new: nothing in the talk decides.",
                    {"word": "replace", "objects": [mention.text for _, mention in replacing.things], "refit": phases[said.index].refit},
                    (
                        Suggestion(text=f"refit the {names}", why="the part that was taken off", score=0.5),
                        Suggestion(text=f"fit {fresh}", why="a new part", score=0.5),
                    ),
                    (said.index,),
                )
            )  # fmt: skip
    return tuple(found)


def _listed(names: list[str]) -> str:
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"
