"""Clauses: each verb of an utterance with its subject, objects, particle, phrases of place and what opens it."""

from __future__ import annotations

from dataclasses import dataclass, field

from extract.language import grammar
from extract.language.context import Tagged
from extract.language.phrases import Chunk, Chunker
from extract.language.tagging import Tagger

#: Verbs that only carry another one: "you want to undo", "it needs undoing", "go ahead and lift".
_CATENATIVES = frozenset(
    [
        "want",
        "need",
        "have",
        "try",
        "go",
        "start",
        "begin",
        "remember",
        "like",
        "get",
        "help",
        "be",
        "continue",
        "proceed",
        "manage",
        "prefer",
        "intend",
        "plan",
        "ought",
        "use",
        "come",
        "run",
        "make",
    ]
)
_DIRECTION_PREPOSITIONS = frozenset(
    [
        "off",
        "from",
        "into",
        "onto",
        "out",
        "of",
        "to",
        "towards",
        "toward",
        "through",
        "over",
        "down",
        "up",
        "across",
        "past",
        "outta",
        "clear",
        "away",
    ]
)
_ALWAYS_DIRECTION = frozenset(["off", "from", "into", "onto", "towards", "toward", "outta"])


@dataclass(slots=True)
class PrepPhrase:
    """A preposition with its noun phrases: tokens `first` up to `last`; `chunks` may be empty ("by hand" has one)."""

    preposition: str
    chunks: list[Chunk]
    first: int
    last: int
    of: list[PrepPhrase] = field(default_factory=list)


@dataclass(slots=True)
class VerbPhrase:
    """One verb with all that hangs on it.

    `opener` is the word that opens its clause ("when", "before", "by", "so", "to", "which"), `opener_at` its
    token. `aux` holds the auxiliaries before the verb, `subject` the noun phrase before them. `joined` says
    that it goes on from the verb before it ("undo … and lift …").
    """

    at: int
    base: str
    form: str
    first: int
    last: int
    aux: list[str] = field(default_factory=list)
    negated: bool = False
    subject: Chunk | None = None
    subject_phrases: list[PrepPhrase] = field(default_factory=list)
    particle: str | None = None
    particle_at: int | None = None
    objects: list[Chunk] = field(default_factory=list)
    object_phrases: dict[int, list[PrepPhrase]] = field(default_factory=dict)
    phrases: list[PrepPhrase] = field(default_factory=list)
    adverbs: list[str] = field(default_factory=list)
    opener: str | None = None
    opener_at: int | None = None
    joined: bool = False
    carried_by: str | None = None
    question: bool = False
    sequel: list[Chunk] = field(default_factory=list)


