"""Acts: who does what to which part, from imperatives, narration, passives, reports and nouns of action."""

from __future__ import annotations

import dataclasses
import re
from collections.abc import Sequence
from dataclasses import replace

from extract.findings.phases import PhaseFound
from extract.language import grammar
from extract.language.clauses import Parsed, PrepPhrase, VerbPhrase
from extract.language.heard import Heard
from extract.language.phrases import Chunk
from extract.lexicon import VerbSense
from extract.rules import load_rules
from extract.speech import Action, Mention, Phase

#: How many utterances can announce the job.
_OPENING = 5
#: Subordinators whose clause tells no act of its own at this point.
_NO_ACT = frozenset(
    "if when whenever until till because cause cos 'cause so that as since while whilst unless where wherever although though "
    "lest who whose than whether without provided to for instead with from in how why what".split()
)
_NARRATORS = frozenset("i we you ye y'all he she they one us".split())
_ATTENTION = frozenset(
    "mind watch remember beware avoid careful notice see look imagine bear forget worry hear listen think say know mean "
    "get thank excuse leave carry buy order fetch own spend pay cost guess suppose believe hope wish love hate like tell ask show explain talk stay keep be have do make let need "
    "want expect reckon matter happen seem appear remain holler shout subscribe trust find stand sit lie cost weigh apply".split()
)
#: Intransitive movement: "the cover comes off next".
_COMES = frozenset("come lift slide pull pop drop slip drive tap spin unscrew unbolt unclip screw wind".split())
#: Senses that put something into its place again: refit if the thing was taken off before.
_FITTING = frozenset({"fit", "connect", "close", "restore", "uncover", "secure"})
#: Senses that speak of parts to renew; the renewals say it, no act of this point of the job.
_NOT_HERE = frozenset({"renew", "replace", "discard", "wear"})
#: Verbs whose present passive tells a state ("the cover is held by two clips", "its spring is stretched").
_STATES = frozenset(
    "hold secure fix fasten bolt screw rivet mount locate seat fit seal lock stretch coat rust wear wire connect attach glue bond clip "
    "press damage kink crack bend strip block clog load charge cover build make use call name say need paint colour color hide "
    "tighten torque renew replace recess key splined thread keep allow permit forbid supply provide carry drive support stick seize".split()
)
_RESULTS = ("tight", "open", "shut", "loose", "straight", "free", "clear", "home", "together", "in")
_LIGHT = re.compile(r"^(?:clean|wipe|check|look|tap|rub|turn|tweak|pull|push|shake|wash|brush|rinse|squirt|spray|twist|once-over|going-over|scrub|blow|coat|spin|wiggle)$")
_LIGHT_VERBS = {"look": "inspect", "once-over": "inspect", "going-over": "inspect", "squirt": "spray"}
_NOMINAL = re.compile(
    r"^(?P<gap>after|before|following|upon|by|on|with)?\s*(?:the )?(?P<noun>\w+)$"
)
_NOMINAL_VERBS = {
    "removal": "remove", "disconnection": "disconnect", "loosening": "loosen", "dismantling": "dismantle", "draining": "drain",
    "slackening": "slacken", "unscrewing": "unscrew", "opening": "open", "disassembly": "disassemble", "detachment": "detach",
    "lifting": "lift", "separation": "separate", "cleaning": "clean", "isolation": "isolate", "release": "release",
    "extraction": "extract", "marking": "mark", "releasing": "release", "undoing": "undo", "taking": "take",
}  # fmt: skip


def find_actions(heard: Heard, phases: Sequence[PhaseFound], deaf: frozenset[int]) -> tuple[Action, ...]:
    """All acts of the talk in the order of work; `deaf` are the utterances whose words cannot be trusted."""
    found: list[Action] = []
    taken_off: set[str] = set()
    about_film = [rule for rule in load_rules("roles") if rule.text("role") == "presentation"]
    opening = [rule for rule in load_rules("roles") if rule.text("scope") == "first"]
    for said in heard.utterances:
        if said.index in deaf:
            continue
        acts = _acts(heard, said.index)
        text = said.analysed.lower()
        if any(rule.pattern.search(text) for rule in about_film):
            acts = [act for act in acts if act.done and "already" in text]
        if not found and said.index < _OPENING and any(rule.pattern.search(text) for rule in opening):
            acts = [act for act in acts if act.done]
        refit = False
        for act in acts:
            phase = "refit" if refit else _phase(act, phases[said.index], taken_off)
            refit = phase == "refit"
            if phase == "work" and act.sense not in _FITTING and not act.negated:
                taken_off.update(thing.text.lower() for thing in act.objects)
            found.append(replace(act, phase=phase))
    return tuple(_closing_half(found))


