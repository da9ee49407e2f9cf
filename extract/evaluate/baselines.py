"""Holds trust against two plain measures of an utterance: the recogniser's mean confidence, and how common its words are.

Each measure ranks the utterances. Its score is the share of the unclear ones under the highest threshold that leaves at
most `ALLOWED` of the clear ones under it.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Sequence

from extract.evaluate.context import Context

MEASURES = ("trust", "confidence", "frequency")
#: Share of clear utterances that may be called unclear.
ALLOWED = 0.02
#: Thresholds tried, evenly over the range of a measure.
_STEPS = 1000
#: The most common words stand a little under 8 on the Zipf scale (van Heuven et al. 2014).
_MOST_COMMON = 8.0


def compare_baselines(context: Context) -> None:
    """Count each utterance under its value of each measure, clear and unclear apart; values are 0 to 1."""
    from extract.findings.wordstats import zipf

    lengths = [len(one.text.split()) for one in context.gold]
    confidences = context.confidences if len(context.confidences) == sum(lengths) else [None] * sum(lengths)
    end = 0
    for place, one in enumerate(context.gold):
        words = re.findall(r"[a-z][a-z'-]*", one.text.lower())
        start, end = end, end + lengths[place]
        values = {
            "trust": context.trust(place),
            "confidence": _mean(confidences[start:end]),
            "frequency": _mean([zipf(word) / _MOST_COMMON for word in words]),
        }
        state = "unclear" if one.role == "unclear" else "clear"
        for measure, value in values.items():
            if value is not None:
                step = round(_STEPS * min(1.0, max(0.0, value)))
                context.counts[f"measure.{measure}.{state}:{step}"] += 1


def recall_by_measure(counts: Counter[str]) -> dict[str, float | None]:
    """Recall of the unclear utterances by each measure alone; null where no unclear one has the measure."""
    return {measure: _recall(counts, measure) for measure in MEASURES}


def _recall(counts: Counter[str], measure: str) -> float | None:
    unclear = [counts[f"measure.{measure}.unclear:{step}"] for step in range(_STEPS + 1)]
    clear = [counts[f"measure.{measure}.clear:{step}"] for step in range(_STEPS + 1)]
    if not sum(unclear):
        return None
    found = false_alarms = 0.0
    for unclear_here, clear_here in zip(unclear, clear, strict=True):
        false_alarms += clear_here
        if false_alarms > ALLOWED * sum(clear):
            break
        found += unclear_here
    return found / sum(unclear)


def _mean(values: Sequence[float | None]) -> float | None:
    known = [value for value in values if value is not None]
    return sum(known) / len(known) if known else None
