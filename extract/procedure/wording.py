"""The written instruction: plain imperative, one act, condition first, at most twenty words where the words allow it.

Counts up to ten are written as words, values with their unit in digits. UK spelling. What a speaker says in
passing (purpose, manner) gives way when a sentence would grow beyond the limit; parts, places, counts, tools
and measures never do.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from extract.model import Condition, Measure
from extract.number_words import BELOW_TWENTY, TENS
from extract.procedure.names import is_plural, words
from extract.wordforms import word_set

MAX_WORDS = 20
_NUMBERS = ("no", *BELOW_TWENTY[1:11])
_PARTICLES = word_set(
    "back off out up down away in on over aside apart together forward forwards upright tight clear round "
    "loose open home"
)
#: Plain verbs after which a movement is told with "from".
_FROM = word_set("remove withdraw detach disconnect extract release unclip unhook separate take unscrew undo drain")
_SAME_WAY = (["in", "into"], ["on", "onto"], ["up", "upwards"], ["down", "downwards"], ["back", "backwards"])
#: Plain verbs that bring something to a value.
_TO_VALUE = word_set(
    "set adjust fill top refill inflate heat warm cool torque tighten tension gap shim charge pressurise"
)
_SPEECH = {
    "outta": "out of", "offa": "off", "em": "them", "'em": "them", "yer": "your", "ya": "you", "till": "until",
    "til": "until",
    "gonna": "going to", "wanna": "want to", "gotta": "have to", "cause": "because", "wee": "small", "auld": "old",
    "aluminum": "aluminium", "color": "colour", "center": "centre", "gray": "grey", "fiber": "fibre", "liter": "litre",
    "liters": "litres", "millimeter": "millimetre", "millimeters": "millimetres", "ain't": "is not",
}  # fmt: skip
_SHORT_NOT = re.compile(r"\b(do|does|did|is|are|was|were|has|have|ca|could|should|must|need|wo|would)n['’]t\b", re.I)
_NOT = {"ca": "cannot", "wo": "will not"}
_THREAD = re.compile(r"\bm(?=\d+(?:\.\d+)?\b)")
#: "The guard's cracked" is a sentence, "the guard's edge" a part.
_SHORT_IS = re.compile(
    r"\b(?!it\b|that\b|there\b|she\b|he\b|what\b|let\b)(\w+)['’]s(\s+(?:\w{2,}(?:ed|en)|(?:right|fully|all|not|still|too|only|just"
    r"|back|out|off|on|in|up|down|home|tight|loose|worn|torn|bent|cut|gone|dry|wet|clean|hot|cold|full|empty|open|shut)))\b",
    re.I,
)
_UNIT = (
    r"(?:N·m|Nm|lb-ft|lb-in|mm|cm|m|µm|in|kg|g|mg|l|L|ml|mL|bar|kPa|MPa|Pa|psi|°C|°F|°|%|V|A|W|kW|Hz|s|min|h|rpm"
    r"|thou|lb|ft|turns?|inch(?:es)?|litres?|liters?|millimetres?|millimeters?|degrees?|newton metres?|minutes?|seconds?|hours?)"
)
NUMBER_UNIT = re.compile(rf"\d+(?:[.,/]\d+)?(?:\s+to\s+\d+(?:[.,]\d+)?)?\s?{_UNIT}(?![A-Za-z])")
WORD = re.compile(r"[^\W_]+(?:['’.\-/][^\W_]+)*")
#: What something is once an act is done.
_RESULTS = word_set("dead dry clean flat flush square level tight loose open shut closed empty full straight")
PERSONAL = re.compile(
    r"\b(?:i|i'm|i've|we|we're|you|you're|you'd|you'll|your|ye|he|she|she's|they|they're|it's|that's|me|us)\b", re.I
)
_NUMBER_WORDS = word_set(
    "a an one two three four five six seven eight nine ten eleven twelve thirteen fourteen fifteen "
    "sixteen seventeen eighteen nineteen twenty thirty forty fifty sixty half quarter quarters eighth "
    "eighths sixteenth sixteenths inch inches mil mils mill mm millimetre millimetres millimeter "
    "millimeters metre foot and point oh"
)


@dataclass(frozen=True, slots=True)
class Thing:
    """A noun phrase to be written: `article` is "the", "a", "new" or "" (none)."""

    text: str
    quantity: int | None = None
    position: str | None = None
    article: str = "the"


def plain_words(text: str) -> str:
    """Speech forms and American spellings written out, sizes of threads with their capital; everything else stays."""
    text = _SHORT_NOT.sub(lambda found: _NOT.get(found[1].lower(), f"{found[1]} not"), text)
    text = _SHORT_IS.sub(r"\1 is\2", text)
    return _THREAD.sub("M", " ".join(_SPEECH.get(word.lower(), word) for word in text.split()))


def listed_place(position: str | None) -> str | None:
    """A place as a list can carry it: one that points ("behind it", "under that one") says nothing there."""
    return None if not position or _POINTING.search(position) else plain_words(position)


def inside(name: str) -> str:
    """A name inside a sentence: no capital from the start of an utterance ("Wheel nuts"), but "V clamp" stays."""
    first = name.split(" ", 1)[0]
    return name[:1].lower() + name[1:] if len(first) > 1 and first.istitle() else name


def number_word(count: int) -> str:
    """A count as written in an instruction: words up to ten, digits above."""
    return _NUMBERS[count] if 0 <= count < len(_NUMBERS) else str(count)


def indefinite(text: str) -> str:
    """The text with "a" or "an" before it, none before a plural."""
    if is_plural(text):
        return text
    first = text.split()[0].lower() if text else ""
    vowel = first[:1] in "aeiou" and not first.startswith(("uni", "use", "eu", "one"))
    letters = re.fullmatch(r"[aefhilmnorsx](?:\d.*)?", first) is not None
    eight = re.match(r"(?:8|11\b|18\b)", first)
    return f"{'an' if vowel or letters or eight else 'a'} {text}"


def noun_phrase(thing: Thing, with_position: bool = True) -> str:
    """Article, count, name and place: "the two bolts at the stern"."""
    text = plain_words(thing.text)
    count = thing.quantity if thing.quantity and (thing.quantity > 1) else None
    counted = f"{number_word(count)} {text}" if count else text
    if thing.article == "the":
        phrase = f"the {counted}"
    elif thing.article == "new":
        phrase = f"{number_word(count)} new {text}" if count else indefinite(f"new {text}")
    elif thing.article == "a":
        phrase = counted if count else indefinite(text)
    else:
        phrase = counted
    if with_position and thing.position:
        place = plain_words(thing.position)
        if not text.lower().endswith(place.lower()):
            phrase += f" {place}"
    return phrase


def join_all(phrases: Sequence[str]) -> str:
    """Phrases as a list in a sentence: "a, b and c"."""
    return phrases[0] if len(phrases) == 1 else f"{', '.join(phrases[:-1])} and {phrases[-1]}" if phrases else ""


def count_words(text: str) -> int:
    """Words of a text: a number with its unit, a name like "M8" and a hyphenated word count as one each.

    The counting rules 8.6 and 8.7 of ASD-STE100 Issue 9 (second-hand).
    """
    return len(WORD.findall(NUMBER_UNIT.sub("number", text)))


def sentence(text: str) -> str:
    """Capital first letter, one full stop, single spaces."""
    text = " ".join(text.split()).strip(" ,;:")
    if not text:
        return ""
    return text[:1].upper() + text[1:] + ("" if text.endswith((".", "!", "?")) else ".")


_POINTING = re.compile(r"\b(?:it|them|this|that|these|those|there|here|one|ones)\b", re.IGNORECASE)
_OFF_OF = re.compile(r"^off of\b")
#: "Slide it out the bottom": through it, as is written.
_OUT_THE = re.compile(r"^out (?=(?:the|its|this|that|either|each)\b)")
_OFF_IT = re.compile(r"^(off|out|away|up|down) (?:of )?(?:it|them|that|this|there|her|him)$")
_INTO_IT = re.compile(r"^(?:from|to|into|in|on|onto) (?:it|them|that|this|there|here|her|him)$")
_OFF_WHAT = re.compile(r"^(?:off|out of)\s+(?=\w)")


def _movement(direction: str, away: bool) -> str:
    """Where something is moved, without pronouns; `away` for verbs that say "off" themselves ("remove … from")."""
    move = _OUT_THE.sub("through " if away else "out through ", _OFF_OF.sub("off", plain_words(direction).strip()))
    move = re.sub(r"^towards? (?:you|yourself|me|myself|us)$", "towards you", move)
    if PERSONAL.search(move) and move != "towards you":
        return ""
    move = _INTO_IT.sub("", _OFF_IT.sub(r"\1", move))
    if away:
        move = _OFF_WHAT.sub("from ", move)
        move = "" if move in ("off", "out") else move
    return move


def verb_phrase(verb: str, phrase: str, direction: str | None) -> str:
    """Verb, object, particle and movement in the order of plain English ("slide the skids out of the frame")."""
    base, _, particle = verb.partition(" ")
    move = _movement(direction, base in _FROM and not particle) if direction else ""
    if particle.endswith("ly") or particle.startswith(("to ", "into ")):
        return f"{base} {phrase} {particle} {move}"
    if particle and particle.split()[0] in _PARTICLES:
        first = particle.split()[0]
        start = move.split()[:1]
        if (
            start == [first]
            or [first, *start] in _SAME_WAY
            or (first in ("off", "out", "away", "up") and start and start[0] in ("from", "off", "out", "up"))
        ):
            particle = ""
        if not phrase:
            return f"{base} {particle} {move}"
        if len(phrase.split()) > 5 and particle:
            return f"{base} {particle} {phrase} {move}"
        return f"{base} {phrase} {particle} {move}"
    return f"{verb} {phrase} {move}"


def measure_phrase(verb: str, measures: Sequence[Measure]) -> str:
    """The values of a step: "to 12 thou (0.3 mm)", "for 10 min", "by 0.5 turn", "(sag of the track: 1 in)"."""
    told: list[str] = []
    for what in dict.fromkeys(measure.what for measure in measures):
        if re.search(r"\b(?:weigh|mass|heavy)", what, re.IGNORECASE):
            continue
        values = [value for measure in measures if measure.what == what and (value := measure_value(measure))]
        if not values:
            continue
        unit = next((measure.unit for measure in measures if measure.what == what), None) or ""
        rest = f" ({', '.join(values[1:])})" if len(values) > 1 else ""
        if unit in ("s", "min", "h", "d"):
            told.append(f"for {values[0]}{rest}")
        elif unit in ("turn", "turns"):
            told.append(f"by {values[0]}{rest}")
        elif verb.split()[0] in _TO_VALUE:
            between = re.fullmatch(r"([\d.]+) to ([\d.]+)(.*)", values[0])
            value = f"between {between[1]} and {between[2]}{between[3]}" if between else values[0]
            told.append(f"to {value}{rest}")
        else:
            told.append(f"({plain_words(what)}: {values[0]}{rest})")
    return " and ".join(told)


#: Parts of a turn as a mechanic reads them.
TURNS = {0.25: "1/4", 0.333: "1/3", 0.5: "1/2", 0.667: "2/3", 0.75: "3/4", 0.125: "1/8"}


def measure_value(measure: Measure) -> str:
    """Value or range with its unit, digits without needless zeros, parts of a turn as fractions."""
    unit = measure.unit or ""
    if unit.startswith("turn") and measure.value is not None and round(measure.value, 3) in TURNS:
        return f"{TURNS[round(measure.value, 3)]} turn"
    space = "" if unit in ("°", "%") or not unit else " "
    if unit == "turn" and measure.value not in (None, 1):
        unit = "turns"
    if measure.low is not None and measure.high is not None and measure.low != measure.high:
        return f"{digits(measure.low)} to {digits(measure.high)}{space}{unit}"
    value = measure.value if measure.value is not None else measure.high if measure.high is not None else measure.low
    bound = {(True, False): "at least ", (False, True): "at most "}.get(
        (measure.low is not None, measure.high is not None), ""
    )
    return f"{bound}{digits(value)}{space}{unit}" if value is not None else ""


def digits(value: float) -> str:
    """A number without needless decimals."""
    return f"{value:g}"


def tool_phrase(tools: Iterable[str], matter: Iterable[str] = ()) -> str:
    """ "with a 15 mm spanner and grease": tools as `tool_name` names them, and materials without article."""
    named = [name if name.startswith(("the ", "a ", "an ")) else indefinite(name) for name in tools] + [*matter]
    return f"with {join_all(named)}" if named else ""


_FRACTIONS = {"half": 2, "quarter": 4, "quarters": 4, "eighth": 8, "eighths": 8, "sixteenth": 16, "sixteenths": 16}
_UNITS = {"inch": " in", "inches": " in"} | dict.fromkeys(
    "mil mils mill mm millimetre millimetres millimeter millimeters".split(), " mm"
)
#: A size at the start of a tool's name: "six-millimetre hex key".
_LEADING_SIZE = re.compile(rf"((?:[\w./]+[\s-]+){{1,4}}?(?:{'|'.join(_UNITS)}))\s+(?=[a-z])", re.IGNORECASE)


def written_size(size: str) -> str:
    """A spoken size in digits with its unit: "four-mil" is "4 mm", "a half inch" is "1/2 in"; others stay."""
    parts = [part for part in re.split(r"[\s-]+", size.lower()) if part not in ("", "a", "an")]
    unit = _UNITS.get(parts[-1], "") if parts else ""
    number = parts[:-1] if unit else parts
    if not number:
        return size
    if number[-1] not in _FRACTIONS:
        value = _counted(number)
        return f"{value}{unit}" if value else size
    if "and" in number:
        at = number.index("and")
        whole, top = _counted(number[:at]), _counted(number[at + 1 : -1])
    else:
        whole, top = "", _counted(number[:-1])
    if (number[:-1] not in ([], ["and"]) and not (whole or top)) or ("and" in number and not whole):
        return size
    return f"{whole} {top or 1}/{_FRACTIONS[number[-1]]}{unit}".strip()


def _counted(parts: Sequence[str]) -> str:
    """The digits of a number below a hundred; empty where the words are none."""
    if len(parts) == 1 and re.fullmatch(r"\d+(?:\.\d+)?", parts[0]):
        return parts[0]
    values = [TENS.get(part) or (BELOW_TWENTY.index(part) if part in BELOW_TWENTY else 0) for part in parts]
    return str(sum(values)) if values and all(values) else ""


def tool_name(text: str, size: str | None) -> str:
    """A tool's name with its size in digits before it ("fifteen spanner", "fifteen" → "15 spanner")."""
    name = re.sub(r"^(?:my|your|our|his|the|a|an|its)\s+(?:own\s+)?", "", plain_words(text), flags=re.IGNORECASE)
    size = size or tool_size(name)
    if not size:
        return name
    size = written_size(size)
    rest = name.split()
    while len(rest) > 1 and set(words(rest[0])) and (set(words(rest[0])) <= _NUMBER_WORDS or re.match(r"\d", rest[0])):
        rest.pop(0)
    if len(rest) == 1 and (set(words(rest[0])) <= _NUMBER_WORDS or re.match(r"\d", rest[0])):
        return f"{size} spanner" if size.endswith(" mm") else name
    return f"{size} {' '.join(rest)}"


