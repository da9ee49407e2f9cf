"""Acts told without a verb of their own: nouns of action, light verbs, a part and its particle."""

from __future__ import annotations

import re
from collections.abc import Sequence

from extract.language.complements import Parsed, VerbPhrase
from extract.language.heard import Heard
from extract.language.phrases import Chunk
from extract.speech import Action

#: What is switched rather than taken off.
SWITCHED = frozenset("breaker isolator supply power mains switch stopcock electricity current rcd".split())
#: What a particle without its verb tells of the part before it.
_VERBLESS = {"off": "remove", "out": "remove", "on": "fit", "in": "fit"}
#: What stands alone behind a part in the refit ("lid down, valve back").
_VERBLESS_BACK = {"back": "fit", "down": "fit", "home": "fit"}
_LIGHT = re.compile(
    r"^(?:clean|wipe|check|look|tap|rub|turn|tweak|pull|push|shake|wash|brush|rinse|squirt|spray|twist|once-over|going-over|scrub|blow|coat|spin|"
    r"wiggle|wriggle|waggle|jiggle|swill|knock|whack|clout|thump|blast|polish|scrape|sand|soak|squeeze|press|tug|yank|dust|vacuum|nudge|pump|crank|stir|"
    r"bleed|flush|hoover|dab|file|flick|heave|photo|photograph|picture|snap|note|mark)$"
)
_LIGHT_VERBS = {
    "look": "inspect",
    "once-over": "inspect",
    "going-over": "inspect",
    "squirt": "spray",
    "photo": "photograph",
    "picture": "photograph",
    "snap": "photograph",
}
_NOMINAL_VERBS = {
    "removal": "remove", "disconnection": "disconnect", "loosening": "loosen", "dismantling": "dismantle", "draining": "drain",
    "slackening": "slacken", "unscrewing": "unscrew", "opening": "open", "disassembly": "disassemble", "detachment": "detach",
    "lifting": "lift", "separation": "separate", "cleaning": "clean", "isolation": "isolate", "release": "release",
    "extraction": "extract", "marking": "mark", "releasing": "release", "undoing": "undo", "taking": "take",
}  # fmt: skip


def light_verb(heard: Heard, index: int, parsed: Parsed, verb: VerbPhrase) -> Action | None:
    """ "give the face a good clean", "have a look at the seal": the noun carries the act."""
    t = parsed.tagged
    if verb.base not in ("give", "have", "take", "do", "make", "get"):
        return None
    at = None
    for i in range(verb.at + 1, min(len(t), verb.at + 14)):
        if t.tag[i] == "PUNCT" or t.tag[i] == "CONJ":
            break
        if _LIGHT.match(t.low[i]) and any(t.low[j] in ("a", "an") for j in range(max(verb.at + 1, i - 3), i)):
            at = i
            break
    if at is None:
        return None
    base = _LIGHT_VERBS.get(t.low[at], t.low[at])
    sense = heard.lexicon.verb_sense(base, None)
    if sense is None:
        return None
    chunks = [
        chunk
        for chunk in parsed.chunks
        if verb.at < chunk.first and chunk.last <= at + 6 and not chunk.first <= at < chunk.last
    ]
    if verb.base != "give":
        chunks = [
            chunk
            for chunk in chunks
            if chunk.first > at and t.low[chunk.first - 1] in ("at", "of", "on", "over", "across")
        ]
    objects = [heard.mention(index, chunk) for chunk in chunks if chunk.first < at or verb.base != "give"][:1]
    if not objects:
        return None
    tools = [
        heard.mention(index, chunk)
        for chunk in parsed.chunks
        if chunk.first > at and t.low[chunk.first - 1] == "with" and chunk.kind in ("tool", "material", "unknown")
    ]
    place = heard.place(index, verb.first, at + 1, f"verb:{sense.id}")
    return Action(
        place, base, None, t.phrase(verb.at, at + 1).lower(), sense.plain, sense.sense, tuple(objects), tuple(tools)
    )


