"""What the removal leaves to be undone: one unit for each refit step that follows from it.

Acts on the same part that belong together are one unit (straighten and pull out the split pin; prise off the
track and slide it back; lift the drive out and set it on the bench). Acts that the work itself undoes again
(slacken, then tighten the locknut) leave no unit.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace

from extract.lexicon import Lexicon
from extract.model import NotUndone, Part
from extract.procedure.inverse import Effect, Undoing, is_fastener, is_seal, undoing
from extract.procedure.inverse_words import CLAMPING, LINES, WIRED
from extract.procedure.names import PartName, content, part_name
from extract.procedure.steps import Act
from extract.speech import Action, Mention
from extract.wordforms import word_set

#: How much an effect says about what has to be done on refit; of two acts on one part the stronger leads.
_STRENGTH: dict[Effect, int] = {
    "destroyed": 9, "off": 8, "drained": 7, "parted": 6, "held": 5, "moved": 4, "loose": 3, "covered": 2, "equipped": 2,
    "isolated": 2, "stowed": 1, "back": 0, "none": 0,
}  # fmt: skip
_TAKEN = frozenset({"off", "destroyed"})
_ANY = frozenset(_STRENGTH)
#: What an act of the work that puts something back can settle: nobody connects what is loose, or fills what is off.
_RESTORES: dict[str, frozenset[Effect]] = {
    "tighten": frozenset({"loose", "off"}),
    "close": frozenset({"parted", "moved", "isolated"}),
    "fill": frozenset({"drained"}),
    "connect": frozenset({"off", "parted", "moved", "loose"}),
}
_JOIN = frozenset({"off", "destroyed", "loose", "parted", "moved", "held", "stowed", "drained"})


@dataclass(slots=True, eq=False)
class Unit:
    """One refit step in the making.

    `acts` are the removal acts that it undoes (by number), `lead` the one that decides its object and place;
    both are empty and null for a step that only exists on refit. `told` are the acts of the talk's own refit
    that say it, `words` the content words of the utterances that it comes from. `holds` is the part that a
    fastener holds, `broken` says that what came off cannot be used again, `substitutes` names what goes in instead;
    `rank` orders parts that one act took off.
    """

    effect: Effect
    verb: str
    parts: list[Part]
    rule: str
    utterance: int
    acts: list[int] = field(default_factory=list)
    lead: int | None = None
    conditions: tuple[str, ...] = ()
    equipment: str | None = None
    fastener: bool = False
    seal: bool = False
    fluid: bool = False
    told: list[Action] = field(default_factory=list)
    words: frozenset[str] = frozenset()
    holds: Unit | None = None
    held_by: list[Unit] = field(default_factory=list)
    rank: float = 0.0
    known_names: tuple[list[Part], Unit | None, int, list[PartName]] | None = field(default=None, repr=False)
    known_heads: tuple[list[Part], frozenset[str]] | None = field(default=None, repr=False)
    broken: bool = False
    substitutes: list[PartName] = field(default_factory=list)

    @property
    def names(self) -> list[PartName]:
        """The names of its parts, with their place, and with the part that they hold.

        Kept until the parts, what they hold or the substitutes change; lists of parts are replaced, never altered.
        """
        known = self.known_names
        if (
            known is None
            or known[0] is not self.parts
            or known[1] is not self.holds
            or known[2] != len(self.substitutes)
        ):
            self.known_names = known = (self.parts, self.holds, len(self.substitutes), self._names())
        return known[3]

    def _names(self) -> list[PartName]:
        held = frozenset[str]()
        if self.holds is not None:
            held = held.union(*(part_name(part.text).all for part in self.holds.parts))
        found = []
        for part in self.parts:
            name = part_name(part.text, " ".join(filter(None, (part.position, part.direction))) or None)
            found.append(PartName(name.head, name.qualifiers, name.place | held) if held else name)
        return found + self.substitutes

    @property
    def heads(self) -> frozenset[str]:
        """The head nouns of its parts, kept until the parts change."""
        known = self.known_heads
        if known is None or known[0] is not self.parts:
            self.known_heads = known = (self.parts, frozenset([part_name(part.text).head for part in self.parts]))
        return known[1]


@dataclass(slots=True)
class Removal:
    """What is to be undone, in the order of the removal, and what is not, with the reason."""

    units: list[Unit]
    not_undone: list[NotUndone]


def removal_units(acts: Sequence[Act], lexicon: Lexicon, said: Sequence[str]) -> Removal:
    """Units of a removal. `said` gives the words of each utterance."""
    return _Collector(acts, lexicon, said).collect()


class _Collector:
    def __init__(self, acts: Sequence[Act], lexicon: Lexicon, said: Sequence[str]) -> None:
        self.acts = acts
        self.lexicon = lexicon
        self.said = said
        self.units: list[Unit] = []
        self.reasons: dict[int, str] = {}
        self.tracked = self._track()
        self.live: dict[str, list[Unit]] = {}

    def _track(self) -> dict[str, str]:
        """Part id of each object → id of the part's first mention."""
        return {part.id: part.same_as or part.id for act in self.acts for part in act.step.objects}

    def collect(self) -> Removal:
        for number, act in enumerate(self.acts):
            keys = [self.tracked[part.id] for part in act.step.objects]
            is_off = bool(keys) and all(self._off(key) for key in keys)
            self._take(number, act, keys, undoing(act.action, self.lexicon, is_off=is_off))
        self._hold()
        settled = [
            NotUndone(step=self.acts[number].step.id, reason=reason) for number, reason in sorted(self.reasons.items())
        ]
        return Removal(self.units, settled)

    def _off(self, key: str) -> bool:
        return any(unit.effect in ("off", "destroyed") for unit in self.live.get(key, ()))

    def _blanked(self, act: Act, keys: list[str], left: Undoing) -> Undoing:
        """Hoses that are closed once they are disconnected are plugged; nothing is put back."""
        apart = [unit for key in keys for unit in self.live.get(key, ()) if unit.effect in ("off", "parted")]
        open_again = any(self.acts[unit.lead or 0].action.sense in ("open", "uncover", "unclip") for unit in apart)
        ported = any(unit.heads & (LINES | _PORTS) for unit in apart)
        if left.effect == "back" and act.action.sense == "close" and ported and not open_again:
            return replace(left, effect="covered", verb="unplug")
        return left

    def _take(self, number: int, act: Act, keys: list[str], left: Undoing) -> None:
        left = self._blanked(act, keys, left)
        undone = [unit for key in keys for unit in self.live.get(key, ()) if unit.effect in ("loose", "parted")]
        if left.effect == "held" and act.action.verb == "hang" and undone:
            # "Undo the guard and hang it on the frame": it is off. What was opened and hung up is closed again.
            opened = all(self.acts[unit.lead or 0].action.sense == "open" for unit in undone)
            left = replace(left, effect="stowed" if opened else "off", verb="fit")
        if left.effect == "none":
            self.reasons[number] = left.reason or "There is nothing to put back."
            return
        if left.effect == "back":
            self._restored(number, act, keys, left)
            return
        shut = [unit for key in keys for unit in self.live.get(key, ()) if unit.effect == "isolated"]
        if shut and act.action.sense in ("open", "release"):
            self._restored(number, act, keys, replace(left, reason=f"It undoes step {self._number(shut[0])}."))
            return
        if left.effect == "drained" and self._out_of_what_is_off(act):
            self.reasons[number] = "It ran out of a part that is off the machine."
            return
        kinds = {mention.kind for mention in act.action.objects}
        if left.effect == "off" and kinds and kinds <= {"tool", "material"} and not self._part_of_it(act):
            self._taken_away(number, keys)
            return
        unit = self._joined(number, act, keys, left)
        if unit is None:
            effect: Effect = "off" if left.effect == "stowed" else left.effect
            unit = self._unit(number, act, left, effect)
            known = self._continued(number, act, keys, left) if len(set(keys)) > 1 else frozenset()
            unit.parts = [part for part in unit.parts if part.id not in known] if known else unit.parts
            if unit.parts or not known:
                self.units.extend(self._apart(unit, act))
        for key, part in zip(keys, act.step.objects, strict=True):
            mine = self.live.setdefault(key, [])
            for one in self.units[-len(keys) :] if unit not in self.units else [unit]:
                if one not in mine and (one is unit or any(part.id == own.id for own in one.parts)):
                    mine.append(one)

    def _out_of_what_is_off(self, act: Act) -> bool:
        way = next((part.direction for part in act.step.objects if part.direction), None) or ""
        return way.startswith(("out of ", "from ")) and any(
            unit.effect == "off" and unit.heads & content(way) for unit in self.units
        )

    def _continued(self, number: int, act: Act, keys: list[str], left: Undoing) -> frozenset[str]:
        """Objects that an act before began to take off in other words ("unscrew the locknut", then "take off …")."""
        known = set()
        if left.effect not in ("off", "destroyed"):
            return frozenset()
        for key, part in zip(keys, act.step.objects, strict=True):
            for unit in reversed(self.live.get(key, ())):
                said = {self.acts[before].step.spoken_action for before in unit.acts}
                begun = unit.effect in ("off", "loose") and unit.conditions == act.step.applies_when
                if begun and act.step.spoken_action not in said and len(unit.parts) == 1:
                    unit.acts.append(number)
                    unit.effect, unit.verb = "off", "fit" if unit.effect == "loose" else unit.verb
                    known.add(part.id)
                    break
        return frozenset(known)

    def _apart(self, unit: Unit, act: Act) -> list[Unit]:
        """Bolts, washers and the part that they hold, taken off in one act, go back one after the other."""
        kept = {part.id for part in unit.parts}
        pairs = zip(act.step.objects, act.action.objects, strict=True)
        mentions = [mention for part, mention in pairs if part.id in kept]
        loose = [is_fastener(mention) or is_seal(mention) for mention in mentions]
        if len(unit.parts) > 2 and not any(loose) and unit.effect in _TAKEN:
            # "Lift away the cover, the chain and the bar": the last named lies deepest.
            unit.parts = unit.parts[::-1]
        bolted = any(is_fastener(mention) for mention in mentions)
        if len(unit.parts) < 2 or len(unit.parts) != len(mentions) or not bolted or unit.effect not in _TAKEN:
            return [unit]
        return [
            replace(
                unit,
                parts=[part],
                acts=list(unit.acts),
                told=[],
                held_by=[],
                substitutes=[],
                fastener=is_fastener(mention),
                seal=is_seal(mention),
                rank=index / (len(mentions) + 1),
            )
            for index, (part, mention) in enumerate(zip(unit.parts, mentions, strict=True))
        ]

    def _unit(self, number: int, act: Act, left: Undoing, effect: Effect) -> Unit:
        objects = act.action.objects
        parts = [_own_place(part, mention, effect) for part, mention in zip(act.step.objects, objects, strict=True)]
        if left.equipment:
            parts = [
                parts[0].model_copy(
                    update={"text": left.equipment, "quantity": None, "position": None, "direction": None}
                )
            ]
        return Unit(
            effect=effect,
            verb=left.verb,
            parts=parts,
            rule=left.rule,
            utterance=act.utterance,
            acts=[number],
            lead=number,
            conditions=act.step.applies_when,
            equipment=left.equipment,
            fastener=bool(objects) and all(is_fastener(mention) for mention in objects),
            seal=bool(objects) and all(is_seal(mention) for mention in objects),
            fluid=bool(objects) and all(mention.kind == "fluid" for mention in objects),
            words=content(self.said[act.utterance]),
            broken=effect == "destroyed",
        )

    def _restored(self, number: int, act: Act, keys: list[str], left: Undoing) -> None:
        """An act of the work that puts something back: it settles what stood open on the same part."""
        sense = act.action.sense
        self.reasons[number] = left.reason or "It is part of the work."
        for key in keys:
            for unit in list(self.live.get(key, ())):
                if unit.effect in ("equipped", "held", "covered"):
                    continue
                if unit.effect == "isolated" and sense not in ("restore", "open", "release"):
                    continue
                if unit.effect not in _RESTORES.get(sense, _ANY):
                    continue
                if len({self.tracked[part.id] for part in unit.parts}) > len(keys):
                    continue
                self._settle(unit, f"The work itself undoes it in step {act.step.number}.")

    def _part_of_it(self, act: Act) -> bool:
        """True for parts that are called like tools ("the handle socket") and were not brought in for the job."""
        heads = {part_name(mention.text).head for mention in act.action.objects}
        keys = [self.tracked[part.id] for part in act.step.objects]
        brought = any(unit.effect == "equipped" for key in keys for unit in self.live.get(key, ()))
        return heads <= _TOOL_OR_PART and not brought

    def _number(self, unit: Unit) -> int:
        return self.acts[unit.acts[0]].step.number

    def _taken_away(self, number: int, keys: list[str]) -> None:
        """A tool that is taken away: what was brought in by an earlier step is gone again."""
        self.reasons[number] = "A tool is taken away; nothing is left to undo."
        for key in keys:
            for unit in list(self.live.get(key, ())):
                if unit.effect in ("equipped", "covered", "held"):
                    self._settle(unit, f"The work itself undoes it in step {self.acts[number].step.number}.")

    def _settle(self, unit: Unit, reason: str) -> None:
        if unit in self.units:
            self.units.remove(unit)
        for number in unit.acts:
            # An act that took off several parts is settled once all of them are back.
            if not any(number in other.acts for other in self.units):
                self.reasons[number] = reason
        for units in self.live.values():
            if unit in units:
                units.remove(unit)

    def _joined(self, number: int, act: Act, keys: list[str], left: Undoing) -> Unit | None:
        """The open unit of the same part that this act belongs to, if there is one."""
        if left.effect not in _JOIN or left.equipment:
            return None
        if len(set(keys)) > 1 and not self._together(keys):
            return None
        for key in keys:
            for unit in reversed(self.live.get(key, ())):
                if unit.effect not in _JOIN or unit.equipment or unit.conditions != act.step.applies_when:
                    continue
                if self._stayed_on(unit, left, number):
                    unit.effect, unit.verb = "loose", "tighten"
                    continue
                if not self._belongs(unit, act, left, number):
                    continue
                unit.acts.append(number)
                if {unit.effect, left.effect} == {"held", "moved"}:
                    unit.verb, left = "lower", replace(left, verb="lower")
                if _STRENGTH[left.effect] > _STRENGTH[unit.effect]:
                    self._promote(unit, number, act, left)
                unit.broken = unit.broken or left.effect == "destroyed"
                unit.words |= content(self.said[act.utterance])
                return unit
        return None

    def _stayed_on(self, unit: Unit, left: Undoing, number: int) -> bool:
        """A gland that is unscrewed, comes out with its rod and is slid off it later goes on the rod, then is screwed in."""
        unscrewed = self.acts[unit.acts[-1]].action.verb in ("unscrew", "undo", "screw", "spin", "wind")
        if not unscrewed or unit.fastener or left.effect != "off" or unit.effect not in ("off", "loose"):
            return False
        between = (other for other in self.units if other.lead is not None and (unit.lead or 0) < other.lead < number)
        return any(other.effect == "off" and not other.fastener and not other.seal for other in between)

    def _together(self, keys: list[str]) -> bool:
        """True if one open unit holds all these parts; else the act takes off something that no unit has yet."""
        shared = [{id(unit) for unit in self.live.get(key, ())} for key in keys]
        return bool(set.intersection(*shared))

    def _belongs(self, unit: Unit, act: Act, left: Undoing, number: int) -> bool:
        lifted = self.acts[unit.lead or 0].action.sense in ("raise", "support") or unit.effect == "held"
        if lifted and left.effect in ("off", "destroyed") and self.units[-1] is not unit:
            return False
        if left.verb in ("turn back", "untie"):
            return False
        if unit.effect == "parted" and left.effect == "off" and self._plugged(unit):
            return False  # "unplug the fan and lift it off": it is fitted, then plugged in
        if left.effect == "off" and unit.effect == "off":
            # The belt comes off the pulleys, later off the door hanger: two acts, each to be undone.
            before, now = _from(unit.parts), _from(act.step.objects)
            return not (before and now and before != now)
        if left.effect in ("loose", "parted", "moved") and unit.effect in ("off", "destroyed"):
            return left.effect == "moved"
        if unit.effect == "loose" and left.effect in ("off", "destroyed"):
            # Nuts that are slackened on the ground and wound off in the air are tightened on the ground again.
            between = (other for other in self.units if other.lead is not None and unit.lead < other.lead < number)
            return not any(other.effect in ("held", "moved") and not other.fastener for other in between)
        if "held" in (unit.effect, left.effect) and not {unit.effect, left.effect} <= {"held", "moved"}:
            return False
        if "drained" in (unit.effect, left.effect) or {unit.effect, left.effect} <= {"parted", "loose"}:
            return unit.effect == left.effect
        return True

    def _plugged(self, unit: Unit) -> bool:
        """True for a part with a plug of its own; a lead or a hose that is disconnected is off with that."""
        unplugged = self.acts[unit.lead or 0].action.verb in ("unplug", "disconnect")
        return unplugged and not unit.heads & (LINES | WIRED | CLAMPING | {"plug", "battery"})

    def _promote(self, unit: Unit, number: int, act: Act, left: Undoing) -> None:
        known = {self.tracked[part.id]: part for part in unit.parts}
        parts = []
        for part, mention in zip(act.step.objects, act.action.objects, strict=True):
            part = _own_place(part, mention, left.effect)
            before = known.get(self.tracked[part.id])
            fuller = {}
            if before is not None:
                fuller = {
                    "quantity": part.quantity if part.quantity is not None else before.quantity,
                    "position": part.position or before.position,
                    "text": before.text if len(before.text) > len(part.text) else part.text,
                }
            parts.append(part.model_copy(update=fuller))
        effect: Effect = "off" if left.effect == "stowed" else left.effect
        unit.effect, unit.verb, unit.rule = effect, left.verb, left.rule
        unit.parts, unit.lead, unit.utterance = parts, number, act.utterance
        objects = act.action.objects
        unit.fastener = bool(objects) and all(is_fastener(mention) for mention in objects)

    def _hold(self) -> None:
        """Which part each fastener holds: the part whose place it names, else the next part that comes away.

        A part that comes away without fasteners of its own takes bolts and nuts that were left over before.
        """
        waiting: list[Unit] = []
        since: list[Unit] = []
        for unit in sorted(self.units, key=lambda unit: (unit.lead or 0) + unit.rank):
            if _is_fixing(unit):
                waiting.append(unit)
                since.append(unit)
                continue
            hung = unit.effect == "held" and self.acts[unit.lead or 0].action.verb == "hang"
            if unit.effect not in ("off", "parted", "moved", "destroyed") and not hung or unit.seal or unit.fluid:
                continue
            named = [one for one in waiting if any(unit.heads & (name.qualifiers | name.place) for name in one.names)]
            own = any(one.utterance == unit.utterance for one in since)
            mine = named + [one for one in since if one not in named and self._direct(one, unit, own)]
            if not mine and unit.effect == "off":
                mine = [one for one in waiting if _left_over(one, unit)]
            for one in mine:
                one.holds = unit
                unit.held_by.append(one)
                waiting.remove(one)
            out = any(one.effect in _TAKEN for one in mine)
            if out and unit.effect == "held" and self.acts[unit.lead or 0].action.verb == "hang":
                unit.effect, unit.verb = "off", "fit"
            if out and unit.effect == "moved" and self.acts[unit.lead or 0].action.sense == "raise":
                # A part that is lifted once its bolts are out has come off.
                unit.effect, unit.verb = "off", "fit"
            since = []

    def _direct(self, fastener: Unit, part: Unit, own: bool) -> bool:
        """True for a fastener told just before the part, unless its place names another part.

        `own`: the part has fasteners in its own utterance; then one told before with a place of its own is another's.
        """
        place = frozenset().union(*(name.place for name in fastener.names)) - _SPOTS
        if not place or any(place & name.all for name in part.names):
            return True
        others = (other for other in self.units if other is not part and other is not fastener)
        near = fastener.utterance == part.utterance or (not own and bool(fastener.heads & _BOLTS))
        return near and not any(place & other.heads for other in others)


