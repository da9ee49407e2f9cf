"""The order of the refit: the removal backwards, groups kept together, the talk's own words leading.

Common practice, no source: a part goes on before the bolts that hold it; a sling comes off once the part is
secured; a fluid goes in once its plug is shut; an engine runs only with its battery, fuel and cooling water back.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from extract.procedure.names import content
from extract.procedure.steps import Act
from extract.procedure.told import Told
from extract.procedure.units import Unit
from extract.wordforms import word_set

_POWER = word_set("battery isolator fuse lead plug supply cock seacock fuel petrol diesel breaker mains terminal earth")
_TRAYS = word_set("tray pan basin bucket container vessel")
_RUNNING = word_set("run start test drive bump jog")
_SUPPLYING = frozenset({"switch on", "turn on", "plug in"})
_CLOSERS = word_set("plug tap cock petcock valve drain screw bung")
#: Removal acts within this distance of a drained fluid closed its outlet.
_BESIDE = 2


def arrange(units: Sequence[Unit], told: Told, acts: Sequence[Act], mates: Mapping[int, Unit]) -> list[Unit]:
    """All units and extra steps in working order; `mates` gives the part that a seal lies under, by the unit's id."""
    order = sorted(units, key=lambda unit: _rank(unit, acts), reverse=True)
    _fasteners(order)
    _seals(order, mates)
    _slings(order, acts)
    _fluids(order, acts)
    line = _Line(order)
    for unit in told.extra:
        line.insert(unit, told)
    for first, second in told.edges:
        line.bind(first, second)
    _last(order, told)
    _trays(order)
    _powered(order)
    return order


def _rank(unit: Unit, acts: Sequence[Act]) -> float:
    """The place in the removal; what was isolated or propped before the film came first, whenever it is told."""
    lead = unit.lead if unit.lead is not None else 0
    place = lead + unit.rank
    before = acts[lead].action.done and (unit.effect in ("isolated", "held") or bool(unit.heads & {"battery", "fuse"}))
    return place - (len(acts) if before else 0)


def _move(order: list[Unit], unit: Unit, index: int) -> None:
    """Move a unit so that it stands before what stands at `index` now."""
    old = order.index(unit)
    order.pop(old)
    order.insert(index - 1 if old < index else index, unit)


def _fasteners(order: list[Unit]) -> None:
    """Fasteners that were out long before their part came off go in right after it."""
    for unit in list(order):
        if unit.effect != "off":
            continue
        for fastener in sorted(unit.held_by, key=lambda one: order.index(one)):
            between = order[order.index(unit) + 1 : order.index(fastener)]
            apart = any(
                not one.fastener and not one.seal and one.effect in ("off", "parted", "moved") for one in between
            )
            if apart and fastener.effect in ("off", "destroyed") and not _secures_a_pin(fastener, order):
                _move(order, fastener, _end_of_group(order, unit) + 1)


def _secures_a_pin(fastener: Unit, order: Sequence[Unit]) -> bool:
    """A split pin that came out just before another pin or nut goes in after it, whatever these hold."""
    split = any(name.qualifiers & {"split", "cotter"} for name in fastener.names)
    return split and any(one.fastener and one is not fastener and one.lead == (fastener.lead or 0) + 1 for one in order)


def _end_of_group(order: Sequence[Unit], unit: Unit) -> int:
    """Index of the last of the unit and the fasteners that follow it without a gap."""
    index = order.index(unit)
    while index + 1 < len(order) and order[index + 1].holds is unit:
        index += 1
    return index


def _seals(order: list[Unit], mates: Mapping[int, Unit]) -> None:
    for seal in [unit for unit in order if id(unit) in mates]:
        mate = mates[id(seal)]
        if mate in order and order.index(seal) != order.index(mate) - 1:
            _move(order, seal, order.index(mate))


def _slings(order: list[Unit], acts: Sequence[Act]) -> None:
    """A sling or a jack is taken away once the part that it carries is secured."""
    for sling in [unit for unit in order if unit.effect in ("equipped", "held")]:
        act = acts[sling.lead or 0].action
        toward = content(act.objects[0].direction) if act.objects else frozenset()
        named = toward if sling.effect == "equipped" else sling.heads
        mounted = sling.effect == "equipped" and sling.verb == "take off"
        came_off = [
            one for one in order if one.effect == "off" and one.heads & named and (one.lead or 0) > (sling.lead or 0)
        ]
        if mounted and came_off:
            # The puller sits on what it drew off: it is gone before that goes back.
            if order.index(sling) > order.index(came_off[0]):
                _move(order, sling, order.index(came_off[0]))
            continue
        for part in order:
            if part is not sling and part.effect == "off" and part.heads & named and not part.fastener:
                end = _end_of_group(order, part)
                if order.index(part) < order.index(sling) < end or order.index(sling) < order.index(part):
                    _move(order, sling, end + 1)
                break


def _tilted(unit: Unit, acts: Sequence[Act]) -> bool:
    return any(acts[number].action.verb in ("tip", "tilt", "lean") for number in unit.acts)


def _fluids(order: list[Unit], acts: Sequence[Act]) -> None:
    """Fill once the outlet through which the fluid ran is shut again, and the machine stands level."""
    for fill in [unit for unit in order if unit.effect == "drained"]:
        shut = [
            order.index(one)
            for one in order
            if one is not fill
            and one.lead is not None
            and fill.lead is not None
            and (
                0 <= fill.lead - one.lead <= _BESIDE
                and one.heads & _CLOSERS
                or _tilted(one, acts)
                and one.lead < fill.lead
            )
        ]
        if shut and _from_below(fill):
            _move(order, fill, min(shut))
        elif shut and max(shut) > order.index(fill):
            _move(order, fill, max(shut) + 1)


