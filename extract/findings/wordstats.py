"""How usual words, word pairs and word orders are in English and in workshop talk.

The tables are built by `lexicons/builders/build_language_tables.py`; what they were counted from stands in
`lexicons/SOURCES_TRUST.md`. They load at the first use, about 20 ms and 8 MB.
"""

from __future__ import annotations

import math
import re
import zlib
from array import array
from bisect import bisect_left
from collections import Counter
from collections.abc import Iterable
from functools import cache, lru_cache
from importlib.resources import files
from typing import NamedTuple

from extract.lexicon import Lexicon

#: Borders of a sentence in pairs and word orders.
START, END = "<s>", "</s>"
#: Zipf value (log10 of occurrences in a thousand million words) of a word that no list has.
UNKNOWN_ZIPF = 1.0
#: Codes of the tables: 40 steps for a factor of ten, 0 is a hundredth of an occurrence in a million words.
STEPS, OFFSET = 40.0, 2.0

_TOKEN = re.compile(r"\d+(?:[.,/]\d+)*|[^\W\d_]+(?:['’][^\W\d_]+)?", re.UNICODE)
#: How many answers are kept: enough for a talk, and no growth over a thousand of them.
_REMEMBERED = 20_000
#: Pair rates are seen against this many occurrences in a million: rarer pairs tell nothing.
_DOUBT = 0.3
#: A word is thought to stand so often more in the workshop talk than it was counted, and tells no more than `_FAR`.
_UNSEEN, _FAR = 0.3, 2.5


class Token(NamedTuple):
    """A word in lower case without punctuation, and its offsets in the text."""

    word: str
    start: int
    end: int


def tokens(text: str) -> list[Token]:
    """Words and numbers of a text; a possessive keeps its word and loses its ending."""
    return [Token(_plain(match.group()), *match.span()) for match in _TOKEN.finditer(text)]


def words_of(text: str) -> list[str]:
    """The words and numbers of a text without their places."""
    return list(map(_plain, _TOKEN.findall(text)))


@lru_cache(maxsize=_REMEMBERED)
def _plain(spoken: str) -> str:
    word = spoken.lower().replace("’", "'")
    return word[:-2] if word.endswith("'s") and word not in function_words() else word


@cache
def function_words() -> dict[str, str]:
    """Closed-class words and the name of their class."""
    found: dict[str, str] = {}
    for line in (files("lexicons") / "function_words.txt").read_text("utf-8").splitlines():
        if line and line[0] not in "#=":
            name, words = line.split(":")
            for word in words.split():
                found.setdefault(word, name)
    return found


@cache
def _long_forms() -> dict[str, list[str]]:
    rows = (files("lexicons") / "function_words.txt").read_text("utf-8").splitlines()
    return {row.split()[1]: row.split()[2:] for row in rows if row.startswith("=")}


_ENDINGS = (
    ("n't", "not"),
    ("'re", "are"),
    ("'ve", "have"),
    ("'ll", "will"),
    ("'d", "would"),
    ("'m", "am"),
    ("'s", "is"),
)


@lru_cache(maxsize=_REMEMBERED)
def long_form(word: str) -> tuple[str, ...]:
    """A short form as the words that it stands for: "don't" is ("do", "not"); other words stay alone."""
    known = _long_forms().get(word)
    if known:
        return tuple(known)
    if "'" in word:
        for ending, full in _ENDINGS:
            if word.endswith(ending):
                return (word.removesuffix(ending), full)
    return (word,)


def in_full(words: Iterable[str]) -> list[str]:
    """Words for the statistics: short forms spread out, the borders added."""
    return [START, *(part for word in words for part in long_form(word)), END]


@lru_cache(maxsize=_REMEMBERED)
def is_number(word: str) -> bool:
    """True for digits and for number words from two upwards."""
    return word[0].isdigit() or function_words().get(word) == "number"


@lru_cache(maxsize=_REMEMBERED)
def word_class(word: str, lexicon: Lexicon) -> str:
    """What stands for a word in word orders: itself if closed class, `#` for a number, else its classes."""
    if is_number(word):
        return "#"
    if word in function_words():
        return word
    try:
        return "+".join(lexicon.english[word].classes)
    except KeyError:
        return "N" if lexicon.term(word) else "X"


