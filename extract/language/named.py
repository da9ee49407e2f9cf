"""Which things a predicate is said of: lists of noun phrases before and after a word, with pronouns resolved."""

from __future__ import annotations

from dataclasses import replace

from extract.language.complements import Parsed, VerbPhrase
from extract.language.heard import Heard
from extract.language.phrases import Chunk
from extract.language.units import read_torque_unit, read_unit
from extract.lexicon import Lexicon
from extract.speech import Mention

_GOVERNORS = frozenset({"PREP", "TO"})
#: Words that float between a subject and its predicate: they count it and name nothing.
_FLOATING = frozenset({"both", "all", "each"})
#: Heads of noun phrases that stand for a thing named before ("the old one", "the same lot").
_STAND_INS = frozenset(
    {
        "old",
        "little",
        "big",
        "short",
        "long",
        "small",
        "new",
        "one",
        "ones",
        "other",
        "others",
        "same",
        "lot",
        "rest",
        "count",
    }
    | {"more", "penny", "quid", "dollar", "buck", "good"}
)
_LOOK_BACK = 5
#: How many utterances back a counted lot is still known by its count.
_LOOK_BACK_FAR = 10


def token_at(parsed: Parsed, offset: int) -> int:
    """The token that holds, or is the first behind, a character offset of the utterance."""
    t = parsed.tagged
    return next((i for i in range(len(t)) if t.end[i] > offset), len(t))


def governed(parsed: Parsed, chunk: Chunk) -> bool:
    """Whether a preposition stands before the noun phrase (a particle is none: "pull up the bolts")."""
    before = chunk.first - 1
    if before < 0 or parsed.tagged.tag[before] not in _GOVERNORS:
        return False
    return all(verb.particle_at != before for verb in parsed.verbs)


def denied(heard: Heard, index: int, first: int, last: int) -> bool:
    """Whether "not" or "never" stands in, or in the same clause just before, the tokens `first` up to `last`."""
    t = heard.parsed[index].tagged
    for i in range(last - 1, max(-1, first - 4), -1):
        if t.tag[i] == "PUNCT" or (t.tag[i] == "CONJ" and i < first):
            return False
        if t.tag[i] == "NEG":
            return True
    return False


def stands_in(chunk: Chunk) -> bool:
    """Whether a noun phrase only points at a thing ("it", "the old one")."""
    return chunk.pronoun is not None or chunk.noun in _STAND_INS


def subjects(heard: Heard, index: int, at: int) -> list[Chunk]:
    """Noun phrases that the predicate at token `at` is said of ("the seal and the two rings | are renewed")."""
    parsed = heard.parsed[index]
    chunk = _nearest(parsed, at)
    if chunk is None:
        return []
    owner = _object_of(parsed, chunk)
    if (
        owner is not None
        and _predicate_goes_on(parsed, chunk, at)
        and owner.subject is not None
        and owner.subject.kind != "person"
    ):
        chunk = owner.subject
    found = [chunk]
    if chunk.pronoun is None or chunk.noun in ("ones",):
        while (before := _joined_before(parsed, found[0])) is not None:
            found.insert(0, before)
    return found


def objects(heard: Heard, index: int, at: int, gap: int = 3) -> list[Chunk]:
    """Noun phrases of a list that starts at, or up to `gap` tokens behind, token `at`."""
    parsed = heard.parsed[index]
    t = parsed.tagged
    start = next((c for c in parsed.chunks if at <= c.first <= at + gap), None)
    if start is None or any(t.tag[i] in ("PUNCT", "CONJ", "SUB") for i in range(at, start.first)):
        return []
    if start.pronoun in {"any", "all", "both", "each"} and start.last in parsed.chunk_at:
        start = parsed.chunk_at[start.last]
    found = [start]
    while (after := _joined_after(parsed, found[-1])) is not None:
        found.append(after)
    return found


