"""Utterances: where one sentence ends and the next begins, with punctuation, without it, or in spite of it."""

from __future__ import annotations

import re
from collections.abc import Sequence

from extract.ids import IdMaker
from extract.language import grammar
from extract.language.clauses import Parsed, Parser, VerbPhrase
from extract.model import Talk, Word
from extract.speech import Utterance

_ENDS = re.compile(r"[.!?…]+[\"'”’)\]]*$")
_ABBREVIATIONS = frozenset(
    "no. nos. approx. fig. figs. dia. max. min. e.g. i.e. etc. mr. mrs. dr. st. vs. incl. temp. ft. lbs. lb. in. nr. ref. "
    "deg. rev. vol. pt. sec. para. ch. p. pp. co. inc. ltd.".split()
)
#: A mean distance between sentence marks above this many words means that the marks are missing.
_MOST_WORDS_A_SENTENCE = 45
_SURE_PAUSE_S = 1.6
#: Subordinators whose clause, told without a comma, usually goes with what stands before it.
_TRAILING = frozenset(
    "until till because cause cos 'cause so that which who where as whereas while unless before although though than since".split()
)
_LEADING = frozenset("if once after whenever".split())
_THRESHOLD = 1.0


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
                len(utterances), ids.make("s", text), text, (first, end), words[first].start_s, words[end - 1].end_s, speaker
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
        if _pause(words, index) >= _SURE_PAUSE_S and words[index].text[:1].isupper() and not words[index].text.startswith("I")
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


def _split_stretch(words: Sequence[Word], first: int, last: int, parser: Parser) -> list[int]:
    """Ends of utterances inside an unpunctuated stretch, from pauses, discourse markers and clauses."""
    ends: list[int] = []
    start = first
    # A pause that nobody makes inside a sentence cuts the stretch, so that each piece is parsed by itself.
    for index in range(first + 1, last):
        if _pause(words, index) >= _SURE_PAUSE_S or index - start >= 400:
            ends.extend(_split_piece(words, start, index, parser))
            ends.append(index)
            start = index
    ends.extend(_split_piece(words, start, last, parser))
    return ends


def _split_piece(words: Sequence[Word], first: int, last: int, parser: Parser) -> list[int]:
    if last - first < 3:
        return []
    texts = [word.text for word in words[first:last]]
    parsed = parser.parse(" ".join(texts))
    scores = _clause_scores(parsed)
    starts: dict[int, int] = {}
    offset = 0
    for index, text in enumerate(texts):
        starts[offset] = index
        offset += len(text) + 1
    ends: list[int] = []
    previous_end = 0
    for token, offset in enumerate(parsed.tagged.start):
        index = starts.get(offset)
        if not index:
            continue
        score = scores[token] + _pause_score(_pause(words, first + index))
        if score >= _THRESHOLD and index - previous_end >= 2:
            ends.append(first + index)
            previous_end = index
    return ends


def _pause_score(seconds: float) -> float:
    for least, score in ((1.0, 1.6), (0.6, 1.2), (0.4, 0.9), (0.25, 0.7), (0.15, 0.3)):
        if seconds >= least:
            return score
    return 0.0


def _clause_scores(p: Parsed) -> list[float]:
    """For each token, how much the words alone speak for an utterance that begins there."""
    t = p.tagged
    size = len(t)
    scores = [-0.35] * size
    for i in range(1, size):
        before = t.tag[i - 1]
        if before in ("DET", "PREP", "TO", "CONJ", "NUM") or (before == "AUX" and t.tag[i] in ("VERB", "ADV", "ADJ", "NEG")):
            scores[i] = -1.6
        elif before == "SUB":
            scores[i] = -1.4
        elif before == "ADJ" and t.tag[i] in ("NOUN", "ADJ"):
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
        scores[start] = max(scores[start], 0) + _main_clause_score(p, number, verb, start)
    for i in range(1, size):
        word = t.low[i]
        if word in grammar.DISCOURSE_OPENERS or t.tag[i] == "INTJ":
            if i in inside or (word == "right" and t.tag[i] != "INTJ") or word in ("uh", "um", "er", "erm"):
                continue
            if word == "so" and (_is_purpose(t.low, i)):
                scores[i] = -0.8
            elif word in ("first", "next", "well") and t.tag[i] not in ("ADV", "INTJ"):
                continue
            elif t.tag[i - 1] not in ("CONJ", "SUB", "AUX", "DET", "INTJ") and t.low[i - 1] not in grammar.DISCOURSE_OPENERS:
                scores[i] += 0.9 if word in ("now", "okay", "ok", "alright", "right", "so", "then") else 0.5
    return scores


def _is_purpose(low: list[str], i: int) -> bool:
    """ "so no dirt gets in", "so you don't get them swapped", "so that …": the purpose of what was just said."""
    following = low[i + 1 : i + 6]
    if following[:1] in (["that"], ["as"], ["no"], ["nothing"], ["it"], ["they"]):
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
        or (t.tag[start - 1] in ("ADV", "CONJ") and (t.low[start - 1] in grammar.DISCOURSE_OPENERS or t.low[start - 1] in ("just", "just", "and", "but")))
    ):
        if t.low[start - 1] in ("and", "but", "or"):
            break
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
    if verb.opener in _LEADING:
        return 1.0
    if before is not None and before.opener in (*_LEADING, "when", "by", "before", "as", "with", "for") and _pending(p, before):
        # "once it's all slack | pry the track off": the main clause of the one before.
        if before.opener == "before" or (before.opener == "when" and _has_main_before(p, number - 1)):
            return 1.0
        return -0.8
    if t.low[start - 1] in ("help", "let", "make", "makes", "sure", "mean", "know", "careful", "remember", "think", "see", "feel"):
        return -0.8
    if before is not None and before.base in ("make", "mean", "know", "think", "see", "say", "tell", "ensure", "check", "remember") and not before.objects and not before.phrases:
        return -0.6
    imperative = verb.subject is None and verb.form == "b"
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
