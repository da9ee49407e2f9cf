"""Compares what stands in utterances beside steps: boundaries, roles, renewals, torques and flags."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass

from extract.evaluate.context import Context, first
from extract.evaluate.gold import GoldTorque
from extract.evaluate.match import best_pairs, same_quantity, similar

#: Renewals, torques and flags may lie this many utterances off.
SLACK = 1


def compare_boundaries(context: Context) -> None:
    """Count utterance ends that fall on the same word; apart for punctuated and unpunctuated talks."""
    alignment = context.alignment
    closed = sum(bool(re.search(r"[.!?…][\"'”’)]*$", one.text)) for one in context.gold)
    group = "punctuated" if 2 * closed >= len(context.gold) else "unpunctuated"
    hits = len(alignment.gold_ends & alignment.draft_ends)
    found = len(alignment.draft_ends) + alignment.unplaced_ends
    for name in ("boundary", f"boundary_{group}"):
        context.add(name, hits, len(alignment.gold_ends), found)
    context.counts["text.agreement"] += alignment.agreement * len(alignment.gold_words)
    context.counts["text.words"] += len(alignment.gold_words)
    words = alignment.gold_words
    owner = [index for index, one in enumerate(context.gold) for _ in one.text.split()]
    for end in sorted(alignment.gold_ends - alignment.draft_ends):
        context.error("missed_boundary", owner[end], f"… {' '.join(words[max(0, end - 2) : end + 1])} |", "")
    for end in sorted(alignment.draft_ends - alignment.gold_ends):
        context.error("spurious_boundary", owner[end], "", f"… {' '.join(words[max(0, end - 2) : end + 1])} |")


def compare_roles(context: Context) -> None:
    """One vote per gold utterance: the role that holds most of its characters; and who is unclear."""
    segments = context.draft["segments"]
    garbled = {
        context.segment_index[segment]
        for flag in context.raised
        if flag["code"] == "garbled" and flag["state"] == "open"
        for segment in flag["segments"]
        if segment in context.segment_index
    }
    for place, one in enumerate(context.gold):
        votes: Counter[str] = Counter()
        doubted = 0
        for index, characters in context.alignment.segments(place).items():
            votes[segments[index]["role"]] += characters
            doubted += characters * (index in garbled)
        role = max(sorted(votes), key=votes.__getitem__) if votes else "none"
        context.counts["role.votes"] += 1
        context.counts["role.right"] += role == one.role
        context.counts[f"role.gold:{one.role}"] += 1
        context.counts[f"role.found:{role}"] += 1
        context.counts[f"role.hit:{one.role}"] += role == one.role
        if role != one.role:
            context.error(f"role {one.role} → {role}", place, one.role, role)
        _unclear(context, place, role == "unclear" or 2 * doubted > votes.total())


def _unclear(context: Context, place: int, found: bool) -> None:
    gold = context.gold[place].role == "unclear"
    context.add("unclear", gold and found, gold, found)
    context.counts["unclear.clear"] += not gold
    context.counts["unclear.false_alarm"] += found and not gold
    if gold and not found:
        context.error("missed_unclear", place, "unclear", "")
    elif found and not gold:
        context.error("spurious_unclear", place, "", "unclear")


def compare_renewals(context: Context) -> None:
    """Count renewals: item and kind must agree."""
    gold = [(place, one) for place, utterance in enumerate(context.gold) for one in utterance.renewals]
    found = [(context.places(one["segments"]), one) for one in context.draft["renewals"]]

    def weight(g: int, f: int) -> float | None:
        (place, one), (places, other) = gold[g], found[f]
        off = _off(place, places)
        if off is None or one.kind != other["kind"] or not similar(one.item, other["item"]):
            return None
        return same_quantity(one.quantity, other["quantity"]) - off

    pairs = best_pairs(len(gold), len(found), weight)
    context.add("renewal", len(pairs), len(gold), len(found))
    for g, f in pairs:
        (place, one), (_, other) = gold[g], found[f]
        agree = same_quantity(one.quantity, other["quantity"])
        context.counts["renewal_quantity.hit"] += agree
        context.counts["renewal_quantity.of"] += 1
        if not agree:
            name = f"{one.quantity} {one.item}"
            context.error("renewal_quantity", place, name, f"{other['quantity']} {other['item']}")
    for g in _rest(len(gold), (g for g, _ in pairs)):
        place, one = gold[g]
        context.error("missed_renewal", place, f"{one.kind}: {one.item}", "")
    for f in _rest(len(found), (f for _, f in pairs)):
        places, other = found[f]
        context.error("spurious_renewal", first(places), "", f"{other['kind']}: {other['item']}")


@dataclass(frozen=True, slots=True)
class TorqueValue:
    """A single tightening value: newton metres, or a range of them, or degrees; or nothing."""

    low_nm: float | None = None
    high_nm: float | None = None
    angle_deg: float | None = None

    def fits(self, other: TorqueValue) -> bool:
        """Within 0.5 Nm or 1 %, within 1 degree; a value inside the other's range fits."""
        if self.angle_deg is not None or other.angle_deg is not None:
            return self.angle_deg is not None is not other.angle_deg and abs(self.angle_deg - other.angle_deg) <= 1.0
        if self.low_nm is None or self.high_nm is None or other.low_nm is None or other.high_nm is None:
            return self.low_nm is other.low_nm is None
        leeway = max(0.5, 0.01 * self.low_nm)
        return self.low_nm <= other.high_nm + leeway and other.low_nm <= self.high_nm + leeway

    def __str__(self) -> str:
        if self.angle_deg is not None:
            return f"{self.angle_deg:g}°"
        if self.low_nm is None:
            return "no value"
        return f"{self.low_nm:g} Nm" if self.low_nm == self.high_nm else f"{self.low_nm:g}–{self.high_nm:g} Nm"


