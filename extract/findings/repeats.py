"""The same words again: a recogniser in a loop, or the same act done to another part.

As annotators do: the same named part taken off again is a loop ("lift the housing up the shaft" twice), an act on
what has no name of its own is done again ("take the screw out", then the next one).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

from extract.findings import wordstats as ws
from extract.lexicon import Lexicon
from extract.model import Talk
from extract.speech import FlagFound, Place, Utterance

#: Utterances shorter than this (words) are repeated in all honesty ("right", "there we go"), unless they name a thing.
_LEAST_WORDS = 4
#: How many utterances may stand between a sentence and its copy.
_BETWEEN = 1
#: Words of a phrase that a recogniser says over and over inside one utterance, and how often.
_PHRASE = 3
_TIMES = 3
#: Words that say that something is done again on purpose.
_AGAIN = frozenset({"again", "another", "other", "next", "same", "second", "twice", "repeat", "once"})
_NO_THINGS = frozenset({"abstract", "place", "person", "tool"})


@dataclass(frozen=True, slots=True)
class Repeat:
    """Utterance `second` says what `first` said. A `loop` is the recogniser's, and its words were said once; `again`
    is an act done to another part. A phrase over and over inside an utterance has `first` equal to `second`."""

    first: int
    second: int
    kind: Literal["loop", "again"]
    place: Place


def find_repeats(talk: Talk, utterances: Sequence[Utterance], lexicon: Lexicon) -> tuple[Repeat, ...]:
    """All repeats in the order of the talk. An utterance that a reviewer corrected is left alone."""
    return tuple(_repeats(talk, utterances, lexicon))


def _repeats(talk: Talk, utterances: Sequence[Utterance], lexicon: Lexicon) -> Iterator[Repeat]:
    tokens = [ws.tokens(u.analysed) for u in utterances]
    words = [tuple([t.word for t in found]) for found in tokens]
    for at, utterance in enumerate(utterances):
        if utterance.corrected is not None:
            continue
        place = Place(utterance.index, 0, len(utterance.analysed), "repeat.utterance")
        copies = (b for b in range(at - 1, max(-1, at - 2 - _BETWEEN), -1) if words[b] == words[at])
        before = next(copies, None)
        if before is not None and (len(words[at]) >= _LEAST_WORDS or _things(words[at], lexicon)):
            kind = _kind(words[at], utterances[before], utterance, before + 1 == at, lexicon)
            yield Repeat(utterances[before].index, utterance.index, kind, place)
        elif (span := _over_and_over(tokens[at])) is not None:
            yield Repeat(utterance.index, utterance.index, "loop", Place(utterance.index, *span, "repeat.phrase"))


def _kind(
    words: tuple[str, ...], first: Utterance, second: Utterance, adjacent: bool, lexicon: Lexicon
) -> Literal["loop", "again"]:
    if _AGAIN & set(words):
        return "again"
    return "again" if _unnamed(words, lexicon) and _has_time(first, second) else "loop"


def _unnamed(words: tuple[str, ...], lexicon: Lexicon) -> bool:
    """True if a work verb is done to fasteners that nothing tells apart, and to no other thing."""
    function = ws.function_words()
    things = _things(words, lexicon)
    fasteners = [w for w in things if lexicon.term(w).kind == "fastener"]
    if not fasteners or len(fasteners) != len(things):
        return False
    noun = words.index(fasteners[0])
    before = words[noun - 1] if noun else ""
    return (before in function or ws.is_number(before)) and any(w in lexicon.verb_forms for w in words)


def _things(words: tuple[str, ...], lexicon: Lexicon) -> list[str]:
    return [w for w in words if (term := lexicon.term(w)) is not None and term.kind not in _NO_THINGS]


def _has_time(first: Utterance, second: Utterance) -> bool:
    """False where the copy overlaps the first or takes no time, as loops do."""
    if first.end_s is None or second.start_s is None or second.end_s is None:
        return True
    return second.start_s >= first.end_s - 0.05 and second.end_s - second.start_s > 0.3


def _over_and_over(tokens: Sequence[ws.Token]) -> tuple[int, int] | None:
    """The offsets of a phrase that is said several times running."""
    words = [t.word for t in tokens]
    if len(words) - len(set(words)) < _TIMES - 1:
        return None
    for size in range(1, 7):
        for start in range(len(words) - size * _TIMES + 1):
            phrase = words[start : start + size]
            times = 1
            while words[start + times * size : start + (times + 1) * size] == phrase:
                times += 1
            # "No no no" and "turn, turn, turn" are honest speech; longer phrases are not said three times.
            if times >= (_TIMES if size >= _PHRASE else 5 if size == 1 else 4):
                return tokens[start].start, tokens[start + times * size - 1].end
    return None


def repeat_flags(repeats: Sequence[Repeat]) -> tuple[FlagFound, ...]:
    """A `repeated` flag for each repeat, on the second copy."""
    return tuple(
        FlagFound(
            place=repeat.place,
            code="repeated",
            severity="check",
            message=_message(repeat),
            evidence={"kind": repeat.kind},
            utterances=(repeat.second,),
        )
        for repeat in repeats
    )


def _message(repeat: Repeat) -> str:
    if repeat.first == repeat.second:
        return "The same words over and over: probably the recogniser in a loop."
    if repeat.kind == "loop":
        return "The same sentence again: probably the recogniser in a loop; it was taken as one."
    return "The same act again: on another part, or the recogniser in a loop? It was taken as a second step."