#: Senses of taking apart: as long as one is still to come, the talk is not yet putting back.
_APART = frozenset({"remove", "loosen", "disconnect", "unclip", "open", "drain", "isolate", "vent", "cut", "destroy"})


def _closing_half(acts: list[Action]) -> list[Action]:
    """After the last act of taking apart, everything that follows a first act of the refit belongs to the refit."""
    put_in = {thing.text.lower() for act in acts if act.sense in ("fit", "place", "secure") for thing in act.objects}
    last = max(
        (
            act.place.utterance
            for act in acts
            if act.sense in _APART and act.phase == "work" and not any(thing.text.lower() in put_in for thing in act.objects)
        ),
        default=-1,
    )
    begins = min((act.place.utterance for act in acts if act.phase == "refit" and act.place.utterance > last), default=None)
    if begins is None:
        return acts
    return [replace(act, phase="refit") if act.place.utterance >= begins and not act.done else act for act in acts]


def _phase(act: Action, phase: PhaseFound, taken_off: set[str]) -> Phase:
    if act.done:
        return "work"
    if phase.refit:
        return "refit"
    if act.objects:
        thing = act.objects[0]
        if thing.new and thing.kind != "tool":
            return "refit"
        if act.sense in ("fit", "secure") and thing.pronoun is None and _is_off(thing, taken_off):
            return "refit"
    return "work"


#: Nouns that make an idiom of their verb ("take care", "have a go").
_IDIOM_NOUNS = frozenset("care note time place notice heed account advantage look go turn rest shot hold charge way".split())
_HARM = frozenset(
    "strip bend wreck break damage snap ruin crack scratch shear crush burn lose tear twist kink bite kill hurt cut trap split spill blow".split()
)


def _is_off(thing: Mention, taken_off: set[str]) -> bool:
    """Whether a part of this name, in full or shortened, was taken off before ("the gasket" for the cork gasket)."""
    words = set(thing.text.lower().split())
    return any(words <= set(name.split()) and name.split()[-1] == thing.text.lower().split()[-1] for name in taken_off)


def _acts(heard: Heard, index: int) -> list[Action]:
    parsed = heard.parsed[index]
    acts: list[Action] = []
    for number, verb in enumerate(parsed.verbs):
        act = _act(heard, index, parsed, number, verb)
        if act is not None:
            acts.extend(_in_sequence(heard, index, verb, act))
    acts.extend(_nominal_acts(heard, index, parsed))
    acts = _share_objects(parsed, _in_order_of_work(parsed, acts))
    return [act for act in acts if act.objects or act.particle or act.sense in ("wait", "inspect")]


def _in_sequence(heard: Heard, index: int, verb: VerbPhrase, act: Action) -> list[Action]:
    """ "take out the bottom screw, then the top one": one verb, two acts."""
    if not verb.sequel:
        return [act]
    places = {heard.mention(index, chunk).place for chunk in verb.sequel}
    first = tuple(thing for thing in act.objects if thing.place not in places)
    later = [thing for thing in act.objects if thing.place in places]
    return [replace(act, objects=first)] + [
        replace(act, objects=(thing,), place=replace(act.place, start=thing.place.start, end=thing.place.end)) for thing in later
    ]


def _act(heard: Heard, index: int, parsed: Parsed, number: int, verb: VerbPhrase) -> Action | None:
    light = _light_verb(heard, index, parsed, verb)
    if light is not None:
        return light if _mood(heard, parsed, number, verb)[0] else None
    verb = _let_go(parsed, number, verb)
    following = parsed.verbs[number + 1] if number + 1 < len(parsed.verbs) else None
    if verb.base == "use" and following is not None and following.opener == "to":
        return None
    sense = _sense(heard, verb)
    if sense is None:
        sense = _unlisted(heard, index, verb)
    if sense is None or sense.sense in _NOT_HERE:
        return None
    if verb.base in _ATTENTION and not _attention_is_work(verb, sense):
        return None
    told, done, rule = _mood(heard, parsed, number, verb)
    if not told and rule != "negated":
        return None
    objects = _objects(heard, index, parsed, verb)
    if objects and objects[0].head in _IDIOM_NOUNS and objects[0].kind in ("abstract", "unknown") and verb.base in ("take", "have", "make", "give"):
        return None
    if not objects and verb.base in ("go", "come", "get", "turn", "work", "run", "start", "move", "stop", "wait", "reach", "stand", "hold") and sense.sense not in ("wait",):
        return None
    tools = _tools(heard, index, parsed, number, verb)
    place = heard.place(index, verb.first, max(verb.last, verb.at + 1), f"verb:{sense.id}")
    action = Action(
        place, verb.base, _particle(verb, sense), _spoken(parsed, verb), sense.plain, sense.sense, tuple(objects), tuple(tools),
        manner=_manner(heard, parsed, number, verb), purpose=_purpose(parsed, number, verb), until=_until(parsed, number, verb),
        done=done, negated=verb.negated,
    )  # fmt: skip
    return action


