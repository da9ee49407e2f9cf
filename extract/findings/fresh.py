"""What tells that a part spoken of as "new" is to be fitted now: its words, its predicate, and what was named before."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from functools import partial

from extract.language.complements import Parsed
from extract.language.heard import Heard
from extract.language.named import governed, stands_in
from extract.language.phrases import Chunk
from extract.lexicon import Lexicon
from extract.rules import select_rules
from extract.speech import Action, Mention, RenewalFound

_rules = partial(select_rules, "renewals", "kind")
NEW_WORDS = frozenset({"new", "fresh", "brand-new"})
_MODALS = frozenset({"must", "has", "have", "should", "shall", "gets", "get", "needs", "wants"})
#: Passives that tell of a new part without fitting it.
_NOT_FITTED = frozenset(
    "damage ruin wear destroy sell call make supply deliver pay order buy break mark know see show name list need require".split()
)
_PARTS = frozenset({"part", "fastener", "seal", "unknown"})
#: Rules that tell where the old part goes, and so that a new one is needed only by the way.
_DISCARDS = frozenset({"renewal.discard", "renewal.gone-for-good"})


def called_new(parsed: Parsed, chunk: Chunk) -> bool:
    """Whether "new" stands in a noun phrase, or before the describing words of a "one" ("two new stainless ones")."""
    low, tags = parsed.tagged.low, parsed.tagged.tag
    if chunk.kind == "person":
        return False  # "if it is new | you can leave that out"
    first = max(0, chunk.first - 1)
    if chunk.noun in ("one", "ones"):
        first = chunk.head
        while first and tags[first - 1] == "ADJ":
            first -= 1
    return chunk.new or bool(NEW_WORDS & set(low[min(first, chunk.first) : chunk.last]))


def counted(parsed: Parsed, chunk: Chunk) -> tuple[int | None, str | None]:
    """The count of a noun phrase, also where describing words part it from a "one" ("two new stainless | ones")."""
    if chunk.quantity is not None:
        return chunk.quantity, chunk.quantity_text
    before = next((c for c in reversed(parsed.chunks) if c.last <= chunk.first), None)
    if before is None or before.noun != "count" or set(parsed.tagged.tag[before.last : chunk.first]) - {"ADJ"}:
        return None, None
    return before.quantity, before.quantity_text


def pieces(parsed: Parsed) -> Chunk | None:
    """ "Cotters also, six pieces": the count of the part, told as a noun of its own."""
    return next(
        (c for c in parsed.chunks if c.noun in ("piece", "pc", "number") and c.quantity and not c.determiner), None
    )


def goes_in(heard: Heard, index: int, chunk: Chunk) -> bool:
    """Whether a new part is put in its place: "the new lining drops in …", "the new roller has to …"."""
    parsed = heard.parsed[index]
    low = parsed.tagged.low
    if low[chunk.last : chunk.last + 1] and low[chunk.last] in _MODALS:
        return True
    before = parsed.tagged.text[: parsed.tagged.start[chunk.first]].lower().replace("’", "'")
    if any(rule.pattern.search(before) for rule in _rules("shown")):
        return True
    inside = low[chunk.last : chunk.last + 1] in (["in"], ["on"], ["home"], ["fitted"], ["seated"])
    if inside and "with" in low[max(0, chunk.first - 1) : chunk.first + 1]:
        return True
    for verb in parsed.verbs:
        brought = chunk in verb.objects and not verb.negated and verb.subject is None and verb.form in ("b", "g")
        if brought and any(rule.pattern.fullmatch(verb.base) for rule in _rules("goes-in")):
            return True
    said = [verb for verb in parsed.verbs if verb.subject is chunk]
    if not said:
        # "see that new washers are put": the words between keep the subject from its verb.
        said = [verb for verb in parsed.verbs if verb.first in (chunk.last, chunk.last + 1) and verb.aux][:1]
    for verb in said:
        if verb.negated or verb.opener in ("if", "or", "which", "unless", "otherwise", "because"):
            continue
        words = " ".join(low[verb.at : max(verb.last + 1, verb.at + 4)])
        if verb.form in ("n", "dn") and verb.aux and verb.base not in _NOT_FITTED:
            return True
        if any(rule.pattern.match(words) for rule in _rules("goes-in")):
            return True
    return False


def listed_new(parsed: Parsed, chunk: Chunk) -> bool:
    """ "the new wiper, the new cup and two new rings": one of a list of which a later one is new by its count."""
    low = parsed.tagged.low
    for behind in parsed.chunks:
        if behind.first <= chunk.first:
            continue
        if not called_new(parsed, behind) or not set(low[chunk.last : behind.first]) <= {",", "and"}:
            return False
        if behind.determiner in (None, "a", "an"):
            return True
        chunk = behind
    return False


def known_before(known: Sequence[RenewalFound], mention: Mention, definite: bool) -> bool:
    """Whether the part was renewed before; without an article a longer name tells another part."""
    name = mention.text.lower().split()[:-1]
    for one in known:
        told = one.item.lower().split()[:-1]
        if one.head == mention.head and (set(name) <= set(told) or (definite and set(told) <= set(name))):
            return True
    return False


def named_here(parsed: Parsed, at: int) -> Chunk | None:
    """The part that the utterance speaks of before "a new one": a subject rather than what it loses or holds."""
    named = [c for c in parsed.chunks if c.last <= at and not stands_in(c) and not governed(parsed, c)]
    named = [c for c in named if c.kind in _PARTS and (c.determiner or c.quantity or c.component)]
    if not named:
        return None
    owner = next((verb for verb in parsed.verbs if named[-1] in verb.objects), None)
    if owner is not None and owner.subject in named:
        return owner.subject
    return named[-1]


def is_subject_of(parsed: Parsed, chunk: Chunk) -> Chunk | None:
    """ "the roller is of course | a new one": the thing that a predicate noun phrase is said of."""
    verb = next((verb for verb in parsed.verbs if verb.base == "be" and chunk in verb.objects), None)
    return verb.subject if verb is not None else None


def next_to(parsed: Parsed, chunk: Chunk, at: int) -> bool:
    """Whether a noun phrase stands right before token `at`, a comma and phrases of its own ("of felt") apart."""
    t = parsed.tagged
    between = range(chunk.last, at - (t.low[at - 1] == ","))
    return all(t.tag[i] in ("PREP", "NOUN", "DET", "ADJ", "NUM", "ADV") for i in between) and len(between) <= 3


def after_new(heard: Heard, index: int, chunk: Chunk, mention: Mention) -> Mention:
    """What stands before "new" in a noun phrase belongs to something else ("during assembly | three new rivets")."""
    written = heard.parsed[index].tagged.low[chunk.first : chunk.last]
    at = max((i for i, word in enumerate(written) if word in NEW_WORDS), default=-1)
    words = [word for word in mention.text.split() if word.lower() in written[at + 1 :]]
    return mention if at < 0 or stands_in(chunk) or not words else replace(mention, text=" ".join(words))


def without_state(lexicon: Lexicon, mention: Mention) -> Mention:
    """ "stretched bolts" are bolts: the finding is not part of the name."""
    words = mention.text.split()
    while (
        len(words) > 1
        and lexicon.term(" ".join(words).lower()) is None
        and any(rule.pattern.search(words[0].lower()) for rule in _rules("state"))
    ):
        words = words[1:]
    return replace(mention, text=" ".join(words))


def only_discarded(found: RenewalFound, acts: Sequence[Action]) -> bool:
    """Whether the renewal only follows from throwing the old part away in the course of the work."""
    told = found.kind == "renew" and found.place.rule in _DISCARDS
    return told and any(act.phase == "work" and act.sense == "discard" and not act.negated for act in acts)


def once(found: Sequence[RenewalFound], waiting: Sequence[RenewalFound]) -> list[RenewalFound]:
    """Without the old parts thrown away in the work (`waiting`) whose renewal is told by name later on."""
    told_again = [
        one
        for one in waiting
        if any(
            other.kind != "consumable"
            and other.head == one.head
            and other.place.utterance > one.place.utterance
            and _same_name(one.item, other.item)
            for other in found
        )
    ]
    return [one for one in found if not any(one is other for other in told_again)]


def _same_name(one: str, other: str) -> bool:
    first, second = set(one.lower().split()[:-1]), set(other.lower().split()[:-1])
    return first <= second or second <= first
