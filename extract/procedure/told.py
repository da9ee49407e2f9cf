"""What the talk says of the refit, and the order that its words give."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

from extract.procedure import placing
from extract.procedure.names import content, part_name
from extract.procedure.refit_acts import spoken_time, time_by
from extract.procedure.units import Unit
from extract.speech import Action, Place, Understanding, by_utterance
from extract.wordforms import word_set

#: Senses that close the job; without a place of their own in the words they stand at its end.
_CLOSING = frozenset({"run", "inspect", "measure", "wait", "pull_test", "restore"})

_OFF_ITS_PLACE = frozenset({"off", "parted", "moved", "destroyed"})

_CLAUSE_VERBS = word_set("you we he she it is connect fit put go goes back on in start lift tighten close fill again")

_PIECES = re.compile(r",|;|\bthen\b|\band\b")
#: As many parts named one after the other are an order of work.
_LIST = 3
#: As many steps told one after the other are a refit told in full.
_IN_FULL = 4
_PUTTING = re.compile(r"\b(?:connect|fit|put|goes?|push|slide|join|hook|clip|bolt|screw)\w*\b", re.I)

_LAST = re.compile(
    r"\b(?:last of all|last thing|finally|lastly|at the (?:very )?(?:end|finish)|to finish(?: off)?|in the end"
    r"|right at the end|(?<=\bon )last|(?<=\bin )last|(?<=\bback )last)\b",
    re.I,
)

_NEXT = re.compile(
    r"^(?:\W*(?:and|so|right|okay|ok|now|well|uh|um|only)\b)*\W*(?:then|next|after (?:that|this)|with that (?:done|on|in)|once that"
    r"|when that|afterwards|that done|following that)\b|\b(?:goes?|comes?) (?:\w+ )?next\b",
    re.I,
)

_ANCHOR = re.compile(r"\b(before|after|once|as soon as|when)\b", re.I)

#: "After this the level is checked": the words point back, they name no act of their own.
_POINTING = re.compile(r"\s*(?:this|that|it|which)\s*(?:$|(?:the|a|an|you|we|is|are)\b)", re.I)

_FILLING = re.compile(r"\bfill(?:ing|ed)?\b", re.I)

_IT_IS = re.compile(r"\s*(?:it|they|she|that)(?:['’](?:s|re)| is| are| has been| have been)\b", re.I)

_BLED = re.compile(r"\bbl(?:ed|eed|eeding)\b", re.I)

_STARTED = re.compile(r"\b(?:start(?:ed|ing|s)?|run(?:ning|s)?|switched on|put (?:back )?in(?:to)? service)\b", re.I)


@dataclass(slots=True)
class Told:
    """What the talk says of the refit.

    `extra` are steps that only exist there; `split` are units for the rest of the parts where it takes one of several; `edges` pairs of units of which the first comes before the second;
    `last` units that the words put at the end, `before_start` those that come before the machine is started;
    `follows` the unit after which an extra step stands (null: the end), `precedes` the one before which it stands;
    `treatments` acts that belong at a step as notes, with the unit if one was found; `strangers` acts that refit
    something that never came off; `times` what the words say of the time of a step; `remarks` notes (kind and text) at a step;
    `touched` the units that each utterance tells of; `looks` what to look for at the treatment of the same utterance.
    """

    extra: list[Unit] = field(default_factory=list)
    split: list[Unit] = field(default_factory=list)
    edges: list[tuple[Unit, Unit]] = field(default_factory=list)
    last: list[Unit] = field(default_factory=list)
    before_start: list[Unit] = field(default_factory=list)
    follows: dict[int, Unit | None] = field(default_factory=dict)
    precedes: dict[int, Unit] = field(default_factory=dict)
    treatments: list[tuple[Action, Unit | None]] = field(default_factory=list)
    strangers: list[tuple[Action, Unit]] = field(default_factory=list)
    times: list[tuple[Place, Unit, str]] = field(default_factory=list)
    remarks: list[tuple[Place, Unit, str, str]] = field(default_factory=list)
    touched: dict[int, list[Unit]] = field(default_factory=dict)
    looks: dict[int, list[tuple[Place, str]]] = field(default_factory=dict)


class TellingOrder:
    """The order that the words of the refit give: "before", "after", "then", "last of all", lists of parts."""

    def __init__(
        self,
        understanding: Understanding,
        acts: Sequence[Action],
        work: set[int],
        told: Told,
        unit_of: dict[int, Unit],
        units: list[Unit],
        participle: Callable[[str], str],
    ) -> None:
        self.understanding = understanding
        self.acts = acts
        self.work = work
        self.told = told
        self.unit_of = unit_of
        self.units = units
        self.participle = participle
        self.removed = placing.UnitIndex(units)
        self.everything = placing.UnitIndex(units, told.extra)
        self.acts_at = by_utterance(acts)
        self.last_work = max(work, default=-1)

    def read(self) -> None:
        """Fill in the order of `told`."""
        self._order()
        self._sequence()
        self._narrated()
        self._named_last()
        self._lists()

    def _said(self, act: Action) -> str:
        return self.understanding.utterances[act.place.utterance].analysed

    def _order(self) -> None:
        """Place the extra steps and bind the told ones by "before", "after", "last of all"."""
        before: Unit | None = None
        block = -1
        for act in self.acts:
            unit = self.unit_of.get(id(act))
            if unit is None:
                continue
            where = act.place.utterance
            if block in self.work or any(at in self.work for at in range(block + 1, where)):
                before = None
            anchored = self._anchor(act, unit)
            text = self._said(act)
            if not anchored and (cue := _LAST.search(text)):
                self.told.last.append(unit)
                self._remark(act, unit, cue.group(0).lower())
            elif not anchored and unit in self.told.extra and id(unit) not in self.told.follows:
                self._follow(act, unit, before if block == where or _NEXT.search(text) else None, before)
            if not self._subordinate(act):
                before = unit
            block = where

    def _subordinate(self, act: Action) -> bool:
        """True for an act that only places another one ("… before you couple the hose")."""
        text = self._said(act)
        before = [match for match in _ANCHOR.finditer(text) if match.end() <= act.place.start]
        if not before:
            return False
        others = [other for other in self.acts_at[act.place.utterance] if other is not act]
        between = any(before[-1].end() <= other.place.start < act.place.start for other in others)
        return bool(others) and not between and "," not in text[before[-1].end() : act.place.start]

    def _remark(self, act: Action, unit: Unit, when: str) -> None:
        """What the words say of the time of a step stands at it as a note."""
        self._remark_at(act.place, unit, when)

    def _remark_at(self, place: Place, unit: Unit, when: str) -> None:
        if not any(noted is unit for _, noted, _ in self.told.times):
            self.told.times.append((place, unit, f"Do this {when}."))

    def _follow(self, act: Action, unit: Unit, same_breath: Unit | None, before: Unit | None) -> None:
        if same_breath is not None and same_breath is not unit:
            self.told.follows[id(unit)] = same_breath
            return
        pointed = act.sense in _CLOSING and all(mention.pronoun for mention in act.objects)
        if pointed and before is not None and before is not unit:
            self.told.follows[id(unit)] = before
            return
        for mention in act.objects:
            name = part_name(mention.text, mention.position)
            if unit.seal:
                break
            found = placing.best_unit(name, act.place.utterance, self.removed, least=0.6)
            if found:
                self.told.follows[id(unit)] = found
                return
        if unit.seal:
            mate = placing.unit_of_renewal(
                unit.parts[0].text,
                unit.parts[0].position,
                act.place.utterance,
                self._said(act),
                self.units,
                unit.parts[0].quantity,
            )
            if mate is not None:
                self.told.precedes[id(unit)] = mate
                return
        off = [one for one in self.units if one.effect in _OFF_ITS_PLACE and one.lead is not None]
        off = [one for one in off if one.utterance <= act.place.utterance]
        if before is None and act.sense == "fit" and any(one.new for one in act.objects) and off:
            # The first thing that is fitted new goes in before what came off last.
            self.told.precedes[id(unit)] = max(off, key=lambda one: one.lead or 0)
            return
        if act.sense in _CLOSING or self._in_refit_talk(act):
            self.told.follows[id(unit)] = before if before is not None and act.sense not in _CLOSING else None
            return
        near = [one for one in self.units if one.utterance <= act.place.utterance and one.effect in placing.ON_PARTS]
        self.told.follows[id(unit)] = max(near, key=lambda one: one.lead or 0) if near else None

    def _in_refit_talk(self, act: Action) -> bool:
        """True after the last act of the removal: here the talk goes through the refit itself."""
        return self.last_work <= act.place.utterance

    def _anchor(self, act: Action, unit: Unit) -> bool:
        text = self._said(act)
        for match in _ANCHOR.finditer(text):
            clause = self._clause(text, match, act)
            if clause is None or _POINTING.match(clause):
                continue
            word = match.group(1).lower()
            target = self._target(act, unit, match.end(), clause)
            if target is None:
                if word == "before" and _STARTED.search(clause):
                    self.told.before_start.append(unit)
                    self._remark(act, unit, "before the machine is started")
                    return True
                told = spoken_time(word, clause, text[: match.start()], self.participle)
                if told and self._tells_time(word, text, match, act) and unit in self.told.extra + self.units:
                    self._remark(act, unit, told)
                continue
            told = spoken_time(word, clause, text[: match.start()], self.participle)
            self._remark(act, unit, told or time_by(word, target, self.participle))
            if word == "before":
                self.told.edges.append((unit, target))
                if unit in self.told.extra:
                    self.told.precedes.setdefault(id(unit), target)
            else:
                self.told.edges.append((target, unit))
                if unit in self.told.extra:
                    self.told.follows.setdefault(id(unit), target)
            return True
        return False

    @staticmethod
    def _tells_time(word: str, text: str, match: re.Match[str], act: Action) -> bool:
        """ "Before" and "after" tell the time of a step, "once" behind it too, "when" only as "only when"."""
        if word in ("before", "after"):
            return True
        only = text[: match.start()].lower().rstrip().endswith("only")
        return only if word == "when" else match.start() > act.place.start or only

    @staticmethod
    def _clause(text: str, match: re.Match[str], act: Action) -> str | None:
        """The words after "before" or "after", up to the act that they place or to the comma."""
        end = text.find(",", match.end())
        end = len(text) if end < 0 else end
        objects = [mention.place.start for mention in act.objects if mention.place.utterance == act.place.utterance]
        if match.group(1).lower() in ("when", "once", "as soon as") and any(match.end() <= at < end for at in objects):
            return None
        start = min([act.place.start, *(at for at in objects if at > match.end())])
        if match.end() <= start < end:
            between = text[match.end() : start]
            if not content(between) - {part_name(mention.text).head for mention in act.objects}:
                return None
            return between if len(content(between)) >= 1 and len(between.split()) >= 2 else None
        return text[match.end() : end]

    def _target(self, act: Action, unit: Unit, start: int, clause: str) -> Unit | None:
        for other in self.acts_at[act.place.utterance]:
            there = self.unit_of.get(id(other))
            if other is act or there is None or there is unit:
                continue
            if start <= other.place.start < start + len(clause):
                return there
        everything = [*self.units, *self.told.extra]
        if _BLED.search(clause):
            found = [one for one in everything if "bleed" in one.verb]
            if found:
                return found[-1]
        if _IT_IS.match(clause):
            done = [one for one in everything if one is not unit and one.told and self._is_done(one, clause)]
            if done:
                return done[-1]
        if _FILLING.search(clause):
            found = [
                one
                for one in everything
                if one.effect == "drained" or one.verb in ("fill", "fill in", "top up", "pour")
            ]
            found = [one for one in found if one is not unit]
            if found:
                return max(found, key=lambda one: (bool(one.told), one.lead or 0))
        said = content(clause)
        scored = [
            (score, -(abs(one.utterance - act.place.utterance)), one)
            for one in self.everything.find(named=said)
            if one is not unit and (score := placing.mentioned(one, said))
        ]
        if scored:
            return max(scored, key=lambda entry: entry[:2])[2]
        if not _PUTTING.search(clause):
            return None
        # "The feed" is the pipe that came off where the talk spoke of the feed.
        nouns = said - _CLAUSE_VERBS - unit.heads
        loose = [(len(nouns & one.words), not one.fastener, one) for one in self.removed.find(told=nouns)]
        loose = [entry for entry in loose if entry[2] is not unit and entry[2].effect in _OFF_ITS_PLACE]
        return max(loose, key=lambda entry: entry[:2])[2] if loose else None

    def _is_done(self, unit: Unit, clause: str) -> bool:
        """ "Once it's wound" points at the step that winds."""
        verbs = {unit.verb.split()[0], *(act.verb for act in unit.told)}
        return any(self.participle(verb) in clause.lower().split() for verb in verbs)

    def _sequence(self) -> None:
        """Acts of one breath, and those that "then" or "next" joins, come in the order in which they are told."""
        previous: Action | None = None
        for act in self.acts:
            unit = self.unit_of.get(id(act))
            if unit is None:
                continue
            if previous is not None:
                one = self.unit_of[id(previous)]
                same = previous.place.utterance == act.place.utterance
                work_between = any(at in self.work for at in range(previous.place.utterance + 1, act.place.utterance))
                follows = (
                    same
                    and not _ANCHOR.search(self._said(act)[previous.place.start : act.place.start])
                    and not self._subordinate(previous)
                    or (not same and not work_between and _NEXT.search(self._said(act)))
                )
                if one is not unit and follows and (unit, one) not in self.told.edges:
                    self.told.edges.append((one, unit))
            previous = act

    def _narrated(self) -> None:
        """A refit that is told in full is worked in the order in which it is told."""
        closing = max(self.work, default=-1)
        told = [act for act in self.acts if act.place.utterance > closing and id(act) in self.unit_of]
        line = [self.unit_of[id(act)] for act in told if not self._subordinate(act)]
        line = [unit for unit in dict.fromkeys(line) if unit.lead is not None and unit not in self.told.last]
        undone = [unit for unit in self.units if unit.effect in _OFF_ITS_PLACE | {"loose", "drained"}]
        if len(line) < _IN_FULL or 2 * len(line) < len(undone):
            return
        for one, other in zip(line, line[1:], strict=False):
            if (other, one) not in self.told.edges:
                self.told.edges.append((one, other))

    def _named_last(self) -> None:
        """ "The blanket goes on last of all" where no act was found in the words: the name and the cue are enough."""
        told = set(self.told.touched)
        for found in self.understanding.roles:
            where = found.place.utterance
            if found.role != "refit_note" or where in told:
                continue
            text = self.understanding.utterances[where].analysed
            cue = _LAST.search(text)
            if not cue:
                continue
            said = content(text)
            named = [
                (score, -(one.lead or 0), one)
                for one in self.removed.find(named=said)
                if one.effect in _OFF_ITS_PLACE and (score := placing.mentioned(one, said))
            ]
            if named:
                unit = max(named, key=lambda entry: entry[:2])[2]
                self.told.last.append(unit)
                self.told.touched.setdefault(where, []).append(unit)
                self._remark_at(Place(where, cue.start(), cue.end(), "told.last"), unit, cue.group(0).lower())

    def _listed(self, words: Sequence[str]) -> Unit | None:
        """The unit that the last words of a piece of a list name; a part rather than its fasteners."""
        for start in range(len(words)):
            name = part_name(" ".join(words[start:]))
            found = [
                one
                for one in self.removed.find(named=[name.head])
                if any(name.head == own.head and name.qualifiers <= own.all for own in one.names)
            ]
            parts = [one for one in found if one.effect in _OFF_ITS_PLACE and not one.fastener]
            if found:
                return (parts or found)[0]
        return None

    def _lists(self) -> None:
        """An order told as a list of parts: "sleeve, spring, cap, lever"."""
        refit = {found.place.utterance for found in self.understanding.roles if found.role == "refit_note"}
        for where in sorted(refit):
            pieces = _PIECES.split(self.understanding.utterances[where].analysed)
            named: list[Unit] = []
            for piece in pieces if len(pieces) >= _LIST else ():
                found = self._listed(piece.split()[-3:])
                if found is not None and found not in named:
                    named.append(found)
            if len(named) >= _LIST:
                for one, other in zip(named, named[1:], strict=False):
                    self.told.edges.append((one, other))
                for unit in named:
                    self.told.touched.setdefault(where, []).append(unit)