def gold_values(torque: GoldTorque) -> list[TorqueValue]:
    """The single values of an annotated torque, one empty entry where it has none."""
    stages = torque.stages or ((torque,) if torque.value_nm is not None or torque.angle_deg is not None else ())
    return _values((one.value_nm, one.value_nm, one.value_nm, one.angle_deg) for one in stages)


def draft_values(torque: dict) -> list[TorqueValue]:
    """The single values of a torque of the draft, one empty entry where it has none."""
    return _values(
        (one["value_nm"], one.get("low_nm"), one.get("high_nm"), one["angle_deg"]) for one in torque["stages"]
    )


def _values(stages: Iterable[tuple[float | None, float | None, float | None, float | None]]) -> list[TorqueValue]:
    values: list[TorqueValue] = []
    for value, low, high, angle in stages:
        low, high = (value, value) if value is not None else (low, high)
        if low is not None or high is not None:
            values.append(TorqueValue(high if low is None else low, low if high is None else high))
        if angle is not None:
            values.append(TorqueValue(angle_deg=angle))
    return values or [TorqueValue()]


def compare_torques(context: Context) -> None:
    """Count single values, wherever their joint; a requirement without a value counts as one entry."""
    gold = [
        (place, one.joint, value)
        for place, utterance in enumerate(context.gold)
        for one in utterance.torques
        for value in gold_values(one)
    ]
    found = [
        (context.places(one["segments"]), one["joint"], value)
        for one in context.draft["torques"]
        for value in draft_values(one)
    ]

    def weight(g: int, f: int) -> float | None:
        (place, joint, value), (places, other_joint, other) = gold[g], found[f]
        off = _off(place, places)
        if off is None or not value.fits(other):
            return None
        return (bool(joint) and similar(joint, other_joint)) - off

    pairs = best_pairs(len(gold), len(found), weight)
    context.add("torque", len(pairs), len(gold), len(found))
    for g in _rest(len(gold), (g for g, _ in pairs)):
        place, joint, value = gold[g]
        context.error("missed_torque", place, f"{joint}: {value}", "")
    for f in _rest(len(found), (f for _, f in pairs)):
        places, joint, value = found[f]
        context.error("spurious_torque", first(places), "", f"{joint}: {value}")


def compare_flags(context: Context) -> None:
    """Count gold flags found (each place of a flag answers for one), and raised flags that gold names."""
    found = []
    for flag in context.raised:
        segments = flag["segments"] or [
            segment
            for step in flag["steps"]
            if step in context.steps_by_id
            for segment in context.steps_by_id[step]["segments"]
        ]
        found.append((flag["code"], context.places(segments)))
    named = [(code, place) for place, one in enumerate(context.gold) for code in one.flags]
    places = [(code, place) for code, at in found for place in sorted(at)]

    def weight(g: int, f: int) -> float | None:
        (code, place), (other, at) = named[g], places[f]
        return None if code != other or abs(place - at) > SLACK else 1.0 - abs(place - at)

    hit = {g for g, _ in best_pairs(len(named), len(places), weight)}
    for g, (code, place) in enumerate(named):
        context.counts[f"flag.gold:{code}"] += 1
        context.counts[f"flag.hit:{code}"] += g in hit
        if g not in hit:
            context.error(f"missed_flag {code}", place, code, "")
    for (code, at), flag in zip(found, context.raised, strict=True):
        right = any(code == other and _off(place, at) is not None for other, place in named)
        context.counts[f"flag.raised:{code}"] += 1
        context.counts[f"flag.named:{code}"] += right
        if not right:
            context.error(f"unnamed_flag {code}", first(at), "", flag["message"])
    group = "flagged" if named else "unflagged"
    context.counts[f"burden.{group}.flags"] += len(found)
    context.counts[f"burden.{group}.words"] += len(context.alignment.gold_words)


def _off(place: int, places: frozenset[int]) -> int | None:
    """How many utterances something lies off its place; null if too far, or nowhere."""
    off = min((abs(place - at) for at in places), default=SLACK + 1)
    return off if off <= SLACK else None


def _rest(count: int, used: Iterable[int]) -> list[int]:
    taken = set(used)
    return [index for index in range(count) if index not in taken]
