"""How a refit step is written: new parts named as new, the tightening value in the step, fluids filled in."""

from __future__ import annotations

import re
from collections.abc import Sequence

from extract.model import Condition, Measure, Part, Renewal, Torque
from extract.procedure import wording
from extract.procedure.attached import NoteEntry
from extract.procedure.names import agreement, content, is_plural, part_name, singular
from extract.procedure.units import Unit
from extract.wordforms import plural_by_rule, word_set

_TAKE_FROM = re.compile(r"^remove the (\w+) from$")
#: The document of a value is told with the value, not with the place of the joint.
_TO_DOCUMENT = re.compile(
    r"\s*\b(?:according )?to (?:the|your) (?:\w+ ){0,3}?(?:handbook|manual|chart|sheet|table|book|plate|data)\b.*$",
    re.IGNORECASE,
)
#: Words of a value that the step has in digits.
_VALUE_WORDS = word_set(
    "half quarter third eighth two three four five six seven eight nine ten eleven twelve fifteen twenty thirty forty fifty "
    "sixty seventy eighty ninety hundred hour minute second day turn millimetre centimetre litre millilitre degree"
)
#: "To" a mark or a stop is a place, "to thirty newton metres" is a value.
_TO_PLACE = re.compile(r"\b(?:mark|line|groove|stop|notch|dot|hole|slot|position|length)s?\b", re.IGNORECASE)
_COVERS = {"uncap": "cap", "unplug": "plug", "unblock": "block", "unchock": "chock"}
#: Told verbs that say no more than that the part is fitted.
_BARE = word_set("go come use reuse replace renew get have be sit do make need want bring take drop lay place")
_ONTO = {"on": "on", "onto": "on", "in": "in", "into": "in", "up": "up", "home": "home", "over": "over"}
#: Movements that end in the place of the part.
_INTO_PLACE = word_set("move slide push pull swing lower raise lift turn shift return bring roll tilt")
_LED = frozenset(
    {
        "fit",
        "connect",
        "tighten",
        "close",
        "fill",
        "restore",
        "secure",
        "straighten",
        "remove",
        "release",
        "open",
        "cover",
    }
)


def action_of(unit: Unit) -> str:
    """The plain verb of the refit step."""
    told = _told_verb(unit)
    if told:
        return told.removesuffix(" to torque").removesuffix(" lightly")
    match = _TAKE_FROM.match(unit.verb)
    if match:
        noun = singular(match.group(1))
        return f"un{noun}" if f"un{noun}" in _COVERS else "remove"
    return unit.verb or "fit"


def _told_verb(unit: Unit) -> str | None:
    """The verb of the talk's own refit, where it says more than "goes back on"."""
    for act in unit.told:
        if unit.lead is None:
            return unit.verb
        if _takes_away(unit):
            return act.plain
        if act.verb in _BARE or not act.plain:
            continue
        if act.sense not in _LED:
            if unit.effect == "loose" and act.sense == "turn":
                return act.plain
            onto = [word for word in (act.particle or "").split() if word in _ONTO]
            onto += [
                _ONTO[way] for one in act.objects if (way := (one.direction or "").split(" ", 1)[0].lower()) in _ONTO
            ]
            if onto and unit.effect in ("off", "parted", "moved"):
                return f"{act.verb} {_ONTO.get(onto[-1], onto[-1])}"
            continue
        if act.sense == "tighten" and unit.effect != "loose":
            continue
        if act.sense in ("remove", "release", "open") and unit.effect not in (
            "equipped",
            "isolated",
            "covered",
            "held",
        ):
            continue
        if act.sense == "close" and unit.effect not in ("parted", "isolated"):
            continue
        return act.plain
    return None


def parts_of(unit: Unit, renewals: Sequence[Renewal]) -> list[Part]:
    """The objects of the refit step; a substitute takes the place of the old kind."""
    parts = list(unit.parts)
    if len(parts) == 1 and (unit.equipment or _takes_away(unit)) and unit.told and unit.told[0].objects:
        told = unit.told[0].objects[0]
        parts = [parts[0].model_copy(update={"text": told.text, "quantity": told.quantity, "position": None})]
    for renewal in renewals:
        if unit.effect == "drained" and renewal.kind == "consumable":
            parts = [_fuller(part, renewal.item) for part in parts]
        if renewal.kind != "substitute" or not renewal.replaced_by:
            continue
        for index, part in enumerate(parts):
            if singular(part_name(part.text).head) == part_name(renewal.item).head:
                count = renewal.quantity or part.quantity
                text = renewal.replaced_by
                if (count or 1) > 1 and not is_plural(text):
                    text = f"{text}s"
                parts[index] = part.model_copy(update={"text": text, "quantity": count, "component": None})
    return parts