def _sense(heard: Heard, verb: VerbPhrase) -> VerbSense | None:
    """The lexicon's sense of the verb with its particle, or with the one that its phrase of direction stands for."""
    if verb.particle is None:
        for phrase in verb.phrases:
            first = phrase.preposition.split()[0]
            if first in ("off", "out", "away", "down", "apart"):
                sense = heard.lexicon.verb_sense(verb.base, first)
                if sense is not None and first in sense.particles:
                    return sense
    return heard.lexicon.verb_sense(verb.base, verb.particle)


def _let_go(parsed: Parsed, number: int, verb: VerbPhrase) -> VerbPhrase:
    """ "let the oil run out": the act is to let it out."""
    following = parsed.verbs[number + 1] if number + 1 < len(parsed.verbs) else None
    if verb.base != "let" or verb.particle is not None or following is None or following.form != "b" or following.first > verb.last:
        return verb
    if following.base in ("run", "drain", "flow", "drip", "bleed", "escape", "trickle"):
        return dataclasses.replace(verb, particle="out", phrases=following.phrases, last=following.last)
    if following.base in ("hang", "swing", "drop", "rest", "sit", "lie"):
        return dataclasses.replace(verb, base="hang" if following.base in ("hang", "swing") else "lower", phrases=following.phrases, last=following.last)
    return verb


def _unlisted(heard: Heard, index: int, verb: VerbPhrase) -> VerbSense | None:
    """A verb that the lexicon lacks, commanded with a part or a particle: an act all the same, kept in its own words."""
    if verb.base in _ATTENTION or verb.form not in ("b", "g", "n", "dn") or verb.base in grammar.AUXILIARIES | {"be", "have", "do"}:
        return None
    chunks = list(verb.objects)
    if verb.form in ("n", "dn") and verb.subject is not None and set(verb.aux) & grammar.BE:
        chunks.append(verb.subject)
    things = [heard.mention(index, chunk) for chunk in chunks]
    if not any(thing.kind in ("part", "fastener", "seal", "fluid", "machine") for thing in things):
        return None
    return VerbSense(f"unlisted:{verb.base}", verb.base, (verb.particle or "",), "", "", "", "", "operate", verb.base, "", "no", ("any",))


def _particle(verb: VerbPhrase, sense: VerbSense) -> str | None:
    """The particle, or the one that a phrase of direction stands for ("slide it out of the carrier")."""
    if verb.particle is not None:
        return verb.particle
    for phrase in verb.phrases:
        first = phrase.preposition.split()[0]
        if first in ("off", "out") and (first in sense.particles or sense.sense == "remove"):
            return first
    return None


def _spoken(parsed: Parsed, verb: VerbPhrase) -> str:
    t = parsed.tagged
    words = t.words[verb.at].lower()
    if verb.particle_at is not None:
        words += " " + t.low[verb.particle_at]
    return words


def _attention_is_work(verb: VerbPhrase, sense: VerbSense) -> bool:
    """Verbs of attention that are work all the same with a particle or a part ("look over the seal", "keep … on")."""
    if verb.base in ("look",):
        return any(phrase.preposition in ("at", "for") for phrase in verb.phrases)
    if verb.base in ("stand", "sit", "lie", "lean", "rest"):
        return bool(verb.objects)
    if verb.base == "let":
        return bool(verb.objects) and (
            bool(verb.particle) or any(phrase.preposition.split()[0] in ("out", "off", "away", "down", "up") for phrase in verb.phrases)
        )
    if verb.base == "get" and (set(verb.aux) & grammar.HAVE or any(chunk.kind in ("person", "tool") for chunk in verb.objects)):
        return False
    if verb.base == "make":
        return any(chunk.noun in ("mark", "note", "sketch", "line") for chunk in verb.objects)
    if verb.base in ("find", "lie", "stand", "sit", "let", "show", "like", "love", "be", "do", "keep", "need", "want"):
        return verb.base in ("stand", "lie") and verb.particle is not None and verb.particle in sense.particles
    particle = _particle(verb, sense)
    return particle is not None and particle in sense.particles


