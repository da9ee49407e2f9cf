from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from num2words import num2words

from extract.procedure.sound_alikes import alternatives, judge, read_figure, say


def values(value: float, spoken: str = "") -> set[float]:
    return {one.value for one in alternatives(value, spoken)}


@pytest.mark.parametrize("ones", range(3, 10))
def test_teens_and_tens_stand_for_each_other(ones: int) -> None:
    assert 10 * ones in values(10 + ones)
    assert 10 + ones in values(10 * ones)
    assert 100 + 10 * ones in values(110 + ones)


@pytest.mark.parametrize(
    ("value", "spoken", "other"),
    [
        (5, "five", 9),
        (9, "nine", 5),
        (45, "forty-five", 49),
        (0.5, "nought point five", 0.9),
        (0.35, "nought point three five", 0.39),
        (900, "nine hundred", 500),
        (13.5, "thirteen point five", 30.5),
        (250, "two fifty", 50),
        (250, "250", 150),
        (200, "two hundred", 100),
        (430, "four thirty", 30),
        (50, "to fifty", 250),
        (50, "for fifty", 450),
        (800, "eight hundred", 100),
        (810, "eight hundred and ten", 110),
        (20, "hundred and twenty", 120),
        (80, "and 80", 180),
        (120, "one twenty", 1.2),
        (25, "two five", 2.5),
        (105, "one oh five", 1.05),
    ],
)
def test_what_sounds_alike(value: float, spoken: str, other: float) -> None:
    assert other in values(value, spoken)


@pytest.mark.parametrize(
    ("value", "spoken"), [(10, "ten"), (11, "eleven"), (12, "twelve"), (20, "twenty"), (22, "twenty-two"), (1, "one")]
)
def test_numbers_without_a_sound_alike(value: float, spoken: str) -> None:
    assert values(value, spoken) == set()


@pytest.mark.parametrize(
    ("value", "spoken", "other"),
    [
        (15, "fifteen", 19),  # the teens tell five and nine apart by their vowels
        (250, "two hundred and fifty", 50),
        (120, "one hundred and twenty", 1.2),
        (120, "120", 1.2),
        (50, "fifty", 250),
        (20, "twenty", 120),
    ],
)
def test_what_does_not_sound_alike(value: float, spoken: str, other: float) -> None:
    assert other not in values(value, spoken)


@given(st.one_of(st.integers(1, 999), st.integers(1, 9999).map(lambda n: n / 100)))
def test_no_number_is_its_own_alternative_and_each_has_words(value: float) -> None:
    found = alternatives(value)
    assert value not in [one.value for one in found]
    assert len({one.value for one in found}) == len(found)
    assert all(one.value > 0 and one.spoken and one.why for one in found)


@given(st.integers(1, 999))
def test_numbers_are_said_as_num2words_says_them(value: int) -> None:
    assert say(value) == num2words(value, lang="en_GB")
    if value < 100:
        assert read_figure(say(value)) == value


@pytest.mark.parametrize(
    ("text", "value"),
    [("19 mm", 19), ("thirteen millimetre", 13), ("twenty-two", 22), ("13/16", 0.8125), ("0.38", 0.38), ("big", None)],
)
def test_figures_are_read(text: str, value: float | None) -> None:
    assert read_figure(text) == value


def fits_up_to(limit: float):
    return lambda value: value <= limit


def test_judging_needs_something_known() -> None:
    assert judge(50, alternatives(50), lambda value: None).verdict == "unknown"


def test_a_number_that_fits_stands_unless_doubtful() -> None:
    assert judge(50, alternatives(50), fits_up_to(60)).verdict == "fits"
    asked = judge(50, alternatives(50), fits_up_to(60), doubtful=True)
    assert (asked.verdict, [one.value for one in asked.readings]) == ("ask", [15])
    assert judge(20, alternatives(20), fits_up_to(60), doubtful=True).verdict == "fits"


def test_a_number_that_does_not_fit_is_misheard_if_a_sound_alike_fits() -> None:
    found = judge(50, alternatives(50), fits_up_to(20))
    assert (found.verdict, [one.value for one in found.readings]) == ("misheard", [15])
    assert judge(55, alternatives(55), fits_up_to(20)).verdict == "no_reading"
