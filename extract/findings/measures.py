"""Settings and measures: clearances, fills, temperatures, waiting times, turns, distances, weights, with tolerance."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace

from extract.findings.phases import APART
from extract.language.clauses import Parsed
from extract.language.heard import Heard
from extract.language.named import governed, stands_in, thing
from extract.language.phrases import Chunk
from extract.language.quantities import Quantity, find_quantities
from extract.rules import Rule, load_rules
from extract.speech import Action, Measured, Mention, TorqueFound, by_utterance

#: Nouns that a value describes without being their size ("a two millimetre gap").
_MEASURED = frozenset({
    "gap", "clearance", "play", "preload", "sag", "tension", "wait", "distance", "thickness", "deflection", "stroke",
    "travel", "depth", "weight", "pressure", "temperature", "setting", "float", "lift", "overlap", "step", "angle",
})  # fmt: skip
_PART_KINDS = frozenset({"part", "fastener", "seal", "unknown", "machine"})
_ELECTRIC = {"V": "voltage", "A": "current", "Ω": "resistance", "Hz": "frequency"}
_DIMENSIONS = {
    "long": "length", "wide": "width", "deep": "depth", "thick": "thickness", "high": "height", "tall": "height",
    "apart": "distance", "across": "width",
}  # fmt: skip
#: Verbs whose -ing form names the time that they take.
_TIMES = {
    "soak": "soaking", "steep": "steeping", "cur": "curing", "dr": "drying", "set off": "setting", "go off": "setting",
    "harden": "hardening", "acclimati": "acclimatisation", "settle": "settling", "freezer": "cooling", "fridge": "cooling",
}  # fmt: skip


def find_measures(
    heard: Heard, actions: Sequence[Action], torques: Sequence[TorqueFound], deaf: frozenset[int]
) -> tuple[Measured, ...]:
    """All measures in the order of the talk; never the size of a tool or fastener, never a torque."""
    tightenings = by_utterance(torques)
    acts = by_utterance(actions)
    found: list[Measured] = []
    for said in heard.utterances:
        if said.index not in deaf:
            found.extend(_in_utterance(heard, said.index, acts[said.index], tightenings[said.index]))
    return tuple(found)


def with_measures(actions: Sequence[Action], measures: Sequence[Measured]) -> tuple[Action, ...]:
    """Each measure at the act that it belongs to: the last one told before the value, else the first behind it."""
    held: dict[int, list[Measured]] = {}
    places: dict[int, list[int]] = {}
    for number, act in enumerate(actions):
        places.setdefault(act.place.utterance, []).append(number)
    for measured in measures:
        number = _act_of(actions, places.get(measured.place.utterance, []), measured)
        if number is not None:
            held.setdefault(number, []).append(measured)
    return tuple(replace(act, measures=tuple(held[i])) if i in held else act for i, act in enumerate(actions))


def _act_of(actions: Sequence[Action], numbers: Sequence[int], measured: Measured) -> int | None:
    there = [number for number in numbers if not actions[number].negated]
    before = [number for number in there if actions[number].place.start <= measured.place.start]
    over = [number for number in before if measured.place.start < actions[number].place.end]
    if over or before:
        return max(over or before, key=lambda number: actions[number].place.start)
    return there[0] if there else None


def _in_utterance(heard: Heard, index: int, acts: Sequence[Action], torques: Sequence[TorqueFound]) -> list[Measured]:
    parsed = heard.parsed[index]
    t = parsed.tagged
    quantities = find_quantities(t)
    if not quantities:
        return _fixings(heard, index, acts)
    text = t.text.lower().replace("’", "'")
    spoken = " ".join(word for torque in torques for word in torque.spoken).lower()
    found: list[Measured] = []
    previous: Quantity | None = None
    found.extend(_fixings(heard, index, acts))
    for q in quantities:
        q = _millilitres(heard, index, q)
        if q.factor is not None or (q.unit in ("°", "turn", "lb", "N", "kg") and spoken and q.text.lower() in spoken):
            continue
        if _is_size(parsed, q) or (
            q.unit == "bar" and q.value == 1 and not re.search(r"pressure|pump|charge|inflat|gauge|air", text)
        ):
            continue
        again = previous is not None and found and q.first - previous.last <= 4 and _kind(q) == _kind(previous)
        previous = q
        if again:
            # "eight thou, that's nought point two of a millimetre": the same measure in another unit.
            found.append(_measured(heard, index, q, found[-1].what, found[-1].place.rule))
            continue
        rule, match = _rule_for(text, (t.start[q.first], t.end[q.last - 1]), q)
        if rule is None or rule.text("part") == "none":
            previous = None
            continue
        found.append(_measured(heard, index, q, _what(heard, index, rule, match, q, acts), rule.id))
    return found


def _fixings(heard: Heard, index: int, acts: Sequence[Action]) -> list[Measured]:
    """ "unscrew the board, it's four screws": by how many fasteners the part is held, where no act names them."""
    parsed = heard.parsed[index]
    t = parsed.tagged
    undone = [act for act in acts if act.sense in APART and not act.negated]
    told: list[Chunk] = []
    for verb in parsed.verbs:
        chunk = verb.objects[0] if verb.objects else None
        if verb.base != "be" or chunk is None or chunk.kind != "fastener" or chunk.quantity is None or chunk.new:
            continue
        if verb.subject is not None and verb.subject.pronoun not in ("it", "that") or t.low[verb.first - 1] == "there":
            continue
        told.append(chunk)
    told.extend(chunk for chunk in parsed.chunks if _stands_between_commas(parsed, chunk))
    found = []
    for chunk in told:
        before = [act for act in undone if act.place.start < t.start[chunk.first]]
        if before and not any(thing.head == chunk.noun for act in acts for thing in act.objects):
            place = heard.place(index, chunk.first, chunk.last, "measure.fixings")
            words = t.phrase(chunk.first, chunk.last)
            found.append(Measured(place, chunk.text.lower(), float(chunk.quantity or 0), None, None, None, words))
    return found


def _stands_between_commas(parsed: Parsed, chunk: Chunk) -> bool:
    """ "take the fan off, four bolts, and …": a counted fastener that nothing governs."""
    t = parsed.tagged
    if (
        chunk.kind != "fastener"
        or chunk.quantity is None
        or chunk.new
        or chunk.first == 0
        or t.low[chunk.first - 1] != ","
    ):
        return False
    ends = chunk.last >= len(t) or t.tag[chunk.last] == "PUNCT"
    return ends and not any(chunk in verb.objects or chunk is verb.subject for verb in parsed.verbs)


def _millilitres(heard: Heard, index: int, q: Quantity) -> Quantity:
    """ "three hundred and fifty mils" of a fluid are millilitres."""
    if q.unit != "mm" or not q.text.lower().endswith(("mil", "mils")):
        return q
    fluid = any(heard.mention(index, chunk).kind == "fluid" for chunk in heard.parsed[index].chunks)
    return replace(q, unit="ml") if fluid else q


def _kind(q: Quantity) -> str:
    return "length" if q.unit in ("mm", "cm", "m", "µm", "thou", "in", "ft") else q.unit


def _measured(heard: Heard, index: int, q: Quantity, what: str, rule: str) -> Measured:
    value = None if q.value is None else round(q.value, 4)
    return Measured(heard.place(index, q.first, q.last, rule), what, value, q.low, q.high, q.unit, q.text)


def _is_size(parsed: Parsed, q: Quantity) -> bool:
    """Whether the value tells the size of the noun behind it ("a thirty millimetre socket", "two ten-mil bolts")."""
    t = parsed.tagged
    for chunk in parsed.chunks:
        if chunk.first <= q.first and q.last <= chunk.head and chunk.noun not in _MEASURED:
            return True
    if q.last >= len(t) or t.tag[q.last] not in ("NOUN", "ADJ"):
        return False
    behind = next((chunk for chunk in parsed.chunks if chunk.first == q.last), None)
    plural_unit = t.low[q.last - 1].endswith("s")
    return behind is not None and not plural_unit and q.unit not in ("turn", "°") and behind.noun not in _MEASURED


def _rule_for(text: str, span: tuple[int, int], q: Quantity) -> tuple[Rule | None, re.Match[str] | None]:
    for rule in load_rules("measures"):
        if q.unit not in rule.text("units").split():
            continue
        heard = text[span[1] :] if rule.fields.get("behind") else text[: span[0]] if rule.fields.get("before") else text
        match = rule.pattern.search(heard)
        if match is not None:
            return rule, match
    return None, None


# --------------------------------------------------------------------------- what is measured


def _what(
    heard: Heard, index: int, rule: Rule, match: re.Match[str] | None, q: Quantity, acts: Sequence[Action]
) -> str:
    what = rule.text("what")
    groups = match.groupdict() if match else {}
    if "{name}" in what:
        what = what.replace("{name}", _named(heard, index, groups.get("name") or ""))
        if rule.fields.get("behind"):
            part = _part(heard, index, q, acts)
            what = f"{what} of the {part}" if part and part not in what else what
    if "{verb}" in what:
        found = match.group().lower() if match else ""
        what = what.replace(
            "{verb}", next((noun for stem, noun in _TIMES.items() if found.startswith(stem)), "waiting")
        )
    if "{electric}" in what:
        what = what.replace("{electric}", _ELECTRIC.get(q.unit, "electrical value"))
    if "{dimension}" in what:
        what = what.replace("{dimension}", _DIMENSIONS.get(groups.get("adjective") or "", "size"))
    if "{fluid}" in what:
        what = what.replace("{fluid}", _fluid(heard, index, q) or "").strip()
    if "{part}" in what:
        part = _part(heard, index, q, acts)
        what = what.replace("{part}", part or "")
        what = re.sub(r"\s+of the\s*$", "", what).strip()
    return what


def _named(heard: Heard, index: int, words: str) -> str:
    """The noun phrase that ends in the words found ("set the air gap" → "air gap"), else their last word."""
    last = words.split()[-1]
    for chunk in heard.parsed[index].chunks:
        if chunk.text.lower().split()[-1:] == [last] and chunk.text.lower().split()[0] in words.split():
            return chunk.text
    return last


def _part(heard: Heard, index: int, q: Quantity, acts: Sequence[Action]) -> str | None:
    """The part that is set or moved: what the act before the value is done to, else the last part before it."""
    start = heard.parsed[index].tagged.start[q.first]
    before = [act for act in acts if act.place.start <= start]
    for act in reversed(before):
        for mention in act.objects:
            if mention.kind in _PART_KINDS and (mention.pronoun is None or mention.antecedents):
                return mention.text
    parsed = heard.parsed[index]
    chunks = [c for c in parsed.chunks if not (q.first < c.last and c.first < q.last)]
    nearest = sorted(chunks, key=lambda c: (c.first > q.first, abs(q.first - c.first)))
    found = [(c, mention) for c in nearest if (mention := _thing(heard, index, c)) is not None]
    for _, mention in found:
        named = mention.kind != "unknown" or mention.determiner or mention.quantity
        if named and mention.kind in _PART_KINDS:
            return mention.text
    # "the brush must be eight millimetres long": a part whose name is a tool's or a material's elsewhere.
    subject = (m.text for c, m in found if c.determiner and not governed(parsed, c) and m.kind in ("tool", "material"))
    return next(subject, None)


def _thing(heard: Heard, index: int, chunk: Chunk) -> Mention | None:
    mention = thing(heard, index, chunk)
    return None if mention is None or (stands_in(chunk) and not mention.antecedents) else mention


def _fluid(heard: Heard, index: int, q: Quantity) -> str | None:
    """The fluid of an amount: in the utterance, else in the one before."""
    for place in (index, index - 1):
        if place < 0:
            continue
        chunks = heard.parsed[place].chunks
        fluids = [c for c in chunks if heard.mention(place, c).kind in ("fluid", "material")]
        if fluids:
            nearest = min(fluids, key=lambda c: abs(c.first - q.first)) if place == index else fluids[-1]
            return re.sub(r"^(?:fresh|new|clean)\s+", "", heard.mention(place, nearest).text)
    return None