@dataclass(slots=True)
class Parsed:
    """An utterance with its tags, noun phrases and verbs."""

    tagged: Tagged
    chunks: list[Chunk]
    verbs: list[VerbPhrase]
    chunk_at: dict[int, Chunk]

    def __len__(self) -> int:
        return len(self.tagged)


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

    # ------------------------------------------------------------------ verbs and what opens their clauses

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
                counted = chunk.noun in ("time", "moment") and chunk.determiner in ("every", "each", "any", "the")
                if counted and chunk.last < len(t) and t.tag[chunk.last] in ("DET", "PRON"):
                    opener, opener_at = "when", chunk.first
                    clause_start = chunk.last
                i = chunk.last
                continue
            if tag == "PUNCT":
                if word in (",", ";", ":", ".", "-", "–", "—", "?", "!", "…"):
                    clause_start = i + 1
                    opener, opener_at = None, None
            elif (
                tag == "SUB"
                or (tag == "ADV" and word == "once")
                or (
                    tag == "PREP"
                    and word
                    in (
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
                    )
                    and self._gerund_follows(t, i + 1)
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
                    verb.negated = verb.negated or carrier.negated
                    verb.first = carrier.first
                    verb.joined = carrier.joined
                    verb.question = verb.question or carrier.question
                    if verb.form == "g" or (not verb.objects and carrier.objects and verb.form in ("n", "dn")):
                        verb.objects = verb.objects or carrier.objects
                else:
                    verb.joined = bool(verbs) and self._is_joined(t, verbs[-1], verb)
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
    def _gerund_follows(t: Tagged, i: int) -> bool:
        while i < len(t) and t.tag[i] in ("ADV", "INTJ", "NEG", "DET"):
            if t.tag[i] == "DET" and t.low[i] not in ("the",):
                return False
            i += 1
        return i < len(t) and t.tag[i] == "VERB" and t.form[i] == "g"

    @staticmethod
    def _main_auxiliary(p: Parsed, i: int) -> bool:
        """Whether a form of be, have or do is the only verb of its clause ("there are two washers", "the nut is M8")."""
        t = p.tagged
        if t.low[i] not in grammar.BE and t.low[i] not in grammar.HAVE and t.low[i] not in ("got", "do"):
            return False
        j = i + 1
        while j < len(t) and t.tag[j] in ("AUX", "ADV", "NEG", "TO", "INTJ"):
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
            # "to break the seal and lift it away": what is done to the same part again is the next act.
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
        if (
            carrier.base in ("start", "begin", "finish", "carry")
            and verb.form == "g"
            and verb.opener in ("by", "with", None)
        ):
            return not [word for word in between if word not in ("by", "off", "with", "on")]
        if carrier.base == "go" and "ahead" in between and len(between) <= 3:
            return True
        if carrier.base == "be" or carrier.base == "make":
            return False
        if carrier.base == "go":
            return (between[:1] == ["to"] and carrier.form == "g") or (between == ["and"])
        if "to" in between:
            gap = [
                word
                for word in between
                if word != "to" and word not in grammar.ADVERBS and word not in ("uh", "um", "er")
            ]
            return not gap or (carrier.base in ("want", "need", "help", "get", "like") and len(gap) <= 4)
        if carrier.base in ("need", "want", "require", "get") and verb.form in ("g", "n", "dn"):
            return len(between) <= 1 or (
                carrier.base in ("get", "have") and verb.form in ("n", "dn") and len(between) <= 5
            )
        if carrier.base in ("help", "start", "begin", "stop", "continue") and verb.form in ("g", "b"):
            return len(between) <= 1
        return False

    # ------------------------------------------------------------------ one verb

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
        while j >= 0 and t.tag[j] in ("AUX", "NEG", "ADV", "TO", "INTJ", "PRON"):
            if t.tag[j] == "PRON":
                if not self._inverted(t, j):
                    break
                question = True
                j -= 1
                continue
            if j < clause_start and t.tag[j] not in ("AUX", "NEG"):
                break
            if t.tag[j] == "TO":
                if t.tag[j - 1 : j] != ["AUX"]:
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
        self._complements(p, verb)
        return verb

    @staticmethod
    def _inverted(t: Tagged, j: int) -> bool:
        """A question's subject between auxiliary and verb ("can you hear me"), or "don't you go …"."""
        return j > 0 and t.tag[j - 1] in ("AUX", "NEG") and t.low[j] in ("i", "you", "we", "they", "ye")

    def _subject(self, p: Parsed, verb: VerbPhrase, clause_start: int) -> None:
        t = p.tagged
        before = [chunk for chunk in p.chunks if chunk.last <= verb.first and chunk.first >= clause_start]
        if verb.negated and verb.aux[:1] == ["do"]:
            # "… onto cribbing don't ever get under there": a command, for "do" does not fit one part.
            before = [
                chunk
                for chunk in before
                if chunk.plural or chunk.pronoun in grammar.SUBJECT_PRONOUNS and chunk.pronoun != "it"
            ]
        for index, chunk in enumerate(before):
            governed = chunk.first > 0 and t.tag[chunk.first - 1] in ("PREP", "TO") and chunk.first - 1 >= clause_start
            if not governed and (index == 0 or t.tag[chunk.first - 1] != "CONJ" or verb.subject is None):
                verb.subject = chunk
                verb.subject_phrases = self._phrases_between(p, chunk.last, verb.first)
                break

    def _phrases_between(self, p: Parsed, first: int, last: int) -> list[PrepPhrase]:
        found: list[PrepPhrase] = []
        i = first
        while i < last:
            phrase = self._prep_phrase(p, i)
            if phrase is None or phrase.last > last:
                i += 1
                continue
            found.append(phrase)
            i = phrase.last
        return found

    def _prep_phrase(self, p: Parsed, i: int) -> PrepPhrase | None:
        t = p.tagged
        if i >= len(t) or t.tag[i] not in ("PREP", "TO"):
            return None
        preposition = t.low[i]
        j = i + 1
        if preposition in ("out", "away", "up", "down", "back", "over", "off", "in", "inside", "on") and t.low[
            j : j + 1
        ] in (["of"], ["from"], ["to"], ["onto"], ["into"], ["through"]):
            preposition = f"{preposition} {t.low[j]}"
            j += 1
        while j < len(t) and (t.tag[j] == "INTJ" or (t.tag[j] == "ADV" and j < i + 3)):
            j += 1
        chunk = p.chunk_at.get(j)
        if chunk is None:
            return None
        chunks = [chunk]
        last = chunk.last
        phrase = PrepPhrase(preposition, chunks, i, last)
        while True:
            if t.low[last : last + 1] == ["of"] and (last + 1) in p.chunk_at:
                inner = p.chunk_at[last + 1]
                phrase.of.append(PrepPhrase("of", [inner], last, inner.last))
                last = inner.last
            elif (
                t.tag[last : last + 1] == ["CONJ"] and (last + 1) in p.chunk_at and not self._clause_starts(p, last + 1)
            ):
                inner = p.chunk_at[last + 1]
                chunks.append(inner)
                last = inner.last
            else:
                break
        phrase.last = last
        return phrase

    def _clause_starts(self, p: Parsed, i: int) -> bool:
        """Whether the noun phrase at `i` is the subject of a verb that follows it ("and the pump is pulled …")."""
        t = p.tagged
        chunk = p.chunk_at.get(i)
        if chunk is None:
            return False
        j = chunk.last
        while j < len(t):
            if t.tag[j] in ("AUX",) or (
                t.tag[j] == "VERB" and t.form[j] in ("s", "d", "dn", "b", "n") and (t.form[j] != "n")
            ):
                return (
                    t.tag[j] == "AUX"
                    or t.form[j] in ("s", "d", "dn")
                    or (t.form[j] == "b" and (chunk.plural or chunk.kind == "person"))
                )
            if t.tag[j] in ("ADV", "NEG", "INTJ"):
                j += 1
                continue
            phrase = self._prep_phrase(p, j)
            if phrase is None or phrase.preposition not in ("of", "on", "in", "at", "round", "around", "with", "for"):
                return False
            j = phrase.last
        return False

    def _complements(self, p: Parsed, verb: VerbPhrase) -> None:
        """Objects, particle, adverbs and phrases after the verb, up to the next clause."""
        t = p.tagged
        i = verb.at + 1
        passive = verb.form in ("n", "dn", "d") and (
            any(word in grammar.BE for word in verb.aux)
            or (p.verbs and p.verbs[-1].base in ("have", "get") and p.verbs[-1].objects and p.verbs[-1].last == verb.first)
            or (verb.subject is not None and verb.subject.kind != "person" and not verb.aux)
        )  # fmt: skip
        while i < len(t):
            tag, word = t.tag[i], t.low[i]
            chunk = p.chunk_at.get(i)
            if chunk is not None and not (tag == "PRON" and word == "there"):
                if chunk.kind == "abstract" and chunk.noun == "time" and chunk.determiner in ("every", "each"):
                    break
                if verb.objects and i == verb.objects[-1].last and t.tag[i - 1] not in ("CONJ",):
                    if verb.objects[-1].kind == "person":  # "give me the …", "let us …"
                        verb.objects = []
                    elif verb.base in ("give", "hand", "get", "show", "tell") and len(verb.objects) == 1:
                        pass
                    else:
                        break
                if verb.phrases and not verb.objects and chunk.pronoun and self._clause_starts(p, i):
                    break
                if self._clause_starts(p, i) and (
                    verb.objects or verb.phrases or t.tag[verb.at] == "AUX" or verb.particle
                ):
                    break
                verb.objects.append(chunk)
                i = chunk.last
            elif tag == "PART" or (tag == "PREP" and self._is_particle(p, verb, i, passive)):
                if verb.particle is None or verb.particle in ("back", "straight", "right") or (
                    verb.particle in ("up", "down") and word in ("off", "out")):  # fmt: skip
                    if verb.particle in ("back",) and not verb.objects:
                        verb.adverbs.append(verb.particle)
                    verb.particle, verb.particle_at = word, i
                else:
                    verb.adverbs.append(word)
                i += 1
            elif tag in ("PREP", "TO"):
                phrase = self._prep_phrase(p, i)
                if phrase is None:
                    if tag == "PREP" and self._gerund_follows(t, i + 1):
                        break
                    if tag == "TO" and t.tag[i + 1 : i + 2] in (["VERB"], ["ADV"], ["AUX"]):
                        break
                    i += 1
                    continue
                if (
                    self._clause_starts(p, phrase.chunks[0].first)
                    and verb.objects
                    and phrase.preposition in ("on", "after", "before", "with")
                    and len(phrase.chunks) == 1
                    and t.tag[phrase.last : phrase.last + 1] == ["AUX"]
                ):
                    break
                if verb.objects and i == verb.objects[-1].last:
                    verb.object_phrases.setdefault(len(verb.objects) - 1, []).append(phrase)
                verb.phrases.append(phrase)
                i = phrase.last
            elif tag in ("ADV", "INTJ", "NEG"):
                if (
                    tag == "ADV"
                    and word in grammar.DISCOURSE_OPENERS
                    and word not in ("first",)
                    and (verb.objects or verb.phrases)
                ):
                    after = i + 1
                    if after < len(t) and (t.tag[after] == "VERB" or after in p.chunk_at):
                        break
                if tag == "ADV":
                    verb.adverbs.append(word)
                i += 1
            elif tag == "CONJ":
                following = i + 1
                while following < len(t) and t.tag[following] in ("ADV", "INTJ"):
                    following += 1
                if following in p.chunk_at and not self._clause_starts(p, following) and verb.objects:
                    i = self._add_object(p, verb, i, following)
                    continue
                if t.tag[following : following + 1] == ["PREP"] and self._prep_phrase(p, following) is not None:
                    i = following
                    continue
                break
            elif (
                word == ","
                and verb.objects
                and t.low[i + 1 : i + 2] == ["then"]
                and i + 2 in p.chunk_at
                and not self._clause_starts(p, i + 2)
            ):
                i = self._add_object(p, verb, i, i + 2)
            elif (
                word == ","
                and verb.objects
                and t.tag[i + 1 : i + 2] == ["CONJ"]
                and i + 2 in p.chunk_at
                and len(verb.objects) > 1
            ):
                if self._clause_starts(p, i + 2):
                    break
                i = self._add_object(p, verb, i, i + 2)
            elif word == "," and i + 1 in p.chunk_at and verb.objects and self._list_goes_on(p, i + 1):
                i = self._add_object(p, verb, i, i + 1)
            elif tag == "ADJ":
                verb.adverbs.append(word)
                i += 1
            else:
                break
        verb.last = i
        if len(verb.objects) > 1:
            # "open the valve half a turn": how far, not a second part.
            parts = [chunk for chunk in verb.objects if chunk.kind != "abstract"]
            verb.objects = parts or verb.objects

    @staticmethod
    def _add_object(p: Parsed, verb: VerbPhrase, joint: int, at: int) -> int:
        """Take the noun phrase at `at` as a further object; "then" before it makes it an act of its own."""
        chunk = p.chunk_at[at]
        verb.objects.append(chunk)
        if "then" in p.tagged.low[joint:at]:
            verb.sequel.append(chunk)
        return chunk.last

    def _list_goes_on(self, p: Parsed, i: int) -> bool:
        """ "the cover, the seal and the bolts": a comma between objects, not between clauses."""
        t = p.tagged
        chunk = p.chunk_at[i]
        j = chunk.last
        if self._clause_starts(p, i):
            return False
        phrase = self._prep_phrase(p, j)
        if phrase is not None and phrase.preposition in ("of", "from", "on", "in", "at", "for", "with"):
            j = phrase.last
        if t.low[j : j + 1] == [","] and t.tag[j + 1 : j + 2] == ["CONJ"]:
            j += 1
        if t.tag[j : j + 1] == ["CONJ"] and (j + 1) in p.chunk_at and not self._clause_starts(p, j + 1):
            return True
        if t.low[j : j + 1] == [","] and (j + 1) in p.chunk_at:
            return self._list_goes_on(p, j + 1)
        return (
            chunk.pronoun == "both"
            or (chunk.pronoun or "").startswith("both")
            or (chunk.pronoun or "").startswith("all")
        )

    def _is_particle(self, p: Parsed, verb: VerbPhrase, i: int, passive: bool) -> bool:
        """Whether a preposition right behind the verb is its particle ("switch off the operator", "take out both bolts")."""
        t = p.tagged
        word = t.low[i]
        if word not in grammar.PARTICLES or passive or verb.phrases or verb.particle not in (None, "back", "straight"):
            return False
        if verb.objects:
            # "… before you tap the seal in the cap screws go to …": the next noun phrase starts a clause of its own.
            sense = self.lexicon.verb_sense(verb.base, word)
            named = sense is not None and word in sense.particles
            told = not set(verb.aux) & grammar.HAVE
            return named and told and verb.particle is None and i + 1 in p.chunk_at and self._clause_starts(p, i + 1)
        if t.low[i + 1 : i + 2] in (["of"], ["from"]):
            return False
        if any(t.tag[j] not in ("ADV", "INTJ", "PART") for j in range(verb.at + 1, i)):
            return False
        sense = self.lexicon.verb_sense(verb.base, word)
        exact = sense is not None and word in sense.particles
        if not exact:
            return False
        # An -ing or -s form with a subject that moves by itself ("comes off the hub") takes no object.
        if (
            verb.base in ("come", "go", "sit", "fit", "slide", "drop", "fall")
            and verb.form in ("s", "g")
            and verb.subject is not None
        ):
            return False
        return i + 1 in p.chunk_at


def _auxiliary_base(word: str) -> str:
    if word in grammar.HAVE or word == "got":
        return "have"
    if word in grammar.DO:
        return "do"
    return "be"


def is_direction(phrase: PrepPhrase, moves: bool) -> bool:
    """Whether a phrase tells where a part is moved rather than which part it is; `moves`: the verb moves its object."""
    first = phrase.preposition.split()[0]
    if first in _ALWAYS_DIRECTION or phrase.preposition.endswith((" of", " from", " to", " into", " onto")):
        return True
    return moves and first in _DIRECTION_PREPOSITIONS
