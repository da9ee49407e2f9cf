"""Spoken numbers: what `num2words` writes out is read back. Ordinals are left out: they are no counts."""

from __future__ import annotations

import pytest
from num2words import num2words

from extract.language.numbers import read_number


def words_of(text: str) -> list[str]:
    """The words as a transcript has them: lower case, without commas."""
    return text.lower().replace(",", "").split()


def wrong(values, write) -> dict:
    """Values that are not read back, with what was read instead."""
    misread = {}
    for value in values:
        words = words_of(write(value))
        found = read_number(words)
        if found is None or found.used != len(words) or found.value != pytest.approx(value):
            misread[value] = (" ".join(words), found)
    return misread


def test_whole_numbers_up_to_two_thousand():
    assert wrong(range(2001), num2words) == {}


def test_whole_numbers_without_hyphens():
    assert wrong(range(2001), lambda value: num2words(value).replace("-", " ")) == {}


def test_whole_numbers_without_and():
    assert wrong(range(2001), lambda value: num2words(value).replace(" and ", " ")) == {}


def test_one_decimal():
    assert wrong([tenth / 10 for tenth in range(1, 1500) if tenth % 10], num2words) == {}


def test_two_and_three_decimals():
    values = [hundredth / 100 for hundredth in range(1, 1000) if hundredth % 10]
    values += [thousandth / 1000 for thousandth in range(1, 1000, 7) if thousandth % 10]
    assert wrong(values, num2words) == {}


def test_figures_are_read_as_they_stand():
    assert wrong(range(2001), str) == {}


@pytest.mark.parametrize("value", [7, 20, 35, 120, 1050])
def test_the_words_after_a_number_are_left(value):
    words = words_of(num2words(value))
    assert read_number([*words, "newton", "metres"]).used == len(words)
