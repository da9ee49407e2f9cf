"""The tokenizer: spaCy's blank English with the workshop's units and hyphens.

A hyphenated word ("left-hand", "o-ring") stays one token, a figure and its unit ("25Nm", "10mm") become two.
"""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from spacy.language import Language

_UNIT_SUFFIX = (
    r"(?<=[0-9])(?:N·m|Nm|nm|NM|mm|cm|km|µm|um|thou|ml|cl|l|L|litres?|liters?|kg|g|lb|lbs|bar|psi|kPa|MPa|"
    r"rpm|V|A|W|kW|Hz|°C|°F|°|deg|degrees?|in|inch|ft|mil|mill|min|mins|s|secs?)"
)

_INFIXES = (
    r"\.\.+",
    r"…",
    r"(?<=[a-z])\.(?=[A-Z])",
    r"(?<=[A-Za-z]),(?=[A-Za-z])",
    r"(?<=[A-Za-z0-9])(?:--|—|–)(?=[A-Za-z])",
    r"(?<=[a-zA-Z])[:<>=/](?=[a-zA-Z])",
)


@cache
def blank_english() -> Language:
    """Return the blank spaCy pipeline that every stage of the language room shares."""
    import spacy
    from spacy.tokenizer import Tokenizer
    from spacy.util import compile_infix_regex, compile_prefix_regex, compile_suffix_regex

    nlp = spacy.blank("en")
    stock = nlp.tokenizer
    # Two-letter shorthands that the stock rules take apart, where workshop English means a plain word.
    rules = {key: value for key, value in stock.rules.items() if key.lower() not in _PLAIN_WORDS}
    nlp.tokenizer = Tokenizer(
        nlp.vocab,
        rules=rules,
        prefix_search=compile_prefix_regex(nlp.Defaults.prefixes).search,
        suffix_search=compile_suffix_regex([*nlp.Defaults.suffixes, _UNIT_SUFFIX]).search,
        infix_finditer=compile_infix_regex(_INFIXES).finditer,
        token_match=stock.token_match,
        url_match=stock.url_match,
    )
    return nlp


_PLAIN_WORDS = frozenset({"id", "ill", "wed", "shed", "well", "were", "its", "em", "am", "pm", "c'm", "ma", "ma'am"})
