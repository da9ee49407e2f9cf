"""What hangs on a verb of work: its objects, tools, manner, purpose and end."""

from __future__ import annotations

import re
from dataclasses import replace

from extract.language import grammar
from extract.language.complements import Parsed, PrepPhrase, VerbPhrase
from extract.language.heard import Heard
from extract.language.moods import COMES, GOING_IN, have_before
from extract.language.phrases import Chunk
from extract.speech import Action, Mention


def objects_of(heard: Heard, index: int, parsed: Parsed, verb: VerbPhrase) -> list[Mention]:
    chunks = list(verb.objects)
    if verb.base in {"look", "feel", "listen", "check", "test", "search"} and not chunks:
        chunks = [
            chunk for phrase in verb.phrases if phrase.preposition in ("at", "for", "over") for chunk in phrase.chunks
        ]
    if verb.particle == "rid":
        chunks = [chunk for phrase in verb.phrases if phrase.preposition == "of" for chunk in phrase.chunks]
    if not chunks and verb.base in _ASCERTAIN:
        chunks = _ascertained(parsed, verb)
    passive = verb.form in ("n", "dn", "d") and (
        set(verb.aux) & grammar.BE or verb.carried_by in ("need", "want", "get")
    )
    moves = (
        verb.form in ("s", "b")
        and (verb.base in COMES or (verb.base == "go" and verb.particle in GOING_IN))
        and verb.subject is not None
        and verb.subject.kind != "person"
        and not verb.objects
    )
    needs = verb.form == "g" and verb.carried_by in ("need", "want", "require")
    if verb.subject is not None and (passive or moves or needs) and verb.subject.kind != "person":
        subjects = [verb.subject, *_coordinated(parsed, verb.subject, verb.first)]
        chunks = subjects + ([] if passive else chunks)
    if verb.opener in ("which", "that") and verb.opener_at is not None and (passive or needs):
        named = [other for other in parsed.verbs if other.last <= verb.opener_at + 1 and other.objects]
        before = [chunk for chunk in parsed.chunks if chunk.last <= verb.opener_at]
        chunks = named[-1].objects[-1:] if named and verb.opener == "that" else before[-1:]
    if not chunks and verb.form in {"dn", "n", "d", "b"} and have_before(parsed, verb) and verb.subject is not None:
        chunks = [verb.subject]
    if not chunks and verb.form in ("dn", "n", "d") and verb.subject is not None and verb.subject.kind != "person":
        chunks = [verb.subject]
    if verb.joined and not chunks:
        return []
    found: list[Mention] = []
    for chunk in chunks:
        if chunk.kind == "person" and chunk.pronoun is not None and chunk.pronoun not in ("her", "him", "she"):
            continue
        mention = heard.mention(index, chunk)
        if chunk.pronoun in ("both of them", "both", "all") and found and found[-1].place.end <= mention.place.start:
            found[-1] = replace(found[-1], quantity=chunk.quantity, quantity_text=chunk.pronoun)
            continue
        if chunk.quantity is not None and chunk.pronoun and found and chunk.pronoun.startswith(("both", "all")):
            found[-1] = replace(found[-1], quantity=chunk.quantity, quantity_text=chunk.pronoun)
            continue
        found.append(replace(mention, others=()))
        found.extend(mention.others)
    if found and verb.phrases:
        found.extend(_accompanied(heard, index, parsed, verb))
    return found


#: Words before "with" by which the thing behind it comes along and is no tool.
_ALONG = ("along", "together", "complete")
_ASCERTAIN = frozenset("check prove verify confirm ensure test see feel mark note".split())


def _ascertained(parsed: Parsed, verb: VerbPhrase) -> list[Chunk]:
    """ "check that the coil is dead", "mark which way round the lever stands": it is done to the subject of the clause."""
    for other in parsed.verbs:
        if other.at > verb.at and other.subject is not None and other.subject.first <= verb.last + 2:
            between = [chunk for chunk in parsed.chunks if verb.at < chunk.first and chunk.last <= other.at]
            things = [chunk for chunk in between if chunk.kind not in ("person", "abstract")]
            return things[-1:] if other.opener in {"which", "how", "where", "what"} else things[:1]
    return []


def _coordinated(parsed: Parsed, subject: Chunk, until: int) -> list[Chunk]:
    """Further subjects joined by "and" before the verb ("the seal and the ring are taken out")."""
    t = parsed.tagged
    more: list[Chunk] = []
    for chunk in parsed.chunks:
        if chunk.first > subject.last - 1 and chunk.last <= until and t.tag[chunk.first - 1] == "CONJ":
            more.append(chunk)
    return more


def _accompanied(heard: Heard, index: int, parsed: Parsed, verb: VerbPhrase) -> list[Mention]:
    """ "the rod is taken out along with the piston", "the rod seal with its backup ring": what comes with the object."""
    t = parsed.tagged
    found: list[Mention] = []
    for phrase in verb.phrases:
        if phrase.preposition != "with":
            continue
        together = t.low[phrase.first - 1] in _ALONG
        for chunk in phrase.chunks:
            mention = heard.mention(index, chunk)
            if (
                (together or chunk.determiner in ("its", "their"))
                and mention.kind in {"part", "fastener", "seal", "unknown", "tool"}
                and mention.pronoun is None
            ):
                found.append(mention)
    return found


