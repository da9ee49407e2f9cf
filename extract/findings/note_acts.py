"""Notes from the acts of the refit: what they say beyond verb and object, and what is forbidden.

Greasing, cleaning and marking told as acts, and the time of an act ("before you start her"), come as actions and are
no findings here.
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
    chain_end,
    impersonal,
    is_thing,
    sentence,
    thing_text,
    written,
)
from extract.language import grammar, named
from extract.language.complements import VerbPhrase
from extract.language.heard import Heard
from extract.language.phrases import Chunk
from extract.rules import Rule, select_rules
from extract.speech import Action, NoteFound, Place
from extract.wordforms import word_set

#: "The lid goes on …", "the discs go in turn about": the way in which speakers tell that a part is fitted.
_GOES = word_set("go come sit slide slip fit")
_POSSIBLY = frozenset({"can", "could", "may", "might"})
#: Acts that try a machine out.
_TRIALS = word_set("run start test try bump cycle spin turn")
#: What nobody tries out: "run it" means neither the screw nor the padlock that was named last.
_NEVER_TRIED = frozenset({"fastener", "seal", "tool", "material", "fluid"})
#: Senses of acts that are told in full as treatments, or by the parts to renew.
_TREATMENTS = word_set("apply clean mark note prepare discard renew replace")
_ALL = word_set("lot everything rest all")
_MARKS = word_set("mark marks line lines arrow arrows dot dots punch notch notches tag tags scribe")
_SENTENCE_END = frozenset(".!?;")
#: Clauses that stay with the act before them.
_STAY = frozenset({"until", "till", "til", "without", "with", "where"})
_WHEN = frozenset({"when", "as", "before", "after", "once"})
#: What must never be done with worn parts is told by the parts to renew; these verbs tell nothing to be avoided.
_NOT_FORBIDDEN = word_set(
    "use reuse re-use fit refit put worry forget need want have be do go know think see care mind say get try bother "
    "come let mean like skip stop expect panic talk matter believe remember look leave"
)
#: Words that open the next clause, or fill a pause.
_LEFT_OVER = word_set("then so only now okay ok right uh um er well")
_NO_ORDER = frozenset({"if", "that", "which", "who", "because", "so", "when"})
#: "goes back on …": what says no more than that a part is fitted.
_BACK_ON = re.compile(
    r"^(?:(?:(?:right|straight|back|again|next|home)\b|(?:on|in|up)\b(?= *(?:$|,|(?:on|in|up|back|again|next|under|behind|at|with"
    r"|from|first|last|along|round|around|through|over|between|as|where|all)\b))) ?)+",
    re.I,
)
_TORQUE = re.compile(
    r"\b(?:up )?(?:to|at) [\w -]{2,40}?(?:newton|foot|inch|kilopond)[- ](?:met(?:re|er)s?|pounds?)\b,?"
    r"|\b(?:up )?(?:to|at) [\d.]+ ?(?:nm|n·m|ft|lb)\b,?",
    re.I,
)
#: What stands before a value that was left out.
_TO = re.compile(r"[\s,]*(?:\b(?:first|then|up|to|at|with|by)\b[\s,]*)+$", re.I)
_UNITS = re.compile(r"\bnewton|\b(?:foot|inch)[- ]pound|\bnm\b", re.I)
_REVERSE = re.compile(r"\b(?:order|reverse|opposite|backwards?|way round|how it came)\b")
_MOST_WORDS = 20


class ActNotes:
    """Reads the notes of the acts of one talk."""

    def __init__(self, heard: Heard, acts: Mapping[int, Sequence[Action]]) -> None:
        self.heard = heard
        self.acts = acts
        self.rules = select_rules("notes", "part", "tail")

    def of(self, index: int) -> list[NoteFound]:
        """The notes of the acts of a refit utterance."""
        found: list[NoteFound] = []
        for number, verb in enumerate(self.heard.parsed[index].verbs):
            act = self._act_at(index, verb)
            placed = self._goes_on(verb) or self._put_in_place(verb) or self._renewed(verb)
            if act is None and placed:
                found += filter(None, [self._tail(index, number, verb, None)])
            elif act is not None and act.phase == "refit" and not act.negated and (act.objects or verb.objects):
                aligned = self._aligned(index, verb, act)
                if aligned is not None:
                    found.append(aligned)
                elif act.sense not in _TREATMENTS or act.sense == "apply":
                    found += filter(None, [self._tail(index, number, verb, act)])
        return found + self._forbidden(index)

    def goes_back(self, index: int) -> bool:
        """Whether a part that came off before is told to go in or on ("the knives go in with …")."""
        gone = {thing.head for at in range(index) for act in self.acts.get(at, ()) if act.phase == "work" and not act.negated for thing in act.objects}  # fmt: skip
        verbs = [
            verb
            for verb in self.heard.parsed[index].verbs
            if self._goes_on(verb) and verb.particle in ("in", "on", "back", "up")
        ]
        return any(verb.subject is not None and self.heard.mention(index, verb.subject).head in gone for verb in verbs)

    def _act_at(self, index: int, verb: VerbPhrase) -> Action | None:
        t = self.heard.parsed[index].tagged
        start, end = t.start[verb.at], t.end[verb.at]
        return next(
            (act for act in self.acts.get(index, ()) if act.place.start <= start and end <= act.place.end), None
        )

    def _put_in_place(self, verb: VerbPhrase) -> bool:
        """ "The pin is fitted from above": how a part is held once it is in."""
        sense = self.heard.lexicon.verb_sense(verb.base, verb.particle)
        if verb.form not in ("n", "dn") or not set(verb.aux) & grammar.BE or verb.negated or verb.question:
            return False
        fits = sense is not None and sense.sense in ("fit", "secure", "connect", "move", "operate")
        subject = verb.subject
        return fits and verb.opener is None and subject is not None and is_thing(subject) and subject.kind != "tool"

    @staticmethod
    def _renewed(verb: VerbPhrase) -> bool:
        """ "Replace the ring with its spring at the bottom": no act of its own, but told how it goes in."""
        command = verb.form == "b" and bool(verb.objects)
        passive = verb.form in ("n", "dn") and bool(set(verb.aux) & grammar.BE) and verb.subject is not None
        plain = verb.opener is None and not verb.negated and not verb.question
        return plain and verb.base in ("replace", "renew") and (command or passive)

    @staticmethod
    def _goes_on(verb: VerbPhrase) -> bool:
        subject = verb.subject
        if set(verb.aux) & _POSSIBLY:
            return False  # "diesel can go inside the skin"
        if verb.base not in _GOES or subject is None or verb.negated or verb.opener is not None or verb.question:
            return False
        if verb.form not in ("s", "b", "g") or subject.kind == "person" or subject.pronoun == "there":
            return False
        if subject.kind in ("abstract", "place", "tool") and subject.noun not in _ALL:
            # "the chamber goes up on the bracket": a part all the same, if it goes on.
            return subject.kind != "abstract" and subject.determiner is not None and verb.particle is not None
        return verb.particle is not None or verb.base in ("go", "sit")

    # ------------------------------------------------------------------ beyond verb and object

    def _tail(self, index: int, number: int, verb: VerbPhrase, act: Action | None) -> NoteFound | None:
        """ "… by hand until it stops rocking", "… along the top"."""
        t = self.heard.parsed[index].tagged
        end = self._clause_end(index, number)
        chunk, passive, begin = self._object(index, verb, act)
        if chunk is None:
            return None
        governs = t.tag[begin + 1 : begin + 2] == ["DET"]  # "sit in the freezer"
        if begin < end and verb.particle_at == begin and passive and act is None and not governs:
            begin += 1
        if begin >= end:
            return None
        tail = t.phrase(begin, end).lower()
        rule = next((one for one in self.rules.near(tail) if _allowed(one, act) and one.pattern.search(tail)), None)
        if rule is None:
            return None
        valued = self._value_at(index, begin, end)
        rest = written(self.heard, index, begin, end)
        start = "fit" if act is None and verb.form not in ("n", "dn") else None
        start = "tighten" if start is not None and re.search(r"\b(?:hand|finger)[- ]tight\b", rest) else start
        start = "renew" if verb.base in ("replace", "renew") and start is None else start
        if start is not None:
            rest = _BACK_ON.sub("", rest)
            if self._whole(index, chunk):
                return None
        if valued is not None and (act is None or act.sense == "tighten" or passive and verb.base in _GOES):
            # The value stands with the tightening values; what is left of the words may still tell how.
            rest = _BACK_ON.sub("", written(self.heard, index, begin, valued)) if begin < valued else ""
            rest = _TO.sub("", rest)
            if not rule.pattern.search(rest):
                whole = written(self.heard, index, begin, end)
                rest = _TORQUE.sub("", whole)
                if rest == whole or not rule.pattern.search(rest) or _UNITS.search(rest):
                    return None
            start = "tighten"
        if act is not None and passive and verb.base in _GOES:
            start = act.plain or "fit"  # "The spring goes in with …": nobody goes the spring in.
            rest = _BACK_ON.sub("", rest)
        text = self._told(index, verb, act, start)
        if text is None:
            return None
        place = Place(index, t.start[verb.first], t.end[end - 1], rule.id)
        about = self._about(index, chunk, passive)
        if act is not None and act.sense == "apply":
            part = self._timed_by(index, verb) if chunk.noun in FEATURES else None
            about = about_of(self.heard, index, part) if part is not None else about
        kind = "treat" if act is not None and act.sense == "apply" else rule.text("kind")
        comma = "," if t.low[begin] == "," else ""
        return self._note(place, kind, f"{text}{comma} {rest}", about)

    def _about(self, index: int, chunk: Chunk, passive: bool) -> str | None:
        """The part of an act; for a material, what it is put on."""
        material = (
            chunk.kind in ("fluid", "material", "abstract") or self.heard.mention(index, chunk).kind == "material"
        )
        ways = ("of", "on", "in", "into", "to", "round", "around") if material else ("of", "on", "in")
        return about_of(self.heard, index, chunk, ways if material or passive else ("of",))

    def _whole(self, index: int, chunk: Chunk) -> bool:
        """ "the rest of her": no part."""
        return "rest" in self.heard.parsed[index].tagged.low[chunk.first : chunk.last]

    def _value_at(self, index: int, begin: int, end: int) -> int | None:
        """The token of the first number above the counts of parts."""
        number = self.heard.parsed[index].tagged.number
        return next((i for i in range(begin, end) if (number[i] or 0) > 10), None)

    def _object(self, index: int, verb: VerbPhrase, act: Action | None) -> tuple[Chunk | None, bool, int]:
        """The first thing acted on, whether it is the subject, and the token behind verb and object."""
        passive = not any(chunk.first > verb.at for chunk in verb.objects) or verb.base in _GOES and act is None
        if passive:
            return verb.subject, True, verb.at + 1
        last = verb.objects[-1]
        return verb.objects[0], False, max(verb.at + 1, chain_end(self.heard.parsed[index], last, ("of",)))

    def _told(self, index: int, verb: VerbPhrase, act: Action | None, base: str | None = None) -> str | None:
        """The act as a command: verb, things and the particle between them; null where a pronoun stands for nothing."""
        parsed = self.heard.parsed[index]
        t = parsed.tagged
        chunk, passive, begin = self._object(index, verb, act)
        if chunk is None:
            return None
        held = self.heard.mention(index, chunk)
        if verb.base in _TRIALS and held.pronoun is not None and held.kind in _NEVER_TRIED:
            things = "the machine"
        elif chunk.noun in _ALL or chunk.pronoun in _ALL:
            if _REVERSE.search(t.text.lower()):
                return None
            things = "all the parts"
        else:
            chunks = named.subjects(self.heard, index, verb.first) if passive else verb.objects
            apart = [one for one in chunks if one.last <= chunk.first and "but" in t.low[one.last : chunk.first]]
            chunks = [one for one in chunks if one not in apart] if chunk in chunks else [chunk]
            ways = ("of", "on") if passive else ("of",)
            told = [thing_text(self.heard, index, one, chain_end(parsed, one, ways)) for one in chunks]
            if any(one is None for one in told):
                return None
            names = cast(list[str], told)
            things = names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"
        particle = verb.particle_at
        inside = particle is not None and verb.at < particle < begin
        return f"{base or verb.base} {things}{f' {t.low[particle]}' if inside and particle is not None else ''}"

    def _note(self, place: Place, kind: str, text: str, about: str | None) -> NoteFound | None:
        text = impersonal(text)
        if PERSONS.search(text) or CUT_SHORT.search(text) or len(text.split()) > _MOST_WORDS + 4:
            return None
        return NoteFound(place, kind, sentence(text), about, "refit")  # type: ignore[arg-type]

    def _clause_end(self, index: int, number: int) -> int:
        """The token behind the clause of a verb: where the next act, or another sentence, begins."""
        parsed = self.heard.parsed[index]
        t = parsed.tagged
        verb = parsed.verbs[number]
        end = next((i for i in range(verb.last, len(t)) if t.low[i] in _SENTENCE_END), len(t))
        for other in parsed.verbs[number + 1 :]:
            if other.at < verb.last or other.opener in _STAY and other.opener_at is not None:
                continue
            relative = other.opener in ("that", "which") and other.opener_at is not None
            if relative and t.tag[cast(int, other.opener_at) - 1] == "NOUN":
                continue
            opened = other.opener is not None and other.opener_at is not None and other.opener_at > verb.at
            begins = cast(int, other.opener_at) if opened else other.first
            if other.subject is not None and verb.last <= other.subject.first < begins:
                begins = other.subject.first
            loose = other.form in ("g", "n", "dn") and other.opener is None and other.subject is None
            if loose and t.tag[begins - 1] not in ("CONJ", "PUNCT"):
                continue
            end = min(end, begins)
            break
        while end > verb.at + 1 and (t.tag[end - 1] in ("CONJ", "PUNCT") or t.low[end - 1] in _LEFT_OVER):
            end -= 1
        return end

    # ------------------------------------------------------------------ marks

    def _aligned(self, index: int, verb: VerbPhrase, act: Action) -> NoteFound | None:
        """ "line up your mark when you fit the lever": the part that is fitted decides the step."""
        parsed = self.heard.parsed[index]
        heads = {thing.head for thing in act.objects} | {word for thing in act.objects for word in thing.text.split()}
        if act.sense not in ("adjust", "mark") and verb.base not in ("line", "align", "match") or not heads & _MARKS:
            return None
        part = self._timed_by(index, verb)
        told = self._told(index, verb, act) if part is not None else None
        if part is None or told is None:
            return None
        t = parsed.tagged
        place = Place(index, t.start[verb.first], t.end[max(verb.last - 1, verb.at)], "note.aligned")
        particle = f" {verb.particle}" if verb.particle and verb.particle not in told.split() else ""
        told = re.sub(r"^(\w+) ", rf"\1{particle} ", told)
        return self._note(place, "align", told, about_of(self.heard, index, part))

    def _timed_by(self, index: int, verb: VerbPhrase) -> Chunk | None:
        """The part of the clause that tells when ("… when the lever is fitted", "… before you fit the seal")."""
        for other in self.heard.parsed[index].verbs:
            part = other.subject if other.subject is not None and other.subject.kind != "person" else None
            part = part or next(iter(other.objects), None)
            if other.opener in _WHEN and other is not verb and part is not None and is_thing(part):
                return part
        return None

    # ------------------------------------------------------------------ prohibitions

    def _forbidden(self, index: int) -> list[NoteFound]:
        """ "is never cut or stretched": what must not be done to a part when it goes back."""
        parsed = self.heard.parsed[index]
        t = parsed.tagged
        found: list[NoteFound] = []
        forbidden = False
        for number, verb in enumerate(parsed.verbs):
            joined = forbidden and verb.joined and t.low[verb.first - 1 : verb.first] == ["or"]
            forbidden = verb.negated or joined
            asked = verb.question and "never" not in t.low[: verb.at]
            if not forbidden or verb.base in _NOT_FORBIDDEN or asked or verb.opener in _NO_ORDER:
                continue
            passive = verb.form in ("n", "dn") and (bool(verb.aux) or joined) and not verb.objects
            chunk = self._forbidden_thing(index, number, verb, passive)
            if chunk is None:
                continue
            end = self._clause_end(index, number)
            begin = verb.at + 1 if passive else max(verb.at + 1, chain_end(parsed, chunk, ("of",)))
            tail = written(self.heard, index, begin, end) if begin < end else ""
            tail = "" if tail.startswith(("or ", "doing ", "when ", "while ")) else tail
            particle = f" {verb.particle}" if verb.particle and not tail.startswith(verb.particle) else ""
            thing = thing_text(self.heard, index, chunk, None if passive else chain_end(parsed, chunk, ("of",)))
            text = f"do not {verb.base} {thing}{particle} {tail}"
            place = Place(index, t.start[verb.first], t.end[max(end - 1, verb.at)], "note.forbidden")
            found += filter(None, [self._note(place, "handle", text, self._about(index, chunk, passive))])
        return found

    def _forbidden_thing(self, index: int, number: int, verb: VerbPhrase, passive: bool) -> Chunk | None:
        person = verb.subject is None or verb.subject.kind == "person"
        if not passive and (verb.form != "b" or not person):
            return None
        chunk = verb.subject if passive else verb.objects[0] if verb.objects else None
        if passive and chunk is None and number:
            before = self.heard.parsed[index].verbs[number - 1]
            chunk = before.subject or next(iter(before.objects), None)
        if chunk is None or not is_thing(chunk) or named.stands_in(chunk) and chunk.noun not in ("it", "them", "they"):
            return None
        mention = self.heard.mention(index, chunk)
        known = not mention.pronoun or mention.antecedents
        return chunk if known and mention.kind not in ("person", "abstract", "material") else None


def _allowed(rule: Rule, act: Action | None) -> bool:
    """Rules that say `only`: of what is told to go on, of a trial run, of any act but filling."""
    only = rule.text("only")
    if act is None:
        return only in ("", "goes")
    if act.sense == "apply":
        return rule.text("treats") == "yes"
    if only == "look":
        return act.sense in ("inspect", "measure")
    return not only or only == "run" and act.verb in _TRIALS or only == "act" and act.sense != "fill"
