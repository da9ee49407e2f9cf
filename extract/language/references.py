"""What pronouns stand for: by number, by what can be acted on that way, and by nearness."""

from __future__ import annotations

import itertools
from bisect import bisect_left
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from extract.language.complements import Parsed, PrepPhrase, VerbPhrase, is_direction
from extract.language.phrases import Chunk
from extract.language.units import read_unit
from extract.number_words import BELOW_TWENTY
from extract.speech import Mention, Place

if TYPE_CHECKING:
    from extract.language.heard import Heard

#: Verb senses that move or free a part, so that a phrase with "off", "to" or "through" says where it goes.
MOVING = frozenset(
    "remove move drain collect lower raise support fit place discard cut open disconnect loosen unclip turn wait "
    "release secure".split()
)
_LOOK_BACK = 6
_CLEANING = frozenset("scrape clean wipe brush wash blow scrub rub sand peel".split())
_SLINGING = frozenset("put place hook wrap pass sling loop tie hang get slip lay throw run".split())
#: Senses that are done to solid parts only.
_SOLID = frozenset("tighten loosen unclip turn hold straighten mark support cut secure disconnect connect".split())
#: Senses that leave a part somewhere, and prepositions that then tell where.
_PUTTING = frozenset({"place", "support", "secure", "collect", "fit"})
_WHERE_PUT = frozenset("on in around round under underneath behind above".split())
#: Prepositions that tell no place.
_NO_PLACE = frozenset("with by for until till without about like per during as than before after".split())
#: Ways of fitting that no fluid has.
_BY_HAND = frozenset("spin screw slide thread push press tap drive knock bolt clip snap wind offer slip".split())
_NEVER_MEANT = frozenset({"person", "abstract"})
_WEIGHTS = {"object": 3.0, "subject": 2.5, "of": 0.6, "phrase": 1.0, "tool": 0.2, "other": 1.2}


#: "there's a ring holding the shaft": the ring is what the speaker goes on about.
_PRESENTED = 1.5


@dataclass(slots=True, eq=False)
class _Candidate:
    mention: Mention
    utterance: int
    weight: float
    pronoun: str | None = None
    peeled: bool = False


def resolve(heard: Heard) -> list[dict[int, Mention]]:
    """For each utterance, the noun phrases by their first token; pronouns carry what they stand for."""
    history: list[_Candidate] = []
    resolved: list[dict[int, Mention]] = []
    for index, parsed in enumerate(heard.parsed):
        resolved.append(_resolve_utterance(heard, index, parsed, history))
        del history[: bisect_left(history, index - 39, key=_utterance)]
    return resolved


