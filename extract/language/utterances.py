"""Utterances: where one sentence ends and the next begins, with punctuation, without it, or in spite of it."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

from extract.ids import IdMaker
from extract.language import grammar
from extract.language.clauses import Parser
from extract.language.complements import Parsed, VerbPhrase
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
    "until till because cause cos 'cause so that which who where as whereas unless before although though than "
    "since".split()
)
_LEADING = frozenset(["if", "once", "after", "whenever", "while", "whilst"])
#: Openers of two words, after which the new step is told ("first thing close the tap").
_TWO_WORD_OPENERS = frozenset(
    ("first thing", "next thing", "last thing", "next up", "first up", "first off", "heads up", "other thing", "either way",
     "same again", "from here", "this time")
)  # fmt: skip
_THRESHOLD = 1.0
_SUBJECTS = frozenset(["i", "you", "we", "they", "ye", "he", "she"])


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
        return after[:1].isupper() and text.lower() not in ("no.", "nos.", "fig.", "e.g.", "i.e.", "approx.")
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
    if parsed.tagged.tag[0] in ("PREP", "CONJ", "TO", "PART") or verb.opener in _TRAILING:
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
    the one that says a little; `told` says that silence is known between all words, so that none counts too."""

    breath: float
    slight: float
    told: bool

    def score(self, seconds: float, known: bool) -> float:
        """How much the silence before a word speaks for a new utterance."""
        if seconds >= 2 * self.breath:
            return 1.7
        if seconds >= self.breath:
            return 1.1
        if seconds >= self.slight:
            return 0.45
        return -0.4 if known else 0.0


