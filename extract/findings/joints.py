"""What is tightened, and which document says how: noun phrases around a tightening value."""

from __future__ import annotations

import re

from extract.language.heard import Heard
from extract.language.named import governed, last_named, stands_in, thing, with_of_chain
from extract.language.numbers import read_number
from extract.language.phrases import Chunk
from extract.language.quantities import Quantity
from extract.number_words import BELOW_TWENTY
from extract.rules import Rule, select_rules
from extract.speech import Mention

#: Thread sizes as they are written ("M8", "3/8-24").
SIZE = re.compile(r"\b(?:m\d+(?:[x.]\d+(?:\.\d+)?)*|\d+/\d+-\d+|\d+/\d+)\b", re.IGNORECASE)
#: Metric sizes as recognisers write what is said ("m ten"); not the end of "I'm".
_SAID_SIZE = re.compile(
    rf"(?<!['’])\bm[ -]?(?P<number>\d+|{'|'.join(BELOW_TWENTY[3:])}|twenty(?:[ -](?:two|four|seven))?)\b", re.IGNORECASE
)
#: What tells the size behind the name: "the cover bolts are M10", "the cover bolts, they're m ten".
_IS = re.compile(
    r",?(?: (?:which|they|these|those|it|that))?(?: are| is|['’]re|['’]s)(?: all| an?)? (?=m)", re.IGNORECASE
)
#: How many utterances back a tightening goes on.
REACH = 2
#: Nouns of a noun phrase that never is the joint.
_NO_JOINT = frozenset({
    "stage", "step", "pass", "round", "time", "turn", "degree", "count", "size", "stroke", "pattern", "chart",
    "wrench", "disc", "gauge", "hair", "more", "good", "grade", "newton", "metre", "meter", "pound", "way", "end",
    "finish", "bit", "thread", "lock", "case",
})  # fmt: skip
_JOINT_KINDS = frozenset({"fastener", "part", "seal", "unknown", "machine"})
#: "the rocker nut torque": the joint stands before the word.
_TORQUE_NOUNS = frozenset({
    "torque", "value", "figure", "setting", "spec", "tightening",
})  # fmt: skip
#: Words before "torque" that tell of the value, not of a joint.
_OF_VALUE = frozenset({
    "nominal", "final", "correct", "right", "proper", "specified", "recommended", "maximum", "minimum", "same", "total", "full",
    "usual", "normal", "starting", "first", "second",
})  # fmt: skip
#: Things that are tools in one place and parts to be tightened in another.
_CLAMPS = frozenset({"clamp", "clip"})
#: Parts that are screwed themselves, or held by screws and spoken of in their place.
_SCREWED = frozenset({
    "cap", "plug", "union", "gland", "collar", "coupling", "fitting", "nipple", "adaptor", "adapter", "sensor", "switch",
    "flange", "cover", "ring", "holder", "bush", "joint", "clamp", "clip", "connector", "filter", "valve", "nozzle", "injector",
    "bracket", "knob", "lever", "handle", "lid", "ferrule", "tap",
})  # fmt: skip


def thread_size(text: str, first: int, last: int) -> str | None:
    """The size of a joint named at `first` to `last` of `text`: in or right before its name, or told of it behind."""
    before = text[max(0, first - 16) : last]
    told = _IS.match(text, last)
    for words in (before, text[told.end() : told.end() + 16] if told else ""):
        written = SIZE.search(words) if words is before else SIZE.match(words)
        if written:
            return written.group().upper()
        said = _SAID_SIZE.search(words) if words is before else _SAID_SIZE.match(words)
        number = read_number(said["number"].lower().split()) if said else None
        if number is not None:
            return f"M{number.value:g}"
    return None


def joint_behind(heard: Heard, index: int, last: int, quantities: list[Quantity]) -> Chunk | None:
    """The joint named right behind a value that ends before token `last` ("forty newton metres for the plug")."""
    parsed = heard.parsed[index]
    t = parsed.tagged
    if t.low[last : last + 1] not in (["for"], ["on"]):
        return None
    chunk = parsed.chunk_at.get(last + 1)
    if chunk is None and last + 1 < len(t) and SIZE.fullmatch(t.words[last + 1]) and t.tag[last + 1] != "NUM":
        return Chunk(last + 1, last + 2, last + 1, t.words[last + 1], t.low[last + 1], "fastener")
    return chunk if chunk is not None and can_be_joint(heard, index, chunk, quantities) else None