def _resolve_utterance(heard: Heard, index: int, parsed: Parsed, history: list[_Candidate]) -> dict[int, Mention]:
    uses = _uses(parsed)
    found: dict[int, Mention] = {}
    for chunk in parsed.chunks:
        verb, use = uses.get(chunk.first, (None, "other"))
        mention = _mention(heard, index, parsed, chunk, verb)
        if chunk.pronoun is not None and chunk.kind != "person":
            mention = _antecedent(heard, index, parsed, chunk, mention, verb, use, history)
        found[chunk.first] = mention
        _name_in_places(found, parsed, chunk, mention)
        if mention.kind in ("person", "abstract") or (chunk.pronoun and not mention.antecedents):
            continue
        if mention.kind == "unknown" and chunk.quantity is not None and read_unit([chunk.noun], 0) is not None:
            continue  # "four bolts, thirteen mil": a size
        if (
            verb is not None
            and verb.base in ("give", "have", "take")
            and chunk.determiner == "a"
            and chunk.component is None
        ):
            continue  # "give the shaft a good rub": what is done, not a thing
        if chunk.pronoun and use == "subject" and verb is not None and verb.base == "be":
            continue  # "once it's slack" says nothing new of the part
        if chunk.pronoun and chunk.quantity is not None:
            continue  # "three of them": the whole lot stays what "them" means
        peeled = use == "object" and verb is not None and verb.base in _CLEANING
        if (
            use == "object"
            and verb is not None
            and verb.base in _CLEANING
            and mention.kind not in {"part", "fastener", "seal", "tool", "machine"}
            and any(phrase.preposition.split()[0] in ("off", "from", "out") for phrase in verb.phrases)
        ):
            use = "of"  # what is scraped off is gone; the part that it was on stays in mind
        elif (
            use == "phrase"
            and verb is not None
            and (_comes_into_focus(verb, chunk) or _goes_around(parsed, verb, chunk))
        ):
            use = "object"
        elif (
            use == "object"
            and verb is not None
            and (
                verb.opener == "to"
                or any(_goes_around(parsed, verb, inner) for phrase in verb.phrases for inner in phrase.chunks)
            )
        ):
            use = "other"
        if not parsed.verbs:
            use = "object"  # "now for the tensioner": what comes next is about it
        weight = _WEIGHTS["tool" if mention.kind == "tool" and use == "phrase" else use]
        if mention.kind == "place":
            weight *= 0.6 if verb is not None and chunk in verb.objects else 0.1
        if verb is not None and chunk in verb.objects[1:] and chunk is verb.objects[-1]:
            group = _together(verb, found)
            if group is not None:
                history.append(_Candidate(group, index, _WEIGHTS["object"] + 0.3))
        if (
            use == "object"
            and verb is not None
            and verb.base == "be"
            and verb.subject is not None
            and verb.subject.pronoun == "there"
        ):
            weight += _PRESENTED
        history.append(_Candidate(mention, index, weight, chunk.pronoun, peeled))
    return found


def _name_in_places(found: dict[int, Mention], parsed: Parsed, chunk: Chunk, mention: Mention) -> None:
    """ "Pull the pin out of it": the place of the spring is told with the part's name."""
    if not chunk.pronoun or not mention.antecedents or not chunk.first:
        return
    before = parsed.tagged.low[chunk.first - 1]
    spoken, named = f"{before} {chunk.pronoun}", f"{before} the {mention.text}"
    for first, other in found.items():
        for place in ("position", "direction"):
            words = getattr(other, place)
            if words and words.lower().endswith(spoken) and first != chunk.first:
                found[first] = other = replace(other, **{place: words[: -len(spoken)] + named})


def _together(verb: VerbPhrase, found: dict[int, Mention]) -> Mention | None:
    """The objects of one verb as one: what "them" means after "oil the spindle and the nut"."""
    things = [found[chunk.first] for chunk in verb.objects if chunk.first in found]
    parts = [thing for thing in things if thing.kind not in ("abstract", "person", "place") and thing.pronoun is None]
    if len(parts) < 2 or any(thing.plural for thing in parts):
        return None
    return replace(parts[0], plural=True, others=tuple(parts[1:]))


def _comes_into_focus(verb: VerbPhrase, chunk: Chunk) -> bool:
    """What something is cleaned off, or what it is held by, is what the speaker goes on about."""
    if verb.base not in _CLEANING and verb.objects:
        return False  # "grab it by the frame": it stays what is talked about
    before = ("off", "from", "out", "down") if verb.base in _CLEANING else ("by",)
    return any(chunk in phrase.chunks and phrase.preposition.split()[0] in before for phrase in verb.phrases)


def _goes_around(parsed: Parsed, verb: VerbPhrase, chunk: Chunk) -> bool:
    """Whether a sling or cover goes around this part ("a sling round the motor"): the part stays what is talked about."""
    return verb.base in _SLINGING and any(
        chunk in phrase.chunks and phrase.preposition in {"round", "around", "under", "underneath", "over", "through"}
        for phrase in verb.phrases
    )


def _uses(parsed: Parsed) -> dict[int, tuple[VerbPhrase | None, str]]:
    """For each noun phrase, by first token: the verb that governs it and how it is used."""
    uses: dict[int, tuple[VerbPhrase | None, str]] = {}

    def add(phrases: list[PrepPhrase], verb: VerbPhrase) -> None:
        for phrase in phrases:
            for chunk in phrase.chunks:
                uses[chunk.first] = (verb, "of" if phrase.preposition == "of" else "phrase")
            add(phrase.of, verb)

    for verb in parsed.verbs:
        if verb.subject is not None:
            uses.setdefault(verb.subject.first, (verb, "subject"))
            add(verb.subject_phrases, verb)
        add(verb.phrases, verb)
        for chunk in verb.objects:
            uses[chunk.first] = (verb, "object")
    return uses


