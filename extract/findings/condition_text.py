"""An utterance as the rules for conditions read it: numbers in digits, units as symbols."""

from __future__ import annotations

from extract.language.complements import Parsed
from extract.language.phrases import Chunk
from extract.language.tagging import Tagged
from extract.language.units import read_unit
from extract.lexicon import Lexicon
from extract.rules import Rules, select_rules

_SYMBOLS = frozenset({"mm", "cm", "m", "kg", "t", "kW", "hp", "V", "bar", "kN", "ft", "in", "l"})
#: Ordinals that are fractions too: "the third series" is no number to be told in digits.
_ORDINALS = frozenset({"third", "fourth", "fifth", "sixth", "seventh", "eighth", "tenth"})
#: Axes whose words name a variant by themselves ("the diesel"); the others need the machine behind them.
NAMING = frozenset(
    {"axis.cylinders", "axis.speeds", "axis.gearbox", "axis.engine", "axis.drive", "axis.build", "axis.counted"}
)


def rules_for(cue: str) -> Rules:
    """The rules of one cue, in the order of the file."""
    return select_rules("conditions", "cue", cue)


class Sentence:
    """One utterance with its numbers in digits and its units as symbols, and the way back to its tokens."""

    def __init__(self, parsed: Parsed, lexicon: Lexicon) -> None:
        self.parsed = parsed
        self.lexicon = lexicon
        self.t: Tagged = parsed.tagged
        self.starts: list[tuple[int, int]] = []
        self.plain = self._normalise()

    def _normalise(self) -> str:
        t = self.t
        text = ""
        i = 0
        while i < len(t):
            if i and t.start[i] > t.end[i - 1]:
                text += " "
            self.starts.append((len(text), i))
            value = t.number[i]
            if (
                t.tag[i] == "NUM"
                and value is not None
                and value != 1
                and "-" not in t.low[i]
                and t.low[i] not in _ORDINALS
            ):
                text += f"{value:g}" if value < 1e6 else str(int(value))
                i += t.span[i]
                unit = read_unit(t.low, i) if i < len(t) else None
                if unit and unit[0] in _SYMBOLS and t.low[i] not in ("in", "a", "s"):
                    self.starts.append((len(text) + 1, i))
                    text += " " + unit[0].lower()
                    i += unit[1]
                continue
            text += t.low[i]
            i += 1
        return text

    def token(self, at: int) -> int:
        """The first token that starts at or behind the character `at` of the plain text."""
        return next((token for start, token in self.starts if start >= at), len(self.t))

    def span(self, start: int, end: int) -> tuple[int, int]:
        """Characters of the utterance for characters of the plain text."""
        first = self.token(start)
        last = max(self.token(end), first + 1)
        if first >= len(self.t):
            return len(self.t.text), len(self.t.text)
        return self.t.start[first], self.t.end[last - 1]

    def starts_clause(self, at: int) -> bool:
        """Whether nothing but openers and commas stands before the token `at`."""
        return (
            all(self.t.tag[i] in ("INTJ", "ADV", "PUNCT", "CONJ") for i in range(at)) or self.t.tag[at - 1] == "PUNCT"
        )

    def words(self, chunk: Chunk) -> list[str]:
        """The words of a noun phrase without determiners and counts, as spoken."""
        t = self.t
        first = chunk.first
        while first < chunk.head and (
            t.tag[first] == "DET"
            or t.low[first] in ("of", "own")
            or (t.tag[first] == "NUM" and "-" not in t.low[first] and not self._names(first, chunk))
        ):
            first += 1
        words = [t.words[i] for i in range(first, chunk.last) if t.tag[i] != "PUNCT"]
        return [word if word[1:] != word[1:].lower() else word.lower() for word in words]

    def _names(self, at: int, chunk: Chunk) -> bool:
        """Whether a number belongs to the name: "four cylinder", "three phase motor"."""
        rest = " ".join(self.t.low[at : chunk.last])
        return any(rule.id in NAMING and rule.pattern.match(rest) for rule in rules_for("axis").near(rest))
