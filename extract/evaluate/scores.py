"""Turns counts into scores. Counts of several talks are summed first, so that long talks weigh more."""

from __future__ import annotations

from collections import Counter
from typing import Any

from extract.evaluate.baselines import recall_by_measure
from extract.evaluate.trust import BINS

Counts = Counter[str]


def score(counts: Counts) -> dict[str, float | None]:
    """All scores by name; null where there was nothing to measure.

    F1, precision and recall are 0 to 1, burdens are flags per 100 words, `refit_order` is Kendall's tau (−1 to 1).
    """
    scores: dict[str, float | None] = {"text_agreement": _share(counts, "text.agreement", "text.words")}
    for name in ("boundary", "boundary_punctuated", "boundary_unpunctuated"):
        scores[f"{name}_f1"] = _prf(counts, name)[2]
    scores["role_accuracy"] = _share(counts, "role.right", "role.votes")
    by_role = [row["f1"] for row in role_table(counts) if row["gold"]]
    scores["role_f1"] = sum(by_role) / len(by_role) if by_role else None
    for name in ("step", "renewal", "torque", "condition", "unclear", "refit"):
        for kind, value in zip(("precision", "recall", "f1"), _prf(counts, name), strict=True):
            scores[f"{name}_{kind}"] = value
    scores["quantity_accuracy"] = _share(counts, "quantity.hit", "quantity.of")
    scores["renewal_quantity_accuracy"] = _share(counts, "renewal_quantity.hit", "renewal_quantity.of")
    scores["unclear_false_alarm"] = _share(counts, "unclear.false_alarm", "unclear.clear")
    scores["refit_order"] = _share(counts, "order.agreeing", "order.pairs")
    for name in ("refit_renewals", "refit_torques", "refit_notes"):
        scores[name] = _share(counts, f"{name}.hit", f"{name}.of")
    belongings = [f"refit_{kind}" for kind in ("renewals", "torques", "notes")]
    of = sum(counts[f"{name}.of"] for name in belongings)
    scores["refit_belongings"] = sum(counts[f"{name}.hit"] for name in belongings) / of if of else None
    scores["accounted"] = _share(counts, "accounted.hit", "accounted.of")
    rows = flag_table(counts)
    for row in rows:
        scores[f"flag_recall_{row['code']}"] = row["hit"] / row["gold"] if row["gold"] else None
    named, raised = sum(row["named"] for row in rows), sum(row["raised"] for row in rows)
    gold = sum(row["gold"] for row in rows)
    scores["flag_recall"] = sum(row["hit"] for row in rows) / gold if gold else None
    scores["flag_named_share"] = named / raised if raised else None
    scores["burden"] = _burden(counts, "flagged", "unflagged")
    scores["burden_unflagged_talks"] = _burden(counts, "unflagged")
    scores["trust_brier"] = _share(counts, "trust.squared", "trust.of")
    for measure, recall in recall_by_measure(counts).items():
        scores[f"unclear_recall_by_{measure}"] = recall
    scores["suggestion_first"] = _share(counts, "suggestion.first", "suggestion.of")
    scores["suggestion_among_three"] = _share(counts, "suggestion.three", "suggestion.of")
    return scores


def role_table(counts: Counts) -> list[dict[str, Any]]:
    """Precision, recall and F1 of each role that gold or draft has."""
    roles = sorted({key.partition(":")[2] for key in counts if key.startswith(("role.gold:", "role.found:"))})
    table = []
    for role in roles:
        hit, gold, found = (counts[f"role.{kind}:{role}"] for kind in ("hit", "gold", "found"))
        precision, recall, f1 = _ratios(hit, gold, found)
        table.append({"role": role, "gold": int(gold), "precision": precision, "recall": recall, "f1": f1})
    return table


def flag_table(counts: Counts) -> list[dict[str, Any]]:
    """Per code: how often gold has it, how many of these were found, how many were raised, how many gold names."""
    codes = sorted({key.partition(":")[2] for key in counts if key.startswith("flag.")})
    return [
        {"code": code} | {kind: int(counts[f"flag.{kind}:{code}"]) for kind in ("gold", "hit", "raised", "named")}
        for code in codes
    ]


def reliability_table(counts: Counts) -> list[dict[str, Any]]:
    """Utterances by trust: how many, their mean trust, and the share of them that is clear."""
    table = []
    for index in range(BINS):
        count = counts[f"trust.n:{index}"]
        if count:
            table.append(
                {
                    "from": index / BINS,
                    "to": (index + 1) / BINS,
                    "utterances": int(count),
                    "mean_trust": counts[f"trust.sum:{index}"] / count,
                    "clear": counts[f"trust.clear:{index}"] / count,
                }
            )
    return table


def _prf(counts: Counts, name: str) -> tuple[float | None, float | None, float | None]:
    hit, gold, found = (counts[f"{name}.{kind}"] for kind in ("hit", "gold", "found"))
    return _ratios(hit, gold, found) if gold or found else (None, None, None)


def _ratios(hit: float, gold: float, found: float) -> tuple[float | None, float | None, float]:
    return hit / found if found else None, hit / gold if gold else None, 2 * hit / (gold + found)


def _share(counts: Counts, part: str, whole: str) -> float | None:
    return counts[part] / counts[whole] if counts[whole] else None


def _burden(counts: Counts, *groups: str) -> float | None:
    words = sum(counts[f"burden.{group}.words"] for group in groups)
    return 100 * sum(counts[f"burden.{group}.flags"] for group in groups) / words if words else None