def _mood(heard: Heard, parsed: Parsed, number: int, verb: VerbPhrase) -> tuple[bool, bool, str]:
    """Whether the verb tells an act, whether it was done before, and the reading."""
    t = parsed.tagged
    aux = verb.aux
    low_aux = set(aux)
    already = "already" in verb.adverbs or _word_near(parsed, verb, ("already", "beforehand", "earlier", "previously"))
    if verb.negated:
        return False, False, "negated"
    if verb.question:
        return False, False, "question"
    before = parsed.verbs[number - 1] if number else None
    if before is not None and before.base in grammar.CAUSATIVES and verb.form == "b" and verb.first <= before.last and before.particle is None:
        return False, False, "let"
    if low_aux & {"will", "'ll", "ll", "can", "may"} and (verb.base in _HARM or any(other.negated for other in parsed.verbs[:number])):
        return False, False, "consequence"
    if "had" in low_aux:
        return False, False, "past"
    subject = verb.subject
    pronoun = subject.pronoun if subject is not None else None
    opener = verb.opener
    if opener in ("after", "before", "once") and verb.form == "g" and opener != "once":
        return True, False, "sequence"
    if opener == "which":
        passive_present = verb.form in ("n", "dn") and low_aux & {"is", "are"} and verb.particle is not None
        return bool(passive_present), False, "relative"
    if opener == "before" and verb.form in ("n", "dn") and low_aux & {"is", "are"} and subject is not None:
        return True, False, "before"
    if opener == "that" and verb.carried_by in ("need", "want", "require") and verb.form == "g":
        return True, False, "needs-doing"
    if opener == "to" and before is not None and before.base == "use" and before.objects:
        return _mood(heard, parsed, number - 1, before)
    if opener in _NO_ACT or opener in ("by", "after", "before", "once", "on"):
        return False, False, "subordinate"
    if low_aux & {"would", "'d", "might", "wo", "could", "may"} and "better" not in t.low[verb.first : verb.at]:
        if not (low_aux & {"could", "may", "might"} and pronoun in ("you", "we") and verb.particle):
            return False, False, "modal"
    person = subject is not None and subject.kind == "person"
    if verb.form == "g":
        if low_aux & {"am", "'m", "are", "'re", "is", "'s", "be"} and person:
            return pronoun not in ("it", "they"), False, "progressive"
        if verb.carried_by in ("need", "want", "require"):
            return True, False, "needs-doing"
        if verb.carried_by in ("start", "begin", "finish", "carry"):
            return True, False, "imperative"
        if verb.joined and number and parsed.verbs[number - 1].form == "g":
            return _mood(heard, parsed, number - 1, parsed.verbs[number - 1])
        if subject is None and number and parsed.verbs[number - 1].form == "g":
            return False, False, "gerund"
        return False, False, "gerund"
    if verb.form in ("n", "dn") and person and verb.carried_by in ("get", "have") and low_aux & grammar.HAVE:
        return True, True, "have-done"
    if verb.form in ("n", "dn", "d") and (low_aux & grammar.BE or verb.carried_by in ("need", "want", "get")):
        return _passive(parsed, verb, already)
    if verb.form in ("n", "dn", "d") and low_aux & grammar.HAVE:
        if not person:
            return False, False, "state"
        return True, already or _prepared(parsed, verb), "perfect"
    if subject is None and _in_report(heard, parsed, number, verb):
        return True, True, "report"
    if subject is not None and "already" in t.low and _have_before(parsed, verb) and "n" in _forms(heard, parsed, verb):
        return True, True, "have-done"
    if verb.form in ("dn", "d", "n"):
        if verb.joined and number:
            before = parsed.verbs[number - 1]
            if before.form in ("n", "dn", "d"):
                told, done, rule = _mood(heard, parsed, number - 1, before)
                passive = bool(set(before.aux) & grammar.BE)
                return (told and (subject is None or passive or pronoun in _NARRATORS)), done, rule
        if person:
            return True, already or pronoun == "i", "past"
        if subject is not None and number and parsed.verbs[number - 1].base == "have" and already:
            return True, True, "have-done"
        if subject is not None and parsed.verbs and _have_before(parsed, verb):
            return True, True, "have-done"
        if subject is None and t.form[verb.at] in ("d", "dn", "n") and (already or number == 0) and verb.objects:
            return True, True, "short-report"
        return False, False, "participle"
    if verb.form == "s":
        return _third_person(parsed, number, verb)
    # Base form.
    if subject is None and low_aux - _BARE_AUX:
        return False, False, "modal"
    if subject is None:
        if verb.joined and number and parsed.verbs[number - 1].form != "b" and not aux:
            before = parsed.verbs[number - 1]
            if before.carried_by or before.opener == "to":
                return True, False, "imperative"
        return True, False, "imperative"
    if person:
        if low_aux & grammar.DO and verb.carried_by is None:
            return "do" in low_aux and pronoun != "they", False, "emphatic"
        return True, False, "narrated"
    if low_aux & {"must", "should", "will", "'ll", "to"} or verb.carried_by in ("want", "need", "have"):
        comes = verb.base in _COMES and verb.particle in ("off", "out", "away", "apart") and subject.kind != "person"
        return comes, False, "part-moves"
    if "can" in low_aux and subject.kind in ("part", "fastener", "seal") and pronoun is None and subject.determiner:
        return verb.base in _COMES and verb.particle in ("off", "out", "away", "apart"), False, "part-moves"
    if subject.plural and verb.base in _COMES and verb.particle is not None:
        return _third_person(parsed, number, verb)
    if subject.determiner is None and subject.pronoun is None and not subject.plural and subject.kind == "unknown" and verb.objects:
        return True, False, "imperative"
    return False, False, "statement"


