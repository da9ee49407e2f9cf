"""Utterances: where one sentence ends and the next begins, with punctuation, without it, or in spite of it."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

from extract.ids import IdMaker
from extract.language.boundaries import Scores, divide
from extract.language.boundary_words import MARK
from extract.language.clauses import Parser
from extract.model import Talk, Word
from extract.speech import Utterance

_ENDS = re.compile(r"[.!?…]+[\"'”’)\]]*$")
_ABBREVIATIONS = frozenset(
    "no. nos. approx. fig. figs. dia. max. min. e.g. i.e. etc. mr. mrs. dr. st. vs. incl. temp. ft. lbs. lb. in. "
    "nr. ref. deg. rev. vol. pt. sec. para. ch. p. pp. co. inc. ltd.".split()
)
#: A mean distance between sentence marks above this many words means that the marks are missing.
_MOST_WORDS_A_SENTENCE = 45
_SURE_PAUSE_S = 1.6
#: Subordinators whose clause, told without a comma, usually goes with what stands before it.
_TRAILING = frozenset(
    "until till because cause cos 'cause so that which who where as whereas unless before although though than since".split()
)
#: Words parsed in one piece where no long pause cuts them, and how many of them are looked at again with the next piece.
_LONGEST_PIECE = 400
_OVERLAP = 60
#: What speaks at least this much for a boundary is marked when a piece is parsed again.
_SURE = 0.8


def split_utterances(talk: Talk, parser: Parser) -> tuple[Utterance, ...]:
    """Split the words of a talk into utterances; every word lands in exactly one, in order."""
    words = talk.words
    ends = _boundaries(words, parser)
    ids = IdMaker()
    utterances: list[Utterance] = []
    first = 0
    for end in ends:
        text = " ".join(word.text for word in words[first:end])
        speaker = talk.cues[words[first].cue].speaker if talk.cues else None
        utterances.append(
            Utterance(
                len(utterances),
                ids.make("s", text),
                text,
                (first, end),
                words[first].start_s,
                words[end - 1].end_s,
                speaker,
            )
        )
        first = end
    return tuple(utterances)


def _boundaries(words: Sequence[Word], parser: Parser) -> list[int]:
    """Half-open ends of the utterances as indices into `words`, the last one included."""
    if not words:
        return []
    marks = [index for index, word in enumerate(words) if _ENDS.search(word.text)]
    ends: set[int] = {len(words)}
    first = 0
    # A recogniser may punctuate one half of a talk and not the other: stretches without marks are split by clauses.
    for mark in [*marks, len(words) - 1]:
        if mark + 1 - first > _MOST_WORDS_A_SENTENCE or (mark == len(words) - 1 and not marks):
            ends.update(_split_stretch(words, first, mark + 1, parser))
        else:
            ends.update(_sure_pauses(words, first, mark + 1))
        if mark in marks or mark == len(words) - 1:
            if _is_sentence_end(words, mark, parser):
                ends.add(mark + 1)
            first = mark + 1
    return sorted(ends)


def _sure_pauses(words: Sequence[Word], first: int, last: int) -> list[int]:
    """Pauses in the middle of a punctuated sentence that are too long for one breath, where a new start is written."""
    return [
        index
        for index in range(first + 1, last)
        if _pause(words, index) >= _SURE_PAUSE_S
        and words[index].text[:1].isupper()
        and not words[index].text.startswith("I")
    ]


def _is_sentence_end(words: Sequence[Word], mark: int, parser: Parser) -> bool:
    """Whether the full stop on word `mark` ends a sentence rather than an abbreviation or a recogniser's breath."""
    text = words[mark].text
    if mark + 1 >= len(words):
        return True
    after = words[mark + 1].text
    if text.lower() in _ABBREVIATIONS or re.fullmatch(r"(?:[A-Za-z]\.)+", text):
        return after[:1].isupper() and text.lower() not in {"no.", "nos.", "fig.", "e.g.", "i.e.", "approx."}
    if text.endswith((".", "…", "...")) and after[:1].islower():
        return _starts_clause(words, mark + 1, parser)
    return True


def _starts_clause(words: Sequence[Word], at: int, parser: Parser) -> bool:
    """Whether lower-case words after a full stop stand as a sentence of their own."""
    text = " ".join(word.text for word in words[at : at + 12])
    parsed = parser.parse(text)
    if not parsed.verbs:
        return False
    verb = parsed.verbs[0]
    if parsed.tagged.tag[0] in {"PREP", "CONJ", "TO", "PART"} or verb.opener in _TRAILING:
        return False
    return verb.subject is not None or verb.form == "b"


def _pause(words: Sequence[Word], index: int) -> float:
    """Silence before word `index` in seconds; 0 where it is unknown."""
    before, after = words[index - 1], words[index]
    if before.end_s is None or after.start_s is None or (before.cue == after.cue and after.interpolated):
        return 0.0
    return max(0.0, after.start_s - before.end_s)


# --------------------------------------------------------------------------- stretches without punctuation


