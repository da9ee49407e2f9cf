from __future__ import annotations

import pytest
from gold_draft import draft_of
from workbench_talk import gold_rows, utterance

from extract.evaluate import evaluate_talk
from extract.evaluate.report import pool


def test_brier_score_and_reliability_by_hand() -> None:
    draft = draft_of(gold_rows())
    for segment in draft["segments"]:
        segment["trust"] = 0.9
    report = evaluate_talk(draft, gold_rows())
    # nine clear utterances with an error of 0.1, one unclear with 0.9
    assert report.scores["trust_brier"] == pytest.approx((9 * 0.01 + 0.81) / 10)
    (row,) = pool([report]).reliability
    assert row["utterances"] == 10
    assert row["mean_trust"] == pytest.approx(0.9)
    assert row["clear"] == pytest.approx(0.9)


def test_trust_of_an_utterance_is_the_mean_by_characters() -> None:
    gold = [utterance("abcdef gh", "reason")]
    draft = draft_of(gold)
    segment = draft["segments"][0]
    draft["segments"] = [segment | {"text": "abcdef", "trust": 1.0}, segment | {"id": "b", "text": "gh", "trust": 0.2}]
    # 6 of 8 characters at 1.0, 2 at 0.2: 0.8
    assert evaluate_talk(draft, gold).scores["trust_brier"] == pytest.approx(0.04)


@pytest.mark.parametrize(
    ("suggestions", "first", "three"),
    [
        (["sealing ring"], 1.0, 1.0),
        (["sealing"], 1.0, 1.0),
        (["ceiling tile", "feeling", "sealings"], 0.0, 1.0),
        (["ring"], 0.0, 0.0),  # was said, and was heard: no correction
        (["a", "b", "c", "sealing"], 0.0, 0.0),
        ([], 0.0, 0.0),
    ],
)
def test_suggestion_is_right_if_it_was_said(suggestions: list[str], first: float, three: float) -> None:
    gold = [utterance("Oil the ceiling ring.", flags=["misheard_term"], said="Oil the sealing ring.")]
    draft = draft_of(gold)
    draft["flags"][0]["suggestions"] = [{"text": text, "why": "sounds alike", "score": 0.5} for text in suggestions]
    got = evaluate_talk(draft, gold).scores
    assert (got["suggestion_first"], got["suggestion_among_three"]) == (first, three)


def test_suggestions_are_judged_only_where_gold_says_what_was_said() -> None:
    gold = [utterance("Oil the ceiling ring.", flags=["misheard_term"])]
    assert evaluate_talk(draft_of(gold), gold).scores["suggestion_first"] is None
