"""Tightening requirements: values and stages with their joint, requirements without a value, documents that hold values."""

from __future__ import annotations

import re
from dataclasses import dataclass, field, replace
from functools import cache

from extract.findings.bare_numbers import fastener_between, stands_alone, told_bare
from extract.findings.joints import (
    REACH,
    SIZE,
    can_be_joint,
    document_at,
    document_name,
    is_document,
    is_screwed,
    joint_after,
    joint_before,
    joint_behind,
    joint_name,
    same_document,
    same_joint,
    thread_size,
)
from extract.language.clauses import Parsed
from extract.language.heard import Heard
from extract.language.named import governed, objects, token_at
from extract.language.phrases import Chunk
from extract.language.quantities import Quantity, find_quantities, number_at
from extract.rules import Rule, load_rules
from extract.speech import StageFound, TorqueFound

_GRADE = re.compile(r"\b(?:grade|class|property class)\s(\d+(?:\.\d+)?)\b|\b(8\.8|10\.9|12\.9)\b")
#: Angles that a bare number behind "another" or "plus" stands for.
_ANGLES = frozenset({45, 60, 90, 120, 135, 150, 180, 270})
_GOES_ON = frozenset({
    "then", "to", "at", "and", "first", "finally", "plus", "another", "further", "lastly", "initially", "second",
    ",", "up", "again",
})  # fmt: skip
#: "and the plug gets thirty": the unit was said before.
_TELLS = frozenset({
    "get", "gets", "got", "is", "are", "'s", "'re", "takes", "take", "wants", "want", "needs", "need", "requires", "require",
})  # fmt: skip
#: Words that join one value in two units.
_SAME_VALUE = frozenset({
    "(", ")", ",", "-", "–", "that", "'s", "is", "or", "which", "about", "so", "equals", "roughly", "call", "it", "say",
})  # fmt: skip
_LOOSENS = frozenset({"off", "back", "loosen", "slacken", "undo", "temperature", "slack", "unscrew", "open"})
#: Matches of the rules by the part that they play.
_Hits = dict[str, list[tuple[Rule, re.Match[str]]]]


@dataclass(slots=True)
class _Stage:
    first: int
    last: int
    found: StageFound
    spoken: tuple[str, ...]
    unit: str
    factor: float | None


@dataclass(slots=True)
class _Group:
    """The stages of one joint in an utterance."""

    joint: Chunk | None
    stages: list[_Stage] = field(default_factory=list)


@dataclass(slots=True)
class _Memory:
    """The last tightening told, and the last document named."""

    utterance: int = -9
    joint: str = ""
    head: str = ""
    #: Unit of the last stage, and of the last value that was no angle: symbol and newton metres of one.
    unit: tuple[str, float | None] | None = None
    value_unit: tuple[str, float | None] | None = None
    document: str | None = None


def find_torques(heard: Heard, deaf: frozenset[int]) -> tuple[TorqueFound, ...]:
    """All tightening requirements in the order of the talk, each stage told in an utterance of its own as one."""
    memory = _Memory()
    found: list[TorqueFound] = []
    for said in heard.utterances:
        if said.index not in deaf:
            found.extend(_in_utterance(heard, said.index, memory))
    return tuple(found)


@cache
def _rules() -> dict[str, tuple[Rule, ...]]:
    """The rules by the part that they play."""
    rules: dict[str, tuple[Rule, ...]] = {}
    for rule in load_rules("torques"):
        rules[rule.text("part")] = (*rules.get(rule.text("part"), ()), rule)
    return rules


def _matches(text: str) -> _Hits:
    hits: _Hits = {}
    for rule in load_rules("torques").near(text):
        part = rule.text("part")
        if part in ("document", "tool", "gate", "ahead", "later"):
            continue
        match = rule.pattern.search(text)
        if match is not None:
            hits.setdefault(part, []).append((rule, match))
    return hits


