"""Where unpunctuated words divide into utterances: clause heads, what can start and what can end, weighed together.

The words are parsed, and every verb that makes a clause becomes a `Head`. A division is good where each utterance
holds one main clause with what hangs on it, starts like one, and ends where a phrase is complete. The best division
of a stretch is found by dynamic programming over the few places where one can begin. All weights are set by hand.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Sequence

from extract.language import grammar
from extract.language.boundary_words import (
    ALONE,
    ALONE_VERBS,
    CLOSERS,
    HUNGRY_ADVERBS,
    LEANING,
    LONGEST,
    MEASURES,
    NEVER,
    OPENERS,
    SECOND_MAIN,
    START,
    SUBJECT_ONLY,
    TWO_WORD_OPENERS,
    VERBLESS,
    VOCATIVES,
)
from extract.language.context import FILLERS, Tagged
from extract.language.hidden_starts import HiddenStarts
from extract.language.phrases import Chunk
from extract.language.word_classes import Words


class Scores(HiddenStarts):
    """How the words around each token of a parse speak for an utterance that begins there."""

    def __init__(self, tagged: Tagged, chunks: list[Chunk], words: Words, opening: bool = False) -> None:
        super().__init__(tagged, chunks, words, opening)
        self.local = [self._local(i) for i in range(len(self.t))]

    def _local(self, i: int) -> float:
        """How much the words around it speak for an utterance that begins at token `i`."""
        t = self.t
        if i == 0:
            return 0.0
        for first, last in t.repairs:
            if first < i <= last:
                opens = "VERB" in self.words.of(t.low[i]).tags[:1] and t.low[i + 1 : i + 2] in (
                    ["the"],
                    ["both"],
                    ["that"],
                )
                return (
                    1.0
                    if opens and t.low[i - 1] not in grammar.PRONOUNS | {"to", "and", "or", "n't", "not", "no", "then"}
                    else NEVER
                )
        score = self.start[i] if self.start[i] > NEVER else -1.8
        if (
            t.low[i] in {"total", "each", "apiece", "maximum", "minimum"}
            and t.low[i - 1] in MEASURES
            or t.low[i] in ("one", "ones")
            and t.tag[i - 1] in ("ADJ", "DET")
        ):
            return NEVER
        before = i - 1
        if t.tag[i] == "CONJ":
            score = max(self.start[i], -1.6)
        elif t.tag[i] == "NEG" and t.low[i] != "never" or t.low[i] in ("'s", "n't"):
            return NEVER
        elif t.low[i] in ("is", "are", "was", "were") and t.tag[i + 1 : i + 2] not in (["PRON"], ["DET"]):
            return NEVER  # no question: what stands before is its subject ("what we have here | is …")
        elif t.low[i] in VOCATIVES and t.tag[i] == "NOUN":
            score -= 0.8
        return score + self._end(before, i)

    def _particle(self, i: int) -> bool:
        """ "tap the peg in": whether token `i` is the particle of the verb whose object stands before it."""
        t = self.t
        held = self.ends_at.get(i)
        if held is None or held.first == 0 or t.tag[held.first - 1] != "VERB":
            return False
        sense = self.words.lexicon.verb_sense(t.low[held.first - 1], t.low[i]) or self.words.lexicon.verb_sense(
            t.base[held.first - 1], t.low[i]
        )
        return sense is not None and t.low[i] in sense.particles

    def _phrasal(self, at: int, particle: str) -> bool:
        """Whether the lexicon knows the verb at token `at` with this particle."""
        sense = self.words.lexicon.verb_sense(self.t.base[at], particle)
        return sense is not None and particle in sense.particles

    def _leads_on(self, k: int, i: int) -> bool:
        """Whether token `k` only leads on to token `i`: "how often | two wires", "have someone | take the weight"."""
        t = self.t
        if k and t.low[k - 1] == "how" and t.tag[k] in ("ADJ", "ADV"):
            return True
        if t.low[k] in ("there", "here") and t.low[i : i + 2] in (["we", "go"], ["you", "go"], ["she", "goes"]):
            return True
        chunk = self.ends_at.get(i)
        if chunk is None:
            return False
        if chunk.determiner in ("whatever", "whichever") and t.low[i] in grammar.SUBJECT_PRONOUNS:
            return True  # "whatever mast | you have"
        return chunk.kind == "person" and chunk.first > 0 and t.base[chunk.first - 1] == "have" and t.form[i] == "b"

    def _end(self, k: int, i: int) -> float:
        """How badly an utterance ends on token `k`, before token `i`."""
        t = self.t
        while k > 0 and t.low[k] in FILLERS:
            k -= 1
        tag, word = t.tag[k], t.low[k]
        if word in ("total", "each", "apiece") and k and t.low[k - 1] in MEASURES:
            return -0.1
        chunk = self.chunk_of.get(i)
        if chunk is not None and chunk.first < i <= chunk.last - 1 and i in self.chunk_of and k >= chunk.first:
            if f"{word} {t.low[i]}" in self.words.terms:
                return -5.0
            inside = -1.2
            if tag == "DET" and not (word == "that" and i in self.latent and t.tag[k - 1] == "VERB"):
                return -6.0
            if (
                t.tag[i] == "DET"
                and t.low[i] in {"the", "this", "these", "those", "your", "that", "a"}
                and tag not in ("ADJ", "NEG")
            ):
                return -0.3 if t.low[k] not in {"half", "both", "all", "of"} and t.tag[k] != "PREP" else -6.0
            if tag == "NUM":
                return -0.6 if i in self.latent else -6.0
            if tag == "ADJ" and i not in self.latent:
                predicate = (
                    k == chunk.first
                    and k > 0
                    and (
                        t.base[k - 1] in {"go", "come", "get", "be", "stay", "become", "keep", "hold", "run"}
                        or t.tag[k - 1] == "AUX"
                    )
                )
                inside = -0.4 if predicate else -1.8
            return inside if i not in self.latent else -0.2
        if word == "that" and i in self.latent and t.tag[k - 1] == "VERB":
            return -0.3
        if tag in {"DET", "CONJ", "TO", "NEG"} or word == "ever" and k and t.tag[k - 1] == "NEG":
            return -7.0  # never torn from what must not be done: "never ever | put your hand …"
        if self._leads_on(k, i):
            return -6.0
        if k and word in ("again", "else", "now") and t.low[k - 1] in ("everybody", "everyone"):
            return -2.5
        if tag == "SUB":
            return -6.0
        if tag == "AUX":
            embedded = word in {"is", "are", "was", "were", "does", "did", "do"} and any(
                head.at == k and head.link in ("sub", "contact") for head in self.heads
            )
            return -0.7 if embedded else -4.0
        if word == "on" and t.low[k - 2 : k] in (["from", "here"], ["from", "now"], ["from", "there"]):
            return -1.8
        if k and f"{t.low[k - 1]} {word}" in TWO_WORD_OPENERS and self.start[k - 1] > 1.0:
            return -1.8
        if tag == "PREP":
            if self._particle(k):
                return 0.0 if self.start[i] >= 0.5 else -1.5
            if (
                word in ("with", "in", "on")
                and t.tag[k - 1] == "VERB"
                and i in self.chunk_at
                and not self._phrasal(k - 1, word)
            ):
                return -3.0  # "come with | the tubing"
            if (
                word in ALONE
                and k > 0
                and (k in self.ends_at or t.tag[k - 1] in {"VERB", "PART", "ADV", "AUX", "INTJ", "ADJ"})
            ):
                return -0.5 if self.start[i] >= 0.5 else -2.0
            return (
                -1.5
                if word in {"with", "for", "from", "on", "below", "above"}
                and self.start[i] >= 1.0
                and k
                and t.tag[k - 1] in ("NOUN", "VERB")
                else -5.0
            )
        if tag == "NUM":
            return -0.3 if k in self.chunk_of and self.chunk_of[k].last == i else -5.0
        if tag == "PRON" and word in SUBJECT_ONLY:
            return -6.0
        if (
            tag == "PRON"
            and word in ("you", "it", "there")
            and i < len(t)
            and any(h.first == i and not h.command for h in self.heads[-0:0])
        ):
            return -4.0
        if tag == "ADV":
            if word == "only" and k and t.tag[k - 1] in ("NOUN", "NUM", "VERB"):
                return -0.3
            return (
                -2.5
                if word in HUNGRY_ADVERBS and word != "too"
                else (-1.5 if self.start[k] > 0.5 and word in OPENERS else 0.0)
            )
        if tag == "INTJ":
            return (
                -1.4 if word in OPENERS and word not in {"lovely", "grand", "cheers", "thanks", "hello", "hi"} else -0.3
            )
        if tag == "VERB":
            if k and t.tag[k - 1] == "VERB" and t.form[k - 1] == "n":
                return -0.3
            if t.low[i] in SUBJECT_ONLY or t.low[i] == "it" and t.low[i + 1 : i + 2] in (["'s"], ["is"], ["'ll"]):
                return -0.5
            if i in self.latent:
                return -0.6
            if t.form[k] in ("b", "s", "g") and i in self.chunk_at:
                if t.base[k] in ALONE_VERBS:
                    return -0.6
                return -0.6 if t.form[k] == "g" and t.tag[k - 1] == "PREP" else -2.0
            return -0.3
        return 0.0


def divide(scores: Scores, pauses: Sequence[float], allowed: Sequence[bool]) -> list[int]:
    """Tokens where utterances begin, the first one left out.

    `pauses` tells for each token how much the silence before it speaks for a boundary; `allowed` whether one may
    stand there at all. Cost is linear in the tokens: only the last few places are looked at.
    """
    size = len(scores.local)
    value = [scores.local[i] + pauses[i] + START for i in range(size)]
    places = [0, *(i for i in range(1, size) if allowed[i] and value[i] > -1.4)]
    mains, any_heads, leaning = _prefixes(scores)
    best = {0: 0.0}
    back: dict[int, int] = {}
    for number, place in enumerate([*places[1:], size], 1):
        top, source = None, 0
        for earlier in reversed(places[:number]):
            if place - earlier > LONGEST and top is not None:
                break
            worth = best[earlier] - _segment_cost(scores, earlier, place, mains, any_heads, leaning)
            if top is None or worth > top:
                top, source = worth, earlier
        best[place] = (top or 0.0) + (value[place] if place < size else 0.0)
        back[place] = source
    found: list[int] = []
    at = back.get(size, 0)
    while at > 0:
        found.append(at)
        at = back[at]
    return found[::-1]


def _prefixes(scores: Scores) -> tuple[list[int], list[int], list[int]]:
    size = len(scores.local)
    main, linked, leaning = [0] * (size + 1), [0] * (size + 1), [0] * (size + 1)
    for head in scores.heads:
        if head.link in ("sub", "contact"):
            leaning[head.first + 1] += 1
        elif head.link:
            linked[head.first + 1] += 1
        else:
            main[head.first + 1] += 1
    for counts in (main, linked, leaning):
        for i in range(size):
            counts[i + 1] += counts[i]
    return main, linked, leaning


def _segment_cost(
    scores: Scores, first: int, last: int, mains: list[int], linked: list[int], leaning: list[int]
) -> float:
    main = mains[last] - mains[first]
    cost = 0.0
    if main > 1:
        cost += SECOND_MAIN * (main - 1)
    elif main == 0 and linked[last] == linked[first]:
        hides = leaning[last] > leaning[first] and bisect_right(scores.commands, first) < bisect_left(
            scores.commands, last
        )
        cost += 0.2 if hides else _without_main(scores, first, last, leaning[last] > leaning[first])
    if last - first < 2 and first > 0:
        cost += 0.6
    if last - first > 30:
        cost += 0.05 * (last - first - 30)
    return cost


def _without_main(scores: Scores, first: int, last: int, leaning: bool) -> float:
    """Cost of an utterance without a main clause: small where one is hidden, high where the words only lead on."""
    t = scores.t
    if first in scores.latent:
        return 0.1
    at = first
    while at < last and (t.tag[at] == "INTJ" or t.low[at] in OPENERS) and t.low[at] != "whatever":
        at += 1
    if at > first and t.low[at - 1] in ("now", "next"):
        held = scores.chunk_at.get(at + 1 if at < last and t.low[at] == "for" else at)
        if held is not None and held.last == last:
            return 0.2  # "now for the lid"
    only_opens = at > first and (at >= last - 1 or t.low[at] in VOCATIVES)
    if only_opens and t.low[first] not in CLOSERS:
        return 1.5
    if t.low[first] in CLOSERS or first == 0 and t.tag[0] not in ("PREP", "SUB", "PART"):
        return 0.3
    if at < last and t.tag[at] in ("PREP", "SUB", "PART"):
        return LEANING + (0.3 if leaning else 0.8)
    if leaning:
        return LEANING

    opened = at > first or scores.start[first] >= 1.2
    return VERBLESS + 0.06 * min(10, last - first) - (0.5 if opened else 0.0)