def _mention(heard: Heard, index: int, parsed: Parsed, chunk: Chunk, verb: VerbPhrase | None) -> Mention:
    t = parsed.tagged
    place = Place(
        index,
        t.start[chunk.first],
        t.end[chunk.last - 1],
        f"term:{chunk.component}" if chunk.component else "noun-phrase",
    )
    position, direction = _place_phrases(heard, parsed, chunk, verb)
    if chunk.owner is not None:
        position = " ".join(filter(None, (f"of the {chunk.owner}", position)))
    return Mention(
        place, chunk.text, chunk.noun, chunk.kind, chunk.component, chunk.determiner, chunk.plural, chunk.quantity,
        chunk.quantity_text or chunk.vague, chunk.size, position, direction, chunk.new, chunk.pronoun,
    )  # fmt: skip


def _place_phrases(
    heard: Heard, parsed: Parsed, chunk: Chunk, verb: VerbPhrase | None
) -> tuple[str | None, str | None]:
    """Position (which part) and direction (where it is moved) from the phrases behind a noun phrase."""
    if verb is None:
        return None, None
    t = parsed.tagged
    positions: list[str] = []
    directions: list[str] = []
    phrases: list[PrepPhrase] = []
    if chunk in verb.objects:
        order = verb.objects.index(chunk)
        phrases = verb.phrases if chunk is verb.objects[-1] else verb.object_phrases.get(order, [])
    elif chunk is verb.subject:
        # "The rings of the sleeve and the washer of the plug": what follows "and" places the other subject.
        own = itertools.takewhile(lambda phrase: "and" not in t.low[chunk.last : phrase.first], verb.subject_phrases)
        phrases = [*own, *(verb.phrases if not verb.objects else [])]
    if phrases:
        sense = heard.lexicon.verb_sense(verb.base, verb.particle)
        moves = sense is not None and sense.sense in MOVING
        puts = sense is not None and sense.sense in _PUTTING
    for phrase in phrases:
        first = phrase.preposition.split()[0]
        if (
            first in _NO_PLACE
            or phrase.chunks[0].kind == "abstract"
            and first in ("on", "in", "at")
            or phrase.chunks[0].pronoun == "there"
        ):
            continue
        placed = is_direction(phrase, moves) or puts and first in _WHERE_PUT
        (directions if placed else positions).append(t.phrase(phrase.first, phrase.last))
    # A relative clause that tells which one: "the bolts that carry the arm".
    if chunk.last < len(t.low) and t.low[chunk.last] in ("that", "which") and t.tag[chunk.last] == "SUB":
        for relative in parsed.verbs:
            if relative.opener_at == chunk.last and not relative.aux:
                positions.append(t.phrase(chunk.last, relative.last))
    return " ".join(positions) or None, " ".join(directions) or None


