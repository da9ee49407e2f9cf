"""Decides when two acts, parts or conditions count as the same, and pairs them one to one."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from functools import cache
from importlib.resources import files
from pathlib import Path
from typing import Protocol

from rapidfuzz import fuzz

OBJECT_RATIO = 85.0
CONDITION_RATIO = 80.0
_PARTICLES = frozenset(["off", "out", "up", "away", "down", "back", "over", "in", "on", "apart"])


class PartLike(Protocol):
    """What two parts are compared by."""

    text: str
    quantity: int | None
    position: str | None


class VerbGroups:
    """Verbs that count as the same action: one group a line, comma between verbs, `#` starts a comment."""

    def __init__(self, text: str) -> None:
        self._groups: dict[str, set[int]] = {}
        for number, line in enumerate(text.splitlines()):
            for verb in line.partition("#")[0].split(","):
                if verb.strip():
                    self._groups.setdefault(_plain(verb), set()).add(number)

    def same(self, one: str, other: str) -> bool:
        """Same verb, its particle ignored, or both in one group."""
        one, other = _plain(one), _plain(other)
        if _bare(one) == _bare(other):
            return True
        return bool(self._groups.get(one, set()) & self._groups.get(other, set()))


@cache
def shipped_verb_groups() -> VerbGroups:
    """The groups that ship with the program (`lexicons/verb_groups.txt`)."""
    return VerbGroups(files("lexicons").joinpath("verb_groups.txt").read_text(encoding="utf-8"))


def verb_groups_for(folder: Path) -> VerbGroups:
    """The groups found beside the talks (`verb-groups.txt`), else the shipped ones."""
    beside = folder / "verb-groups.txt"
    return VerbGroups(beside.read_text(encoding="utf-8")) if beside.exists() else shipped_verb_groups()


def similar(one: str, other: str) -> bool:
    """Whether two names of parts count as the same (fuzzy ratio, letter case ignored)."""
    return fuzz.ratio(_plain(one), _plain(other)) >= OBJECT_RATIO


def same_quantity(one: int | None, other: int | None) -> bool:
    """Null and 1 agree."""
    return (1 if one is None else one) == (1 if other is None else other)


def pair_objects(gold: Sequence[PartLike], found: Sequence[PartLike]) -> list[tuple[int, int]] | None:
    """Pair all parts of two acts one to one; null if one of them has no partner."""
    if len(gold) != len(found):
        return None
    pairs = best_pairs(
        len(gold),
        len(found),
        lambda g, f: closeness(gold[g], found[f]) if similar(gold[g].text, found[f].text) else None,
    )
    return pairs if len(pairs) == len(gold) else None


def closeness(gold: PartLike, found: PartLike) -> float:
    """How well two parts agree beyond the name, 0 to 2: quantity and position. Decides between equal names."""
    position = fuzz.token_set_ratio(gold.position or "", found.position or "") / 100
    if not gold.position and not found.position:
        position = 1.0
    return same_quantity(gold.quantity, found.quantity) + position


def best_pairs(
    gold: int, found: int, weight: Callable[[int, int], float | None], alike: Iterable[tuple[int, int]] | None = None
) -> list[tuple[int, int]]:
    """As many one-to-one pairs as possible, the heaviest first; `weight` is null where two can't be a pair.

    `alike` limits the pairs that are tried. Returns (gold index, found index), by gold index.
    """
    tried = alike if alike is not None else ((g, f) for g in range(gold) for f in range(found))
    edges = [(value, g, f) for g, f in tried if (value := weight(g, f)) is not None]
    edges.sort(key=lambda edge: (-edge[0], edge[1], edge[2]))
    options: dict[int, list[int]] = {}
    for _, g, f in edges:
        options.setdefault(g, []).append(f)
    partner: dict[int, int] = {}  # found -> gold
    paired: set[int] = set()
    for _, g, f in edges:
        if g not in paired and f not in partner:
            partner[f] = g
            paired.add(g)

    def augment(g: int, seen: set[int]) -> bool:
        for f in options[g]:
            if f in seen:
                continue
            seen.add(f)
            if f not in partner or augment(partner[f], seen):
                partner[f] = g
                return True
        return False

    for g in sorted(options):
        if g not in paired and augment(g, set()):
            paired.add(g)
    return sorted((g, f) for f, g in partner.items())


def same_condition(gold: str, kind: str, values: Sequence[str], negated: bool) -> bool:
    """Whether a gold condition ("axis=value", "skip", "!axis=value") is the one found; the axis is not compared."""
    gold_negated = gold.startswith("!")
    _, _, value = gold.lstrip("!").partition("=")
    if gold_negated != negated:
        return False
    if not value:
        return gold.lstrip("!").strip() == kind
    if kind == "skip":
        return False
    return any(fuzz.token_set_ratio(_plain(value), _plain(one)) >= CONDITION_RATIO for one in values if one)


def _plain(text: str) -> str:
    return " ".join(text.lower().split())


def _bare(verb: str) -> str:
    words = verb.split()
    while len(words) > 1 and words[-1] in _PARTICLES:
        words.pop()
    return " ".join(words)
