"""Where one thing takes the place of another: which noun phrases tell the old, and which the new."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from extract.findings.fresh import NEW_WORDS
from extract.language.complements import Parsed
from extract.language.heard import Heard
from extract.language.named import denied, governed, objects, subjects, token_at
from extract.language.phrases import Chunk
from extract.rules import Rule, select_rules

#: What parts of the same shape are made of: one takes the place of the other in a name.
_MATERIALS = frozenset(
    "leather nylon cork rubber paper steel brass copper fibre fiber plastic aluminium aluminum felt stainless bronze iron "
    "graphite silicone wooden wood ceramic glass lead zinc tin polyurethane teflon ptfe galvanised galvanized".split()
)


@dataclass(frozen=True, slots=True)
class Exchange:
    """The old things, the new one, the tokens of the words that say so, and their rule."""

    old: list[Chunk]
    new: Chunk
    span: tuple[int, int]
    rule: Rule


def find_exchanges(heard: Heard, index: int, text: str) -> Iterator[Exchange]:
    """All exchanges told in an utterance; whether the new thing is of another kind is not judged here."""
    parsed = heard.parsed[index]
    for rule in select_rules("renewals", "kind", "substitute").near(text):
        match = rule.pattern.search(text)
        if match is None:
            continue
        first, last = token_at(parsed, match.start()), token_at(parsed, match.end() - 1) + 1
        if denied(heard, index, first, last) or (rule.fields.get("verb") and parsed.tagged.tag[first] != "VERB"):
            continue
        old, new = _old_and_new(heard, index, rule, first, last)
        old = [chunk for chunk in old if chunk.noun != "count"]  # "six bolts instead of four"
        if old and new:
            yield Exchange(old, _with_one(heard.parsed[index], new[0]), (first, last), rule)


def other_kind(parsed: Parsed, new: Chunk) -> str:
    """What sets the new ones apart ("thicker ones"); empty where they are only new."""
    if new.noun not in ("one", "ones"):
        return ""
    t = parsed.tagged
    first = new.head
    while first and (t.tag[first - 1] == "ADJ" or (t.tag[first - 1] == "NOUN" and first > new.first)):
        first -= 1
    return " ".join(word for word in t.low[first : new.head] if word not in NEW_WORDS)


def other_name(other: str, name: str) -> str:
    """The name of the new kind: "rubber" and "cork gasket" give "rubber gasket", "thicker" and "shim" "thicker shim"."""
    words = name.split()
    if other.split()[-1] in _MATERIALS:
        words = [word for word in words[:-1] if word.lower() not in _MATERIALS] + words[-1:]
    elif other.split()[-1] in ("head", "type", "style", "pattern"):
        words = words[-1:]
    return f"{other} {' '.join(words)}"


def _with_one(parsed: Parsed, chunk: Chunk) -> Chunk:
    """ "a nylon | one", "hex head | ones": a noun before "one" tells its kind."""
    low = parsed.tagged.low
    if chunk.pronoun is None and low[chunk.last : chunk.last + 1] in (["one"], ["ones"]):
        return replace(chunk, last=chunk.last + 1, head=chunk.last, noun=low[chunk.last], new=False)
    return chunk


def _old_and_new(heard: Heard, index: int, rule: Rule, first: int, last: int) -> tuple[list[Chunk], list[Chunk]]:
    chunks = heard.parsed[index].chunks
    if rule.id == "renewal.in-its-place":
        new = subjects(heard, index, first) or [chunk for chunk in chunks if chunk.last <= first][-1:]
        if new and new[0].noun in ("one", "ones"):
            new = [c for c in chunks if c.last == new[0].first and c.determiner is None and c.pronoun is None] or new
        return (subjects(heard, index, new[0].first) if new else []), new
    if rule.id == "renewal.instead-of":
        old = objects(heard, index, last)
        free = [c for c in chunks if c.kind != "person" and c.pronoun is None and not governed(heard.parsed[index], c)]
        before = [c for c in free if c.last <= first]
        after = [c for c in free if old and c.first >= old[-1].last]
        return old, before[-1:] or after[:1]
    if rule.text("item") == "before":
        return subjects(heard, index, first), objects(heard, index, last)
    old = objects(heard, index, last)
    return old, (objects(heard, index, _behind(heard, index, old[-1]) + 1) if old else [])


def _behind(heard: Heard, index: int, chunk: Chunk) -> int:
    """The token of "by", "with" or "for" behind a noun phrase."""
    low = heard.parsed[index].tagged.low
    return next((i for i in range(chunk.last, len(low)) if low[i] in ("by", "with", "for")), len(low))
