"""Words that open, reverse, end or skip a condition, read utterance by utterance."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from extract.findings.condition_axes import Meaning
from extract.findings.condition_text import Sentence, rules_for
from extract.findings.condition_values import read_meaning
from extract.rules import Rule, load_rules

Ends = Literal["spoken", "else", "rejoin", "heading", "never"]
CueKind = Literal["open", "announce", "again", "else", "rejoin", "skip"]

_ONE_STEP = re.compile(r"\b(?:next|following|coming) (?:step|operation)\b")
_SECTIONS = frozenset({"bit", "part", "section", "point", "place", "step", "stage", "end", "job"})


@dataclass(frozen=True, slots=True)
class Cue:
    """Words of an utterance, characters `start` to `end`, that begin, reverse, resume or end a condition.

    `count` is the number of steps that are announced; `landing` the nouns of the place where a skip ends.
    """

    kind: CueKind
    rule: str
    start: int
    end: int
    meaning: Meaning | None = None
    count: int | None = None
    landing: tuple[str, ...] = ()


@dataclass(slots=True)
class Scope:
    """A condition while the talk goes on; `left` steps still to come, or null where its end must be told.

    `number` is its place among all conditions, `governed` the utterances that it governs, in order.
    """

    number: int
    cue: Cue
    meaning: Meaning | None
    utterance: int
    governed: list[int]
    left: int | None = None
    listed: bool = False
    ends: Ends = "spoken"
    resumes_at: int | None = None
    parent: int | None = None
    governs_from: int = 0
    governs_until: int | None = None

    @property
    def negated(self) -> bool:
        return self.meaning is not None and self.meaning.negated


def read_cues(sentence: Sentence, known: Sequence[Meaning]) -> list[Cue]:
    """The cues of an utterance in the order of its words; `known` are the conditions told before, latest last."""
    plain = sentence.plain
    found: list[Cue] = []
    rules: defaultdict[str, list[Rule]] = defaultdict(list)
    for rule in load_rules("conditions").near(plain):
        rules[rule.text("cue")].append(rule)
    announcing = [match for rule in rules["announce"] if (match := rule.pattern.search(plain))]
    announced = announcing[0].end() if announcing else -1
    for rule in rules["open"]:
        for match in rule.pattern.finditer(plain):
            meaning, last = read_meaning(
                sentence, rule, match, [*known, *(cue.meaning for cue in found if cue.meaning)], announced
            )
            if meaning is None:
                continue
            start, end = sentence.span(match.start(), max(last, match.end()))
            start += len(plain[match.start() :]) - len(plain[match.start() :].lstrip(" ,;."))
            if rule.fields.get("joined") and not any(cue.kind == "open" and 0 <= start - cue.end <= 6 for cue in found):
                continue
            if not any(_same(cue, start, end, meaning) for cue in found):
                found.append(Cue("open", rule.id, start, end, meaning))
    for kind in ("announce", "again", "else", "rejoin"):
        for rule in rules[kind]:
            match = rule.pattern.search(plain)
            if match is not None and known and rule.id == "else.partner":
                found = [cue for cue in found if cue.rule != "open.subject"]
            if match is not None and (kind in ("announce", "rejoin") or known):
                if kind == "else" and _opens_here(sentence, match, found):
                    continue
                start, end = sentence.span(match.start(), match.end())
                found.append(Cue(kind, rule.id, start, end, count=_told_count(match)))  # type: ignore[arg-type]
                break
    skip = _skip(sentence, rules["skip"])
    if skip is not None:
        found.append(skip)
        # "if it's just the motor that you've come for": the case of a skip, no variant of the machine.
        found = [
            cue
            for cue in found
            if cue.kind != "open" or cue.meaning and (cue.meaning.kind == "variant" or skip.rule == "skip.to")
        ]
    return sorted(found, key=lambda cue: (cue.start, cue.end))


def _count(text: str | None) -> int | None:
    return None if text is None else int(text) if text.isdigit() else {"couple of": 2}.get(text)


def _told_count(match: re.Match[str]) -> int | None:
    """How many steps the words announce, or leave out: "the next two steps", "the next step"."""
    count = _count(match.groupdict().get("count"))
    return 1 if count is None and _ONE_STEP.search(match.group()) else count


def _same(cue: Cue, start: int, end: int, meaning: Meaning) -> bool:
    """Whether these words have told this, or a different, condition already."""
    if cue.kind != "open" or cue.meaning is None or cue.start >= end or start >= cue.end:
        return False
    nested = cue.rule in ("open.kind-with", "open.kind-without") and cue.meaning.axis != meaning.axis
    return not nested or cue.meaning.value == meaning.value


def _opens_here(sentence: Sentence, match: re.Match[str], found: list[Cue]) -> bool:
    """Whether the words that would reverse the condition before already tell one of their own."""
    start, end = sentence.span(match.start(), match.end())
    return any(cue.kind == "open" and cue.start < end and start <= cue.end + 1 for cue in found)


def _skip(sentence: Sentence, rules: Sequence[Rule]) -> Cue | None:
    plain = sentence.plain
    for rule in rules:
        match = rule.pattern.search(plain)
        if match is None or re.search(
            r"\b(?:never|don't|do not|mustn't|can't|not)\s+(?:\w+\s)?$", plain[: match.start()]
        ):
            continue
        opener = re.search(r"\b(?:if|unless|when|where|those|anyone)\b", plain)
        start, end = sentence.span(min(opener.start(), match.start()) if opener else match.start(), match.end())
        landing = _landing(sentence, match.end()) if rule.id == "skip.to" else ()
        if not landing:
            for land in rules_for("land"):
                there = land.pattern.search(plain, match.start())
                if there is not None:
                    landing = _landing(sentence, there.end())
        return Cue("skip", rule.id, start, end, count=_told_count(match), landing=landing)
    return None


def _nouns(sentence: Sentence, words: Sequence[str]) -> list[str]:
    return [sentence.lexicon.singular(word) for word in words if word not in ("the", "all", "of")]


def _landing(sentence: Sentence, at: int) -> tuple[str, ...]:
    """The words of the first part that is named behind `at`."""
    first = sentence.token(at)
    things = [chunk for chunk in sentence.parsed.chunks if chunk.last > first and chunk.pronoun is None]
    for chunk in things:
        if chunk.noun in _SECTIONS and len(sentence.words(chunk)) < 2:
            continue
        return tuple(_nouns(sentence, [word.lower() for word in sentence.words(chunk)]))
    return ()
