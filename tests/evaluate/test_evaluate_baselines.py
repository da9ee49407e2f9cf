from __future__ import annotations

from collections import Counter

import pytest
from gold_draft import draft_of
from workbench_talk import utterance

from extract.evaluate import evaluate_talk
from extract.evaluate.baselines import compare_baselines, recall_by_measure
from extract.evaluate.context import Context
from extract.evaluate.gold import parse_gold
from extract.evaluate.match import shipped_verb_groups


def test_recall_under_the_threshold_that_leaves_two_in_a_hundred_clear_ones_under_it() -> None:
    counts = Counter({"measure.trust.unclear:100": 3, "measure.trust.unclear:400": 1, "measure.trust.unclear:700": 4})
    counts |= {"measure.trust.clear:300": 2, "measure.trust.clear:500": 1, "measure.trust.clear:900": 97}
    assert recall_by_measure(Counter(counts)) == {"trust": 0.5, "confidence": None, "frequency": None}


def test_trust_that_tells_them_apart_finds_all_and_trust_turned_round_finds_none() -> None:
    gold = [utterance(f"Undo bolt number {n}.", "instruction") for n in "abcde"] + [
        utterance("Of the it sea.", "unclear")
    ]
    draft = draft_of(gold)
    for trust, expected in ((0.1, 1.0), (1.0, 0.0)):
        for segment in draft["segments"]:
            segment["trust"] = 1.1 - trust if segment["text"].startswith("Undo") else trust
        assert evaluate_talk(draft, gold).scores["unclear_recall_by_trust"] == expected


@pytest.mark.parametrize(
    ("confidences", "expected"), [([0.9, 0.9, 0.2, 0.3], 1.0), ([0.2, 0.3, 0.9, 0.9], 0.0), ([0.9], None)]
)
def test_confidence_belongs_to_the_words_in_their_order(confidences: list[float], expected: float | None) -> None:
    gold = [utterance("Undo it.", "instruction"), utterance("Sea of.", "unclear")]
    context = Context("talk", draft_of(gold), parse_gold(enumerate(gold, start=1)), shipped_verb_groups(), confidences)
    compare_baselines(context)
    assert recall_by_measure(context.counts)["confidence"] == expected


def test_rare_words_rank_below_common_ones() -> None:
    gold = [utterance("Take the cover off the top.", "instruction"), utterance("Quixotic zymurgy obelus.", "unclear")]
    assert evaluate_talk(draft_of(gold), gold).scores["unclear_recall_by_frequency"] == 1.0
