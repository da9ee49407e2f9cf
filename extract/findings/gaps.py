"""Stretches without speech: work that may have been shown and not told.

Where words or captions have times of their own, a pause is measured. Where a transcript has only marks for whole
blocks, the rate of speech in a block is all that is known: a block with far too few words holds a silence somewhere.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from statistics import median, quantiles

from extract.model import Talk, Word
from extract.speech import FlagFound, Place, Utterance

#: Pauses below this length are never worth a look at the film.
_LEAST_S = 10.0
#: Shorter ones lie between any two words.
_PAUSE_S = 0.3
#: A pause is long if it is so many times the talk's long ones (those at nine tenths).
_TIMES_OWN = 3.5
#: A block is slow if it has less than this share of the talk's usual words a second.
_SLOW = 0.4
_LEAST_IN_BLOCK_S = 15.0
#: Share of cues that begin where the one before ends, from which the times are those of blocks.
_BLOCKS = 0.8
_BLOCK_S = 6.0


def find_gaps(talk: Talk, utterances: Sequence[Utterance]) -> tuple[FlagFound, ...]:
    """`silent_gap` flags on the utterances that follow a silence, in order; none for a talk without times."""
    if talk.times == "none" or len(utterances) < 2:
        return ()
    found = _in_blocks(talk, utterances) if _has_blocks(talk) else _between_words(talk, utterances)
    return tuple(found)


def _has_blocks(talk: Talk) -> bool:
    pairs = [
        (a, b) for a, b in zip(talk.cues, talk.cues[1:], strict=False) if a.end_s is not None and b.start_s is not None
    ]
    if talk.times != "interpolated" or len(pairs) < 3:
        return False
    touching = sum(1 for a, b in pairs if abs(b.start_s - a.end_s) < 0.05)
    lengths = [c.end_s - c.start_s for c in talk.cues if c.start_s is not None and c.end_s is not None]
    return touching >= _BLOCKS * len(pairs) and median(lengths) >= _BLOCK_S


def _between_words(talk: Talk, utterances: Sequence[Utterance]) -> Iterator[FlagFound]:
    pauses = [
        (index, start, pause)
        for index in range(1, len(talk.words))
        for start, pause in [_pause(talk, talk.words[index - 1], talk.words[index])]
        if pause >= _PAUSE_S
    ]
    for at, (index, start, pause) in enumerate(pauses):
        if pause < _LEAST_S:
            continue
        usual = _rhythm([length for other, (_, _, length) in enumerate(pauses) if other != at])
        utterance = _holding(index, utterances)
        if pause >= _TIMES_OWN * usual and utterance is not None:
            yield _flag(
                utterance, "gap.pause", f"{pause:.0f} seconds pass without a word before this: what does the film show?",
                {"from_s": round(start, 1), "to_s": round(start + pause, 1), "usual_s": round(usual, 1)},
            )  # fmt: skip


def _rhythm(pauses: list[float]) -> float:
    """How long the talk's long pauses usually are: nine tenths are shorter; a few silences do not count as usual."""
    if len(pauses) < 2:
        return max(pauses, default=0.0)
    return min(quantiles(pauses, n=10)[-1], 6 * median(pauses))


def _pause(talk: Talk, before: Word, after: Word) -> tuple[float, float]:
    """Start and length of the silence between two words, 0 where nothing is known of it."""
    start, end = before.end_s, after.start_s
    if before.interpolated or after.interpolated:
        if before.cue == after.cue or talk.cues[before.cue].recording != talk.cues[after.cue].recording:
            return 0.0, 0.0
        start, end = talk.cues[before.cue].end_s, talk.cues[after.cue].start_s
    return (0.0, 0.0) if start is None or end is None else (start, end - start)


def _in_blocks(talk: Talk, utterances: Sequence[Utterance]) -> Iterator[FlagFound]:
    counts = Counter(word.cue for word in talk.words)
    lengths = {
        at: cue.end_s - cue.start_s
        for at, cue in enumerate(talk.cues)
        if cue.start_s is not None and cue.end_s is not None and cue.end_s > cue.start_s and counts[at]
    }
    if len(lengths) < 4:
        return
    usual = median(counts[at] / length for at, length in lengths.items())
    for at, length in lengths.items():
        silent = length - counts[at] / usual
        if counts[at] / length < _SLOW * usual and silent >= _LEAST_IN_BLOCK_S:
            after = next((i for i, word in enumerate(talk.words) if word.cue > at), None)
            utterance = _holding(after, utterances) if after is not None else None
            if utterance is not None:
                cue = talk.cues[at]
                yield _flag(
                    utterance, "gap.block",
                    f"The block before this holds about {silent:.0f} seconds without words, somewhere: what does the film show?",
                    {"from_s": cue.start_s, "to_s": cue.end_s, "words": counts[at], "usual_words_a_second": round(usual, 2)},
                )  # fmt: skip


def _holding(word: int, utterances: Sequence[Utterance]) -> Utterance | None:
    return next((u for u in utterances if u.words[0] <= word < u.words[1]), None)


def _flag(utterance: Utterance, rule: str, message: str, evidence: dict[str, object]) -> FlagFound:
    first = utterance.analysed.split(" ", 1)[0]
    return FlagFound(
        place=Place(utterance.index, 0, len(first), rule),
        code="silent_gap",
        severity="check",
        message=message,
        evidence=evidence,
        utterances=(utterance.index,),
    )
