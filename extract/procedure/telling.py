"""Reads the talk's own refit: its acts matched with what has to be undone."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import replace
from functools import cached_property

from extract.ids import IdMaker
from extract.procedure import placing
from extract.procedure.inverse import Effect
from extract.procedure.names import PartName, content, part_name
from extract.procedure.refit_acts import BACK, own_verb, stands_alone, suits, treats, whole
from extract.procedure.steps import in_order, make_part, placed
from extract.procedure.told import TellingOrder, Told
from extract.procedure.units import Unit
from extract.procedure.wording import PERSONAL
from extract.speech import Action, Mention, Understanding, by_utterance
from extract.wordforms import word_set

_ONTO = re.compile(
    r"\b(?:on|onto|to|in|into|over|around|round)\s+(?:(?:the|those|these|your|its|both|each)\s+)*([\w-]+(?:\s+[\w-]+){0,2}?)"
    r"(?=\s+(?:and|or|on|of|with|before|when)\b|[,.;]|$)",
    re.I,
)


#: Characters after a verb in which "back" or "again" belongs to it.
_CLAUSE = 50


_LOOK_FOR = re.compile(r"\blook(?:ing)?\b[^,.;]{0,20}?\bfor\s+((?:any\s+)?\w+)", re.IGNORECASE)
#: What is turned on again, and what was shut for it.
_SUPPLIES = (
    (word_set("water gas air fuel"), word_set("stopcock tap cock valve main seacock faucet petcock")),
    (word_set("power electricity current mains"), word_set("isolator breaker switch main fuse supply")),
)
#: Effects of what an act can undo without naming it: "fill her up again", "take the lock off".
_UNDONE_BY_NAME: dict[str, tuple[Effect, ...]] = {
    "fill": ("drained",), "remove": ("equipped", "covered", "held"), "plug": ("off", "parted"),
}  # fmt: skip
_PLUGGED = word_set("plug lead cable connector machine cord")
_STEP = 0.01
_AGREES = 0.6
_SURE = 0.8
_TOGETHER = re.compile(r"\b(?:together|as one|in one go|complete)\b", re.IGNORECASE)


def read_refit(
    understanding: Understanding,
    units: Sequence[Unit],
    ids: IdMaker,
    conditions_of: Callable[[Action], tuple[str, ...]],
    unclear: frozenset[int],
    participle: Callable[[str], str],
) -> Told:
    """Match the acts of the talk's own refit with the units of the removal.

    `conditions_of` gives the ids of the conditions that govern an act, `unclear` the utterances that count for nothing;
    `participle` the past participle of a plain verb.
    """
    return _Reader(understanding, units, ids, conditions_of, unclear, participle).read()


class _Reader:
    def __init__(
        self,
        understanding: Understanding,
        units: Sequence[Unit],
        ids: IdMaker,
        conditions_of: Callable[[Action], tuple[str, ...]],
        unclear: frozenset[int],
        participle: Callable[[str], str],
    ) -> None:
        self.participle = participle
        self.understanding = understanding
        self.units = list(units)
        self.renewals = by_utterance(understanding.renewals)
        self.ids = ids
        self.conditions_of = conditions_of
        self.acts = [
            self._of_the_new(act)
            for act in map(placed, in_order(understanding.actions))
            if act.phase == "refit" and not act.negated and act.place.utterance not in unclear
        ]
        self.work = {act.place.utterance for act in understanding.actions if act.phase == "work" and not act.negated}
        self.told = Told()
        work = [act for act in in_order(understanding.actions) if act.phase == "work"]
        together = {act.place.utterance for act in work if _TOGETHER.search(self.said(act))}
        self.joint = {number for unit in units for number in unit.acts if unit.utterance in together}
        self.unit_of: dict[int, Unit] = {}
        self.everything = placing.UnitIndex(self.units, self.told.extra)

    def read(self) -> Told:
        for act in self.acts:
            self._take(act)
        TellingOrder(
            self.understanding, self.acts, self.work, self.told, self.unit_of, self.units, self.participle
        ).read()
        return self.told

    def _of_the_new(self, act: Action) -> Action:
        if act.sense == "drain" and act.verb == "let" and not any(one.kind == "fluid" for one in act.objects):
            act = replace(act, verb="run", particle=None, plain="run", sense="run")  # "let it run for an hour"
        if act.sense == "fill" and not act.objects:
            act = replace(act, objects=self._filled_in(act))  # "top up with two litres of treated water"
        if act.sense == "run":
            act = replace(act, objects=tuple(map(_machine, act.objects)))
        """ "Split pins are cheap, fit a new one": the one new part that the utterance names is the one that is fitted."""
        named = [found for found in self.renewals.get(act.place.utterance, ()) if found.kind == "renew"]
        if len(named) != 1 or act.sense not in BACK:
            return act
        item = named[0].item[:1].lower() + named[0].item[1:]
        objects = [
            replace(one, text=item, head=named[0].head, position=None) if one.pronoun and one.new else one
            for one in act.objects
        ]
        return replace(act, objects=tuple(objects))

    def _filled_in(self, act: Action) -> tuple[Mention, ...]:
        return tuple(
            Mention(found.place, found.item, found.head, "fluid")
            for found in self.understanding.renewals
            if found.kind == "consumable" and found.place.utterance == act.place.utterance
        )[:1]

    def said(self, act: Action) -> str:
        return self.understanding.utterances[act.place.utterance].analysed

    def _take(self, act: Action) -> None:
        used = [found.head for found in self.renewals.get(act.place.utterance, ()) if found.kind == "consumable"]
        if act.sense in ("remove", "destroy", "discard") and self._only_if(act):
            return
        if treats(act, used):
            self.told.treatments.append((act, self._treated(act)))
            return
        if not act.objects or all(whole(mention.text) for mention in act.objects):
            return
        if act.sense in BACK - {"fill"} and all(map(_machine_itself, act.objects)):
            return
        told = self.told.touched.get(act.place.utterance, [])
        if act.sense == "turn" and any(unit.told for unit in told) and self._backs_off(act):
            return
        unit = self._match(act)
        if unit is None and (self._goes_with(act) or self._backs_off(act)):
            return
        if unit is None:
            if self._looks_at_treatment(act):
                return
            if act.verb in ("use", "reuse", "need") or not stands_alone(act):
                return
            if self._checks_the_step_before(act):
                return
            unit = self._extra(act)
        self._split(unit, act)
        unit.told.append(act)
        self.unit_of[id(act)] = unit
        self.told.touched.setdefault(act.place.utterance, []).append(unit)

    def _split(self, unit: Unit, act: Action) -> None:
        """Parts that came off in one act and are told to go back one by one get a step each; not if they came together."""
        if unit.lead is None or len(unit.parts) < 2 or unit.told or any(number in self.joint for number in unit.acts):
            return
        mine = [part for part in unit.parts if any(_means(mention.text, part.text) for mention in act.objects)]
        rest = [part for part in unit.parts if part not in mine]
        if not mine or not rest:
            return
        other = replace(
            unit, parts=rest, acts=list(unit.acts), told=[], held_by=[], substitutes=[], rank=unit.rank - _STEP
        )
        unit.parts = mine
        self.told.split.append(other)
        self.units.append(other)

    def _checks_the_step_before(self, act: Action) -> bool:
        """ "Spin the wheel and see that it turns freely": the second act is a note at the step of the first."""
        where = act.place.utterance
        touched = self.told.touched.get(where, [])
        pointed = all(mention.pronoun for mention in act.objects)
        if act.sense != "inspect" or not pointed or not touched:
            return False
        clause = re.split(r"[.;,]", self.said(act)[act.place.start :])[0].strip()
        if PERSONAL.search(clause):
            return False
        self.told.remarks.append((act.place, touched[-1], "check", clause))
        return True

    def _backs_off(self, act: Action) -> bool:
        """ "Then back it off a sixth of a turn": what was tightened is turned back, as a note at its step."""
        back = act.sense == "loosen" or act.sense == "turn" and (act.particle or "").split()[:1] == ["back"]
        if not back or act.negated:
            return False
        where = act.place.utterance
        near = [unit for at in (where, where - 1, where - 2) for unit in self.told.touched.get(at, ())]
        names = [part_name(one.text, one.position) for one in act.objects]
        named = [unit for unit in [*self.units, *self.told.extra] if any(_agrees(name, unit) for name in names)]
        unit = next(iter([*named, *near]), None)
        clause = re.split(r"[.;,]| (?:and|then|until|till) ", self.said(act)[act.place.start :])[0].strip()
        if unit is None or not unit.parts or PERSONAL.search(clause):
            return False
        particle = act.particle or "off"
        far = clause.lower().rpartition(f" {particle.split()[-1]} ")[2]
        if self._amount(clause):
            text = f"After tightening, {act.verb} the {unit.parts[0].text} {particle} {far}"
            self.told.remarks.append((act.place, unit, "handle", text))
        self.told.touched.setdefault(where, []).append(unit)
        return True

    @staticmethod
    def _amount(clause: str) -> bool:
        """Whether a clause tells how far, so that it says more than that something is slackened."""
        return (
            re.search(r"\b(?:turns?|degrees?|flats?|notch(?:es)?|clicks?|half|quarter|third|sixth|eighth|\d)\b", clause)
            is not None
        )

    def _only_if(self, act: Action) -> bool:
        """ "If they are scored, press them out and fit new ones": the choice is one step, with the new parts."""
        return any(found.only_if for found in self.renewals.get(act.place.utterance, ()))

    def _looks_at_treatment(self, act: Action) -> bool:
        """ "Spray the unions and look for bubbles" is one step."""
        where = act.place.utterance
        found = _LOOK_FOR.search(self.said(act)) if act.verb == "look" else None
        if found is None or not any(
            one.place.utterance == where and unit is None for one, unit in self.told.treatments
        ):
            return False
        self.told.looks.setdefault(where, []).append((act.place, f"Look for {found.group(1)}."))
        return True

    def _goes_with(self, act: Action) -> bool:
        """A new washer or seal goes in with its part; with a treatment of its own it is a step of its own."""
        where = act.place.utterance
        if act.sense not in BACK or not all(mention.kind == "seal" for mention in act.objects):
            return False
        if not self.treated.isdisjoint(part_name(mention.text).head for mention in act.objects):
            return False
        mention = act.objects[0]
        mate = placing.unit_of_renewal(
            mention.text, mention.position, where, self.said(act), self.units, mention.quantity
        )
        if mate is None:
            return False
        self.told.touched.setdefault(where, []).append(mate)
        return True

    @cached_property
    def treated(self) -> set[str]:
        """Head nouns of the parts that the refit treats."""
        told = {part_name(one.text).head for act in self.acts if treats(act, ()) for one in act.objects}
        return told | {
            part_name(note.about).head for note in self.understanding.notes if note.about and note.kind == "treat"
        }

    def _match(self, act: Action) -> Unit | None:
        """The unit that the act undoes, or the step told before that says the same; null if there is none."""
        best: tuple[float, Unit] | None = None
        for unit in self._candidates(act):
            score = self._score(act, unit)
            if score >= 0.6 and (best is None or score > best[0]):
                best = (score, unit)
        return best[1] if best else None

    def _candidates(self, act: Action) -> list[Unit]:
        """The units that can have a score, see `_named`."""
        names = [part_name(mention.text, mention.position) for mention in act.objects]
        return self.everything.find(
            named=frozenset().union(*(name.all for name in names)),
            told={name.head for name in names},
            effects=("isolated", *_UNDONE_BY_NAME.get("plug" if act.verb == "plug" else act.sense, ())),
        )

    def _score(self, act: Action, unit: Unit) -> float:
        fit = suits(act, unit)
        if fit is None:
            return 0.0
        pointed = act.verb == "plug" and all(one.pronoun for one in act.objects)
        if pointed and unit.effect in ("off", "parted", "isolated"):
            # "Plug it in": what has a plug is meant, whatever was named last.
            return 0.9 if unit.heads & _PLUGGED or unit.verb == "plug in" else 0.0
        scores = []
        for mention in act.objects:
            name = part_name(mention.text, mention.position)
            scores.append(self._named(act, name, mention, unit))
        score = max(scores, default=0.0)
        early = act.place.utterance < unit.utterance and unit.lead is not None
        if score <= 0 or early and score < _SURE:
            return 0.0  # what comes off only later is hardly meant by half its name
        return score + fit + placing.nearness(act.place.utterance, unit) / 3

    def _named(self, act: Action, name: PartName, mention: Mention, unit: Unit) -> float:
        kind = mention.kind
        if act.sense == "fill" and unit.effect == "drained":
            if kind == "fluid":
                return placing.name_score(name, unit)
            whole_machine = kind in ("machine", "part", "assembly") and act.verb in (
                "fill",
                "refill",
                "recharge",
                "charge",
            )
            return 0.5 if unit.lead is not None and whole_machine else 0.0
        if unit.effect == "isolated" and any(name.head in one and unit.heads & two for one, two in _SUPPLIES):
            return 0.5
        score = placing.name_score(name, unit)
        if name.head not in unit.heads and score < 0.7:
            # Named by a part that it sits on is near, but not the same thing.
            score = min(score, 0.3)
            if act.sense == "remove" and unit.verb.startswith("un") and unit.verb.endswith(name.head):
                return 0.9  # "Take the lock off" undoes the locking.
            spoken = name.qualifiers | {name.head}
            if (
                not mention.new
                and not unit.fastener
                and spoken <= unit.words
                and unit.effect in ("off", "parted", "moved", "isolated")
            ):
                score = 0.55
        return score

    def _extra(self, act: Action) -> Unit:
        """A step that only exists on refit."""
        utterance = self.understanding.utterances[act.place.utterance]
        objects = [mention for mention in act.objects if not whole(mention.text)] or list(act.objects)
        unit = Unit(
            effect="back",
            verb="look for" if act.verb == "look" and _LOOK_FOR.search(utterance.analysed) else own_verb(act),
            parts=[make_part(mention, utterance, self.ids) for mention in objects],
            rule=act.place.rule,
            utterance=act.place.utterance,
            conditions=self.conditions_of(act),
            words=content(utterance.analysed),
            fastener=all(mention.kind == "fastener" for mention in objects),
            seal=all(mention.kind == "seal" for mention in objects),
            fluid=all(mention.kind == "fluid" for mention in objects),
        )
        self.told.extra.append(unit)
        clause = utterance.analysed[act.place.start : act.place.start + _CLAUSE]
        again = re.search(r"\b(?:back|again|re(?:fit|install|place|mount|connect|assembl)\w*)\b", clause)
        strange = (
            act.sense in ("fit", "connect", "replace") and not any(mention.new for mention in objects) and not unit.seal
        )
        if again and strange and not unit.fluid:
            self.told.strangers.append((act, unit))
        return unit

    def _treated(self, act: Action) -> Unit | None:
        """The unit at whose step a treatment belongs: that of the treated part."""
        where = act.place.utterance
        targets = [
            part_name(mention.text, mention.position)
            for mention in act.objects
            if mention.kind not in ("fluid", "material")
        ]
        for mention in act.objects:
            way = mention.direction or mention.position or ""
            for match in _ONTO.finditer(way):
                targets.append(part_name(match.group(1)))
        for name in targets:
            found = placing.best_unit(name, where, self.everything, least=0.6)
            if found:
                return found
            near = placing.best_unit(name, where, self.everything, least=0.4)
            if near and not _treated_alone(act):
                # What has no step of its own is treated before its group goes on.
                return near.holds or near
        if _treated_alone(act):
            return None
        said = content(self.said(act)) - frozenset().union(*(content(mention.text) for mention in act.objects))
        return placing.best_mentioned(said, where, self.everything)


def _treated_alone(act: Action) -> bool:
    """A part that stays on the machine ("grease the crown wheel") is treated in a step of its own."""
    return act.sense == "apply" and bool(act.objects) and all(one.kind in ("part", "fastener") for one in act.objects)


def _agrees(name: PartName, unit: Unit) -> bool:
    return placing.name_score(name, unit) >= _AGREES


def _machine(mention: Mention) -> Mention:
    """ "Run it for an hour": neither a screw nor the padlock that was named last is run."""
    if mention.pronoun is None or mention.kind not in ("fastener", "seal", "tool", "material", "fluid"):
        return mention
    return replace(mention, text="machine", head="machine", kind="machine", position=None, quantity=None, plural=False)


def _machine_itself(mention: Mention) -> bool:
    """ "She goes back as she came apart" means the whole job, not one part."""
    return mention.kind == "machine" and mention.pronoun is not None


def _means(said: str, part: str) -> bool:
    one, other = part_name(said), part_name(part)
    if not one.qualifiers and one.head in other.qualifiers:
        return True  # "Steel and friction plates": the first noun is cut short.
    return one.head == other.head and one.qualifiers <= other.qualifiers