#: Auxiliaries of a command or a plan told without its subject ("gonna pop this off", "gotta lift it").
_BARE_AUX = frozenset({"gon", "na", "gonna", "got", "ta", "gotta", "wanna", "lemme", "let", "'s", "us", "me", "do", "to", "need", "will", "must"})


def _forms(heard: Heard, parsed: Parsed, verb: VerbPhrase) -> str:
    """All forms that the verb's word can be, as letters."""
    return "".join(form for _, form in heard.lexicon.verb_forms.get(parsed.tagged.low[verb.at], ()))


def _in_report(heard: Heard, parsed: Parsed, number: int, verb: VerbPhrase) -> bool:
    """Whether the verb goes on a report: "I've already put the coach over the pit, chocked the wheels and …"."""
    forms = _forms(heard, parsed, verb)
    if verb.aux or not ("n" in forms or "d" in forms):
        return False
    for before in reversed(parsed.verbs[:number]):
        person = before.subject is not None and before.subject.kind == "person"
        if person and (set(before.aux) & grammar.HAVE or before.form in ("d", "dn")):
            return _word_near(parsed, before, ("already", "beforehand", "earlier", "previously"))
        if before.subject is not None or before.opener in _NO_ACT:
            return False
    return False


def _word_near(parsed: Parsed, verb: VerbPhrase, words: tuple[str, ...]) -> bool:
    low = parsed.tagged.low
    return any(word in words for word in low[max(0, verb.first - 4) : min(len(low), verb.last + 3)])


def _prepared(parsed: Parsed, verb: VerbPhrase) -> bool:
    """ "I have the plug lead pulled off already": anything done with "have" before the first act is a report."""
    return verb.subject is not None and verb.subject.pronoun in ("i", "we") and not (
        set(parsed.tagged.low[verb.first : verb.last]) & {"now", "just"}
    )  # fmt: skip


def _have_before(parsed: Parsed, verb: VerbPhrase) -> bool:
    """ "I have the plug lead pulled off": a participle behind the object of have."""
    for before in parsed.verbs:
        if before.at >= verb.at:
            return False
        if before.base in ("have", "get") and before.subject is not None and before.subject.pronoun in _NARRATORS:
            return True
    return False