def tool_size(name: str) -> str | None:
    """The size that a tool's name begins with, as written there; null where it begins with none."""
    found = _LEADING_SIZE.match(name)
    return found[1] if found and written_size(found[1]) != found[1] else None


def condition_phrase(condition: Condition) -> str:
    """The clause that opens a governed instruction: "if the gearbox is automated"; empty for a skip."""
    if condition.kind == "skip":
        return ""
    value = " or ".join(dict.fromkeys([*condition.values] or ([condition.value] if condition.value else [])))
    if condition.kind == "option":
        value = value or condition.text
        bare = re.sub(r"^(?:the|a|an|any)\s+", "", plain_words(value), flags=re.IGNORECASE)
        return f"if there is no {bare}" if condition.negated else f"if there is {indefinite(bare)}"
    if not condition.axis or not value:
        return ""
    value = plain_words(value)
    no = "not " if condition.negated else ""
    if condition.axis.lower() in ("year", "build year", "year of build", "date", "model year", "built"):
        value = value if re.match(r"(?:before|after|from|up to|until|since|between|in|to)\b", value) else f"in {value}"
        return f"if the machine was {no}built {value}"
    if re.fullmatch(r"\d+", value):
        return f"if the number of {condition.axis} is {no}{value}"
    return f"if the {condition.axis} is {no}{value}"


