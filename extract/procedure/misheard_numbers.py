"""Numbers that were probably misheard, held against what is known of them.

Known is: what a fastener of a size and class can take, the spanner or key that fits it, the same value said in a
second unit, the same parts counted elsewhere in the talk, and that a count stands before a plural.
"""

from __future__ import annotations

import csv
import re
from collections import defaultdict
from collections.abc import Iterator, Mapping
from functools import cache
from importlib.resources import files

from extract.model import Suggestion
from extract.procedure.bolts import check_torque, torque_band
from extract.procedure.sound_alikes import Alternative, Judgement, alternatives, judge, read_figure, say
from extract.procedure.threads import INCH_MM, across_flats, find_threads, hexagon_key, parse_size
from extract.speech import FlagFound, Measured, Mention, Place, TorqueFound, Understanding

__all__ = ["Alternative", "Judgement", "alternatives", "find_implausible_torques", "find_misheard_numbers", "judge"]

#: Below this trust in an utterance a number that fits is asked about if a sound-alike fits as well.
DOUBTFUL_BELOW = 0.6
#: Two units for one value agree within this share; "about" allows the second.
_AGREE, _AGREE_ABOUT = 0.08, 0.15
#: A sound-alike that lies this far under what the fastener takes explains nothing.
_FAR_TOO_LOW = 0.25

#: Newton metres of one unit (NIST SP 811), by a word that only this unit has.
_TORQUE_UNITS = (
    (re.compile(r"\b(?:foot|feet|ft|lb ?ft)\b"), "foot pounds", 0.45359237 * 9.80665 * 0.3048),
    (re.compile(r"\b(?:inch|inches|lbf? in|in lbf?s?)\b"), "inch pounds", 0.45359237 * 9.80665 * 0.0254),
    (re.compile(r"\b(?:kilopond|kilopond metres?|kgf|kgm|kpm|kilogram)\b"), "kilopond metres", 9.80665),
)
#: Units of one kind, as multiples of the first; several where the name is ambiguous. True marks inch-pound units.
_LENGTHS = {"mm": 1.0, "cm": 10.0, "m": 1000.0, "µm": 0.001, "thou": 0.0254, "in": INCH_MM, "ft": 304.8}
_KINDS: tuple[dict[str, tuple[float, ...]], ...] = (
    {unit: (factor,) for unit, factor in _LENGTHS.items()},
    {"bar": (1.0,), "psi": (0.0689476,), "kPa": (0.01,), "MPa": (10.0,)},
    {"kg": (1.0,), "g": (0.001,), "lb": (0.453592,), "oz": (0.0283495,), "t": (1000.0,)},
    {"l": (1.0,), "ml": (0.001,), "qt": (0.946353, 1.136523), "pt": (0.473176, 0.568261), "gal": (3.785412, 4.54609)},
)
#: Words between two values that make them one value.
_SAME_VALUE = re.compile(
    r"^[\s,;:–—-]*(?:\(|(?:(?:and )?(?:that|which|it|this)(?:'s|’s| is| comes to| comes out at| makes| means)|is|"
    r"equals|i\.?e\.?|meaning|in other words|in metric|in real money|in new money|in old money)\b)"
    r"[\s,]*(?:(?:about|roughly|near enough|nearly|around|just over|just under|say|in metric|in real money|in new "
    r"money|in old money|i think|a|an|the)[\s,]*)*$"
)
_ABOUT = re.compile(r"\b(?:about|roughly|near enough|nearly|around|just over|just under|say)\b")
_KEY = re.compile(r"\b(?:hex(?:agon)?(?:al)?|allen)\b|\bkey\b")
_SPANNER = re.compile(r"\b(?:socket|spanner|wrench|ring|open[- ]ender)\b")


def find_misheard_numbers(understanding: Understanding) -> list[FlagFound]:
    """Flags `misheard_number`, in the order of the talk, one a place."""
    named = _sizes_by_name(understanding)
    found = [
        *_torques(understanding, named),
        *_two_units(understanding),
        *_spanners(understanding, named),
        *_counts(understanding),
        *_lost_counts(understanding),
    ]
    unique = {(flag.place.utterance, flag.place.start): flag for flag in reversed(found)}
    return [unique[key] for key in sorted(unique)]