def _passive(parsed: Parsed, verb: VerbPhrase, already: bool) -> tuple[bool, bool, str]:
    aux = set(verb.aux)
    subject = verb.subject
    if subject is None:
        return bool(aux & {"to"}), False, "passive"
    if aux & {"was", "were"}:
        return True, True, "passive-past"
    if aux & grammar.HAVE and "been" in aux and "to" not in aux:
        return True, True, "passive-perfect"
    if already and aux & {"is", "are", "'s", "'re"}:
        return True, True, "passive-state"
    if verb.base in _STATES and not aux & {"to", "must", "should", "can", "be", "get", "gets"} and verb.particle in (None, *_RESULTS):
        return False, False, "state"
    if any(phrase.preposition == "by" and phrase.chunks[0].kind not in ("person", "abstract") and phrase.chunks[0].noun != "hand" for phrase in verb.phrases):
        return False, False, "state"
    return True, False, "passive"


def _third_person(parsed: Parsed, number: int, verb: VerbPhrase) -> tuple[bool, bool, str]:
    """ "the cover comes off next", "then the pump slides out": acts told of the part."""
    if verb.base not in _COMES or verb.particle is None or verb.particle not in ("off", "out", "away", "up", "down", "apart"):
        return False, False, "statement"
    low = parsed.tagged.low
    subject = verb.subject
    if subject is None or verb.opener is not None:
        return False, False, "statement"
    if subject.pronoun in ("it", "that", "this", "they") and any(before.base != "be" for before in parsed.verbs[:number]):
        return False, False, "statement"
    if (subject.pronoun is not None or subject.kind in ("part", "fastener", "seal", "unknown")) and verb.particle in ("off", "out", "away", "apart"):
        return True, False, "comes-off"
    sequenced = bool({"next", "then", "now", "first", "finally", "after"} & set(low))
    lone = subject.first <= 2 and (len(parsed.verbs) == 1 or subject.pronoun is not None) and "can" not in verb.aux
    return sequenced or lone, False, "comes-off"


# --------------------------------------------------------------------------- objects, tools, manner


def _objects(heard: Heard, index: int, parsed: Parsed, verb: VerbPhrase) -> list[Mention]:
    chunks = list(verb.objects)
    if verb.base in ("look", "feel", "listen", "check", "test", "search") and not chunks:
        chunks = [chunk for phrase in verb.phrases if phrase.preposition in ("at", "for", "over") for chunk in phrase.chunks]
    if not chunks and verb.base in _ASCERTAIN:
        chunks = _ascertained(parsed, verb)
    passive = verb.form in ("n", "dn", "d") and (set(verb.aux) & grammar.BE or verb.carried_by in ("need", "want", "get"))
    moves = verb.form in ("s", "b") and verb.base in _COMES and verb.subject is not None and verb.subject.kind != "person" and not verb.objects
    needs = verb.form == "g" and verb.carried_by in ("need", "want", "require")
    if verb.subject is not None and (passive or moves or needs) and verb.subject.kind != "person":
        subjects = [verb.subject, *_coordinated(parsed, verb.subject, verb.first)]
        chunks = subjects + ([] if passive else chunks)
    if verb.opener in ("which", "that") and verb.opener_at is not None and (passive or needs):
        named = [other for other in parsed.verbs if other.last <= verb.opener_at + 1 and other.objects]
        before = [chunk for chunk in parsed.chunks if chunk.last <= verb.opener_at]
        chunks = named[-1].objects[-1:] if named and verb.opener == "that" else before[-1:]
    if not chunks and verb.form in ("dn", "n", "d", "b") and _have_before(parsed, verb) and verb.subject is not None:
        chunks = [verb.subject]
    if not chunks and verb.form in ("dn", "n", "d") and verb.subject is not None and verb.subject.kind != "person":
        chunks = [verb.subject]
    if verb.joined and not chunks:
        return []
    found: list[Mention] = []
    for chunk in chunks:
        if chunk.kind == "person" and chunk.pronoun is not None and chunk.pronoun not in ("her", "him", "she"):
            continue
        mention = heard.mention(index, chunk)
        if chunk.pronoun in ("both of them", "both", "all") and found and found[-1].place.end <= mention.place.start:
            found[-1] = replace(found[-1], quantity=chunk.quantity, quantity_text=chunk.pronoun)
            continue
        if chunk.quantity is not None and chunk.pronoun and found and chunk.pronoun.startswith(("both", "all")):
            found[-1] = replace(found[-1], quantity=chunk.quantity, quantity_text=chunk.pronoun)
            continue
        found.append(mention)
    return found


_ASCERTAIN = frozenset("check prove verify confirm ensure test see feel".split())