def _nearest(parsed: Parsed, at: int) -> Chunk | None:
    """The noun phrase before token `at` that no preposition governs."""
    for chunk in reversed([c for c in parsed.chunks if c.last <= at]):
        if (
            chunk.noun in _FLOATING
            and chunk.first > 0
            and parsed.tagged.tag[chunk.first - 1] in ("AUX", "NOUN", "PRON")
        ):
            continue
        if governed(parsed, chunk) or (chunk.kind == "abstract" and chunk.pronoun is None):
            continue
        return chunk
    return None


def _object_of(parsed: Parsed, chunk: Chunk) -> VerbPhrase | None:
    return next((verb for verb in parsed.verbs if chunk in verb.objects), None)


def _predicate_goes_on(parsed: Parsed, chunk: Chunk, at: int) -> bool:
    """ "the lids have a film and are renewed": a second predicate of the first subject."""
    tags = parsed.tagged.tag[chunk.last : at]
    return "CONJ" in tags


def _joined_before(parsed: Parsed, chunk: Chunk) -> Chunk | None:
    """The list member before a noun phrase ("the wiper" before "and the rings")."""
    t = parsed.tagged
    i = chunk.first - 1
    if i < 0 or not (t.tag[i] == "CONJ" or t.low[i] == ","):
        return None
    while i >= 0 and (t.tag[i] == "CONJ" or t.low[i] == ","):
        i -= 1
    for before in reversed([c for c in parsed.chunks if c.last <= i + 1]):
        gap = t.tag[before.last : i + 1]
        if governed(parsed, before):
            if gap:
                return None
            i = before.first - 2
            continue
        if gap or before.pronoun is not None or before.kind in ("person", "abstract"):
            return None
        owner = _object_of(parsed, before)
        if owner is not None and not (owner.base == "be" and (owner.subject is None or owner.subject.kind == "person")):
            return None
        return before
    return None


def _joined_after(parsed: Parsed, chunk: Chunk) -> Chunk | None:
    """The list member behind a noun phrase and its phrases of place ("… and the cover")."""
    t = parsed.tagged
    i = chunk.last
    while i < len(t) and t.tag[i] == "PREP" and (inner := _chunk_at(parsed, i + 1)) is not None:
        i = inner.last
    if t.low[i : i + 2] == ["as", "well"] and t.low[i + 2 : i + 3] == ["as"]:
        i += 3
    elif i < len(t) and (t.tag[i] == "CONJ" and t.low[i] in {"and", "or", "plus", "&"} or t.low[i] == ","):
        while i < len(t) and (t.tag[i] == "CONJ" or t.low[i] == ","):
            i += 1
    else:
        return None
    after = _chunk_at(parsed, i)
    if (
        after is None
        or after.kind in ("person", "abstract")
        or after.pronoun in {"it", "they", "that", "this", "you", "there"}
    ):
        return None
    if any(verb.subject is after for verb in parsed.verbs):
        return None
    return after


def _chunk_at(parsed: Parsed, i: int) -> Chunk | None:
    return parsed.chunk_at.get(i)


def thing(heard: Heard, index: int, chunk: Chunk) -> Mention | None:
    """What a noun phrase stands for; null for persons and pronouns that nothing explains."""
    mention = heard.mention(index, chunk)
    if not stands_in(chunk):
        return None if chunk.kind == "person" else mention
    if mention.antecedents and mention.head not in _STAND_INS | {"piece"}:
        return _counted(heard, index, chunk) or _of_that_kind(heard, index, chunk, mention) or mention
    if mention.kind == "person":
        return None
    earlier = last_named(heard, index, chunk.first)
    if earlier is None:
        return None
    return _standing_for(earlier, mention, chunk)


