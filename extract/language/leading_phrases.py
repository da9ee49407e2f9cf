"""Phrases told before their clause: whether "on both ovens" opens what follows or ends what came before."""

from __future__ import annotations

from extract.language import grammar
from extract.language.boundary_words import (
    CONTRASTS,
    FRAMES,
    MEASURES,
    NEVER,
    PHRASE_LEADS,
    SHOWN,
    WITHIN,
)
from extract.language.clause_heads import ClauseHeads
from extract.language.clause_tokens import Head
from extract.language.context import Tagged
from extract.language.phrases import Chunk
from extract.language.word_classes import Words

#: Verbs behind which "for" tells what is sought.
_SEEKING = frozenset("check inspect examine look feel search watch test".split())


class LeadingPhrases(ClauseHeads):
    """How well an utterance starts with the place, tool or kind of machine that stands before its clause."""

    def __init__(self, tagged: Tagged, chunks: list[Chunk], words: Words, opening: bool = False) -> None:
        super().__init__(tagged, chunks, words, opening)
        self.start = [NEVER] * len(self.t)

    def _raise(self, i: int, score: float) -> None:
        if score > self.start[i]:
            self.start[i] = score

    def _frame(self, i: int) -> bool:
        """ "on ovens with a gas burner": the phrase at preposition `i` tells which machines are meant."""
        chunk = self.chunk_at.get(i + 1)
        return chunk is not None and (chunk.noun in FRAMES or chunk.kind == "machine")

    def _prep_phrase_before(self, at: int) -> int | None:
        """First token of a prepositional phrase that ends right before token `at`."""
        t = self.t
        chunk = self.ends_at.get(at)
        if chunk is None:
            return None
        while chunk.first > 1 and t.low[chunk.first - 1] == "of" and chunk.first - 1 in self.ends_at:
            chunk = self.ends_at[chunk.first - 1]
        i = chunk.first - 1
        if i > 0 and t.low[i] == "of" and t.low[i - 1] in {"regardless", "instead", "ahead", "irrespective"}:
            return i - 1
        wider = i > 1 and t.low[i] == "than" and t.tag[i - 1] == "ADJ" and i - 1 in self.ends_at
        if (
            wider
            or i > 1
            and t.tag[i] == "PREP"
            and t.form[i - 1] in ("n", "dn")
            and i - 1 in self.ends_at
            and t.low[i - 1] in ("built", "made", "fitted")
        ):
            return self._prep_phrase_before(i - 1)  # "on tubs wider than an arm", "on tubs made before …"
        return (
            i
            if i >= 0 and (t.tag[i] == "PREP" or t.tag[i] == "SUB" and t.low[i] in {"before", "after", "as", "like"})
            else None
        )

    def _sought(self, i: int) -> bool:
        """ "inspect them for scoring": whether "for" at token `i` tells what the verb before it looks for."""
        t = self.t
        if t.low[i] != "for":
            return False
        for j in range(i - 1, max(-1, i - 7), -1):
            if t.tag[j] == "VERB":
                return t.base[j] in _SEEKING
        return False

    def _phrase_before(self, at: int, score: float, head: Head | None) -> None:
        """ "on both ovens | the lamps …" or "| on both ovens the lamps …"."""
        t = self.t
        i = self._prep_phrase_before(at)
        if i is None or t.low[i] not in PHRASE_LEADS or self._sought(i):
            return
        chunk = self.ends_at[at]
        first = chunk.first
        leads = PHRASE_LEADS[t.low[i]]
        if chunk.noun in FRAMES or t.low[first] in ("both", "either", "every"):
            leads += 0.7
        elif (
            chunk.kind == "machine"
            and chunk.determiner not in {"a", "this", "my", "our"}
            or t.low[first] in ("these", "those", "that")
        ):
            leads += 0.4
        elif chunk.noun == "side":
            leads += 0.3
        if (
            chunk.determiner is None
            and self._plural(chunk)
            and t.tag[first] != "NUM"
            and chunk.kind != "tool"
            and t.low[i] in ("on", "for", "in")
            and not chunk.pronoun
        ):
            leads += 0.8  # "on ovens …": those of a kind
        if (
            (chunk.pronoun or "").endswith((" one", " ones"))
            and t.low[first] not in grammar.DEMONSTRATIVES
            and t.low[i] in ("on", "for", "with")
        ):
            leads += 0.7  # "on the electric one …"
        if chunk.noun == "case" and t.low[first] in ("both", "either", "every", "all", "any", "this", "that", "each"):
            leads += 0.9
        if t.low[i - 1] in MEASURES:
            leads += 0.3
        if chunk.noun in SHOWN or self.opening and t.low[first : chunk.last] == ["this", "one"]:
            leads += 0.8
        if CONTRASTS & set(t.low[first : chunk.last]):
            leads += 0.4
        if (
            head is not None
            and t.low[i] in WITHIN
            and chunk.determiner
            and head.subject is not None
            and head.subject.pronoun in ("you", "there")
        ):
            leads += (
                0.8
                if t.base[head.at] in {"find", "see", "have", "get"} or t.low[head.first] in grammar.BE | grammar.HAVE
                else 0.0
            )  # "behind the panel you find …"
        number = self.heads.index(head) if head is not None else 0
        if (
            number
            and self.heads[number - 1].link == "sub"
            and self.heads[number - 1].opener_at is not None
            and t.low[self.heads[number - 1].opener_at] in {"if", "when", "once", "where"}
        ):
            leads -= 1.0
        if "same" in t.low[first : chunk.last]:
            leads -= 0.5
        if t.low[first] == "each":
            leads -= 0.8
        outer = self._prep_phrase_before(i)
        if outer is not None and t.low[outer] in PHRASE_LEADS and self.words.of(t.low[outer + 1]).tags[0] != "VERB":
            self._raise(
                outer,
                score
                + (
                    0.5
                    if t.low[outer] in ("on", "for", "in") and self._frame(outer)
                    else PHRASE_LEADS[t.low[outer]] - 0.1
                ),
            )
        if i and t.low[i - 1] in ("only", "just", "even") and t.tag[i - 1] == "ADV":
            i -= 1
        before = t.tag[i - 1] if i else ""
        if before in ("VERB", "AUX"):
            inside = [one for one in self.heads if one.at == i - 1 and one.link == "sub"]
            leads -= 0.0 if inside else 0.5 if self._passive(i - 1) and t.low[i] not in ("in", "at", "on") else 1.2
        elif (
            before in ("PART", "ADV")
            or before == "PRON"
            and t.low[i] != "with"
            or self._prep_phrase_before(i) is not None
        ):
            leads += 0.3  # what stands before is complete
        if head is None or head.command:
            leads -= 0.1
        elif head.subject is not None and head.subject.pronoun in {"you", "we", "it", "there"}:
            leads += 0.2
        self._raise(i, score + leads)

    def _inverted(self, head: Head) -> None:
        """ "above it hangs the lamp", "is it on"."""
        t = self.t
        chunk = self.ends_at.get(head.first)
        if t.tag[head.first] == "AUX" and head.first + 1 < len(t) and t.tag[head.first + 1] == "PRON":
            self._raise(head.first, 0.6)
        elif (
            head.first + 1 in self.chunk_at
            and t.low[head.first] in {"is", "are", "can", "will", "does", "has"}
            and t.tag[head.first - 1] in {"PART", "ADV", "NOUN", "PRON"}
        ):
            self._raise(head.first, 0.8)
        elif chunk is not None and chunk.first > 0 and t.tag[chunk.first - 1] == "PREP":
            self._raise(chunk.first - 1, 0.6)