def _in_utterance(heard: Heard, index: int, memory: _Memory) -> list[TorqueFound]:
    text = heard.searched(index)
    if index - memory.utterance > REACH and not _rules()["gate"][0].pattern.search(text):
        return []
    hits = _matches(text)
    if "removal" in hits:
        return []
    if "follow" not in hits and (cue := _cue_before(heard, index, text)) is not None:
        hits["follow"] = [cue]
    goes_on = "follow" in hits and 0 < index - memory.utterance <= REACH
    quantities = [q for q in find_quantities(heard.parsed[index].tagged) if not _of_tool(heard, index, q)]
    if goes_on and not any(q.factor for q in quantities) and _own_thing(heard, index, quantities):
        goes_on = False
    if not goes_on and index - memory.utterance <= REACH:
        goes_on = told_bare(heard, index, index - memory.utterance == 1)
    stages = _stages(heard, index, quantities, hits, goes_on, memory)
    found: list[TorqueFound] = []
    if stages:
        for group in _groups(heard, index, stages, quantities):
            found.append(_with_value(heard, index, group, hits, memory))
        if "novalue" in hits and not goes_on:
            found = _beside_values(heard, index, stages, hits, memory, quantities) + found
    elif "reference" in hits and (reference := _reference(heard, index, hits, memory, quantities)) is not None:
        found.append(reference)
    elif (vague := _unclear_unit(heard, index, text, quantities)) is not None:
        found.append(_vague(heard, index, vague, hits, memory, quantities))
    elif "novalue" in hits and not any(q.factor for q in quantities):
        found.extend(_without_value(heard, index, hits, memory, quantities))
    for torque in found:
        memory.utterance, memory.joint, memory.head = index, torque.joint, torque.head
    if stages:
        memory.unit = (stages[-1].unit, stages[-1].factor)
        memory.value_unit = next(((one.unit, one.factor) for one in reversed(stages) if one.factor), memory.value_unit)
    return found


def _cue_before(heard: Heard, index: int, text: str) -> tuple[Rule, re.Match[str]] | None:
    """ "… and the last time | it's thirty degrees": the cue stands at the end of the utterance before."""
    words = heard.searched(index - 1).split() if index else []
    for count in range(min(4, len(words)), 0, -1):
        if words[-1][-1] in ".?!;":
            break
        for rule in _rules()["follow"]:
            match = rule.pattern.match(" ".join([*words[-count:], text]))
            if match is not None and match.end() >= len(" ".join(words[-count:])):
                return rule, match
    return None


def _own_thing(heard: Heard, index: int, quantities: list[Quantity]) -> bool:
    """ "Finally, turn the shaft one full turn": the utterance has a thing of its own, which is no fastener."""
    verbs = heard.parsed[index].verbs
    things = [c for verb in verbs for c in verb.objects if c.pronoun is None and c.kind in ("part", "machine", "tool")]
    return any(can_be_joint(heard, index, chunk, quantities) for chunk in things)


def _of_tool(heard: Heard, index: int, quantity: Quantity) -> bool:
    """ "a fifty newton metre torque wrench": the value belongs to the tool."""
    t = heard.parsed[index].tagged
    behind = t.text[t.end[quantity.last - 1] :].lower()
    return any(rule.pattern.search(behind) for rule in _rules()["tool"])


# --------------------------------------------------------------------------- stages


def _stages(
    heard: Heard, index: int, quantities: list[Quantity], hits: _Hits, goes_on: bool, memory: _Memory
) -> list[_Stage]:
    parsed = heard.parsed[index]
    t = parsed.tagged
    context = "context" in hits
    stages: list[_Stage] = []
    for q in quantities:
        if q.factor is not None and (context or q.unit != "Nm" or "newtons" not in q.text.lower()):
            stages.append(_torque_stage(q))
    stages = _once(parsed, stages)
    tightened = _turned_further(heard, index, quantities)
    if not stages and not goes_on and "novalue" not in hits and not tightened:
        return []
    opened = stages[0].last if stages else 0
    for q in quantities:
        backs_off = _LOOSENS & set(t.low[max(0, q.first - 5) : q.first])
        wound = t.low[q.last : q.last + 1] == ["of"]  # "three turns of tape": wound on, no angle
        if q.unit in ("°", "turn") and q.value is not None and q.first >= opened and not backs_off and not wound:
            degrees = q.value * (360.0 if q.unit == "turn" else 1.0)
            stages.append(_Stage(q.first, q.last, StageFound(angle_deg=round(degrees, 1)), (q.text,), "°", None))
    if any(stage.factor for stage in stages) or goes_on:
        stages.extend(_bare_numbers(heard, index, quantities, stages, goes_on, memory))
    stages.sort(key=lambda stage: stage.first)
    if "novalue" in hits and stages and all(stage.factor is None for stage in stages):
        words = hits["novalue"][0][1].group()
        stages[0] = replace(stages[0], spoken=(f"{words}, {stages[0].spoken[0]}",))
    return stages