def _ascertained(parsed: Parsed, verb: VerbPhrase) -> list[Chunk]:
    """ "check that the coil is dead": what is checked is the subject of the clause."""
    for other in parsed.verbs:
        if other.at > verb.at and other.subject is not None and other.subject.first <= verb.last + 2:
            return [other.subject] if other.subject.kind != "person" else []
    return []


def _coordinated(parsed: Parsed, subject: Chunk, until: int) -> list[Chunk]:
    """Further subjects joined by "and" before the verb ("the seal and the ring are taken out")."""
    t = parsed.tagged
    more: list[Chunk] = []
    for chunk in parsed.chunks:
        if chunk.first > subject.last - 1 and chunk.last <= until and t.tag[chunk.first - 1] == "CONJ":
            more.append(chunk)
    return more


def _accompanied(heard: Heard, index: int, parsed: Parsed, verb: VerbPhrase) -> list[Mention]:
    """ "the rod is taken out along with the piston", "the rod seal with its backup ring": what comes with the object."""
    t = parsed.tagged
    found: list[Mention] = []
    for phrase in verb.phrases:
        if phrase.preposition != "with":
            continue
        together = t.low[phrase.first - 1] in ("along", "together", "complete")
        for chunk in phrase.chunks:
            mention = heard.mention(index, chunk)
            if (together or chunk.determiner in ("its", "their")) and mention.kind in ("part", "fastener", "seal", "unknown") and mention.pronoun is None:
                found.append(mention)
    return found


def _share_objects(parsed: Parsed, acts: list[Action]) -> list[Action]:
    """ "remove and discard the seal", "the nuts are loosened and taken off": one object for two verbs."""
    for position, act in enumerate(acts):
        if act.objects:
            continue
        following = acts[position + 1] if position + 1 < len(acts) else None
        previous = acts[position - 1] if position else None
        t = parsed.tagged.text
        if following is not None and following.objects and _only_joined(t[act.place.end : following.place.start]):
            acts[position] = replace(act, objects=following.objects)
        elif previous is not None and previous.objects and _only_joined(t[previous.place.end : act.place.start]):
            acts[position] = replace(act, objects=previous.objects)
    return acts


def _only_joined(between: str) -> bool:
    return re.fullmatch(r"[\s,]*(?:and|then|and then|or)?[\s,]*", between.lower()) is not None


def _tools(heard: Heard, index: int, parsed: Parsed, number: int, verb: VerbPhrase) -> list[Mention]:
    """Tools of an act: "with a …" of a tool or unknown thing, and "using a …"."""
    found: list[Mention] = []
    phrases = [phrase for phrase in verb.phrases if phrase.preposition in ("with", "using")]
    phrases += [phrase for phrase in _leading_with(parsed, verb)]
    for phrase in phrases:
        for chunk in phrase.chunks:
            mention = heard.mention(index, chunk)
            if mention.kind in ("tool", "unknown", "material", "machine") and mention.pronoun is None and mention.kind != "fluid":
                found.append(mention)
    before = parsed.verbs[number - 1] if number else None
    if before is not None and before.base == "use" and verb.opener == "to":
        found.extend(heard.mention(index, chunk) for chunk in before.objects)
    for other in parsed.verbs[number + 1 : number + 2]:
        if other.base == "use" and other.form == "g":
            found.extend(heard.mention(index, chunk) for chunk in other.objects)
    return found


def _leading_with(parsed: Parsed, verb: VerbPhrase) -> list[PrepPhrase]:
    """ "with a fifteen spanner, take out …": the tool stands before its verb."""
    t = parsed.tagged
    found: list[PrepPhrase] = []
    for i in range(0, verb.first):
        if t.low[i] == "with" and t.tag[i] == "PREP":
            chunk = parsed.chunk_at.get(i + 1)
            if chunk is not None and all(other.at > verb.at or other is verb or other.last <= i for other in parsed.verbs):
                between = [other for other in parsed.verbs if i < other.at < verb.at]
                claimed = any(phrase.first == i for other in parsed.verbs for phrase in other.phrases)
                if not between and not claimed:
                    found.append(PrepPhrase("with", [chunk], i, chunk.last))
    return found