_TOOL_OR_PART = word_set(
    "socket handle key plate block pin strap bar lever hook gauge bush wheel film tape clamp clip cap plug cover bung guard "
    "blank sheet board pad"
)
#: Openings that are closed with a plug or a cap while the work goes on.
_PORTS = word_set("port opening hole union connection fitting outlet inlet")
_SPOTS = word_set(
    "back front top bottom side end rim edge left right rear way underneath middle corner inside outside face"
)
#: Where a part is worked on; no place of it in the machine.
_BENCHES = frozenset({"vice", "vise", "press", "bench", "jig", "fixture"})
_BOLTS = frozenset({"bolt", "nut", "screw", "capscrew", "setscrew"})
#: How many utterances may lie between bolts that are out and the part that at last comes away.
_LEFT_OVER = 6


def _own_place(part: Part, mention: Mention, effect: Effect) -> Part:
    """The part without the words that told where it was put, or that its pronoun carried over from another act."""
    foreign = effect in ("held", "equipped") or (mention.pronoun is not None and mention.kind != "fastener")
    foreign = foreign or bool(content(part.position) & _BENCHES)
    foreign = foreign or (part.position or "").startswith(("to ", "towards ", "into ", "onto "))
    return part.model_copy(update={"position": None}) if foreign else part


def _is_fixing(unit: Unit) -> bool:
    clamps = bool(unit.heads) and unit.heads <= {"clamp", "clip", "circlip", "strap", "catch", "fastener"}
    return (unit.fastener or clamps) and unit.effect in ("off", "loose", "parted", "destroyed")


def _left_over(fastener: Unit, part: Unit) -> bool:
    bolts = bool(fastener.heads & _BOLTS)
    near = part.utterance - fastener.utterance <= _LEFT_OVER
    return bolts and near and fastener.effect == "off" and fastener.conditions == part.conditions


def _from(parts: Sequence[Part]) -> frozenset[str]:
    return frozenset().union(*(content(part.direction) for part in parts))