def _from_below(fill: Unit) -> bool:
    """What is filled in through a hole until it runs out of another one goes in before the holes are shut."""
    ways = [way for act in fill.told for one in act.objects for way in (one.direction, one.position) if way]
    return any(act.until for act in fill.told) and any(
        way.startswith("through ") and content(way) & {"hole", "port", "opening"} for way in ways
    )


class _Line:
    """The order while the talk's own words are worked in."""

    def __init__(self, order: list[Unit]) -> None:
        self.order = order

    def insert(self, unit: Unit, told: Told) -> None:
        """Put an extra step where the words place it: before or after a unit, else near the end."""
        order = self.order
        before = told.precedes.get(id(unit))
        after = told.follows.get(id(unit))
        if before is not None and before in order:
            order.insert(self._start(before), unit)
        elif after is not None and after in order:
            order.insert(self._after_told(after, unit), unit)
        elif unit.told and unit.told[0].sense in ("run", "inspect", "measure"):
            order.append(unit)
        else:
            order.insert(_closing(order), unit)

    def bind(self, first: Unit, second: Unit) -> None:
        """Make `second` come after `first`."""
        order = self.order
        if first not in order or second not in order or order.index(first) < order.index(second):
            return
        block = self._block(second)
        if first in block:
            return
        if first.lead is None and second.lead is not None:
            # What has no place in the removal gives way.
            order.remove(first)
            order.insert(self._start(second), first)
            return
        for one in block:
            order.remove(one)
        at = self._after(first)
        order[at:at] = block

    def _start(self, unit: Unit) -> int:
        index = self.order.index(unit)
        while index > 0 and self.order[index - 1].seal and self.order[index - 1].lead is not None:
            index -= 1
        return index

    def _after(self, unit: Unit) -> int:
        index = _end_of_group(self.order, unit) + 1
        while (
            index < len(self.order) and self.order[index].lead is None and self.order[index].utterance == unit.utterance
        ):
            index += 1
        return index

    def _after_told(self, first: Unit, unit: Unit) -> int:
        """Behind a step, and behind the extra steps told before `unit` that stand there already."""
        index = self._after(first)
        while index < len(self.order) and self._told_before(self.order[index], unit):
            index += 1
        return index

    @staticmethod
    def _told_before(one: Unit, unit: Unit) -> bool:
        return one.lead is None and bool(one.told) and one.utterance < unit.utterance

    def _block(self, unit: Unit) -> list[Unit]:
        """A unit with the seals before it and the fasteners after it."""
        start, end = self._start(unit), _end_of_group(self.order, unit)
        return self.order[start : end + 1]


def _closing(order: Sequence[Unit]) -> int:
    """Index at which the machine is complete and only supplies and supports are left to be restored."""
    index = len(order)
    while index > 0 and order[index - 1].effect in ("isolated", "held") and not order[index - 1].told:
        index -= 1
    return index


def _last(order: list[Unit], told: Told) -> None:
    chosen = [unit for unit in dict.fromkeys([*told.before_start, *told.last]) if unit in order]
    for unit in chosen:
        order.remove(unit)
    at = _closing(order)
    order[at:at] = chosen


def _trays(order: list[Unit]) -> None:
    """A tray stays until the last fluid is in."""
    wet = [index for index, unit in enumerate(order) if unit.effect == "drained" or _handles_fluid(unit)]
    for tray in [unit for unit in order if unit.effect == "equipped" and unit.heads & _TRAYS]:
        if wet and max(wet) > order.index(tray) and not tray.told:
            _move(order, tray, max(wet) + 1)


def _handles_fluid(unit: Unit) -> bool:
    return unit.lead is None and unit.verb.split()[0] in ("bleed", "fill", "top", "pour", "pump", "refill", "prime")


def _runs(unit: Unit) -> bool:
    """Runs the machine; a bead of sealant is run without its power."""
    matter = any(one.kind in ("fluid", "material") for act in unit.told for one in act.objects)
    return unit.lead is None and unit.verb.split()[0] in _RUNNING and not matter


def _unlocked(order: list[Unit]) -> None:
    """Tag and lock come off together, before anything is run by its own power."""
    locks = [unit for unit in order if unit.effect == "isolated" and unit.verb in ("remove", "unlock")]
    tags = [unit for unit in order if unit.effect == "isolated" and unit.verb == "take down" and not unit.told]
    for tag in tags:
        if locks and order.index(tag) > order.index(locks[0]):
            _move(order, tag, order.index(locks[0]))
    for run in [unit for unit in order if _runs(unit)][:1]:
        for unit in [*tags, *locks]:
            if order.index(unit) > order.index(run) and not unit.told:
                _move(order, unit, order.index(run))


def _powered(order: list[Unit]) -> None:
    """Battery, fuel and cooling water are back before anything runs."""
    _unlocked(order)
    for run in [unit for unit in order if _runs(unit)]:
        for unit in order[order.index(run) + 1 :]:
            needed = unit.effect in ("parted", "isolated", "off", "drained") and unit.heads & _POWER and not unit.told
            needed = needed or unit.effect == "isolated" and unit.verb in _SUPPLYING and not unit.told
            if needed and unit.verb != "enable" and "start" not in unit.heads:
                _move(order, unit, order.index(run))
