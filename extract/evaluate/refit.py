"""Compares the refit: its steps, their order, and what belongs at them."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from itertools import combinations
from typing import Any

from rapidfuzz import fuzz

from extract.evaluate.context import Context, FoundPart, found_parts, name_act
from extract.evaluate.entries import TorqueValue, draft_values
from extract.evaluate.gold import GoldRefit, GoldRefitStep
from extract.evaluate.match import CONDITION_RATIO, best_pairs, closeness, pair_objects, similar

#: A note is there if this share of its words stands in the refit step (each within the fuzzy ratio of parts).
NOTE_SHARE = 2 / 3
#: Flags that say of a removal step that its way back is open.
_OPEN_WAY_BACK = {"no_refit", "state_conflict"}
_SMALL_WORDS = frozenset(
    ["a", "an", "the", "of", "on", "in", "at", "to", "it", "its", "is", "are", "be", "that", "this", "and", "or", "so"]
    + ["with", "up", "out", "off", "down", "for", "by", "must", "may", "all"]
)
_VALUE = re.compile(r"(\d+(?:\.\d+)?)\s*(Nm|°|deg)", re.IGNORECASE)


def compare_refit(context: Context, refit: GoldRefit) -> None:
    """Count refit steps, pairs in the right order, and renewals, torques and notes at the right step."""
    gold = refit.steps
    found = context.draft["refit"]
    parts = [found_parts(step["objects"]) for step in found]

    def weight(g: int, f: int) -> float | None:
        if not context.verbs.same(gold[g].action, found[f]["action"]):
            return None
        pairs = pair_objects(gold[g].objects, parts[f])
        if pairs is None:
            return None
        apart = abs(g / max(1, len(gold)) - f / max(1, len(found)))
        return sum(closeness(gold[g].objects[a], parts[f][b]) for a, b in pairs) - apart

    pairs = best_pairs(len(gold), len(found), weight)
    context.add("refit", len(pairs), len(gold), len(found))
    for (_, f), (_, later) in combinations(pairs, 2):
        context.counts["order.agreeing"] += 1 if f < later else -1
        context.counts["order.pairs"] += 1
    partner = dict(pairs)
    for g, step in enumerate(gold):
        _belongings(context, step, found[partner[g]] if g in partner else None)
    _unmatched(context, gold, found, parts, pairs)


def compare_accounted(context: Context) -> None:
    """Count work steps of the draft that the refit undoes, or that are listed as not undone, or flagged."""
    undone = {step for one in context.draft["refit"] for step in one["undoes"]}
    settled = {one["step"] for one in context.draft["not_undone"]}
    flagged = {step for flag in context.raised if flag["code"] in _OPEN_WAY_BACK for step in flag["steps"]}
    for step in context.draft["steps"]:
        if step["done_before_camera"]:
            continue
        accounted = step["id"] in undone | settled | flagged
        context.counts["accounted.hit"] += accounted
        context.counts["accounted.of"] += 1
        if not accounted:
            place = min(context.places(step["segments"]), default=None)
            context.error("no_way_back", place, "", name_act(step["spoken_action"], found_parts(step["objects"])))


def _belongings(context: Context, gold: GoldRefitStep, found: Mapping[str, Any] | None) -> None:
    """Renewals, torques and notes that gold puts at a refit step; none is right where the step is missed."""
    renewals = [one for one in context.draft["renewals"] if found and one["id"] in found["renewals"]]
    torques = [one for one in context.draft["torques"] if found and one["id"] in found["torques"]]
    there = {
        "renewals": lambda text: any(similar(text, one["item"]) for one in renewals),
        "torques": lambda text: any(_same_torque(context, text, one) for one in torques),
        "notes": lambda text: found is not None and _has_note(text, found, torques),
    }
    for kind, is_there in there.items():
        for text in getattr(gold, kind):
            right = is_there(text)
            context.counts[f"refit_{kind}.hit"] += right
            context.counts[f"refit_{kind}.of"] += 1
            if not right:
                at = name_act(gold.action, gold.objects)
                context.error(f"refit_{kind}", None, f"{text} at: {at}", found["text"] if found else "no such step")


def _same_torque(context: Context, gold: str, torque: Mapping[str, Any]) -> bool:
    """Whether a torque is the one that gold names by value ("25 Nm", "90°"), document or words."""
    values = [
        TorqueValue(angle_deg=float(number)) if unit.lower() != "nm" else TorqueValue(float(number), float(number))
        for number, unit in _VALUE.findall(gold)
    ]
    if values:
        return any(value.fits(other) for value in values for other in draft_values(torque))
    if torque["stages"]:
        return False
    if any(one.reference and _alike(gold, one.reference) for utterance in context.gold for one in utterance.torques):
        return torque["reference"] is not None and _alike(gold, torque["reference"])
    # a requirement in words ("until it won't turn") has neither value nor document
    return torque["reference"] is None


def _alike(one: str, other: str) -> bool:
    one, other = (" ".join(re.findall(r"[a-z0-9]+", text.lower())) for text in (one, other))
    return fuzz.token_set_ratio(one, other) >= CONDITION_RATIO


def _has_note(gold: str, found: Mapping[str, Any], torques: Sequence[Mapping[str, Any]]) -> bool:
    texts = [note["text"] for note in found["notes"]] + [one["text"] for one in found["measures"]] + [found["text"]]
    texts += [one["order"] for one in torques if one["order"]]
    have = {word for text in texts for word in _words(text)}
    wanted = _words(gold)
    present = sum(any(similar(word, other) for other in have) for word in wanted)
    return present >= NOTE_SHARE * len(wanted)


def _words(text: str) -> list[str]:
    words = re.findall(r"[a-z0-9]+", text.lower())
    return [word for word in words if word not in _SMALL_WORDS] or words


def _unmatched(
    context: Context,
    gold: Sequence[GoldRefitStep],
    found: Sequence[Mapping[str, Any]],
    parts: list[list[FoundPart]],
    pairs: list[tuple[int, int]],
) -> None:
    left = [g for g in range(len(gold)) if g not in {g for g, _ in pairs}]
    over = [f for f in range(len(found)) if f not in {f for _, f in pairs}]

    def weight(a: int, b: int) -> float | None:
        shared = sum(any(similar(one.text, part.text) for part in parts[over[b]]) for one in gold[left[a]].objects)
        return float(shared) if shared else None

    halves = best_pairs(len(left), len(over), weight)
    for a, b in halves:
        one, other = gold[left[a]], found[over[b]]
        kind = "refit_wrong_object" if context.verbs.same(one.action, other["action"]) else "refit_wrong_action"
        context.error(kind, None, name_act(one.action, one.objects), name_act(other["action"], parts[over[b]]))
    for a in set(range(len(left))) - {a for a, _ in halves}:
        context.error("missed_refit", None, name_act(gold[left[a]].action, gold[left[a]].objects), "")
    for b in set(range(len(over))) - {b for _, b in halves}:
        context.error("spurious_refit", None, "", name_act(found[over[b]]["action"], parts[over[b]]))