def _once(parsed: Parsed, stages: list[_Stage]) -> list[_Stage]:
    """ "40 lb-ft (54 Nm)", "thirty foot pounds, that's forty newton metres": one value in two units is one stage."""
    t = parsed.tagged
    kept: list[_Stage] = []
    for stage in stages:
        before = kept[-1] if kept else None
        between = t.low[before.last : stage.first] if before else []
        if before is not None and before.unit != stage.unit and len(between) <= 5 and set(between) <= _SAME_VALUE:
            kept[-1] = replace(before, last=stage.last, spoken=before.spoken + stage.spoken)
        else:
            kept.append(stage)
    return kept


def _turned_further(heard: Heard, index: int, quantities: list[Quantity]) -> bool:
    """ "turn the bolts a further sixty degrees", "angle-tighten all the nuts by ninety": an angle for a fastener."""
    parsed = heard.parsed[index]
    low = parsed.tagged.low
    for q in quantities:
        near = set(low[max(0, q.first - 4) : q.last + 2])
        told = near & {"further", "another", "more", "additional"} or {"tighten", "tightened", "torque"} & set(low)
        if q.unit in ("°", "turn") and told and not _LOOSENS & set(low):
            return any(heard.mention(index, c).kind == "fastener" for verb in parsed.verbs for c in verb.objects)
    return False


def _torque_stage(q: Quantity) -> _Stage:
    factor = q.factor or 1.0

    def nm(value: float | None) -> float | None:
        return None if value is None else round(value * factor, 1)

    found = StageFound(value_nm=nm(q.value), low_nm=nm(q.low), high_nm=nm(q.high))
    return _Stage(q.first, q.last, found, (q.text,), q.unit, q.factor)


def _bare_numbers(
    heard: Heard, index: int, quantities: list[Quantity], stages: list[_Stage], goes_on: bool, memory: _Memory
) -> list[_Stage]:
    """Numbers whose unit was said with another stage: "twenty newton metres, then forty"."""
    parsed = heard.parsed[index]
    t = parsed.tagged
    taken = {i for q in quantities for i in range(q.first, q.last)}
    found: list[_Stage] = []
    i = 0
    while i < len(t):
        read = number_at(t, i) if i not in taken else None
        if read is None:
            i += 1
            continue
        value, used = read
        first, i = i, i + used
        if value < 2 or not value.is_integer() or not stands_alone(parsed.chunks, first, first + used):
            continue
        opener = [word for word in t.low[max(0, first - 2) : first] if word in _GOES_ON]
        before = sorted((one for one in (*stages, *found) if one.last <= first), key=lambda one: one.first)
        after = [stage for stage in stages if stage.first >= first + used]
        between = set(t.low[before[-1].last : first]) if before else set()
        told = (t.low[first - 1] in _TELLS or (goes_on and not parsed.verbs)) or (
            t.low[first - 1] in ("to", "at", "with")
            and (
                bool(between & {"then", "again", "second"})
                or (bool(before) and fastener_between(heard, index, before[-1].last, first))
            )
        )
        listed = first > 0 and t.tag[first - 1] == "NUM"
        if (
            not (opener or told or listed)
            or t.low[first - 1] in ("number", "in", "than")
            or (before and first - before[-1].last > (12 if told else 5))
        ):
            continue
        near = 12 if told or after and "then" in t.low[first : after[0].first] else 6
        if not goes_on and not before and not (after and after[0].first - first <= near):
            continue
        added = {"plus", "another", "further"} & set(t.low[max(0, first - 2) : first])
        known = [(stage.unit, stage.factor) for stage in (*reversed(before), *after)]
        remembered = memory.value_unit if told else memory.unit
        unit, factor = known[0] if known else (remembered or ("Nm", None))
        if added and factor is not None:
            if value not in _ANGLES:
                continue  # "another thirty": newton metres more or degrees, nobody can tell
            unit, factor = "°", None
        spoken = (t.phrase(first, first + used),)
        if unit == "°":
            found.append(_Stage(first, first + used, StageFound(angle_deg=value), spoken, unit, None))
        elif factor is not None:
            found.append(
                _Stage(first, first + used, StageFound(value_nm=round(value * factor, 1)), spoken, unit, factor)
            )
    return found


# --------------------------------------------------------------------------- joints