def _manner(heard: Heard, parsed: Parsed, number: int, verb: VerbPhrase) -> str | None:
    t = parsed.tagged
    parts = [word for word in verb.adverbs if word.endswith("ly") or word in ("straight", "crosswise", "evenly", "slowly")]
    for phrase in verb.phrases:
        if phrase.preposition == "by" and phrase.chunks[0].noun == "hand":
            parts.append("by hand")
    for other in parsed.verbs[number + 1 :]:
        if other.opener == "by" and other.form == "g":
            parts.append(t.phrase(other.opener_at if other.opener_at is not None else other.first, other.last))
            break
    return ", ".join(dict.fromkeys(parts)) or None


def _purpose(parsed: Parsed, number: int, verb: VerbPhrase) -> str | None:
    t = parsed.tagged
    for other in parsed.verbs[number + 1 : number + 2]:
        if other.opener in ("to", "so") and other.opener_at is not None and other.opener_at >= verb.last - 1:
            return t.phrase(other.opener_at, other.last)
    return None


def _until(parsed: Parsed, number: int, verb: VerbPhrase) -> str | None:
    t = parsed.tagged
    for other in parsed.verbs[number + 1 : number + 3]:
        if other.opener in ("until", "till") and other.opener_at is not None:
            return t.phrase(other.opener_at, other.last)
    return None


def _light_verb(heard: Heard, index: int, parsed: Parsed, verb: VerbPhrase) -> Action | None:
    """ "give the face a good clean", "have a look at the seal": the noun carries the act."""
    t = parsed.tagged
    if verb.base not in ("give", "have", "take", "do"):
        return None
    at = None
    for i in range(verb.at + 1, min(len(t), verb.at + 14)):
        if t.tag[i] == "PUNCT" or t.tag[i] == "CONJ":
            break
        if _LIGHT.match(t.low[i]) and any(t.low[j] in ("a", "an") for j in range(max(verb.at + 1, i - 3), i)):
            at = i
            break
    if at is None:
        return None
    base = _LIGHT_VERBS.get(t.low[at], t.low[at])
    sense = heard.lexicon.verb_sense(base, None)
    if sense is None:
        return None
    chunks = [chunk for chunk in parsed.chunks if verb.at < chunk.first and chunk.last <= at + 6 and not chunk.first <= at < chunk.last]
    if verb.base != "give":
        chunks = [chunk for chunk in chunks if chunk.first > at and t.low[chunk.first - 1] in ("at", "of", "on", "over")]
    objects = [heard.mention(index, chunk) for chunk in chunks if chunk.first < at or verb.base != "give"][:1]
    if not objects:
        return None
    tools = [
        heard.mention(index, chunk)
        for chunk in parsed.chunks
        if chunk.first > at and t.low[chunk.first - 1] == "with" and chunk.kind in ("tool", "material", "unknown")
    ]
    place = heard.place(index, verb.first, at + 1, f"verb:{sense.id}")
    return Action(place, base, None, t.phrase(verb.at, at + 1).lower(), sense.plain, sense.sense, tuple(objects), tuple(tools))


def _nominal_acts(heard: Heard, index: int, parsed: Parsed) -> list[Action]:
    """ "after loosening of the two nuts", "following removal of the cover": acts told as nouns before the main act."""
    t = parsed.tagged
    found: list[Action] = []
    for i, word in enumerate(t.low):
        base = _NOMINAL_VERBS.get(word)
        if base is None or i + 2 >= len(t) or t.low[i + 1] != "of":
            continue
        before = t.low[max(0, i - 2) : i]
        if not {"after", "following", "by", "upon", "on"} & set(before):
            continue
        chunk = parsed.chunk_at.get(i + 2)
        sense = heard.lexicon.verb_sense(base, None)
        if chunk is None or sense is None or any(verb.at == i for verb in parsed.verbs if verb.opener):
            continue
        place = heard.place(index, i, chunk.last, f"verb:{sense.id}")
        found.append(Action(place, base, None, word, sense.plain, sense.sense, (heard.mention(index, chunk),)))
    return found


def _in_order_of_work(parsed: Parsed, acts: list[Action]) -> list[Action]:
    """Order of work: what stands behind "after" comes first, what stands behind "before" last."""
    openers = {verb.first: verb.opener for verb in parsed.verbs}
    starts = parsed.tagged.start

    def rank(act: Action) -> tuple[int, int]:
        token = starts.index(act.place.start) if act.place.start in starts else 0
        opener = openers.get(token)
        return (-1 if opener == "after" else 1 if opener == "before" else 0, act.place.start)

    return [replace(act, order=order) for order, act in enumerate(sorted(acts, key=rank))]
