"""Numbers as they are spoken: words and figures, decimals, fractions, halves, run-together hundreds."""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import lru_cache

from extract.number_words import BELOW_TWENTY, TENS

_SMALL = {word: value for value, word in enumerate(BELOW_TWENTY)}
_SMALL |= {"nought": 0, "naught": 0, "nil": 0, "a dozen": 12}
_TENS = TENS | {"fourty": 40}
_DIGIT = {word: value for word, value in _SMALL.items() if value < 10} | {"oh": 0, "o": 0}
_SCALES = {"thousand": 1000, "million": 1_000_000}
_FIGURE = re.compile(r"\d{1,3}(?:,\d{3})+(?:\.\d+)?|\d+(?:[.,]\d+)?")
_FRACTION_FIGURE = re.compile(r"(\d+)/(\d+)")
#: What is said for the decimal mark; speakers of many languages say "nought comma two".
_MARKS = frozenset({"point", "comma"})
#: Words that a number can begin with beside figures and counts.
_OPENERS = frozenset({"half", "quarter", "third", "a", "an", "point"})
_DENOMINATORS = {
    "half": 2, "third": 3, "thirds": 3, "quarter": 4, "quarters": 4, "fifth": 5, "fifths": 5,
    "eighth": 8, "eighths": 8, "tenth": 10, "tenths": 10, "sixteenth": 16, "sixteenths": 16,
    "thirty-second": 32, "thirty-seconds": 32, "hundredth": 100, "hundredths": 100,
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class SpokenNumber:
    """A number and how many tokens it took; `ordinal_like` figures such as model names never get here."""

    value: float
    used: int


def _known(word: str) -> bool:
    return word in _SMALL or word in _TENS or word in _SCALES or word in {"hundred", "point", "and"}


@lru_cache(maxsize=50_000)
def opens_number(word: str) -> bool:
    """Whether a number can begin with this lower-case word."""
    parts = word.split("-")
    counted = parts[0] in _SMALL or parts[0] in _TENS or parts[0] == "hundred"
    return word[0].isdigit() or word in _OPENERS or counted and all(_known(part) for part in parts)


def read_number(words: list[str], at: int = 0) -> SpokenNumber | None:
    """Read the number that starts at token `at` of lower-case `words`; null where none starts there.

    Reads "twenty-five", "a hundred and twenty", "one twenty" (120), "one oh five" (105), "thirty-five point
    five", "two and a half", "half a", "three quarters of", "two thousand and nine", "nineteen eighty-four",
    "an eighth of an inch", "1,200", "0.3", "3/8". "a" alone is no number; "one" is.
    """
    if at >= len(words) or not opens_number(words[at]):
        return None
    word = words[at]
    if word[0].isdigit():
        return _read_figure(words, at)
    if word in ("half", "quarter", "third") or (word == "a" and words[at + 1 : at + 2] in (["half"], ["quarter"])):
        return _read_fraction(words, at)
    if (
        word in ("a", "an")
        and words[at + 1 : at + 2]
        and words[at + 1] in _DENOMINATORS
        and _part_of_unit(words, at + 2)
    ):
        return SpokenNumber(1 / _DENOMINATORS[words[at + 1]], 2)
    if word == "a":
        if words[at + 1 : at + 2] in (["hundred"], ["thousand"]):
            return _read_words(words, at)
        if words[at + 1 : at + 2] == ["dozen"]:
            return SpokenNumber(12, 2)
        return None
    if word == "point" and not _fraction_after(words, at + 1):
        return None
    return _read_words(words, at)


def _part_of_unit(words: list[str], at: int) -> bool:
    """Whether "of a …" follows: "an eighth of an inch", not "a third hose"."""
    return words[at : at + 2] in (["of", "a"], ["of", "an"])


def _read_figure(words: list[str], at: int) -> SpokenNumber | None:
    word = words[at]
    fraction = _FRACTION_FIGURE.fullmatch(word)
    if fraction:
        low = int(fraction.group(2))
        return SpokenNumber(int(fraction.group(1)) / low, 1) if low else None
    if not _FIGURE.fullmatch(word):
        return None
    if re.fullmatch(r"\d{1,3}(?:,\d{3})+(?:\.\d+)?", word):
        value = float(word.replace(",", ""))
    else:
        value = float(word.replace(",", "."))
    used = 1
    following = words[at + 1 : at + 4]
    if following[:1] and _FRACTION_FIGURE.fullmatch(following[0]) and value.is_integer():
        top, low = (int(part) for part in following[0].split("/"))
        if low:
            return SpokenNumber(value + top / low, 2)
    if following == ["and", "a", "half"]:
        return SpokenNumber(value + 0.5, 4)
    if following[:1] and following[0] in _SCALES:
        value *= _SCALES[following[0]]
        used = 2
    elif following[:1] == ["hundred"]:
        value *= 100
        used = 2
    elif following[:1] and following[0] in _MARKS and (fraction := _fraction_after(words, at + 2)):
        return SpokenNumber(value + fraction[0], 2 + fraction[1])
    return SpokenNumber(value, used)


def _read_fraction(words: list[str], at: int) -> SpokenNumber | None:
    used = 1 if words[at] != "a" else 2
    value = 1 / _DENOMINATORS[words[at + used - 1]]
    return SpokenNumber(value, used)


def _read_words(words: list[str], at: int) -> SpokenNumber | None:
    """Number words: total collects thousands, `group` the part below a thousand."""
    total = 0.0
    group = 0.0
    has_group = False
    last = ""  # kind of the last word: small, tens, hundred, scale
    index = at
    while index < len(words):
        word = words[index]
        if word == "a":
            if has_group or total:
                break
            group, has_group, last = 1, True, "small"
            index += 1
            continue
        if word == "and":
            if last in ("hundred", "scale") and index + 1 < len(words) and _starts_below_hundred(words[index + 1]):
                index += 1
                continue
            break
        if word in _MARKS:
            fraction = _fraction_after(words, index + 1)
            if fraction is None:
                break
            return SpokenNumber(total + group + fraction[0], index + 1 + fraction[1] - at)
        parts = word.split("-")
        if not all(part in _SMALL or part in _TENS or part in _SCALES or part == "hundred" for part in parts):
            if (
                word == "oh"
                and last == "small"
                and index + 1 < len(words)
                and words[index + 1] in _DIGIT
                and group < 10
            ):
                group = group * 100 + _DIGIT[words[index + 1]]
                last = "final"
                index += 2
                continue
            break
        step = _take(parts, total, group, has_group, last)
        if step is None:
            break
        total, group, last = step
        has_group = True
        index += 1
    if not has_group:
        return None
    value = total + group
    used = index - at
    rest = words[index : index + 3]
    if rest == ["and", "a", "half"]:
        return SpokenNumber(value + 0.5, used + 3)
    if rest == ["and", "a", "quarter"]:
        return SpokenNumber(value + 0.25, used + 3)
    if rest[:1] and rest[0] in _DENOMINATORS and value < 20 and used == 1:
        if rest[0] in {"third", "fifth", "eighth", "tenth"} and value != 1:
            return SpokenNumber(value, used)
        return SpokenNumber(value / _DENOMINATORS[rest[0]], used + 1)
    return SpokenNumber(value, used)


def _starts_below_hundred(word: str) -> bool:
    part = word.split("-")[0]
    return part in _SMALL or part in _TENS


def _take(parts: list[str], total: float, group: float, has_group: bool, last: str) -> tuple[float, float, str] | None:
    """Add one (perhaps hyphenated) number word; null where it starts another number."""
    for part in parts:
        if part in _SMALL:
            value = _SMALL[part]
            if last == "tens" and 0 < value < 10 or last in ("hundred", "scale", ""):
                group += value
            elif last == "small" and 10 <= value < 20 and 1 <= group < 10:
                group = group * 100 + value  # "one fifteen"
            else:
                return None
            last = "small" if last in {"", "hundred", "scale", "tens"} else "final"
        elif part in _TENS:
            value = _TENS[part]
            if last in ("hundred", "scale", ""):
                group += value
            elif last == "small" and 1 <= group < 20:
                group = group * 100 + value  # "one twenty", "nineteen eighty"
            else:
                return None
            last = "tens"
        elif part == "hundred":
            if not has_group or not 1 <= group < 100 or last == "hundred":
                return None
            group *= 100
            last = "hundred"
        else:
            if not has_group:
                return None
            total += group * _SCALES[part]
            group = 0
            last = "scale"
        has_group = True
    return total, group, last


def _fraction_after(words: list[str], at: int) -> tuple[float, int] | None:
    """The decimals behind "point" and the tokens they take: "seven five", "25", "twenty-five", "twenty five"."""
    digits = ""
    used = 0
    for word in words[at : at + 4]:
        parts = word.split("-")
        if word in _DIGIT:
            after_tens = used == 1 and words[at] in _TENS and word not in ("oh", "o")
            digits = digits[:-1] + str(_DIGIT[word]) if after_tens else digits + str(_DIGIT[word])
        elif word.isdigit() and len(word) <= 3:
            digits += word
        elif not digits and all(part in _SMALL or part in _TENS for part in parts):
            digits = str(sum(_TENS.get(part, _SMALL.get(part, 0)) for part in parts))
        else:
            break
        used += 1
    return (float(f"0.{digits}"), used) if digits else None
