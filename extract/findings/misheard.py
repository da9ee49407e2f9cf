"""Trade words that were written down as something else: "return casket" for "return gasket".

`extract.findings.readings` looks for what words may have been; here the surest become flags. Nothing is ever
rewritten: a finding is a suggestion for the reviewer.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import replace

from extract.findings import wordstats as ws
from extract.findings.alike import same_word
from extract.findings.readings import Guess, guesses
from extract.lexicon import Lexicon
from extract.model import Suggestion, Talk
from extract.speech import FlagFound, Place, TrustFound, Utterance

#: Chance from which words are flagged.
_FLAG = 0.5
#: Trust under which an utterance is nonsense as a whole: its words are nobody's.
_NONSENSE = 0.5
_SHOWN = 3


def find_misheard_terms(
    talk: Talk, utterances: Sequence[Utterance], trust: Sequence[TrustFound], lexicon: Lexicon
) -> tuple[FlagFound, ...]:
    """`misheard_term` flags, one for each wrong spelling with all its places, in the order of the talk.

    Utterances that are nonsense as a whole and those that a reviewer corrected are left alone.
    """
    nonsense = {t.utterance for t in trust if t.trust < _NONSENSE}
    skipped = nonsense | {u.index for u in utterances if u.corrected is not None}
    return tuple(_flags(guesses(talk, utterances, lexicon, skipped), utterances, lexicon))


def _flags(found: list[Guess], utterances: Sequence[Utterance], lexicon: Lexicon) -> Iterator[FlagFound]:
    texts = {u.index: u for u in utterances}
    by_utterance: dict[int, list[Guess]] = defaultdict(list)
    for guess in found:
        by_utterance[guess.utterance].append(guess)
    groups: dict[str, list[list[Guess]]] = defaultdict(list)
    for readings in by_utterance.values():
        taken: set[int] = set()
        for sure in sorted(readings, key=lambda g: (-g.chance, g.first, g.last)):
            if sure.chance < _FLAG:
                break
            if taken & set(range(sure.first, sure.last)):
                continue
            # The best reading may want a word more or less than the surest window.
            near = [
                g
                for g in readings
                if g.first < sure.last and sure.first < g.last and not taken & set(range(g.first, g.last))
            ]
            best = max(near, key=lambda g: (g.rank, g.term))
            taken |= set(range(best.first, best.last))
            same = [g for g in near if (g.first, g.last) == (best.first, best.last)]
            groups[best.written].append([replace(g, chance=sure.chance) for g in same])
    for written, places in sorted(groups.items(), key=lambda item: (item[1][0][0].utterance, item[1][0][0].first)):
        places.sort(key=lambda readings: (readings[0].utterance, readings[0].first))
        yield _flag(written, places, texts[places[0][0].utterance], lexicon)


def _flag(written: str, places: list[list[Guess]], utterance: Utterance, lexicon: Lexicon) -> FlagFound:
    """One flag for a wrong spelling; `places` holds the readings at each place, in order."""
    ranks: dict[str, list[float]] = defaultdict(list)
    sample: dict[str, Guess] = {}
    for readings in places:
        total = sum(math.exp(min(30.0, g.rank)) for g in readings)
        for guess in readings:
            ranks[guess.term].append(math.exp(min(30.0, guess.rank)) / total)
            sample.setdefault(guess.term, guess)
    ranked = sorted(ranks, key=lambda term: (-sum(ranks[term]), term))
    shown = _distinct(ranked, lexicon)[:_SHOWN]
    first = places[0][0]
    tokens = ws.tokens(utterance.analysed)
    chance = max(readings[0].chance for readings in places)
    return FlagFound(
        place=Place(utterance.index, tokens[first.first].start, tokens[first.last - 1].end, "misheard.sounds"),
        code="misheard_term",
        severity="check",
        message=f"“{written}” makes little sense here; “{shown[0]}” sounds like it.",
        evidence={"written": written, "chance": round(chance, 3), "places": len(places)},
        suggestions=tuple(
            Suggestion(text=term, why=_why(sample[term]), score=round(chance * sum(ranks[term]) / len(places), 3))
            for term in shown
        ),
        utterances=tuple(dict.fromkeys(readings[0].utterance for readings in places)),
    )


def _distinct(terms: list[str], lexicon: Lexicon) -> list[str]:
    """Terms without those that differ from an earlier one by spelling or inflection only."""
    kept: list[str] = []
    for term in terms:
        if not any(same_word(term, other, lexicon) for other in kept):
            kept.append(term)
    return kept


def _why(guess: Guess) -> str:
    """Why a term is suggested, in a few words."""
    features = guess.features
    reasons = ["sounds almost the same" if features["apart"] < 1.2 else "sounds alike"]
    if features["phrase"]:
        reasons.append("goes with the words beside it")
    if features["said"]:
        reasons.append("the talk names it elsewhere")
    if features["object"] > 0:
        reasons.append("such a thing is worked on here")
    if features["verb"]:
        reasons.append("an action stands here")
    return ", ".join(reasons)
