"""How far the words of an utterance can be trusted.

A recogniser that loses the thread writes fluent nonsense. `assess` gives each utterance the chance that its words
are what the speaker said, from signals that need no recogniser, and from the recogniser's confidence where the
transcript has one. A logistic model with the weights of `lexicons/trust_weights.toml` (fitted by
`lexicons/builders/fit_trust.py`) puts them together; `TrustFound.signals` holds each signal's share in log odds
against an ordinary utterance, positive where it speaks against the words.
"""

from __future__ import annotations

import math
import tomllib
from collections import Counter
from collections.abc import Sequence
from functools import cache
from importlib.resources import files
from statistics import median

from extract.findings import wordstats as ws
from extract.findings.odds import chance
from extract.findings.trade_talk import listed, presenting_words, strangeness, trade_words
from extract.findings.word_doubt import doubts
from extract.lexicon import Lexicon
from extract.model import Talk
from extract.speech import TrustFound, Utterance

#: Closed classes that cannot close an utterance, and how badly.
_OPEN_ENDS = {
    "article": 1.0, "owner": 1.0, "pronoun": 0.7, "joiner": 1.0, "linker": 0.6, "short": 0.7, "modal": 0.5,
    "be": 0.4, "preposition": 0.35,
}  # fmt: skip
#: An ordinary utterance has this many words; longer ones give more evidence.
_ORDINARY = 12.0
#: Longer ones are taken for several: their strange words are counted as if they were so long.
_LONG = 20.0
#: Zipf value from which a word is at home everywhere and tells nothing.
_EVERYWHERE = 5.5
#: The expected share of wrong words of an ordinary recognised utterance.
_ORDINARY_DOUBT = 0.12
#: What speaks against the words as such counts in full up to this share of wrong words, and not at all from that one ...
_HEARD_DOUBT, _DEAF_DOUBT = 0.2, 0.4
#: ... and only from this much (log odds below evens) on: a strange word or two is nothing against a clear sound.
_ODD = 1.0
#: The signals of recognised words; `reads` is what the signals of all other words come to.
HEARD = ("unsure_words", "misfit_words", "repeats", "rate", "reads")
#: One impossible pair of words says no more than this: a word too many or a wrong border makes it as well.
_WORST = 1.5
#: Words of a repeated run, without trade words, that look like a recogniser's loop.
_RUN = 5


@cache
def _weights() -> dict[str, dict[str, float]]:
    return tomllib.loads((files("lexicons") / "trust_weights.toml").read_text("utf-8"))


def assess(talk: Talk, utterances: Sequence[Utterance], lexicon: Lexicon) -> tuple[TrustFound, ...]:
    """Trust of each utterance, in order. An utterance that a reviewer corrected is trusted."""
    found = []
    measured = signals(talk, utterances, lexicon)
    for utterance, values in zip(utterances, measured, strict=True):
        if utterance.corrected is not None:
            found.append(TrustFound(utterance.index, 1.0, {}))
            continue
        shares = _shares(values)
        against = _weights()["heard" if "reads" in values else "words"]["base"] + sum(shares.values())
        trust = chance(-against)
        told = {name: round(share, 3) for name, share in shares.items()}
        found.append(TrustFound(utterance.index, round(trust, 4), {k: v for k, v in told.items() if v}))
    return tuple(found)


def _shares(values: dict[str, float]) -> dict[str, float]:
    """The share of each signal in the log odds against an utterance; `reads` is told as what makes it read oddly."""
    words = {name: _weights()["words"][name] * value for name, value in values.items() if name not in HEARD}
    if "reads" not in values:
        return words | {n: _weights()["words"][n] * values[n] for n in ("repeats", "rate")}
    heard = {name: _weights()["heard"][name] * values[name] for name in HEARD}
    reads = heard.pop("reads") / (sum(words.values()) or 1.0)
    return {name: reads * share for name, share in words.items()} | heard


def signals(talk: Talk, utterances: Sequence[Utterance], lexicon: Lexicon) -> list[dict[str, float]]:
    """The signals of each utterance, each 0 for an ordinary one and growing with what speaks against its words."""
    texts = [ws.words_of(u.analysed) for u in utterances]
    elsewhere = Counter(word for words in texts for word in set(words))
    trade = trade_words(lexicon)
    phrases = _phrases(texts, trade)
    own = [_own_signals(words, elsewhere, trade, lexicon) for words in texts]
    for values, words in zip(own, texts, strict=True):
        values["repeats"] = _repeats(words, phrases)
    for values, rate in zip(own, _rates(utterances), strict=True):
        values["rate"] = rate
    oddness = [values["pairs"] + values["order"] + values["fields"] for values in own]
    for at, values in enumerate(own):
        near = [oddness[i] for i in (at - 1, at + 1) if 0 <= i < len(own)]
        values["neighbours"] = max(0.0, sum(near) / len(near) - 1.5) if near else 0.0
    for values, doubt in zip(own, doubts(talk, utterances, lexicon), strict=True):
        if doubt is None:
            continue
        # Where the sound is in doubt, odd words tell nothing more: they are what was misheard, and counted there.
        kept = min(1.0, max(0.0, (_DEAF_DOUBT - doubt.share) / (_DEAF_DOUBT - _HEARD_DOUBT)))
        words = sum(_weights()["words"][name] * value for name, value in values.items() if name not in HEARD)
        values["reads"] = kept * max(0.0, _weights()["words"]["base"] + words + _ODD)
        more = (doubt.share - _ORDINARY_DOUBT) * 10
        values["unsure_words"] = more * doubt.by_sound if more > 0 else more
        values["misfit_words"] = more * (1 - doubt.by_sound) if more > 0 else 0.0
    return own


