"""Variants, options and skips: where each begins, which utterances it governs, and where it ends."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence, Set
from dataclasses import replace
from itertools import takewhile

from extract.findings.condition_axes import Meaning
from extract.findings.condition_cues import Cue, Ends, Scope, read_cues
from extract.findings.condition_parts import PartsUnder
from extract.findings.condition_text import Sentence
from extract.findings.phases import PhaseFound
from extract.findings.sections import section_starts
from extract.language.heard import Heard
from extract.speech import Action, ConditionFound, FlagFound, Place, by_utterance

#: How many utterances after a condition "otherwise" can still turn it round.
_REACH = 6
_THEN = re.compile(
    r"^\W*(?:and |so |now |right )*(?:then|after that|next|and|finally|second(?:ly)?|third(?:ly)?|last(?:ly)?)\b"
)
_AND = re.compile(r"and\b(?! (?:now|next|then|finally|so|that's|lastly)\b)")
_ARRIVING = re.compile(r"^\W*(?:\w+ ){0,2}?(?:here's|here is|this is|that's|that is) (?:where|the)\b")
_THOSE = re.compile(r"^\W*(?:these|those|them|that|this|such)\b")
_FIRST = re.compile(r"^\W*(?:you )?first(?:ly)?\b")
_JOINED = re.compile(r"(?:\b(?:and|but|then|or)|[,;])\s*$", re.IGNORECASE)
_DETAIL = re.compile(r"^\W*(?:so |for that,? |to do (?:that|this|so),? )*you\b")
_NOW = re.compile(r"now\b", re.IGNORECASE)
_WORD = re.compile(r"[\w-]+")


def find_conditions(
    heard: Heard, phases: Sequence[PhaseFound], actions: Sequence[Action], deaf: frozenset[int]
) -> tuple[ConditionFound, ...]:
    """All conditions in the order of their words; the utterances of `deaf` open and end none."""
    return _Reader(heard, phases, actions, deaf).read()


def without_utterances(conditions: Sequence[ConditionFound], left_out: Set[int]) -> tuple[ConditionFound, ...]:
    """The conditions that do not begin in the utterances left out; what stood inside one of those moves outwards."""
    kept = [index for index, found in enumerate(conditions) if found.place.utterance not in left_out]
    place = {index: at for at, index in enumerate(kept)}

    def around(index: int) -> int | None:
        parent = conditions[index].parent
        while parent is not None and parent not in place:
            parent = conditions[parent].parent
        return None if parent is None else place[parent]

    return tuple(replace(conditions[index], parent=around(index)) for index in kept)


def find_scope_flags(conditions: Sequence[ConditionFound]) -> tuple[FlagFound, ...]:
    """One flag for each skip, or condition announced for what follows, whose end is never told."""
    flags: list[FlagFound] = []
    for found in conditions:
        if found.ends != "never":
            continue
        what = "A part of the work may be left out" if found.kind == "skip" else "A condition begins"
        message = f"{what} (“{found.text}”), but the talk never says where that ends."
        evidence: dict[str, object] = {"governs_up_to": max(found.governed), "kind": found.kind}
        flags.append(
            FlagFound(
                replace(found.place, rule="flag.open-scope"),
                "open_scope",
                "stop",
                message,
                evidence,
                utterances=(found.place.utterance,),
            )
        )
    return tuple(flags)


def _alternatives(one: Meaning, other: Meaning) -> bool:
    """Whether two conditions exclude each other: another value of an axis, or the option's absence."""
    if one.axis is not None and one.axis == other.axis:
        return True
    return one.kind == other.kind == "option" and one.value == other.value and one.negated != other.negated


