"""Subjects in unpunctuated words: whether a noun phrase belongs to the verb behind it or ends what came before."""

from __future__ import annotations

from extract.language import grammar
from extract.language.boundary_words import (
    ALONE,
    MEASURES,
    STATING,
    SUBJECT_ONLY,
)
from extract.language.clause_tokens import without_marks
from extract.language.context import Tagged
from extract.language.phrases import Chunk
from extract.language.word_classes import Words


class ClauseSubjects:
    """Noun phrases before verbs: whose subject they are, and where they begin."""

    def __init__(self, tagged: Tagged, chunks: list[Chunk], words: Words, opening: bool = False) -> None:
        self.words = words
        self.opening = opening
        self.t, self.chunks = without_marks(tagged, chunks)
        self.chunk_at = {chunk.first: chunk for chunk in self.chunks}
        self.ends_at = {chunk.last: chunk for chunk in self.chunks}
        self.chunk_of: dict[int, Chunk] = {i: chunk for chunk in self.chunks for i in range(chunk.first, chunk.last)}
        self.commands: list[int] = []

    def _caused(self, subject: Chunk) -> bool:
        """ "let it cool", "watch the dial climb": a bare verb after the object of such a verb."""
        t = self.t
        i = subject.first - 1
        if i >= 0 and t.base[i] in ("make", "watch") and subject.last + 1 in self.chunk_at:
            return False
        return i >= 0 and (
            t.tag[i] == "VERB"
            and (
                t.base[i] in {"let", "make", "help", "watch"}
                or t.base[i] in grammar.CAUSATIVES
                and subject.pronoun is not None
            )
            or (t.tag[i] == "AUX" and t.low[i] in ("lemme", "let"))
        )

    def _subject_of_bare(self, subject: Chunk, first: int, at: int) -> Chunk | None:
        """The subject of a base form ("the wedges come loose"), or None where what stands before belongs to the clause before."""
        t = self.t
        before = subject.first - 1
        if subject.pronoun in {"anything", "everything", "nothing", "something"}:
            return None
        if before >= 0 and (
            t.tag[before] == "SUB"
            and (subject.pronoun or self._plural(subject))
            or t.low[before] == "so"
            and self._plural(subject)
        ):
            return subject
        if subject.pronoun in SUBJECT_ONLY:
            return subject
        if subject.pronoun == "you" or t.low[subject.first] == "y'":
            return subject if before < 0 or t.tag[before] not in ("PREP", "TO", "VERB") else None
        if subject.pronoun in {"it", "them", "em", "'em", "me", "us", "him", "her", "that", "this", "one", "there"}:
            return None
        base = t.base[at] if t.tag[at] == "VERB" else t.low[at]
        held = self.chunk_at.get(at + 1)
        counted = t.tag[subject.first] == "NUM" and not self._governed(subject)
        if (
            held is not None
            and not counted
            and (
                held.pronoun in {"it", "them", "em", "her"}
                or base in {"take", "hold", "hang", "apply", "point", "show", "run", "look"}
                and held.determiner in {"the", "your", "that", "both"}
            )
        ):
            return None
        stated = self._stated(at) or (t.base[first] == "get" and at > first)
        chunk = subject
        for _ in range(4):
            if t.low[chunk.last - 1] in MEASURES:
                return None
            if self._plural(chunk):
                if stated:
                    return chunk
                governed = self._governed(chunk)
                if t.low[first] == "do":
                    if not governed and chunk.plural:
                        return chunk
                elif base in STATING:
                    if (
                        not governed
                        or base in {"have", "need", "require", "go", "come", "sit", "weigh", "belong"}
                        and chunk is subject
                    ):
                        return chunk
                elif (
                    chunk is subject
                    and not governed
                    and at + 1 < len(t)
                    and t.tag[at + 1] not in ("DET", "NUM", "SUB")
                    and at + 1 not in self.chunk_at
                ):
                    return chunk
            i = chunk.first - 1
            if i < 1 or t.tag[i] not in ("PREP", "TO") or i not in self.ends_at:
                return None
            chunk = self.ends_at[i]
        return None

    def _plural(self, chunk: Chunk) -> bool:
        t = self.t
        last = t.low[chunk.last - 1]
        if chunk.plural or (chunk.quantity or 0) > 1 or last.endswith("s") and not last.endswith("ss"):
            return True
        if last in {"both", "these", "those", "all", "ones", "people"}:
            return True
        return (
            chunk.first > 0
            and t.tag[chunk.first - 1] == "CONJ"
            and t.low[chunk.first - 1] == "and"
            and chunk.first - 1 in self.ends_at
        )

    def _stated(self, at: int) -> bool:
        """Whether a measure follows the verb: "get twelve newton metres"."""
        t = self.t
        chunk = self.chunk_at.get(at + 1)
        return (
            chunk is not None
            and t.base[at] in {"get", "take", "need", "weigh", "want", "have", "require", "hold"}
            and t.low[chunk.last - 1] in MEASURES
        )

    def _governed(self, chunk: Chunk) -> bool:
        """Whether a noun phrase is the object of a verb or preposition before it."""
        t = self.t
        i = chunk.first - 1
        if i < 0 or t.tag[i] == "PUNCT":
            return False
        if t.tag[i] in ("VERB", "TO"):
            return not self._passive(i)
        if t.tag[i] == "PREP":
            return not (t.low[i] in ALONE and i > 0 and (i in self.ends_at or t.tag[i - 1] in ("VERB", "INTJ", "ADV")))
        if t.tag[i] == "PART":
            return i > 0 and t.tag[i - 1] == "VERB" and not self._passive(i - 1)
        if t.tag[i] == "CONJ" and i in self.ends_at:
            return self._governed(self.ends_at[i])
        return False

    def _passive(self, verb: int) -> bool:
        t = self.t
        return t.form[verb] in ("n", "dn") and verb > 0 and t.tag[verb - 1] in ("AUX", "ADV", "NEG")

    def _subject_starts(self, subject: Chunk, first: int) -> list[int]:
        """Tokens where a subject that ends before the verb can begin, over "of", place phrases and "and"."""
        t = self.t
        starts = [subject.first]
        if subject.pronoun and subject.pronoun != "one" and t.low[subject.first] not in ("both", "all"):
            return starts
        chunk = subject
        joined = False
        for _ in range(5):
            i = chunk.first - 1
            listed = i >= 0 and i + 1 in self.ends_at and joined and not self.ends_at[i + 1].pronoun
            if listed:
                chunk = self.ends_at[i + 1]
                starts.append(chunk.first)
                continue
            if i < 0 or t.tag[i] not in ("PREP", "TO", "CONJ") or i not in self.ends_at:
                break
            joined = joined or t.low[i] == "and"
            chunk = self.ends_at[i]
            if chunk.pronoun and t.low[i] != "of":
                break
            if t.low[i] == "of":
                starts[-1] = chunk.first
            else:
                starts.append(chunk.first)
        return starts