def _own_signals(
    words: list[str], elsewhere: Counter[str], trade: frozenset[str], lexicon: Lexicon
) -> dict[str, float]:
    if not words:
        return dict.fromkeys(
            (
                "pairs",
                "worst_pair",
                "order",
                "strange",
                "many_strange",
                "fields",
                "no_trade",
                "rare",
                "open_end",
            ),
            0.0,
        )
    function = ws.function_words()
    full = ws.in_full(words)
    pairs = ["#" if ws.is_number(w) else w for w in full]
    scores = [ws.pair_score(a, b) for a, b in zip(pairs, pairs[1:], strict=False)]
    # A pair of a word with itself tells nothing but a repeat, which has a signal of its own.
    classes = [ws.START, *(ws.word_class(w, lexicon) for w in full[1:-1]), ws.END]
    # Only orders that closed-class words hold together: content words stand in any order where commands are given.
    closed = [w in function for w in full]
    held = [sum(three) > 1 for three in zip(closed, closed[1:], closed[2:], strict=False)]
    triples = zip(classes, classes[1:], classes[2:], strict=False)
    orders = [ws.order_score(*three) for three, kept in zip(triples, held, strict=True) if kept] or [0.0]
    size = len(words)
    content = [w for w in words if w not in function and not ws.is_number(w) and ws.zipf(w) < _EVERYWHERE]
    strange = [w for w in content if w not in trade and elsewhere[w] < 2 and w not in presenting_words()]
    oddness = {
        w: 0.0 if elsewhere[w] > 1 or w in presenting_words() else strangeness(w, trade, lexicon) for w in content
    }
    odd = sum(oddness[w] for w in content)
    trade_share = max((1.0 - oddness[w] for w in content if w in trade), default=0.0)
    weight = size / (size + 4.0)
    far = {field for w in strange if (field := _field(w, lexicon)) in listed("far_fields")}
    rare = sum(max(0.0, 4.0 - ws.zipf(w)) for w in strange)
    last = function.get(words[-1], "")
    open_end = 0.0 if words[-1] in listed("closing") and not _left_hanging(words) else _OPEN_ENDS.get(last, 0.0)
    return {
        "pairs": weight * -sum(min(0.0, s) for s in scores) / len(scores) * 3,
        "worst_pair": weight * min(_WORST, max(0.0, -min(scores) - 2.0)),
        "order": weight * -sum(min(0.0, s) for s in orders) / size,
        "strange": weight * odd / max(3, len(content)),
        "many_strange": min(5.0, max(0.0, odd * min(1.0, _LONG / size) - 2.0)),
        "fields": float(min(4, len(far))),
        "no_trade": (1.0 - trade_share) * min(1.0, size / _ORDINARY),
        "rare": weight * min(4.0, rare) / 2,
        "open_end": open_end if size > 2 else 0.0,
    }


def _left_hanging(words: list[str]) -> bool:
    """True for "… before you": a subject after a conjunction with nothing to do."""
    kind = ws.function_words().get
    return (
        len(words) > 2
        and words[-1] in ("you", "it")
        and (kind(words[-2]) in ("linker", "joiner", "asker") or words[-2] in ("before", "after"))
    )


def _field(word: str, lexicon: Lexicon) -> str:
    english = lexicon.english.get(word)
    if english is None or not english.can_be("N") or english.classes[0][0] != "N":
        return ""
    return ws.field(english.lemma_noun or word) or ws.field(word)


def _phrases(texts: list[list[str]], trade: frozenset[str]) -> Counter[tuple[str, ...]]:
    """How often each run of words occurs in the talk; runs that speak of the trade are left out."""
    found: Counter[tuple[str, ...]] = Counter()
    for words in texts:
        of_trade = [w in trade and ws.zipf(w) < 5.5 for w in words]
        for at in range(len(words) - _RUN + 1):
            if True not in of_trade[at : at + _RUN]:
                found[tuple(words[at : at + _RUN])] += 1
    return found


def _repeats(words: list[str], phrases: Counter[tuple[str, ...]]) -> float:
    runs = [tuple(words[at : at + _RUN]) for at in range(len(words) - _RUN + 1)]
    again = sum(1 for run in runs if phrases[run] > 1)
    doubled = sum(1 for a, b in zip(words, words[1:], strict=False) if a == b and a in ws.function_words())
    return min(4.0, (again + doubled) / 2)


def _rates(utterances: Sequence[Utterance]) -> list[float]:
    """How far the words a second of each utterance lie from the talk's own (factor 1.6 either way is ordinary)."""
    rates = []
    for utterance in utterances:
        count = utterance.words[1] - utterance.words[0]
        known = utterance.start_s is not None and utterance.end_s is not None and count >= 4
        length = utterance.end_s - utterance.start_s if known else 0.0
        rates.append(count / length if length > 0.2 else None)
    usual = [r for r in rates if r is not None]
    if len(usual) < 8:
        return [0.0] * len(rates)
    middle = median(usual)
    return [0.0 if r is None else min(2.0, max(0.0, abs(math.log(r / middle)) - 0.47)) for r in rates]