def key(*words: str) -> int:
    """The 32-bit key of a pair or triple in the tables."""
    return zlib.crc32(" ".join(words).encode())


def encode(rate: float) -> int:
    """A rate in a million words as a byte."""
    return max(1, min(255, round((math.log10(rate) + OFFSET) * STEPS)))


class _Table:
    """Keys in order and the byte of each."""

    def __init__(self, name: str) -> None:
        data = zlib.decompress((files("lexicons") / name).read_bytes())
        count = int.from_bytes(data[:4], "little")
        self._keys = array("I", data[4 : 4 + 4 * count])
        self._codes = data[4 + 4 * count :]

    def rate(self, *words: str) -> float:
        """Occurrences in a million words; 0 for what is not in the table."""
        wanted = key(*words)
        at = bisect_left(self._keys, wanted)
        if at < len(self._keys) and self._keys[at] == wanted:
            return 10 ** (self._codes[at] / STEPS - OFFSET)
        return 0.0


@cache
def _words() -> dict[str, str]:
    rows = (files("lexicons") / "common_words.txt").read_text("utf-8").splitlines()
    return dict(row.split(" ", 1) for row in rows if not row.startswith("#"))


@cache
def _pairs() -> _Table:
    return _Table("word_pairs.bin")


@cache
def _orders() -> _Table:
    return _Table("word_orders.bin")


@lru_cache(maxsize=_REMEMBERED)
def zipf(word: str) -> float:
    """How common a word is: 7 for "the", 4 for "captain", `UNKNOWN_ZIPF` for one that the list lacks."""
    if word[0].isdigit():
        return 5.0
    found = _words().get(word)
    return int(found.split()[0]) / 10 if found else UNKNOWN_ZIPF


@cache
def workshop_counts() -> Counter[str]:
    """How often each word was said in the workshop talk of `workshop_words.txt`."""
    rows = (files("lexicons") / "workshop_words.txt").read_text("utf-8").splitlines()
    return Counter({word: int(count) for word, count in (row.split(" ") for row in rows if not row.startswith("#"))})


@cache
def _workshop_size() -> int:
    return workshop_counts().total()


def at_home(word: str) -> float:
    """Natural logarithm of how much oftener a word is said in workshops than in English as a whole, -2.5 to 2.5."""
    size = _workshop_size()
    doubt = _UNSEEN / size
    ratio = (workshop_counts()[word] / size + doubt) / (10 ** (zipf(word) - 9) + doubt)
    return max(-_FAR, min(_FAR, math.log(ratio)))


def field(word: str) -> str:
    """The field of meaning of a noun ("food", "person", "artifact"), "" if it has none or is none."""
    found = _words().get(word)
    return found.partition(" ")[2] if found else ""


@lru_cache(maxsize=_REMEMBERED)
def pair_score(first: str, second: str) -> float:
    """Natural logarithm of how much oftener two words meet than by chance; about 0 where nothing is known."""
    seen = _pairs().rate(first, second)
    chance = 10 ** (border_zipf(first) + border_zipf(second) - 12)
    return math.log((seen + _DOUBT) / (chance + _DOUBT))


def border_zipf(word: str) -> float:
    """`zipf` that also knows the borders (one in fifteen words)."""
    return 7.8 if word in (START, END) else 5.5 if is_number(word) else zipf(word)


@lru_cache(maxsize=_REMEMBERED)
def order_score(first: str, second: str, third: str) -> float:
    """How much likelier the class of a word is after those of the two before it (natural logarithm).

    Interpolates triple, pair and single counts, as Jelinek and Mercer 1980 do, with fixed weights of doubt.
    """
    table = _orders()
    alone = table.rate(third) / 1e6 or 1e-6
    after_one = (table.rate(second, third) + 20 * alone) / (table.rate(second) + 20)
    pair = table.rate(first, second)
    after_two = (table.rate(first, second, third) + 5 * after_one) / (pair + 5)
    return math.log(after_two / alone)
