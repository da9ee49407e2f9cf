"""What a reviewer must look at, found in the words alone: corrections, unclear "it", unnamed things, vague counts, gaps.

Tightening requirements without a value are flagged where their joint is placed, "replace" in its two senses with the
parts to renew. Few flags are better than many: each must be worth a look at the film.
"""

from __future__ import annotations

import re
from collections.abc import Sequence

from extract.findings.note_text import without_repairs
from extract.language.clauses import VerbPhrase
from extract.language.heard import Heard
from extract.language.phrases import Chunk
from extract.model import Severity, Suggestion
from extract.rules import load_rules
from extract.speech import (
    Action,
    FlagFound,
    Mention,
    NoteFound,
    Place,
    RenewalFound,
    RoleFound,
    TorqueFound,
    by_utterance,
)
from extract.wordforms import word_set

#: Acts by which something comes away, comes apart or goes on: there the part and the count matter.
_APART = word_set("remove loosen disconnect unclip open release collect discard cut destroy extract separate")
_TOGETHER = word_set("fit tighten connect close secure renew replace")
_NAMED_PARTS = ("part", "fastener", "seal")
_POSSIBLE = frozenset({"can", "could", "would", "might", "may"})
_COUNTABLE = frozenset({"part", "fastener", "seal", "unknown"})
_VAGUE = re.compile(r"\b(?:several|few|some|usual|various|bunch|handful|number|lots?|load|odd|many)\b", re.I)
#: Fasteners and the like that say nothing by themselves.
_BARE = word_set(
    "bolt screw nut clip pin washer bracket hose pipe cable wire plug stud connector clamp cover ring bit thing"
)
#: Pronouns of the whole machine ("tip her over").
_MACHINE = frozenset({"she", "her", "he", "him", "she's"})
#: Least distance between the two best readings of an utterance's purpose.
_CLOSE = 0.25
_PURPOSES = {
    "instruction": "a step of the work", "refit_note": "a note for the refit", "torque_note": "a tightening value", "condition": "a condition",
    "caution": "a warning", "reason": "an explanation", "heading": "an announcement", "presentation": "a remark about the film",
    "chatter": "small talk", "unclear": "unclear",
}  # fmt: skip


def find_word_flags(
    heard: Heard,
    actions: Sequence[Action],
    roles: Sequence[RoleFound],
    renewals: Sequence[RenewalFound],
    torques: Sequence[TorqueFound],
    notes: Sequence[NoteFound],
    deaf: frozenset[int],
) -> tuple[FlagFound, ...]:
    """All flags of the words in the order of the talk; `deaf` utterances have their own flag elsewhere."""
    finder = _Finder(heard, actions, roles, renewals, torques, notes)
    found: list[FlagFound] = []
    for said in heard.utterances:
        if said.index not in deaf:
            found += sorted(finder.flags_of(said.index), key=lambda flag: (flag.place.start, flag.code))
    return tuple(found)


