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
from collections.abc import Mapping, Sequence
from functools import cache, lru_cache
from importlib.resources import files
from statistics import median

from extract.findings import wordstats as ws
from extract.lexicon import Lexicon
from extract.model import Talk
from extract.speech import TrustFound, Utterance

#: Kinds of the lexicon that are things of the workshop.
THINGS = frozenset({"part", "assembly", "fastener", "seal", "fluid", "material", "tool", "machine", "ppe"})
#: Closed classes that cannot close an utterance, and how badly.
_OPEN_ENDS = {
    "article": 1.0, "owner": 1.0, "pronoun": 0.7, "joiner": 1.0, "linker": 0.6, "short": 0.7, "modal": 0.5,
    "be": 0.4, "preposition": 0.35,
}  # fmt: skip
#: An ordinary utterance has this many words; longer ones give more evidence.
_ORDINARY = 12.0
#: Zipf value from which a word is at home everywhere and tells nothing.
_EVERYWHERE = 5.5
#: Words of a repeated run, without trade words, that look like a recogniser's loop.
_RUN = 5


@cache
def _listed(name: str) -> frozenset[str]:
    return frozenset(tomllib.loads((files("lexicons") / "trust_words.toml").read_text("utf-8"))[name].split())


def presenting_words() -> frozenset[str]:
    """Words of greeting, filming and taking leave."""
    return _listed("presenting")


@lru_cache(maxsize=4)
def trade_words(lexicon: Lexicon) -> frozenset[str]:
    """Single words that name or qualify things of the workshop, or are done to them."""
    words = set(_listed("measures")) | set(lexicon.modifiers) | set(lexicon.verb_forms)
    for form, term in lexicon.term_forms().items():
        if term.kind in THINGS:
            words.update(form.replace("-", " ").split())
    return frozenset(words - ws.function_words().keys())


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
        weights = _weights()["heard" if "confidence" in values else "words"]
        shares = {name: round(weights[name] * value, 3) for name, value in values.items()}
        against = weights["base"] + sum(weights[name] * value for name, value in values.items())
        trust = 1.0 / (1.0 + math.exp(max(-30.0, min(30.0, against))))
        found.append(TrustFound(utterance.index, round(trust, 4), {k: v for k, v in shares.items() if v}))
    return tuple(found)


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
    for values, heard in zip(own, _heard_signals(talk, utterances), strict=True):
        values.update(heard)
    oddness = [values["pairs"] + values["order"] + values["fields"] for values in own]
    for at, values in enumerate(own):
        near = [oddness[i] for i in (at - 1, at + 1) if 0 <= i < len(own)]
        values["neighbours"] = max(0.0, sum(near) / len(near) - 1.5) if near else 0.0
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
    far = {field for w in strange if (field := _field(w, lexicon)) in _listed("far_fields")}
    rare = sum(max(0.0, 4.0 - ws.zipf(w)) for w in strange)
    last = function.get(words[-1], "")
    open_end = 0.0 if words[-1] in _listed("closing") and not _left_hanging(words) else _OPEN_ENDS.get(last, 0.0)
    return {
        "pairs": weight * -sum(min(0.0, s) for s in scores) / len(scores) * 3,
        "worst_pair": weight * max(0.0, -min(scores) - 2.0),
        "order": weight * -sum(min(0.0, s) for s in orders) / size,
        "strange": weight * odd / max(3, len(content)),
        "many_strange": min(5.0, max(0.0, odd - 2.0)),
        "fields": float(min(4, len(far))),
        "no_trade": (1.0 - trade_share) * min(1.0, size / _ORDINARY),
        "rare": weight * min(4.0, rare) / 2,
        "open_end": open_end if size > 2 else 0.0,
    }


def strangeness(word: str, trade: frozenset[str], lexicon: Lexicon) -> float:
    """How little a word belongs here: "water", "hand" and "line" belong to the trade and to everything else."""
    if word in trade:
        return 0.6 * min(1.0, max(0.0, ws.zipf(word) - 4.0) / 1.5)
    return 0.6 if lexicon.term(word) else 1.0


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


def confidences(talk: Talk, utterances: Sequence[Utterance]) -> tuple[list[list[float]], float | None]:
    """The recogniser's confidence in each word of each utterance, and the mean of the talk's usual utterance.

    Words without a confidence take that of their cue; an utterance without any has an empty list.
    """
    if all(one.confidence is None for one in (*talk.words, *talk.cues)):
        return [[] for _ in utterances], None
    heard: list[list[float]] = []
    for utterance in utterances:
        values = []
        for word in talk.words[utterance.words[0] : utterance.words[1]]:
            value = word.confidence
            if value is None and 0 <= word.cue < len(talk.cues):
                value = talk.cues[word.cue].confidence
            if value is not None:
                values.append(min(0.99, max(0.02, value)))
        heard.append(values)
    means = [sum(v) / len(v) for v in heard if v]
    return heard, median(means) if means else None


def _heard_signals(talk: Talk, utterances: Sequence[Utterance]) -> list[Mapping[str, float]]:
    """Confidence signals, empty for an utterance without any.

    `confidence` compares the mean with the talk's usual utterance, so that a talk that was recorded badly does
    not look garbled from end to end; `noise` is how badly. `content` compares the words that carry the meaning.
    """
    heard, usual = confidences(talk, utterances)
    content = [_of_content(talk, u, values) for u, values in zip(utterances, heard, strict=True)]
    means = [sum(v) / len(v) for v in content if v]
    usual_content = median(means) if means else 0.0
    found: list[Mapping[str, float]] = []
    for values, meant in zip(heard, content, strict=True):
        if not values or usual is None:
            found.append({})
            continue
        below = len(values) / (len(values) + 2.0) * (usual - sum(values) / len(values)) * 10
        weight = len(meant) / (len(meant) + 1.0)
        found.append(
            {
                "noise": max(0.0, 0.95 - usual) * 5,
                "confidence": below,
                "far_below": max(0.0, below - 1.5),
                "content": max(0.0, weight * (usual_content - sum(meant) / len(meant)) * 10) if meant else 0.0,
            }
        )
    return found


def _of_content(talk: Talk, utterance: Utterance, values: list[float]) -> list[float]:
    """The confidences of the words that are neither closed-class words nor numbers."""
    words = talk.words[utterance.words[0] : utterance.words[1]]
    if len(words) != len(values):
        return values
    kept = []
    for word, value in zip(words, values, strict=True):
        plain = word.text.lower().strip(".,!?;:\"'…")
        if plain and plain not in ws.function_words() and not ws.is_number(plain):
            kept.append(value)
    return kept