def _fuller(part: Part, item: str) -> Part:
    """ "The oil" that ran out is the "gear oil" that is filled in."""
    own, new = part_name(part.text), part_name(item)
    return part.model_copy(update={"text": item}) if own.head == new.head and own.qualifiers < new.qualifiers else part


def _takes_away(unit: Unit) -> bool:
    """True where the talk takes away what was put there ("the lock off the isolator") instead of undoing the act."""
    if unit.effect not in ("isolated", "covered", "held") or not unit.told or not unit.told[0].objects:
        return False
    act = unit.told[0]
    return act.sense == "remove" and part_name(act.objects[0].text).head not in unit.heads


def note_text(text: str) -> str:
    """One thought as a sentence."""
    text = re.sub(r"\b(?:those|these)\b", "the", wording.plain_words(text))
    return wording.sentence(text)


def telling(notes: Sequence[NoteEntry], text: str) -> list[NoteEntry]:
    """The notes that say more than the step itself does, each once."""
    told: dict[frozenset[str], NoteEntry] = {}
    step = content(text) | (_VALUE_WORDS if re.search(r"\d", text) else frozenset())
    for note in notes:
        said = content(note.text)
        if not said <= step:
            told.setdefault(said, note)
    return list(told.values())


def said_once(
    unit: Unit, text: str, notes: Sequence[NoteEntry], conditions: Sequence[Condition]
) -> tuple[str, list[NoteEntry]]:
    """The step and its notes, without a note that says the step over again and more: that note is the step then."""
    told = {act.place.utterance for act in unit.told}
    plain = text.rsplit(", ", 1)[-1] if conditions else text
    verb = plain.split(" ", 1)[0].lower()
    for note in notes:
        fuller = note_text(note.text)
        again = note.place.utterance in told and fuller.split(" ", 1)[0].lower() == verb
        if again and ". " not in text and content(plain) <= content(fuller):
            whole = wording.with_condition(fuller, conditions)
            if wording.count_words(whole) <= wording.MAX_WORDS:
                return whole, [one for one in notes if one is not note]
    return text, list(notes)


def chosen(text: str, notes: Sequence[NoteEntry]) -> tuple[str, list[NoteEntry]]:
    """A part that is fitted new only if it has to be: the inspection with its choice is the step."""
    choice = next((one for one in notes if one.kind == "check" and one.text.startswith("Inspect ")), None)
    return (choice.text, [one for one in notes if one is not choice]) if choice else (text, list(notes))


def text_of(
    unit: Unit,
    parts: Sequence[Part],
    renewals: Sequence[Renewal],
    torques: Sequence[Torque],
    measures: Sequence[Measure],
    conditions: Sequence[Condition],
    is_open: bool,
) -> str:
    """The written refit step; a second sentence says how tight."""
    main = _main(unit, parts, renewals, measures, is_open)
    how = [tightening(one) for one in torques if _own(one, parts)]
    if action_of(unit) == "tighten" and not is_open and len(how) == 1 and how[0]:
        others = tightenings(parts, [one for one in torques if not _own(one, parts)])
        whole = wording.with_condition(f"{main} {how[0]}", conditions)
        if wording.count_words(whole) <= wording.MAX_WORDS:
            return " ".join([whole, *others])
        last = wording.sentence(how[0].replace("to ", "Tighten to ", 1))
        return " ".join([wording.with_condition(main, conditions), last, *others])
    return " ".join([wording.with_condition(main, conditions), *tightenings(parts, torques)])


