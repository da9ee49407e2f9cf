"""The main purpose of each utterance, weighed from its cues and from what was found in it."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence

from extract.findings.phases import PhaseFound
from extract.language.heard import Heard
from extract.model import Role
from extract.rules import load_rules
from extract.speech import Action, ConditionFound, Place, RenewalFound, RoleFound, TorqueFound, by_utterance

#: How many utterances count as the opening of a talk.
_OPENING = 4
#: Rules that announce the refit, and up to how many words such an announcement is one.
_REFIT_HEADINGS = frozenset({"phase.short-heading", "phase.putting-back-together", "phase.few-things-for-refit"})
_SHORT_HEADING = 9
#: Roles whose own words tell more than a statement about a part does.
_PLAINER = frozenset({"heading", "chatter", "reason", "caution"})
#: A goodbye that begins later than this many characters follows words of work.
_WORK_BEFORE = 15
#: A command without a known act begins with its verb, at the latest behind so many tokens, and asks nothing for the speaker.
_VERB_FIRST = 2
_SPEAKER = frozenset("me us i my".split())


def find_roles(
    heard: Heard,
    phases: Sequence[PhaseFound],
    actions: Sequence[Action],
    renewals: Sequence[RenewalFound],
    torques: Sequence[TorqueFound],
    conditions: Sequence[ConditionFound],
    deaf: frozenset[int],
    given: Mapping[str, Role],
) -> tuple[RoleFound, ...]:
    """One role an utterance; `given` are the reviewer's, by utterance id."""
    acts = by_utterance(actions)
    renewed = {found.place.utterance for found in renewals}
    tightened = {found.place.utterance for found in torques}
    conditional = {found.place.utterance for found in conditions}
    first_act = min((action.place.utterance for action in actions if not action.negated), default=_OPENING)
    found: list[RoleFound] = []
    for said in heard.utterances:
        index = said.index
        whole = heard.whole(index, "role.default")
        if said.id in given:
            found.append(RoleFound(Place(index, whole.start, whole.end, "role.reviewer"), given[said.id], 10.0))
            continue
        if index in deaf:
            found.append(RoleFound(Place(index, whole.start, whole.end, "role.unclear"), "unclear", 10.0))
            continue
        scores, rules = _scores(
            heard,
            index,
            phases[index],
            acts[index],
            index in renewed,
            index in tightened,
            index in conditional,
            first_act,
        )
        ranked = sorted(scores.items(), key=lambda item: (-item[1], item[0]))
        role, score = ranked[0]
        place = rules.get(role, whole)
        losers = tuple(
            (other, round(value, 2), rules[other].rule if other in rules else "role.default")
            for other, value in ranked[1:3]
        )
        found.append(RoleFound(place, role, round(score, 2), losers))
    return tuple(found)


def _commands(heard: Heard, index: int) -> bool:
    """Whether the utterance begins with a command ("tighten all ten …")."""
    verbs = heard.parsed[index].verbs
    return bool(verbs) and verbs[0].form == "b" and verbs[0].subject is None


def _gerund_alone(heard: Heard, index: int) -> bool:
    """ "Letting down the spring.": an -ing form at the start and no other verb."""
    parsed = heard.parsed[index]
    return (
        len(parsed.verbs) == 1
        and parsed.verbs[0].form == "g"
        and not parsed.verbs[0].aux
        and parsed.verbs[0].first <= 2
    )


def _late_goodbye(rules: Mapping[Role, Place]) -> bool:
    bye = rules.get("chatter")
    return bye is not None and bye.rule == "role.goodbye" and bye.start > _WORK_BEFORE