def find_implausible_torques(understanding: Understanding) -> list[FlagFound]:
    """Flags `torque_implausible`: tightening values that are too high for their fastener."""
    flags = []
    named = _sizes_by_name(understanding)
    for torque in understanding.torques:
        size, grade = _fastener(torque, named)
        value = max(_values(torque), default=None)
        check = check_torque(size, grade, value)
        if check.status != "implausible" or value is None:
            continue
        spoken = _in_words(torque) or f"{value:g} Nm"
        flags.append(
            FlagFound(
                place=_place(understanding, torque.place, spoken, "torque.beyond-the-fastener"),
                code="torque_implausible",
                severity="stop",
                message=f"“{spoken}” ({value:.4g} Nm) is more than {_a_size(size)} can take: {check.high_nm:g} Nm at "
                "most. Check the value in the manufacturer's data.",
                evidence={"value_nm": value, "low_nm": check.low_nm, "high_nm": check.high_nm, "basis": check.basis},
            )
        )
    return flags


# --------------------------------------------------------------------------- torque against fastener


def _torques(understanding: Understanding, named: Mapping[str, set[str]]) -> Iterator[FlagFound]:
    trust = {one.utterance: one.trust for one in understanding.trust}
    for torque in understanding.torques:
        yield from _torque_in_two_units(understanding, torque)
        size, grade = _fastener(torque, named)
        band = torque_band(size, grade) if size else None
        value = max(_values(torque), default=None)
        if band is None or value is None:
            continue
        spoken = _in_words(torque)
        unit, factor = _torque_unit(spoken or "")

        def fits(number: float, factor: float = factor, size: str = size, grade: str | None = grade) -> bool:
            return check_torque(size, grade, number * factor).status == "ok"

        number = _round_number(value / factor)
        others = [one for one in alternatives(number, spoken or "") if one.value * factor >= _FAR_TOO_LOW * band.low_nm]
        judged = judge(number, others, fits, doubtful=trust.get(torque.place.utterance, 1.0) < DOUBTFUL_BELOW)
        if judged.verdict not in ("misheard", "ask"):
            continue
        names = " or ".join(f"“{one.spoken}” ({one.value * factor:.3g} Nm)" for one in judged.readings)
        said = f"“{say(number)} {unit}” ({value:.3g} Nm)"
        message = (
            f"{said} is more than {_a_size(size)} can take ({band.high_nm:g} Nm at most); {names} would fit."
            if judged.verdict == "misheard"
            else f"{said} and {names} both fit {_a_size(size)}, and the words are doubtful. Which was said?"
        )
        yield _flag(
            _place(understanding, torque.place, spoken, "number.torque-and-fastener"),
            message,
            [
                (f"{one.spoken} {unit}", f"{one.why}; {one.value * factor:.3g} Nm fits {size}")
                for one in judged.readings
            ],
            {"said": number, "readings": [one.value for one in judged.readings], "unit": unit, "size": size}
            | {"grade": grade, "low_nm": band.low_nm, "high_nm": band.high_nm, "basis": band.basis},
        )


def _torque_in_two_units(understanding: Understanding, torque: TorqueFound) -> Iterator[FlagFound]:
    """ "forty newton metres, fifty foot pounds": the same value twice, in two units that disagree."""
    read = [(words, *_torque_unit(words), read_figure(words)) for words in torque.spoken]
    if len(read) != 2 or len(torque.stages) != 1 or any(number is None for *_, number in read):
        return
    (first, unit, factor, one), (second, other_unit, other_factor, other) = read
    if unit == other_unit or one is None or other is None or _agree(one * factor, other * other_factor, _AGREE):
        return
    readings = [
        (alt, unit) for alt in alternatives(one, first) if _agree(alt.value * factor, other * other_factor, _AGREE)
    ]
    readings += [
        (alt, other_unit)
        for alt in alternatives(other, second)
        if _agree(one * factor, alt.value * other_factor, _AGREE)
    ]
    yield _flag(
        _place(understanding, torque.place, first, "number.two-units"),
        f"“{first}” and “{second}” are not the same torque ({one * factor:.3g} and {other * other_factor:.3g} Nm)."
        + (" " + " ".join(f"With “{alt.spoken} {u}” they agree." for alt, u in readings) if readings else ""),
        [(f"{alt.spoken} {u}", f"{alt.why}; the two values agree") for alt, u in readings],
        {"said": [first, second], "readings": [alt.value for alt, _ in readings]},
    )


