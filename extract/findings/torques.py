"""Tightening requirements: values and stages with their joint, requirements without a value, documents that hold values."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, field

from extract.findings.phases import PhaseFound
from extract.language.heard import Heard
from extract.language.named import governed, last_named, stands_in, thing, token_at, with_of_chain
from extract.language.phrases import Chunk
from extract.language.quantities import Quantity, find_quantities, number_at
from extract.rules import Rule, load_rules
from extract.speech import Action, Mention, StageFound, TorqueFound

_SIZE = re.compile(r"\b(?:m\d+(?:[x.]\d+(?:\.\d+)?)*|\d+/\d+-\d+|\d+/\d+)\b", re.IGNORECASE)
_GRADE = re.compile(r"\b(?:grade|class|property class)\s(\d+(?:\.\d+)?)\b|\b(8\.8|10\.9|12\.9)\b")
#: Nouns of a noun phrase that never is the joint.
_NO_JOINT = frozenset({
    "stage", "step", "pass", "round", "time", "turn", "degree", "count", "size", "stroke", "pattern", "chart",
    "wrench", "disc", "gauge", "hair", "more", "good", "grade", "newton", "metre", "meter", "pound", "way", "end",
    "finish", "bit", "thread", "lock", "case",
})  # fmt: skip
_JOINT_KINDS = frozenset({"fastener", "part", "seal", "unknown", "machine"})
#: "the ball joint nut torque": the joint stands before the word.
_TORQUE_NOUNS = frozenset({
    "torque", "value", "figure", "setting", "spec", "tightening",
})  # fmt: skip
#: Things that are tools in one place and parts to be tightened in another.
_CLAMPS = frozenset({"clamp", "clip"})
#: Angles that a bare number behind "another" or "plus" stands for.
_ANGLES = frozenset({30, 45, 60, 75, 90, 120, 135, 150, 180, 270})
_GOES_ON = frozenset({
    "then", "to", "at", "and", "first", "finally", "plus", "another", "further", "lastly", "initially", "second",
    ",", "up", "again",
})  # fmt: skip
#: "and the plug gets thirty": the unit was said before.
_TELLS = frozenset({
    "get", "gets", "got", "is", "are", "'s", "'re", "takes", "take", "wants", "want",
})  # fmt: skip
#: How many utterances back a tightening goes on.
_REACH = 2


@dataclass(slots=True)
class _Stage:
    first: int
    last: int
    found: StageFound
    spoken: str
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
    unit: tuple[str, float | None] | None = None
    document: str | None = None


def find_torques(
    heard: Heard, phases: Sequence[PhaseFound], actions: Sequence[Action], deaf: frozenset[int]
) -> tuple[TorqueFound, ...]:
    """All tightening requirements in the order of the talk, each stage told in an utterance of its own as one."""
    del phases, actions
    memory = _Memory()
    found: list[TorqueFound] = []
    for said in heard.utterances:
        if said.index not in deaf:
            found.extend(_in_utterance(heard, said.index, memory))
    return tuple(found)


def _matches(text: str) -> dict[str, list[tuple[Rule, re.Match[str]]]]:
    hits: dict[str, list[tuple[Rule, re.Match[str]]]] = {}
    for rule in load_rules("torques"):
        part = rule.text("part")
        if part in ("document", "tool"):
            continue
        match = rule.pattern.search(text)
        if match is not None:
            hits.setdefault(part, []).append((rule, match))
    return hits


def _in_utterance(heard: Heard, index: int, memory: _Memory) -> list[TorqueFound]:
    text = heard.utterances[index].analysed.lower().replace("’", "'")
    hits = _matches(text)
    if "removal" in hits:
        return []
    goes_on = "follow" in hits and 0 < index - memory.utterance <= _REACH
    quantities = [q for q in find_quantities(heard.parsed[index].tagged) if not _of_tool(heard, index, q)]
    if goes_on and not any(q.factor for q in quantities) and _own_thing(heard, index, quantities):
        goes_on = False
    stages = _stages(heard, index, quantities, hits, goes_on, memory)
    found: list[TorqueFound] = []
    if stages:
        for group in _groups(heard, index, stages, quantities):
            found.append(_with_value(heard, index, group, hits, memory))
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
    return found


def _own_thing(heard: Heard, index: int, quantities: list[Quantity]) -> bool:
    """ "Finally, turn the shaft one full turn": the utterance has a thing of its own, which is no fastener."""
    verbs = heard.parsed[index].verbs
    things = [c for verb in verbs for c in verb.objects if c.pronoun is None and c.kind in ("part", "machine", "tool")]
    return any(_can_be_joint(heard, index, chunk, quantities) for chunk in things)


def _of_tool(heard: Heard, index: int, quantity: Quantity) -> bool:
    """ "a fifty newton metre torque wrench": the value belongs to the tool."""
    t = heard.parsed[index].tagged
    behind = t.text[t.end[quantity.last - 1] :].lower()
    return any(rule.text("part") == "tool" and rule.pattern.search(behind) for rule in load_rules("torques"))


# --------------------------------------------------------------------------- stages


def _stages(
    heard: Heard, index: int, quantities: list[Quantity], hits: dict[str, list[tuple[Rule, re.Match[str]]]], goes_on: bool, memory: _Memory
) -> list[_Stage]:  # fmt: skip
    t = heard.parsed[index].tagged
    context = "context" in hits
    stages: list[_Stage] = []
    for q in quantities:
        if q.factor is not None and (context or q.unit != "Nm" or "newtons" not in q.text.lower()):
            stages.append(_torque_stage(q))
    if not stages and not goes_on and "novalue" not in hits:
        return []
    opened = stages[0].last if stages else (0 if goes_on else _novalue_end(heard, index, hits))
    for q in quantities:
        backs_off = {"off", "back", "loosen", "slacken", "undo", "temperature"} & set(
            t.low[max(0, q.first - 5) : q.first]
        )
        if q.unit in ("°", "turn") and q.value is not None and (q.first >= opened or goes_on) and not backs_off:
            degrees = q.value * (360.0 if q.unit == "turn" else 1.0)
            stages.append(_Stage(q.first, q.last, StageFound(angle_deg=round(degrees, 1)), q.text, "°", None))
    if any(stage.factor for stage in stages) or goes_on:
        stages.extend(_bare_numbers(heard, index, quantities, stages, goes_on, memory))
    stages.sort(key=lambda stage: stage.first)
    if "novalue" in hits and stages and all(stage.factor is None for stage in stages):
        match = hits["novalue"][0][1]
        at = token_at(heard.parsed[index], match.start())
        if at < stages[0].first:
            stages[0] = _Stage(
                stages[0].first, stages[0].last, stages[0].found, f"{match.group()}, {stages[0].spoken}", "°", None
            )
    return stages


def _novalue_end(heard: Heard, index: int, hits: dict[str, list[tuple[Rule, re.Match[str]]]]) -> int:
    return min(token_at(heard.parsed[index], match.end() - 1) for _, match in hits["novalue"])


def _torque_stage(q: Quantity) -> _Stage:
    factor = q.factor or 1.0

    def nm(value: float | None) -> float | None:
        return None if value is None else round(value * factor, 1)

    found = StageFound(value_nm=nm(q.value), low_nm=nm(q.low), high_nm=nm(q.high))
    return _Stage(q.first, q.last, found, q.text, q.unit, q.factor)


def _bare_numbers(
    heard: Heard, index: int, quantities: list[Quantity], stages: list[_Stage], goes_on: bool, memory: _Memory
) -> list[_Stage]:
    """Numbers whose unit was said with another stage: "thirty foot pounds, then fifty-five"."""
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
        if value < 2 or not value.is_integer() or not _stands_alone(parsed.chunks, first, first + used):
            continue
        opener = [word for word in t.low[max(0, first - 2) : first] if word in _GOES_ON]
        before = [stage for stage in stages if stage.last <= first]
        after = [stage for stage in stages if stage.first >= first + used]
        between = set(t.low[before[-1].last : first]) if before else set()
        told = t.low[first - 1] in _TELLS or (
            t.low[first - 1] in ("to", "at") and bool(between & {"then", "again", "second"})
        )
        if (
            not (opener or told)
            or t.low[first - 1] in ("number", "in", "than")
            or (before and first - before[-1].last > (12 if told else 5))
        ):
            continue
        if not goes_on and not before and not (after and after[0].first - first <= (12 if told else 6)):
            continue
        added = {"plus", "another", "further"} & set(t.low[max(0, first - 2) : first])
        known = [(stage.unit, stage.factor) for stage in (*reversed(before), *after)]
        unit, factor = known[0] if known else (memory.unit or ("Nm", None))
        if added and value in _ANGLES and factor is not None:
            unit, factor = "°", None
        spoken = t.phrase(first, first + used)
        if unit == "°":
            found.append(_Stage(first, first + used, StageFound(angle_deg=value), spoken, unit, None))
        elif factor is not None:
            found.append(
                _Stage(first, first + used, StageFound(value_nm=round(value * factor, 1)), spoken, unit, factor)
            )
    return found


def _stands_alone(chunks: Sequence[Chunk], first: int, last: int) -> bool:
    """Whether a number counts nothing ("then fifty-five"), rather than a noun ("the two bolts")."""
    return not any(
        chunk.first <= first and chunk.last > last - 1 and chunk.noun not in ("count", "size") for chunk in chunks
    )


# --------------------------------------------------------------------------- joints


def _groups(heard: Heard, index: int, stages: list[_Stage], quantities: list[Quantity]) -> list[_Group]:
    """Stages by joint: the one named behind the value ("for the plug"), else the last before it."""
    groups: list[_Group] = []
    since = 0
    for stage in stages:
        joint = _joint_behind(heard, index, stage, quantities) or _joint_before(
            heard, index, since, stage.first, quantities
        )
        if groups and (joint is None or _same(groups[-1].joint, joint)):
            groups[-1].stages.append(stage)
        else:
            groups.append(_Group(joint, [stage]))
        since = stage.last
    if groups[0].joint is None:
        groups[0].joint = _joint_after(heard, index, stages[-1].last, quantities)
    return groups


def _joint_after(heard: Heard, index: int, since: int, quantities: list[Quantity]) -> Chunk | None:
    """ "Set the wrench to fifty and do the nuts up": what is tightened comes last."""
    chunks = [
        c
        for c in heard.parsed[index].chunks
        if c.first >= since and c.kind == "fastener" and _can_be_joint(heard, index, c, quantities)
    ]
    return chunks[0] if chunks else None


def _same(one: Chunk | None, other: Chunk) -> bool:
    """A pronoun behind a value goes on with the same joint ("… and then they get another ninety")."""
    return one is not None and (one is other or other.pronoun in ("it", "them", "they", "that", "those", "em", "'em"))


def _joint_behind(heard: Heard, index: int, stage: _Stage, quantities: list[Quantity]) -> Chunk | None:
    parsed = heard.parsed[index]
    t = parsed.tagged
    if stage.found.angle_deg is not None or t.low[stage.last : stage.last + 1] not in (["for"], ["on"]):
        return None
    chunk = parsed.chunk_at.get(stage.last + 1)
    return chunk if chunk is not None and _can_be_joint(heard, index, chunk, quantities) else None


def _joint_before(heard: Heard, index: int, since: int, until: int, quantities: list[Quantity]) -> Chunk | None:
    parsed = heard.parsed[index]
    t = parsed.tagged
    chunks = [
        c for c in parsed.chunks if c.first >= since and c.last <= until and _can_be_joint(heard, index, c, quantities)
    ]
    free = [c for c in chunks if not governed(parsed, c)]
    of_torque = [c for c in chunks if governed(parsed, c) and t.low[c.first - 1] in ("for", "of", "on")]
    named = [c for c in free if not stands_in(c)]
    if named:
        # "the pump screws carry a seal and get ten": a fastener is tightened rather than the part beside it.
        fasteners = [c for c in named if c.kind == "fastener"]
        last = named[-1]
        return fasteners[-1] if fasteners and last.kind not in ("fastener", "part", "seal") else last
    if of_torque and (not free or free[-1].pronoun in ("it", "that", "this")):
        return of_torque[0]
    return free[-1] if free else None


def _can_be_joint(heard: Heard, index: int, chunk: Chunk, quantities: list[Quantity]) -> bool:
    if any(q.first < chunk.last and chunk.first < q.last for q in quantities):
        return False
    if chunk.pronoun is not None:
        return (
            chunk.pronoun not in ("there", "you", "we", "i", "he", "one")
            and heard.mention(index, chunk).kind != "person"
        )
    if chunk.noun in _TORQUE_NOUNS:
        return any(heard.lexicon.singular(word.lower()) not in _TORQUE_NOUNS for word in chunk.text.split())
    return (
        chunk.noun not in _NO_JOINT
        and (chunk.kind in _JOINT_KINDS or chunk.noun in _CLAMPS)
        and not _is_document(chunk)
    )


def _near_fastener(heard: Heard, index: int, plural: bool) -> Mention | None:
    mention = last_named(heard, index, 0, plural, ("fastener",))
    return mention if mention is not None and index - mention.place.utterance <= _REACH else None


def _joint_name(
    heard: Heard, index: int, chunk: Chunk | None, memory: _Memory, goes_on: bool
) -> tuple[str, str, Mention | None]:
    """Name and head of a joint with the phrases that tell which one; pronouns resolved."""
    parsed = heard.parsed[index]
    if chunk is not None and not stands_in(chunk):
        single = len(chunk.text.split()) == 1
        chain = ("of", "on", "in", "at", "for") if single else ("of",)
        text = with_of_chain(parsed, chunk, chain)
        if chunk.noun in _TORQUE_NOUNS:
            name = [word for word in chunk.text.split() if heard.lexicon.singular(word.lower()) not in _TORQUE_NOUNS]
            return " ".join(name), heard.lexicon.singular(name[-1].lower()), heard.mention(index, chunk)
        before = [c for c in parsed.chunks if c.last == chunk.first - 1 and c.pronoun is None]
        if before and parsed.tagged.low[chunk.first - 1] == "or" and before[0].kind == chunk.kind:
            text = f"{before[0].text} or {text}"
        return text, chunk.noun, heard.mention(index, chunk)
    if chunk is not None:
        if goes_on and memory.joint:
            return memory.joint, memory.head, None
        mention = thing(heard, index, chunk)
        if mention is not None and mention.kind != "fastener":
            # What is tightened is rather a fastener that was just named.
            mention = _near_fastener(heard, index, chunk.plural) or mention
        if mention is not None:
            return mention.text, mention.head, mention
    size = next((word for word in parsed.tagged.words if _SIZE.fullmatch(word)), None)
    if chunk is None and size is not None:
        return size, size.lower(), None
    if index - memory.utterance <= _REACH and memory.joint:
        return memory.joint, memory.head, None
    mention = last_named(heard, index, 0, kinds=("fastener",)) or last_named(heard, index, 0)
    return (mention.text, mention.head, mention) if mention is not None else ("", "", None)


# --------------------------------------------------------------------------- findings


def _with_value(
    heard: Heard, index: int, group: _Group, hits: dict[str, list[tuple[Rule, re.Match[str]]]], memory: _Memory
) -> TorqueFound:
    stages = tuple(stage.found for stage in group.stages)
    spoken = tuple(stage.spoken for stage in group.stages)
    first = min([stage.first for stage in group.stages] + ([group.joint.first] if group.joint else []))
    last = max([stage.last for stage in group.stages] + ([group.joint.last] if group.joint else []))
    rule = "torque.fastener-value" if any(stage.factor for stage in group.stages) else "torque.goes-on"
    return _found(heard, index, group.joint, (first, last, rule), hits, memory, stages=stages, spoken=spoken)


def _without_value(
    heard: Heard,
    index: int,
    hits: dict[str, list[tuple[Rule, re.Match[str]]]],
    memory: _Memory,
    quantities: list[Quantity],
) -> list[TorqueFound]:
    parsed = heard.parsed[index]
    t = parsed.tagged
    for rule, match in hits["novalue"]:
        first, last = token_at(parsed, match.start()), token_at(parsed, match.end() - 1) + 1
        if "NEG" in t.tag[max(0, first - 3) : first]:
            continue
        inside = [
            c
            for c in parsed.chunks
            if first <= c.first and c.last <= last and _can_be_joint(heard, index, c, quantities)
        ]
        inside = [c for c in inside if not governed(parsed, c)]
        verb = next((v for v in parsed.verbs if v.first <= last and first <= v.last and v.objects), None)
        told = [c for c in verb.objects if _can_be_joint(heard, index, c, quantities)] if verb else []
        chunk = (inside or told or [None])[0] or _joint_before(heard, index, 0, first, quantities)
        if chunk is not None and first > chunk.first:
            first = chunk.first
        return [_found(heard, index, chunk, (first, last, rule.id), hits, memory, spoken=(match.group(),))]
    return []


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
    heard: Heard, index: int, value: Quantity, hits: dict[str, list[tuple[Rule, re.Match[str]]]], memory: _Memory, quantities: list[Quantity]
) -> TorqueFound:  # fmt: skip
    chunk = _joint_before(heard, index, 0, value.first, quantities)
    first = chunk.first if chunk else value.first
    return _found(heard, index, chunk, (first, value.last, "torque.verb"), hits, memory, spoken=(value.text,))


def _reference(
    heard: Heard,
    index: int,
    hits: dict[str, list[tuple[Rule, re.Match[str]]]],
    memory: _Memory,
    quantities: list[Quantity],
) -> TorqueFound | None:
    """A document that holds the value; "the same table" is the one named before."""
    parsed = heard.parsed[index]
    rule, match = hits["reference"][0]
    text = heard.utterances[index].analysed.lower()
    at = token_at(parsed, match.start())
    documents = [c for c in parsed.chunks if _is_document(c) and c.last > at]
    if not documents:
        return None
    document = _document_name(heard, index, documents[0])
    if "again" in hits and memory.document is not None and documents[0].noun in memory.document.lower():
        document = memory.document
    chunk = _joint_before(heard, index, 0, documents[0].first, quantities)
    if chunk is None:
        chunk = _joint_before(heard, index, documents[0].last, len(parsed), quantities)
    tightness = re.search(r"torque|tight|\bdone up\b|\bup\b", text)
    if not tightness and (chunk is None or heard.mention(index, chunk).kind != "fastener"):
        joint = chunk.text.lower() if chunk else ""
        if not re.search(r"connection|joint|fasten|screw|bolt|\bnut", joint):
            return None
    memory.document = document
    return _found(heard, index, chunk, (at, documents[0].last, rule.id), hits, memory, reference=document)


def _is_document(chunk: Chunk) -> bool:
    return any(_document_word(word) for word in chunk.text.lower().split()[-3:])


def _document_word(word: str) -> bool:
    return any(rule.text("part") == "document" and rule.pattern.search(word) for rule in load_rules("torques"))


def _document_name(heard: Heard, index: int, chunk: Chunk) -> str:
    """The document as spoken, with its number and what it is of or in: "table four of the engine manual"."""
    parsed = heard.parsed[index]
    t = parsed.tagged
    first = next((i for i in range(chunk.first, chunk.last) if t.tag[i] != "DET"), chunk.head)
    head = max((i for i in range(first, chunk.last) if _document_word(t.low[i])), default=chunk.head)
    last = head + 1
    if last < len(t) and (t.tag[last] == "NUM" or re.fullmatch(r"[a-z]{1,3}[-/]?\d+[\w/-]*", t.low[last])):
        last += t.span[last]
    bare = head == first
    while last + 1 < len(t) and t.tag[last] == "PREP" and t.low[last] in (("of", "in") if bare else ("of",)):
        inner = next((c for c in parsed.chunks if c.first <= last + 1 < c.last), None)
        if inner is None or inner.pronoun is not None:
            break
        last = inner.last
        if last < len(t) and t.tag[last] == "NUM":
            last += t.span[last]
    part = re.match(
        r",? (?:chapter|page|section|table|sheet|paragraph|figure|part) (?:number )?[\w./-]+", t.text[t.end[last - 1] :]
    )
    name = t.text[t.start[first] : t.end[last - 1]]
    return name + part.group().rstrip(".") if part else name


def _found(
    heard: Heard, index: int, chunk: Chunk | None, span: tuple[int, int, str], hits: dict[str, list[tuple[Rule, re.Match[str]]]],
    memory: _Memory, stages: tuple[StageFound, ...] = (), spoken: tuple[str, ...] = (), reference: str | None = None,
) -> TorqueFound:  # fmt: skip
    joint, head, mention = _joint_name(heard, index, chunk, memory, "follow" in hits)
    scope, reach = _scope(hits)
    if reach is not None and scope == "all" and (chunk is None or chunk.pronoun):
        joint, head = reach.group().strip(), reach.group().split()[-1]
    elif reference is not None and chunk is None:
        joint, head, scope = "all joints", "joint", "all"
    order = next((match.group("order").strip() for _, match in hits.get("order", ())), None)
    text = heard.utterances[index].analysed
    near = (
        text[max(0, mention.place.start - 16) : mention.place.end]
        if mention and mention.place.utterance == index
        else ""
    )
    size = _SIZE.search(joint) or _SIZE.search(mention.size or near if mention else "")
    grade = _GRADE.search(text)
    return TorqueFound(
        heard.place(index, *span), joint, head, stages, spoken, size.group().upper() if size else None,
        (grade.group(1) or grade.group(2)) if grade else None, order, reference, scope,
    )  # fmt: skip


def _scope(hits: dict[str, list[tuple[Rule, re.Match[str]]]]) -> tuple[str, re.Match[str] | None]:
    if "onward" in hits:
        return "onward", hits["onward"][0][1]
    if "all" in hits:
        return "all", hits["all"][0][1]
    return "step", None