def _groups(heard: Heard, index: int, stages: list[_Stage], quantities: list[Quantity]) -> list[_Group]:
    """Stages by joint: the one named behind the value ("for the plug"), else the last before it."""
    groups: list[_Group] = []
    since = 0
    for stage in stages:
        joint = _behind(heard, index, stage, quantities) or joint_before(heard, index, since, stage.first, quantities)
        if groups and (joint is None or same_joint(groups[-1].joint, joint)):
            groups[-1].stages.append(stage)
        else:
            groups.append(_Group(joint, [stage]))
        since = stage.last
    if groups[0].joint is None:
        groups[0].joint = joint_after(heard, index, stages[-1].last, quantities)
    return groups


# --------------------------------------------------------------------------- findings


def _behind(heard: Heard, index: int, stage: _Stage, quantities: list[Quantity]) -> Chunk | None:
    """Angles are turned on a disc or gauge, not on a joint: only a value takes its joint behind it."""
    chunk = joint_behind(heard, index, stage.last, quantities) if stage.factor is not None else None
    return None if chunk is not None and chunk.pronoun in ("it", "them", "all", "those", "that") else chunk


def _with_value(heard: Heard, index: int, group: _Group, hits: _Hits, memory: _Memory) -> TorqueFound:
    stages = tuple(stage.found for stage in group.stages)
    spoken = tuple(words for stage in group.stages for words in stage.spoken)
    first = min([stage.first for stage in group.stages] + ([group.joint.first] if group.joint else []))
    last = max([stage.last for stage in group.stages] + ([group.joint.last] if group.joint else []))
    rule = "torque.fastener-value" if any(stage.factor for stage in group.stages) else "torque.goes-on"
    return _found(heard, index, group.joint, (first, last, rule), hits, memory, stages=stages, spoken=spoken)


def _without_value(
    heard: Heard,
    index: int,
    hits: _Hits,
    memory: _Memory,
    quantities: list[Quantity],
) -> list[TorqueFound]:
    parsed = heard.parsed[index]
    t = parsed.tagged
    for rule, match in hits["novalue"]:
        first, last = token_at(parsed, match.start()), token_at(parsed, match.end() - 1) + 1
        if "NEG" in t.tag[max(0, first - 3) : first]:
            continue
        before = t.text[: match.start()].lower().replace("’", "'")
        if any(ahead.pattern.search(before) for ahead in _rules()["ahead"]) or any(
            later.pattern.search(t.text.lower()) for later in _rules()["later"]
        ):
            continue
        inside = [
            c
            for c in parsed.chunks
            if first <= c.first and c.last <= last and can_be_joint(heard, index, c, quantities)
        ]
        inside = [c for c in inside if not governed(parsed, c)]
        verb = next((v for v in parsed.verbs if v.first <= last and first <= v.last and v.objects), None)
        told = [c for c in verb.objects if can_be_joint(heard, index, c, quantities)] if verb else []
        chunk = (inside or told or [None])[0] or joint_before(heard, index, 0, first, quantities)
        if rule.fields.get("fastened") and not is_screwed(heard, index, chunk):
            continue
        if chunk is not None and first > chunk.first:
            first = chunk.first
        # "half to three quarters of a turn past finger tight": a range of angles stands in the words only.
        turned = tuple(q.text for q in quantities if q.unit in ("°", "turn") and q.value is None)
        return [_found(heard, index, chunk, (first, last, rule.id), hits, memory, spoken=(match.group(), *turned))]
    return []


def _beside_values(
    heard: Heard, index: int, stages: list[_Stage], hits: _Hits, memory: _Memory, quantities: list[Quantity]
) -> list[TorqueFound]:
    """ "The studs go in hand tight and the nuts get sixty": a joint without a value before one that has it."""
    parsed = heard.parsed[index]
    match = hits["novalue"][0][1]
    at, last = token_at(parsed, match.start()), token_at(parsed, match.end() - 1) + 1
    own = joint_before(heard, index, 0, at, quantities)
    other = joint_before(heard, index, last, stages[0].first, quantities) if last < stages[0].first else None
    if own is None or other is None or own.noun == other.noun or not {own.kind, other.kind} <= {"fastener"}:
        return []
    return _without_value(heard, index, hits, memory, quantities)


def _unclear_unit(heard: Heard, index: int, text: str, quantities: list[Quantity]) -> Quantity | None:
    """ "torque them to ninety pounds": pounds of what is not said, so that no value can be given."""
    t = heard.parsed[index].tagged
    if not re.search(r"\b(?:torqu|(?:re)?tighten)", text):
        return None
    return next(
        (q for q in quantities if q.unit in ("lb", "N", "kg") and t.low[q.first - 1 : q.first] in (["to"], ["at"])),
        None,
    )