def _fastener(torque: TorqueFound, named: Mapping[str, set[str]]) -> tuple[str | None, str | None]:
    """Size and grade of what is tightened: said with the torque, or with the same part elsewhere in the talk."""
    if torque.size:
        return torque.size, torque.grade
    own = parse_size(torque.joint)
    if own is not None:
        return torque.joint, torque.grade
    return _only(named.get(torque.joint)), torque.grade


def _values(torque: TorqueFound) -> list[float]:
    ends = [value for stage in torque.stages for value in (stage.value_nm, stage.low_nm, stage.high_nm)]
    return [value for value in ends if value is not None]


def _in_words(torque: TorqueFound) -> str | None:
    """The words of the highest value: the last that is no angle."""
    words = [one for one in torque.spoken if not re.search(r"\bdeg|°|\bturn", one)]
    return words[-1] if words else None


def _torque_unit(spoken: str) -> tuple[str, float]:
    for words, name, factor in _TORQUE_UNITS:
        if words.search(spoken.lower().replace("-", " ")):
            return name, factor
    return "newton metres", 1.0


def _round_number(value: float) -> float:
    """The number that was said, where a conversion has left decimals behind."""
    for step in (1.0, 0.5, 0.1):
        near = round(value / step) * step
        if near and abs(near - value) <= 0.004 * value:
            return round(near, 6)
    return round(value, 2)


# --------------------------------------------------------------------------- two units for one value


def _two_units(understanding: Understanding) -> Iterator[FlagFound]:
    ordered = sorted(understanding.measures, key=lambda one: (one.place.utterance, one.place.start))
    for one, other in zip(ordered, ordered[1:], strict=False):
        kind = next((kind for kind in _KINDS if one.unit in kind and other.unit in kind), None)
        if kind is None or one.unit == other.unit or one.value is None or other.value is None:
            continue
        between = _between(understanding, one.place, other.place)
        if between is None or not _SAME_VALUE.match(between.lower()):
            continue
        leeway = _AGREE_ABOUT if _ABOUT.search(between.lower()) else _AGREE

        def agree(first: float, second: float, kind=kind, one=one, other=other, leeway: float = leeway) -> bool:
            return any(_agree(first * a, second * b, leeway) for a in kind[one.unit] for b in kind[other.unit])

        if agree(one.value, other.value):
            continue
        readings = [(alt, one) for alt in alternatives(one.value, one.text) if agree(alt.value, other.value)]
        readings += [(alt, other) for alt in alternatives(other.value, other.text) if agree(one.value, alt.value)]
        at = readings[0][1] if readings else one
        yield _flag(
            Place(at.place.utterance, at.place.start, at.place.end, "number.two-units"),
            f"“{one.text}” and “{other.text}” are not the same{_converted(one, other, kind)}."
            + "".join(f" With “{alt.spoken} {measure.unit}” they agree." for alt, measure in readings),
            [(f"{alt.spoken} {measure.unit}", f"{alt.why}; the two values agree") for alt, measure in readings],
            {"said": [one.text, other.text], "readings": [alt.value for alt, _ in readings]},
        )


def _between(understanding: Understanding, one: Place, other: Place) -> str | None:
    """The words between two values: in one utterance, or over the end of it."""
    texts = [utterance.analysed for utterance in understanding.utterances]
    if one.utterance == other.utterance:
        return texts[one.utterance][one.end : other.start]
    if other.utterance == one.utterance + 1:
        return texts[one.utterance][one.end :].rstrip(" .") + " " + texts[other.utterance][: other.start]
    return None


def _converted(one: Measured, other: Measured, kind: dict[str, tuple[float, ...]]) -> str:
    if one.value is None or one.unit is None or other.unit is None:
        return ""
    return f": {one.value:g} {one.unit} are {one.value * kind[one.unit][0] / kind[other.unit][0]:.3g} {other.unit}"


def _agree(one: float, other: float, leeway: float) -> bool:
    return abs(one - other) <= leeway * max(abs(one), abs(other))


# --------------------------------------------------------------------------- spanner against thread


