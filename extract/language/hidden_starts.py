"""Starts of utterances that no verb shows: commands taken for nouns, headings, values without a verb."""

from __future__ import annotations

from extract.language import grammar
from extract.language.boundary_words import (
    ALONE,
    GERUND_LEADS,
    HEADINGS,
    MEASURES,
)
from extract.language.clause_starts import ClauseStarts
from extract.language.context import Tagged
from extract.language.phrases import Chunk
from extract.language.word_classes import Words


class HiddenStarts(ClauseStarts):
    """Starts whose verb is hidden as a noun or unsaid, `latent`, beside those of clauses."""

    def __init__(self, tagged: Tagged, chunks: list[Chunk], words: Words, opening: bool = False) -> None:
        super().__init__(tagged, chunks, words, opening)
        self._hidden()

    def _hidden(self) -> None:
        for i in range(len(self.t)):
            self._latent(i)
            self._gerund(i)
        self._verbless()

    def _latent(self, i: int) -> None:
        """A command that the words before it hide as a noun: "… with warm water | rinse the filter …"."""
        t = self.t
        if (
            t.tag[i] not in ("NOUN", "ADJ", "PART")
            or i == 0
            or t.tag[i - 1] == "DET"
            and (t.low[i - 1] != "that" or t.tag[i + 1 : i + 2] != ["DET"])
            or t.tag[i - 1] in {"TO", "CONJ", "AUX", "NEG", "SUB"}
        ):
            return
        word_class = self.words.of(t.low[i])
        minded = t.low[i] in ("mind", "watch", "note") and t.tag[i + 1 : i + 2] in (["DET"], ["SUB"])
        often = (
            minded or t.low[i] in grammar.VERBS_FIRST and "b" in word_class.forms and t.tag[i - 1] not in ("NUM", "ADJ")
        )
        if (
            often
            or t.low[i] == "use"
            and (t.tag[i + 1 : i + 2] == ["DET"] or t.low[i + 1 : i + 2] == ["new"])
            or t.low[i] == "look"
            and t.low[i + 1 : i + 2] == ["at"]
            or t.low[i] in ("start", "begin", "finish")
            and t.low[i + 1 : i + 2] == ["with"]
        ):
            self.latent.add(i)
            self.commands.append(i)
            self._raise(i, 0.8)
            return
        if "b" not in word_class.forms or not (word_class.work or word_class.tags[0] == "VERB"):
            return
        if f"{t.low[i - 1]} {t.low[i]}" in self.words.terms and word_class.thing:
            return
        j = i + 1
        if j < len(t) and t.tag[j] in ("PART", "PREP") and t.low[j] in grammar.PARTICLES:
            j += 1
        if t.tag[i - 1] == "PREP" and t.low[i - 1] not in ALONE:
            return
        direct = (
            j < len(t)
            and t.low[j] in ("which", "where", "how")
            and j == i + 1
            or j < len(t)
            and (
                t.tag[j] in ("DET", "NUM")
                or t.low[j] in {"it", "them", "em", "her", "him", "those", "that", "these", "this"}
            )
        )
        if not direct or t.tag[i] == "PART" and t.low[i] != "back":
            return
        if t.tag[i] == "ADJ" and t.tag[i - 1] == "PRON" and i > 1 and t.tag[i - 2] == "VERB":
            return  # "keep it clean at the …"
        score = 1.0 if j == i + 1 else 0.6
        if t.tag[i - 1] in ("VERB", "ADV", "PART") and t.tag[j] in ("DET", "PRON"):
            score += 0.4
        sense = self.words.lexicon.verb_sense(t.low[i], t.low[i + 1]) if j > i + 1 else None
        if sense is not None and t.low[i + 1] in sense.particles:
            score += 0.4
        elif (
            word_class.thing
            and word_class.tags[0] != "VERB"
            and t.tag[i + 1] != "SUB"
            and t.low[j] not in {"it", "them", "em", "this"}
        ):
            score -= 0.3
        self.latent.add(i)
        self._raise(i, score)
        self.commands.append(i)
        self._phrase_before(i, score, None)

    def _gerund(self, i: int) -> None:
        """ "holding the lid with one hand lift the tray": what is done meanwhile, told first."""
        t = self.t
        if (
            t.tag[i] in ("PREP", "SUB")
            and t.form[i + 1 : i + 2] == ["g"]
            and t.tag[i + 1] == "VERB"
            and t.low[i] in GERUND_LEADS
        ):
            following = [head for head in self.heads if i < head.first < i + 14 and not head.link]
            if following and not self._sought(i):
                self._raise(i, GERUND_LEADS[t.low[i]])
            return
        if (
            t.form[i] == "g"
            and t.low[i + 1 : i + 3] == ["back", "together"]
            and t.low[i + 3 : i + 4] in (["it"], ["you"], ["the"], ["there"])
            and i
            and t.tag[i - 1] not in {"AUX", "PREP", "VERB", "ADV"}
        ):
            self._raise(i, 0.8)
            self.latent.add(i)
        held = self.chunk_at.get(i + 1)
        if t.low[i] == "with" and held is not None and held.last < len(t) and t.form[held.last] in ("n", "dn"):
            if any(head.command and not head.link and head.first == held.last + 1 for head in self.heads):
                self._raise(i, 1.7)  # "with the lid raised lift the tray"
            return
        if (
            not t.low[i].endswith("ing")
            or i == 0
            or i + 1 >= len(t)
            or t.tag[i + 1] != "DET"
            or t.tag[i] not in ("NOUN", "VERB")
        ):
            return
        if t.tag[i - 1] not in {"NOUN", "PRON", "PART", "ADV"} or i in self.chunk_of and self.chunk_of[i].last > i + 1:
            return
        following = [head for head in self.heads if i < head.first < i + 12]
        if following and following[0].command and not following[0].link:
            self._raise(i, 1.0)

    def _verbless(self) -> None:
        """Statements whose verb is unsaid or hidden: "hinge screws now four newton metres", "the knob turns on it"."""
        t = self.t
        for i in range(1, len(t)):
            chunk = self.ends_at.get(i)
            if (
                t.low[i] == "next"
                and chunk is not None
                and chunk.determiner is None
                and t.tag[i + 1 : i + 2] in ([], ["VERB"])
                and not self._governed(chunk)
            ):
                self._raise(chunk.first, 1.0)
                self.latent.add(chunk.first)
            if (
                t.low[i] in HEADINGS
                and t.tag[i] in ("NOUN", "VERB", "ADJ")
                and t.tag[i - 1] not in {"DET", "PREP", "CONJ", "ADJ", "TO"}
                and (i + 1 >= len(t) or t.low[i + 1] == "of" or t.tag[i + 1] in {"VERB", "DET", "INTJ", "NUM"})
            ):
                self._raise(i, 0.8)
                self.latent.add(i)
        for chunk in self.chunks:
            after = chunk.last
            while after < len(t) and t.tag[after] in ("ADV", "INTJ") and t.low[after] in {"now", "uh", "um", "er"}:
                after += 1
            measure = self.chunk_at.get(after)
            if (
                measure is not None
                and chunk.pronoun is None
                and t.tag[measure.first] == "NUM"
                and t.low[measure.last - 1] in {"pounds", "metres", "meters", "degrees", "nm"}
                and not self._governed(chunk)
            ):
                self._raise(chunk.first, 0.9)
                self.latent.add(chunk.first)
            if self._hides_verb(chunk, after):
                for start in self._subject_starts(chunk, chunk.last - 1):
                    free = not self._governed(self.chunk_at[start])
                    if free and (start == chunk.first or t.tag[start] == "DET"):
                        self._raise(start, 0.9)
                        self.latent.add(start)
                        self._phrase_before(start, 0.9, None)

    def _hides_verb(self, chunk: Chunk, after: int) -> bool:
        """ "the knob turns on it": a verb in the third person taken for the last noun of its subject."""
        t = self.t
        last = chunk.last - 1
        word = t.low[last]
        word_class = self.words.of(word)
        if last <= chunk.first + 1 or word in MEASURES or word in {"times", "ends", "turns", "parts"}:
            return False
        following = t.low[last + 1] if last + 1 < len(t) else ""
        if (
            word_class.thing
            and t.tag[last + 1 : last + 2] != ["PART"]
            and following not in {"like", "off", "out", "up", "away", "apart"}
        ):
            return False
        if "s" not in word_class.forms or "VERB" not in word_class.tags or t.tag[chunk.first] != "DET":
            return False
        return after >= len(t) or t.tag[after] != "AUX" and (t.tag[after] != "VERB" or t.form[after] in ("n", "dn"))