class _Reader:
    def __init__(
        self, heard: Heard, phases: Sequence[PhaseFound], actions: Sequence[Action], deaf: frozenset[int]
    ) -> None:
        self.heard = heard
        self.phases = phases
        self.deaf = deaf
        self.acts = by_utterance(actions)
        self.scopes: list[Scope] = []
        self.meanings: list[Meaning] = []
        #: The conditions that go on, by their number.
        self.going_on: dict[int, Scope] = {}
        self.rejoined: set[int] = set()
        #: Where a heading, a landing place or a re-join parts the talk.
        self.parted: set[int] = set()
        self.cues: dict[int, list[Cue]] = {}
        self.headings = section_starts(heard, actions)

    def read(self) -> tuple[ConditionFound, ...]:
        for said in self.heard.utterances:
            if said.index in self.deaf:
                self._go_on(said.index)
            else:
                self._utterance(said.index)
        for scope in self._open():
            self._end(scope, "never" if scope.left is None else "spoken")
        PartsUnder(self.heard, self.deaf, self.scopes, self.cues, self.acts, self.parted, self._starts_anew).inherit()
        return tuple(self._found(scope) for scope in self.scopes)

    def _found(self, scope: Scope) -> ConditionFound:
        said = self.heard.utterances[scope.utterance].analysed
        place = Place(scope.utterance, scope.cue.start, scope.cue.end, scope.cue.rule)
        meaning = scope.meaning
        text = said[scope.cue.start : scope.cue.end].strip(" ,;.")
        return ConditionFound(
            place,
            "skip" if meaning is None else meaning.kind,
            None if meaning is None else meaning.axis,
            None if meaning is None else meaning.value,
            () if meaning is None else meaning.values,
            False if meaning is None else meaning.negated,
            text,
            tuple(sorted(set(scope.governed))),
            scope.ends,
            scope.resumes_at,
            scope.parent,
            scope.governs_from,
            scope.governs_until,
        )

    # ------------------------------------------------------------------ one utterance

    def _utterance(self, index: int) -> None:
        sentence = Sentence(self.heard.parsed[index], self.heard.lexicon)
        cues = self.cues[index] = read_cues(sentence, self.meanings)
        kinds = {cue.kind for cue in cues}
        self._land(index)
        if "rejoin" in kinds and self.scopes:
            self._rejoin(index)
        elif self._starts_anew(index):
            self.parted.add(index)
            for scope in self._open():
                refit = self.phases[index].onward
                self._end(scope, "never" if refit and scope.left is None else "heading", index)
        opened = [cue for cue in cues if cue.kind == "open"]
        if "rejoin" in kinds:
            opened = [cue for cue in opened if cue.start > max(other.end for other in cues if other.kind == "rejoin")]
        made = [self._open_scope(index, cue, cue.meaning) for cue in opened]
        for cue in cues:
            if cue.kind == "else" and "rejoin" not in kinds:
                turned = self._turn(index, cue)
                made += [turned] if turned is not None else []
        if "again" in kinds and not made and "rejoin" not in kinds:
            again = self._resume(index, next(cue for cue in cues if cue.kind == "again"))
            made += [again] if again is not None else []
        self._nest(made)
        announce = next((cue for cue in cues if cue.kind == "announce"), None)
        if announce is not None and not made and "rejoin" not in kinds:
            self._announce_again(index, announce)
        for scope in made:
            self._reach(index, scope, announce)
        skip = next((cue for cue in cues if cue.kind == "skip"), None)
        if skip is not None and "rejoin" not in kinds:
            self._skip(index, skip)
        if (
            not (kinds & {"open", "else", "again", "rejoin", "skip"})
            and self._working(index)
            and _AND.match(self._text(index))
        ):
            for scope in self.scopes:
                if scope.meaning is not None and scope.governed[-1] == index - 1:
                    scope.governed.append(index)
        self._go_on(index)

    def _open(self) -> list[Scope]:
        return [self.going_on[number] for number in sorted(self.going_on)]

    def _go_on(self, index: int) -> None:
        """Let the open conditions govern this utterance."""
        for scope in self._open():
            if scope.governed[-1] == index:
                continue
            if scope.listed and not _THEN.match(self._text(index)):
                self._end(scope, "spoken")
                continue
            scope.governed.append(index)
            if scope.left is not None and self._working(index):
                scope.left -= 1
                if scope.left <= 0:
                    self.parted.add(index + 1)
                    self._end(scope, "spoken", index + 1)

    def _text(self, index: int) -> str:
        return self.heard.utterances[index].analysed.lower()

    def _working(self, index: int) -> list[Action]:
        return [act for act in self.acts[index] if act.phase == "work" and not act.negated]

    def _end(self, scope: Scope, ends: Ends, resumes_at: int | None = None) -> None:
        self.going_on.pop(scope.number, None)
        scope.ends = ends
        if scope.meaning is None and resumes_at is not None and ends != "never":
            scope.resumes_at = resumes_at

    def _starts_anew(self, index: int) -> bool:
        """Whether a heading, or the refit, begins here."""
        before = self.phases[index - 1].onward if index else False
        if self.phases[index].onward and not before:
            return True
        return index in self.headings

    def _land(self, index: int) -> None:
        """End the skips whose landing place is named here, in a heading or at the head of the sentence."""
        for scope in self._open():
            if scope.cue.landing and index > scope.utterance and self._names(index, scope.cue.landing):
                self._end(scope, "spoken", index)
                self.parted.add(index)

    def _names(self, index: int, landing: Sequence[str]) -> bool:
        singular = self.heard.lexicon.singular
        spoken = [singular(word) for word in _WORD.findall(self._text(index))]
        wanted = list(landing)
        if not wanted or not set(wanted) <= set(spoken):
            return False
        first = min(spoken.index(word) for word in wanted)
        return self._starts_anew(index) or first <= (7 if _ARRIVING.match(self._text(index)) else 4)

    # ------------------------------------------------------------------ begin, turn round, resume, join again

    def _open_scope(self, index: int, cue: Cue, meaning: Meaning | None) -> Scope:
        for scope in self.scopes:
            if scope.meaning is None or meaning is None or scope.utterance == index:
                continue
            if _alternatives(scope.meaning, meaning) and (
                scope.number in self.going_on or index - scope.governed[-1] <= _REACH
            ):
                self._end(scope, "else")
        scope = Scope(len(self.scopes), cue, meaning, index, [index], parent=max(self.going_on, default=None))
        scope.governs_from = self._from(index, cue)
        for other in self._of_utterance(index):
            if scope.governs_from > other.governs_from and cue.start > other.cue.end + 6:
                other.governs_until = cue.start
        self.scopes.append(scope)
        if meaning is not None:
            self.meanings.append(meaning)
        return scope

    def _of_utterance(self, index: int) -> Iterator[Scope]:
        """The conditions that this utterance has opened so far."""
        return takewhile(lambda scope: scope.utterance == index, reversed(self.scopes))

    def _from(self, index: int, cue: Cue) -> int:
        """From which character on it holds: the whole sentence, unless "and" or a comma parts it from acts before it."""
        acts = sorted(act.place.start for act in self.acts[index])
        text = self.heard.utterances[index].analysed
        if cue.rule == "open.fitted":
            return max((start for start in acts if start <= cue.start), default=0)
        joined = _JOINED.search(text[: cue.start]) or _NOW.match(text[cue.start :])
        if any(start >= cue.end for start in acts) and joined:
            return cue.start
        return 0

    def _last(self, index: int) -> Scope | None:
        for scope in reversed(self.scopes):
            if scope.meaning is not None and index - scope.governed[-1] <= _REACH:
                return scope
        return None

    def _turn(self, index: int, cue: Cue) -> Scope | None:
        """ "otherwise": the opposite of the condition before, unless an ordinary "if" came between."""
        last = self._last(index)
        if last is None or last.meaning is None or any(last.utterance < joined <= index for joined in self.rejoined):
            return None
        if cue.rule == "else.affirmed" and not last.negated:
            return None
        if cue.rule in ("else.otherwise", "else.affirmed"):
            if not self.acts[index] and not any(other.kind == "skip" for other in self.cues[index]):
                return None
            between = " ".join(self._text(i) for i in range(last.governed[-1] + 1, index))
            between += self._text(index)[: cue.start]
            if index != last.utterance and re.search(r"\bif\b", between):
                return None
        if last.utterance == index and cue.start < last.cue.end:
            return None
        scope = self._open_scope(index, cue, replace(last.meaning, negated=not last.meaning.negated))
        self._end(last, "else")
        scope.parent = last.parent
        return scope

    def _resume(self, index: int, cue: Cue) -> Scope | None:
        """ "with that type", "on them": the condition before holds here too."""
        last = self._last(index)
        if (
            last is None
            or last.meaning is None
            or index - last.governed[-1] > 2
            or any(last.utterance < joined <= index for joined in self.rejoined)
        ):
            return None
        if last.cue.rule == "open.except":
            return self._open_scope(index, cue, replace(last.meaning, negated=False))
        last.governed.append(index)
        return None

    def _announce_again(self, index: int, cue: Cue) -> None:
        """ "The following two steps are just for those.": the condition before holds for what follows."""
        last = self._last(index)
        behind = self.heard.utterances[index].analysed[cue.end :].lower()
        if (
            last is None
            or not _THOSE.match(behind)
            or any(last.utterance < joined <= index for joined in self.rejoined)
        ):
            return
        last.governed.append(index)
        last.left = cue.count
        self.going_on[last.number] = last

    def _rejoin(self, index: int) -> None:
        self.rejoined.add(index)
        self.parted.add(index)
        last = self._last(index)
        for scope in self._open():
            self._end(scope, "rejoin", index)
        if last is not None and last.ends == "spoken":
            last.ends = "rejoin"

    def _nest(self, made: Sequence[Scope]) -> None:
        """ "on the two-speed ones with the electric shift": the second condition stands inside the first."""
        for outer, inner in zip(made, made[1:], strict=False):
            gap = inner.cue.start - outer.cue.end
            if outer.utterance == inner.utterance and gap <= 6 and inner.cue.end > outer.cue.end:
                inner.parent = outer.number
                outer.governs_until = None
                if outer.governs_from == 0:
                    inner.governs_from = 0

    def _reach(self, index: int, scope: Scope, announce: Cue | None) -> None:
        """How far the condition goes on behind its own sentence."""
        text = self._text(index)
        if scope.cue.rule == "else.partner":
            return  # "the plain ones haven't": said of them alone, and nothing is to be done there
        if announce is not None:
            scope.left = announce.count
            self.going_on[scope.number] = scope
        elif _FIRST.match(text[scope.cue.end :]):
            scope.listed = True
            self.going_on[scope.number] = scope
        elif not self.acts[index] and len(_WORD.findall(text[scope.cue.end :])) == 0 and scope.cue.start <= 12:
            # "Now, on the diesel.": nothing else is said, so it is for what follows.
            self.going_on[scope.number] = scope

    def _skip(self, index: int, cue: Cue) -> None:
        parent = max(self.going_on, default=None)
        scope = Scope(len(self.scopes), cue, None, index, [index], left=cue.count, parent=parent)
        scope.governs_from = cue.start
        if cue.rule == "skip.that":
            scope.governed = [*self._told_just_before(index), index]
            scope.ends = "spoken"
            if len(scope.governed) > 1:
                self.scopes.append(scope)
            return
        nothing = (
            cue.rule == "skip.to" and index + 1 < len(self.heard.utterances) and self._names(index + 1, cue.landing)
        )
        if not nothing:
            self.scopes.append(scope)
            self.going_on[scope.number] = scope

    def _told_just_before(self, index: int) -> list[int]:
        """The work that "you may leave that out" speaks of: the last told, with the order that it carries out."""
        told: list[int] = []
        for at in range(index - 1, max(index - _REACH, -1), -1):
            if at in self.parted or at in self.deaf:
                break
            if not self._working(at):
                continue
            told.insert(0, at)
            if not _DETAIL.match(self._text(at)):
                break  # "You put a key on …" tells how the order before it is done
        return told
