"""Clause heads: which verbs of unpunctuated words make a clause, what their subject is, what they hang on."""

from __future__ import annotations

from extract.language import grammar
from extract.language.boundary_words import (
    BEFORE_CLAUSE,
    OPENERS,
    TAKES_CLAUSE,
    VOCATIVES,
)
from extract.language.clause_subjects import ClauseSubjects
from extract.language.clause_tokens import Head
from extract.language.context import Tagged
from extract.language.phrases import Chunk
from extract.language.word_classes import Words


class ClauseHeads(ClauseSubjects):
    """The verbs of a parse that make clauses, with where each clause can begin and what it hangs on."""

    def __init__(self, tagged: Tagged, chunks: list[Chunk], words: Words, opening: bool = False) -> None:
        super().__init__(tagged, chunks, words, opening)
        self.heads: list[Head] = []
        self._heads()

    def _heads(self) -> None:
        t = self.t
        i = 0
        while i < len(t):
            if t.tag[i] not in ("AUX", "VERB"):
                i += 1
                continue
            last = self._group(i)
            head = self._head(i, last)
            if head is not None:
                self.heads.append(head)
            i = last + 1

    def _group(self, first: int) -> int:
        """Last token of the verb group that begins at `first`."""
        t = self.t
        last, k = first, first + 1
        while k < len(t) and k < last + 4:
            tag = t.tag[k]
            if tag in ("ADV", "NEG", "INTJ") or (
                tag == "TO" and k + 1 < len(t) and t.tag[k + 1] in ("AUX", "VERB", "ADV")
            ):
                if tag == "TO" and not (
                    t.tag[last] == "AUX" or t.base[last] in {"have", "need", "want", "go", "try", "like", "be", "get"}
                ):
                    break
                if tag == "INTJ" and t.low[k] in OPENERS and t.low[k] not in ("well", "actually"):
                    break
                k += 1
                continue
            if tag in ("AUX", "VERB") and self._takes(last, k):
                last = k
                k += 1
                continue
            break
        return last

    def _takes(self, last: int, k: int) -> bool:
        """Whether the auxiliary or carrying verb `last` can govern the verb `k`."""
        t = self.t
        to = "TO" in t.tag[last + 1 : k]
        if t.tag[k] == "AUX":
            return t.tag[last] == "AUX" or to
        form = t.form[k]
        if to:
            return form == "b"
        if t.tag[last] == "VERB":
            return k == last + 1 and (
                (t.base[last] == "get" and form in ("n", "dn"))
                or (t.base[last] in {"keep", "start", "stop", "go", "need"} and form == "g")
                or (t.base[last] in {"help", "go", "come", "let"} and form == "b")
            )
        low = t.low[last]
        if low in ("'s", "s", "'d"):
            return form in {"n", "dn", "g", "d"} or (low == "'d" and form == "b")
        if low in grammar.BE:
            return form in {"n", "dn", "g", "d"}
        if low in grammar.HAVE:
            return form in ("n", "dn", "d")
        return form == "b" or t.form[k] not in ("s", "g")

    def _head(self, first: int, at: int) -> Head | None:
        t = self.t
        k = first
        while k > 0 and t.tag[k - 1] in ("ADV", "NEG") and not (t.low[k - 1] in OPENERS and t.tag[k - 1] == "ADV"):
            k -= 1
        before = t.tag[k - 1] if k else ""
        if before == "TO":
            return None
        form = t.form[first] if t.tag[first] == "VERB" else ""
        low = t.low[first]
        if form == "g" or low in ("been", "being", "having"):
            return None
        if before == "PREP" and form in ("n", "dn"):
            return None
        if (
            t.tag[first] == "AUX"
            and k
            and t.tag[k - 1] in ("PREP", "PART")
            and t.low[k - 1] in {"inside", "outside", "above", "below", "underneath", "behind"}
        ):
            k -= 1
        while (
            k > 0
            and t.tag[k - 1] in ("ADV", "NEG", "INTJ")
            and t.low[k - 1] in {"now", "then", "uh", "um", "er", "erm", "already", "actually", "normally"}
        ):
            k -= 1
        for start, goes_on in t.repairs:
            if start < k <= goes_on and k > 0 and t.tag[k - 1] == "INTJ":
                k = start
        subject = self.ends_at.get(k)
        invites = low == "have" and t.low[first + 1 : first + 2] == ["a"] and subject is None
        if low == "have" and t.low[first + 1 : first + 2] in (["someone"], ["somebody"]):
            invites = (
                subject is None or not subject.pronoun and not self._plural(subject)
            )  # "have someone take the weight"
            subject = None if invites else subject
        bare = (
            form == "b"
            or invites
            or low in ("let", "lemme", "be")
            or (low == "do" and t.tag[first + 1 : first + 2] == ["NEG"])
        )
        if form in ("n", "dn") and (subject is None or subject.pronoun not in grammar.SUBJECT_PRONOUNS):
            told = (
                subject is not None
                and subject.determiner
                and at + 1 in self.chunk_at
                and self.chunk_at[at + 1].determiner
                and not self._governed(subject)
            )
            listed = self.heads and t.low[self.heads[-1].first] in grammar.HAVE and first - self.heads[-1].at < 12
            if not told or listed:
                return None
        if low in VOCATIVES and first + 1 not in self.chunk_at or low == "place" and k and t.low[k - 1] == "in":
            return None
        if low == "time" and first and t.low[first - 1] in {"one", "next", "this", "last"}:
            return None
        word_class = self.words.of(low)
        if (
            bare
            and not word_class.work
            and word_class.tags[:1] in (("NOUN",), ("ADJ",))
            and k
            and t.tag[k - 1] in ("NOUN", "ADJ")
            and t.tag[at + 1 : at + 2] == ["NOUN"]
        ):
            return None
        if bare and self._owned(first, at):
            return None
        if bare and subject is not None and self._caused(subject):
            return None
        if subject is not None and subject.pronoun == "there" and t.low[first] not in grammar.AUXILIARIES:
            subject = None
        if bare and subject is not None:
            found = self._subject_of_bare(subject, first, at)
            command = found is None
            subject = found
        else:
            command = bare
        if command:
            starts = [next((j for j in (first - 1, first - 2) if j >= 0 and t.low[j] == "never"), first)]
        else:
            starts = self._subject_starts(subject, first) if subject is not None else []
            starts = self._before_relative(starts, first) or starts
            if not bare and (
                not starts
                or subject is not None
                and not subject.pronoun
                and t.tag[subject.first - 1] == "VERB"
                and self._governed(subject)
            ):
                starts = self._after_contact(first) or starts
            if subject is None and form != "s" and t.tag[first] == "VERB" and not bare:
                return None
        head = Head(first, at, command, starts, subject=subject)
        self._link(head, k)
        if command and not head.link and self._reported(first):
            head.link = "and"
        return head

    def _reported(self, first: int) -> bool:
        """ "i've drained the tank, put the lid on and taken the pump out": a participle that looks like a command."""
        t = self.t
        if "n" not in self.words.of(t.low[first]).forms or not self.heads:
            return False
        before = self.heads[-1]
        if t.low[before.first] not in grammar.HAVE or first - before.at > 9:
            return False
        return any(
            t.tag[i] == "CONJ" and t.form[i + 1] in ("n", "dn") for i in range(first, min(first + 9, len(t) - 1))
        )

    def _owned(self, first: int, at: int) -> bool:
        """ "with a felt wedge the door is held": a noun taken for a command before the subject of the next clause."""
        t = self.t
        after = self.chunk_at.get(at + 1)
        if (
            after is None
            or first == 0
            or t.tag[first - 1] not in ("NOUN", "ADJ")
            or not ({"NOUN", "ADJ"} & set(self.words.of(t.low[at]).tags))
        ):
            return False
        return after.last < len(t) and (t.tag[after.last] == "AUX" or t.form[after.last] == "s")

    def _before_relative(self, starts: list[int], first: int) -> list[int]:
        """ "the lids which are hinged here have …", "the slats inside are …": starts of what the clause in between tells about."""
        if not self.heads or self.heads[-1].link != "sub" or self.heads[-1].opener_at is None:
            return []
        relative = self.heads[-1]
        opener = relative.opener_at
        if (
            self.t.low[opener] not in {"that", "which", "who", "whose"}
            or first - opener > 14
            or opener not in self.ends_at
        ):
            return []
        if starts and self.chunk_at[starts[0]].pronoun in grammar.SUBJECT_PRONOUNS:
            return []
        if starts and starts[0] > relative.at and not self._governed(self.chunk_at[starts[0]]):
            return []
        return self._subject_starts(self.ends_at[opener], opener)

    def _after_contact(self, first: int) -> list[int]:
        """ "any tile you lift is …": a verb without subject shows that the clause before tells about a noun."""
        if (
            not self.heads
            or first == 0
            or self.t.low[first - 1] in {"that", "which", "who", "what"}
            or self.t.tag[first - 1] == "CONJ"
        ):
            return []
        contact = self.heads[-1]
        if (
            contact.link
            or contact.subject is None
            or not contact.subject.pronoun
            or contact.subject.first not in self.ends_at
            or first - contact.first > 10
        ):
            return []
        contact.link = "contact"
        return self._subject_starts(self.ends_at[contact.subject.first], contact.subject.first)

    def _link(self, head: Head, k: int) -> None:
        """What the clause of a head hangs on, from the word before it."""
        t = self.t
        way = self.ends_at.get(head.starts[0]) if head.starts and not head.command else None
        there = head.subject is not None and head.subject.pronoun == "there"
        if way is not None and way.noun == "way" and not there and t.low[way.first - 1] not in ("of", "in"):
            head.link = "contact"
            return
        if (
            way is not None
            and head.subject is not None
            and head.subject.pronoun == "that"
            and t.low[head.starts[0] - 1] in {"everything", "anything", "all", "something", "nothing"}
        ):
            head.link = "sub"  # "everything that turns"
            return
        places = [*head.starts, head.first, k]
        for place in places:
            i = place - 1
            while i >= 0 and t.tag[i] == "INTJ" and t.low[i] not in OPENERS:
                i -= 1
            if i < 0:
                continue
            word = t.low[i]
            if word == "that" and i > 0 and t.low[i - 1] == "so" and t.tag[i] == "PRON":
                head.link, head.opener_at = "sub", i - 1
                return
            if (
                word in {"how", "what", "where", "who", "why"}
                and place == head.first
                and t.tag[place] == "AUX"
                and t.tag[place + 1 : place + 2] == ["PRON"]
            ):
                head.starts = [i]
                return
            number = place in self.chunk_at and t.tag[place] == "NUM" and t.tag[self.chunk_at[place].last - 1] == "NUM"
            if word == "than" or word == "that" and i > 0 and t.tag[i - 1] == "PREP" or number and t.tag[i] == "SUB":
                continue
            if t.tag[i] == "SUB" and not (word == "that" and self._demonstrative(i)):
                head.link, head.opener_at = "sub", self._opener_start(i)
                return
            if (
                t.tag[i] == "PREP"
                and word in {"before", "after", "since", "until", "till", "like"}
                and place in head.starts
                and not head.command
            ):
                head.link, head.opener_at = "sub", i
                return
            if t.tag[i] == "CONJ" and (place in (head.first, k) or not self._joint_subject(place, i, head)):
                head.link = "and"
                return
            if word in {"so", "therefore", "hence", "whereupon"} and t.tag[i] == "ADV":
                head.link, head.opener_at = "so", i
            if t.tag[i] == "ADV" and i > 0 and t.tag[i - 1] == "CONJ":
                head.link = "and"
                return
            if (
                place == places[0]
                and not head.command
                and (t.tag[i] == "VERB" and t.base[i] in TAKES_CLAUSE and t.form[i] != "n" or word in BEFORE_CLAUSE)
            ):
                head.link = "sub"
                return
        if not head.command and not head.starts:
            # "that 's it": the demonstrative is its own subject.
            if head.first and t.low[head.first - 1] == "that" and t.tag[head.first - 1] == "SUB":
                head.starts = [head.first - 1]
            elif head.first + 1 in self.chunk_at and t.tag[head.first] == "AUX":
                head.starts = []
        subject = head.subject
        if (
            not head.link
            and subject is not None
            and subject.pronoun
            and t.low[subject.first - 1] in {"somewhere", "anywhere", "everywhere", "wherever"}
        ):
            head.link = "contact"
        if (
            not head.link
            and subject is not None
            and not subject.pronoun
            and subject.first > 1
            and t.tag[subject.first - 1] == "AUX"
            and t.low[subject.first - 2] == "there"
        ):
            head.link = "contact"  # "there's one cap sits on top"
        if (
            not head.link
            and subject is not None
            and subject.first in self.ends_at
            and (subject.pronoun or self.ends_at[subject.first].noun == "time")
        ):
            before = self.ends_at[subject.first]
            if self._contact(before, head):
                head.link = "contact"

    def _joint_subject(self, place: int, i: int, head: Head) -> bool:
        """ "the lid and the tray are …": the conjunction `i` joins two subjects of one verb."""
        t = self.t
        before = self.ends_at.get(i)
        if before is None or before.pronoun or place not in self.chunk_at or self.chunk_at[place].pronoun:
            return False
        plural = t.low[head.first] in {"are", "were", "have", "'ve", "'re", "do"} or t.form[head.first] == "b"
        modal = t.low[head.first] in grammar.MODALS
        return (plural or modal) and not self._governed(before)

    def _demonstrative(self, i: int) -> bool:
        t = self.t
        after = t.low[i + 1] if i + 1 < len(t) else ""
        if i + 1 < len(t) and t.form[i + 1] == "s":
            return i not in self.ends_at and i > 0 and t.tag[i - 1] not in ("VERB", "ADJ")
        if after not in {"'s", "is", "was", "'ll", "will", "are"}:
            return False
        if i not in self.ends_at or self._plural(self.ends_at[i]):
            return after != "are"
        return i + 2 < len(t) and (
            t.tag[i + 2] in ("DET", "NUM", "PRON") or t.low[i + 2] in {"why", "how", "what", "where"}
        )

    def _opener_start(self, i: int) -> int:
        t = self.t
        if i > 1 and t.low[i - 2] == "as" and t.low[i] == "as":
            return i - 2
        if i > 0 and t.low[i - 1] in {"even", "only", "just", "so", "ever", "order"}:
            return i - 1
        return i

    def _contact(self, before: Chunk, head: Head) -> bool:
        """ "the shelf it stood on", "any screw i haven't named": a clause about the noun before it, without "that"."""
        t = self.t
        if before.noun == "time" and before.determiner in ("every", "each", "any"):
            measured = t.low[head.at] in grammar.BE and t.tag[head.at + 1 : head.at + 2] == ["NUM"]
            return not measured and (
                head.subject is None or head.subject.determiner not in {"this", "that", "these", "those"}
            )
        if before.determiner is None and before.quantity is None and not before.pronoun:
            return False
        if t.low[head.at + 1 : head.at + 2] == ["from"] and head.at + 2 not in self.chunk_at:
            return True
        if (
            before.pronoun is None
            and not before.plural
            and before.noun
            in {"way", "time", "moment", "corner", "place", "order", "thing", "bit", "reason", "day", "point"}
        ):
            return before.noun == "way" or head.at + 1 not in self.chunk_at
        if t.low[before.last - 1] in {"everything", "anything", "all", "somewhere", "one", "ones"}:
            return (
                head.subject is not None
                and head.subject.pronoun in ("i", "you", "we")
                and head.at + 1 not in self.chunk_at
            )
        if (
            head.subject is None
            or head.subject.pronoun not in {"i", "you", "we", "they"}
            or t.low[head.first] in grammar.BE
        ):
            return False
        after = head.at + 1
        while after < len(t) and t.tag[after] in ("PART", "ADV"):
            after += 1
        if after in self.chunk_at or t.base[head.at] in {
            "come",
            "go",
            "be",
            "start",
            "step",
            "see",
            "know",
            "begin",
            "look",
        }:
            return False
        return t.tag[head.at] == "VERB" and (
            after >= len(t)
            or t.tag[after] in ("AUX", "VERB")
            or t.tag[after] == "PREP"
            and t.low[after] in {"for", "from", "with", "in"}
        )
