"""Reads the passages of published manuals and measures what the program finds in them."""

from __future__ import annotations

import tomllib
from collections import Counter
from collections.abc import Callable, Iterable, Sequence
from pathlib import Path

from extract import draft
from extract.evaluate.match import shipped_verb_groups, similar
from extract.lexicon import load
from extract.model import Draft

FOLDER = Path(__file__).parent


def entries(name: str, kind: str) -> list[dict]:
    """The entries of one of the files, each with document, place and address."""
    with (FOLDER / name).open("rb") as stream:
        found = tomllib.load(stream)[kind]
    for entry in found:
        assert entry["document"] and entry["place"] and entry["address"].startswith("http")
    return found


def draft_of(text: str, folder: Path) -> Draft:
    """The draft of a text as a talk without times."""
    path = folder / "passage.txt"
    path.write_text(text, encoding="utf-8")
    return draft(path)


def singular(name: str) -> str:
    """The name of a part in the singular."""
    return load().singular(name.lower())


def same_part(one: str, other: str) -> bool:
    """The same name, singular or plural ("nut" and "spindle nut" are not the same)."""
    return similar(singular(one), singular(other))


def acts_of(made: Draft) -> list[tuple[tuple[str, ...], str, int | None]]:
    """What the draft has the mechanic do: spoken steps of both halves of the job as (verbs, part, count)."""
    acts = [
        ((step.spoken_action, step.action), part.text, part.quantity) for step in made.steps for part in step.objects
    ]
    spoken = [step for step in made.refit if step.origin == "spoken"]
    return acts + [((step.action,), part.text, part.quantity) for step in spoken for part in step.objects]


def paired(expected: Sequence, found: Sequence, *rules: Callable) -> list[tuple[int, int]]:
    """Pairs expected and found entries one to one, first come first served; stricter rules go first."""
    pairs: dict[int, int] = {}
    for same in rules:
        for place, one in enumerate(expected):
            free = (index for index in range(len(found)) if index not in pairs.values())
            match = None if place in pairs else next((index for index in free if same(one, found[index])), None)
            if match is not None:
                pairs[place] = match
    return sorted(pairs.items())


def same_count(expected: Sequence, found: Sequence) -> bool:
    """Equal counts, the last entry of both; none printed is null."""
    return (expected[-1] or None) == found[-1]


def same_act(expected: Sequence, found: Sequence) -> bool:
    """The same verb (or one of its group) on the same part."""
    verbs = shipped_verb_groups()
    return any(verbs.same(expected[0], verb) for verb in found[0]) and same_part(expected[1], found[1])


def measure_passage(passage: dict, made: Draft) -> Counter:
    """Hits and totals of acts, counts, renewals and tightening values."""
    counts: Counter = Counter()
    acts, found = passage["acts"], acts_of(made)
    pairs = paired(acts, found, lambda one, other: same_act(one, other) and same_count(one, other), same_act)
    counts["acts"], counts["acts found"] = len(acts), len(pairs)
    parts = paired([act[1] for act in acts], [act[1] for act in found], same_part)
    counts["parts found"] = len(parts)
    counts["acts made"] = len([act for act in found if "discard" not in act[0]])
    for place, index in pairs:
        counts["counts"] += bool(acts[place][2])
        counts["counts found"] += bool(acts[place][2]) and same_count(acts[place], found[index])
    due = passage.get("discard", []) + passage.get("new", [])
    renewals = [renewal.item for renewal in made.renewals]
    counts["renewals"], counts["renewals found"] = len(due), len(paired(due, renewals, same_part))
    counts["renewals made"] = len(renewals)
    values = [stage for torque in made.torques for stage in (torque.stages or ())]
    values += [torque for torque in made.torques if not torque.stages and torque.value_nm is not None]
    tighten = passage.get("tighten", [])
    counts["values"], counts["values found"] = len(tighten), len(paired(tighten, values, _same_range))
    return counts


def _same_range(printed: dict, found) -> bool:
    low, high = getattr(found, "low_nm", None), getattr(found, "high_nm", None)
    if low is None or high is None:
        return False
    # Manuals round the bracketed newton metres to whole numbers.
    return abs(low - printed["low"]) <= 0.6 and abs(high - printed["high"]) <= 0.6


def share(counts: Counter, name: str) -> float:
    """Found of expected ("acts", "counts", "renewals", "values")."""
    return counts[f"{name} found"] / max(1, counts[name])


def kendall(order: Iterable[int]) -> float:
    """Kendall's tau of a sequence of places against their natural order; 1 for fewer than two."""
    places = list(order)
    pairs = [(a, b) for i, a in enumerate(places) for b in places[i + 1 :] if a != b]
    return 1.0 if not pairs else sum(1 if a < b else -1 for a, b in pairs) / len(pairs)
