"""How many words of a recognised utterance are probably wrong.

A recogniser's confidence in one word says little; its neighbours, the level of the whole talk and the kind of the word
say more. A logistic model over single words (`word` in `lexicons/trust_weights.toml`, fitted by
`lexicons/builders/fit_trust.py` on speech that a recogniser wrote down in noise) gives each word the chance of being
wrong. The expected share of wrong words is what the trust of the utterance is judged by.
"""

from __future__ import annotations

import math
import tomllib
from collections.abc import Iterator, Sequence
from functools import cache
from importlib.resources import files
from statistics import median
from typing import NamedTuple

from extract.findings import wordstats as ws
from extract.findings.odds import chance
from extract.findings.trade_talk import confidences, presenting_words, strangeness, trade_words
from extract.lexicon import Lexicon
from extract.model import Talk
from extract.speech import Utterance

#: Log odds of the confidence in an ordinary word (about 0.95).
_SURE = 3.0
#: The lowest usual level of a talk that can be followed; where it lies lower the recogniser is one that sounds unsure.
_LOWEST = 0.8
#: Words to each side that count as near.
_NEAR = 2
#: A short utterance says less: this many words of the usual doubt are added to each.
_ADDED, _USUAL = 2.0, 0.2
#: Signals that come from the recogniser's confidence; the others come from the words.
SOUND = ("unsure", "unsure_next", "unsure_near", "noise")


class Doubt(NamedTuple):
    """The expected share of wrong words, and how much of the doubt comes of the recogniser's confidence (0 to 1)."""

    share: float
    by_sound: float


@cache
def _weights() -> dict[str, float]:
    return tomllib.loads((files("lexicons") / "trust_weights.toml").read_text("utf-8"))["word"]


def doubts(talk: Talk, utterances: Sequence[Utterance], lexicon: Lexicon) -> list[Doubt | None]:
    """The doubt of each utterance, nothing where the transcript gives no confidence."""
    weights = _weights()
    found: list[Doubt | None] = []
    for words in word_signals(talk, utterances, lexicon):
        if not words:
            found.append(None)
            continue
        chances, sound, kind = [], 0.0, 0.0
        for values in words:
            shares = {name: weights[name] * value for name, value in values.items()}
            against = weights["base"] + sum(shares.values())
            wrong = chance(against)
            chances.append(wrong)
            heard = sum(shares[name] for name in SOUND)
            sound += wrong * max(0.0, heard)
            kind += wrong * max(0.0, sum(shares.values()) - heard)
        share = (sum(chances) + _ADDED * _USUAL) / (len(chances) + _ADDED)
        found.append(Doubt(share, sound / (sound + kind) if sound + kind else 1.0))
    return found


def word_signals(talk: Talk, utterances: Sequence[Utterance], lexicon: Lexicon) -> list[list[dict[str, float]]]:
    """The signals of each word of each utterance, each 0 for an ordinary word; no words where no confidence is known."""
    heard = [[_log_odds(v) for v in values] for values in confidences(talk, utterances)[0]]
    means = [sum(values) / len(values) for values in heard if values]
    if not means:
        return [[] for _ in utterances]
    usual = median(means)
    if usual < _LOWEST:
        heard = [[value + _LOWEST - usual for value in values] for values in heard]
        usual = _LOWEST
    noise = _SURE - usual
    flat = [value for values in heard for value in values]
    found, first = [], 0
    for utterance, values in zip(utterances, heard, strict=True):
        words = [word.text for word in talk.words[utterance.words[0] : utterance.words[1]]]
        kinds = list(_kinds(words, lexicon)) if len(words) == len(values) else [dict(_NO_KIND) for _ in values]
        for at, (kind, value) in enumerate(zip(kinds, values, strict=True), first):
            near = flat[max(0, at - _NEAR) : at + _NEAR + 1]
            after = flat[at + 1] if at + 1 < len(flat) else _SURE
            kind["unsure"] = _SURE - value
            kind["unsure_next"] = _SURE - after
            kind["unsure_near"] = _SURE - sum(near) / len(near)
            kind["noise"] = noise
        found.append(kinds)
        first += len(values)
    return found


_NO_KIND = dict.fromkeys(
    ("little", "number", "trade", "foreign", "rare", "strange", "pair_before", "pair_after", "opening"), 0.0
)


def _kinds(words: Sequence[str], lexicon: Lexicon) -> Iterator[dict[str, float]]:
    """What each word is and how it sits between its neighbours."""
    trade, function = trade_words(lexicon), ws.function_words()
    plain = [[token.word for token in ws.tokens(text)] or [""] for text in words]
    for at, parts in enumerate(plain):
        values = dict(_NO_KIND)
        word = parts[0]
        if word and ws.is_number(word):
            values["number"] = 1.0
        elif word in function or not word:
            values["little"] = 1.0
        else:
            values["trade"] = float(any(part in trade for part in parts))
            values["rare"] = max(0.0, 4.0 - min(ws.zipf(part) for part in parts))
            if word not in presenting_words():
                values["strange"] = max(strangeness(part, trade, lexicon) for part in parts)
        if word and not ws.is_number(word):
            values["foreign"] = max(-ws.at_home(part) for part in parts)
        before = plain[at - 1][-1] if at else ws.START
        after = plain[at + 1][0] if at + 1 < len(plain) else ws.END
        values["pair_before"] = _pair(before, word)
        values["pair_after"] = _pair(parts[-1], after)
        values["opening"] = float(at == 0)
        yield values


def _pair(first: str, second: str) -> float:
    """How much rarer than by chance two neighbours meet; 0 for a usual pair."""
    if not first or not second:
        return 0.0
    one, two = ("#" if word[0] != "<" and ws.is_number(word) else word for word in (first, second))
    return max(0.0, -ws.pair_score(one, two))


def _log_odds(confidence: float) -> float:
    return math.log(confidence / (1.0 - confidence))
