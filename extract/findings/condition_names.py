"""Names of variants that a parser has in pieces: "the cast iron one", "under bed light", "the big 2000 l pump"."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace

from extract.findings.condition_axes import Meaning
from extract.findings.condition_text import Sentence
from extract.language.phrases import Chunk
from extract.language.tagging import Tagged

_AGES = frozenset({"older", "newer", "earlier", "later"})
#: Nouns that a gearbox or an engine may be called by; with another noun, "auto" or "diesel" is part of its name.
_DRIVES = frozenset(
    {"engine", "gearbox", "box", "transmission", "drive", "motor", "system", "clutch", "machine", "model", "version"}
)
_INTO_NAMES = frozenset({"under", "over", "in", "off", "on", "through"})
_SIZED = re.compile(
    r"(?:the |an? )(?:great |very )?(?:big|bigger|small|smaller|large|larger|little|long|short|tall)(?: big| little)? "
    r"(?P<value>\d[\d.]* ?(?:kw|hp|v|volts?|mm|cm|m|metres?|ft|foot|t|ton|tonnes?|l|litres?|liters?|kg|inch(?:es)?|in))"
    r"[- ](?P<noun>[\w-]+)"
)
_NO_MACHINES = frozenset({"tool", "fastener", "fluid", "material", "person", "abstract", "place"})


def stands_for_one(t: Tagged, at: int) -> bool:
    """Whether "one" or "ones" at a token stands for a noun and counts nothing behind it."""
    behind = t.tag[at + 1 : at + 2]
    return (
        t.low[at : at + 1] == ["ones"] or t.low[at : at + 1] == ["one"] and behind not in (["NOUN"], ["ADJ"], ["NUM"])
    )


def sort_named(t: Tagged, at: int) -> Chunk | None:
    """ "the cast iron one": two or three words of a name before "one", however the parser has split them."""
    if t.tag[at] != "DET":
        return None
    for last in range(at + 1, min(at + 5, len(t))):
        if t.low[last] in ("one", "ones"):
            if last < at + 3 or not stands_for_one(t, last):
                return None
            return Chunk(at, last + 1, last, t.phrase(at + 1, last + 1), "one", determiner=t.low[at])
        if t.tag[last] not in ("NOUN", "ADJ"):
            return None
    return None


def compound_at(sentence: Sentence, at: int) -> Chunk | None:
    """ "under bed light", "auto trimmer": a compound that begins with a preposition, or ends in a strange "-er"."""
    t = sentence.t
    behind = sentence.parsed.chunk_at.get(at + 1)
    if t.low[at] in _INTO_NAMES:
        bare = behind is not None and behind.determiner is None and behind.pronoun is None and not behind.quantity
        return replace(behind, first=at) if behind is not None and bare and behind.last >= at + 3 else None
    chunk = sentence.parsed.chunk_at.get(at)
    if chunk is None or chunk.pronoun is not None or chunk.last <= at:
        return None
    agent = t.tag[chunk.last : chunk.last + 1] == ["ADJ"] and t.low[chunk.last].endswith("er")
    if not agent or t.tag[chunk.last + 1 : chunk.last + 2] in (["NOUN"], ["ADJ"], ["VERB"]):
        return None
    if not _of_a_verb(sentence, t.low[chunk.last]):
        return None
    return replace(chunk, last=chunk.last + 1, head=chunk.last, noun=t.low[chunk.last], kind="unknown")


def _of_a_verb(sentence: Sentence, word: str) -> bool:
    """Whether a word in "-er" names what does the work ("trimmer"), and compares nothing ("lower")."""
    english = sentence.lexicon.english
    return any(
        (known := english.get(base)) and "V" in known.classes and "J" not in known.classes[:1]
        for base in (word[:-2], word[:-1], word[:-3])
    )


def sized_at(sentence: Sentence, at: int) -> tuple[Meaning, int] | None:
    """ "the big 2000 l pump": the size is the figure with its unit; beside it where its words end in the plain text."""
    match = _SIZED.match(sentence.plain, at)
    if match is None:
        return None
    noun = sentence.lexicon.singular(match.group("noun"))
    term = sentence.lexicon.term(noun)
    if noun not in ("one", "model", "version", "type") and (term is None or term.kind in _NO_MACHINES):
        return None
    return Meaning("variant", noun, match.group("value"), head=noun, family="measure"), match.end()


def age_in(words: Sequence[str]) -> str | None:
    """The word of age that a name begins with: "older" of "older machine"."""
    first = words[0].lower() if words else ""
    return first if first in _AGES else None


def has_own_name(sentence: Sentence, chunk: Chunk, axis: tuple[str, str, str]) -> bool:
    """Whether the word of an axis belongs to the name of a part that some have: "the auto trimmer"."""
    if axis[2] not in ("axis.gearbox", "axis.engine"):
        return False
    words = sentence.words(chunk)
    return len(words) > 1 and words[0].lower() == axis[1] and chunk.noun not in _DRIVES and chunk.kind != "machine"


def other_tool(sentence: Sentence, match: re.Match[str]) -> bool:
    """ "with the brass pick, not with the steel one": what is not to be used is no variant."""
    at = sentence.token(match.start())
    before = [chunk for chunk in sentence.parsed.chunks if chunk.last <= at]
    again = bool(
        re.search(r"\bwith\b", match.group()) and re.search(r"\b(?:with|use|using)\b", sentence.plain[: match.start()])
    )
    return again or bool(before) and before[-1].kind == "tool"
