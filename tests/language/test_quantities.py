"""Values with their units: where they stand, ranges, tolerances, bounds, and numbers that are none."""

from __future__ import annotations

from functools import cache

import pytest
from hypothesis import given
from hypothesis import strategies as st
from num2words import num2words

from extract.language.quantities import Quantity, find_quantities, number_at
from extract.language.tagging import Tagger
from extract.lexicon import load


@cache
def tagger() -> Tagger:
    return Tagger(load())


def quantities(text: str) -> list[Quantity]:
    return find_quantities(tagger().tag(text))


def read(text: str) -> list[tuple[float | None, float | None, float | None, str]]:
    return [(one.value, one.low, one.high, one.unit) for one in quantities(text)]


# num2words (registry: https://pypi.org/project/num2words/) writes the numbers.
@given(st.integers(2, 999), st.sampled_from(["newton metres", "foot pounds", "millimetres", "minutes", "litres"]))
def test_reads_a_spoken_number_with_its_unit(number, unit):
    text = f"it takes {num2words(number)} {unit} there"
    found = quantities(text)
    assert [(one.value, one.text) for one in found] == [(number, f"{num2words(number)} {unit}")]


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("between five and ten thou", (None, 5, 10, "thou")),
        ("one point two to one point five millimetres", (None, 1.2, 1.5, "mm")),
        ("35-40 ft-lb", (None, 35, 40, "lbf·ft")),
        ("0.3 mm, plus or minus 0.05", (0.3, 0.25, 0.35, "mm")),
        ("three millimetres plus or minus half a millimetre", (3, 2.5, 3.5, "mm")),
        ("an eighth of an inch give or take a sixteenth", (0.125, 0.0625, 0.1875, "in")),
        ("at least five minutes", (5, 5, None, "min")),
        ("no more than two millimetres", (2, None, 2, "mm")),
        ("not over ten newton metres", (10, None, 10, "Nm")),
        ("a gap of up to two millimetres", (2, None, 2, "mm")),
        ("pump it up to two bar", (2, None, None, "bar")),
        ("one full turn", (1, None, None, "turn")),
        ("three quarters of a turn", (0.75, None, None, "turn")),
        ("about an inch of slack", (1, None, None, "in")),
        ("about a litre and a half", (1.5, None, None, "l")),
        ("half an hour", (0.5, None, None, "h")),
    ],
)
def test_ranges_tolerances_bounds_and_parts(text, expected):
    assert read(text) == [expected]


def test_torque_units_carry_their_factor():
    assert [one.factor for one in quantities("ten newton metres and ten millimetres")] == [1.0, None]


@pytest.mark.parametrize(
    "text", ["two bolts", "number three", "the second one", "in two stages", "a minute", "wait a bit", ""]
)
def test_numbers_without_a_unit_are_none(text):
    assert read(text) == []


def test_words_that_the_speaker_took_back_are_no_number():
    tagged = tagger().tag("it takes sixty no seventy foot pounds")
    assert [one.value for one in find_quantities(tagged)] == [70]
    assert number_at(tagged, 2) is None


@given(st.text(alphabet="abc 0123456789.,-–±/°", max_size=40))
def test_spans_lie_in_the_words(text):
    tagged = tagger().tag(text)
    for one in find_quantities(tagged):
        assert 0 <= one.first < one.last <= len(tagged)
        assert one.text in text