def joint_before(heard: Heard, index: int, since: int, until: int, quantities: list[Quantity]) -> Chunk | None:
    """The joint named between two tokens: a fastener or part that no preposition governs, else one of "torque for"."""
    parsed = heard.parsed[index]
    t = parsed.tagged
    chunks = [
        c for c in parsed.chunks if c.first >= since and c.last <= until and can_be_joint(heard, index, c, quantities)
    ]
    free = [c for c in chunks if not governed(parsed, c)]
    of_torque = [c for c in chunks if governed(parsed, c) and t.low[c.first - 1] in ("for", "of", "on")]
    named = [c for c in free if not stands_in(c)]
    if named:
        # "the pump screws carry a seal and get ten": a fastener is tightened rather than the part beside it.
        fasteners = [c for c in named if c.kind == "fastener"]
        last = named[-1]
        return fasteners[-1] if fasteners and last.kind not in ("fastener", "part", "seal") else last
    if of_torque and (not free or free[-1].pronoun in ("it", "that", "this")):
        return of_torque[0]
    # "every M8 you see", "M8s are twenty-five": the size stands for the fastener.
    sizes = [i for i in range(since, until) if SIZE.fullmatch(t.words[i]) and t.tag[i] != "NUM"]
    if sizes:
        at = sizes[-1]
        return Chunk(at, at + 1, at, t.words[at], t.low[at], "fastener")
    return free[-1] if free else None


def joint_after(heard: Heard, index: int, since: int, quantities: list[Quantity]) -> Chunk | None:
    """ "Set the wrench to fifty and do the nuts up": what is tightened comes last."""
    chunks = [
        c
        for c in heard.parsed[index].chunks
        if c.first >= since and c.kind == "fastener" and can_be_joint(heard, index, c, quantities)
    ]
    return chunks[0] if chunks else None


def same_joint(one: Chunk | None, other: Chunk) -> bool:
    """A pronoun behind a value goes on with the same joint ("… and then they get another ninety")."""
    return one is not None and (one is other or other.pronoun in ("it", "them", "they", "that", "those", "em", "'em"))


def can_be_joint(heard: Heard, index: int, chunk: Chunk, quantities: list[Quantity]) -> bool:
    """Whether a noun phrase can name what is tightened: no value, tool, document or person."""
    if any(q.first < chunk.last and chunk.first < q.last for q in quantities):
        return False
    if chunk.pronoun is not None:
        return (
            chunk.pronoun not in ("there", "you", "we", "i", "he", "one")
            and heard.mention(index, chunk).kind != "person"
        )
    if chunk.noun in _TORQUE_NOUNS:
        words = [heard.lexicon.singular(word.lower()) for word in chunk.text.split()]
        return any(word not in _TORQUE_NOUNS | _OF_VALUE for word in words)
    return (
        chunk.noun not in _NO_JOINT and (chunk.kind in _JOINT_KINDS or chunk.noun in _CLAMPS) and not is_document(chunk)
    )


def is_screwed(heard: Heard, index: int, chunk: Chunk | None) -> bool:
    """Whether a noun phrase names a fastener, or a part that is screwed tight itself."""
    if chunk is None:
        return False
    return chunk.kind == "fastener" or chunk.noun in _SCREWED or heard.mention(index, chunk).kind == "fastener"


def _near_fastener(heard: Heard, index: int, plural: bool) -> Mention | None:
    mention = last_named(heard, index, 0, plural, ("fastener",))
    return mention if mention is not None and index - mention.place.utterance <= REACH else None