def _spanners(understanding: Understanding, named: Mapping[str, set[str]]) -> Iterator[FlagFound]:
    for action in understanding.actions:
        for tool in action.tools:
            widths = {
                size: fitting
                for mention in action.objects
                if (size := _thread_size(mention) or _only(named.get(mention.text)))
                and (fitting := _fitting_widths(size, tool))
            }
            width = _width(tool)
            if width is None or len(widths) != 1:
                continue
            number, factor, words = width
            ((size, fitting),) = widths.items()

            def fits(value: float, factor: float = factor, fitting: tuple[float, ...] = fitting) -> bool:
                return any(abs(value * factor - one) < 0.3 for one in fitting)

            judged = judge(number, alternatives(number, words), fits)
            if judged.verdict != "misheard":
                continue
            reading = judged.readings[0]
            yield _flag(
                _place(understanding, tool.place, words, "number.spanner-and-thread"),
                f"A tool of {number * factor:.4g} mm (“{words}”) does not fit {_a_size(size)}; "
                f"“{reading.spoken}” ({reading.value * factor:.4g} mm) would.",
                [(f"{one.spoken} mm", f"{one.why}; it fits {size}") for one in judged.readings],
                {"said": number, "readings": [one.value for one in judged.readings], "size": size}
                | {"fitting_mm": [round(one, 2) for one in fitting], "basis": "ISO 272 / ISO 4762 widths"},
            )


def _fitting_widths(size: str, tool: Mention) -> tuple[float, ...]:
    """Widths (mm) of the tools of this kind that fit a thread size; empty for tools that are no spanner or key."""
    name = f"{tool.text} {tool.head}".lower()
    if _KEY.search(name):
        key = hexagon_key(size)
        return (key,) if key else ()
    return across_flats(size) if _SPANNER.search(name) or tool.head in ("", "size") else ()


def _width(tool: Mention) -> tuple[float, float, str] | None:
    """Number, millimetres per unit and words of a tool's size; inch fractions have no sound-alike that fits."""
    words = tool.size or ""
    number = read_figure(words)
    if number is None or "/" in words or "inch" in words:
        return None
    return number, 1.0, words


def _mentions(understanding: Understanding) -> Iterator[Mention]:
    for action in understanding.actions:
        yield from action.objects


def _thread_size(mention: Mention) -> str | None:
    """The thread that is said with a part ("M8 cap nuts"); a size in millimetres alone may be a spanner's."""
    for text in (mention.size or "", mention.text):
        threads = find_threads(text)
        if threads:
            return threads[0].name if len(threads) == 1 else threads[0].size
    return None


def _sizes_by_name(understanding: Understanding) -> dict[str, set[str]]:
    """The thread sizes that are said with each part of the talk."""
    named: defaultdict[str, set[str]] = defaultdict(set)
    for mention in _mentions(understanding):
        if size := _thread_size(mention):
            named[mention.text].add(size)
    return named


def _only(sizes: set[str] | None) -> str | None:
    return next(iter(sizes)) if sizes and len(sizes) == 1 else None


# --------------------------------------------------------------------------- counts


def _counts(understanding: Understanding) -> Iterator[FlagFound]:
    """A count of the same parts that sounds like the count that they had when they came off."""
    removed: dict[str, set[int]] = defaultdict(set)
    for action in understanding.actions:
        if action.phase == "work" and not action.negated:
            for mention in action.objects:
                if mention.quantity and mention.pronoun is None:
                    removed[mention.head].add(mention.quantity)
    later = [(one.place, one.item, one.head, one.quantity, one.quantity_text) for one in understanding.renewals]
    later += [
        (mention.place, mention.text, mention.head, mention.quantity, mention.quantity_text)
        for action in understanding.actions
        if action.phase == "refit"
        for mention in action.objects
        if mention.pronoun is None
    ]
    for place, name, head, quantity, words in later:
        counts = removed.get(head, set())
        if not quantity or len(counts) != 1 or quantity in counts:
            continue
        (count,) = counts
        if all(one.value != count for one in alternatives(quantity)):
            continue
        yield _flag(
            _place(understanding, place, words, "number.count-elsewhere"),
            f"“{say(quantity)}” {name}, but {say(count)} came off; the two numbers sound alike. Which was said?",
            [(say(count), f"sounds like “{say(quantity)}”, and {count} came off")],
            {"said": quantity, "readings": [count], "removed": count},
        )


@cache
def _number_sounds() -> dict[tuple[str, str], tuple[int, str]]:
    text = files("lexicons").joinpath("number_sounds.csv").read_text(encoding="utf-8")
    return {(row["place"], row["heard"]): (int(row["number"]), row["why"]) for row in csv.DictReader(text.splitlines())}


