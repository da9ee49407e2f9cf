"""What a spoken heading announces, as a noun phrase: the parts that it names and where they belong."""

from __future__ import annotations

from collections.abc import Sequence

from extract.language.complements import Parsed
from extract.language.heard import Heard
from extract.language.phrases import Chunk
from extract.speech import RoleFound, TitleFound

_NAMED = ("part", "fastener", "seal", "machine", "fluid", "material", "unknown", "place", "tool")
#: Prepositions whose phrase still tells which part is meant; "out of", "off", "with" only tell what is done.
_BELONGING = frozenset("of on in inside for at from under behind".split())
#: Nouns that stand for the film or the job, never for the part.
_NO_PART = frozenset(
    "film video recording clip session demonstration instruction lesson module talk job one thing section part bit step "
    "chapter next day morning afternoon today time everyone everybody y'all folks lads camera".split()
)


def find_titles(heard: Heard, roles: Sequence[RoleFound]) -> tuple[TitleFound, ...]:
    """A title for each heading that names a part."""
    found: list[TitleFound] = []
    for role in roles:
        if role.role != "heading":
            continue
        index = role.place.utterance
        parsed = heard.parsed[index]
        first = next((chunk for chunk in parsed.chunks if _names_part(parsed, chunk)), None)
        if first is None:
            continue
        last = _end(parsed, first)
        start = _name_start(parsed, first)
        text = _written(parsed, start, last)
        found.append(TitleFound(heard.place(index, start, last, "title.noun-phrase"), text))
    return tuple(found)


def _names_part(parsed: Parsed, chunk: Chunk) -> bool:
    if chunk.kind not in _NAMED or chunk.pronoun is not None or chunk.noun in _NO_PART:
        return False
    if chunk.kind == "unknown" and chunk.determiner is None and chunk.first == chunk.head:
        return False
    before = parsed.tagged.low[chunk.first - 1] if chunk.first else ""
    return before not in ("with", "using")


def _name_start(parsed: Parsed, chunk: Chunk) -> int:
    """First token of the name, its article left out."""
    t = parsed.tagged
    first = chunk.first
    while first < chunk.head and (
        t.tag[first] == "DET" or t.low[first] in ("little", "old", "auld", "wee", "our", "your", "'s")
    ):
        first += 1
    return first


def _end(parsed: Parsed, chunk: Chunk) -> int:
    """One past the last token of the name: coordinated parts and what they belong to."""
    t = parsed.tagged
    last = chunk.last
    while last < len(t):
        joint = last
        if t.low[joint] == "," and t.tag[joint + 1 : joint + 2] == ["CONJ"]:
            joint += 1
        following = parsed.chunk_at.get(joint + 1)
        if following is None or following.pronoun is not None or following.noun in _NO_PART:
            break
        if t.low[following.last : following.last + 2] == ["for", "short"]:
            break
        joined = (
            t.low[joint] in ("and", ",") and following.kind in (*_NAMED, "abstract") and not _acts(parsed, following)
        )
        belongs = t.low[joint] in _BELONGING and following.kind != "abstract"
        numbered = parsed.chunk_at.get(following.last) if following.noun == "number" else None
        if numbered is not None and t.low[joint] in _BELONGING:
            following = numbered
        elif not (joined or belongs):
            break
        last = following.last
    return last


def _acts(parsed: Parsed, chunk: Chunk) -> bool:
    """Whether the noun phrase is the subject of a verb of its own."""
    return any(verb.subject is chunk and verb.first >= chunk.last for verb in parsed.verbs)


def _written(parsed: Parsed, first: int, last: int) -> str:
    t = parsed.tagged
    words = [t.words[i] for i in range(first, last)]
    low = [word.lower() for word in words]
    written: list[str] = []
    for position, word in enumerate(words):
        if position and low[position] in ("this", "that", "our", "your", "these", "those"):
            word = "the"
        if low[position] in ("little", "auld", "wee"):
            continue
        if word in (",", "'s") and written:
            written[-1] += word
        else:
            written.append(word)
    text = " ".join(written)
    return text[:1].upper() + text[1:]
