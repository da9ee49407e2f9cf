"""Checked against spaCy's blank English, whose rules the tokenizer follows, with the workshop's units and hyphens."""

from __future__ import annotations

import pytest
import spacy
from hypothesis import given
from hypothesis import strategies as st
from spacy.tokenizer import Tokenizer
from spacy.util import compile_infix_regex, compile_suffix_regex

from extract.language.tokens import INFIXES, PLAIN_WORDS, UNIT_SUFFIX, tokens_of

_WORDS = """
    undo bolts. "Right," it's that’s don't can't. they'll've cannot gonna whats. (see o-ring left-hand push-pull/twist
    well, shed 25Nm 10mm. 3/8" 0.3mm, 1,200 M8x1.25 75°C ½" ±0.05 no. e.g. a.m. 10am 4:30 www.ours.example/page and/or
    lift...then up--down off—clear half…and nuts,washers over.Then 'em 'cause … ... - 's ’’ $5 100% #3 (a) :) £20 Nm
""".split()


def _workshop_english() -> Tokenizer:
    nlp = spacy.blank("en")
    stock = nlp.tokenizer
    return Tokenizer(
        nlp.vocab,
        rules={word: parts for word, parts in stock.rules.items() if word.lower() not in PLAIN_WORDS},
        prefix_search=stock.prefix_search,
        suffix_search=compile_suffix_regex([*nlp.Defaults.suffixes, UNIT_SUFFIX.removesuffix("$")]).search,
        infix_finditer=compile_infix_regex([INFIXES]).finditer,
        url_match=stock.url_match,
    )


TOKENIZER = _workshop_english()


def by_spacy(word: str) -> list[str]:
    return [token.text for token in TOKENIZER(word)]


@pytest.mark.parametrize("word", _WORDS)
def test_a_word_is_divided_as_by_spacy(word: str) -> None:
    assert list(tokens_of(word)) == by_spacy(word)


def test_contractions_and_abbreviations_are_divided_as_by_spacy() -> None:
    words = [word for word in TOKENIZER.rules if word.strip()]
    assert {word: list(tokens_of(word)) for word in words} == {word: by_spacy(word) for word in words}


# No brackets and colons: of two smileys that overlap spaCy takes the longer, and no talk holds one.
@given(st.text("abdmstNBZ'’\".,-–…/%°0123459½é", min_size=1, max_size=9))
def test_any_mixture_of_letters_figures_and_marks_is_divided_as_by_spacy(word: str) -> None:
    assert list(tokens_of(word)) == by_spacy(word)


def test_units_and_hyphens_of_the_workshop() -> None:
    assert tokens_of("25Nm") == ("25", "Nm")
    assert tokens_of("left-hand") == ("left-hand",)
    assert tokens_of("shed") == ("shed",)