def _antecedent(
    heard: Heard, index: int, parsed: Parsed, chunk: Chunk, mention: Mention, verb: VerbPhrase | None, use: str, history: list[_Candidate]
) -> Mention:  # fmt: skip
    """Fill a pronoun with what it stands for; `antecedents` lists the readings that survive, best first."""
    pronoun = chunk.pronoun or ""
    if (
        verb is not None
        and use == "subject"
        and pronoun in {"it", "this", "that", "there"}
        and _impersonal(parsed, verb)
    ):
        return mention
    plural = chunk.plural or (chunk.quantity or 1) > 1
    machine = pronoun in {"she", "her", "he", "him"}
    picks_one = pronoun.endswith(" one") and bool(_sides(heard, pronoun))
    named_machine = machine and any(known.mention.kind == "machine" for known in history)
    points = pronoun in {"that", "this", "those", "these"}
    beside: set[str] = set()
    same_clause: set[tuple[int, int]] = set()
    subject_before = None
    acted_on = throws_away = False
    if verb is not None:
        throws_away = _thrown_away(heard, verb)
        beside = _beside(verb, use)
        same_clause = _same_clause(parsed, verb) if use == "object" else set()
        subject_before = _subject_before(parsed, verb) if use == "subject" and verb.joined else None
        acted_on = use == "object" or verb.form in ("n", "dn") or use == "subject" and verb.particle is not None
    scored: list[tuple[float, int, _Candidate]] = []
    first = 0 if machine else bisect_left(history, index - _LOOK_BACK, key=_utterance)
    for order in range(first, len(history)):
        known = history[order]
        distance = index - known.utterance
        held = known.mention
        if machine and held.kind != "machine":
            if named_machine or held.kind not in ("part", "unknown"):
                continue
        elif held.kind in _NEVER_MEANT:
            continue
        if held.text in beside or held.pronoun is None and held.determiner == "no":
            continue
        one_of_several = picks_one and held.plural
        if not machine and not one_of_several and not _number_fits(chunk, plural, held):
            continue
        score = known.weight - 0.9 * distance + 0.001 * order + one_of_several
        if held.kind == "machine" and not machine:
            score -= 0.8
        if distance == 0:
            score += 1.2
            if subject_before is not None and held.place.start == subject_before:
                score += 2.5  # "a new cap is in the box and that goes on last"
        if points:
            # A demonstrative points at what was named last, whatever its place in the sentence.
            score += 0.5 * (1.5 - known.weight) - 0.4 * min(3, len(history) - 1 - order)
        if (
            known.pronoun is not None
            and known.pronoun == pronoun
            and distance == 0
            and not _named_since(history, order)
        ):
            score += 2.0  # the same word again in one breath means the same part
        if throws_away and known.peeled and distance == 0:
            score += 4.0  # "peel the mat off its frame and bin it": what was peeled off
        if acted_on:
            score += _acted_on(heard, verb, held)
        if distance == 0 and (held.place.start, held.place.end) in same_clause:
            score -= 4.0
        scored.append((score, order, known))
    if not scored:
        return mention
    scored.sort(key=lambda item: (-item[0], -item[1]))
    best_score, _, best = scored[0]
    readings: list[str] = []
    for score, _, known in scored:
        name = known.mention.text
        if name.lower() not in (reading.lower() for reading in readings) and score > best_score - 0.6:
            readings.append(name)
    held = _named_one(heard, pronoun, best.mention)
    if machine:
        held = replace(held, text=held.text.split()[-1])
    quantity = (
        chunk.quantity if chunk.quantity is not None else (held.quantity if plural or held.quantity == 1 else None)
    )
    if pronoun.endswith(("one", "ones")) and chunk.quantity is None and pronoun.startswith(("the other", "other")):
        quantity = None
    return replace(
        mention, text=held.text, head=held.head, kind=held.kind, component=held.component, quantity=quantity,
        quantity_text=chunk.quantity_text or held.quantity_text, position=mention.position or held.position,
        plural=held.plural and not pronoun.endswith(" one"),
        antecedents=tuple(readings[:3]), new=mention.new, others=best.mention.others,
    )  # fmt: skip


def _thrown_away(heard: Heard, verb: VerbPhrase) -> bool:
    sense = heard.lexicon.verb_sense(verb.base, verb.particle)
    return sense is not None and sense.sense == "discard"


def _utterance(candidate: _Candidate) -> int:
    return candidate.utterance


def _subject_before(parsed: Parsed, verb: VerbPhrase) -> int | None:
    """Where the subject of the clause right before this verb's starts."""
    before = [other.subject for other in parsed.verbs if other.at < verb.at and other.subject is not None]
    return parsed.tagged.start[before[-1].first] if before else None


def _beside(verb: VerbPhrase, use: str) -> set[str]:
    """Names that hang on the same verb in another way: "the pin out of it" is not the spring."""
    chunks = verb.objects if use == "phrase" else [chunk for phrase in verb.phrases for chunk in phrase.chunks]
    return {chunk.text for chunk in chunks if chunk.pronoun is None}


