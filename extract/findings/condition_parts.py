"""Parts that only exist under a condition: notes about them, and work that goes on with them, come under it too."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace

from extract.findings.condition_cues import Cue, Scope
from extract.language.heard import Heard
from extract.language.phrases import Chunk
from extract.speech import Action, Mention

_WORD = re.compile(r"[\w-]+")
_PARTS = frozenset({"part", "fastener", "seal", "unknown"})
_NO_NAMES = frozenset(
    [
        "the",
        "a",
        "an",
        "of",
        "in",
        "on",
        "at",
        "to",
        "from",
        "off",
        "out",
        "into",
        "onto",
        "with",
        "for",
        "up",
        "down",
        "its",
        "his",
        "their",
        "your",
        "this",
        "that",
        "these",
        "those",
    ]
)


@dataclass(slots=True)
class _Named:
    """A part that was named: its words, the words of its place, and the conditions that held there."""

    utterance: int
    head: str
    words: frozenset[str]
    place: frozenset[str]
    held: frozenset[int] = field(default_factory=frozenset)


class _Names:
    """The parts that were named so far, by head and by their words."""

    def __init__(self) -> None:
        self.of_head: defaultdict[str, list[_Named]] = defaultdict(list)
        self.of_words: defaultdict[frozenset[str], list[_Named]] = defaultdict(list)

    def add(self, one: _Named) -> None:
        self.of_head[one.head].append(one)
        self.of_words[one.words].append(one)


class PartsUnder:
    """Finds the parts that were only named under conditions, and lets those conditions govern what is said of them later.

    `parted` are the utterances where the talk comes to another section, `starts_anew` tells a heading.
    """

    def __init__(
        self,
        heard: Heard,
        deaf: frozenset[int],
        scopes: list[Scope],
        cues: Mapping[int, Sequence[Cue]],
        acts: Mapping[int, list[Action]],
        parted: set[int],
        starts_anew: Callable[[int], bool],
    ) -> None:
        self.heard = heard
        self.deaf = deaf
        self.scopes = scopes
        self.cues = cues
        self.acts = acts
        self.parted = parted
        self.starts_anew = starts_anew

    def _working(self, index: int) -> list[Action]:
        return [act for act in self.acts[index] if act.phase == "work" and not act.negated]

    def _rejoined(self, index: int) -> bool:
        return any(cue.kind == "rejoin" for cue in self.cues.get(index, ()))

    def inherit(self) -> None:
        """Notes about a part that was only named under a condition come under it; so does work that goes on with it."""
        named = _Names()
        self.held: defaultdict[int, frozenset[int]] = defaultdict(frozenset)
        for number, scope in enumerate(self.scopes):
            for index in scope.governed:
                self.held[index] |= {number}
        for said in self.heard.utterances:
            index = said.index
            if index in self.deaf:
                continue
            held = told = self.held[index]
            if not held and self.scopes and not self._cued(index) and not self._rejoined(index):
                for number in self._inherited(index, named):
                    self.scopes[number].governed.append(index)
                    held = held | {number}
            if self.starts_anew(index) and not held or held != told and self._begins_with_pronoun(index):
                continue  # "Under it, …": "it" may be another thing, so what is named beside it is bound to nothing
            for one in self._parts(index, held):
                named.add(one)

    def _cued(self, index: int) -> bool:
        return any(cue.kind in ("open", "else", "again") for cue in self.cues.get(index, ()))

    def _parts(self, index: int, held: frozenset[int]) -> list[_Named]:
        found: list[_Named] = []
        if any(cue.kind == "skip" for cue in self.cues.get(index, ())):
            return found
        for chunk in self.heard.parsed[index].chunks:
            mention = self.heard.mention(index, chunk)
            if mention.kind not in _PARTS or not mention.text or mention.text == mention.pronoun:
                continue
            start = mention.place.start
            within = [number for number in held if self.scopes[number].utterance == index]
            if any(self._in_words(number, start) and not self._is_option(number, mention) for number in within):
                continue
            here = frozenset(n for n in held if n not in within or self._covers(n, start))
            found.append(self._name(index, mention, here, self._behind(index, chunk)))
        return found

    def _behind(self, index: int, chunk: Chunk) -> str:
        """The noun phrase that a preposition ties to this one: "four screws out of the flange"."""
        parsed = self.heard.parsed[index]
        at = chunk.last
        while parsed.tagged.tag[at : at + 1] in (["PREP"], ["PART"]):
            at += 1
        behind = parsed.chunk_at.get(at) if at > chunk.last else None
        return behind.text if behind is not None else ""

    def _in_words(self, number: int, start: int) -> bool:
        return self.scopes[number].cue.start <= start < self.scopes[number].cue.end

    def _is_option(self, number: int, mention: Mention) -> bool:
        """Whether the words of the condition name a part that only this option has, and something is done there."""
        meaning = self.scopes[number].meaning
        option = meaning is not None and meaning.kind == "option" and not meaning.negated
        return option and meaning.head == mention.head and bool(self.acts[self.scopes[number].utterance])

    def _covers(self, number: int, start: int) -> bool:
        scope = self.scopes[number]
        return scope.governs_from <= start and (scope.governs_until is None or start < scope.governs_until)

    def _name(self, index: int, mention: Mention, held: frozenset[int], behind: str = "") -> _Named:
        words = self._nouns(mention.text)
        place = self._nouns(f"{mention.position or ''} {mention.direction or ''} {behind}")
        return _Named(index, self.heard.lexicon.singular(mention.head.lower()), words, place, held)

    def _nouns(self, text: str) -> frozenset[str]:
        return frozenset(self.heard.lexicon.singular(word) for word in _WORD.findall(text.lower())) - _NO_NAMES

    def _inherited(self, index: int, named: _Names) -> list[int]:
        first = next((mention for mention in self._mentions(index) if mention.kind in _PARTS), None)
        if first is None or first.text == first.pronoun:
            return []
        held = self._held_by_name(index, first, named)
        if not held and first.pronoun and index and not self._working(index):
            held = self._held_by_pronoun(index, first, named)
        if not held:
            return []
        ends = [max(at for at in self.scopes[number].governed if at < index) for number in held]
        if self._working(index) and any(self.scopes[number].negated for number in held):
            return []  # what is done where the option lacks may well be done to everybody's part
        since = range(max(ends) + 1, index + 1)
        if self._working(index) and any(at in self.parted or at < index and self.acts[at] for at in since):
            return []
        return sorted(held)

    def _held_by_name(self, index: int, mention: Mention, named: _Names) -> frozenset[int] | None:
        of = mention.position if (mention.position or "").startswith(("of ", "for ", "from ")) else ""
        part = replace(self._name(index, mention, frozenset()), place=self._nouns(of or ""))
        for number in reversed(range(len(self.scopes))):
            meaning = self.scopes[number].meaning
            if of and meaning is not None and not meaning.negated and self._nouns(meaning.value) <= part.place:
                return frozenset({number})  # "the strap of the petrol engine"
        held = self._only_under(part, named, mention.kind == "fastener")
        if held is None and of and not named.of_head.get(part.head):
            # "the seal of the rotary union": a new name, at a part that only the option has.
            around = replace(part, head=self._last_word(of), words=part.place, place=frozenset())
            held = self._only_under(around, named)
        if held is None and len(part.words) > 1 and not any(other.words & part.words - {part.head} for other in named.of_head.get(part.head, ())):  # fmt: skip
            # "the yoke bolts": bolts that were not named themselves, at a part that only the variant has.
            owner = _WORD.findall(mention.text.lower())[-2]
            head = self.heard.lexicon.singular(owner)
            held = self._only_under(replace(part, head=head, words=frozenset({head}), place=frozenset()), named)
        return held

    def _begins_with_pronoun(self, index: int) -> bool:
        first = next((mention for mention in self._mentions(index) if mention.kind in _PARTS), None)
        return first is not None and bool(first.pronoun)

    def _held_by_pronoun(self, index: int, mention: Mention, named: _Names) -> frozenset[int] | None:
        """ "When you plug it back in": any thing that "it" may be and that the sentence before has under a condition."""
        for reading in mention.antecedents:
            words = self._nouns(reading)
            same = named.of_words.get(words, [])
            near = [other for other in same if other.utterance == index - 1 and other.held]
            if near and all(other.held for other in same):
                return near[-1].held
        return None

    @staticmethod
    def _last_word(text: str | None) -> str:
        words = _WORD.findall((text or "").lower())
        return words[-1] if words else ""

    def _mentions(self, index: int) -> list[Mention]:
        return [self.heard.mention(index, chunk) for chunk in self.heard.parsed[index].chunks]

    def _only_under(self, part: _Named, named: _Names, fastener: bool = False) -> frozenset[int] | None:
        """The conditions under which the part was always named; null where it was named without any."""
        singular = self.heard.lexicon.singular
        head = singular(part.head)
        bare = fastener and part.words == {head} and not part.place
        wanted = (part.words | part.place) - {head}
        common: frozenset[int] | None = None
        for other in named.of_head.get(head, ()):
            if not wanted <= other.words | other.place:
                continue
            if bare and (other.words != part.words or part.utterance - other.utterance > 2):
                continue
            common = other.held if common is None else common & other.held
            if not common:
                return None
        return common
