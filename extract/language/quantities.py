"""Values with their units in an utterance: "eight to eleven newton metres", "half a turn", "0.3 mm, plus or minus 0.05"."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace

from extract.language.context import Tagged
from extract.language.numbers import read_number
from extract.language.units import read_torque_unit, read_unit

_FIGURE_RANGE = re.compile(r"(\d+(?:\.\d+)?)[-–—](\d+(?:\.\d+)?)")
_SIGNED = re.compile(r"(?:±|\+/-)(\d+(?:\.\d+)?)?")
#: Words between a number and its unit that change neither ("one full turn", "ten more degrees").
_BETWEEN = frozenset({
    "full", "complete", "more", "further", "whole", "extra", "good", "a", "an", "of", "the", "single", "solid",
})  # fmt: skip
_RANGE_WORDS = frozenset({"to", "and", "or", "-", "–", "—", "till"})
#: Units that "a" or "an" may count; a minute or a second is too often no measure.
_COUNTED_BY_A = frozenset({
    "inch", "litre", "liter", "millimetre", "millimeter", "pint", "gallon", "quart", "hour", "mil", "thou", "degree",
})  # fmt: skip
_BOUNDS = {
    "low": ("at least", "no less than", "not less than", "minimum of", "minimum", "more than", "over", "above", "a minimum of"),
    "high": ("up to", "at most", "no more than", "not more than", "maximum of", "maximum", "less than", "under", "below", "within"),
}  # fmt: skip
#: Words before "up to" that make it a bound.
_BOUNDED_BY = [["of"], ["by"], ["for"], ["is"], ["are"], ["be"], ["anything"], ["with"], [","], ["about"]]


@dataclass(frozen=True, slots=True)
class Quantity:
    """A value over the tokens `first` up to, not including, `last`.

    `unit` is a symbol; `factor` the newton metres of one unit where it is a unit of torque, else null.
    A range or tolerance fills `low` and `high`; a bound one of them.
    """

    first: int
    last: int
    value: float | None
    low: float | None
    high: float | None
    unit: str
    factor: float | None
    text: str


def find_quantities(t: Tagged) -> list[Quantity]:
    """All values with a unit, in order; numbers without a unit are none."""
    if t.number.count(None) == len(t.number) and not _COUNTED_BY_A & set(t.low) and not any("-" in w for w in t.low):
        return []
    found: list[Quantity] = []
    at = 0
    while at < len(t):
        quantity = _read(t, at)
        if quantity is None:
            at += 1
            continue
        quantity = _bounded(t, _tolerance(t, quantity))
        found.append(quantity)
        at = quantity.last
    return found


def number_at(t: Tagged, at: int) -> tuple[float, int] | None:
    """The number at token `at` and how many tokens it takes; words that the speaker took back are none."""
    value = t.number[at] if at < len(t.number) else None
    return None if value is None or t.tag[at] == "INTJ" else (value, t.span[at])


def unit_at(t: Tagged, at: int) -> tuple[str, float | None, int] | None:
    """The unit at token `at`: symbol, newton metres of one or null, tokens used."""
    torque = read_torque_unit(t.low, at)
    if torque:
        return torque
    other = read_unit(t.low, at)
    if other is None or (t.low[at] == "in" and not _inch(t, at)):
        return None
    return other[0], None, other[1]


def _inch(t: Tagged, at: int) -> bool:
    """Whether "in" behind a number is the unit: only where nothing can hang on a preposition."""
    return at + 1 >= len(t) or t.tag[at + 1] in ("PUNCT", "CONJ", "SUB")


def _read(t: Tagged, at: int) -> Quantity | None:
    low: float | None
    high: float | None
    figures = _FIGURE_RANGE.fullmatch(t.low[at]) if t.low[at][0].isdigit() else None
    if figures:
        low, high = float(figures.group(1)), float(figures.group(2))
        unit = _unit_behind(t, at + 1)
        return _made(t, at, unit[3], None, low, high, unit) if unit and low < high else None
    read = number_at(t, at)
    if read is None:
        if t.low[at] in ("a", "an") and t.low[at + 1 : at + 2] and t.low[at + 1] in _COUNTED_BY_A:
            unit = _unit_behind(t, at + 1)
            if unit and t.low[unit[3] : unit[3] + 3] == ["and", "a", "half"]:
                return _made(t, at, unit[3] + 3, 1.5, None, None, unit)
            return _made(t, at, unit[3], 1.0, None, None, unit) if unit else None
        return None
    value, used = read
    after = at + used
    unit = _unit_behind(t, after)
    if unit is None and t.low[after : after + 3] in ([",", "that", "'s"], [",", "that", "is"]):
        unit = _unit_behind(t, after + 3)  # "thirty-five, that's newton metres"
    second = after + (unit[2] if unit else 0)
    if unit:
        second = unit[3]
    # A range: "twenty to twenty-five newton metres", "between ten millimetres and twelve millimetres".
    if t.low[second : second + 1] and t.low[second] in _RANGE_WORDS and _range_opens(t, at, second):
        upper = number_at(t, second + 1)
        if upper is not None:
            upper_unit = _unit_behind(t, second + 1 + upper[1])
            if upper_unit and upper[0] > value and (unit is None or unit[0] == upper_unit[0]):
                return _made(t, at, upper_unit[3], None, value, upper[0], upper_unit)
    if unit is None:
        return None
    return _made(t, at, unit[3], value, None, None, unit)


def _range_opens(t: Tagged, at: int, joiner: int) -> bool:
    """ "and" makes a range only after "between"; "or" and "to" do by themselves."""
    return t.low[joiner] != "and" or t.low[max(0, at - 1) : at] == ["between"]


def _unit_behind(t: Tagged, at: int) -> tuple[str, float | None, int, int] | None:
    """The unit at or, over a few small words, behind token `at`: symbol, factor, tokens, token behind it."""
    j = at
    while j < len(t) and j < at + 4:
        unit = unit_at(t, j)
        if unit is not None and not (j > at and unit[0] in {"mm", "g", "A", "V", "N"} and t.low[j] in ("g", "v", "n")):
            return unit[0], unit[1], unit[2], j + unit[2]
        if t.low[j] not in _BETWEEN:
            return None
        j += 1
    return None


def _made(
    t: Tagged, first: int, last: int, value: float | None, low: float | None, high: float | None,
    unit: tuple[str, float | None, int, int],
) -> Quantity:  # fmt: skip
    return Quantity(first, last, value, low, high, unit[0], unit[1], t.phrase(first, last))


def _tolerance(t: Tagged, quantity: Quantity) -> Quantity:
    """ "0.3 mm, plus or minus 0.05": the range around the value."""
    if quantity.value is None:
        return quantity
    i = quantity.last
    if t.low[i : i + 1] == [","]:
        i += 1
    signed = _SIGNED.fullmatch(t.low[i]) if i < len(t) else None
    if t.low[i : i + 3] == ["plus", "or", "minus"] or t.low[i : i + 3] == ["give", "or", "take"]:
        read, behind = number_at(t, i + 3), i + 3
    elif signed and signed.group(1):
        return _spread(t, quantity, float(signed.group(1)), i + 1)
    elif signed:
        read, behind = number_at(t, i + 1), i + 1
    else:
        return quantity
    if read is None and t.low[behind : behind + 1] in (["a"], ["an"]):
        # "give or take a sixteenth": of the unit before.
        part = read_number([*t.low[behind : behind + 2], "of", "a"], 0)
        return _spread(t, quantity, part.value, behind + part.used) if part else quantity
    if read is None:
        return quantity
    return _spread(t, quantity, read[0], behind + read[1])


def _spread(t: Tagged, quantity: Quantity, spread: float, last: int) -> Quantity:
    unit = _unit_behind(t, last)
    if unit and unit[0] == quantity.unit:
        last = unit[3]
    value = quantity.value or 0.0
    return replace(
        quantity, last=last, low=round(value - spread, 6), high=round(value + spread, 6), text=t.phrase(quantity.first, last)
    )  # fmt: skip


def _bounded(t: Tagged, quantity: Quantity) -> Quantity:
    """ "at least five minutes", "no more than two millimetres": a bound beside the value."""
    if quantity.value is None or quantity.low is not None:
        return quantity
    before = " " + " ".join(t.low[max(0, quantity.first - 5) : quantity.first])
    found = [
        (len(phrase), side) for side, phrases in _BOUNDS.items() for phrase in phrases if before.endswith(f" {phrase}")
    ]
    if not found:
        return quantity
    side = max(found)[1]
    if before.endswith("up to") and t.low[quantity.first - 3 : quantity.first - 2] not in ([], *_BOUNDED_BY):
        return quantity  # "pump it up to two bar": the "up" belongs to the verb
    if re.search(r"\b(?:not|n't|never)\b(?:\s\w+)?\s(?:over|above|more than)$", before):
        side = "high"
    return replace(quantity, low=quantity.value) if side == "low" else replace(quantity, high=quantity.value)