def with_condition(text: str, conditions: Iterable[Condition]) -> str:
    """The instruction with its conditions before it, as the rules of the house have it."""
    phrases = [phrase for condition in conditions if (phrase := condition_phrase(condition))]
    if not phrases:
        return sentence(text)
    return sentence(f"{' and '.join(phrases)}, {text[:1].lower() + text[1:]}")


def instruction(
    verb: str,
    things: Sequence[Thing],
    *,
    direction: str | None = None,
    measures: Sequence[Measure] = (),
    tools: Sequence[str] = (),
    bare_tools: Sequence[str] = (),
    manner: str | None = None,
    purpose: str | None = None,
    until: str | None = None,
    conditions: Sequence[Condition] = (),
) -> str:
    """Write one instruction. Parts are given in the order in which they stand; the least needed give way first."""
    whole = _purpose(purpose) if purpose and purpose.startswith("that ") else ""
    if whole:  # "check that the lever is free" names its part itself
        return with_condition(f"{verb} {whole}", conditions)
    core = verb_phrase(verb, join_all([noun_phrase(thing) for thing in things]), direction)
    way, result = manner_phrase(manner), ""
    if way in _RESULTS:  # "prove the terminals dead with a tester"
        way, result = "", way
    told = " ".join(filter(None, (direction, until, purpose)))
    measure = measure_phrase(verb, [one for one in measures if not one.text or one.text not in told])
    optional = [measure, tool_phrase(tools, bare_tools), way, until_phrase(until), _purpose(purpose)]
    core = " ".join(filter(None, (core, result)))
    while True:
        text = with_condition(" ".join([core, *(part for part in optional if part)]), conditions)
        if count_words(text) <= MAX_WORDS:
            return text
        droppable = [index for index in (4, 2, 3) if optional[index]]
        if not droppable:
            return text
        optional[droppable[0]] = ""


