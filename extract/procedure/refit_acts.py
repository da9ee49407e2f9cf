"""What kind of act the talk's own refit tells: a treatment, an undoing of something, or a step of its own."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence

from extract.procedure.names import content, is_plural, part_name
from extract.procedure.units import Unit
from extract.procedure.wording import PERSONAL, plain_words
from extract.speech import Action
from extract.wordforms import word_set

#: Senses that prepare or set a part while it goes back; they are notes at its step, not steps of their own.
_TREATING = frozenset({"apply", "clean", "mark", "note", "prepare"})
_STEEPED = frozenset({"soak", "steep"})
BACK = frozenset(
    {
        "fit",
        "connect",
        "tighten",
        "close",
        "fill",
        "restore",
        "renew",
        "replace",
        "secure",
        "place",
        "straighten",
        "cover",
    }
)
_AWAY = frozenset({"remove", "release", "uncover", "unclip", "disconnect", "loosen", "open", "lower", "drain"})
_WHOLE = word_set(
    "rest lot everything thing whole all remainder reverse order job assembly reassembly part piece component work sequence procedure way it them that those"
)
_MARKS = word_set("mark marks line arrow dot punch notch tag label dots lines")
#: Places off the machine: what is put there is prepared, not fitted.
_AWAY_FROM_IT = word_set("freezer fridge oven water pocket bath hand pouch rag")
DABS = word_set("smear dab drop coat coating bit film touch lick squirt bead blob layer spot dollop skim wipe nothing")


#: Senses of acts that make a step of their own where nothing that came off is meant.
_OWN = frozenset(
    {"fit", "connect", "tighten", "close", "fill", "restore", "secure", "adjust", "vent", "run", "inspect", "measure"}
    | {"operate", "turn", "wait", "pull_test", "renew", "replace", "straighten", "remove", "open", "drain", "release"}
)
#: Of things that are no parts (a level, a clearance) only these make sense.
_ABSTRACT = frozenset({"run", "inspect", "measure", "adjust", "vent", "wait", "pull_test", "fill"})


_TO_PLACE = frozenset({"on", "in", "back", "up", "home", "together", "over", "into", "onto", "through"})
_INTO_PLACE = ("on ", "onto ", "in ", "into ", "over ", "back ", "through ", "up ")


def stands_alone(act: Action) -> bool:
    """True for an act of the refit that is a step of its own: bleed, fill, run, check, set, fit something new."""
    if act.sense not in _OWN:
        return False
    doubtful = all(
        mention.kind in ("abstract", "person", "place") or (mention.kind == "unknown" and mention.head.endswith("ing"))
        for mention in act.objects
    )
    return not doubtful or act.sense in _ABSTRACT


def own_verb(act: Action) -> str:
    """The verb of a step that only exists on refit; "pump tight" keeps its result."""
    if act.sense in ("renew", "replace"):
        return "fit"
    result = act.particle if act.particle in ("tight", "loose", "clear", "dry", "home") else None
    return (
        f"{act.plain} {result}" if act.plain and result and result not in act.plain else act.plain or act.spoken_action
    )


def whole(text: str) -> bool:
    return part_name(text).head in _WHOLE


def treats(act: Action, used: Sequence[str]) -> bool:
    """True for greasing, cleaning, coating and lining up, which are notes at the step of their part.

    `used` are the head nouns of the materials that the utterance uses up.
    """
    kinds = {
        "material" if part_name(mention.text).head in DABS | set(used) else mention.kind for mention in act.objects
    }
    if (
        act.sense in _TREATING
        or act.verb in _STEEPED
        or act.verb == "pack"
        and any(tool.kind in ("fluid", "material") for tool in act.tools)
    ):
        return True
    if (
        all(mention.kind == "material" for mention in act.objects)
        and act.sense == "place"
        and any(part_name(mention.text).head in used for mention in act.objects)
    ):
        return True  # "on the lock screw you put thread lock"
    if act.sense in ("place", "fit") and any(
        content(mention.direction or mention.position) & _AWAY_FROM_IT for mention in act.objects
    ):
        return True
    if act.sense == "secure" and any(tool.kind in ("fluid", "material") for tool in act.tools):
        return True
    if (
        act.sense == "adjust"
        and act.verb in ("line", "align", "match", "match up")
        or (
            act.objects
            and part_name(act.objects[0].text).head in _MARKS
            and act.sense in ("adjust", "place", "fit", "operate")
        )
    ):
        return True
    ways = " ".join(filter(None, (act.objects[0].direction, act.objects[0].position))) if act.objects else ""
    return (
        bool(kinds)
        and kinds <= {"fluid", "material"}
        and act.sense in ("place", "fit", "secure", "operate")
        and bool(re.search(r"\b(?:on|onto|to|over|round|around)\b", ways))
    )


def suits(act: Action, unit: Unit) -> float | None:
    """How well an act of the refit fits what has to be undone; null if it cannot be its undoing."""
    sense, effect = act.sense, unit.effect
    if unit.verb == "turn back" and sense not in ("turn", "move", "operate"):
        return None
    if effect == "back":
        same = act.sense in BACK and unit.told and unit.told[0].sense in BACK
        return 0.0 if same or (unit.told and unit.told[0].plain == act.plain) else None
    if effect in ("equipped", "covered", "held"):
        return 0.2 if sense in _AWAY or sense == "move" else None
    if effect == "isolated":
        if sense == "adjust":
            return 0.1
        if sense in _AWAY | {"restore", "connect", "operate", "move", "turn"}:
            return 0.2
        return 0.0 if sense in ("fit", "place") and unit.verb not in ("take down", "remove") else None
    if sense == "fill":
        return 0.2 if effect == "drained" else None
    if effect == "drained":
        return 0.1 if sense in ("renew", "replace", "place", "fit") else None
    if sense in ("tighten", "adjust"):
        return (0.2 if effect == "loose" else 0.1 if unit.fastener else 0.0) if sense == "tighten" else None
    if sense == "close":
        return 0.2 if effect == "parted" else None
    if sense in BACK or act.verb == "use":
        return 0.2 if effect in ("off", "destroyed", "parted", "moved") else 0.05
    if sense in ("move", "operate", "lower", "raise", "turn", "straighten", "bend", "hold", "support"):
        if effect in ("moved", "loose") and (sense != "operate" or goes_on(act)):
            return 0.1
        return 0.1 if goes_on(act) and effect in ("off", "destroyed", "parted") else None
    return None


def goes_on(act: Action) -> bool:
    """True if the particle or the movement of an act brings its object to its place."""
    if set((act.particle or "").split()) & _TO_PLACE:
        return True
    ways = [way for mention in act.objects for way in (mention.direction, mention.position) if way]
    return any(way.lower().startswith(_INTO_PLACE) for way in ways)


_YOU_DO = re.compile(
    r"^(?:you|we|i)(?:'ve|'re| have| are)?\s+(\w+)\s+((?:the|your|that|those|its|a)\s+[\w -]+?)(?:\s+back)?(?:\s+(?:in|on|up|off|out|down))?\s*$",
    re.IGNORECASE,
)
#: Words with which a speaker goes on to something else.
_TRAILS = re.compile(r"\s(?:like|about|roughly|no|you know|so)\s", re.IGNORECASE)
_YOU_HAVE = re.compile(r"^(?:you(?:'ve| have) got|you have|there's|there is)\s+(.+)$", re.IGNORECASE)
_CLAUSE_WORDS = 14
_MAIN_CLAUSE = re.compile(r"\b(?:shall|must|should|will|has to|have to)\b", re.IGNORECASE)


def spoken_time(word: str, clause: str, before: str, participle: Callable[[str], str]) -> str:
    """The time of a step in the talk's own words, if they can be written; else empty.

    "Before you couple the hose" is "before the hose is coupled". `before` are the words that stand in front of it.
    """
    clause = _TRAILS.split(plain_words(clause))[0].strip(" .,;")
    if _MAIN_CLAUSE.search(clause):
        return ""  # "After the filling the set shall run": the time ended where the sentence began.
    clause = re.sub(r"[\s,]+(?:and|or|so|then)$", "", clause)
    found = None if _YOU_HAVE.match(clause) else _YOU_DO.match(clause)
    only = "only " if re.search(r"\bonly\s*$", before) else ""
    if found:
        part = re.sub(r"^(?:your|that|its)\b", "the", found.group(2))
        return f"{only}{word} {part} {'are' if is_plural(part) else 'is'} {participle(found.group(1).lower())}"
    there = _YOU_HAVE.match(clause)
    if there:
        return f"{only}{word} there is {there.group(1)}" if not PERSONAL.search(there.group(1)) else ""
    if PERSONAL.search(clause) or "'" in clause or not content(clause) or len(clause.split()) > _CLAUSE_WORDS:
        return ""
    finite = re.search(r"\b(?:is|are|has|have|was|were|goes|go|comes|runs|been|\w+ing)\b", clause)
    return f"{only}{word} {clause}" if finite else ""


def time_by(word: str, target: Unit, participle: Callable[[str], str]) -> str:
    """The time of a step by another one: "once the disc is fitted"."""
    word = "once" if word in ("when", "as soon as") else word
    if target.effect == "drained" or target.verb.split()[0] in ("fill", "refill"):
        return f"{word if word == 'before' else 'after'} the filling"
    part = target.parts[0].text if target.parts else "part"
    for told in target.told:
        if told.objects and not whole(told.objects[0].text):
            part = told.objects[0].text
    verb = target.told[-1].plain if target.told and target.lead is None else target.verb
    return f"{word} the {part} {'are' if is_plural(part) else 'is'} {participle(verb)}"
