"""Acts: who does what to which part, from imperatives, narration, passives, reports and nouns of action."""

from __future__ import annotations

import dataclasses
import re
from collections.abc import Sequence
from dataclasses import replace

from extract.findings.closing_half import with_closing_half
from extract.findings.later_counts import with_later_counts
from extract.findings.noun_acts import SWITCHED, light_verb, nominal_acts, verbless_acts
from extract.findings.phases import APART, PhaseFound
from extract.language import grammar
from extract.language.arguments import manner_of, objects_of, purpose_of, share_objects, tools_of, until_of
from extract.language.complements import Parsed, VerbPhrase
from extract.language.heard import Heard
from extract.language.moods import mood
from extract.lexicon import VerbSense
from extract.rules import load_rules
from extract.speech import Action, Mention, Phase

#: How many utterances can announce the job.
_OPENING = 5
_ATTENTION = frozenset(
    "mind watch remember beware avoid careful notice see look imagine bear forget worry hear listen think say "
    "know mean get thank excuse give omit skip miss follow leave carry buy order fetch own spend pay cost guess suppose believe hope wish "
    "love hate bless damn like tell ask show explain talk stay keep be have do make let need want expect reckon matter "
    "touch disturb happen seem appear remain holler shout subscribe trust find stand sit lie cost weigh apply".split()
)
#: Senses that put something into its place again: refit if the thing was taken off before.
_FITTING = frozenset({"fit", "connect", "close", "restore", "uncover", "secure"})
#: Senses that speak of parts to renew; the renewals say it, no act of this point of the job.
_NOT_HERE = frozenset({"renew", "replace", "wear"})
#: What is put on a part before it goes back.
_LUBRICANTS = frozenset(
    "oil grease lube paste sealant sealer compound threadlocker thread-lock lock anti-seize jelly vaseline lanolin".split()
)
#: What is put on a part to get it off or to clean it.
_LOOSENS = frozenset(
    "penetrating releasing release cleaner degreaser solvent diesel paraffin kerosene water heat paint".split()
)
_ONESELF = frozenset("yourself yourselves myself ourselves himself herself themselves".split())
#: Verbs of throwing that with a place only say where something is put ("chuck it on the bench").
_THROWN = frozenset("chuck throw toss sling bung dump fling lob".split())
_REFUSE = frozenset("bin scrap skip trash rubbish garbage dustbin dumpster waste refuse".split())
#: Nouns that make an idiom of their verb ("take care", "have a go").
_IDIOM_NOUNS = frozenset(
    "care note time place notice heed account advantage look go turn rest shot hold charge way shower breath photo".split()
)


#: What was done before the film is part of the work, what was moved for the camera is not.
_BEFORE_FILMING = re.compile(
    r"\balready\b|\b(?:before|prior to|ahead of) (?:the |this |we |i )?(?:film|record|shoot|camera|video)"
)


@dataclasses.dataclass(frozen=True, slots=True)
class _Told:
    """What was told before an utterance: the names of the parts that are off, and whether the work has begun."""

    taken_off: set[str]
    begun: bool


def find_actions(heard: Heard, phases: Sequence[PhaseFound], deaf: frozenset[int]) -> tuple[Action, ...]:
    """All acts of the talk in the order of work; `deaf` are the utterances whose words cannot be trusted."""
    found: list[Action] = []
    taken_off: set[str] = set()
    removed: set[str] = set()
    about_film = [rule for rule in load_rules("roles") if rule.id == "role.camera"]
    opening = [rule for rule in load_rules("roles") if rule.text("scope") == "first"]
    for said in heard.utterances:
        if said.index in deaf:
            continue
        begun = any(act.phase == "work" and not act.done and not act.negated for act in found)
        acts = _acts(heard, said.index, phases[said.index].refit, _Told(taken_off, begun))
        text = said.analysed.lower()
        if any(rule.pattern.search(text) for rule in about_film):
            acts = [act for act in acts if act.done and _BEFORE_FILMING.search(text)]
        if not found and said.index < _OPENING and any(rule.pattern.search(text) for rule in opening):
            acts = [act for act in acts if act.done]
        refit = False
        for act in acts:
            phase = "refit" if refit else _phase(act, phases[said.index], taken_off, removed)
            refit = phase == "refit"
            if phase == "work" and act.sense not in _FITTING and not act.negated:
                taken_off.update(thing.text.lower() for thing in act.objects)
            if act.sense == "remove" and not act.negated:
                removed.update(thing.text.lower() for thing in act.objects)
            found.append(replace(act, phase=phase))
    return with_closing_half(with_later_counts(heard, found))


