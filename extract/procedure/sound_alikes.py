"""Numbers that sound like other numbers: which one was probably said, as far as other facts can tell.

Teens and tens ("fifteen" / "fifty"), "nine" / "five", a leading "two" or "four" that was "to" or "for", "eight hundred"
that was "a hundred", a hundred that got lost, a run-together "one twenty". Common practice, no source: recognisers and
people confuse these pairs.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Literal

from extract.number_words import BELOW_TWENTY, TENS

_ONES = ["nought", *BELOW_TWENTY[1:]]
_TENS = ["", "", *TENS]
_DIGIT_WORDS = set(_ONES[1:10])
_VALUES = {word: value for value, word in enumerate(_ONES)} | TENS


@dataclass(frozen=True, slots=True)
class Alternative:
    """Another number that sounds like the one that was heard."""

    value: float
    spoken: str
    why: str


@dataclass(frozen=True, slots=True)
class Judgement:
    """What is to be thought of a number.

    `fits`: it stands. `misheard`: it does not fit, and `readings` do. `ask`: it fits, is doubtful, and `readings` fit
    too. `no_reading`: it does not fit, and no sound-alike does. `unknown`: nothing is known that it could be held
    against.
    """

    verdict: Literal["fits", "misheard", "ask", "no_reading", "unknown"]
    readings: tuple[Alternative, ...] = ()


def judge(
    value: float,
    alternatives: Sequence[Alternative],
    fits: Callable[[float], bool | None],
    *,
    doubtful: bool = False,
) -> Judgement:
    """Hold a number and its sound-alikes against what is known; `fits` gives null where it can't tell.

    `doubtful` says that there are other reasons to distrust the words; only then is a number that fits asked about.
    """
    verdict = fits(value)
    if verdict is None:
        return Judgement("unknown")
    readings = tuple(one for one in alternatives if fits(one.value))
    if verdict:
        return Judgement("ask", readings) if doubtful and readings else Judgement("fits")
    return Judgement("misheard", readings) if readings else Judgement("no_reading")


def alternatives(value: float, spoken: str = "") -> list[Alternative]:
    """The numbers that sound like this one, each once; `spoken` are its words, with one word before it if there is one.

    Needs no words for what follows from the value alone; "to fifty", "hundred and twenty" and "one twenty" need them.
    """
    words = re.findall(r"[a-z]+|\d+(?:\.\d+)?", spoken.lower())
    found: list[tuple[float, str]] = []
    whole, part = int(value), round(value - int(value), 6)
    found += [(one + part, why) for one, why in _teens_and_tens(whole)]
    found += [(one, why) for one, why in _nine_and_five(whole, part)]
    if not part:
        found += _swallowed_word(whole, words)
        found += _lost_hundred(whole, words)
        found += _run_together(whole, words)
    unique: dict[float, Alternative] = {}
    for one, why in found:
        number = round(one, 6)
        if number > 0 and number != value:
            unique.setdefault(number, Alternative(number, say(number), why))
    return list(unique.values())


def _teens_and_tens(whole: int) -> list[tuple[float, str]]:
    rest, last = whole % 100, whole % 10
    if 13 <= rest <= 19:
        return [(whole - rest + 10 * last, f"“{_TENS[last]}” sounds like “{_ONES[rest]}”")]
    if rest >= 30 and not last:
        return [(whole - rest + 10 + rest // 10, f"“{_ONES[10 + rest // 10]}” sounds like “{_TENS[rest // 10]}”")]
    return []


def _nine_and_five(whole: int, part: float) -> list[tuple[float, str]]:
    why = "“five” and “nine” sound alike"
    other = {"5": "9", "9": "5"}
    if part:
        digits = f"{part:.6f}".rstrip("0")
        return [(whole + float(digits[:-1] + other[digits[-1]]), why)] if digits[-1] in other else []
    found: list[tuple[float, str]] = []
    if str(whole)[-1] in other and whole % 100 // 10 != 1:
        found.append((whole - whole % 10 + int(other[str(whole)[-1]]), why))
    if whole % 100 == 0 and str(whole // 100) in other:
        found.append((100.0 * int(other[str(whole // 100)]), why))
    return found


def _swallowed_word(whole: int, words: list[str]) -> list[tuple[float, str]]:
    """A leading "two", "four" or "eight" that was "to", "for" or "a"; and the other way round."""
    found: list[tuple[float, str]] = []
    for lead, word in ((2, "to"), (4, "for")):
        if whole // 100 == lead:
            if "hundred" not in words and whole % 100:
                found.append(
                    (whole % 100, f"“{_ONES[lead]} {say(whole % 100)}” sounds like “{word} {say(whole % 100)}”")
                )
            found.append((100 + whole % 100, f"“{_ONES[lead]} hundred” sounds like “{word} a hundred”"))
        elif words[:1] == [word] and 10 <= whole < 100:
            found.append((100 * lead + whole, f"“{word} {say(whole)}” sounds like “{_ONES[lead]} {say(whole)}”"))
        elif words[:1] == [word] and whole // 100 == 1 and "a" not in words:
            found.append((100 * lead + whole % 100, f"“{word} hundred” sounds like “{_ONES[lead]} hundred”"))
    if whole // 100 == 8:
        found.append((100 + whole % 100, "“eight hundred” sounds like “a hundred”"))
    return found


def _lost_hundred(whole: int, words: list[str]) -> list[tuple[float, str]]:
    if whole < 100 and words[:2] in (["hundred", "and"], ["100", "and"], ["and", str(whole)]):
        return [(100 + whole, f"“a hundred and {say(whole)}” loses its beginning")]
    return []


def _run_together(whole: int, words: list[str]) -> list[tuple[float, str]]:
    """ "one twenty" may be 120 or 1.20, "two five" 25 or 2.5: the point was not spoken, or not heard."""
    if len(words) < 2 or words[0] not in _DIGIT_WORDS or not set(words[1:3]) <= _VALUES.keys() | {"oh"}:
        words = words[1:]
    numbers = [word for word in words[:3] if word in _VALUES or word == "oh"]
    if len(numbers) < 2 or numbers[0] not in _DIGIT_WORDS or words[: len(numbers)] != numbers:
        return []
    first, rest = numbers[0], whole % (100 if whole >= 100 else 10)
    if not str(whole).startswith(str(_VALUES[first])) or not rest:
        return []
    decimal = whole / 100 if whole >= 100 else whole / 10
    return [(decimal, f"a “point” may be lost: “{first} point {' '.join(numbers[1:])}”")]


def say(value: float) -> str:
    """A number in words: "fifteen", "one hundred and twenty", "one point two"; large ones in figures."""
    whole, part = int(value), round(value - int(value), 6)
    if part:
        digits = f"{part:.6f}".rstrip("0")[2:]
        return f"{say(whole)} point {' '.join(_ONES[int(digit)] for digit in digits)}"
    if whole < 20:
        return _ONES[whole]
    if whole < 100:
        return _TENS[whole // 10] + (f"-{_ONES[whole % 10]}" if whole % 10 else "")
    if whole < 1000:
        return f"{_ONES[whole // 100]} hundred" + (f" and {say(whole % 100)}" if whole % 100 else "")
    return str(whole)


def read_figure(text: str) -> float | None:
    """The first number of a short text in figures ("19 mm", "3/8 inch", "13/16") or in words below a hundred."""
    figure = re.search(r"(\d+)/(\d+)|\d+(?:\.\d+)?", text)
    if figure:
        return int(figure[1]) / int(figure[2]) if figure[1] else float(figure[0])
    words = re.findall(r"[a-z]+", text.lower())
    for at, word in enumerate(words):
        if word in _VALUES:
            following = words[at + 1] if at + 1 < len(words) else ""
            ones = _VALUES.get(following, 0) if _VALUES[word] >= 20 else 0
            return float(_VALUES[word] + (ones if ones < 10 else 0))
    return None