def _counted(heard: Heard, index: int, chunk: Chunk) -> Mention | None:
    """ "all six": the parts of which six were counted, rather than the last ones named."""
    if chunk.quantity is None or chunk.quantity < 3:
        return None
    for i in range(index, max(-1, index - _LOOK_BACK_FAR - 1), -1):
        for named in reversed([c for c in heard.parsed[i].chunks if i < index or c.last <= chunk.first]):
            if named.quantity == chunk.quantity and named.plural and not stands_in(named) and named.kind != "abstract":
                return _standing_for(heard.mention(i, named), heard.mention(index, chunk), chunk)
    return None


def _of_that_kind(heard: Heard, index: int, chunk: Chunk, mention: Mention) -> Mention | None:
    """ "Split pins are cheap, so bin it": what is of the kind that was just named, not the last thing of that head."""
    if mention.text.lower() in (c.text.lower() for c in heard.parsed[index].chunks):
        return None
    for named in reversed([c for c in heard.parsed[index].chunks if c.last <= chunk.first]):
        if named.noun == mention.head and not stands_in(named):
            found = _standing_for(heard.mention(index, named), heard.mention(index, chunk), chunk)
            counted = chunk.quantity is None and chunk.plural
            quantity = (named.quantity, named.quantity_text) if counted else (chunk.quantity, chunk.quantity_text)
            return replace(found, plural=mention.plural, quantity=quantity[0], quantity_text=quantity[1])
    return None


def _standing_for(named: Mention, pronoun: Mention, chunk: Chunk) -> Mention:
    """The thing named, at the place and in the number of the words that stand for it."""
    return replace(
        named, place=pronoun.place, determiner=chunk.determiner, quantity=chunk.quantity, quantity_text=chunk.quantity_text,
        new=chunk.new, pronoun=chunk.pronoun or chunk.text.lower(),
    )  # fmt: skip


def last_named(
    heard: Heard, index: int, before: int, plural: bool | None = None, kinds: tuple[str, ...] = ()
) -> Mention | None:
    """The last part that was named, from token `before` of the utterance back; of `kinds` where given."""
    wanted = kinds or ("part", "fastener", "seal", "unknown")
    for i in range(index, max(-1, index - _LOOK_BACK - 1), -1):
        chunks = heard.parsed[i].chunks
        for chunk in reversed([c for c in chunks if i < index or c.last <= before]):
            mention = heard.mention(i, chunk)
            if (
                mention.head in _STAND_INS
                or _is_unit(mention.head)
                or mention.kind not in wanted
                or (mention.head == "piece" and mention.quantity is not None)
                or (chunk.pronoun and not mention.antecedents)
            ):
                continue
            if mention.kind == "unknown" and chunk.component is None and not chunk.determiner and not chunk.quantity:
                continue
            if plural is not None and (mention.plural or (mention.quantity or 1) > 1) != plural:
                continue
            if governed(heard.parsed[i], chunk) and not kinds:
                continue
            return mention
    return None


def _is_unit(word: str) -> bool:
    return read_torque_unit([word], 0) is not None or read_unit([word], 0) is not None


def singular_name(lexicon: Lexicon, text: str) -> str:
    """A name with its last word in the singular ("copper washers" → "copper washer")."""
    words = text.split()
    if not words:
        return text
    last = words[-1]
    single = lexicon.singular(last.lower())
    if single != last.lower():
        kept = 0
        while kept < min(len(last), len(single)) and last[kept].lower() == single[kept]:
            kept += 1
        words[-1] = last[:kept] + single[kept:]
    return " ".join(words)


def with_of_chain(parsed: Parsed, chunk: Chunk, prepositions: tuple[str, ...] = ("of",)) -> str:
    """The name of a noun phrase with the phrases behind it that tell which one ("bolts of the end plate")."""
    t = parsed.tagged
    text = chunk.text
    i = chunk.last
    while (
        i + 1 < len(t)
        and t.tag[i] == "PREP"
        and t.low[i] in prepositions
        and (inner := parsed.chunk_at.get(i + 1)) is not None
    ):
        if inner.pronoun is not None or inner.kind in ("abstract", "person"):
            break
        text += " " + t.phrase(i, inner.last)
        i = inner.last
    return text