def _main(
    unit: Unit, parts: Sequence[Part], renewals: Sequence[Renewal], measures: Sequence[Measure], is_open: bool
) -> str:
    verb = action_of(unit)
    own = [one for one in renewals if one.kind == "renew" and not one.only_if]
    things = [_thing(part, own, unit) for part in parts]
    told = unit.told[-1] if unit.told else None
    if is_open:
        phrase = wording.join_all([wording.noun_phrase(thing) for thing in things]) or "the part"
        many = any(is_plural(part.text) or (part.quantity or 1) > 1 for part in parts)
        return f"Settle how {phrase} {'are' if many else 'is'} put back"
    if unit.effect == "drained":
        return _filling(unit, parts, renewals, measures)
    if not parts:
        return wording.verb_phrase(verb, "the part", None)
    match = _TAKE_FROM.match(unit.verb)
    cover = match.group(1) if match else _cover_noun(unit, verb, parts)
    if cover and (not told or action_of(unit) == verb and verb in (*_COVERS, "remove")):
        return f"Remove the {cover} from {wording.join_all([wording.noun_phrase(thing) for thing in things])}"
    direction = _direction(unit, verb) or ("into place" if unit.effect == "moved" and verb in _INTO_PLACE else None)
    extra = [_with(one) for one in own if not any(_is_own(part, one) for part in parts)]
    written = "connect" if verb == "plug in" and any(thing.text.split()[-1] == "plug" for thing in things) else verb
    text = wording.verb_phrase(written, wording.join_all([wording.noun_phrase(thing) for thing in things]), direction)
    if extra:
        text += f" with {wording.join_all(extra)}"
    instead = [one for one in renewals if one.kind == "substitute" and one.replaced_by]
    for one in instead:
        if not any(part_name(part.text).head == part_name(one.replaced_by or "").head for part in parts):
            text += f" with {wording.indefinite(one.replaced_by or '')} in place of the {one.item}"
    fluids = [
        one
        for one in renewals
        if one.kind == "consumable" and unit.lead is None and verb.split()[0] in ("top", "fill", "refill")
    ]
    material = wording.join_all([_fluid(one) for one in fluids])
    if fluids and all(any(_is_own(part, one) for one in fluids) for part in parts):
        text = f"{verb} with {material}"  # what is filled in, where no part was named
    elif fluids and not any(_is_own(part, one) for one in fluids for part in parts):
        text += f" with {material}"
    told_amount = any(one.amount_value for one in fluids)
    unsaid = [one for one in measures if not one.text or one.text not in text]
    values = wording.measure_phrase(verb, [] if unit.lead is not None or told_amount else unsaid)
    own_words = (
        [wording.manner_phrase(told.manner), wording.until_phrase(told.until)] if told and unit.lead is None else []
    )
    tail = " ".join(filter(None, [values, *own_words]))
    return f"{text} {tail}"


def _direction(unit: Unit, verb: str) -> str | None:
    """Where the part goes, in the words of the talk's own refit; values of a tightening are no place."""
    told = next((act for act in unit.told if act.objects and act.objects[0].direction), None)
    if told is None:
        return None
    way = told.objects[0].direction or ""
    if verb.split()[0] == "tighten" or (unit.lead is not None and way.split(" ", 1)[0].lower() not in _ONTO):
        return None
    return way


def _cover_noun(unit: Unit, verb: str, parts: Sequence[Part]) -> str | None:
    if unit.effect != "covered" or verb not in _COVERS:
        return None
    many = len(parts) > 1 or (parts[0].quantity or 1) > 1 or is_plural(parts[0].text)
    return _COVERS[verb] + ("s" if many else "")


def _thing(part: Part, own: Sequence[Renewal], unit: Unit) -> wording.Thing:
    fitting = sorted(
        (one for one in own if _is_own(part, one)),
        key=lambda one: -agreement(part_name(part.text), part_name(one.item)),
    )
    rivals = [agreement(part_name(other.text), part_name(one.item)) for one in fitting[:1] for other in unit.parts]
    best = fitting[0] if fitting else None
    renewal = (
        best if best and agreement(part_name(part.text), part_name(best.item)) >= max(rivals, default=0.0) else None
    )
    new = renewal is not None or any(mention.new for act in unit.told for mention in act.objects)
    quantity = renewal.quantity if renewal is not None and renewal.quantity else part.quantity
    if quantity and quantity > 1 and not is_plural(part.text):
        quantity = None
    article = "new" if new and unit.effect not in ("equipped", "isolated", "held", "covered") else "the"
    if unit.verb == "look for":
        article = ""
    if renewal is None and part.text != "" and re.match(r"M\d", part.text) and unit.broken:
        article = "a"
    position = part.position
    if position and position.startswith("to ") and unit.lead is None and not _TO_PLACE.search(position):
        position = None
    if position and unit.told and unit.told[-1].sense == "tighten":
        position = _TO_DOCUMENT.sub("", position) or None
    return wording.Thing(part.text, quantity, position, article)


def _is_own(part: Part, renewal: Renewal) -> bool:
    return agreement(part_name(part.text, part.position), part_name(renewal.item, renewal.position)) >= 0.25 and (
        part_name(part.text).head == part_name(renewal.item).head
    )