def _phase(act: Action, phase: PhaseFound, taken_off: set[str], removed: set[str]) -> Phase:
    if act.done:
        return "work"
    if phase.refit:
        here_only = phase.place is not None and not phase.onward
        if here_only and act.sense in APART | {"straighten", "discard"} and act.place.end <= phase.place.start:
            return "work"  # "pull it out, you'll need a new one": the act stands before the words of the refit
        return "refit"
    if act.verb == "go":
        return "refit"
    if act.objects:
        thing = act.objects[0]
        if act.sense == "tighten" and act.spoken.split()[0] != act.verb and _is_off(thing, taken_off):
            return "refit"  # "the bolts are to be done up": those that were loosened before
        if thing.new and thing.kind != "tool":
            return "refit"
        if act.sense in ("fit", "secure") and thing.pronoun is None and _is_off(thing, taken_off):
            return "refit"
        if act.sense in ("apply", "place") and thing.head in _LUBRICANTS and _onto_what_is_off(thing, removed):
            return "refit"  # "a film of oil on the filter's seal", after the filter came off
    return "work"


def _onto_what_is_off(thing: Mention, removed: set[str]) -> bool:
    """Whether a lubricant or sealant is put on a part that was taken off before, or on one named after it."""
    words = (thing.direction or thing.position or "").lower().split()
    if words[:1] not in (["on"], ["onto"], ["to"], ["over"]) or _LOOSENS & set(thing.text.lower().split()):
        return False
    return any(set(words[1:]) & set(name.split()[-1:]) for name in removed)


def _is_off(thing: Mention, taken_off: set[str]) -> bool:
    """Whether a part of this name, in full or shortened, was taken off before ("the gasket" for the cork gasket)."""
    words = set(thing.text.lower().split())
    return any(words <= set(name.split()) and name.split()[-1] == thing.text.lower().split()[-1] for name in taken_off)


def _acts(heard: Heard, index: int, refit: bool, told: _Told) -> list[Action]:
    parsed = heard.parsed[index]
    acts: list[Action] = []
    for number, whole in enumerate(parsed.verbs):
        for verb in _in_sequence(whole):
            act = _act(heard, index, parsed, number, verb, refit, told)
            if act is not None:
                acts.append(act)
    acts.extend(nominal_acts(heard, index, parsed))
    acts.extend(verbless_acts(heard, index, parsed, refit, told.begun))
    acts = _with_discards(share_objects(parsed, _in_order_of_work(parsed, acts)))
    return [act for act in acts if act.objects or act.particle or act.sense in ("wait", "inspect")]


def _with_discards(acts: list[Action]) -> list[Action]:
    """ "peel the gaskets off and discard them" has two acts; "that one is binned" alone only says that it is renewed."""
    kept = [act for act in acts if act.sense != "discard"]
    return acts if any(act.sense in APART | {"move"} and not act.negated for act in kept) else kept


def _in_sequence(verb: VerbPhrase) -> list[VerbPhrase]:
    """ "take out the bottom screw by hand, then the top one with a key": one verb, two acts, each with its own phrases."""
    if not verb.sequel:
        return [verb]
    at = verb.sequel[0].first
    first = dataclasses.replace(
        verb,
        objects=[chunk for chunk in verb.objects if chunk.first < at],
        phrases=[phrase for phrase in verb.phrases if phrase.first < at],
        sequel=[],
    )
    later = dataclasses.replace(
        verb,
        objects=[chunk for chunk in verb.objects if chunk.first >= at],
        phrases=[phrase for phrase in verb.phrases if phrase.first >= at],
        first=at,
        sequel=[],
    )
    return [first, later]