def _vague(
    heard: Heard, index: int, value: Quantity, hits: _Hits, memory: _Memory, quantities: list[Quantity]
) -> TorqueFound:  # fmt: skip
    chunk = joint_before(heard, index, 0, value.first, quantities)
    first = chunk.first if chunk else value.first
    return _found(heard, index, chunk, (first, value.last, "torque.verb"), hits, memory, spoken=(value.text,))


def _reference(
    heard: Heard,
    index: int,
    hits: _Hits,
    memory: _Memory,
    quantities: list[Quantity],
) -> TorqueFound | None:
    """A document that holds the value; "the same table" is the one named before."""
    parsed = heard.parsed[index]
    rule, match = next((hit for hit in hits["reference"] if hit[0].fields.get("holder")), hits["reference"][0])
    text = heard.utterances[index].analysed.lower()
    at = token_at(parsed, match.start())
    documents = [c for c in parsed.chunks if is_document(c) and c.last > at]
    if not documents and re.search(r"torque|tight|figure|value", text):
        documents = [c for c in parsed.chunks if c.noun in ("plate", "tag") and c.last > at and _shows(parsed, c)][:1]
    if not documents and rule.fields.get("holder"):
        # "the torque is stamped on the end cap": the thing that bears the value.
        documents = objects(heard, index, token_at(parsed, match.end() - 1) + 1, gap=0)[:1]
    elif not documents and (found := document_at(heard, index, token_at(parsed, match.end() - 1))) is not None:
        documents = [found]
    if not documents or re.search(r"\b(?:part|order|stock) numbers?\b|\blengths?\b|\bsizes?\b", text):
        return None
    document = document_name(heard, index, documents[0])
    if "again" in hits and memory.document is not None and same_document(documents[0], memory.document):
        document = memory.document
    chunk = joint_before(heard, index, 0, documents[0].first, quantities)
    if chunk is None:
        behind = token_at(parsed, max(0, text.find(document.lower())) + len(document))
        chunk = joint_before(heard, index, max(documents[0].last, behind), len(parsed), quantities)
    tightness = re.search(r"torque|tight|\bdone up\b|\bup\b", text)
    if not tightness and (chunk is None or heard.mention(index, chunk).kind != "fastener"):
        joint = chunk.text.lower() if chunk else ""
        if not re.search(r"connection|joint|fasten|screw|bolt|\bnut", joint):
            return None
    memory.document = document
    return _found(heard, index, chunk, (at, documents[0].last, rule.id), hits, memory, reference=document)


def _shows(parsed: Parsed, chunk: Chunk) -> bool:
    """ "see the plate on the mast": a plate that is looked at, no part of the joint."""
    before = parsed.tagged.low[max(0, chunk.first - 2) : chunk.first + 1]
    return bool({"see", "check", "consult", "at", "by", "on", "from"} & set(before))


def _found(
    heard: Heard, index: int, chunk: Chunk | None, span: tuple[int, int, str], hits: _Hits,
    memory: _Memory, stages: tuple[StageFound, ...] = (), spoken: tuple[str, ...] = (), reference: str | None = None,
) -> TorqueFound:  # fmt: skip
    near = index - memory.utterance <= REACH and memory.joint
    previous = (memory.joint, memory.head) if near else None
    joint, head, mention = joint_name(heard, index, chunk, previous, "follow" in hits)
    scope, reach = _scope(hits)
    if reach is not None and scope == "all" and (chunk is None or chunk.pronoun):
        joint, head = reach.group().strip(), reach.group().split()[-1]
    elif reference is not None and chunk is None:
        joint, head, scope = "all joints", "joint", "all"
    order = next((match.group("order").strip() for _, match in hits.get("order", ())), None)
    text = heard.utterances[index].analysed
    written = SIZE.search(joint) or SIZE.search(mention.size or "" if mention else "")
    size = written.group().upper() if written else None
    if size is None and mention and mention.place.utterance == index:
        size = thread_size(text, mention.place.start, mention.place.end)
    grade = _GRADE.search(text)
    return TorqueFound(
        heard.place(index, *span), joint, head, stages, spoken, size,
        (grade.group(1) or grade.group(2)) if grade else None, order, reference, scope,
    )  # fmt: skip


def _scope(hits: _Hits) -> tuple[str, re.Match[str] | None]:
    if "onward" in hits:
        return "onward", hits["onward"][0][1]
    if "all" in hits:
        return "all", hits["all"][0][1]
    return "step", None
