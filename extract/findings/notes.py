"""Notes: thoughts that belong to a step, written as instructions, and which part decides where they stand.

Two sources: sentences about how a part lies, is treated or must run (rules `said`), and what an act of the refit
says beyond its verb and object (rules `tail`: "by hand", "with the seam at the back"). Greasing, cleaning and
lining up that are told as acts of the refit come as actions and are no findings here.
"""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import replace
from typing import cast

from extract.findings.note_text import (
    FEATURES,
    about_of,
    chain_end,
    thing_text,
    third_person,
    without_repairs,
    word_set,
    written,
)
from extract.findings.phases import PhaseFound
from extract.language import named
from extract.language.complements import VerbPhrase
from extract.language.heard import Heard
from extract.language.phrases import Chunk
from extract.rules import Rule, load_rules
from extract.speech import Action, Mention, NoteFound, Phase, Place, RenewalFound

#: "The blanket goes on …", "the plates go in turn about": the way in which speakers tell that a part is fitted.
_GOES = word_set("go come sit slide slip fit")
#: Acts that try a machine out.
_TRIALS = word_set("run start test try bump cycle spin turn")
#: Acts that are told in full as treatments, or by the parts to renew.
_TREATMENTS = word_set("apply clean mark note prepare discard renew replace")
_SENTENCE_END = frozenset(".!?;")
#: Clauses that stay with the act before them.
_STAY = frozenset({"until", "till", "til", "without", "with", "where"})
#: What must never be done with worn parts is told by the parts to renew; these verbs tell nothing to be avoided.
_NOT_FORBIDDEN = word_set(
    "use reuse re-use fit refit put worry forget need want have be do go know think see care mind say get try bother come let "
    "mean like skip stop expect panic talk matter believe remember look leave"
)
_PERSONS = re.compile(
    r"\b(?:i|i'm|i've|i'll|we|we're|you|you'll|you're|you've|ye|your|yer|he|she|she's|her|him|me|us|lads?|folks)\b",
    re.I,
)
_REASON = re.compile(
    r"^(?:\W*(?:and|so|well)\W+)?(?P<word>otherwise|because|cos|cause|that's because|that is because|this is because)\b,? (?P<rest>.+)$"
)
_REASON_INSIDE = re.compile(r",? \b(?P<word>because|otherwise|cos)\b (?P<rest>.+)$")
#: "goes back on …": what says no more than that a part is fitted.
_BACK_ON = re.compile(
    r"^(?:(?:(?:right|straight|back|on|up|again|next|home)\b|in\b(?= *(?:$|,|(?:on|under|behind|at|with|from|first|last|along|round|through|where|again)\b))) ?)+",
    re.I,
)
_TORQUE = re.compile(
    r"\b(?:up )?(?:to|at) [\w -]{2,40}?(?:newton|foot|inch|kilopond)[- ](?:met(?:re|er)s?|pounds?)\b,?|\b(?:up )?(?:to|at) [\d.]+ ?(?:nm|n·m|ft|lb)\b,?",
    re.I,
)
_UNITS = re.compile(r"\bnewton|\b(?:foot|inch)[- ]pound|\bnm\b", re.I)
_ORDER = re.compile(r"\b(?:cross|crosswise|star|stages?|steps?|passes|diagonal\w*|sequence)\b", re.I)
_MOST_WORDS = 18


def find_notes(
    heard: Heard,
    phases: Sequence[PhaseFound],
    actions: Sequence[Action],
    renewals: Sequence[RenewalFound],
    deaf: frozenset[int],
) -> tuple[NoteFound, ...]:
    """All notes in the order of the talk; `deaf` are the utterances whose words cannot be trusted."""
    return _Finder(heard, phases, actions, renewals, deaf).find()


