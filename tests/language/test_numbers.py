"""Spoken numbers, read back from what an independent library writes, and the shapes of the workshop."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from num2words import num2words

from extract.language.numbers import read_number


def read(text: str) -> float | None:
    found = read_number(text.split())
    return None if found is None else found.value


# num2words (registry: https://pypi.org/project/num2words/) writes British English with hyphens and "and".
@given(st.integers(0, 999_999))
def test_reads_what_num2words_writes(number):
    words = num2words(number).replace(",", "").split()
    found = read_number(words)
    assert found is not None
    assert (found.value, found.used) == (number, len(words))


@given(st.integers(0, 999_999))
def test_reads_number_words_without_hyphens_and_without_and(number):
    words = num2words(number).replace(",", "").replace("-", " ").replace(" and ", " ").split()
    found = read_number(words)
    assert found is not None
    assert (found.value, found.used) == (number, len(words))


@given(st.decimals(0, 999, places=2))
def test_reads_spoken_decimals(number):
    found = read_number(num2words(float(number)).split())
    assert found is not None
    assert found.value == pytest.approx(float(number))


@given(st.integers(0, 9_999_999), st.integers(0, 99))
def test_reads_figures_with_thousands_and_decimals(whole, hundredths):
    assert read(f"{whole:,}") == whole
    assert read(f"{whole}.{hundredths:02d}") == pytest.approx(whole + hundredths / 100)


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("one twenty", 120), ("one forty five", 145), ("one oh five", 105), ("nineteen eighty-four", 1984),
        ("twenty five hundred", 2500), ("a hundred and ten", 110), ("nought point three", 0.3), ("point five", 0.5),
        ("one point two five", 1.25), ("thirty-five point five", 35.5), ("two and a half", 2.5), ("half", 0.5),
        ("a quarter", 0.25), ("three quarters", 0.75), ("two thirds", 2 / 3), ("an eighth of an inch", 0.125),
        ("3/8", 0.375), ("2 1/2", 2.5), ("a dozen", 12), ("25 point 4", 25.4),
        ("point twenty-five", 0.25), ("nought comma two", 0.2), ("1 comma 5", 1.5), ("two point twenty five", 2.25), ("nought point three eight", 0.38),
    ],
)  # fmt: skip
def test_reads_the_shapes_of_the_workshop(text, value):
    assert read(text) == pytest.approx(value)


def test_counts_the_tokens_of_decimals():
    assert [read_number(text.split()).used for text in ("two point twenty-five mm", "two point twenty five mm")] == [
        3,
        4,
    ]


@pytest.mark.parametrize("text", ["a bolt", "a third hose", "second gear", "oh no", "and five", "m8", "bolt", ""])
def test_leaves_what_is_no_number(text):
    assert read(text) is None


@pytest.mark.parametrize(
    ("text", "values"),
    [
        ("two twelve", [212]),
        ("thirty forty", [30, 40]),
        ("five six", [5, 6]),
        ("ten two", [10, 2]),
        ("twenty thirteen", [20, 13]),
    ],
)
def test_ends_a_number_where_another_begins(text, values):
    words = text.split()
    found, at = [], 0
    while at < len(words):
        number = read_number(words, at)
        assert number is not None
        found.append(number.value)
        at += number.used
    assert found == values