def joint_name(
    heard: Heard, index: int, chunk: Chunk | None, previous: tuple[str, str] | None, goes_on: bool
) -> tuple[str, str, Mention | None]:
    """Name and head of a joint with the phrases that tell which one; pronouns resolved.

    `previous` is the joint tightened just before, if any; `goes_on` says that the utterance goes on with it.
    """
    parsed = heard.parsed[index]
    if chunk is not None and not stands_in(chunk):
        single = len(chunk.text.split()) == 1
        chain = ("of", "on", "in", "at", "for") if single else ("of",)
        text = with_of_chain(parsed, chunk, chain)
        if chunk.noun in _TORQUE_NOUNS:
            name = [word for word in chunk.text.split() if heard.lexicon.singular(word.lower()) not in _TORQUE_NOUNS]
            return " ".join(name), heard.lexicon.singular(name[-1].lower()), heard.mention(index, chunk)
        before = [c for c in parsed.chunks if c.last == chunk.first - 1 and c.pronoun is None]
        if before and parsed.tagged.low[chunk.first - 1] == "or" and before[0].kind == chunk.kind:
            text = f"{before[0].text} or {text}"
        return text, chunk.noun, heard.mentions[index].get(chunk.first)
    if chunk is not None:
        if goes_on and previous is not None:
            return *previous, None
        mention = thing(heard, index, chunk)
        if mention is not None and mention.kind != "fastener":
            # What is tightened is rather a fastener that was just named.
            mention = _near_fastener(heard, index, chunk.plural) or mention
        if mention is not None and mention.kind != "tool":
            return mention.text, mention.head, mention
        if previous is None and len(chunk.text.split()) > 1:
            return chunk.pronoun or chunk.text, chunk.noun, None
    if previous is not None:
        return *previous, None
    mention = last_named(heard, index, 0, kinds=("fastener",))
    return (mention.text, mention.head, mention) if mention is not None else ("unnamed joint", "joint", None)


def is_document(chunk: Chunk) -> bool:
    """Whether a noun phrase names a document ("the wall chart")."""
    return _document_word(chunk) is not None


def same_document(chunk: Chunk, known: str) -> bool:
    """Whether "the same table" can be the document of this name."""
    return _document_word(chunk) in known.lower().split()


def _document_rule() -> Rule:
    return select_rules("torques", "part", "document")[0]


def _document_word(chunk: Chunk) -> str | None:
    """The word of a noun phrase that says which kind of document it is."""
    match = _document_rule().pattern.search(chunk.text.lower())
    return match.group("word").split()[-1] if match else None


def document_at(heard: Heard, index: int, at: int) -> Chunk | None:
    """A word for a document within four tokens from `at` that no noun phrase holds ("refer to | table six")."""
    t = heard.parsed[index].tagged
    for i in range(at, min(at + 4, len(t))):
        if any(c.first <= i < c.last for c in heard.parsed[index].chunks):
            continue
        chunk = Chunk(i, i + 1, i, t.words[i], t.low[i])
        if is_document(chunk):
            return chunk
    return None


def document_name(heard: Heard, index: int, chunk: Chunk) -> str:
    """The document as spoken, with its number and what it is of or in: "sheet nine in the works folder"."""
    parsed = heard.parsed[index]
    t = parsed.tagged
    first = next((i for i in range(chunk.first, chunk.last) if t.tag[i] != "DET"), chunk.head)
    word = _document_word(chunk) or t.low[chunk.head]
    head = max((i for i in range(first, chunk.last) if t.low[i] == word), default=chunk.head)
    last = head + 1
    if t.low[last : last + 1] in (["number"], ["no"]) and t.tag[last + 1 : last + 2] == ["NUM"]:
        last += 1
    if last < len(t) and (t.tag[last] == "NUM" or re.fullmatch(r"[a-z]{1,3}[-/]?\d+[\w/-]*", t.low[last])):
        last += t.span[last]
    bare = head == first
    while (
        last + 1 < len(t)
        and t.tag[last] == "PREP"
        and t.low[last] in (("of", "in", "on", "inside") if bare else ("of", "inside"))
    ):
        inner = next((c for c in parsed.chunks if c.first <= last + 1 < c.last), None)
        if inner is None or inner.pronoun is not None:
            break
        last = inner.last
        if last < len(t) and t.tag[last] == "NUM":
            last += t.span[last]
    part = re.match(
        r",? (?:chapter|page|section|table|sheet|paragraph|figure|part) (?:number )?[\w./-]+", t.text[t.end[last - 1] :]
    )
    name = t.text[t.start[first] : t.end[last - 1]]
    return name + part.group().rstrip(".") if part else name