class _Finder:
    def __init__(
        self,
        heard: Heard,
        phases: Sequence[PhaseFound],
        actions: Sequence[Action],
        renewals: Sequence[RenewalFound],
        deaf: frozenset[int],
    ) -> None:
        self.heard = heard
        self.phases = phases
        self.deaf = deaf
        self.acts: dict[int, list[Action]] = defaultdict(list)
        for act in actions:
            self.acts[act.place.utterance].append(act)
        self.renewals: dict[int, list[RenewalFound]] = defaultdict(list)
        for found in renewals:
            self.renewals[found.place.utterance].append(found)
        rules = load_rules("notes")
        self.said_rules = [rule for rule in rules if rule.text("part") == "said"]
        self.tail_rules = [rule for rule in rules if rule.text("part") == "tail"]
        self.notes: list[NoteFound] = []

    def find(self) -> tuple[NoteFound, ...]:
        for said in self.heard.utterances:
            if said.index in self.deaf:
                continue
            index = said.index
            refit = self.phases[index].refit or any(act.phase == "refit" for act in self.acts[index])
            refit = refit or bool(self.renewals[index])
            here = [*self._said(index, refit)]
            if refit:
                here += self._acts_of_refit(index)
                here += self._forbidden(index)
            here += self._conditional(index)
            here += self._reason(index)
            self.notes += sorted(here, key=lambda note: note.place.start)
        return tuple(_once(self.notes))

    # ------------------------------------------------------------------ rules on the utterance

    def _said(self, index: int, refit: bool) -> list[NoteFound]:
        text = without_repairs(self.heard, index)
        found: list[NoteFound] = []
        for rule in self.said_rules:
            scope = rule.text("scope")
            if not refit and scope not in ("any", "feature"):
                continue
            for match in rule.pattern.finditer(text):
                if any(note.place.start < match.end() and match.start() < note.place.end for note in found):
                    continue
                note = self._note_of(index, rule, match, refit or scope == "any")
                if note is not None and not (rule.text("acts") == "none" and self._told(index, note.place)):
                    found.append(note)
        return found

    def _told(self, index: int, place: Place) -> bool:
        """Whether an act of the refit stands in the same words, which makes them a step of their own."""
        return any(act.place.start < place.end and place.start < act.place.end for act in self.acts[index])

    def _note_of(self, index: int, rule: Rule, match: re.Match[str], everything: bool) -> NoteFound | None:
        """The note of a match; unless `everything` counts, only what is said of an edge, a mark or the like."""
        of = rule.text("of")
        chunk = self._thing(index, of, match)
        if of == "subject" and (chunk is None or not _is_thing(chunk)):
            return None
        if not everything and (chunk is None or chunk.noun not in FEATURES):
            return None
        only = rule.text("only").split()
        if only and (chunk is None or self.heard.mention(index, chunk).kind not in only):
            return None
        values = {name: self._group(index, match, name) for name in match.re.groupindex}
        mention = self._mention(index, chunk) if chunk is not None else None
        if mention is not None and mention.pronoun and not mention.antecedents and of in ("subject", "what"):
            return None
        many = mention is not None and (mention.plural or (mention.quantity or 1) > 1)
        values["thing"] = thing_text(self.heard, index, chunk) if chunk is not None else ""
        if of == "subject" and chunk is not None:
            joined = self._subjects(index, match.start())
            if len(joined) > 1 and joined[-1] is chunk:
                values["thing"] = (
                    ", ".join(thing_text(self.heard, index, one) for one in joined[:-1]) + f" and {values['thing']}"
                )
                many = True
        values["single"] = (
            (named.singular_name(self.heard.lexicon, mention.text) if values.get("count") == "one" else mention.text)
            if mention
            else ""
        )
        verb = values.get("verb", "")
        for name in ("dab", "count", "what", "clause"):
            values[name] = _lower_first(values.get(name, ""))
        values["does"], values["Verb"] = third_person(_whole_verb(verb), many), verb.capitalize()
        text = re.sub(r"\{(\w+)\}", lambda found: values.get(found.group(1), ""), rule.text("text"))
        about = about_of(self.heard, index, chunk) if chunk is not None else self._last_object(index)
        if _PERSONS.search(text):
            return None
        return NoteFound(
            Place(index, match.start(), match.end(), rule.id),
            cast(str, rule.text("kind")),
            _sentence(text),
            about,
            "refit",
        )  # type: ignore[arg-type]

    def _thing(self, index: int, of: str, match: re.Match[str]) -> Chunk | None:
        """The noun phrase that a note is about: the subject, or the first one inside a group."""
        parsed = self.heard.parsed[index]
        t = parsed.tagged
        if of == "subject":
            chunks = self._subjects(index, match.start())
            return chunks[-1] if chunks else None
        for name in (of, f"{of}2"):
            if name in match.re.groupindex and match.group(name) is not None:
                start, end = match.span(name)
                inside = [chunk for chunk in parsed.chunks if start <= t.start[chunk.first] < end]
                return next((chunk for chunk in inside if chunk.kind != "person"), None)
        return None

    def _subjects(self, index: int, offset: int) -> list[Chunk]:
        """What a predicate is said of; "it" that opens a correction is what was spoken of before it."""
        parsed = self.heard.parsed[index]
        at = named.token_at(parsed, offset)
        around = next((chunk for chunk in parsed.chunks if chunk.first < at < chunk.last), None)
        if around is not None:  # "its toothed side | faces inwards" read as one name
            return [self._shortened(index, around, at)]
        chunks = named.subjects(self.heard, index, at)
        if len(chunks) == 1 and chunks[0].pronoun is not None:
            for first, goes_on in parsed.tagged.repairs:
                if chunks[0].first == goes_on:
                    return named.subjects(self.heard, index, first) or chunks
        return chunks

    def _shortened(self, index: int, chunk: Chunk, last: int) -> Chunk:
        t = self.heard.parsed[index].tagged
        noun = self.heard.lexicon.singular(t.low[last - 1])
        first = next((i for i in range(chunk.first, last) if t.tag[i] != "DET"), last - 1)
        return replace(
            chunk, last=last, head=last - 1, noun=noun, text=t.phrase(first, last), plural=noun != t.low[last - 1]
        )

    def _mention(self, index: int, chunk: Chunk) -> Mention:
        """The noun phrase with what it stands for; its name is that of the shortened phrase."""
        mention = self.heard.mention(index, chunk)
        return (
            mention
            if mention.pronoun is not None
            else replace(mention, text=chunk.text, head=chunk.noun, plural=chunk.plural)
        )

    def _group(self, index: int, match: re.Match[str], name: str) -> str:
        """A group as written text: its words, with what pronouns stand for."""
        if match.group(name) is None:
            return ""
        parsed = self.heard.parsed[index]
        t = parsed.tagged
        start, end = match.span(name)
        tokens = [i for i in range(len(t)) if t.start[i] >= start and t.end[i] <= end]
        if not tokens:
            return str(match.group(name)).strip()
        text = written(self.heard, index, tokens[0], tokens[-1] + 1)
        return f" {text}" if str(match.group(name)).startswith(" ") else text

    def _last_object(self, index: int) -> str | None:
        for act in reversed(self.acts[index]):
            for thing in act.objects:
                if thing.kind in ("part", "fastener", "seal", "unknown"):
                    return thing.text
        return None

    # ------------------------------------------------------------------ what acts of the refit say beyond their object

    def _acts_of_refit(self, index: int) -> list[NoteFound]:
        parsed = self.heard.parsed[index]
        found: list[NoteFound] = []
        for number, verb in enumerate(parsed.verbs):
            act = self._act_at(index, verb)
            goes = act is None and self._goes_on(index, verb)
            if act is None and not goes:
                continue
            if act is not None and (act.negated or act.phase != "refit" or act.sense in _TREATMENTS or not act.objects):
                continue
            note = self._tail_note(index, number, verb, act)
            if note is not None:
                found.append(note)
        return found

    def _act_at(self, index: int, verb: VerbPhrase) -> Action | None:
        start, end = self.heard.parsed[index].tagged.start[verb.at], self.heard.parsed[index].tagged.end[verb.at]
        return next((act for act in self.acts[index] if act.place.start <= start and end <= act.place.end), None)

    def _goes_on(self, index: int, verb: VerbPhrase) -> bool:
        subject = verb.subject
        if verb.base not in _GOES or subject is None or verb.negated or verb.opener is not None or verb.question:
            return False
        if verb.form not in ("s", "b", "g") or subject.kind in ("person", "abstract", "place", "tool"):
            return False
        return subject.pronoun != "there"

    def _tail_note(self, index: int, number: int, verb: VerbPhrase, act: Action | None) -> NoteFound | None:
        parsed = self.heard.parsed[index]
        t = parsed.tagged
        end = self._clause_end(index, number)
        passive = act is None or not any(chunk.first > verb.at for chunk in verb.objects)
        chunk = verb.subject if passive else verb.objects[0]
        if chunk is None:
            return None
        begin = verb.at + 1
        if not passive:
            last = verb.objects[-1]
            begin = max(begin, chain_end(parsed, last, ("of",)))
        particle = verb.particle_at if verb.particle_at is not None and verb.at < verb.particle_at < begin else None
        if particle is None and begin < end and verb.particle_at == begin and passive and act is None:
            begin += 1
        if begin >= end:
            return None
        tail = t.phrase(begin, end).lower()
        rule = next((one for one in self.tail_rules if self._allowed(one, act) and one.pattern.search(tail)), None)
        if rule is None:
            return None
        things = self._things(index, verb, chunk, passive)
        rest = written(self.heard, index, begin, end)
        base = verb.base
        if act is None:
            base, rest = "fit", _BACK_ON.sub("", rest)
            if _UNITS.search(rest) and _ORDER.search(rest):
                return None
            if _TORQUE.search(rest):
                base, rest = "tighten", _TORQUE.sub("", rest)
                if _ORDER.search(rest) or not rule.pattern.search(rest):
                    return None
        text = f"{base} {things}{f' {t.low[particle]}' if particle is not None else ''} {rest}"
        if things is None or _PERSONS.search(text) or len(text.split()) > _MOST_WORDS + 6:
            return None
        about = about_of(self.heard, index, chunk)
        place = Place(index, t.start[verb.first], t.end[end - 1], rule.id)
        return NoteFound(place, cast(str, rule.text("kind")), _sentence(text), about, "refit")  # type: ignore[arg-type]

    def _things(self, index: int, verb: VerbPhrase, chunk: Chunk, passive: bool) -> str | None:
        """What the act is done to, with articles; null where a pronoun stands for nothing."""
        parsed = self.heard.parsed[index]
        if chunk.noun in ("lot", "everything", "rest") or chunk.pronoun in ("everything", "all", "the lot"):
            return "all the parts"
        if chunk.pronoun is not None and not self.heard.mention(index, chunk).antecedents:
            return None
        if passive:
            chunks = named.subjects(self.heard, index, verb.first)
            if chunk not in chunks:
                chunks = [chunk]
        else:
            chunks = verb.objects
        told = [
            thing_text(self.heard, index, one, chain_end(parsed, one, ("of", "on") if passive else ("of",)))
            for one in chunks
        ]
        return told[0] if len(told) == 1 else f"{', '.join(told[:-1])} and {told[-1]}"

    @staticmethod
    def _allowed(rule: Rule, act: Action | None) -> bool:
        """Rules that say `only`: of what is told to go on, or of a trial run."""
        only = rule.text("only")
        return not only or only == "goes" and act is None or only == "run" and act is not None and act.verb in _TRIALS

    def _clause_end(self, index: int, number: int) -> int:
        """The token behind the clause of a verb: where the next act, or another sentence, begins."""
        parsed = self.heard.parsed[index]
        t = parsed.tagged
        verb = parsed.verbs[number]
        end = len(t)
        for i in range(verb.last, len(t)):
            if t.low[i] in _SENTENCE_END:
                end = i
                break
        for other in parsed.verbs[number + 1 :]:
            if other.at < verb.last or other.opener in _STAY and other.opener_at is not None:
                continue
            begins = (
                other.opener_at
                if other.opener is not None and other.opener_at is not None and other.opener_at > verb.at
                else other.first
            )
            if other.subject is not None and verb.last <= other.subject.first < begins:
                begins = other.subject.first
            if (
                other.form in ("g", "n", "dn")
                and other.opener is None
                and other.subject is None
                and t.tag[begins - 1] not in ("CONJ", "PUNCT")
            ):
                continue
            end = min(end, begins)
            break
        while end > verb.at + 1 and (
            t.tag[end - 1] in ("CONJ", "PUNCT", "INTJ") or t.low[end - 1] in ("then", "so", "only")
        ):
            end -= 1
        return end

    # ------------------------------------------------------------------ prohibitions, conditions, reasons

    def _forbidden(self, index: int) -> list[NoteFound]:
        """ "is never shortened or turned round": what must not be done to a part when it goes back."""
        parsed = self.heard.parsed[index]
        t = parsed.tagged
        found: list[NoteFound] = []
        forbidden = False
        for number, verb in enumerate(parsed.verbs):
            joined = forbidden and verb.joined and t.low[verb.first - 1 : verb.first] == ["or"]
            forbidden = verb.negated or joined
            if (
                not forbidden
                or verb.base in _NOT_FORBIDDEN
                or verb.question
                or verb.opener in ("if", "that", "which", "who", "because", "so", "when")
            ):
                continue
            person = verb.subject is not None and verb.subject.kind == "person"
            passive = verb.form in ("n", "dn") and (bool(set(verb.aux)) or joined) and not verb.objects
            if not passive and (verb.form != "b" or verb.subject is not None and not person):
                continue
            chunk = verb.subject if passive else verb.objects[0] if verb.objects else None
            if passive and chunk is None and number:
                chunk = parsed.verbs[number - 1].subject
            if chunk is None or not _is_thing(chunk) or named.stands_in(chunk) and chunk.pronoun is None:
                continue
            mention = self.heard.mention(index, chunk)
            if (
                mention.pronoun
                and not mention.antecedents
                or mention.kind not in ("part", "fastener", "seal", "unknown", "fluid")
            ):
                continue
            end = self._clause_end(index, number)
            begin = verb.last if passive else max(verb.at + 1, chain_end(parsed, chunk, ("of",)))
            tail = written(self.heard, index, begin, end) if begin < end else ""
            particle = f" {verb.particle}" if verb.particle and not tail.startswith(verb.particle) else ""
            text = f"do not {verb.base} {thing_text(self.heard, index, chunk)}{particle} {tail}"
            if _PERSONS.search(text) or len(text.split()) > _MOST_WORDS:
                continue
            place = Place(index, t.start[verb.first], t.end[max(end - 1, verb.at)], "note.forbidden")
            found.append(NoteFound(place, "handle", _sentence(text), about_of(self.heard, index, chunk), "refit"))
        return found

    def _conditional(self, index: int) -> list[NoteFound]:
        """ "If it is scored, fit a new one": a look at the old part decides."""
        found = []
        for renewal in self.renewals[index]:
            if not renewal.only_if or renewal.kind == "consumable" or _PERSONS.search(renewal.only_if):
                continue
            many = renewal.quantity is not None and renewal.quantity > 1
            old = f"the old {'ones are' if many else 'one is'}"
            condition = re.sub(r"(?<=\w)'s\b(?! (?:is|are)\b)", " is", renewal.only_if)
            condition = re.sub(r"\b(?:it's|it is|they're|they are|they is|that's)\b", old, condition, count=1)
            item = f"new {renewal.item}" if many else f"a new {renewal.item}"
            found.append(NoteFound(renewal.place, "check", _sentence(f"Fit {item} {condition}"), renewal.item, "refit"))
        return found

    def _reason(self, index: int) -> list[NoteFound]:
        """A reason told with, or right after, its act stays with the step of the work."""
        text = without_repairs(self.heard, index)
        own = any(act.phase == "work" and not act.negated for act in self.acts[index])
        before = index > 0 and any(act.phase == "work" and not act.negated for act in self.acts[index - 1])
        match = _REASON.match(text) if before and not own else _REASON_INSIDE.search(text) if own else None
        if match is None:
            return []
        tokens = self._tokens(index, *match.span("rest"))
        if not tokens or len(tokens) > _MOST_WORDS:
            return []
        clause = written(self.heard, index, tokens[0], tokens[-1] + 1)
        if _PERSONS.search(clause) or not any(verb.at in tokens for verb in self.heard.parsed[index].verbs):
            return []
        opening = "Otherwise" if match.group("word") == "otherwise" else "This is because"
        place = Place(index, match.start(), match.end(), "note.reason")
        return [NoteFound(place, "reason", _sentence(f"{opening} {clause}"), None, "work")]

    def _tokens(self, index: int, start: int, end: int) -> list[int]:
        t = self.heard.parsed[index].tagged
        return [i for i in range(len(t)) if t.start[i] >= start and t.end[i] <= end]


