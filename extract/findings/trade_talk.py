"""What belongs in the talk of a workshop, and how sure the recogniser was: both for trust and for misheard words."""

from __future__ import annotations

import tomllib
from collections.abc import Sequence
from functools import cache, lru_cache
from importlib.resources import files
from statistics import median

from extract.findings import wordstats as ws
from extract.lexicon import Lexicon
from extract.model import Talk
from extract.speech import Utterance

#: Kinds of the lexicon that are things of the workshop.
THINGS = frozenset({"part", "assembly", "fastener", "seal", "fluid", "material", "tool", "machine", "ppe"})


@cache
def listed(name: str) -> frozenset[str]:
    """A list of `lexicons/trust_words.toml`."""
    return frozenset(tomllib.loads((files("lexicons") / "trust_words.toml").read_text("utf-8"))[name].split())


def presenting_words() -> frozenset[str]:
    """Words of greeting, filming and taking leave."""
    return listed("presenting")


@lru_cache(maxsize=4)
def trade_words(lexicon: Lexicon) -> frozenset[str]:
    """Single words that name or qualify things of the workshop, or are done to them."""
    words = set(listed("measures")) | set(lexicon.modifiers) | set(lexicon.verb_forms)
    for form, term in lexicon.term_forms().items():
        if term.kind in THINGS:
            words.update(form.replace("-", " ").split())
    return frozenset(words - ws.function_words().keys())


def strangeness(word: str, trade: frozenset[str], lexicon: Lexicon) -> float:
    """How little a word belongs here: "water", "hand" and "line" belong to the trade and to everything else."""
    if word in trade:
        return 0.6 * min(1.0, max(0.0, ws.zipf(word) - 4.0) / 1.5)
    return 0.6 if lexicon.term(word) else 1.0


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
