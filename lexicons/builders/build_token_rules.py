"""Builds token_rules.json: how spaCy's blank English divides a word into tokens.

Run by hand after a new release of spaCy; the program itself never imports this file:

    python lexicons/builders/build_token_rules.py

Source and licence: lexicons/SOURCES.md.
"""

from __future__ import annotations

import json
from pathlib import Path

import spacy
from spacy.lang.tokenizer_exceptions import URL_PATTERN
from spacy.symbols import ORTH
from spacy.util import compile_prefix_regex, compile_suffix_regex


def main() -> None:
    """Write the table."""
    nlp = spacy.blank("en")
    rules = {
        "prefix": compile_prefix_regex(nlp.Defaults.prefixes).pattern,
        "suffix": compile_suffix_regex(nlp.Defaults.suffixes).pattern,
        "url": URL_PATTERN,
        "exceptions": {
            word: [token[ORTH] for token in tokens] for word, tokens in nlp.tokenizer.rules.items() if word.strip()
        },
    }
    target = Path(__file__).parent.parent / "token_rules.json"
    target.write_text(json.dumps(rules, ensure_ascii=False, indent=0) + "\n", encoding="utf-8")
    print(target.name, len(rules["exceptions"]), "exceptions", target.stat().st_size, "bytes")


if __name__ == "__main__":
    main()