def _lower_first(text: str) -> str:
    """A capital of the utterance's start gone; names such as "M8" stay."""
    return f"{text[:1].lower()}{text[1:]}" if text[1:2].islower() or text[1:2] == " " else text


def _is_thing(chunk: Chunk) -> bool:
    """False for persons, times and places; a side, edge or mark is a place that can be turned or lined up."""
    return chunk.kind not in ("person", "abstract", "place") or chunk.noun in FEATURES or chunk.pronoun is not None


def _whole_verb(stem: str) -> str:
    """The verb that is written: what "shows" or "looks" upwards points upwards."""
    return {"fac": "face", "show": "point", "look": "point"}.get(stem, stem)


def _sentence(text: str) -> str:
    """Single spaces, a capital and one full stop; short forms written out."""
    text = re.sub(r"\b(it|that|there|he|what)'s\b", r"\1 is", text)
    text = re.sub(r"\b(\w+)'re\b", r"\1 are", text)
    text = re.sub(r"\b(\w+)'ve\b", r"\1 have", text)
    text = re.sub(
        r"\b(\w+)'s (?=(?:turning|running|sitting|on|in|off|out|down|up|free|clean|dry|not|still|all)\b)",
        r"\1 is ",
        text,
    )
    text = " ".join(text.split()).strip(" ,;:.")
    return f"{text[:1].upper()}{text[1:]}." if text else ""


def _once(notes: Sequence[NoteFound]) -> list[NoteFound]:
    """The same note told twice stands once."""
    seen: set[tuple[str, Phase]] = set()
    kept = []
    for note in notes:
        if note.text and (note.text, note.phase) not in seen:
            seen.add((note.text, note.phase))
            kept.append(note)
    return kept