def _with(renewal: Renewal) -> str:
    count = renewal.quantity if renewal.quantity and renewal.quantity > 1 else None
    text = renewal.item
    if count and not is_plural(text):
        text = plural_by_rule(text)
    return wording.noun_phrase(wording.Thing(text, count, None, "new"))


def _fluid(renewal: Renewal) -> str:
    amount = ""
    if renewal.amount_value is not None and renewal.amount_unit:
        amount = f"{wording.digits(renewal.amount_value)} {renewal.amount_unit} of "
    return f"{amount}fresh {renewal.item}"


def _filling(unit: Unit, parts: Sequence[Part], renewals: Sequence[Renewal], measures: Sequence[Measure]) -> str:
    fresh = [one for one in renewals if one.kind == "consumable"]
    what = (
        wording.join_all(list(dict.fromkeys(_fluid(one) for one in fresh)))
        or f"the {wording.join_all([part.text for part in parts])}"
    )
    told = next((act for act in unit.told if act.until), None)
    until = wording.until_phrase(told.until) if told else ""
    level = next((way for act in unit.told for one in act.objects for way in (one.direction, one.position) if way), "")
    level = level if level.startswith(("to ", "up to ")) else ""
    values = wording.measure_phrase("fill", measures) if not any(one.amount_value for one in fresh) else ""
    return " ".join(filter(None, ["Fill with", what, values, level, until]))


def tightenings(parts: Sequence[Part], torques: Sequence[Torque]) -> list[str]:
    """A sentence for each value: those of the step's one part first, any other with the name of its joint."""
    told = []
    for torque in sorted(torques, key=lambda one: not _own(one, parts)):
        own = _own(torque, parts)
        many = any((part.quantity or 1) > 1 or is_plural(part.text) for part in parts)
        what = ("them" if many else "it") if own else f"the {wording.inside(wording.plain_words(torque.joint))}"
        how = tightening(torque)
        if how:
            told.append(wording.sentence(f"Tighten {what} {how}"))
    return list(dict.fromkeys(told))


#: `agreement` of two names with the same head noun that share no other word.
OTHER_NAME = 0.25


def _own(torque: Torque, parts: Sequence[Part]) -> bool:
    """Whether the value is that of the step's one part: "the impeller nut" is none of the casing nuts."""
    if torque.scope != "step":
        return True
    return (
        len(parts) == 1 and agreement(part_name(torque.joint), part_name(parts[0].text, parts[0].position)) > OTHER_NAME
    )


def tightening(torque: Torque) -> str:
    """How tight: the stages in order, or the document that holds the value; empty where neither was said."""
    order = f" {wording.plain_words(torque.order)}" if torque.order else ""
    stages = []
    for stage in torque.stages:
        if stage.angle_deg is not None and stage.value_nm is None and stage.low_nm is None:
            by = f"by {_angle(stage.angle_deg, torque)}"
            stages.append(f"hand-tight, then {by}" if not stages and _by_hand(torque) else by)
        elif stage.low_nm is not None and stage.high_nm is not None and stage.low_nm != stage.high_nm:
            stages.append(f"to {wording.digits(stage.low_nm)} to {wording.digits(stage.high_nm)} N·m")
        elif stage.value_nm is not None:
            stages.append(f"to {wording.digits(stage.value_nm)} N·m")
    if stages:
        return f"{', then '.join(stages)}{order}"
    if torque.reference:
        return f"to the value in {_document(torque.reference)}{order}"
    return ""


def _angle(degrees: float, torque: Torque) -> str:
    """Degrees, with the part of a turn where the talk tells it so: "1/4 turn (90°)"."""
    turn = wording.TURNS.get(round(degrees / 360, 3))
    told = turn and any(re.search(r"\bturn\b", words, re.IGNORECASE) for words in torque.spoken)
    return f"{turn} turn ({wording.digits(degrees)}°)" if told else f"{wording.digits(degrees)}°"


def _by_hand(torque: Torque) -> bool:
    return any(re.search(r"\b(?:hand|finger)[ -]tight\b|\bby hand\b", words, re.IGNORECASE) for words in torque.spoken)


def _document(reference: str) -> str:
    named = re.match(
        r"(?:the|a|an|your|table|section|chapter|page|sheet|figure|annex|appendix)\b", reference, re.IGNORECASE
    )
    return reference if named else f"the {reference}"
