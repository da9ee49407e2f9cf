"""From acts to the numbered steps of the removal: one act one step, in the order of work."""

from __future__ import annotations

import re
from bisect import insort
from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from extract.ids import IdMaker
from extract.lexicon import Lexicon
from extract.model import Because, Condition, Measure, Part, Step, Talk
from extract.procedure import states, wording
from extract.speech import Action, Measured, Mention, Place, Understanding, Utterance


@dataclass(frozen=True, slots=True)
class Act:
    """A step with the act that it was made from."""

    step: Step
    action: Action

    @property
    def utterance(self) -> int:
        return self.action.place.utterance


def is_step(action: Action, unclear: frozenset[int]) -> bool:
    """True for an act of the work that somebody performs, in words that can be understood."""
    return action.phase == "work" and not action.negated and action.place.utterance not in unclear


def in_order(actions: Sequence[Action]) -> list[Action]:
    """Acts in the order of work: utterance by utterance, inside one by `order`."""
    return sorted(actions, key=lambda action: (action.place.utterance, action.order, action.place.start))


def because(place: Place, utterances: Sequence[Utterance]) -> Because:
    """The evidence of an entry: its words and its rule."""
    return Because(segment=utterances[place.utterance].id, span=(place.start, place.end), rule=place.rule)


def measure(found: Measured) -> Measure:
    return Measure(what=found.what, value=found.value, low=found.low, high=found.high, unit=found.unit, text=found.text)


def word_time(talk: Talk, utterance: Utterance, offset: int) -> float | None:
    """When the word at this offset of the utterance starts, in seconds; null where the talk has no times."""
    if utterance.corrected is not None:
        return utterance.start_s
    index = utterance.words[0] + utterance.text[:offset].count(" ")
    last = utterance.words[1] - 1
    return talk.words[min(index, last)].start_s if talk.words and last >= utterance.words[0] else utterance.start_s


def placed(action: Action) -> Action:
    """The act with the places of its objects told apart from movements and from values."""
    return replace(action, objects=tuple(_placed(mention, action) for mention in action.objects))


def resolved(action: Action, lexicon: Lexicon) -> Action:
    """The act in the sense that fits what its pronoun stands for ("run them down" of bolts drains nothing)."""
    action = placed(action)
    first = action.objects[0] if action.objects else None
    if first is None or first.pronoun is None:
        return action
    entry = lexicon.verb_sense(action.verb, action.particle, first.kind)
    if entry is None or first.kind not in entry.objects or entry.sense == action.sense:
        return action
    return replace(action, sense=entry.sense, plain=entry.plain)


#: A tightening value that was taken for a place ("to fifteen foot pounds").
_VALUE = re.compile(
    r"\s*\bto\s+(?:[\w.-]+\s+){0,6}?(?:newton|nm|n·m|foot|feet|ft|inch|pound|kilopond|kgf|degree|turn)s?\b.*$",
    re.IGNORECASE,
)


def _placed(mention: Mention, action: Action) -> Mention:
    """Words with "of" tell which part is meant, not where it goes; but "clear of the bracket" does."""
    particle = action.particle
    if action.sense == "tighten":
        mention = replace(
            mention,
            position=_VALUE.sub("", mention.position or "") or None,
            direction=_VALUE.sub("", mention.direction or "") or None,
        )
    if particle in ("clear", "free"):
        of = next((way for way in (mention.direction, mention.position) if way and way.startswith("of ")), None)
        if of is not None:
            kept = None if mention.position == of else mention.position
            return replace(mention, direction=f"{particle} {of}", position=kept)
    if mention.direction and mention.direction.startswith("of ") and not mention.position:
        return replace(mention, position=mention.direction, direction=None)
    return mention


def make_part(mention: Mention, utterance: Utterance, ids: IdMaker) -> Part:
    """The draft's object for a mention."""
    return Part(
        id=ids.make("part", utterance.text, mention.text, mention.position or ""),
        text=mention.text,
        component=mention.component,
        quantity=mention.quantity,
        quantity_text=mention.quantity_text,
        position=mention.position,
        direction=mention.direction,
    )


def tool_names(action: Action, matter: bool | None = None) -> tuple[str, ...]:
    """Names of the tools of an act, without the thing that it is done to; `matter` picks materials, or all others."""
    heads = {mention.head for mention in action.objects}
    names = [
        wording.tool_name(tool.text, tool.size)
        for tool in action.tools
        if tool.head not in heads and matter in (None, _is_matter(tool))
    ]
    return tuple(dict.fromkeys(names))


_PIECES = frozenset(
    {"rag", "cloth", "block", "sheet", "strip", "pad", "piece", "bit", "plate", "brush", "board", "cord", "bag"}
)


def _is_matter(tool: Mention) -> bool:
    """True for what is used up or poured, which has no article."""
    return tool.kind in ("fluid", "material") and tool.head not in _PIECES


def written(action: Action, measures: Sequence[Measured], conditions: Sequence[Condition]) -> str:
    """The written instruction of an act of the work."""
    return wording.instruction(
        action.plain or action.spoken_action,
        [_thing(mention, action.sense) for mention in action.objects if mention.head not in _TIME_NOUNS],
        direction=next((mention.direction for mention in action.objects if mention.direction), None),
        measures=[measure(found) for found in measures if found.unit not in _TIMES or action.sense in _LASTING],
        tools=tool_names(action, matter=False),
        bare_tools=tool_names(action, matter=True),
        manner=action.manner,
        purpose=action.purpose,
        until=action.until,
        conditions=conditions,
    )


