"""Clauses: each verb of an utterance with its subject, its auxiliaries and the word that opens its clause."""

from __future__ import annotations

from extract.language import grammar
from extract.language.complements import (
    Parsed,
    VerbPhrase,
    add_complements,
    gerund_follows,
    phrases_between,
)
from extract.language.context import Tagged
from extract.language.phrases import Chunker
from extract.language.tagging import Tagger

#: Verbs that only carry another one: "you want to undo", "it needs undoing", "go ahead and lift".
_CATENATIVES = frozenset(
    "want need have try go start begin remember like get help be continue proceed manage prefer intend plan ought "
    "use come run make forget".split()
)


_TELLERS = frozenset({"you", "we", "i", "ye"})
#: "the next step is to …", "the trick is to …"
_ANNOUNCED = frozenset("job step thing task move trick stage".split())
#: Verbs that tell something of a part rather than do something to it ("the ring you can use again").
_KNOWN = frozenset("use see need want have know find get buy hear feel notice call mean".split())
_DEFINITE = frozenset({"the", "this", "that", "these", "those", "both"})


class Parser:
    """Parses utterances with the words of one lexicon."""

    def __init__(self, tagger: Tagger) -> None:
        self.tagger = tagger
        self.lexicon = tagger.lexicon
        self.chunker = Chunker(tagger)

    def parse(self, text: str) -> Parsed:
        """Tag one utterance and find its noun phrases and verb phrases."""
        tagged = self.tagger.tag(text)
        chunks = self.chunker.chunks(tagged)
        by_first = {chunk.first: chunk for chunk in chunks}
        parsed = Parsed(tagged, chunks, [], by_first)
        self._verbs(parsed)
        return parsed

    def _verbs(self, p: Parsed) -> None:
        t = p.tagged
        clause_start = 0
        opener: str | None = None
        opener_at: int | None = None
        i = 0
        verbs = p.verbs
        while i < len(t):
            tag, word = t.tag[i], t.low[i]
            chunk = p.chunk_at.get(i)
            if chunk is not None:
                counted = chunk.noun in ("time", "moment") and chunk.determiner in {"every", "each", "any", "the"}
                if counted and chunk.last < len(t) and t.tag[chunk.last] in ("DET", "PRON"):
                    opener, opener_at = "when", chunk.first
                    clause_start = chunk.last
                i = chunk.last
                continue
            if tag == "PUNCT":
                if word in {",", ";", ":", ".", "-", "–", "—", "?", "!", "…"}:
                    clause_start = i + 1
                    opener, opener_at = None, None
            elif tag == "ADV" and word in ("so", "then", "now") and any(verb.at >= clause_start for verb in verbs):
                clause_start = i + 1
            elif (
                tag == "SUB"
                and word == "after"
                and i + 1 in p.chunk_at
                and p.chunk_at[i + 1].pronoun in ("this", "that")
            ):
                clause_start = i = i + 2  # "after this the cover can come off"
                opener, opener_at = None, None
                continue
            elif (
                tag == "SUB"
                or (tag == "ADV" and word == "once")
                or (
                    tag == "PREP"
                    and word
                    in {
                        "by",
                        "after",
                        "before",
                        "for",
                        "without",
                        "while",
                        "on",
                        "when",
                        "instead",
                        "from",
                        "with",
                        "in",
                    }
                    and gerund_follows(t, i + 1)
                )
            ):
                opener, opener_at = word, i
                clause_start = i + 1
            elif tag == "CONJ":
                verbless = not any(verb.at >= clause_start for verb in verbs)
                if not (
                    verbless and i + 1 in p.chunk_at and i > clause_start and any(chunk.last == i for chunk in p.chunks)
                ):
                    clause_start = i + 1
                if verbs:
                    opener, opener_at = None, None
            elif tag == "VERB" or (tag == "AUX" and self._main_auxiliary(p, i)):
                verb = self._verb_phrase(p, i, clause_start, opener, opener_at)
                if verbs and self._carries(p, verbs[-1], verb):
                    carrier = verbs.pop()
                    verb.carried_by = carrier.base
                    verb.opener, verb.opener_at = carrier.opener, carrier.opener_at
                    verb.subject = carrier.subject
                    verb.subject_phrases = carrier.subject_phrases
                    verb.aux = carrier.aux + verb.aux
                    verb.negated = verb.negated or carrier.negated and carrier.base != "forget"
                    verb.first = carrier.first
                    verb.joined = carrier.joined
                    verb.question = verb.question or carrier.question
                    if verb.form == "g" or (not verb.objects and carrier.objects and verb.form in ("n", "dn")):
                        verb.objects = verb.objects or carrier.objects
                else:
                    verb.joined = bool(verbs) and self._is_joined(t, verbs[-1], verb)
                    if verb.joined and verbs[-1].negated and {"or", "nor"} & set(t.low[verbs[-1].last : verb.first]):
                        verb.negated = True  # "never knotted or twisted"
                    if (
                        verb.joined
                        and not verb.aux
                        and verb.subject is None
                        and verb.form in ("n", "dn")
                        and set(verbs[-1].aux) & grammar.BE
                        and verbs[-1].form in ("n", "dn")
                    ):
                        verb.aux = list(verbs[-1].aux)  # "is lifted out and laid aside"
                    if verb.joined and verb.subject is None and verb.form in ("n", "dn") and set(verb.aux) & grammar.BE:
                        verb.subject = verbs[-1].subject
                        verb.subject_phrases = verbs[-1].subject_phrases
                    if verb.joined and verb.opener is None and self._inherits_opener(t, verbs[-1], verb):
                        verb.opener, verb.opener_at = verbs[-1].opener, verbs[-1].opener_at
                verbs.append(verb)
                i = max(i + 1, verb.last)
                clause_start = i
                if verb.opener != "to":
                    opener, opener_at = None, None
                continue
            i += 1

    @staticmethod
    def _main_auxiliary(p: Parsed, i: int) -> bool:
        """Whether a form of be, have or do is the only verb of its clause ("there are two washers", "the nut is M8")."""
        t = p.tagged
        if t.low[i] not in grammar.BE and t.low[i] not in grammar.HAVE and t.low[i] not in ("got", "do"):
            return False
        j = i + 1
        while j < len(t) and t.tag[j] in {"AUX", "ADV", "NEG", "TO", "INTJ"}:
            if t.tag[j] == "TO" and t.tag[j + 1 : j + 2] not in (["VERB"], ["AUX"], ["ADV"]):
                break
            j += 1
        if j < len(t) and t.tag[j] == "VERB":
            return False
        return not (i + 1 < len(t) and t.tag[i + 1] == "AUX")

    @staticmethod
    def _is_joined(t: Tagged, before: VerbPhrase, verb: VerbPhrase) -> bool:
        between = range(before.last, verb.first)
        return any(t.tag[j] == "CONJ" or t.low[j] in (",", "then") for j in between) and verb.opener is None

    @staticmethod
    def _inherits_opener(t: Tagged, before: VerbPhrase, verb: VerbPhrase) -> bool:
        """ "when you lift and turn it": a bare second verb after "and" stays in the clause of the first."""
        if before.opener is None:
            return False
        between = [t.low[j] for j in range(before.last, verb.first)]
        if "," in between:
            return False
        if before.opener == "to":
            # "to free the joint and lift it off": what is done to the same part again is the next act.
            return verb.form == before.form and not verb.objects
        if before.opener == "by" or before.carried_by:
            return verb.form == before.form
        return verb.form == before.form and verb.subject is None and before.subject is not None

    @staticmethod
    def _carries(p: Parsed, carrier: VerbPhrase, verb: VerbPhrase) -> bool:
        """Whether the verb before only carries this one."""
        t = p.tagged
        if carrier.base not in _CATENATIVES:
            return False
        between = [t.low[j] for j in range(carrier.at + 1, verb.at)]
        if carrier.base == "forget":
            return carrier.negated and between == ["to"]  # "don't forget to take the spacer off"
        if (
            carrier.base in {"start", "begin", "finish", "carry"}
            and verb.form == "g"
            and verb.opener in ("by", "with", None)
        ):
            return not [word for word in between if word not in {"by", "off", "with", "on"}]
        if carrier.base == "go" and "ahead" in between and len(between) <= 3:
            return True
        if carrier.base == "be" or carrier.base == "make":
            return False
        if carrier.base == "go":
            let_go = any(verb.base in grammar.CAUSATIVES and verb.last >= carrier.first for verb in p.verbs[:-1])
            return (between[:1] == ["to"] and carrier.form == "g") or (between == ["and"] and not let_go)
        if "to" in between:
            gap = [
                word
                for word in between
                if word != "to" and word not in grammar.ADVERBS and word not in ("uh", "um", "er")
            ]
            return not gap or (carrier.base in {"want", "need", "help", "get", "like"} and len(gap) <= 4)
        if carrier.base in {"need", "want", "require", "get"} and verb.form in ("g", "n", "dn"):
            return len(between) <= 1 or (
                carrier.base in ("get", "have") and verb.form in ("n", "dn") and len(between) <= 5
            )
        if carrier.base in {"help", "start", "begin", "stop", "continue"} and verb.form in ("g", "b"):
            return len(between) <= 1
        return False

    def _verb_phrase(
        self, p: Parsed, at: int, clause_start: int, opener: str | None, opener_at: int | None
    ) -> VerbPhrase:
        t = p.tagged
        first = at
        aux: list[str] = []
        negated = False
        to_infinitive = False
        question = False
        j = at - 1
        while j >= 0 and t.tag[j] in {"AUX", "NEG", "ADV", "TO", "INTJ", "PRON"}:
            if t.tag[j] == "PRON":
                if not self._inverted(t, j):
                    break
                question = True
                j -= 1
                continue
            if j < clause_start and t.tag[j] not in ("AUX", "NEG"):
                break
            if t.tag[j] == "TO":
                before = j - 1
                while before >= 0 and t.tag[before] in ("ADV", "NEG"):
                    before -= 1
                if before < 0 or t.tag[before] != "AUX":
                    to_infinitive = True
                    first = j
                    break
                aux.insert(0, "to")
            elif t.tag[j] == "AUX":
                aux.insert(0, t.low[j])
                first = j
            elif t.tag[j] == "NEG" or t.low[j] in ("never",):
                negated = True
                first = j
            elif t.low[j] in grammar.DISCOURSE_OPENERS and t.low[j] not in ("now", "then", "next"):
                break
            j -= 1
        base = t.base[at] if t.tag[at] == "VERB" else _auxiliary_base(t.low[at])
        verb = VerbPhrase(
            at,
            base,
            t.form[at] or "b",
            first,
            at + 1,
            aux,
            negated,
            opener=opener,
            opener_at=opener_at,
            question=question,
        )
        if to_infinitive and opener not in ("how",):
            verb.opener, verb.opener_at = "to", first
        if t.low[at + 1 : at + 2] and t.tag[at + 1] == "NEG":
            verb.negated = True
        self._subject(p, verb, clause_start)
        add_complements(p, verb, self.lexicon)
        if not verb.objects and verb.form == "b" and not verb.negated:
            self._object_before(p, verb)
        if self._announced(verb):
            verb.opener, verb.opener_at, verb.subject, verb.aux, verb.first = None, None, None, [], verb.at
        return verb

    @staticmethod
    def _announced(verb: VerbPhrase) -> bool:
        """ "what you do is take the bolts out", "the first job is to get the wheel off": commands, however announced."""
        if not {"is", "'s"} & set(verb.aux) or verb.form != "b":
            return False
        if verb.opener in ("what", "to") and "do" in verb.aux:
            return True
        return verb.aux[1:] == ["to"] and verb.subject is not None and verb.subject.noun in _ANNOUNCED

    @staticmethod
    def _object_before(p: Parsed, verb: VerbPhrase) -> None:
        """ "the cover you can pull down", "a shim, which you fish out": the object stands before the subject."""
        t = p.tagged
        teller = next((chunk for chunk in p.chunks if chunk.last <= verb.at < chunk.last + 4 and chunk.pronoun in _TELLERS
                       and all(t.tag[j] in ("AUX", "ADV") for j in range(chunk.last, verb.at))), None)  # fmt: skip
        if (
            teller is None
            or verb.base in _KNOWN
            or verb.opener not in (None, "which")
            or {"would", "'d", "could", "might"} & set(verb.aux)
        ):
            return
        named = [chunk for chunk in p.chunks if chunk.last <= teller.first and chunk.pronoun is None]
        if not named:
            return
        thing = named[-1]
        if verb.opener == "which":
            free = [chunk for chunk in named if t.tag[chunk.first - 1 : chunk.first] not in (["PREP"], ["TO"])]
            thing = free[-1] if free else thing  # "a spacer behind the hub, which …": the spacer
            meant = t.low[(verb.opener_at or 0) - 1 : verb.opener_at] == [","] and thing.kind not in (
                "person",
                "abstract",
            )
        else:
            # "the bolt you undo is the long one" tells which bolt: there the sentence goes on with its own verb.
            governed = t.tag[thing.first - 1 : thing.first] in (["PREP"], ["TO"], ["VERB"], ["CONJ"])
            ended = t.tag[verb.last : verb.last + 1] in ([], ["PUNCT"], ["CONJ"], ["SUB"])
            meant = thing.last == teller.first and thing.determiner in _DEFINITE and ended and not governed
        if meant:
            verb.subject, verb.subject_phrases, verb.objects = teller, [], [thing]
            verb.opener, verb.opener_at = None, None

    @staticmethod
    def _inverted(t: Tagged, j: int) -> bool:
        """A question's subject between auxiliary and verb ("can you hear me"), or "don't you go …"."""
        return j > 0 and t.tag[j - 1] in ("AUX", "NEG") and t.low[j] in {"i", "you", "we", "they", "ye"}

    def _subject(self, p: Parsed, verb: VerbPhrase, clause_start: int) -> None:
        t = p.tagged
        before = [chunk for chunk in p.chunks if chunk.last <= verb.first and chunk.first >= clause_start]
        if verb.negated and verb.aux[:1] == ["do"]:
            # "… onto the blocks don't ever crawl below": a command, for "do" does not fit one part.
            before = [
                chunk
                for chunk in before
                if chunk.plural or chunk.pronoun in grammar.SUBJECT_PRONOUNS and chunk.pronoun != "it"
            ]
        for index, chunk in enumerate(before):
            governed = chunk.first > 0 and t.tag[chunk.first - 1] in ("PREP", "TO") and chunk.first - 1 >= clause_start
            if not governed and (index == 0 or t.tag[chunk.first - 1] != "CONJ" or verb.subject is None):
                verb.subject = chunk
                verb.subject_phrases = phrases_between(p, chunk.last, verb.first)
                break


def _auxiliary_base(word: str) -> str:
    if word in grammar.HAVE or word == "got":
        return "have"
    if word in grammar.DO:
        return "do"
    return "be"
