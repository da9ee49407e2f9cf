"""How well an utterance can start at each word: main clauses, subordinate ones, openers, places told first."""

from __future__ import annotations

from extract.language.boundary_words import (
    ALONE,
    FALSE_RIGHT,
    INTRODUCTION,
    LEADING,
    MAIN_START,
    MEASURES,
    OPENERS,
    TWO_WORD_OPENERS,
    WITHIN,
)
from extract.language.clause_tokens import Head
from extract.language.context import FILLERS, Tagged
from extract.language.leading_phrases import LeadingPhrases
from extract.language.phrases import Chunk
from extract.language.word_classes import Words


class ClauseStarts(LeadingPhrases):
    """How well an utterance can start at each token of a parse."""

    def __init__(self, tagged: Tagged, chunks: list[Chunk], words: Words, opening: bool = False) -> None:
        super().__init__(tagged, chunks, words, opening)
        self.latent: set[int] = set()
        self.commands: list[int] = []
        self._starts()

    def _starts(self) -> None:
        t = self.t
        self._series()
        for head in self.heads:
            self._head_starts(head)
        for i in range(len(t)):
            self._opener(i)

    def _series(self) -> None:
        """ "lift the lid, turn the tray over and rinse it": short acts that "and" closes are one utterance."""
        t = self.t
        for before, head, after in zip(self.heads, self.heads[1:], [*self.heads[2:], None], strict=False):
            if not before.command or before.link or not head.command or head.link or head.first - before.first > 8:
                continue
            between = t.low[before.at + 1 : head.first]
            if between[-1:] == ["then"]:
                if len(between) < 6:
                    head.link = "series"
            elif (
                after is not None
                and after.command
                and after.link == "and"
                and after.first - head.first < 14
                and not OPENERS.keys() & set(between)
            ):
                head.link = "series"

    def _head_starts(self, head: Head) -> None:
        t = self.t
        if head.link == "sub" and head.opener_at is not None:
            self._raise(head.opener_at, self._leading(head))
            return
        if not head.link and head.starts:
            start = head.starts[0]
            inner = self._prep_phrase_before(start)
            if (
                inner is not None
                and inner > 0
                and t.tag[inner - 1] == "CONJ"
                and t.low[inner] not in t.low[max(0, inner - 6) : inner]
            ):
                head.link = "and"  # "… and with the other hand turn the key"
        if head.link == "and":
            at = (head.starts or [head.first])[0] - 1
            while at > 0 and t.tag[at] in ("ADV", "INTJ", "NEG"):
                at -= 1
            number = self.heads.index(head)
            if t.tag[at] == "CONJ" and t.low[at] == "and":
                again = number > 0 and self.heads[number - 1].link == "and"
                closes = (
                    t.low[at + 1] == "that"
                    and t.low[head.first] in ("'s", "is")
                    and t.low[head.at + 1 : head.at + 2] in (["it"], ["a"], ["us"], ["all"])
                )
                rest = t.low[at + 1 : at + 3] in (["the", "rest"], ["everything", "else"])
                pointed = (
                    head.subject is not None
                    and not head.subject.pronoun
                    and head.subject.determiner in {"that", "those", "this", "these"}
                )
                self._raise(at, 0.6 if pointed else 1.4 if closes else 0.6 if rest else 0.2 if again else -0.9)
        if head.link == "series":
            self._raise(head.first, 0.4)
        if head.link in {"and", "contact", "so", "sub", "series"}:
            return
        weight = MAIN_START
        if not head.command and head.starts:
            at = head.starts[0]
            if (
                t.low[at] == "that"
                and t.tag[head.at + 1 : head.at + 2] == ["NUM"]
                and at
                and t.low[at - 1] in MEASURES | {"thou"}
            ):
                weight = 0.2  # "forty thou, that's one millimetre"
            elif (
                head.subject is not None
                and head.subject.pronoun in ("they", "you", "it")
                and t.low[head.first] in ("'ll", "will")
                and self._warned(head)
            ):
                weight = 0.3
        if (
            head.starts
            and head.subject is not None
            and head.subject.pronoun
            and head.starts[0] > 1
            and t.low[head.starts[0] - 1] in FILLERS
        ):
            topic = self.ends_at.get(head.starts[0] - 1)
            if topic is not None and not topic.pronoun and topic.determiner and not self._governed(topic):
                self._raise(topic.first, weight)  # "the hinge screws uh they need …"
                weight = 0.2
        if head.subject is not None and head.subject.pronoun in ("i", "you", "we") and head.starts[0] in self.ends_at:
            topic = self.ends_at[head.starts[0]]
            if (
                not topic.pronoun
                and topic.determiner
                and not self._governed(topic)
                and head.at + 1 not in self.chunk_at
                and (t.tag[head.first] == "AUX" or t.low[head.first - 1] == "never")
            ):
                self._raise(topic.first, weight)
                weight = 0.2
        for rank, start in enumerate(head.starts):
            score = weight
            if rank:
                chunk = self.chunk_at.get(start)
                joined = chunk is not None and t.tag[chunk.last : chunk.last + 1] == ["CONJ"]
                score = (
                    weight - 0.05
                    if joined and not self._governed(chunk)
                    else weight - 0.3
                    if chunk is None or not self._governed(chunk)
                    else weight - 1.5
                )
            if not rank and start > 1 and t.tag[start - 1] == "PREP" and t.tag[start - 2] in ("NOUN", "ADJ", "NUM"):
                held = self.ends_at.get(start - 1)
                taken = held is not None and held.first > 0 and t.tag[held.first - 1] == "VERB"
                if self._particle(start - 1):
                    score += 0.3
                score -= (
                    1.2 if t.low[start - 1] in {"in", "on", "over", "through", "around", "along"} and not taken else 0.3
                )
            if (
                not rank
                and start
                and t.low[start - 1] in WITHIN
                and head.subject is not None
                and head.subject.pronoun in ("you", "there", "it")
            ):
                self._raise(start - 1, score)  # "inside you've got a spring"
                score -= 0.9
            at = self._with_adverbs(start)
            self._raise(at, score)
            if at != start:
                self._raise(start, score - 0.6)
            self._phrase_before(at, score, head)
        if not head.starts and not head.command:
            self._inverted(head)
        subject = head.subject
        if (
            subject is not None
            and not subject.pronoun
            and not head.command
            and head.starts[:1]
            and head.starts[0] in self.chunk_at
        ):
            subject = self.chunk_at[head.starts[0]]
            bare = subject.determiner is None
            lead = 0 if bare else 2
            for j in range(subject.first + 1, subject.last - 1):
                if t.tag[j] == "DET" and t.low[j] in {"the", "this", "that", "these", "those"}:
                    self._raise(j, MAIN_START)
            if bare or self._governed(subject):
                for j in range(subject.first + 1 + lead // 2, subject.last):
                    if (
                        f"{t.low[j - 1]} {t.low[j]}" not in self.words.terms or not bare and j + 1 < subject.last
                    ) and t.tag[j] in ("NOUN", "ADJ"):
                        self._raise(
                            j,
                            MAIN_START
                            - (
                                0.5
                                if not bare
                                and t.tag[subject.first - 1] == "PREP"
                                and t.low[subject.first - 1] not in ALONE
                                else 0.4 * (1 + lead)
                            ),
                        )

    def _warned(self, head: Head) -> bool:
        """ "never stand on the lid, you'll crack it": the consequence of what must not be done."""
        number = self.heads.index(head)
        before = self.heads[number - 1] if number else None
        return (
            before is not None
            and before.command
            and not before.link
            and ("NEG" in self.t.tag[max(0, before.first - 1) : before.at + 1])
        )

    def _with_adverbs(self, i: int) -> int:
        """Start of the discourse words and adverbs before a clause."""
        t = self.t
        if (
            i > 1
            and t.form[i - 1] in ("n", "dn")
            and i in self.chunk_at
            and t.tag[i - 2] not in {"AUX", "PRON", "ADV", "NOUN", "CONJ", "PREP", "VERB"}
        ):
            i -= 1
        one = t.low[i] in ("one", "ones")
        while one and i > 1 and t.tag[i - 1] in ("ADJ", "DET") and i - 1 not in self.chunk_of:
            i -= 1
        named = i in self.chunk_at and self.chunk_at[i].determiner is None and not self.chunk_at[i].pronoun
        if (
            named
            and i > 1
            and t.tag[i - 1] == "VERB"
            and self.words.of(t.low[i - 1]).thing
            and all(head.first != i - 1 for head in self.heads)
        ):
            return i - 1  # "vent screw gets …"
        while (
            i > 0
            and t.tag[i - 1] == "ADV"
            and t.low[i - 1] in {"just", "also", "carefully", "gently", "please", "always", "never"}
        ):
            i -= 1
        while i > 0 and t.tag[i - 1] == "NEG" and t.low[i - 1] == "never":
            i -= 1
        return i

    def _leading(self, head: Head) -> float:
        t = self.t
        at = head.opener_at or 0
        word = t.low[at] if t.low[at] not in {"even", "only", "just", "so"} else t.low[at + 1]
        score = LEADING.get(word, -1.5)
        if t.low[at] in {"even", "only", "so", "just"}:
            score -= 1.0
        if word == "where" and t.low[head.first] in {"is", "are", "has", "have", "'s"}:
            score = (
                1.4
                if at
                and t.tag[at - 1] not in ("VERB", "AUX")
                and (head.at > head.first or head.at + 1 in self.chunk_at)
                else -1.0
            )
        if word == "as" and t.low[at + 1 : at + 2] in (["soon"], ["long"]):
            score = 1.5
        named = head.subject is not None and not head.subject.pronoun
        if word in ("when", "before", "after") and head.at + 1 < len(t) and t.low[head.at + 1] == "back" and not named:
            score -= 0.5
        elif word in ("when", "once") and named:
            score += 0.5 if word == "when" else 0.3
        if (
            word == "when"
            and t.tag[head.first] == "VERB"
            and head.subject is not None
            and head.subject.pronoun in ("you", "we")
            and t.base[head.at] != "do"
        ):
            score += 0.6
        if (
            word in ("when", "before")
            and t.tag[head.first] == "AUX"
            and t.form[head.at] in ("n", "dn")
            and head.subject is not None
            and not head.subject.pronoun
        ):
            score += 0.4
        if word == "when" and head.subject is not None and head.subject.pronoun == "there":
            score += 0.4
        if word == "before" and head.subject is not None and head.subject.pronoun in {"i", "we", "anybody", "anyone"}:
            score += 0.8
        if word in ("while", "whilst") and (
            t.form[head.at] == "g" or t.low[head.at + 1 : head.at + 2] in (["apart"], ["off"], ["out"], ["open"])
        ):
            score += 0.5
        if word in ("when", "once") and t.low[head.first + 1 : head.first + 2] in (["done"], ["finished"], ["through"]):
            score -= 0.8
        if word in ("when", "once") and t.tag[head.at] == "AUX" and t.tag[head.at + 1 : head.at + 2] == ["PREP"]:
            score += 0.4
        if word == "that" or word in ("which", "who", "whose"):
            score = -3.0
        if (
            at > 0
            and t.tag[at - 1] == "VERB"
            and t.base[at - 1]
            in {"see", "check", "ask", "look", "tell", "test", "wonder", "mark", "note", "feel", "find", "show"}
            and word in {"if", "where", "how", "what", "why", "when"}
        ):
            score -= 1.5
        return score

    def _opener(self, i: int) -> None:
        t = self.t
        word = t.low[i]
        if (
            i + 1 < len(t)
            and f"{word} {t.low[i + 1]}" in TWO_WORD_OPENERS
            and t.tag[i + 2 : i + 3] not in (["CONJ"], ["PREP"])
            and (word != "this" or t.tag[i + 2 : i + 3] == ["PRON"])
        ):
            self._raise(i, 1.5)
            return
        if word == "with" and t.low[i + 1 : i + 3] in (["that", "done"], ["this", "done"]):
            self._raise(i, 1.7)
            return
        if i and f"{t.low[i - 1]} {word}" in TWO_WORD_OPENERS:
            return
        if word == "then" and i and t.tag[i - 1] == "PREP":
            return
        if word not in OPENERS or t.tag[i] not in {"INTJ", "ADV", "PRON", "NOUN", "VERB", "ADJ", "DET", "SUB"}:
            return
        if i in self.chunk_of and self.chunk_of[i].first != i:
            return
        score = OPENERS[word]
        after = t.low[i + 1] if i + 1 < len(t) else ""
        following = t.tag[i + 1] if i + 1 < len(t) else "END"
        if t.low[i + 1 : i + 3] == ["back", "together"] and word in {"right", "okay", "now", "so", "alright", "ok"}:
            self._raise(i, 1.6)
            self.latent.add(i)
            return
        if word == "right" and (after in FALSE_RIGHT or following in ("PART", "PREP") or t.tag[i] != "INTJ"):
            return
        if word in ("everybody", "everyone") and after not in ("now", "again", "else"):
            return
        if (
            word == "here"
            and after not in ("we", "you")
            or word == "next"
            and after in {"time", "week", "one", "month", "year"}
        ):
            return
        if word == "careful" and after not in {"you", "not", "with", "of", "there", "now", "the"}:
            return
        if word == "already" and after in ("i", "we"):
            score = 1.4
        if (
            word in ("now", "next")
            and following in ("PREP", "SUB")
            and any(i < head.first < i + 12 for head in self.heads)
        ):
            score += 0.4
        if word == "so":
            if after == "i" and not self._purpose(i):
                score += 0.8
            if t.form[i + 1 : i + 2] == ["g"]:
                score += 1.2
                self.latent.add(i)
            if after in {
                "now",
                "today",
                "first",
                "next",
                "uh",
                "um",
                "er",
                "this",
                "that's",
                "we",
                "here",
                "okay",
                "on",
                "for",
                "thank",
                "thanks",
            }:
                score += 1.0
            if i > 0 and (
                self._purpose(i) or after == "we" and t.low[i + 2 : i + 3] in (["'ve"], ["can"], ["have"], ["do"])
            ):
                score -= 1.0
            elif self.opening and 0 < i < INTRODUCTION and not self._takes_pointed(i):
                score += 0.8
        elif word == "then":
            if any(head.link == "series" and i < head.first < i + 3 for head in self.heads):
                score = 0.4
            if i > 0 and self._first_before(i):
                score -= 0.3 if following in ("VERB", "AUX") else 1.2
            if following not in {"VERB", "DET", "PRON", "AUX", "NUM", "ADV", "PREP", "NOUN", "ADJ", "INTJ", "SUB"}:
                score -= 1.0
        elif word in {"now", "next", "first", "today", "already", "afterwards", "otherwise", "thereafter", "well"}:
            if following in {"PART", "CONJ", "END", "PUNCT", "TO"} or (
                following == "PREP" and word not in ("now", "next", "first")
            ):
                score -= 1.5
            if word == "next" and t.tag[i] != "ADV":
                return
            if word == "first" and i in self.ends_at and t.tag[self.ends_at[i].first - 1] == "INTJ":
                score -= 1.5
            if word == "now" and following == "NUM" or word == "first" and after == "then":
                score -= 1.5
            if (
                word == "next"
                and i in self.ends_at
                and (
                    t.tag[self.ends_at[i].first - 1] == "INTJ"
                    or self.ends_at[i].determiner is None
                    and following == "VERB"
                )
            ):
                score -= 1.2
            if (
                word in {"next", "first", "already", "today"}
                and following == "SUB"
                or word == "today"
                and "already" in t.low[i + 1 : i + 4]
            ):
                score -= 1.5
            if (
                word in ("first", "today", "already")
                and following in ("VERB",)
                and t.form[i + 1] == "b"
                and word != "first"
            ):
                score -= 0.8
        if t.tag[i] == "ADV" and i > 0 and t.tag[i - 1] in ("AUX", "NEG"):
            return
        self._raise(i, score)

    def _takes_pointed(self, i: int) -> bool:
        """ "so take those off": an act on what was just named."""
        following = next((head for head in self.heads if head.first > i), None)
        if following is None or not following.command or following.first > i + 2:
            return False
        held = self.chunk_at.get(following.at + 1)
        return held is not None and held.pronoun is not None

    def _purpose(self, i: int) -> bool:
        low = self.t.low
        following = low[i + 1 : i + 6]
        if following[:1] in (["that"], ["as"], ["no"], ["nothing"]) and following[1:2] not in (["'s"], ["is"]):
            return True
        return bool({"n't", "can", "wo", "do", "does", "not", "never"} & set(following[1:4])) and following[:1] != [
            "do"
        ]

    def _first_before(self, i: int) -> bool:
        t = self.t
        return any(t.low[j] == "first" and t.tag[j] == "ADV" for j in range(max(0, i - 9), i))
