"""Fits how much speaks against a recognised word, on the words of recognised_talk.txt; called by fit_trust.py."""

from __future__ import annotations

import math
import random
from collections.abc import Iterator, Sequence
from contextlib import contextmanager

import numpy as np
from build_workshop_words import counts
from logistic import logistic
from recognised_talk import Recognised

from extract.findings import word_doubt
from extract.findings import wordstats as ws
from extract.lexicon import Lexicon
from extract.model import Talk

#: Recognisers differ in how sure they sound: copies of the talks have all confidences raised to a power between these.
SCALES = (0.7, 1.5)
#: How much a copy counts.
COPY = 0.5


@contextmanager
def without(lines: Sequence[str]) -> Iterator[None]:
    """The counts of the workshop talk without a talk that was counted: else no word of it could be strange."""
    total = ws.workshop_counts()
    own = counts(list(lines)) & total
    total.subtract(own)
    yield
    total.update(own)


def rescaled(talk: Talk, power: float) -> Talk:
    """The talk as a recogniser would give it that sounds less sure (power above 1) or surer of itself."""
    words = (word._replace(confidence=(word.confidence or 0.0) ** power) for word in talk.words)
    return talk.model_copy(update={"words": tuple(words)})


def with_copies(talks: Sequence[Recognised]) -> list[tuple[Recognised, Talk, float]]:
    """Each talk as it is and in another scale of confidence, and how much it counts."""
    pick = random.Random(11)
    found = []
    for one in talks:
        power = math.exp(pick.uniform(*map(math.log, SCALES)))
        found += [(one, one.talk, 1.0), (one, rescaled(one.talk, power), COPY)]
    return found


def fit_word_doubt(talks: Sequence[Recognised], lexicon: Lexicon) -> dict[str, float]:
    """Weights of the word signals, `base` among them."""
    rows, labels, care = [], [], []
    for one, talk, weight in with_copies(talks):
        with without(one.said):
            measured = word_doubt.word_signals(talk, one.utterances, lexicon)
        for signals, wrong in zip(measured, one.wrong, strict=True):
            rows += signals
            labels += wrong
            care += [weight] * len(wrong)
    names = list(rows[0])
    x = np.array([[1.0, *(row[name] for name in names)] for row in rows])
    penalty = np.array([0.0, *([2.0] * len(names))])
    weights = logistic(x, np.array(labels, float), penalty, np.array(care), signed=True)
    return dict(zip(("base", *names), (round(float(w), 3) for w in weights), strict=True))