def _scores(
    heard: Heard, index: int, phase: PhaseFound, acts: list[Action], renewed: bool, tightened: bool, conditional: bool, first_act: int
) -> tuple[dict[Role, float], dict[Role, Place]]:  # fmt: skip
    text = heard.utterances[index].analysed.lower()
    scores: dict[Role, float] = defaultdict(float)
    rules: dict[Role, Place] = {}

    def add(role: Role, weight: float, place: Place) -> None:
        scores[role] += weight
        if role not in rules or weight > 1:
            rules.setdefault(role, place)

    for rule in load_rules("roles").near(text):
        match = rule.pattern.search(text)
        if match is None or (rule.text("scope") == "first" and index > max(_OPENING, 0)):
            continue
        if rule.text("scope") in ("refit", "strip") and (
            tightened
            or phase.onward != (rule.text("scope") == "refit")
            or any(role in rules and not (role == "chatter" and _late_goodbye(rules)) for role in _PLAINER)
        ):
            continue
        role: Role = rule.text("role")  # type: ignore[assignment]
        if rule.text("scope") == "first" and index > first_act + 2:
            continue
        add(role, rule.number("weight"), Place(index, match.start(), match.end(), rule.id))
    parsed = heard.parsed[index]
    trade = any(
        heard.mentions[index][chunk.first].kind in ("part", "fastener", "seal", "fluid", "tool")
        for chunk in parsed.chunks
    )
    working = [act for act in acts if act.phase == "work" and not act.negated]
    refitting = [act for act in acts if act.phase == "refit" and not act.negated]
    whole = heard.whole(index, "role.default")
    if working:
        done = all(act.done for act in working) and "already" not in text
        add("instruction", 3.7 if not done else 2.9, working[0].place)
    if any(act.negated for act in acts):
        add("caution", 1.0, acts[0].place)
    if tightened and all(act.sense in ("tighten", "turn") and not _commands(heard, index) for act in working):
        # "Put the pump in and do the bolts up to twenty": the refit of the part first.
        refits = len(refitting) > 1 and any(act.sense not in ("tighten", "turn", "hold") for act in refitting)
        add("torque_note", 1.0 if renewed else 3.0 if refits else 4.5, whole)
    if renewed:
        # "Remove and discard the pin" is an act first; that the pin is renewed stands with it.
        add("refit_note", 2.8 if working else 4.2, whole)
    if phase.place is not None and phase.place.rule in _REFIT_HEADINGS and len(text.split()) <= _SHORT_HEADING:
        add("heading", 4.5, phase.place)
    elif phase.place is not None:
        add("refit_note", 2.6, phase.place)
    elif phase.onward:
        add("refit_note", 1.6 if refitting else 0.7 if trade else 0.0, whole)
    if refitting:
        add("refit_note", 1.6, refitting[0].place)
    if conditional and not working:
        add("condition", 1.5, whole)
    commanded = _commands(heard, index) and parsed.verbs[0].first <= _VERB_FIRST and _SPEAKER.isdisjoint(text.split())
    if commanded and not acts:
        # "Look into the hub and count the rollers": told to be done, though nothing is taken off or put on.
        add("refit_note" if phase.onward else "instruction", 1.2 if trade else 0.7, whole)
    told = "refit_note" in rules and rules["refit_note"].rule == "role.refit-state"
    if phase.onward and (told or commanded) and _late_goodbye(rules):
        scores["chatter"] *= 0.2  # "write it in the book, and thank you": the work before the goodbye
    add("reason" if trade and parsed.verbs else "chatter", 0.5, whole)
    add("chatter", 0.1, whole)
    if index < _OPENING and trade and not parsed.verbs:
        add("heading", 2.6, whole)  # "right, clutch and oil pump on the saw"
    if _gerund_alone(heard, index):
        add("heading", 3.0, whole)
    if index < _OPENING and not trade and not working:
        scores["heading"] *= 0.4  # a greeting that names no part announces nothing
    if index >= len(heard.utterances) - 2 and not acts and not trade and not renewed:
        add("chatter", 1.5, whole)
    if working and "caution" in rules and working[0].place.start < rules["caution"].start:
        scores["caution"] *= 0.6  # "tag the hoses so you don't mix them up": what the act is for
    if working and "condition" in scores:
        scores["condition"] *= 0.4  # an act with its condition is an instruction
    return scores, rules