#: Verbs that take "to" or "for" by themselves.
_OWN_PREPOSITION = frozenset(
    ["go", "get", "come", "move", "turn", "switch", "return", "look", "wait", "check", "ask", "feel", "aim", "change"]
    + ["convert", "refer", "listen", "watch", "attend", "adjust", "set", "work", "use", "make", "allow", "inspect"]
    + ["connect", "attach", "secure", "match", "line", "compare", "apply", "transfer", "swap", "bolt", "screw", "clip"]
)
#: Plurals that are counted in any job; the others are the plural parts of the talk.
_COUNTED = frozenset(
    ["bolts", "nuts", "screws", "studs", "washers", "pins", "clips", "rivets", "seals", "rings", "bearings", "bushes"]
    + ["springs", "hoses", "plugs", "pads", "circlips", "dowels", "gaskets", "shims", "keys", "plates", "discs"]
)
_WORD = re.compile(r"[A-Za-z'’-]+")


def _lost_counts(understanding: Understanding) -> Iterator[FlagFound]:
    """ "fit to new bolts", "all time bolts": a small word stands where only a count makes sense."""
    verbs = defaultdict(set)
    for action in understanding.actions:
        if action.verb not in _OWN_PREPOSITION:
            verbs[action.place.utterance] |= {action.verb, action.spoken.split()[0] if action.spoken else action.verb}
    plurals = _COUNTED | {
        mention.text.split()[-1].lower() for mention in _mentions(understanding) if mention.plural and mention.text
    }
    sounds = _number_sounds()
    for utterance in understanding.utterances:
        words = list(_WORD.finditer(utterance.analysed))
        low = [word[0].lower() for word in words]
        for at in range(1, len(low) - 1):
            place = "all" if low[at - 1] == "all" else "verb" if low[at - 1] in verbs[utterance.index] else None
            if place == "all" and at > 1 and low[at - 2] in ("it", "them", "this", "that", "we", "they", "you"):
                place = None  # "bolt it all to brackets"
            if place is None or (place, low[at]) not in sounds:
                continue
            noun = _plural_after(low, at + 1, plurals, new_first=place == "verb" and low[at] in ("to", "for"))
            if noun is None:
                continue
            number, why = sounds[place, low[at]]
            part = utterance.analysed[words[at + 1].start() : words[noun].end()]
            yield _flag(
                Place(utterance.index, words[at].start(), words[at].end(), "number.lost-count"),
                f"“{words[at][0]} {part}”: was it “{say(number)} {part}”?",
                [(say(number), why)],
                {"said": words[at][0], "readings": [number]},
            )


def _plural_after(words: list[str], at: int, plurals: set[str], *, new_first: bool) -> int | None:
    """Index of a plural part within three words, nothing but names before it; after "to" and "for" behind "new"."""
    if new_first and words[at] not in ("new", "fresh", "old", "more"):
        return None
    for index in range(at, min(at + 3, len(words))):
        if words[index] in ("the", "a", "an", "this", "that", "and", "or", "of", "it", "them"):
            return None
        if words[index] in plurals:
            return index
    return None


# --------------------------------------------------------------------------- flags


def _a_size(size: str | None) -> str:
    thread = parse_size(size or "")
    if thread is None or not thread.inch:
        return f"an {size} fastener"
    return f"a {size}{'' if '-' in (size or '') else ' inch'} fastener"


def _place(understanding: Understanding, place: Place, words: str | None, rule: str) -> Place:
    """Where the words stand in the utterance; the whole finding where they don't."""
    text = understanding.utterances[place.utterance].analysed
    start = text.lower().find(words.lower(), place.start) if words else -1
    start = text.lower().find(words.lower()) if words and start < 0 else start
    if words is None or start < 0:
        return Place(place.utterance, place.start, place.end, rule)
    return Place(place.utterance, start, start + len(words), rule)


def _flag(place: Place, message: str, suggestions: list[tuple[str, str]], evidence: dict[str, object]) -> FlagFound:
    share = 1 / len(suggestions) if suggestions else 0.0
    return FlagFound(
        place=place,
        code="misheard_number",
        severity="stop",
        message=message,
        evidence=evidence,
        suggestions=tuple(Suggestion(text=text, why=why, score=round(share, 3)) for text, why in suggestions[:3]),
    )
