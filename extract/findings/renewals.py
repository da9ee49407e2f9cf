"""What must be new on refit: renewals, substitutions of one kind by another, and (via `consumables`) what is used up."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import partial
from typing import Literal

from extract.findings.consumables import find_consumables
from extract.findings.exchanges import Exchange, find_exchanges, other_kind, other_name
from extract.findings.fresh import (
    after_new,
    called_new,
    counted,
    goes_in,
    is_subject_of,
    known_before,
    listed_new,
    named_here,
    next_to,
    once,
    only_discarded,
    pieces,
    without_state,
)
from extract.findings.phases import PhaseFound
from extract.findings.replacing import find_replacing
from extract.language.complements import Parsed
from extract.language.heard import Heard
from extract.language.named import (
    denied,
    governed,
    objects,
    singular_name,
    stands_in,
    subjects,
    thing,
    token_at,
    with_of_chain,
)
from extract.language.numbers import read_number
from extract.language.phrases import Chunk
from extract.rules import Rule, select_rules
from extract.speech import Action, Mention, Place, RenewalFound, by_utterance

_rules = partial(select_rules, "renewals", "kind")
_PART_KINDS = frozenset({"part", "fastener", "seal", "unknown", "machine", "material"})
#: Words that the lexicon has as tools, places or nouns of kind, and that are parts where they are renewed.
_ALSO_PARTS = frozenset({
    "clamp", "clip", "blade", "bit", "belt", "cutter", "die", "lining", "insert", "tip", "key", "brush", "face",
    "thread", "chamber", "seat", "neck", "socket",
})  # fmt: skip
_NEVER = frozenset({
    "time", "way", "job", "set", "step", "stage", "thing", "bit", "one", "ones", "end", "start", "day", "week",
    "following", "month", "year", "season", "film", "video", "trick", "method", "idea", "style", "type", "model", "machine",
    "version", "owner", "world", "life", "page", "engine",
})  # fmt: skip
#: How many utterances count as the opening of a talk, which names the job.
_OPENING = 4
#: "under each bolt": as many as there are bolts.
_SHARED = re.compile(
    r"\b(?:each|every|per) (?!time|case|single|service|season|year|removal|strip|refit|job|overhaul|occasion|\w+ing\b)"
)
_ONE_USE = re.compile(r"^(?:(?:single|one|once)-\w+(?:-\w+)*|throwaway|disposable|new|fresh|old)\s+", re.IGNORECASE)
#: Phrases behind a part that tell where the new one comes from, or where the old one goes.
_NO_POSITION = re.compile(r"\b(?:new|bin|skip|scrap|kit|bag|box|packet|time|case|stores?)\b")
#: Heads behind "new" that stand for a part, or count it ("a new set of rings").
_COUNTING = frozenset({"one", "ones", "set"})
#: What only announces a list ("these parts are renewed: …").
_LISTED = frozenset({"part", "following", "item", "component", "rubber"})
_SOME_PART = frozenset({"part", "item", "component"})
#: Prepositions before "a new …" that only compare or place ("like a new one", "on a new machine").
_COMPARING = frozenset({
    "on", "like", "as", "than", "from", "of", "to", "against", "at", "about", "in",
})  # fmt: skip
#: Rules of verbs in whose object the fluids and materials are none to be renewed.
_VERBS = frozenset({"renewal.renew", "renewal.discard"})


@dataclass(slots=True)
class _Found:
    """A renewal in the making: the thing, the words that say so, and the rule."""

    mention: Mention
    first: int
    last: int
    rule: str
    kind: Literal["renew", "substitute", "consumable"] = "renew"
    replaced_by: str | None = None


def find_renewals(
    heard: Heard, phases: Sequence[PhaseFound], actions: Sequence[Action], deaf: frozenset[int]
) -> tuple[RenewalFound, ...]:
    """One entry a mention, in the order of the talk."""
    acts = by_utterance(actions)
    working = {act.place.utterance for act in actions if act.phase == "work" and not act.negated and not act.done}
    known: list[RenewalFound] = []
    waiting: list[RenewalFound] = []
    found: list[RenewalFound] = []
    for said in heard.utterances:
        index = said.index
        if index in deaf:
            continue
        parts = _parts(heard, index, phases[index].refit, known, bool(found) and found[-1].place.utterance >= index - 2)
        renewing = bool(parts) or (bool(found) and index - found[-1].place.utterance <= 1)
        used = find_consumables(heard, index, phases[index].refit or renewing, index in working and not renewing)
        names = {one.item for one in used}
        parts = [one for one in parts if not (one.kind == "consumable" and (one.item in names or used))]
        thrown = [one for one in parts if not phases[index].refit and only_discarded(one, acts[index])]
        waiting.extend(thrown)
        known.extend(one for one in parts if one.kind != "consumable" and one not in thrown)
        found.extend(sorted([*parts, *used], key=lambda one: one.place.start))
    return tuple(once(found, waiting))


def said_for_refit(renewals: Sequence[RenewalFound], actions: Sequence[Action]) -> tuple[RenewalFound, ...]:
    """Without those that only follow from an act of the work ("remove and discard the split pin")."""
    senses: dict[int, set[str]] = {}
    for act in actions:
        if act.phase == "work" and not act.negated:
            senses.setdefault(act.place.utterance, set()).add(act.sense)
    told = {one.place.utterance for one in renewals if one.place.rule not in _VERBS}
    return tuple(
        one
        for one in renewals
        if one.place.utterance in told or not senses.get(one.place.utterance, set()) > {"discard"}
    )


def _parts(
    heard: Heard, index: int, refit: bool, known: Sequence[RenewalFound], after_renewal: bool
) -> list[RenewalFound]:
    text = heard.searched(index)
    if not _rules("gate")[0].pattern.search(text) or (
        index < _OPENING and not refit and _rules("job")[0].pattern.search(text)
    ):
        return []
    vetoes = [match.span() for rule in _rules("veto").near(text) for match in rule.pattern.finditer(text)]
    items: list[_Found] = []
    for exchange in find_exchanges(heard, index, text):
        _exchange(heard, index, exchange, items)
    _told(heard, index, text, vetoes, items)
    _replaced(heard, index, items)
    _new_things(heard, index, text, refit, known, vetoes, items)
    if after_renewal and not items:
        _too(heard, index, text, items)
    _more(heard, index, text, items)
    only_if = _only_if(text)
    return [_renewal(heard, index, text, item, only_if, len(items)) for item in items]


# --------------------------------------------------------------------------- who says so


def _told(heard: Heard, index: int, text: str, vetoes: list[tuple[int, int]], items: list[_Found]) -> None:
    """Renewals told by a verb or adjective of renewal."""
    parsed = heard.parsed[index]
    t = parsed.tagged
    listed = False
    for rule in _rules("renew").near(text):
        for match in rule.pattern.finditer(text):
            first, last = token_at(parsed, match.start()), token_at(parsed, match.end() - 1) + 1
            if rule.fields.get("verb") and (t.tag[first] != "VERB" or _reported(heard, index, first)):
                continue
            if any(start <= match.end() and match.start() <= end for start, end in vetoes):
                continue
            if not rule.fields.get("negated") and denied(heard, index, first, last):
                continue
            inside = next((c for c in parsed.chunks if c.first < last <= c.head and c.noun not in _NEVER), None)
            if rule.text("item") == "after":
                chunks = objects(heard, index, last)
            elif rule.text("item") == "named":
                chunks = [named] if (named := named_here(parsed, first)) else []
            else:
                chunks = [inside] if inside is not None and inside.first <= first else subjects(heard, index, first)
                if len(chunks) == 1 and (of := is_subject_of(parsed, chunks[0])) is not None and not of.pronoun:
                    chunks = [of]  # "the bolts are toast, so get new ones"
            if rule.id == "renewal.all-new" and chunks and chunks[-1].noun in ("kit", "set"):
                until = next((verb.first for verb in parsed.verbs if verb.first >= last), len(t))
                chunks = [c for c in parsed.chunks if last <= c.first < until] or chunks
            if rule.fields.get("adjacent") and not (chunks and next_to(parsed, chunks[-1], first)):
                continue
            listed = listed or bool(rule.fields.get("listed"))
            if rule.id == "renewal.buy-one" and chunks:
                _buy_one(heard, index, chunks[0], rule, items)
                continue
            for chunk in chunks:
                _add(heard, index, chunk, (first, last), rule.id, items)
    if listed:
        items[:] = [item for item in items if item.mention.head not in _LISTED]


def _buy_one(heard: Heard, index: int, chunk: Chunk, rule: Rule, items: list[_Found]) -> None:
    """ "the blower comes without a capacitor, so buy one of those": the thing that was last spoken of at all."""
    named = [c for c in heard.parsed[index].chunks if c.last <= chunk.first and not stands_in(c)]
    mention = next(
        (m for c in reversed(named) if _can_be_new(m := heard.mention(index, c)) and m.kind != "person"), None
    )
    if mention is not None:
        counted = replace(mention, quantity=chunk.quantity, quantity_text=chunk.quantity_text)
        items.append(_Found(counted, chunk.first, chunk.last, rule.id))


def _reported(heard: Heard, index: int, at: int) -> bool:
    """ "I've binned the old one already": done before the film."""
    verb = next((verb for verb in heard.parsed[index].verbs if verb.at == at), None)
    return verb is not None and bool({"have", "'ve", "had"} & set(verb.aux)) and "to" not in verb.aux


def _add(
    heard: Heard, index: int, chunk: Chunk, span: tuple[int, int], rule: str, items: list[_Found], replaced_by: str | None = None
) -> None:  # fmt: skip
    mention = thing(heard, index, chunk)
    if mention is None or not _can_be_new(mention):
        return
    mention = after_new(heard, index, chunk, without_state(heard.lexicon, mention))
    if mention.quantity is None and chunk.quantity is not None:
        mention = replace(mention, quantity=chunk.quantity, quantity_text=chunk.quantity_text)
    kind: Literal["renew", "substitute", "consumable"] = "substitute" if replaced_by else "renew"
    if mention.kind == "fluid":
        if rule == "renewal.gone-for-good" or rule in _VERBS:
            return
        kind = "consumable"
    first, last = min(span[0], chunk.first), max(span[1], chunk.last)
    if rule in _VERBS and mention.kind in ("material", "fluid"):
        return
    known = _same_thing(items, mention)
    apart = known is not None and {rule, known.rule} == {"renewal.new-thing"} and known.mention.text != mention.text
    if known is None or (
        apart and mention.determiner is None and mention.pronoun is None
    ):  # "new pins, and new split pins"
        items.append(_Found(mention, first, last, rule, kind, replaced_by))
    else:
        _merge(known, mention)


def _can_be_new(mention: Mention) -> bool:
    if mention.head in _NEVER:
        return False
    return mention.kind in _PART_KINDS or mention.kind == "fluid" or mention.head in _ALSO_PARTS


def _same_thing(items: list[_Found], mention: Mention) -> _Found | None:
    for item in items:
        one, other = item.mention.text.lower(), mention.text.lower()
        if item.mention.head == mention.head and (one == other or one.endswith(other) or other.endswith(one)):
            return item
    return None


def _merge(item: _Found, mention: Mention) -> None:
    if mention.quantity is not None and (item.mention.quantity is None or item.mention.quantity_text is None):
        item.mention = replace(item.mention, quantity=mention.quantity, quantity_text=mention.quantity_text)
    if len(mention.text) > len(item.mention.text) and mention.head == item.mention.head and mention.pronoun is None:
        item.mention = replace(item.mention, text=mention.text, component=mention.component)


# --------------------------------------------------------------------------- old kind and new kind


def _exchange(heard: Heard, index: int, exchange: Exchange, items: list[_Found]) -> None:
    new, span, rule = exchange.new, exchange.span, exchange.rule
    things = [
        (chunk, mention)
        for chunk in exchange.old
        if (mention := thing(heard, index, chunk)) is not None and _can_be_new(mention)
    ]
    if not things:
        return
    same = new.new and (stands_in(new) or any(new.noun == mention.head for _, mention in things))
    same = same or new.noun in ("one", "ones") or any(new.text.lower() == mention.text.lower() for _, mention in things)
    if same:
        other = other_kind(heard.parsed[index], new)
        for chunk, mention in things:
            named = other_name(other, singular_name(heard.lexicon, mention.text)) if other else None
            _add(heard, index, chunk, span, rule.id, items, named)
        return
    indefinite = new.determiner in (None, "a", "an", "some", "another")
    of_other_kind = new.kind in ("tool", "person", "place", "abstract", "fluid") and new.noun not in _ALSO_PARTS
    if not indefinite or new.pronoun is not None or of_other_kind:
        return
    if rule.id in ("renewal.in-its-place", "renewal.instead-of") and any(
        mention.kind == "tool" for _, mention in things
    ):
        return
    name = with_of_chain(heard.parsed[index], new)
    name = singular_name(heard.lexicon, name) if name == new.text else name
    for chunk, _ in things:
        _add(
            heard,
            index,
            chunk,
            (span[0], max(span[1], new.last)),
            rule.id,
            items,
            name,
        )


# --------------------------------------------------------------------------- "replace", "new", "too"


def _replaced(heard: Heard, index: int, items: list[_Found]) -> None:
    for replacing in find_replacing(heard, index):
        if replacing.sense != "fit-new" or any(item.kind == "substitute" for item in items):
            continue
        for chunk, _ in replacing.things:
            _add(heard, index, chunk, (replacing.verb.first, replacing.verb.at + 1), replacing.rule, items)


def _new_things(
    heard: Heard, index: int, text: str, refit: bool, known: Sequence[RenewalFound], vetoes: list[tuple[int, int]], items: list[_Found]
) -> None:  # fmt: skip
    """ "a new seal", "two new ones", "New pads": parts that the speaker calls new."""
    parsed = heard.parsed[index]
    t = parsed.tagged
    taken = [item.replaced_by for item in items if item.replaced_by]
    for chunk in parsed.chunks:
        if not called_new(parsed, chunk) or chunk.noun in _NEVER - _COUNTING:
            continue
        if any(start <= t.end[chunk.last - 1] and t.start[chunk.first] <= end for start, end in vetoes):
            continue
        before = t.low[chunk.first - 1] if chunk.first else ""
        joins = chunk.determiner == "that" and chunk.plural  # "see that new washers …" is no determiner
        definite = not joins and chunk.determiner in (
            "the",
            "this",
            "that",
            "these",
            "those",
            "its",
            "your",
            "his",
            "my",
            "our",
        )
        if not definite and before in _COMPARING and governed(parsed, chunk):
            continue
        if stands_in(chunk) or (chunk.noun in _SOME_PART and is_subject_of(parsed, chunk) is not None):
            _new_ones(heard, index, chunk, definite, items)
            continue
        inner = parsed.chunk_at.get(chunk.last + 1) if t.low[chunk.last : chunk.last + 1] == ["of"] else None
        if chunk.noun in ("set", "pair", "turn", "length", "piece", "strip", "sheet", "roll") and inner is not None:
            pair = 2 * (chunk.quantity or 1) if chunk.noun == "pair" else None
            chunk = replace(inner, quantity=pair, quantity_text=chunk.text) if pair else inner
        mention = heard.mention(index, chunk)
        if not _can_be_new(mention) or mention.kind == "fluid" or singular_name(heard.lexicon, chunk.text) in taken:
            continue
        if mention.kind == "material" and any(rule.pattern.search(chunk.text.lower()) for rule in _rules("staying")):
            continue
        named_before = known_before(known, mention, definite)
        bare = chunk.determiner is None and chunk.quantity is None
        if (
            definite
            and (named_before or not (refit or items or listed_new(parsed, chunk) or goes_in(heard, index, chunk)))
        ) or (bare and named_before):
            continue
        _add(heard, index, chunk, (chunk.first, chunk.last), "renewal.new-thing", items)


def _new_ones(heard: Heard, index: int, chunk: Chunk, definite: bool, items: list[_Found]) -> None:
    """ "so it's three new ones": the count of what was just said, or a renewal of the part last named."""
    if definite:
        return
    parsed = heard.parsed[index]
    number, words = counted(parsed, chunk)
    subject = is_subject_of(parsed, chunk)
    if subject is not None and not stands_in(subject) and subject.kind != "person" and items:
        _add(heard, index, subject, (subject.first, chunk.last), "renewal.new-thing", items)
        return
    if items:
        said = heard.mention(index, chunk)
        _merge(items[-1], replace(said, text="", quantity=number, quantity_text=words))
        return
    named = named_here(parsed, chunk.first)
    mention = heard.mention(index, named) if named else thing(heard, index, chunk)
    if mention is None or not _can_be_new(mention) or mention.kind == "fluid":
        return
    quantity, words = (number, words) if number else (mention.quantity, mention.quantity_text)
    first = parsed.chunks[0].first if mention.place.utterance == index else chunk.first
    items.append(
        _Found(replace(mention, quantity=quantity, quantity_text=words), first, chunk.last, "renewal.new-thing")
    )


def _too(heard: Heard, index: int, text: str, items: list[_Found]) -> None:
    """ "this one too", "same for the gasket": goes on with the renewal before."""
    parsed = heard.parsed[index]
    for rule in _rules("too"):
        match = rule.pattern.search(text)
        if match is None:
            continue
        span = match.span("thing") if match.group("thing") else match.span("other")
        first = token_at(parsed, span[0])
        for chunk in objects(heard, index, first, gap=2):
            _add(heard, index, chunk, (first, chunk.last), rule.id, items)


def _more(heard: Heard, index: int, text: str, items: list[_Found]) -> None:
    """ "and so has the guide strip", "all four of them": further parts of a renewal, and its count told behind."""
    if not items:
        return
    parsed = heard.parsed[index]
    for rule in _rules("too-here").near(text):
        for match in rule.pattern.finditer(text):
            for chunk in objects(heard, index, token_at(parsed, match.end() - 1) + 1, gap=1):
                _add(heard, index, chunk, (chunk.first, chunk.last), rule.id, items)
    last = items[-1]
    told = pieces(parsed)
    if told is not None and last.mention.plural and last.mention.quantity is None:
        last.mention = replace(last.mention, quantity=told.quantity, quantity_text=told.quantity_text)
    for chunk in parsed.chunks:
        if (
            chunk.first >= last.last
            and chunk.pronoun
            and chunk.quantity
            and chunk.plural
            and last.mention.quantity is None
            and not _of_one(parsed, chunk, last.mention)
        ):
            last.mention = replace(
                last.mention, quantity=chunk.quantity, quantity_text=chunk.quantity_text or chunk.pronoun
            )


def _of_one(parsed: Parsed, number: Chunk, mention: Mention) -> bool:
    """ "a new washer under the union, and it's eighteen": a figure told of one thing is not how many there are."""
    if mention.plural or (mention.determiner or "").lower() not in ("a", "an") or number.noun != "count":
        return False
    before = parsed.tagged.low[max(0, number.first - 2) : number.first]
    return before in (["it", "'s"], ["it", "is"]) or before[-1:] == ["its"]


# --------------------------------------------------------------------------- count, condition, record


def _only_if(text: str) -> str | None:
    """The finding that makes the renewal necessary ("if it is scored")."""
    if re.search(r"\beven if\b|\bwhether\b|\bno matter\b", text):
        return None
    for rule in _rules("if").near(text):
        match = rule.pattern.search(text)
        if match is not None:
            return match.group("clause").strip()
    return None


def _found_state(heard: Heard, index: int, item: _Found) -> str | None:
    """ "a bent reed is thrown away": the finding stands in the noun phrase."""
    place = item.mention.place
    if place.utterance != index:
        return None
    words = heard.utterances[index].analysed[place.start : place.end].lower().split()
    name = item.mention.text.lower().split()
    words = [word for word in words[:-1] if word not in name and word not in ("used", "stretched")]
    state = next((word for word in words if any(rule.pattern.search(word) for rule in _rules("state"))), None)
    return f"if it is {state}" if state else None


def _renewal(heard: Heard, index: int, text: str, item: _Found, only_if: str | None, of: int) -> RenewalFound:
    mention = item.mention
    quantity, words = mention.quantity, mention.quantity_text
    count_from: Literal["spoken", "singular", "removed", "unknown"] = "spoken" if quantity is not None else "unknown"
    if of == 1 and quantity in (None, 1):
        for rule in _rules("count"):
            match = rule.pattern.search(text)
            number = read_number([match.group("count")]) if match else None
            if match and number is not None and number.value.is_integer():
                quantity, words, count_from = int(number.value), match.group("count"), "spoken"
    if quantity is None and mention.plural and any(rule.pattern.search(text) for rule in _rules("pair")):
        quantity, words, count_from = 2, "pair", "spoken"
    if quantity is None and not mention.plural and words is None and not _SHARED.search(text):
        quantity, count_from = 1, "singular"
    name = singular_name(heard.lexicon, _ONE_USE.sub("", mention.text))
    position = None if mention.position and _NO_POSITION.search(mention.position.lower()) else mention.position
    rule = item.rule
    place: Place = heard.place(index, item.first, max(item.last, item.first + 1), rule)
    if item.kind == "consumable":
        return RenewalFound(place, name, mention.head, mention.component, "consumable")
    return RenewalFound(
        place, name, mention.head, mention.component, item.kind, quantity, words, count_from, position, item.replaced_by,
        only_if=only_if or _found_state(heard, index, item),
    )  # fmt: skip