def until_phrase(until: str | None) -> str:
    """The end of an act: "until the drum comes free"; empty where the words are too few or too personal."""
    if not until:
        return ""
    text = re.sub(r"^(?:until|till|til)\s+", "", plain_words(until), flags=re.IGNORECASE)
    text = re.sub(
        r"^(?:you(?:'ve| have)? got|you have|you get|you see|there's)\b", "there is", text, flags=re.IGNORECASE
    )
    text = re.sub(r"^(?:it's)\b", "it is", text, flags=re.IGNORECASE)
    if len(text.split()) < 3 or PERSONAL.search(re.sub(r"^it\b", "", text)):
        return ""
    return f"until {text}"


def manner_phrase(manner: str | None) -> str:
    """How an act is done, if the words are no talk."""
    if not manner or PERSONAL.search(manner):
        return ""
    return plain_words(manner)


def _purpose(purpose: str | None) -> str:
    if not purpose or PERSONAL.search(purpose):
        return ""
    text = plain_words(purpose)
    if re.match(r"(?:to|so that|that)\b", text):
        return text
    if re.match(r"so\b", text):
        return re.sub(r"^so\b", "so that", text)
    return (
        f"to {text}"
        if re.match(r"[a-z]+\b", text) and not re.match(r"(?:for|because|as|since|in order)\b", text)
        else text
    )