def _act(
    heard: Heard, index: int, parsed: Parsed, number: int, verb: VerbPhrase, refit: bool, before: _Told
) -> Action | None:
    light = light_verb(heard, index, parsed, verb)
    if light is not None:
        return light if mood(heard, parsed, number, verb, refit=refit)[0] else None
    verb = _let_go(parsed, number, verb)
    following = parsed.verbs[number + 1] if number + 1 < len(parsed.verbs) else None
    if verb.base == "use" and following is not None and following.opener == "to":
        return None
    if verb.base == "hang" and verb.particle == "on" and not verb.objects:
        return None  # "hang on", "hang on to it": wait, keep it
    if any(chunk.pronoun in _ONESELF for chunk in verb.objects):
        return None  # "clip yourself to the rail": done to no part
    sense = _sense(heard, verb)
    if sense is None and verb.base != "repeat":
        sense = _unlisted(heard, index, verb)
    if sense is None or sense.sense in _NOT_HERE:
        return None
    if verb.base in _ATTENTION and not _attention_is_work(verb, sense):
        return None
    told, done, rule = mood(heard, parsed, number, verb, refit=refit)
    if not told and rule != "negated":
        return None
    if rule == "passive" and not before.begun and not refit and {"'s", "'re"} & set(verb.aux):
        done = True  # "the isolator's locked off", before anything is told: how the machine was prepared
    objects = objects_of(heard, index, parsed, verb)
    if rule == "goes-in" and (verb.objects or not objects or objects[0].kind == "abstract"):
        return None  # "the remaining parts go on by themselves"
    if rule == "goes-in" and not (refit or (objects and (objects[0].new or _is_off(objects[0], before.taken_off)))):
        return None  # "oil goes in here": what it does, not what to do
    if objects and objects[0].head in ("torque", "value", "figure") and verb.base in ("take", "find", "read", "get"):
        return None  # "the torque is taken from table four"
    if index < _OPENING and rule == "progressive" and not before.taken_off and sense.sense in _FITTING | {"place"}:
        return None  # "we're putting bearings in it": the job, not yet an act
    if verb.base == "use" and objects and objects[0].kind in ("part", "fastener", "seal"):
        return None  # "there's a new gasket in the kit, so use that": what is fitted, not when
    if rule == "once-done" and any(_is_off(thing, before.taken_off) for thing in objects):
        return None  # told already
    if (
        objects
        and objects[0].head in _IDIOM_NOUNS
        and objects[0].kind in ("abstract", "unknown")
        and verb.base in ("take", "have", "make", "give", "open")
    ):
        return None
    if (
        not objects
        and verb.base
        in ("go", "come", "get", "turn", "work", "run", "start", "move", "stop", "wait", "reach", "stand", "hold")
        and sense.sense not in ("wait",)
    ):
        return None
    if objects:  # "drop the oil" drains it, "drop the cover" takes it off: the kind of the object tells
        sense = _sense(heard, verb, objects[0].kind) or sense
        if verb.particle == "off" and sense.sense in ("remove", "loosen") and objects[0].head in SWITCHED:
            sense = heard.lexicon.verb_sense("switch", "off") or sense  # "knock the breaker off"
    if sense.sense == "discard" and verb.base in _THROWN and _laid_down(verb):
        sense = heard.lexicon.verb_sense("put", None) or sense
    if verb.base == "set" and any(p.preposition in ("to", "on") and p.chunks[0].noun == "side" for p in verb.phrases):
        sense = heard.lexicon.verb_sense("put", None) or sense  # "set the lid to one side"
    tools = tools_of(heard, index, parsed, number, verb)
    place = heard.place(index, verb.first, max(verb.last, verb.at + 1), f"verb:{sense.id}")
    action = Action(
        place, verb.base, _particle(verb, sense), _spoken(parsed, verb), sense.plain, sense.sense, tuple(objects), tuple(tools),
        manner=manner_of(heard, parsed, number, verb), purpose=purpose_of(parsed, number, verb), until=until_of(parsed, number, verb),
        done=done, negated=verb.negated or rule == "negated",
    )  # fmt: skip
    return action


def _laid_down(verb: VerbPhrase) -> bool:
    """Whether a phrase tells a place where something is kept, and not the bin."""
    places = [phrase for phrase in verb.phrases if phrase.preposition in ("in", "on", "into", "onto")]
    return (
        bool(places)
        and verb.particle is None
        and not any(_REFUSE & {chunk.noun, *chunk.text.lower().split()} for phrase in places for chunk in phrase.chunks)
    )


#: Prepositions of one word that hold a particle.
_AS_PARTICLE = {"outta": "out"}


def _listed(heard: Heard, verb: VerbPhrase) -> bool:
    """Whether the lexicon has a sense of the verb with its own particle."""
    sense = heard.lexicon.verb_sense(verb.base, verb.particle)
    return sense is not None and verb.particle in sense.particles


def _sense(heard: Heard, verb: VerbPhrase, kind: str | None = None) -> VerbSense | None:
    """The lexicon's sense of the verb with its particle, or with the one that its phrase of direction stands for."""
    if verb.particle in ("loose", "undone"):
        sense = heard.lexicon.verb_sense(verb.base, verb.particle, kind)
        if sense is not None and verb.particle not in sense.particles and sense.sense in ("tighten", "operate", "turn"):
            return heard.lexicon.verb_sense("loosen", None)  # "nip the screws loose"
    if verb.particle is None or verb.particle in ("up", "down") and not _listed(heard, verb):
        for phrase in verb.phrases:
            first = _AS_PARTICLE.get(phrase.preposition, phrase.preposition.split()[0])
            if first in ("off", "out", "away", "down", "apart"):
                sense = heard.lexicon.verb_sense(verb.base, first, kind)
                if sense is not None and first in sense.particles:
                    return sense
    return heard.lexicon.verb_sense(verb.base, verb.particle, kind)