def _rhythm(words: Sequence[Word], first: int, last: int) -> _Rhythm:
    """The rhythm of a stretch, from its own pauses: about one utterance in eleven words is spoken with a breath."""
    gaps = sorted((_pause(words, index) for index in range(first + 1, last) if _known(words, index)), reverse=True)
    positive = [gap for gap in gaps if gap > 0.03]
    told = bool(gaps) and len(gaps) > 0.6 * (last - first)
    if not positive or len(positive) > 0.6 * len(gaps) or not told:
        # Captions: joints inside a sentence have no gap at all where the others have a small one.
        abut = bool(gaps) and len(positive) < 0.75 * len(gaps)
        return _Rhythm(0.5, 0.04 if abut else 0.25, told or abut)
    expected = max(1, (last - first) // 11)
    typical = gaps[min(expected, len(gaps) - 1)]
    return _Rhythm(min(0.6, max(0.26, 0.8 * typical)), min(0.3, max(0.12, 0.4 * typical)), True)


def _known(words: Sequence[Word], index: int) -> bool:
    before, after = words[index - 1], words[index]
    return (
        before.end_s is not None and after.start_s is not None and not (before.cue == after.cue and after.interpolated)
    )


def _split_stretch(words: Sequence[Word], first: int, last: int, parser: Parser) -> list[int]:
    """Ends of utterances inside an unpunctuated stretch, from pauses, discourse markers and clauses."""
    rhythm = _rhythm(words, first, last)
    ends: list[int] = []
    start = first
    # A pause that nobody makes inside a sentence cuts the stretch, so that each piece is parsed by itself.
    for index in range(first + 1, last):
        if _pause(words, index) >= max(0.8, 2 * rhythm.breath) or index - start >= 400:
            ends.extend(_split_piece(words, start, index, parser, rhythm))
            ends.append(index)
            start = index
    ends.extend(_split_piece(words, start, last, parser, rhythm))
    return ends


def _split_piece(words: Sequence[Word], first: int, last: int, parser: Parser, rhythm: _Rhythm) -> list[int]:
    """A pause that says something is written as a mark, so that no noun phrase reaches across it."""
    if last - first < 3:
        return []
    starts: dict[int, int] = {}
    parts: list[str] = []
    offset = 0
    for index in range(first, last):
        if index > first and _pause(words, index) >= (rhythm.breath if rhythm.told else 0.25):
            parts.append(";")
            offset += 2
        starts[offset] = index
        parts.append(words[index].text)
        offset += len(words[index].text) + 1
    parsed = parser.parse(" ".join(parts))
    scores = _clause_scores(parsed)
    ends: list[int] = []
    previous_end = first
    for token, offset in enumerate(parsed.tagged.start):
        index = starts.get(offset)
        if index is None or index == first:
            continue
        score = scores[token] + rhythm.score(_pause(words, index), rhythm.told and _known(words, index))
        if score >= _THRESHOLD and index - previous_end >= 2:
            ends.append(index)
            previous_end = index
    return ends


def _clause_scores(p: Parsed) -> list[float]:
    """For each token, how much the words alone speak for an utterance that begins there."""
    t = p.tagged
    size = len(t)
    scores = [-0.35] * size
    for i in range(1, size):
        before = t.tag[i - 1]
        if before == "PUNCT" and i > 1:
            before = t.tag[i - 2]
            scores[i] = 0.0
        word = t.low[i - 2] if t.tag[i - 1] == "PUNCT" and i > 1 else t.low[i - 1]
        if (
            before in ("DET", "TO", "CONJ", "NUM")
            or word in _SUBJECTS
            or t.low[i] in ("one", "ones")
            or (before in ("AUX", "NEG") and t.tag[i] in ("VERB", "ADV", "ADJ", "NEG"))
        ):
            scores[i] = -3.0
        elif before == "PREP":
            scores[i] = -1.6
        elif before == "VERB" and i in p.chunk_at and t.form[i - 1] in ("b", "s", "g"):
            scores[i] = -1.2
        elif before == "SUB" or before == "ADJ" and t.tag[i] in ("NOUN", "ADJ"):
            scores[i] = -1.4
        elif t.tag[i] in ("PART", "PREP") and before == "VERB":
            scores[i] = -1.2
    inside = {i for chunk in p.chunks for i in range(chunk.first + 1, chunk.last)}
    for i in inside:
        scores[i] = min(scores[i], -1.6)
    for number, verb in enumerate(p.verbs):
        start = _clause_start(p, verb)
        if start <= 0:
            continue
        if scores[start] > -2.5:
            scores[start] = max(scores[start], 0) + _main_clause_score(p, number, verb, start)
    for first, last in t.repairs:
        for i in range(first, min(last + 1, size)):
            scores[i] = -3.0
    for i in range(1, size):
        word = t.low[i]
        if word in grammar.DISCOURSE_OPENERS or t.tag[i] == "INTJ":
            if i in inside or (word == "right" and t.tag[i] != "INTJ") or word in ("uh", "um", "er", "erm"):
                continue
            if word == "so" and (_is_purpose(t.low, i)):
                scores[i] = -0.8
            elif word in ("first", "next", "well") and t.tag[i] not in ("ADV", "INTJ"):
                continue
            elif (
                t.tag[i - 1] not in ("CONJ", "SUB", "AUX", "DET", "INTJ")
                and t.low[i - 1] not in grammar.DISCOURSE_OPENERS
            ):
                scores[i] += 0.9 if word in ("now", "okay", "ok", "alright", "right", "then") else 0.5
    return scores


def _is_purpose(low: list[str], i: int) -> bool:
    """ "so no grit falls in", "so you don't mix them up", "so that …": the purpose of what was just said."""
    following = low[i + 1 : i + 6]
    if following[:1] in (["that"], ["as"], ["no"], ["nothing"]) and following[1:2] not in (["'s"], ["is"]):
        return True
    return bool({"n't", "can", "wo", "do", "does", "not", "never"} & set(following[1:4])) and following[:1] != ["do"]


def _clause_start(p: Parsed, verb: VerbPhrase) -> int:
    """First token of the clause of `verb`, its discourse markers included."""
    t = p.tagged
    start = verb.first
    if verb.subject is not None:
        start = min(start, verb.subject.first)
    if verb.opener_at is not None and verb.opener not in ("to",):
        start = min(start, verb.opener_at)
    while start > 0 and (
        t.tag[start - 1] == "INTJ"
        or (
            t.tag[start - 1] in ("ADV", "CONJ")
            and (t.low[start - 1] in grammar.DISCOURSE_OPENERS or t.low[start - 1] in ("just", "today", "and", "but"))
        )
    ):
        if t.low[start - 1] in ("and", "but", "or") or (t.low[start] == "then" and t.low[start - 1] == "first"):
            break
        start -= 1
    if start > 1 and f"{t.low[start - 2]} {t.low[start - 1]}" in _TWO_WORD_OPENERS:
        start -= 2
        if start > 0 and t.low[start - 1] in ("the", "and"):
            start -= 1
    return start


def _main_clause_score(p: Parsed, number: int, verb: VerbPhrase, start: int) -> float:
    t = p.tagged
    before = p.verbs[number - 1] if number else None
    gerund = verb.form == "g" and not verb.aux
    participle = verb.form in ("n", "dn") and not verb.aux and verb.subject is None
    if verb.opener == "to" or gerund or participle:
        return 0.0
    if verb.opener in _TRAILING:
        return -0.6
    if verb.opener in ("when", "whenever"):
        return 0.1
    if t.tag[start - 1] == "CONJ" or t.low[start - 1] in ("and", "but", "or", "nor"):
        return -0.5
    if t.low[start - 1] in ("even", "only", "how", "what", "why", "every", "each") or t.low[start - 2 : start] in (
        ["every", "time"],
        ["each", "time"],
        ["the", "time"],
    ):
        return -0.6
    if verb.opener in _LEADING:
        hanging = (
            before is not None
            and not before.objects
            and not before.phrases
            and before.particle is None
            and before.subject is None
        )
        return 1.0 if not hanging else -0.2
    if (
        before is not None
        and before.opener in (*_LEADING, "when", "by", "before", "as", "with", "for")
        and _pending(p, before)
    ):
        # "once it's loose | lever the lid off": the main clause of the one before.
        if before.opener == "before" or (before.opener == "when" and _has_main_before(p, number - 1)):
            return 1.0
        return -0.8
    if t.low[start - 1] in (
        "help",
        "let",
        "make",
        "makes",
        "sure",
        "mean",
        "know",
        "careful",
        "remember",
        "think",
        "see",
        "feel",
    ):
        return -0.8
    if (
        before is not None
        and before.base in ("make", "mean", "know", "think", "see", "say", "tell", "ensure", "check", "remember")
        and before.last == start
        and before.opener is None
    ):
        return -0.6
    if (
        before is not None
        and before.base in grammar.CAUSATIVES
        and verb.form == "b"
        and not verb.aux
        and start == before.last
    ):
        return -0.8
    if before is not None and verb.subject is not None and verb.subject in before.objects:
        return 0.0
    imperative = verb.subject is None and verb.form == "b"
    if t.low[start] == "so":
        # "so today we're doing …" opens the talk anew, "so keep your hands off" goes on.
        return 1.0 if "today" in t.low[start : start + 4] or t.low[start + 1] in ("this", "first") else 0.4
    if imperative:
        return 1.1
    if verb.subject is not None:
        return 1.05
    return 0.4


def _pending(p: Parsed, before: VerbPhrase) -> bool:
    """Whether the subordinate clause `before` still waits for its main clause."""
    return True


def _has_main_before(p: Parsed, number: int) -> bool:
    """Whether a main clause stands right before the subordinate clause of verb `number`."""
    if not number:
        return False
    verb = p.verbs[number]
    before = p.verbs[number - 1]
    return before.opener is None and before.last <= (verb.opener_at if verb.opener_at is not None else verb.first)