def nominal_acts(heard: Heard, index: int, parsed: Parsed) -> list[Action]:
    """ "after loosening of the clamp", "following removal of the cover": acts told as nouns before the main act."""
    t = parsed.tagged
    found: list[Action] = []
    for i, word in enumerate(t.low):
        base = _NOMINAL_VERBS.get(word)
        if base is None or i + 2 >= len(t) or t.low[i + 1] != "of":
            continue
        before = t.low[max(0, i - 2) : i]
        if not {"after", "following", "by", "upon", "on"} & set(before):
            continue
        chunk = parsed.chunk_at.get(i + 2)
        sense = heard.lexicon.verb_sense(base, None)
        if chunk is None or sense is None or any(verb.at == i for verb in parsed.verbs if verb.opener):
            continue
        place = heard.place(index, i, chunk.last, f"verb:{sense.id}")
        found.append(Action(place, base, None, word, sense.plain, sense.sense, (heard.mention(index, chunk),)))
    return found


def _told_as_state(parsed: Parsed, at: int) -> bool:
    """Whether "with" opens the words before a part and its particle ("with the lever down and the plug out")."""
    t = parsed.tagged
    while at >= 0 and t.tag[at] != "PUNCT":
        if t.low[at] == "with":
            return True
        at -= 1
    return False


def _goes_back(low: Sequence[str], chunk: Chunk) -> bool:
    """ "Kickplate back on": "back" makes a part of a word that the lexicon lacks."""
    return list(low[chunk.last : chunk.last + 1]) == ["back"]


def verbless_acts(heard: Heard, index: int, parsed: Parsed, refit: bool, begun: bool) -> list[Action]:
    """ "Wheel and mudguard back on", "lid off, both bolts out": a part and its particle, between marks or at an end."""
    t = parsed.tagged
    governed = {chunk.first for verb in parsed.verbs for chunk in (*verb.objects, verb.subject) if chunk is not None}
    found: list[Action] = []
    for chunk in parsed.chunks:
        mention = heard.mention(index, chunk)
        ways = _VERBLESS
        particle = next((i for i in range(chunk.last, min(len(t), chunk.last + 2)) if t.low[i] in _VERBLESS), None)
        if particle is None and refit and t.low[chunk.last : chunk.last + 1] in (["back"], ["down"], ["home"]):
            particle, ways = chunk.last, _VERBLESS_BACK
        if (
            particle is None
            or t.low[chunk.last] not in ("back", t.low[particle])
            or mention.kind
            not in ("part", "fastener", "seal", *(("unknown",) if refit and _goes_back(t.low, chunk) else ()))
            or mention.pronoun is not None
        ):
            continue
        way, behind = ways[t.low[particle]], particle + 1
        while behind < len(t) and t.low[behind] in ("last", "first", "next", "again", "then", "too"):
            behind += 1
        if behind < len(t) and t.tag[behind] not in ("PUNCT", "CONJ"):
            continue
        things = [chunk]
        before = chunk.first - 1
        if before > 0 and t.low[before] == "and" and t.low[chunk.last] != "off":
            other = next((one for one in parsed.chunks if one.last == before), None)
            if other is not None and other.first not in governed and heard.mention(index, other).kind == mention.kind:
                things.insert(0, other)
                before = other.first - 1
        if before >= 0 and t.tag[before] not in ("PUNCT", "CONJ", "INTJ", "ADV"):
            continue
        if chunk.first in governed or (way == "fit" and not refit) or _told_as_state(parsed, before):
            continue
        switched = t.low[particle] == "off" and mention.head in SWITCHED
        verb = "switch" if switched else "take" if way == "remove" else "put"
        sense = heard.lexicon.verb_sense(verb, t.low[particle])
        if sense is None:
            continue
        place = heard.place(index, things[0].first, particle + 1, f"verb:{sense.id}")
        found.append(
            Action(
                place, sense.base, t.low[particle], t.phrase(chunk.last, particle + 1).lower(), sense.plain, sense.sense,
                tuple(heard.mention(index, one) for one in things), done=not begun and not refit,
            )
        )  # fmt: skip
    return found
