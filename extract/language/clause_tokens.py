"""The tokens of a parse without the marks that steered it, and the heads of clauses among them."""

from __future__ import annotations

from dataclasses import dataclass, replace

from extract.language.boundary_words import (
    MARK,
)
from extract.language.context import Tagged
from extract.language.phrases import Chunk


@dataclass(slots=True, eq=False)
class Head:
    """A verb that makes a clause: tokens `first` to `at`; `starts` are the tokens where its clause can begin, likeliest
    first. `link` says what it hangs on: "" a clause of its own, "and", "so", "sub", "contact" or "series"."""

    first: int
    at: int
    command: bool
    starts: list[int]
    link: str = ""
    opener_at: int | None = None
    subject: Chunk | None = None


@dataclass(slots=True, eq=False)
class Tokens:
    """The tokens of a parse without its marks: the marks served to tell verbs from nouns, and are no words."""

    low: list[str]
    tag: list[str]
    form: list[str]
    base: list[str]
    repairs: list[tuple[int, int]]
    at: list[int]

    def __len__(self) -> int:
        return len(self.low)


def without_marks(t: Tagged, chunks: list[Chunk]) -> tuple[Tokens, list[Chunk]]:
    """Tokens and noun phrases without the marks, their indices moved up."""
    kept = [i for i in range(len(t)) if t.low[i] != MARK]
    new = {old: i for i, old in enumerate(kept)}
    size = len(kept)
    after = [0] * (len(t) + 1)
    after[len(t)] = size
    for old in range(len(t) - 1, -1, -1):
        after[old] = new.get(old, after[old + 1])
    moved = [replace(chunk, first=after[chunk.first], last=after[chunk.last - 1] + 1) for chunk in chunks]
    tokens = Tokens(
        [t.low[i] for i in kept], [t.tag[i] for i in kept], [t.form[i] for i in kept], [t.base[i] for i in kept],
        [(after[first], after[last]) for first, last in t.repairs], [t.start[i] for i in kept],
    )  # fmt: skip
    return tokens, moved
