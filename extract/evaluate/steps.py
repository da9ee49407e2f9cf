"""Compares steps: acts and their parts, counts, and the conditions that govern them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from extract.evaluate.context import Context, FoundPart, first, found_parts, name_act
from extract.evaluate.gold import GoldStep
from extract.evaluate.match import best_pairs, closeness, pair_objects, same_condition, same_quantity, similar


@dataclass(frozen=True, slots=True)
class _Found:
    step: Mapping[str, Any]
    parts: list[FoundPart]
    places: frozenset[int]

    @property
    def actions(self) -> tuple[str, ...]:
        return self.step["spoken_action"], self.step["action"]

    def __str__(self) -> str:
        return name_act(self.step["spoken_action"], self.parts)


def compare_steps(context: Context) -> None:
    """Count steps, quantities and conditions. An act matches with its verb and all of its parts."""
    gold = [(place, step) for place, one in enumerate(context.gold) for step in one.steps]
    found = [
        _Found(step, found_parts(step["objects"]), context.places(step["segments"])) for step in context.draft["steps"]
    ]

    def weight(g: int, f: int) -> float | None:
        place, step = gold[g]
        if place not in found[f].places or not _same_action(context, step.action, found[f].actions):
            return None
        pairs = pair_objects(step.objects, found[f].parts)
        if pairs is None:
            return None
        return sum(closeness(step.objects[a], found[f].parts[b]) for a, b in pairs)

    pairs = best_pairs(len(gold), len(found), weight)
    context.add("step", len(pairs), len(gold), len(found))
    for g, f in pairs:
        _quantities(context, *gold[g], found[f])
    _conditions(context, gold, found, dict(pairs))
    _unmatched(context, gold, found, pairs)


def _same_action(context: Context, gold: str, actions: Sequence[str]) -> bool:
    return any(context.verbs.same(gold, action) for action in actions)


def _quantities(context: Context, place: int, step: GoldStep, found: _Found) -> None:
    for a, b in pair_objects(step.objects, found.parts) or ():
        agree = same_quantity(step.objects[a].quantity, found.parts[b].quantity)
        context.counts["quantity.hit"] += agree
        context.counts["quantity.of"] += 1
        if not agree:
            context.error("wrong_quantity", place, name_act(step.action, step.objects), str(found))


def _conditions(
    context: Context, gold: list[tuple[int, GoldStep]], found: list[_Found], partner: dict[int, int]
) -> None:
    """Pairs of step and condition: those of steps without a partner are missed, or spurious, too."""
    of_found = [_governing(context.draft, one.step) for one in found]
    hits = 0
    for g, (place, step) in enumerate(gold):
        wanted = context.gold[place].when
        have = of_found[partner[g]] if g in partner else []
        pairs = best_pairs(
            len(wanted), len(have), lambda a, b, w=wanted, h=have: 1.0 if same_condition(w[a], *h[b]) else None
        )
        hits += len(pairs)
        if g not in partner:
            continue
        for a in set(range(len(wanted))) - {a for a, _ in pairs}:
            context.error("missed_condition", place, wanted[a], name_act(step.action, step.objects))
        for b in set(range(len(have))) - {b for _, b in pairs}:
            kind, values, negated = have[b]
            said = ("not " if negated else "") + (" or ".join(v for v in values if v) or kind)
            context.error("spurious_condition", place, name_act(step.action, step.objects), said)
    context.add("condition", hits, sum(len(context.gold[p].when) for p, _ in gold), sum(map(len, of_found)))


def _governing(draft: Mapping[str, Any], step: Mapping[str, Any]) -> list[tuple[str, list[str], bool]]:
    return [
        (one["kind"], [one["value"] or "", *one["values"], " or ".join(one["values"])], one["negated"])
        for one in draft["conditions"]
        if one["id"] in step["applies_when"] or step["id"] in one["steps"]
    ]


def _unmatched(
    context: Context, gold: list[tuple[int, GoldStep]], found: list[_Found], pairs: list[tuple[int, int]]
) -> None:
    """Name what is left over: an act with a wrong part, a part with a wrong act, or one that is missed or spurious."""
    left = [g for g in range(len(gold)) if g not in {g for g, _ in pairs}]
    over = [f for f in range(len(found)) if f not in {f for _, f in pairs}]

    def weight(a: int, b: int) -> float | None:
        (place, step), other = gold[left[a]], found[over[b]]
        if place not in other.places:
            return None
        shared = sum(any(similar(one.text, part.text) for part in other.parts) for one in step.objects)
        verb = _same_action(context, step.action, other.actions)
        return 2.0 * verb + shared if verb or shared else None

    halves = best_pairs(len(left), len(over), weight)
    for a, b in halves:
        (place, step), other = gold[left[a]], found[over[b]]
        kind = "wrong_object" if _same_action(context, step.action, other.actions) else "wrong_action"
        context.error(kind, place, name_act(step.action, step.objects), str(other))
    for a in set(range(len(left))) - {a for a, _ in halves}:
        place, step = gold[left[a]]
        context.error("missed_step", place, name_act(step.action, step.objects), "")
    for b in set(range(len(over))) - {b for _, b in halves}:
        context.error("spurious_step", first(found[over[b]].places), "", str(found[over[b]]))
