"""Cautions: the warnings that the speaker gives, and the usual ones for hazards that the work touches."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace
from typing import Literal

from extract.findings.caution_text import complete, written
from extract.findings.caution_text import rules as wording_rules
from extract.findings.note_text import named_by
from extract.findings.sections import section_of, section_starts
from extract.language.heard import Heard
from extract.language.phrases import Chunk
from extract.rules import Rule, load_rules
from extract.speech import Action, CautionFound, Place, by_utterance

Signal = Literal["DANGER", "WARNING", "CAUTION", "NOTICE"]
#: Hazards of spoken warnings that are none of the table.
_OTHER_INJURY, _OTHER_DAMAGE = "other-injury", "other-damage"
#: Harm that is slight: bumps, cuts, strained backs.
_SLIGHT = re.compile(
    r"\b(?:head on|elbows?|toes|shins|knees|knuckles|thumbs?|edges?|sharp|heav(?:y|ier)|weighs?|lift with)\b"
)
#: Letters one of which any warning holds; they only save the time of searching.
_WARNS = (
    "n't", "not", "never", "nt ", "mind", "careful", "danger", "watch", "keep", "wear", "care", "heav", "weigh", "can ", "could",
    "will", "'ll", "may ", "must", "only", "risk", "hazard", "toxic", "sharp", "pressure", "tension", "load", "goggles", "gloves",
    "mask", "glasses", "protection", "easy", "gently", "caution", "warning", "beware", "heads up", "scald", "burn", "poison", "nasty", "your ", "forbid", "prohibit",
    "allowed", "attention", "nobody", "no one", "slippery", "live", "roasting", "flammable", "explosive", "corrosive", "spring", "s off", "like a ", "across the", "reserved", "electrician", "competent", "qualified", "licensed",
)  # fmt: skip
#: What parts a warning from the act before, and from the act behind it.
_PARTS_BEHIND = re.compile(r"\s*(?:[,;.:]|\b(?:and|but|so|then|because)\b)")
#: What leans on the words before it: they are its reason, or tell what it is about.
_GOES_ON = re.compile(
    r"[,;]?\s*(?:(?:and )?so (?!now|next|then)|because|as it|never \w+(?:ed|en)\b|not \w+(?:ed|en)\b)"
)
_PARTS_BEFORE = re.compile(r"(?:[,;.:]|\b(?:and|but|so|then)\b[\w' ]{0,14})\s*$")
_JOIN_BEFORE = re.compile(r"^\W*(?:(?:and|but|so|then)\b\W*)*", re.IGNORECASE)
_JOIN_BEHIND = re.compile(r"\W*\b(?:(?:and|but|so|then|now|first|up|just|you|i'm|we)\b\W*)+$", re.IGNORECASE)
#: Where an act takes a part from: it belongs to what the hazard is about, where the part goes does not.
_FROM = ("off", "from", "out of", "of", "on", "at", "in")


def find_cautions(
    heard: Heard, actions: Sequence[Action], deaf: frozenset[int], equipment_caution: bool = False
) -> tuple[CautionFound, ...]:
    """Spoken warnings and usual cautions in the order of the talk; one usual caution a hazard and section.

    With `equipment_caution` the signal word for harm to equipment only is CAUTION instead of NOTICE.
    """
    section = section_of(heard, section_starts(heard, actions))
    acts = by_utterance(actions)
    spoken = [
        found
        for said in heard.utterances
        if said.index not in deaf
        for found in _spoken(heard, said.index, _working(acts[said.index]))
    ]
    told = {(found.hazard, section[found.place.utterance]) for found in spoken}
    told_at_all = {found.hazard for found in spoken}
    usual: list[CautionFound] = []
    for said in heard.utterances:
        if said.index in deaf:
            continue
        for rule, place in touched(heard, said.index, acts[said.index]):
            key = (rule.id, section[said.index])
            once = rule.text("scope") == "talk"
            if key in told or (once and rule.id in told_at_all):
                continue
            told.add(key)
            told_at_all.add(rule.id)
            usual.append(CautionFound(place, rule.id, _signal(rule), rule.text("text"), "usual"))
    found = sorted([*spoken, *usual], key=lambda one: (one.place.utterance, one.place.start, one.hazard))
    if equipment_caution:
        found = [replace(one, signal_word="CAUTION") if one.signal_word == "NOTICE" else one for one in found]
    return tuple(found)


def _working(acts: Sequence[Action]) -> list[Action]:
    return [act for act in acts if not act.negated]


def touched(heard: Heard, index: int, acts: Sequence[Action]) -> list[tuple[Rule, Place]]:
    """The hazards that the acts of an utterance touch, with the act that does."""
    if not acts:
        return []
    found: list[tuple[Rule, Place]] = []
    text = heard.utterances[index].analysed.lower()
    lines = [(act, f"{act_line(act)}; {text}") for act in acts if not act.negated]
    hazards = load_rules("hazards")
    by_words = [rule.id for rule in hazards.near(text) if rule.fields.get("words")]
    by_acts = [rule.id for rule in hazards.near("; ".join(line for _, line in lines), "acts_pattern")]
    for rule in hazards:
        if rule.id not in by_acts and rule.id not in by_words:
            continue
        act = next((act for act, line in lines if rule.search("acts_pattern", line)), None)
        if act is not None:
            found.append((rule, Place(index, act.place.start, act.place.end, f"hazard.{rule.id}")))
            continue
        words = rule.pattern.search(text) if rule.fields.get("words") else None
        if words is not None:
            found.append((rule, Place(index, words.start(), words.end(), f"hazard.{rule.id}")))
    return found


def act_line(act: Action) -> str:
    """An act as a line that rules search: "remove remove: top hose off the radiator"."""
    things = []
    for thing in act.objects:
        around = [place for place in (thing.position, thing.direction) if place and place.startswith(_FROM)]
        things.append(" ".join([thing.text, *around]))
    return f"{act.sense} {act.plain or act.verb}: {', '.join(things)}".lower()


def _signal(rule: Rule) -> Signal:
    return rule.text("signal")  # type: ignore[return-value]


# ---------------------------------------------------------------- what the speaker warns of


def _spoken(heard: Heard, index: int, acts: Sequence[Action]) -> list[CautionFound]:
    analysed = heard.utterances[index].analysed
    if not any(letters in analysed.lower() for letters in _WARNS):
        return []
    told = _without_purposes(analysed.lower())
    start, end = _warning_words(analysed, told, acts)
    text = analysed[start:end]
    low = text.lower()
    rule = _warning(told[start:end], bool(acts))
    if rule is None or len(low.split()) < 2:
        return []
    hazard = _hazard(low)
    signal = _spoken_signal(low, hazard)
    if hazard is not None and signal == "NOTICE" and not hazard.fields.get("damage"):
        hazard = None
    name = hazard.id if hazard is not None else _OTHER_DAMAGE if signal == "NOTICE" else _OTHER_INJURY
    place = Place(index, start, end, rule.id)
    wording = written(_ones_named(heard, index, start, end), _subject(heard, index, end), _base_forms(heard, index))
    return [CautionFound(place, name, signal, complete(wording, *_usual_words(hazard, signal)), "spoken")]


def _ones_named(heard: Heard, index: int, start: int, end: int) -> str:
    """The words with "the right-hand one" written out: nobody who reads a warning should have to ask which.

    So is the first "it" or "them" that stands for what the same sentence named before the warning.
    """
    t = heard.parsed[index].tagged
    text = heard.utterances[index].analysed[start:end]
    for chunk in sorted(heard.parsed[index].chunks, key=lambda one: one.first, reverse=True):
        if not (start <= t.start[chunk.first] and t.end[chunk.last - 1] <= end) or chunk.pronoun is None:
            continue
        name = named_by(heard, index, chunk)
        if name is None:
            continue
        if chunk.pronoun.endswith((" one", " ones")) or _unnamed(heard, index, chunk, text):
            text = text[: t.start[chunk.first] - start] + name + text[t.end[chunk.last - 1] - start :]
    return text


def _unnamed(heard: Heard, index: int, chunk: Chunk, text: str) -> bool:
    """Whether an object pronoun is the first of the sentence, and what it stands for stands before the warning."""
    t = heard.parsed[index].tagged
    if chunk.pronoun not in ("it", "them") or not chunk.first or t.tag[chunk.first - 1] not in ("VERB", "PREP", "PART"):
        return False
    found = heard.mention(index, chunk)
    first = next((one for one in heard.parsed[index].chunks if one.pronoun in ("it", "them", "they")), chunk)
    before = heard.utterances[index].analysed.removesuffix(text).lower()
    return first is chunk and found.head not in text.lower() and found.text.lower() in before


def _usual_words(hazard: Rule | None, signal: Signal) -> tuple[str, str]:
    """What to do, and what can happen, for a spoken warning that leaves one of them unsaid."""
    if hazard is not None:
        avoidance, harm = re.split(r"(?<=\.) ", hazard.text("text"))[:2]
        return avoidance, harm
    harm = "the part can be damaged" if signal == "NOTICE" else "somebody can be injured"
    return "Take care.", f"Otherwise, {harm}."


def _without_purposes(low: str) -> str:
    """The words with blanks for "so you don't …", which says what an act is good for and warns of nothing."""
    for rule in wording_rules("purpose"):
        low = rule.pattern.sub(lambda match: " " * len(match.group()), low)
    return low


def _warning_words(text: str, told: str, acts: Sequence[Action]) -> tuple[int, int]:
    """The words of a sentence beside its acts: "keep your hands off, so first undo …" warns before it instructs."""
    cues = [match for rule in wording_rules("strong") for match in rule.pattern.finditer(told)]
    if not cues or not acts:
        return 0, len(text)
    ends = [act.place.end for act in acts if act.place.end <= cues[0].start()]
    starts = [act.place.start for act in acts if act.place.start >= cues[-1].end()]
    start = max((end for end in ends if _PARTS_BEHIND.match(told[end:]) and not _GOES_ON.match(told[end:])), default=0)
    end = min((begin for begin in starts if _PARTS_BEFORE.search(told[:begin])), default=len(text))
    start += len(text[start:end]) - len(_JOIN_BEFORE.sub("", text[start:end]))
    return start, start + len(_JOIN_BEHIND.sub("", text[start:end]))


def _warning(low: str, working: bool) -> Rule | None:
    """The rule that makes the words a warning; beside acts only the strong words do."""
    if any(rule.pattern.search(low) for rule in wording_rules("not").near(low)):
        return None
    if working and not any(rule.pattern.search(low) for rule in wording_rules("strong").near(low)):
        return None
    roles = load_rules("roles").near(low)
    if any(rule.pattern.search(low) for rule in roles if rule.text("role") in ("presentation", "condition")):
        return None
    warning = [rule for rule in roles if rule.text("role") == "caution" and rule.number("weight") >= 2.5]
    found = next((rule for rule in warning if rule.pattern.search(low)), None)
    if found is None and any(rule.pattern.search(low) for rule in wording_rules("injury").near(low)):
        found = next((rule for rule in wording_rules("forbid").near(low) if rule.pattern.search(low)), None)
    return found or next((rule for rule in wording_rules("warn").near(low) if rule.pattern.search(low)), None)


def _hazard(low: str) -> Rule | None:
    """The hazard that the words name first."""
    found = [
        (match.start(), number, rule)
        for number, rule in enumerate(load_rules("hazards").near(low))
        if (match := rule.pattern.search(low))
    ]
    return min(found, key=lambda entry: entry[:2])[2] if found else None


def _base_forms(heard: Heard, index: int) -> dict[str, str]:
    """Base forms of the words in -ing, and of participles behind "never"."""
    forms: dict[str, str] = {}
    english = heard.lexicon.english
    for word in heard.parsed[index].tagged.low:
        if not word.endswith(("ing", "ed", "en")):
            continue
        verbs = [base for base, form in heard.lexicon.verb_forms.get(word, ()) if form in ("g", "n", "dn")]
        lemma = verbs[0] if verbs else english[word].lemma_verb if word in english else None
        if lemma and lemma != word:
            forms[word] = lemma
    return forms


def _spoken_signal(low: str, hazard: Rule | None) -> Signal:
    """By what can happen: death, injury, a slight injury, or damage only."""
    about = {
        use for use in ("death", "injury", "damage") if any(rule.pattern.search(low) for rule in wording_rules(use))
    }
    usual = _signal(hazard) if hazard is not None else None
    if "death" in about:
        return "DANGER" if usual == "DANGER" else "WARNING"
    if "injury" in about:
        if usual in ("DANGER", "WARNING"):
            return usual
        return "CAUTION" if usual == "CAUTION" or _SLIGHT.search(low) else "WARNING"
    if "damage" in about:
        return "NOTICE"
    return usual or "NOTICE"


def _subject(heard: Heard, index: int, end: int) -> str | None:
    """The thing that the sentence begins with, if it has a name of its own."""
    for chunk in heard.parsed[index].chunks:
        mention = heard.mention(index, chunk)
        if mention.kind in ("person", "abstract", "place") or mention.place.start >= end or mention.quantity:
            return None
        if mention.pronoun:
            return mention.antecedents[0] if len(mention.antecedents) == 1 else None
        return mention.text
    return None
