"""Notes: thoughts that belong to a step, written as instructions, and which part decides where they stand.

Two sources: sentences about how a part lies, is treated or must run (rules `said`), and what an act of the refit
says beyond its verb and object (rules `tail`: "by hand", "with the slot uppermost"). Greasing, cleaning and
lining up that are told as acts of the refit come as actions and are no findings here.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace
from typing import cast

from extract.findings.note_acts import ActNotes
from extract.findings.note_leftovers import Leftovers
from extract.findings.note_text import (
    FEATURES,
    PERSONS,
    about_of,
    chain_end,
    impersonal,
    is_thing,
    sentence,
    thing_text,
    third_person,
    without_repairs,
    written,
)
from extract.findings.phases import PhaseFound
from extract.language import named
from extract.language.heard import Heard
from extract.language.phrases import Chunk
from extract.rules import Rule, select_rules
from extract.speech import Action, Mention, NoteFound, Place, RenewalFound, RoleFound, TorqueFound, by_utterance

_REASON = re.compile(
    r"^(?:\W*(?:and|so|well)\W+)?(?P<word>otherwise|because|cos|cause|that's because|that is because|this is because)\b(?! of\b),? (?P<rest>.+)$"
)
_REASON_INSIDE = re.compile(r",? \b(?P<word>because|otherwise|cos)\b(?! of\b) (?P<rest>.+)$")
#: A warning has its own reason.
_WARNED = re.compile(r"\b(?:careful|take care|mind|watch|beware|danger\w*|never|don't|do not)\b")
_MOST_WORDS = 18


def find_notes(
    heard: Heard,
    phases: Sequence[PhaseFound],
    actions: Sequence[Action],
    renewals: Sequence[RenewalFound],
    torques: Sequence[TorqueFound],
    deaf: frozenset[int],
    roles: Sequence[RoleFound] = (),
) -> tuple[NoteFound, ...]:
    """All notes in the order of the talk; `deaf` are the utterances whose words cannot be trusted."""
    return _Finder(heard, phases, actions, renewals, torques, deaf, roles).find()


class _Finder:
    def __init__(
        self,
        heard: Heard,
        phases: Sequence[PhaseFound],
        actions: Sequence[Action],
        renewals: Sequence[RenewalFound],
        torques: Sequence[TorqueFound],
        deaf: frozenset[int],
        roles: Sequence[RoleFound],
    ) -> None:
        self.heard = heard
        self.phases = phases
        self.deaf = deaf
        self.acts = by_utterance(actions)
        self.renewals = by_utterance(renewals)
        self.act_notes = ActNotes(heard, self.acts)
        chatter = _of_role(roles, "presentation", "chatter")
        self.refit_told = _of_role(roles, "refit_note")
        self.leftovers = Leftovers(heard, self.acts, self.renewals, by_utterance(torques), chatter)
        self.said_rules = select_rules("notes", "part", "said")
        self.notes: list[NoteFound] = []

    def find(self) -> tuple[NoteFound, ...]:
        closing = self._closing_half()
        for said in self.heard.utterances:
            if said.index in self.deaf:
                continue
            index = said.index
            refit = self.phases[index].refit or any(act.phase == "refit" for act in self.acts[index])
            refit = (
                refit
                or index in self.refit_told
                or bool(self.renewals[index])
                or index >= closing
                or self.act_notes.goes_back(index)
            )
            here = [*self._said(index, refit)]
            if refit:
                told = self.act_notes.of(index)
                # What an act tells in full needs no second note ("with the slotted end facing out").
                here = [note for note in here if not any(_inside(note, one) for one in told)] + told
                here += self.leftovers.of(index, here)
            here += self._reason(index)
            self.notes += _once(sorted(here, key=lambda note: note.place.start))
        return tuple(self.notes)

    def _closing_half(self) -> int:
        """The first act of the refit behind the last one of the work: from there on the talk speaks of nothing else."""
        acts = [act for told in self.acts.values() for act in told if not act.negated]
        last = max((act.place.utterance for act in acts if act.phase == "work"), default=-1)
        refit = [act.place.utterance for act in acts if act.phase == "refit" and act.place.utterance > last]
        return min(refit, default=len(self.heard.utterances))

    # ------------------------------------------------------------------ rules on the utterance

    def _said(self, index: int, refit: bool) -> list[NoteFound]:
        text = without_repairs(self.heard, index)
        found: list[NoteFound] = []
        for rule in self.said_rules.near(text):
            if rule.text("renewals") == "none" and self.renewals[index]:
                continue
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
        if of == "subject" and (chunk is None or not is_thing(chunk)):
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
        parsed = self.heard.parsed[index]
        end = chain_end(parsed, chunk) if chunk is not None else 0
        if of == "subject":
            end = min(end, named.token_at(parsed, match.start()))
        values["thing"] = thing_text(self.heard, index, chunk, end) if chunk is not None else ""
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
        verb = values.get("verb", "") or values.get("verb2", "")
        for name in ("dab", "count", "what", "clause"):
            values[name] = _lower_first(values.get(name, ""))
        values["does"], values["Verb"] = third_person(_whole_verb(verb), many), verb.capitalize() or "Make sure"
        values["Base"] = self._base(values.get("done", "")).capitalize()
        values["on"] = values.get("on") or ("at" if values.get("side") == "end" else "on")
        text = re.sub(r"\{(\w+)\}", lambda found: values.get(found.group(1), ""), rule.text("text"))
        about = about_of(self.heard, index, chunk) if chunk is not None else self._last_object(index)
        about = re.sub(rf" {re.escape(verb)}s?$", "", about) if about and verb else about
        if chunk is None and values.get(of):
            about = re.sub(r"^(?:the|each|every|both|all|a|an) ", "", values[of]) if of == "where" else about
        text = impersonal(text)
        if PERSONS.search(text):
            return None
        return NoteFound(
            Place(index, match.start(), match.end(), rule.id),
            cast(str, rule.text("kind")),
            sentence(text),
            about,
            "refit",
        )  # type: ignore[arg-type]

    def _base(self, participle: str) -> str:
        """The base form of a participle ("wetted" → "wet")."""
        forms = self.heard.lexicon.verb_forms.get(participle, ())
        return next((base for base, form in forms if form in ("n", "dn")), participle)

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
                if match.group(name).startswith(("nothing", "everything")):
                    return None
                inside = [chunk for chunk in parsed.chunks if start <= t.start[chunk.first] < end]
                found = next((chunk for chunk in inside if chunk.kind != "person"), None)
                # "on each read …": a word of the trade heard as a verb leaves only the pronoun.
                return None if found and found.pronoun == "each" and end > t.end[found.last - 1] else found
        return None

    def _subjects(self, index: int, offset: int) -> list[Chunk]:
        """What a predicate is said of; "it" that opens a correction is what was spoken of before it."""
        parsed = self.heard.parsed[index]
        at = named.token_at(parsed, offset)
        around = next((chunk for chunk in parsed.chunks if chunk.first < at < chunk.last), None)
        if around is not None and named.governed(parsed, around):
            return named.subjects(self.heard, index, around.first)
        if around is not None:  # "the grooved side | faces inwards" read as one name
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

    # ------------------------------------------------------------------ reasons

    def _reason(self, index: int) -> list[NoteFound]:
        """A reason told with, or right after, its act stays with the step of the work."""
        text = without_repairs(self.heard, index)
        own = any(act.phase == "work" and not act.negated for act in self.acts[index])
        before = index > 0 and any(act.phase == "work" and not act.negated for act in self.acts[index - 1])
        if _WARNED.search(text):
            return []
        match = _REASON.match(text) if before and not own else _REASON_INSIDE.search(text) if own else None
        if match is None:
            return []
        tokens = self._tokens(index, *match.span("rest"))
        if not tokens or len(tokens) > _MOST_WORDS:
            return []
        clause = written(self.heard, index, tokens[0], tokens[-1] + 1)
        if PERSONS.search(clause) or not any(verb.at in tokens for verb in self.heard.parsed[index].verbs):
            return []
        opening = "Otherwise" if match.group("word") == "otherwise" else "This is because"
        place = Place(index, match.start(), match.end(), "note.reason")
        return [NoteFound(place, "reason", sentence(f"{opening} {clause}"), None, "work")]

    def _tokens(self, index: int, start: int, end: int) -> list[int]:
        t = self.heard.parsed[index].tagged
        return [i for i in range(len(t)) if t.start[i] >= start and t.end[i] <= end]


def _of_role(roles: Sequence[RoleFound], *wanted: str) -> frozenset[int]:
    return frozenset(found.place.utterance for found in roles if found.role in wanted)


def _lower_first(text: str) -> str:
    """A capital of the utterance's start gone; names such as "M8" stay."""
    return f"{text[:1].lower()}{text[1:]}" if text[1:2].islower() or text[1:2] == " " else text


def _whole_verb(stem: str) -> str:
    """The verb that is written: what "shows" or "looks" upwards points upwards."""
    return {"fac": "face", "sitt": "sit", "ly": "lie", "show": "point", "look": "point"}.get(stem, stem)


def _inside(note: NoteFound, other: NoteFound) -> bool:
    inside = other.place.start <= note.place.start and note.place.end <= other.place.end
    return inside and note.kind in ("orient", "handle", "order")


def _words(note: NoteFound) -> frozenset[str]:
    return frozenset(re.findall(r"[\w'-]+", note.text.lower()))


def _once(notes: Sequence[NoteFound]) -> list[NoteFound]:
    """Notes of one utterance of which another says the same and more are left out."""
    kept: list[NoteFound] = []
    for note in notes:
        said = _words(note)
        others = [one for one in notes if one is not note and one.phase == note.phase]
        rivals = [_words(one) for one in others]
        if note.text and note not in kept and not any(said < rival for rival in rivals):
            kept.append(note)
    return kept
