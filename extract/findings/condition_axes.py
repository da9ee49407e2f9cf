"""What a condition says, and what varies: sizes, builds, and years told against a year before."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from extract.findings.condition_text import NAMING, rules_for
from extract.language.numbers import read_number

_DIGITS = {"single": "1", "one": "1", "twin": "2", "two": "2", "three": "3", "four": "4", "five": "5", "six": "6",
           "eight": "8", "ten": "10", "twelve": "12"}  # fmt: skip
_MEASURES = frozenset({"inch", "metre", "meter", "litre", "liter", "ton", "tonne", "volt", "kilowatt", "amp"})
_YEAR = re.compile(r"\b(?:19[5-9]|20[0-9])[0-9]\b")


@dataclass(frozen=True, slots=True)
class Meaning:
    """What a condition says: `head` is the noun whose sort or presence varies, `family` the axis rule that knew it."""

    kind: Literal["variant", "option"]
    axis: str | None
    value: str
    values: tuple[str, ...] = ()
    negated: bool = False
    head: str = ""
    family: str = ""


def guarded(text: str) -> bool:
    return any(rule.pattern.search(text) for rule in rules_for("guard").near(text))


def axis_of(text: str, naming: bool) -> tuple[str, str, str] | None:
    """Axis, value and rule of the first axis that the words name."""
    for rule in rules_for("axis").near(text):
        if naming != (rule.id in NAMING):
            continue
        match = rule.pattern.search(text)
        if match is not None and "value" in match.groupdict():
            value = match.group("value")
            if rule.id == "axis.cylinders":
                value = _DIGITS.get(value, value)
            elif rule.id == "axis.counted":
                value = _in_digits(value)
            return rule.text("axis"), value, rule.id
    return None


def _in_digits(value: str) -> str:
    """ "sixteen-inch" as "16-inch"; "three-blade" stays a name."""
    count, _, unit = value.replace(" ", "-").rpartition("-")
    number = read_number([count]) if unit in _MEASURES else None
    return value if number is None else f"{number.value:g}-{unit}"


def year_of_age(word: str, known: Sequence[Meaning]) -> Meaning:
    """ "older ones" after "from 2019 on" are those before 2019."""
    younger = word.startswith(("new", "late", "post"))
    for meaning in reversed(known):
        year = _YEAR.search(meaning.value) if meaning.axis == "year" else None
        if year is None:
            continue
        told_younger = bool(re.match(r"from|after|since", meaning.value)) or re.search(r"on(wards)?$", meaning.value)
        if younger and not told_younger:
            return Meaning("variant", "year", f"from {year.group()} on", family="year")
        if not younger and told_younger:
            return Meaning("variant", "year", f"before {year.group()}", family="year")
        break
    return Meaning("variant", "build", word, family="age")


def year_told_before(words: str, known: Sequence[Meaning]) -> Meaning | None:
    """ "made after that", behind "till 2014": after 2014."""
    year = next(
        (found.group() for one in reversed(known) if one.axis == "year" and (found := _YEAR.search(one.value))), None
    )
    if year is None:
        return None
    younger = words.startswith(("after", "since", "later", "newer"))
    return Meaning("variant", "year", f"{'after' if younger else 'before'} {year}", family="year")