def share_objects(parsed: Parsed, acts: list[Action]) -> list[Action]:
    """ "remove and discard the seal", "the nuts are loosened and taken off": one object for two verbs."""
    for position, act in enumerate(acts):
        if act.objects:
            continue
        following = acts[position + 1] if position + 1 < len(acts) else None
        previous = acts[position - 1] if position else None
        t = parsed.tagged.text
        if following is not None and following.objects and _only_joined(t[act.place.end : following.place.start]):
            acts[position] = replace(act, objects=following.objects)
        elif previous is not None and previous.objects and _only_joined(t[previous.place.end : act.place.start]):
            acts[position] = replace(act, objects=previous.objects)
    return acts


def _only_joined(between: str) -> bool:
    return re.fullmatch(r"[\s,]*(?:and|then|and then|or|but)?[\s,]*", between.lower()) is not None


def tools_of(heard: Heard, index: int, parsed: Parsed, number: int, verb: VerbPhrase) -> list[Mention]:
    """Tools of an act: "with a …" of a tool or unknown thing, and "using a …"."""
    found: list[Mention] = []
    phrases = [phrase for phrase in verb.phrases if phrase.preposition in ("with", "using")]
    phrases = [phrase for phrase in phrases if parsed.tagged.low[phrase.first - 1] not in _ALONG]
    for phrase in verb.phrases:
        if phrase.preposition == "by" and phrase.chunks[0].noun in ("means", "use"):
            phrases.extend(phrase.of)  # "by means of a lever"
    leading = _leading_with(parsed, verb)
    for phrase in phrases + leading:
        for chunk in phrase.chunks:
            mention = heard.mention(index, chunk)
            # "On the ones with the electric lift, pull …": before the verb only a tool of the trade is one.
            kinds = ("tool", "material") if phrase in leading else ("tool", "unknown", "material", "machine")
            own = chunk.determiner in ("its", "their")  # "the rod with its hammer": no tool, it comes along
            if mention.kind in kinds and mention.pronoun is None and not own:
                found.append(mention)
    before = parsed.verbs[number - 1] if number else None
    if before is not None and before.base == "use" and verb.opener == "to":
        found.extend(heard.mention(index, chunk) for chunk in before.objects)
    for other in parsed.verbs[number + 1 : number + 2]:
        if other.base == "use" and other.form == "g":
            found.extend(heard.mention(index, chunk) for chunk in other.objects)
    return found


def _leading_with(parsed: Parsed, verb: VerbPhrase) -> list[PrepPhrase]:
    """ "with a ring spanner, loosen …": the tool stands before its verb."""
    t = parsed.tagged
    found: list[PrepPhrase] = []
    for i in range(0, verb.first):
        if t.low[i] == "with" and t.tag[i] == "PREP":
            chunk = parsed.chunk_at.get(i + 1)
            if chunk is not None and all(
                other.at > verb.at or other is verb or other.last <= i for other in parsed.verbs
            ):
                between = [other for other in parsed.verbs if i < other.at < verb.at]
                claimed = any(phrase.first == i for other in parsed.verbs for phrase in other.phrases)
                if not between and not claimed:
                    found.append(PrepPhrase("with", [chunk], i, chunk.last))
    return found


_HOW = frozenset(
    "straight crosswise evenly slowly clockwise anticlockwise anti-clockwise counterclockwise counter-clockwise backwards "
    "sideways alternately diagonally hard square dead clean dry flat level".split()
)


def manner_of(heard: Heard, parsed: Parsed, number: int, verb: VerbPhrase) -> str | None:
    t = parsed.tagged
    parts = [word for word in verb.adverbs if word.endswith("ly") or word in _HOW]
    for phrase in verb.phrases:
        if phrase.preposition == "by" and phrase.chunks[0].noun == "hand":
            parts.append("by hand")
    for other in parsed.verbs[number + 1 :]:
        if other.opener == "by" and other.form == "g":
            parts.append(t.phrase(other.opener_at if other.opener_at is not None else other.first, other.last))
            break
    return ", ".join(dict.fromkeys(parts)) or None


#: Verbs behind which "for" tells what is sought ("check the shaft for cracks").
_LOOKING = frozenset("check inspect examine look feel search test watch".split())


def purpose_of(parsed: Parsed, number: int, verb: VerbPhrase) -> str | None:
    t = parsed.tagged
    for other in parsed.verbs[number + 1 : number + 2]:
        if other.opener in ("to", "so") and other.opener_at is not None and other.opener_at >= verb.last - 1:
            return t.phrase(other.opener_at, other.last)
    if verb.base in _ASCERTAIN:
        told = next((other for other in parsed.verbs[number + 1 : number + 2] if other.opener == "that"), None)
        if told is not None and told.opener_at is not None:
            return t.phrase(told.opener_at, told.last)
    if verb.base in _LOOKING and verb.objects:
        sought = next((phrase for phrase in verb.phrases if phrase.preposition == "for" and phrase.chunks), None)
        if sought is not None and sought.chunks[0].pronoun is None:
            return t.phrase(sought.first, sought.last)
    return None


def until_of(parsed: Parsed, number: int, verb: VerbPhrase) -> str | None:
    """The "until …" clause right behind the verb; one behind a later verb is that verb's."""
    t = parsed.tagged
    for other in parsed.verbs[number + 1 : number + 3]:
        if other.opener in ("until", "till") and other.opener_at is not None:
            return t.phrase(other.opener_at, other.last)
        if other.opener != "to":
            break
    return None
