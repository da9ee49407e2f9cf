"""Notes from what is left of a refit utterance once acts, other notes, values and new parts have taken their words.

Speakers tell much of the refit without a verb, or of the part instead of the act: "ribbed side to the handle", "in the
middle the chain shall have a slack of ten millimetres". A piece that tells how a part lies, how much, how or with what
(rules `rest`) is kept as it was said, without the speaker.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from typing import cast

from extract.findings.note_text import (
    CUT_SHORT,
    FEATURES,
    PERSONS,
    about_of,
    impersonal,
    is_thing,
    sentence,
    spoken_to_nobody,
    thing_text,
)
from extract.language.heard import Heard
from extract.language.named import subjects as named_subjects
from extract.language.phrases import Chunk
from extract.rules import load_rules, select_rules
from extract.speech import Action, NoteFound, Place, RenewalFound, TorqueFound
from extract.wordforms import word_set

_ENDS = frozenset(",;:.!?–—")
_JOINS = frozenset({"and", "but", "so", "then"})
#: Words that open a piece which goes on from the one before it.
_GOES_ON = word_set("at in on with without by not never nothing until till towards to facing no")
_MOST_WORDS, _LEAST_WORDS = 26, 2
_VALUE = re.compile(
    r"\b(?:newton|foot|inch)[ -](?:met(?:re|er)s?|pounds?)\b|\bnm\b|\bturns?\b|\bdegrees?\b", re.IGNORECASE
)
#: A piece that only says when something else is done, or asks or exclaims.
_NO_NOTE = re.compile(
    r"^\W*(?:if|when|whenever|because|cos|cause|since|as (?:the|they|it|these|those)|which|who|what|how|why|i|i'm|i've"
    r"|that's (?:why|how|it|what|all)|we're|we've|otherwise|or|not (?:just|only)|heads up)\b|\bcomes? (?:ready|with)\b|'ll\b|^\W*(?:it|she|that) (?:takes?|holds?)\b",
    re.IGNORECASE,
)
#: Pieces that take something away from what was said right before them.
_LIMITS = re.compile(r"^(?:but |and )?(?:never|not|nothing|no)\b", re.IGNORECASE)
#: What is measured is no part; the note belongs to the part that it is measured on.
_MEASURED = word_set(
    "thickness length gap slack clearance backlash level tension distance depth pressure play give float preload height width time"
)
#: Rules that hold where only a tightening value is told, or where the talk seems to be idle.
_HOW = frozenset({"note.rest-how", "note.rest-line"})
_TAKEN_BACK = re.compile(r"^(?:no|naw|nah|nope|sorry|i tell a lie|i mean|wait|hang on)\b", re.IGNORECASE)
_THAT_IS = re.compile(
    r"^(?:(?:and|so|then|but) )*(?:that's|that is|which is|which makes|this is|it's|it is) (?=(?:about |just |only )?(?:\d|an?|half|one|two|three|four|five|six|ten|twenty|thirty)\b)"
)
_NO_SUBJECT = re.compile(r"^(?:must|has to|have to|should|shall|needs? to|is|are)\b", re.IGNORECASE)
_REVERSE = ("phase.reverse-order",)


class Leftovers:
    """Reads the pieces of the refit that nothing else has read."""

    def __init__(
        self,
        heard: Heard,
        acts: Mapping[int, Sequence[Action]],
        renewals: Mapping[int, Sequence[RenewalFound]],
        torques: Mapping[int, Sequence[TorqueFound]],
        chatter: frozenset[int],
    ) -> None:
        self.heard = heard
        self.acts = acts
        self.renewals = renewals
        self.torques = torques
        self.rules = select_rules("notes", "part", "rest")
        self.chatter = chatter
        self.reverse = [rule for rule in load_rules("phases") if rule.id in _REVERSE]

    def of(self, index: int, told: Sequence[NoteFound]) -> list[NoteFound]:
        """Notes of the pieces of a refit utterance that neither `told` nor an act, a value or a new part covers."""
        text = self.heard.searched(index)
        if text.rstrip().endswith("?") or any(rule.pattern.search(text) for rule in self.reverse):
            return []
        found = []
        for first, last in self._runs(index, told):
            note = self._note(index, first, last)
            if note is not None:
                found.append(note)
        return found

    # ------------------------------------------------------------------ pieces

    def _pieces(self, index: int) -> list[tuple[int, int]]:
        """Tokens of the pieces between commas, and between "and" or "but" where the second one has a verb of its own."""
        t = self.heard.parsed[index].tagged
        verbs = {verb.at for verb in self.heard.parsed[index].verbs}
        cuts = [i for i in range(len(t)) if t.low[i] in _ENDS]
        for i in range(1, len(t) - 1):
            number = t.tag[i - 1] == "NUM" or t.number[i - 1] is not None  # "four hundred and eighty"
            if t.low[i] not in _JOINS or i - 1 in cuts or t.tag[i - 1] == "AUX" or number and t.low[i] == "and":
                continue
            end = next((cut for cut in cuts if cut > i), len(t))
            if any(i < at < end for at in verbs) or t.low[i + 1] in ("nothing", "never", "not", "no"):
                cuts.append(i)
        pieces, start = [], 0
        for cut in [*sorted(cuts), len(t)]:
            if cut > start:
                pieces.append((start, cut))
            start = cut + 1
        return pieces

    def _runs(self, index: int, told: Sequence[NoteFound]) -> list[tuple[int, int]]:
        """Free pieces with a cue, each with the pieces behind it that only go on from it."""
        t = self.heard.parsed[index].tagged
        runs: list[tuple[int, int]] = []
        verbs = {verb.at for verb in self.heard.parsed[index].verbs}
        renewed = any(one.kind != "consumable" for one in self.renewals.get(index, ()))
        pieces = self._pieces(index)
        for number, (first, last) in enumerate(pieces):
            behind = t.phrase(*pieces[number + 1]) if number + 1 < len(pieces) else ""
            if self._covered(index, first, last, told) or _TAKEN_BACK.match(behind):
                continue
            bare = not verbs & set(range(first, last)) or last - first <= _LEAST_WORDS
            before = pieces[number - 1] if number else None
            joined = bool(runs) and before is not None and runs[-1][1] == before[1]
            if bare and joined and t.low[first] in _GOES_ON:
                runs[-1] = (runs[-1][0], last)
            elif bare and _LIMITS.match(t.phrase(first, last)):
                # "… with a cardboard, not your hand": what it limits stands before it.
                whole = before is not None and before[1] - before[0] > _LEAST_WORDS and not self.torques.get(index)
                if whole and not renewed and t.low[last - 1] != "more":
                    runs.append((before[0], last))
            elif self._rule(index, first, last) is not None:
                runs.append((first, last))
        return runs

    def _covered(self, index: int, first: int, last: int, told: Sequence[NoteFound]) -> bool:
        t = self.heard.parsed[index].tagged
        start, end = t.start[first], t.end[last - 1]
        acts = [act for act in self.acts.get(index, ()) if not act.negated]
        if any(start <= act.place.start < end for act in acts):
            return True
        if any(start <= one.place.start < end for one in self.renewals.get(index, ()) if one.kind != "consumable"):
            return True
        if any(_overlap(note.place, start, end) * 2 > end - start or start <= note.place.start < end for note in told):
            return True
        text = t.phrase(first, last)
        if any(one.amount_value is not None and one.amount_text in text for one in self.renewals.get(index, ())):
            return True
        return bool(self.torques.get(index)) and _VALUE.search(text) is not None

    def _rule(self, index: int, first: int, last: int) -> str | None:
        text = self.heard.parsed[index].tagged.phrase(first, last).lower()
        if _NO_NOTE.search(text):
            return None
        only_how = index in self.torques and bool(self.torques[index]) or index in self.chatter
        rules = [rule for rule in self.rules.near(text) if not only_how or rule.id in _HOW]
        return next((rule.text("kind") for rule in rules if rule.pattern.search(text)), None)

    # ------------------------------------------------------------------ text

    def _note(self, index: int, first: int, last: int) -> NoteFound | None:
        parsed = self.heard.parsed[index]
        t = parsed.tagged
        kind = self._rule(index, first, last) or "check"
        opened = _THAT_IS.match(t.phrase(first, last).lower())
        if opened:
            first = next(i for i in range(first, last) if t.start[i] >= t.start[first] + opened.end())
        text = self._with_subject(index, first, impersonal(spoken_to_nobody(self.heard, index, first, last)))
        if PERSONS.search(text) or CUT_SHORT.search(text) or not _LEAST_WORDS <= len(text.split()) <= _MOST_WORDS:
            return None
        about = next(
            filter(None, (self._about(index, chunk) for chunk in parsed.chunks if first <= chunk.first < last)), None
        )
        if about is None and kind == "handle":
            about = self._joint(index)
        if t.low[first] == "with":  # "the wheel, with a gap of two millimetres to the housing"
            before = [chunk for chunk in parsed.chunks if chunk.last <= first]
            about = next(filter(None, (self._about(index, chunk) for chunk in reversed(before))), about)
        renewed = [one.item for one in self.renewals.get(index, ()) if one.kind != "consumable"]
        about = about or (renewed[0] if len(renewed) == 1 else None)
        if about and text.lower().startswith("with "):
            text = f"fit the {about} {text}"
        elif about and re.match(r"(?:working|going|starting) ", text, re.IGNORECASE) and self._joint(index) == about:
            text = f"tighten the {about}, {text}"
        place = Place(index, t.start[first], t.end[last - 1], "note.rest")
        return NoteFound(place, cast(str, kind), sentence(text), about, "refit")  # type: ignore[arg-type]

    def _about(self, index: int, chunk: Chunk) -> str | None:
        """The part that a noun phrase of a piece names, if it names one."""
        pointed = chunk.pronoun is not None and chunk.pronoun not in ("it", "they", "them")
        at_the_end = self.heard.parsed[index].tagged.low[max(0, chunk.first - 1) : chunk.first] == ["at"]
        if pointed or not is_thing(chunk) or chunk.noun in _MEASURED or at_the_end and chunk.noun == "end":
            return None
        if chunk.noun in FEATURES:
            return about_of(self.heard, index, chunk)
        mention = self.heard.mention(index, chunk)
        known = mention.kind in ("part", "fastener", "seal", "machine")
        return about_of(self.heard, index, chunk, ("of",)) if known or chunk.determiner is not None else None

    def _joint(self, index: int) -> str | None:
        """The joint of a tightening value in the same words, or right before them."""
        near = [one for at in (index, index - 1) for one in self.torques.get(at, ()) if one.scope == "step"]
        return near[0].joint if near else None

    def _with_subject(self, index: int, first: int, text: str) -> str:
        """ "… and must not be used": what it is said of stands before the piece."""
        verb = next((one for one in self.heard.parsed[index].verbs if one.at >= first), None)
        if verb is None or not _NO_SUBJECT.match(text):
            return text
        told = next((one for one in self.heard.parsed[index].verbs if one.subject is not None), verb)
        chunks = named_subjects(self.heard, index, told.first)
        things = [thing_text(self.heard, index, chunk) for chunk in chunks]
        opens = bool(chunks) and chunks[0].first <= 1 and all(things)
        return f"{' and '.join(filter(None, things))} {text}" if opens else ""


def _overlap(place: Place, start: int, end: int) -> int:
    return max(0, min(place.end, end) - max(place.start, start))