@dataclass(frozen=True, slots=True)
class _Rhythm:
    """How a speaker pauses: `breath` is the silence, in seconds, above which a sentence probably ends, `slight`
    the one that says a little; `told` says that silence is known between all words, so that none counts too.
    `clear`, 0 to 1, tells how sharply breaths stand out from the joints between words; `joined` how much no silence
    at all speaks against a boundary."""

    breath: float
    slight: float
    told: bool
    clear: float
    joined: float

    def score(self, seconds: float, known: bool) -> float:
        """How much the silence before a word speaks for a new utterance."""
        if seconds >= self.breath:
            return 2.2 + 2.2 * self.clear
        if seconds >= self.slight:
            return 0.3
        return -self.joined if known else 0.0


def _rhythm(words: Sequence[Word], first: int, last: int) -> _Rhythm:
    """The rhythm of a stretch, from its own pauses: about one utterance in eleven words is spoken with a breath."""
    gaps = sorted((_pause(words, index) for index in range(first + 1, last) if _known(words, index)), reverse=True)
    positive = [gap for gap in gaps if gap > 0.03]
    told = bool(gaps) and len(gaps) > 0.6 * (last - first)
    if not positive or not told:
        # Captions: joints inside a sentence have no gap at all where the others have a small one.
        abut = bool(gaps) and len(positive) < 0.75 * len(gaps)
        # Where fewer have one than sentences should end at a joint, the lack of it says little.
        share = min(1.0, len(positive) * 9.5 / max(1, len(gaps)))
        return _Rhythm(0.3, 0.04 if abut else 0.2, told or abut, 0.5 if abut else 0.0, 0.9 * share**2 if abut else 0.0)
    # The widest step between neighbouring gaps parts breaths from joints, about where one word in 6 to 22 takes a breath.
    low, high = max(1, (last - first) // 22), max(2, (last - first) // 6)
    steps = [(max(gaps[at - 1], 0.1) / max(gaps[at], 0.1), at) for at in range(low, min(high, len(gaps)))]
    at = max(steps)[1] if steps else 0
    breath = min(0.6, max(0.2, (max(gaps[at - 1], 0.1) * max(gaps[at], 0.1)) ** 0.5 if at else 0.3))
    between = sum(0.4 * breath < gap < 1.2 * breath for gap in gaps)
    clear = max(0.0, 1.0 - between / max(1, sum(gap >= breath for gap in gaps)))
    return _Rhythm(breath, 0.8 * breath, True, clear, 2.0 + 1.6 * clear)


def _known(words: Sequence[Word], index: int) -> bool:
    before, after = words[index - 1], words[index]
    return (
        before.end_s is not None and after.start_s is not None and not (before.cue == after.cue and after.interpolated)
    )


def _split_stretch(words: Sequence[Word], first: int, last: int, parser: Parser) -> list[int]:
    """Ends of utterances inside an unpunctuated stretch, from pauses, discourse markers and clauses."""
    rhythm = _rhythm(words, first, last)
    ends: list[int] = []
    start = index = first
    # A pause that nobody makes inside a sentence cuts the stretch, so that each piece is parsed by itself.
    while index < last:
        index += 1
        paused = index == last or _pause(words, index) >= max(0.8, 2 * rhythm.breath)
        if not paused and index - start < _LONGEST_PIECE:
            continue
        found = _split_piece(words, start, index, parser, rhythm)
        if not paused:
            # Nothing speaks for a cut just here: what the last words belong to is decided with those that follow.
            kept = [end for end in found if end <= index - _OVERLAP]
            if kept:
                found, index = kept, kept[-1]
        ends.extend(found)
        if index < last:
            ends.append(index)
        start = index
    return sorted(set(ends))


def _split_piece(words: Sequence[Word], first: int, last: int, parser: Parser, rhythm: _Rhythm) -> list[int]:
    """Boundaries inside a piece. It is parsed twice: the second time with marks where the first found them, so that
    no noun phrase reaches across."""
    if last - first < 3:
        return []
    breath = rhythm.breath * (1.0 if rhythm.clear > 0.4 or not rhythm.told else 3.0)
    pauses = {at: _pause(words, at) for at in range(first + 1, last)}
    weights = {at: rhythm.score(pauses[at], rhythm.told and _known(words, at)) for at in pauses}
    marks = {at for at in pauses if pauses[at] >= breath}
    found: list[int] = []
    for _ in range(2):
        starts: dict[int, int] = {}
        parts: list[str] = []
        offset = 0
        for at in range(first, last):
            if at in marks:
                parts.append(MARK)
                offset += len(MARK) + 1
            starts[offset] = at
            parts.append(words[at].text)
            offset += len(words[at].text) + 1
        tagged = parser.tagger.tag(" ".join(parts))
        scores = Scores(tagged, parser.chunker.chunks(tagged), parser.tagger.words, opening=first == 0)
        index = [starts.get(offset, first) for offset in scores.t.at]
        tokens = divide(scores, [weights.get(at, 0.0) for at in index], [at > first for at in index])
        found = [index[token] for token in tokens]
        sure = {index[token] for token in tokens if scores.local[token] + weights[index[token]] >= _SURE}
        if sure <= marks:
            break
        marks |= sure
    return found
