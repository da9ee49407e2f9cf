"""The tokenizer: spaCy's blank English with the workshop's units and hyphens.

A hyphenated word ("left-hand", "o-ring") stays one token, a figure and its unit ("25Nm", "10mm") become two. The
rules are spaCy's own, kept in `lexicons/token_rules.json`; each word is divided once, and without loading spaCy.
"""

from __future__ import annotations

import json
import re
from functools import cache, lru_cache
from importlib.resources import files

UNIT_SUFFIX = (
    r"(?<=[0-9])(?:N·m|Nm|nm|NM|mm|cm|km|µm|um|thou|ml|cl|l|L|litres?|liters?|kg|g|lb|lbs|bar|psi|kPa|MPa|"
    r"rpm|V|A|W|kW|Hz|°C|°F|°|deg|degrees?|in|inch|ft|mil|mill|min|mins|s|secs?)$"
)
INFIXES = (
    r"\.\.+|…|(?<=[a-z])\.(?=[A-Z])|(?<=[A-Za-z]),(?=[A-Za-z])|(?<=[A-Za-z0-9])(?:--|—|–)(?=[A-Za-z])|"
    r"(?<=[a-zA-Z])[:<>=/](?=[a-zA-Z])"
)
#: Two-letter shorthands that the stock rules take apart, where workshop English means a plain word.
PLAIN_WORDS = frozenset({"id", "ill", "wed", "shed", "well", "were", "its", "em", "am", "pm", "c'm", "ma", "ma'am"})


class _Rules:
    """What is taken off the front, the end and out of the middle of a word; `whole` divides words as they stand."""

    def __init__(self) -> None:
        stock = json.loads((files("lexicons") / "token_rules.json").read_text("utf-8"))
        self.whole: dict[str, list[str]] = {
            word: tokens for word, tokens in stock["exceptions"].items() if word.lower() not in PLAIN_WORDS
        }
        self.prefix = re.compile(stock["prefix"])
        self.suffix = re.compile(f"{stock['suffix']}|{UNIT_SUFFIX}")
        self.infix = re.compile(INFIXES)
        self._address = stock["url"]

    def is_address(self, word: str) -> bool:
        """Whether the word is an address of the internet."""
        return "." in word and re.match(self._address, word) is not None

    def is_divided(self, word: str) -> bool:
        """Whether a word has a part that is taken off it."""
        return any(part.search(word) for part in (self.prefix, self.suffix, self.infix))

    def without_affixes(self, word: str) -> tuple[list[str], str, list[str]]:
        """What is taken off the front of a word, what is left, and what is taken off its end, in order."""
        front: list[str] = []
        end: list[str] = []
        while word and word not in self.whole:
            before = self.prefix.search(word)
            first = before.end() if before else 0
            if word[first:] in self.whole:
                return [*front, word[:first]], word[first:], end
            behind = self.suffix.search(word[first:])
            last = len(word) - (behind.end() - behind.start() if behind else 0)
            if word[:last] in self.whole:
                return front, word[:last], [word[last:], *end]
            if not first and last == len(word):
                break
            if first:
                front.append(word[:first])
            if last < len(word) and first <= last:
                end.insert(0, word[last:])
                word = word[first:last]
            else:
                word = word[first:]
        return front, word, end


@cache
def _rules() -> _Rules:
    return _Rules()


@lru_cache(maxsize=50_000)
def tokens_of(word: str) -> tuple[str, ...]:
    """The tokens of one word, which holds no white space."""
    rules = _rules()
    if word in rules.whole:
        return tuple(rules.whole[word])
    if word.isalpha():
        return (word,)
    front, middle, end = rules.without_affixes(word)
    if middle in rules.whole:
        inner = rules.whole[middle]
    elif rules.is_address(middle):
        inner = [middle]
    else:
        inner = [token for token in _divided(rules, middle) if token]
    return tuple(_joined(rules, [*front, *inner, *end]))


def _divided(rules: _Rules, word: str) -> list[str]:
    tokens: list[str] = []
    start = 0
    for infix in rules.infix.finditer(word):
        if infix.start() > 0:
            tokens += (word[start : infix.start()], infix.group())
            start = infix.end()
    return [*tokens, word[start:]]


def _joined(rules: _Rules, tokens: list[str]) -> list[str]:
    """The tokens again, those put together that the affixes of a word of the table are (":" and ")")."""
    found: list[str] = []
    first = 0
    while first < len(tokens):
        for last in range(len(tokens), first + 1, -1):
            run = "".join(tokens[first:last])
            if run in rules.whole and rules.is_divided(run):
                found += rules.whole[run]
                first = last
                break
        else:
            found.append(tokens[first])
            first += 1
    return found
