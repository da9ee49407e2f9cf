"""Rules for the text of a procedure that a program can check, and what of a draft does not keep to them.

The rules come from published writing standards; each says from where. Passing them shows no conformity with any
standard: a program sees words, not whether a mechanic understands them.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from extract.lexicon import Lexicon
from extract.model import Caution, Condition, Draft, Note, RefitStep, Step
from extract.procedure.wording import MAX_WORDS, NUMBER_UNIT, WORD, count_words

STE = "ASD-STE100 Issue 9, rule {} (second-hand)"
MOST_WORDS_IN_A_NOTE = 25
MOST_NOUNS_IN_A_ROW = 3


@dataclass(frozen=True, slots=True)
class Rule:
    """What is asked, and which standard asks it."""

    id: str
    asks: str
    source: str


@dataclass(frozen=True, slots=True)
class Point:
    """A text that does not keep to a rule: `entry` is its id, `place` how a reader finds it, `why` what is wrong."""

    rule: Rule
    entry: str
    place: str
    text: str
    why: str


LENGTH = Rule("sentence-length", "At most 20 words in an instruction or warning.", STE.format("5.1"))
NOTE_LENGTH = Rule("note-length", "At most 25 words in a note.", STE.format("6.3"))
ONE = Rule(
    "one-instruction",
    "One instruction a step, unless both are done at the same time.",
    STE.format("5.2") + "; MIL-STD-2106A, appendix B",
)
IMPERATIVE = Rule(
    "imperative", "The instruction starts with its verb.", STE.format("5.3") + "; MIL-STD-2106A, appendix B"
)
CONDITION_FIRST = Rule("condition-first", "The condition comes first, then a comma.", STE.format("5.4"))
NOTE_LIMIT = Rule(
    "limit-in-note", "A limit or tolerance stands in the step.", STE.format("5.5") + "; MIL-DTL-87268D, 3.2.2.4b"
)
NOUNS = Rule("noun-cluster", "At most three nouns in a row; spoken part names do not count.", STE.format("2.1"))
ONE_NAME = Rule("one-name", "One name for one part.", STE.format("1.11"))
ARTICLE = Rule("article", "A noun keeps its article.", STE.format("4.5"))
CONTRACTION = Rule("contraction", "No contractions.", STE.format("4.2"))
PHRASAL = Rule("phrasal-verb", "A single verb where there is one.", STE.format("9.3"))
ING = Rule("ing-form", "No -ing forms, but in names.", STE.format("3.5"))
ACTIVE = Rule("active-voice", "Active voice.", STE.format("3.6"))
WARNING_START = Rule("warning-start", "A warning starts with a command or a condition.", STE.format("7.2"))
WARNING_RISK = Rule("warning-risk", "A warning says what can happen.", STE.format("7.3") + "; MIL-DTL-87268D, 3.2.2.2")
WARNING_PLACE = Rule("warning-place", "A warning stands before the step that it concerns.", "MIL-DTL-87268D, 3.2.2.2")
BRANCH = Rule("branch", "A branch gives both outcomes.", "MIL-DTL-81218C")

RULES = (
    LENGTH,
    NOTE_LENGTH,
    ONE,
    IMPERATIVE,
    CONDITION_FIRST,
    NOTE_LIMIT,
    NOUNS,
    ONE_NAME,
    ARTICLE,
    CONTRACTION,
    PHRASAL,
    ING,
    ACTIVE,
    WARNING_START,
    WARNING_RISK,
    WARNING_PLACE,
    BRANCH,
)

_PARTICLES = "off|out|up|down|in|on|away|back|apart|over|round|through|free|open|loose"
_DETERMINERS = (
    "the|a|an|all|both|each|every|this|that|these|those|its|their|your|any|no|one|two|three|four|five|six|seven|eight|nine"
    "|ten|eleven|twelve|some|new"
)
_DETERMINED = re.compile(rf"\b(?:{_DETERMINERS}|\d+)\b", re.IGNORECASE)
# A verb right after "and" or "then", with a determined object behind it, is a second instruction.
_SECOND = re.compile(
    rf"(?:\band\b(?: then)?|,? then\b|;)\s+(\w+)(?: (?:{_PARTICLES}))?\s+(?:{_DETERMINERS}|it|them|\d+)\b",
    re.IGNORECASE,
)
# How tight, and what to do if a finding turns up, belong to the act itself.
_BELONGS = re.compile("tighten|if", re.IGNORECASE)
_CONDITION = re.compile(r"\b(if|when|unless|in case|provided|as long as)\b", re.IGNORECASE)
_CONTRACTION = re.compile(
    r"\b\w+n['’]t\b|\b\w+['’](?:ll|re|ve|m|d)\b|\b(?:it|that|there|what|let|he|she)['’]s\b"
    r"|\b\w+['’]s(?= (?:been|not|\w+ed|worn|bent|broken|gone|stuck|split|torn|loose)\b)",
    re.IGNORECASE,
)
# An -ing form that acts as a verb takes an object or stands behind a preposition or a form of "be".
_ING = re.compile(
    rf"\b(?:by|while|when|before|after|without|is|are|was|were|keep)\s+(\w+ing)\b|\b(\w+ing)\s+(?:{_DETERMINERS}|it|them)\b",
    re.IGNORECASE,
)
_PASSIVE = re.compile(r"\b(?:is|are|be|been|being|was|were)\s+(?:\w+ly\s+)?\w+(?:ed|en)\b", re.IGNORECASE)
_RISK = re.compile(
    r"\b(?:can|could|may|might|will|would)\b|\b(?:injur|burn|scald|crush|cut|break|death|kill|harm|damage|danger|explo|fire|poison|toxi|corros)\w*",
    re.IGNORECASE,
)
_COMMANDS = re.compile(
    "keep|wear|do|never|always|make|let|use|avoid|stand|take|put|hold|switch|turn|see|work|have|handle|protect|ask|mind|watch|get|lift|before",
    re.IGNORECASE,
)
_BETWEEN = re.compile(
    "a|an|the|of|in|on|at|by|to|from|with|without|for|and|or|into|onto|off|out|up|down|over|under|between|behind"
    "|through|against|along|around|across|before|after|until|while|as|than|that|this|these|those|its|their|all|both"
    "|each|one|two|three|four|five|six|seven|eight|nine|ten|new|other|same|it|them|not|no"
)


def check(draft: Draft, lexicon: Lexicon) -> list[Point]:
    """Return every text of the draft that does not keep to a rule, in the order of the document."""
    points: list[Point] = []
    for kind, entries in (("step", draft.steps), ("refit step", draft.refit)):
        for entry in entries:
            points.extend(_step(entry, f"{kind} {entry.number}", lexicon))
    for number, caution in enumerate(draft.cautions, 1):
        points.extend(_caution(caution, f"caution {number}", lexicon))
    points.extend(_names(draft))
    points.extend(_branches(draft))
    return points


def passing(draft: Draft, points: Iterable[Point]) -> tuple[int, int]:
    """Return how many instructions keep to every rule, and how many there are."""
    failed = {point.entry for point in points}
    entries = [*draft.steps, *draft.refit]
    return sum(1 for entry in entries if entry.id not in failed), len(entries)


# --------------------------------------------------------------------------- one instruction


def _step(step: Step | RefitStep, place: str, lexicon: Lexicon) -> Iterator[Point]:
    def point(rule: Rule, why: str, text: str = step.text, entry: str = step.id) -> Point:
        return Point(rule, entry, place, text, why)

    for sentence in _sentences(step.text):
        words = count_words(sentence)
        if words > MAX_WORDS:
            yield point(LENGTH, f"{words} words.")
        main = _main_clause(sentence)
        yield from (point(*found) for found in _condition(sentence))
        yield from (point(*found) for found in _verbs(main, step, lexicon))
        yield from (point(*found) for found in _wording(sentence, _spoken_names(step), lexicon))
    further = [sentence for sentence in _sentences(step.text)[1:] if not _BELONGS.match(sentence)]
    if further:
        yield point(ONE, "More than one sentence.")
    for part in step.objects:
        if _lacks_article(step.text, part.text, lexicon):
            yield point(ARTICLE, f"“{part.text}” has no article.")
    for note in step.notes:
        yield from _note(note, place)


def _note(note: Note, place: str) -> Iterator[Point]:
    for sentence in _sentences(note.text):
        words = count_words(sentence)
        if words > MOST_WORDS_IN_A_NOTE:
            yield Point(NOTE_LENGTH, note.id, f"note of {place}", note.text, f"{words} words.")
    if note.kind == "reason" and NUMBER_UNIT.search(note.text):
        yield Point(NOTE_LIMIT, note.id, f"note of {place}", note.text, "A value stands in an explanation.")
    if _CONTRACTION.search(note.text):
        yield Point(CONTRACTION, note.id, f"note of {place}", note.text, "Write the words out.")


def _sentences(text: str) -> list[str]:
    return [found for found in re.split(r"(?<=[.!?])\s+(?=[A-Z])", text.strip()) if found]


def _main_clause(sentence: str) -> str:
    """What follows a leading condition: "If it is scored, renew the shaft." gives "renew the shaft."."""
    if _CONDITION.match(sentence) or re.match(r"(?:for|on|with|after|before|while)\b", sentence, re.IGNORECASE):
        _, comma, rest = sentence.partition(",")
        return rest.strip() if comma else sentence
    return sentence


def _condition(sentence: str) -> Iterator[tuple[Rule, str]]:
    found = _CONDITION.search(sentence)
    if found and found.start() > 0:
        yield CONDITION_FIRST, f"The condition “{found.group()} …” follows the instruction."
    elif found and "," not in sentence:
        yield CONDITION_FIRST, "No comma after the condition."


def _verbs(main: str, step: Step | RefitStep, lexicon: Lexicon) -> Iterator[tuple[Rule, str]]:
    words = [word.lower() for word in WORD.findall(main)]
    if not words:
        return
    lead = 2 if words[:2] == ["do", "not"] else 1 if words[0] == "never" else 0
    words = words[lead:] or words
    first = words[0]
    if first != step.action.split()[0] and not lexicon.verb_senses(first):
        yield IMPERATIVE, f"Starts with “{first}”."
    for found in _SECOND.finditer(main):
        second = found.group(1).lower()
        if lexicon.verb_senses(second) and WORD.findall(main[: found.start()])[1:]:
            yield ONE, f"“{first}” and “{second}” are two instructions."
    particle = words[1] if len(words) > 1 and re.fullmatch(_PARTICLES, words[1]) else None
    sense = lexicon.verb_sense(first, particle) if particle else None
    if sense and particle in sense.particles and " " not in sense.plain and sense.plain not in (first, ""):
        yield PHRASAL, f"“{first} {particle}”: “{sense.plain}” says it in one word."


def _wording(sentence: str, names: set[str], lexicon: Lexicon) -> Iterator[tuple[Rule, str]]:
    found = _CONTRACTION.search(sentence)
    if found:
        yield CONTRACTION, f"“{found.group()}”: write the words out."
    rest = _without_names(sentence, names, lexicon)
    for found in _ING.finditer(rest):
        word = found.group(1) or found.group(2)
        if lexicon.term(word.lower()) is None and not lexicon.verb_senses(word.lower()):
            yield ING, f"“{word}”."
    main = _main_clause(rest)
    passive = _PASSIVE.search(main)
    if passive:
        yield ACTIVE, f"“{passive.group()}”."
    row: list[str] = []
    for word in [*(w.lower() for w in WORD.findall(rest)), ""]:
        if word and not _BETWEEN.fullmatch(word) and _is_noun(word, lexicon):
            row.append(word)
            continue
        if len(row) > MOST_NOUNS_IN_A_ROW:
            yield NOUNS, f"“{' '.join(row)}”: {len(row)} nouns in a row."
        row = []


def _is_noun(word: str, lexicon: Lexicon) -> bool:
    known = lexicon.english.get(word)
    return known is not None and known.classes[:1] == ("N",)


def _spoken_names(step: Step | RefitStep) -> set[str]:
    """The names and places that the speaker gave: parts, tools and where they sit or go."""
    names = {name for part in step.objects for name in (part.text, part.position, part.direction) if name}
    return names | set(step.tools if isinstance(step, Step) else ())


def _without_names(sentence: str, names: set[str], lexicon: Lexicon) -> str:
    """The sentence without these names and their plurals."""
    for name in sorted(names | {lexicon.plural(name.lower()) for name in names}, key=lambda n: (-len(n), n)):
        sentence = re.sub(rf"\b{re.escape(name)}\b", "·", sentence, flags=re.IGNORECASE)
    return sentence


def _lacks_article(text: str, name: str, lexicon: Lexicon) -> bool:
    """Whether a singular name stands bare. Plurals and stuff ("oil", "grease") need no article everywhere."""
    found = re.search(rf"\b{re.escape(name)}\b", text, re.IGNORECASE)
    if found is None or lexicon.plural(name.lower()) == name.lower() or not name[:1].islower():
        return False
    term = lexicon.term(name.lower())
    if term is not None and term.kind in ("fluid", "material"):
        return False
    before = text[: found.start()]
    return not _DETERMINED.search(before[-40:])


# --------------------------------------------------------------------------- cautions, names, branches


def _caution(caution: Caution, place: str, lexicon: Lexicon) -> Iterator[Point]:
    def point(rule: Rule, why: str) -> Point:
        return Point(rule, caution.id, place, caution.text, why)

    for sentence in _sentences(caution.text):
        words = count_words(sentence)
        if words > MAX_WORDS:
            yield point(LENGTH, f"{words} words.")
        if _CONTRACTION.search(sentence):
            yield point(CONTRACTION, "Write the words out.")
    first = next((word.lower() for word in WORD.findall(caution.text)), "")
    if not (_CONDITION.match(caution.text) or _COMMANDS.fullmatch(first) or lexicon.verb_senses(first)):
        yield point(WARNING_START, f"Starts with “{first}”.")
    if caution.signal_word != "NOTICE" and not _RISK.search(caution.text):
        yield point(WARNING_RISK, "Nothing says what can happen.")
    if not caution.steps and not caution.refit:
        yield point(WARNING_PLACE, "It belongs to no step.")


def _names(draft: Draft) -> Iterator[Point]:
    """The same part under names of which none is the short form of the other."""
    first_name: dict[str, str] = {}
    told: set[tuple[str, str]] = set()
    for kind, entries in (("step", draft.steps), ("refit step", draft.refit)):
        for entry in entries:
            for part in entry.objects:
                name = _plain_name(part.text)
                known = first_name.setdefault(part.same_as or part.id, name)
                first_name.setdefault(part.id, known)
                differs = not (known.endswith(name) or name.endswith(known))
                if differs and (known, name) not in told:
                    told.add((known, name))
                    why = f"“{name}” was “{known}” before."
                    yield Point(ONE_NAME, entry.id, f"{kind} {entry.number}", entry.text, why)


def _plain_name(text: str) -> str:
    words = [word for word in re.findall(r"[\w\-]+", text.lower()) if not _BETWEEN.fullmatch(word)]
    return re.sub(r"(?<=[^s])s\b", "", " ".join(words))


def _branches(draft: Draft) -> Iterator[Point]:
    """A variant of which the talk tells only one side."""
    variants = [c for c in draft.conditions if c.kind == "variant"]
    sides: dict[str, set[tuple[tuple[str, ...], bool]]] = {}
    for condition in variants:
        values = condition.values or ((condition.value,) if condition.value else ())
        sides.setdefault(_axis(condition), set()).add((tuple(values), condition.negated))
    told: set[str] = set()
    for condition in variants:
        axis = _axis(condition)
        if len(sides[axis]) == 1 and axis not in told and condition.steps:
            told.add(axis)
            why = f"Nothing is said for the case that “{condition.text}” does not hold."
            yield Point(BRANCH, condition.id, "condition", condition.text, why)


def _axis(condition: Condition) -> str:
    return (condition.axis or condition.text).lower()