class _Finder:
    def __init__(
        self,
        heard: Heard,
        actions: Sequence[Action],
        roles: Sequence[RoleFound],
        renewals: Sequence[RenewalFound],
        torques: Sequence[TorqueFound],
        notes: Sequence[NoteFound],
    ) -> None:
        self.heard = heard
        self.roles = {found.place.utterance: found for found in roles}
        self.acts = by_utterance(actions)
        self.renewals = by_utterance(renewals)
        self.used = {one.place.utterance for one in (*actions, *renewals, *torques, *notes)}
        self.rules = load_rules("word_flags")

    def flags_of(self, index: int) -> list[FlagFound]:
        found = self._corrections(index) + self._pointed_at(index)
        found += self._unnamed(index) if not found else []
        return found + self._unclear_it(index) + self._vague(index) + self._unread(index) + self._close_call(index)

    # ------------------------------------------------------------------ self-corrections

    def _corrections(self, index: int) -> list[FlagFound]:
        """One flag an utterance in which something was taken back."""
        t = self.heard.parsed[index].tagged
        if t.repairs:
            first, goes_on = t.repairs[0]
            after = min(len(t), goes_on + 4)
            kept, gone = _names(t.low[goes_on:after]), _names(t.low[first:goes_on])
            plain = bool(kept) and kept[: len(gone)] == gone
            place = self.heard.place(index, first, after, "flag.repair")
            said = t.phrase(first, after)
            message = (
                f"The speaker corrects what was said (“{said}”): is the version after the correction the right one?"
            )
            return [
                _flag(
                    place,
                    "self_correction",
                    "info" if plain else "check",
                    message,
                    {"taken_back": t.phrase(first, goes_on)},
                )
            ]
        text = self.heard.utterances[index].analysed.lower()
        role = self.roles.get(index)
        if role is not None and role.role in ("presentation", "chatter"):
            return []
        for rule in self.rules.near(text):
            match = rule.pattern.search(text) if rule.text("code") == "self_correction" else None
            if match is not None:
                place = Place(index, match.start(), match.end(), rule.id)
                message = f"The speaker takes something back (“{match.group(0)}”): is the right version kept?"
                return [_flag(place, "self_correction", "check", message, {})]
        return []

    # ------------------------------------------------------------------ things that are not named

    def _pointed_at(self, index: int) -> list[FlagFound]:
        """ "this thing here": seen in the film, not read in the text."""
        text = without_repairs(self.heard, index)
        for rule in self.rules.near(text):
            match = rule.pattern.search(text) if rule.text("code") == "missing_object" else None
            if match is None:
                continue
            acts = [
                act for act in self.acts[index] if not act.negated and self._acts_on(act, match.start(), match.end())
            ]
            if acts:
                place = Place(index, match.start(), match.end(), rule.id)
                message = f"“{match.group(0)}” is only pointed at: which part is meant in “{acts[0].spoken_action}”?"
                return [_flag(place, "missing_object", "check", message, {"act": acts[0].spoken_action})]
        return []

    @staticmethod
    def _acts_on(act: Action, start: int, end: int) -> bool:
        return any(thing.place.start < end and start < thing.place.end for thing in act.objects) or (
            not act.objects and act.place.start <= start
        )

    def _unnamed(self, index: int) -> list[FlagFound]:
        """An act on nothing, on a pronoun that stands for nothing, or on "the bolt" of which nothing was told."""
        for act in self.acts[index]:
            if act.negated or act.done or act.phase != "work" or act.sense not in _APART:
                continue
            thing = next(iter(act.objects), None)
            if thing is None:
                if not any(other is not act and other.objects for other in self.acts[index]):
                    if self._names_part(index):
                        message = f"An act is told here (“{act.spoken_action}”), but not which part it is done to."
                        return [_flag(act.place, "unread", "check", message, {"verb": act.verb})]
                    message = f"“{act.spoken_action}” names no part: what comes off here?"
                    return [_flag(act.place, "missing_object", "check", message, {"act": act.spoken_action})]
                continue
            if thing.place.utterance != index:
                continue
            if thing.pronoun is not None and not thing.antecedents and thing.pronoun not in _MACHINE:
                message = f"“{thing.pronoun}” stands for nothing that was named before: which part is meant in “{act.spoken_action}”?"
                return [_flag(thing.place, "missing_object", "check", message, {"act": act.spoken_action})]
            if self._from_nowhere(index, act, thing):
                message = f"“{thing.text}” was never introduced: which one is meant in “{act.spoken_action}”?"
                return [_flag(thing.place, "missing_object", "check", message, {"act": act.spoken_action})]
        return []

    def _names_part(self, index: int) -> bool:
        return any(chunk.kind in _NAMED_PARTS and chunk.pronoun is None for chunk in self.heard.parsed[index].chunks)

    def _from_nowhere(self, index: int, act: Action, thing: Mention) -> bool:
        """A bare fastener with neither place nor neighbour that tells where it sits."""
        if (
            thing.pronoun is not None
            or thing.head not in _BARE
            or thing.text.lower() not in (thing.head, f"{thing.head}s")
        ):
            return False
        if (
            thing.position
            or thing.direction
            or thing.size
            or thing.quantity
            or thing.quantity_text
            or thing.determiner not in ("the", "that", "this")
        ):
            return False
        near = range(max(0, index - 3), min(len(self.heard.utterances), index + 2))
        for at in near:
            for chunk in self.heard.parsed[at].chunks:
                mention = self.heard.mention(at, chunk)
                if mention.place == thing.place or mention.pronoun is not None:
                    continue
                if mention.kind in ("part", "seal", "machine") or mention.head == thing.head:
                    return False
        return not any(
            self.heard.mention(at, chunk).head == thing.head
            for at in range(index)
            for chunk in self.heard.parsed[at].chunks
        )

    # ------------------------------------------------------------------ "it" after two things

    def _unclear_it(self, index: int) -> list[FlagFound]:
        """ "Clean the pin and the lever and put oil on it": one of two things, or both."""
        parsed = self.heard.parsed[index]
        for number, verb in enumerate(parsed.verbs[:-1]):
            if len(verb.objects) < 2 or verb.negated or not self._is_act(index, verb):
                continue
            things = [self.heard.mention(index, chunk) for chunk in verb.objects]
            if any(thing.pronoun is not None or thing.kind not in _COUNTABLE for thing in things):
                continue
            following = parsed.verbs[number + 1]
            chunk = next((one for one in _all_chunks(following) if one.pronoun == "it" and one.first > verb.at), None)
            if chunk is None or following.opener in ("if", "when", "that", "because", "so", "until", "till", "which"):
                continue
            names = list(dict.fromkeys(thing.text for thing in things))
            # "Undo the plug and the hose and lift it out": what is lifted may be a third thing, named before.
            sense = self.heard.lexicon.verb_sense(following.base, following.particle)
            lifted = sense is not None and sense.sense in _APART | _TOGETHER | {"move", "raise", "lower"}
            meant = self.heard.mention(index, chunk).text
            whole = [thing for thing in things if thing.kind != "fastener" and not thing.plural]
            if len(names) < 2 or lifted and (meant not in names or len(whole) < 2):
                continue
            told = " or ".join(f"the {name}" for name in names)
            place = self.heard.place(index, chunk.first, chunk.last, "flag.it-after-two")
            message = f"“it” can mean {told}, or both: which is meant?"
            suggestions = tuple(Suggestion(text=name, why="named just before", score=0.5) for name in names)
            return [FlagFound(place, "ambiguous_reference", "check", message, {"readings": names}, suggestions)]
        return []

    def _is_act(self, index: int, verb: VerbPhrase) -> bool:
        """A command of a known act, whether or not it became one ("if it is dry clean the pin and the lever and …")."""
        start = self.heard.parsed[index].tagged.start[verb.at]
        told = any(act.place.start <= start < act.place.end for act in self.acts[index])
        known = self.heard.lexicon.verb_sense(verb.base, verb.particle) is not None
        return told or verb.form == "b" and known and verb.subject is None

    # ------------------------------------------------------------------ counts that are none

    def _vague(self, index: int) -> list[FlagFound]:
        for act in self.acts[index]:
            if (
                act.negated
                or act.sense not in _APART | _TOGETHER
                or act.sense in ("open", "close")
                and act.phase == "work"
            ):
                continue
            for thing in act.objects:
                vague = thing.quantity_text if thing.quantity is None else None
                if not vague or not _VAGUE.search(vague) or not thing.plural or thing.kind not in _COUNTABLE:
                    continue
                message = f"How many {thing.text}? The talk only says “{self._spoken(thing, vague)}”."
                return [
                    _flag(
                        self._here(index, thing, act),
                        "vague_quantity",
                        "check",
                        message,
                        {"said": vague, "part": thing.text},
                    )
                ]
        for found in self.renewals[index]:
            if (
                found.kind != "consumable"
                and found.quantity is None
                and found.quantity_text
                and _VAGUE.search(found.quantity_text)
            ):
                message = f"How many new {found.item} parts are needed? The talk only says “{found.quantity_text}”."
                return [
                    _flag(
                        found.place,
                        "vague_quantity",
                        "check",
                        message,
                        {"said": found.quantity_text, "part": found.item},
                    )
                ]
        return []

    @staticmethod
    def _spoken(thing: Mention, vague: str) -> str:
        if vague == "usual":
            return f"the usual {thing.text}"
        return f"a {vague}" if vague in ("bunch", "handful", "number", "few", "lot", "load") else vague

    @staticmethod
    def _here(index: int, thing: Mention, act: Action) -> Place:
        place = thing.place if thing.place.utterance == index else act.place
        return Place(index, place.start, place.end, "flag.vague-count")

    # ------------------------------------------------------------------ what led to nothing, what was a close call

    def _unread(self, index: int) -> list[FlagFound]:
        """A command or a report of work on a part of which nothing came."""
        if index in self.used:
            return []
        role = self.roles.get(index)
        if role is not None and role.role in ("presentation", "unclear", "heading"):
            return []
        parsed = self.heard.parsed[index]
        for verb in parsed.verbs:
            things = [self.heard.mention(index, chunk) for chunk in verb.objects if chunk.kind in _NAMED_PARTS]
            if not things or not self._tells_work(index, verb):
                continue
            place = self.heard.place(index, verb.first, verb.last, "flag.unread")
            said = parsed.tagged.phrase(verb.first, verb.last)
            message = f"An act seems to be told here (“{said}”), but no step came of it."
            return [_flag(place, "unread", "check", message, {"verb": verb.base, "part": things[0].text})]
        return []

    def _tells_work(self, index: int, verb: VerbPhrase) -> bool:
        """A command or a report of taking apart or fitting; neither denied, asked, possible nor the name of a job."""
        sense = self.heard.lexicon.verb_sense(verb.base, verb.particle)
        if sense is None or sense.sense not in _APART | (_TOGETHER - {"replace", "renew"}):
            return False
        if verb.negated or verb.question or verb.opener is not None or set(verb.aux) & _POSSIBLE:
            return False
        if verb.subject is not None:
            return verb.subject.pronoun in ("i", "we", "you") and verb.form in ("b", "g")
        before = self.heard.parsed[index].tagged.tag[verb.first - 1] if verb.first else ""
        return verb.form == "b" or verb.form == "g" and before == "PRON"

    def _close_call(self, index: int) -> list[FlagFound]:
        """The purpose of an utterance was a close call, and a step or a note for the refit hangs on it."""
        found = self.roles.get(index)
        if found is None or not found.losers or index not in self.used:
            return []
        other, score, rule = found.losers[0]
        if found.score - score >= _CLOSE or not _weighs(found.role, other):
            return []
        message = f"This was read as {_PURPOSES[found.role]}; it could also be {_PURPOSES[other]}."
        return [
            _flag(
                found.place, "weak_reading", "info", message, {"role": found.role, "other": other, "other_rule": rule}
            )
        ]


def _weighs(role: str, other: str) -> bool:
    """Whether the two readings put the words into different places of the procedure."""
    pair = {role, other}
    return "instruction" in pair or pair == {"refit_note", "caution"}


def _all_chunks(verb: VerbPhrase) -> list[Chunk]:
    return [*verb.objects, *(chunk for phrase in verb.phrases for chunk in phrase.chunks)]


def _names(words: Sequence[str]) -> list[str]:
    """Words without articles, hesitations and punctuation, by which two wordings are compared."""
    return [
        word for word in words if word.isalnum() and word not in ("the", "a", "an", "uh", "um", "no", "sorry", "wait")
    ]


def _flag(place: Place, code: str, severity: Severity, message: str, evidence: dict[str, object]) -> FlagFound:
    return FlagFound(place, code, severity, message, evidence)