def _thing(mention: Mention, sense: str) -> wording.Thing:
    determiner = (mention.determiner or "").lower()
    loose = mention.kind in ("tool", "material", "unknown") and determiner in ("a", "an", "some")
    if mention.new:
        article = "new"
    elif loose:
        article = "a"
    elif sense == "wear" and not determiner:
        article = ""
    else:
        article = "the"
    return wording.Thing(mention.text, mention.quantity, mention.position, article)


def make_acts(
    understanding: Understanding,
    talk: Talk,
    ids: IdMaker,
    conditions_of: Mapping[int, Sequence[Condition]],
    section_of: Mapping[int, str],
    lexicon: Lexicon,
) -> list[Act]:
    """The steps of the talk with their acts.

    `conditions_of` gives the conditions that govern an action (by its index in `understanding.actions`),
    `section_of` the section of an utterance; `lexicon` gives a verb's sense once a pronoun is resolved.
    """
    utterances = understanding.utterances
    unclear = frozenset(found.place.utterance for found in understanding.roles if found.role == "unclear")
    trust = {found.utterance: found.trust for found in understanding.trust}
    certainty = {found.place.utterance: found.score for found in understanding.roles}
    number_of = {id(action): index for index, action in enumerate(understanding.actions)}
    chosen = [action for action in in_order(understanding.actions) if is_step(action, unclear)]
    actions = [resolved(action, lexicon) for action in chosen]
    measures = measures_of(understanding, actions)
    told = [
        [make_part(mention, utterances[action.place.utterance], ids) for mention in action.objects]
        for action in actions
    ]
    same = states.same_part(states.follow(_mets(actions, told)))
    starts_at: defaultdict[int, list[int]] = defaultdict(list)
    for action in actions:
        insort(starts_at[action.place.utterance], action.place.start)
    acts: list[Act] = []
    for number, (action, objects) in enumerate(zip(actions, told, strict=True), start=1):
        where = action.place.utterance
        utterance = utterances[where]
        conditions = conditions_of.get(number_of[id(chosen[number - 1])], ())
        # In the film an act lasts till the next one is told, also where it is done after that one.
        starts = starts_at[where]
        after = next((start for start in starts if start > action.place.start), None)
        step = Step(
            id=ids.make("step", utterance.text, action.spoken_action, *(mention.text for mention in action.objects)),
            number=number,
            section=section_of.get(where),
            action=action.plain or action.spoken_action,
            spoken_action=action.spoken_action,
            objects=tuple(part.model_copy(update={"same_as": same.get(part.id)}) for part in objects),
            manner=action.manner,
            tools=tool_names(action),
            text=written(action, measures[number - 1], conditions),
            start_s=word_time(talk, utterance, action.place.start)
            if action.place.start > starts[0]
            else utterance.start_s,
            end_s=word_time(talk, utterance, after) if after is not None else utterance.end_s,
            segments=(utterance.id,),
            applies_when=tuple(condition.id for condition in conditions),
            measures=tuple(measure(found) for found in measures[number - 1]),
            confidence=_confidence(action, trust.get(where, 1.0), certainty.get(where, 1.0)),
            done_before_camera=action.done,
            because=(because(action.place, utterances),),
        )
        acts.append(Act(step, action))
    return acts


_TIMES = frozenset({"s", "min", "h", "d"})
_TIME_NOUNS = frozenset({"second", "minute", "hour", "day"})
_LASTING = frozenset(
    {"wait", "run", "apply", "hold", "operate", "prepare", "drain", "vent", "turn", "clean", "inspect", "pull_test"}
)


def measures_of(understanding: Understanding, actions: Sequence[Action]) -> list[list[Measured]]:
    """The measures of each act: its own, and those of its utterance that stand after it and that no act carries."""
    found = [list(action.measures) for action in actions]
    carried = {(one.place.utterance, one.place.start) for action in understanding.actions for one in action.measures}
    acts_at: defaultdict[int, list[int]] = defaultdict(list)
    for index, action in enumerate(actions):
        acts_at[action.place.utterance].append(index)
    for one in understanding.measures:
        if (one.place.utterance, one.place.start) in carried:
            continue
        here = acts_at.get(one.place.utterance, [])
        if one.unit in _TIMES:
            # "Switch it off and let it cool for an hour": the hour is not the switching's.
            here = [index for index in here if actions[index].sense in _LASTING]
        before = [index for index in here if actions[index].place.start <= one.place.start]
        if here:
            found[(before or here)[-1 if before else 0]].append(one)
    return found


def mets_of(acts: Sequence[Act]) -> list[states.Met]:
    """The mentions of parts in the steps, in the order of work, for `states.follow`."""
    return _mets([act.action for act in acts], [act.step.objects for act in acts])


def _mets(actions: Sequence[Action], told: Sequence[Sequence[Part]]) -> list[states.Met]:
    return [
        states.Met(
            part=part.id,
            act=number,
            sense=action.sense,
            text=part.text,
            position=part.position,
            direction=part.direction,
            quantity=part.quantity,
            quantity_text=part.quantity_text,
            component=part.component,
            pronoun=mention.pronoun is not None,
            kind=mention.kind,
            utterance=action.place.utterance,
        )
        for number, (action, parts) in enumerate(zip(actions, told, strict=True))
        for mention, part in zip(action.objects, parts, strict=True)
    ]


def _confidence(action: Action, trust: float, certainty: float) -> float:
    """Trust in the words, certainty of the role, and what is open about the objects, as one number of 0…1."""
    open_points = sum(
        0.2
        for mention in action.objects
        if mention.pronoun and (len(mention.antecedents) > 1 or mention.text == mention.pronoun)
    )
    return round(
        max(0.0, trust * (0.5 + 0.5 * min(1.0, certainty)) * (1 - min(0.6, open_points + (not action.objects) * 0.3))),
        3,
    )