def _named_since(history: list[_Candidate], order: int) -> bool:
    """Whether the same utterance named another object in full after the mention at `order`."""
    return any(
        later.pronoun is None and later.weight >= _WEIGHTS["subject"] and later.utterance == history[order].utterance
        for later in history[order + 1 :]
    )


def _named_one(heard: Heard, pronoun: str, held: Mention) -> Mention:
    """ "the lower one" after "the upper door": the lower door."""
    words = pronoun.split()
    counted = len(words) > 1 and (words[-1] in BELOW_TWENTY[2:] or words[-1].isdigit())
    if len(words) < 2 or not counted and words[-1] not in ("one", "ones"):
        return held
    telling = _sides(heard, pronoun)
    if not telling:
        return held
    name = [
        word
        for word in held.text.split()
        if heard.lexicon.modifiers.get(word.lower()) != "position" or word.lower() == held.head
    ]
    noun = name or [held.head]
    if words[-1] == "one":
        noun[-1] = heard.lexicon.singular(noun[-1].lower())
    return replace(
        held,
        text=" ".join([*telling, *noun]),
        quantity=1 if words[-1] == "one" and held.quantity == 1 else None,
        position=None,
        plural=held.plural and words[-1] != "one",
    )


def _sides(heard: Heard, pronoun: str) -> list[str]:
    """The words of "the lower one" that tell which of several is meant."""
    return [
        word
        for word in pronoun.split()[:-1]
        if heard.lexicon.modifiers.get(word) == "position"
        or word in {"top", "bottom", "left", "right", "front", "rear", "long", "short"}
    ]


def _impersonal(parsed: Parsed, verb: VerbPhrase) -> bool:
    """ "it is the other way round", "that's it": no part is meant."""
    t = parsed.tagged
    return (
        verb.base == "be"
        and not verb.objects
        and not verb.phrases
        and t.low[verb.last - 1 : verb.last] in (["it"], ["that"])
    )


def _number_fits(chunk: Chunk, plural: bool, held: Mention) -> bool:
    if len((chunk.pronoun or "").split()) > 1 and (chunk.pronoun or "").endswith(" one"):
        return True  # "the right-hand one" is one of several as well
    held_plural = held.quantity != 1 and (held.plural or (held.quantity or 1) > 1)
    if (chunk.pronoun or "") in ("that", "this") and not held_plural:
        return True
    return plural == held_plural


def _same_clause(parsed: Parsed, verb: VerbPhrase) -> set[tuple[int, int]]:
    """Start and end of the other noun phrases that hang on the same verb: "it" is never one of them."""
    t = parsed.tagged
    others = [chunk for phrase in verb.phrases for chunk in phrase.chunks]
    if verb.subject is not None:
        others.append(verb.subject)
    return {(t.start[chunk.first], t.end[chunk.last - 1]) for chunk in others}


def _acted_on(heard: Heard, verb: VerbPhrase, held: Mention) -> float:
    """How usual it is to do this to such a thing."""
    sense = heard.lexicon.verb_sense(verb.base, verb.particle)
    if held.kind == "tool" and sense is not None and sense.sense not in {"place", "hold", "turn", "operate", "wear"}:
        return -2.0
    if held.kind in ("fluid", "material") and sense is not None and sense.sense in _SOLID:
        return -4.0
    if held.kind == "fluid" and sense is not None and sense.sense == "fit" and verb.base in _BY_HAND:
        return -4.0
    if (
        held.kind == "place"
        and sense is not None
        and sense.sense not in {"clean", "inspect", "measure", "apply", "mark"}
    ):
        return -1.5
    if sense is None or not sense.objects or "any" in sense.objects:
        return 0.0
    if held.kind in sense.objects:
        return 0.8
    if held.kind in {"part", "unknown", "fastener", "seal"} and "part" in sense.objects:
        return 0.3
    return -1.0 if held.kind != "unknown" else 0.0
