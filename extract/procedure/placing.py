"""Where something said belongs in the refit: by name, by what a fastener holds, by the words around it, by nearness."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence

from extract.procedure.inverse import Effect
from extract.procedure.names import RIVAL_WORDS, PartName, agreement, content, part_name, rivals
from extract.procedure.units import Unit
from extract.wordforms import word_set

#: Least score of a name at which something belongs to a unit.
BELONGS = 0.5
#: Effects of acts on the machine itself; equipment and isolation carry no renewals or tightening values.
ON_PARTS = frozenset({"off", "destroyed", "loose", "parted", "moved", "drained", "back"})
#: Heads of parts that seal.
SEALS = word_set("gasket ring seal washer packing")
_NEAR = 0.3
_MOVEMENTS = frozenset({"back", "up", "down", "out", "over", "in", "on", "off"})
#: Characters before and after a new part in which the words say where it goes.
_BEFORE, _AFTER = 45, 60
#: Two heads with so many letters in common from the start may be one word misheard ("bush", "bushel").
_STEM = 4
_LEAST_RENEWAL = 0.44
#: Score of a name from which on a part that comes off later is meant all the same.
_SURE = 0.8


class UnitIndex:
    """Units by the words of their names, of their utterances and by their effect.

    The lists of units may grow while the index is in use; found units keep the order of the lists.
    """

    def __init__(self, *lists: Sequence[Unit]) -> None:
        self._lists = lists
        self._known = [0] * len(lists)
        self._named: defaultdict[str, dict[tuple[int, int], Unit]] = defaultdict(dict)
        self._told: defaultdict[str, dict[tuple[int, int], Unit]] = defaultdict(dict)
        self._effect: defaultdict[str, dict[tuple[int, int], Unit]] = defaultdict(dict)

    def find(self, named: Iterable[str] = (), told: Iterable[str] = (), effects: Iterable[Effect] = ()) -> list[Unit]:
        """The units with one of the words `named` in a name, `told` in their utterance, or with one of the effects.

        Every unit whose `name_score` for a name or `mentioned` for words is above 0 is among those `named` by them.
        """
        self._catch_up()
        found: dict[tuple[int, int], Unit] = {}
        for kept, keys in ((self._named, named), (self._told, told), (self._effect, effects)):
            for key in keys:
                if key in kept:
                    found |= kept[key]
        return [found[place] for place in sorted(found)]

    def _catch_up(self) -> None:
        for number, units in enumerate(self._lists):
            for at in range(self._known[number], len(units)):
                self._add((number, at), units[at])
            self._known[number] = len(units)

    def _add(self, place: tuple[int, int], unit: Unit) -> None:
        self._effect[unit.effect][place] = unit
        for word in unit.heads.union(*[name.all for name in unit.names]):
            self._named[word][place] = unit
        for word in unit.words:
            self._told[word][place] = unit


def name_score(name: PartName, unit: Unit) -> float:
    """How well a name stands for the parts of a unit, 0 to 1.

    Beside the name itself count: the part that a fastener holds ("carrier bolts"), a fastener named by its part
    ("wheel nuts" for the wheel), and words of the utterance in which the part came off ("the oil feed bolt").
    """
    best = 0.0
    for own in unit.names:
        if name.all.isdisjoint(own.all):
            continue
        score = agreement(name, own)
        if own.head == name.head:
            if score < 0.6 and name.qualifiers and not rivals(name.all, own.all):
                words = {word for word in name.qualifiers if not any(letter.isdigit() for letter in word)}
                score += 0.4 * len(words & unit.words) / max(1, len(words))
        elif score < BELONGS:
            score = max(score, _by_part(name, own))
        best = max(best, score)
    return best


def _by_part(name: PartName, own: PartName) -> float:
    """A thing named by the part that it sits on."""
    itself = own.qualifiers | {own.head}
    if rivals(name.all, own.all):
        return 0.0
    if own.head in name.place and itself <= name.all:
        return 0.66
    if own.head in name.place:
        return 0.6
    if own.head in name.qualifiers:
        return 0.56
    if name.qualifiers and name.qualifiers & own.qualifiers:
        return 0.4
    if not name.qualifiers and name.head in own.qualifiers:
        return 0.42  # "the unions" where only their union nuts have a step
    return 0.0


def nearness(utterance: int, unit: Unit) -> float:
    """Something said just after a part came off belongs to it rather than to one far back; never to a later one."""
    distance = utterance - unit.utterance
    return _NEAR / (1 + distance) if distance >= 0 else 0.02


def mentioned(unit: Unit, said: frozenset[str]) -> float:
    """How plainly an utterance names a part of the unit (its head, and words before it), 0 to 1."""
    best = 0.0
    if unit.heads.isdisjoint(said):
        return best
    for part in unit.parts:
        name = part_name(part.text)
        if name.head in said:
            # "Is put back into its holder" does not name the back rod.
            told = name.qualifiers & said - _MOVEMENTS
            known = len(told) / len(name.qualifiers) if name.qualifiers else 0.2
            best = max(best, 0.5 + 0.5 * known)
    return best


def best_unit(name: PartName, utterance: int, units: UnitIndex, *, least: float = BELONGS) -> Unit | None:
    """The unit that a name belongs to best; null where none agrees well enough."""
    scored = [
        (score + nearness(utterance, unit), unit)
        for unit in units.find(named=name.all)
        if unit.effect in ON_PARTS and (score := name_score(name, unit)) >= least
    ]
    return max(scored, key=lambda entry: entry[0])[1] if scored else None


def best_mentioned(said: frozenset[str], utterance: int, units: UnitIndex) -> Unit | None:
    """The unit whose part the words of an utterance name most plainly; null where they name none."""
    scored = [
        (score + nearness(utterance, unit), unit)
        for unit in units.find(named=said)
        if unit.effect in ON_PARTS and (score := mentioned(unit, said))
    ]
    return max(scored, key=lambda entry: entry[0])[1] if scored else None


def unit_of_renewal(
    item: str,
    position: str | None,
    utterance: int,
    said: str,
    units: Sequence[Unit],
    quantity: int | None,
    others: Sequence[str] = (),
) -> Unit | None:
    """The refit step at which a new part goes in.

    A part that came off itself is renewed where it is fitted; a seal or washer goes in with the part that the
    words name ("on the plug"), else with what came off just before. `others` are the other new parts of the
    same utterance: their names are no places.
    """
    name = part_name(item, position)
    bare = part_name(item)
    own = [
        (max(name_score(name, unit), 0.95 * name_score(bare, unit) if bare.head in unit.heads else 0.0), unit)
        for unit in units
        if unit.effect in ON_PARTS - {"drained"}
    ]
    same = [
        (score, unit)
        for score, unit in own
        if score >= 0.6
        and name.head in unit.heads
        and (score >= _SURE or unit.lead is None or unit.utterance <= utterance)
    ]  # a bare name that comes off only later is another part
    if same:
        agreeing = max(
            same,
            key=lambda entry: (
                round(entry[0] + nearness(utterance, entry[1]) + _count(quantity, entry[1]), 6),
                entry[1].lead or 0,
            ),
        )
        return agreeing[1]
    at = said.lower().find(part_name(item).head)
    near = said[max(0, at - _BEFORE) : at + _AFTER] if at >= 0 else said
    rest = content(near) - content(item) - frozenset().union(*(content(other) for other in others))
    has_rivals = bool(name.all & RIVAL_WORDS)
    best: tuple[float, int, Unit] | None = None
    for index, (score, unit) in enumerate(own):
        if unit.verb in ("run", "check", "inspect", "bleed", "pump"):
            continue
        if name.head in unit.heads:
            place = frozenset().union(*(own_name.place for own_name in unit.names))
            score += 0.4 + (0.3 if place & rest else 0.0)
        total = (
            score + mentioned(unit, rest) + 2 * nearness(utterance, unit) + _suits(name, unit) + _count(quantity, unit)
        )
        if any([_alike(name.head, own_name.head) for own_name in unit.names]):
            total += 0.5
        if has_rivals and rivals(name.all, frozenset().union(*[own_name.all for own_name in unit.names])):
            total -= 0.5
        if unit.lead is not None and unit.utterance > utterance:
            total -= 0.4
        if best is None or total > best[0]:
            best = (total, index, unit)
    return best[2] if best and best[0] >= _LEAST_RENEWAL else None


def _alike(one: str, other: str) -> bool:
    return one != other and min(len(one), len(other)) >= _STEM and (one.startswith(other) or other.startswith(one))


def _count(quantity: int | None, unit: Unit) -> float:
    if quantity is None or len(unit.parts) != 1 or unit.parts[0].quantity is None:
        return 0.0
    return 0.15 if unit.parts[0].quantity == quantity else -0.1


def _suits(name: PartName, unit: Unit) -> float:
    """Washers go with what is screwed, gaskets with what is bolted on (common practice, no source)."""
    screwed = unit.fastener or bool(
        unit.heads & {"plug", "union", "bolt", "fitting", "banjo", "sensor", "injector", "tap"}
    )
    if name.head == "washer":
        return 0.35 if screwed else 0.0
    if name.head in ("gasket", "ring", "seal", "joint"):
        return 0.0 if unit.fastener else 0.25
    return 0.0