def _let_go(parsed: Parsed, number: int, verb: VerbPhrase) -> VerbPhrase:
    """ "let the oil run out": the act is to let it out."""
    following = parsed.verbs[number + 1] if number + 1 < len(parsed.verbs) else None
    if (
        verb.base != "let"
        or verb.particle is not None
        or following is None
        or following.form != "b"
        or following.first > verb.last
    ):
        return verb
    if following.base in ("run", "drain", "flow", "drip", "bleed", "escape", "trickle"):
        return dataclasses.replace(verb, particle="out", phrases=following.phrases, last=following.last)
    if following.base in {"soak", "dry", "cure", "harden", "steep"}:
        return dataclasses.replace(verb, base=following.base, phrases=following.phrases, last=following.last)
    if following.base in ("rest", "sit", "lie", "stand") and all(
        phrase.preposition in ("for", "until", "till", "over") for phrase in following.phrases
    ):
        return dataclasses.replace(verb, particle=following.base, phrases=following.phrases, last=following.last)
    if following.base in ("hang", "swing", "drop", "rest", "sit", "lie"):
        return dataclasses.replace(
            verb,
            base="hang" if following.base in ("hang", "swing") else "lower",
            phrases=following.phrases,
            last=following.last,
        )
    return verb


def _unlisted(heard: Heard, index: int, verb: VerbPhrase) -> VerbSense | None:
    """A verb that the lexicon lacks, commanded with a part or a particle: an act all the same, kept in its own words."""
    if (
        verb.base in _ATTENTION
        or verb.form not in ("b", "g", "n", "dn")
        or verb.base in grammar.AUXILIARIES | {"be", "have", "do"}
    ):
        return None
    chunks = list(verb.objects)
    if verb.form in ("n", "dn") and verb.subject is not None and set(verb.aux) & grammar.BE:
        chunks.append(verb.subject)
    things = [heard.mention(index, chunk) for chunk in chunks]
    if not any(thing.kind in ("part", "fastener", "seal", "fluid", "machine", "tool") for thing in things):
        return None
    return VerbSense(
        f"unlisted:{verb.base}",
        verb.base,
        (verb.particle or "",),
        "",
        "",
        "",
        "",
        "operate",
        verb.base,
        "",
        "no",
        ("any",),
    )


def _particle(verb: VerbPhrase, sense: VerbSense) -> str | None:
    """The particle, or the one that a phrase of direction stands for ("slide it out of the carrier")."""
    if verb.particle is not None:
        return verb.particle
    for phrase in verb.phrases:
        first = _AS_PARTICLE.get(phrase.preposition, phrase.preposition.split()[0])
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
    if verb.base in ("leave", "omit", "skip", "miss", "follow", "give"):
        return False
    if verb.base == "let":
        return bool(verb.objects) and (
            bool(verb.particle)
            or any(phrase.preposition.split()[0] in ("out", "off", "away", "down", "up") for phrase in verb.phrases)
        )
    if verb.base == "get" and (
        set(verb.aux) & grammar.HAVE
        and "to" not in verb.aux  # "you've got to get the nuts off"
        or any(chunk.kind in ("person", "tool") for chunk in verb.objects)
    ):
        return False
    if verb.base == "get" and any(
        phrase.preposition.split()[0] in ("to", "onto", "over", "out", "outta", "from", "off")
        for phrase in verb.phrases
    ):
        return bool(verb.objects)
    if verb.base == "get" and verb.particle in ("over", "up", "down", "across") and verb.phrases:
        return bool(verb.objects)
    if verb.base == "apply":
        return bool(verb.objects) or verb.form in ("n", "dn")
    if verb.base == "carry":
        return bool(verb.objects) and verb.particle not in ("on", "out")
    if verb.base == "keep" and verb.particle == "aside":
        return bool(verb.objects)
    if verb.base == "make":
        return any(chunk.noun in ("mark", "note", "sketch", "line") for chunk in verb.objects)
    if verb.base in ("find", "lie", "stand", "sit", "let", "show", "like", "love", "be", "do", "keep", "need", "want"):
        return verb.base in ("stand", "lie") and verb.particle is not None and verb.particle in sense.particles
    particle = _particle(verb, sense)
    return particle is not None and particle in sense.particles


def _in_order_of_work(parsed: Parsed, acts: list[Action]) -> list[Action]:
    """Order of work: what stands behind "after" comes first, what stands behind "before" last."""
    openers = {verb.first: verb.opener for verb in parsed.verbs}
    starts = parsed.tagged.start

    def rank(act: Action) -> tuple[int, int]:
        token = starts.index(act.place.start) if act.place.start in starts else 0
        opener = openers.get(token)
        return (-1 if opener in ("after", "once", "when") else 1 if opener == "before" else 0, act.place.start)

    return [replace(act, order=order) for order, act in enumerate(sorted(acts, key=rank))]
