"""What hangs on a verb: objects, particle, adverbs and prepositional phrases, up to the next clause."""

from __future__ import annotations

from dataclasses import dataclass, field

from extract.language import grammar
from extract.language.context import Tagged
from extract.language.phrases import Chunk
from extract.lexicon import Lexicon

_DIRECTION_PREPOSITIONS = frozenset(
    "off from into onto out of to towards toward through over down up across past outta clear away".split()
)
_WHO_ACTS = frozenset({"i", "you", "we", "they", "he", "she", "ye"})
#: "pull the comb out and after that the plug", "lift the hand off and with it the collet"
_AFTER_IT = (["after", "that"], ["after", "this"], ["with", "it"], ["with", "that"], ["with", "them"])
_ALWAYS_DIRECTION = frozenset(["off", "from", "into", "onto", "towards", "toward", "outta"])


@dataclass(slots=True, eq=False)
class PrepPhrase:
    """A preposition with its noun phrases: tokens `first` up to `last`; `chunks` may be empty ("by hand" has one)."""

    preposition: str
    chunks: list[Chunk]
    first: int
    last: int
    of: list[PrepPhrase] = field(default_factory=list)


@dataclass(slots=True, eq=False)
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


@dataclass(slots=True, eq=False)
class Parsed:
    """An utterance with its tags, noun phrases and verbs."""

    tagged: Tagged
    chunks: list[Chunk]
    verbs: list[VerbPhrase]
    chunk_at: dict[int, Chunk]

    def __len__(self) -> int:
        return len(self.tagged)


def is_direction(phrase: PrepPhrase, moves: bool) -> bool:
    """Whether a phrase tells where a part is moved rather than which part it is; `moves`: the verb moves its object."""
    first = phrase.preposition.split()[0]
    if first in _ALWAYS_DIRECTION or phrase.preposition.endswith((" of", " from", " to", " into", " onto")):
        return True
    return moves and first in _DIRECTION_PREPOSITIONS


def gerund_follows(t: Tagged, i: int) -> bool:
    while i < len(t) and t.tag[i] in {"ADV", "INTJ", "NEG", "DET"}:
        if t.tag[i] == "DET" and t.low[i] not in ("the",):
            return False
        i += 1
    return i < len(t) and t.tag[i] == "VERB" and t.form[i] == "g"


def prep_phrase(p: Parsed, i: int) -> PrepPhrase | None:
    t = p.tagged
    if i >= len(t) or t.tag[i] not in ("PREP", "TO"):
        return None
    preposition = t.low[i]
    j = i + 1
    if preposition in {"out", "away", "up", "down", "back", "over", "off", "in", "inside", "on"} and t.low[
        j : j + 1
    ] in (["of"], ["from"], ["to"], ["onto"], ["into"], ["through"]):
        preposition = f"{preposition} {t.low[j]}"
        j += 1
    while j < len(t) and (t.tag[j] == "INTJ" or (t.tag[j] == "ADV" and j < i + 3)):
        j += 1
    chunk = p.chunk_at.get(j)
    if chunk is None:
        return None
    if chunk.pronoun in _WHO_ACTS and t.tag[chunk.last : chunk.last + 1] in (["AUX"], ["VERB"]):
        return None  # "once the bolts are out | you can lift the lid"
    chunks = [chunk]
    last = chunk.last
    phrase = PrepPhrase(preposition, chunks, i, last)
    while True:
        if t.low[last : last + 1] == ["of"] and (last + 1) in p.chunk_at:
            inner = p.chunk_at[last + 1]
            phrase.of.append(PrepPhrase("of", [inner], last, inner.last))
            last = inner.last
        elif (
            t.tag[last : last + 1] == ["CONJ"]
            and (last + 1) in p.chunk_at
            and t.low[last + 1] != "nothing"
            and not clause_starts(p, last + 1)
        ):
            inner = p.chunk_at[last + 1]
            chunks.append(inner)
            last = inner.last
        else:
            break
    phrase.last = last
    return phrase


def phrases_between(p: Parsed, first: int, last: int) -> list[PrepPhrase]:
    found: list[PrepPhrase] = []
    i = first
    while i < last:
        phrase = prep_phrase(p, i)
        if phrase is None or phrase.last > last:
            i += 1
            continue
        found.append(phrase)
        i = phrase.last
    return found


def clause_starts(p: Parsed, i: int) -> bool:
    """Whether the noun phrase at `i` is the subject of a verb that follows it ("and the pump is pulled …")."""
    t = p.tagged
    chunk = p.chunk_at.get(i)
    if chunk is None:
        return False
    j = chunk.last
    while j < len(t):
        if t.tag[j] in ("AUX",) or (
            t.tag[j] == "VERB" and t.form[j] in {"s", "d", "dn", "b", "n"} and (t.form[j] != "n")
        ):
            return (
                t.tag[j] == "AUX"
                or t.form[j] in ("s", "d", "dn")
                or (t.form[j] == "b" and (chunk.plural or chunk.kind == "person"))
            )
        if t.low[j] in {"so", "then", "now", "next"}:
            return False
        if t.tag[j] in ("ADV", "NEG", "INTJ"):
            j += 1
            continue
        phrase = prep_phrase(p, j)
        if phrase is None or phrase.preposition not in {"of", "on", "in", "at", "round", "around", "with", "for"}:
            return False
        j = phrase.last
    return False


def add_complements(p: Parsed, verb: VerbPhrase, lexicon: Lexicon) -> None:
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
                elif verb.base in {"give", "hand", "get", "show", "tell"} and len(verb.objects) == 1:
                    pass
                else:
                    break
            if verb.phrases and not verb.objects and chunk.pronoun and clause_starts(p, i):
                break
            if clause_starts(p, i) and (verb.objects or verb.phrases or t.tag[verb.at] == "AUX" or verb.particle):
                break
            verb.objects.append(chunk)
            i = chunk.last
        elif tag == "PART" or (tag == "PREP" and _is_particle(p, verb, i, passive, lexicon)):
            if verb.particle is None or verb.particle in ("back", "straight", "right") or (
                verb.particle in ("up", "down") and word in ("off", "out")):  # fmt: skip
                if verb.particle in ("back",) and not verb.objects:
                    verb.adverbs.append(verb.particle)
                verb.particle, verb.particle_at = word, i
            else:
                verb.adverbs.append(word)
            i += 1
        elif tag in ("PREP", "TO"):
            phrase = prep_phrase(p, i)
            if phrase is None:
                if tag == "PREP" and gerund_follows(t, i + 1):
                    break
                if tag == "TO" and t.tag[i + 1 : i + 2] in (["VERB"], ["ADV"], ["AUX"]):
                    break
                i += 1
                continue
            if (
                clause_starts(p, phrase.chunks[0].first)
                and verb.objects
                and phrase.preposition in {"on", "after", "before", "with"}
                and len(phrase.chunks) == 1
                and t.tag[phrase.last : phrase.last + 1] == ["AUX"]
            ):
                break
            if verb.objects and i == verb.objects[-1].last:
                verb.object_phrases.setdefault(len(verb.objects) - 1, []).append(phrase)
            verb.phrases.append(phrase)
            i = phrase.last
        elif tag in ("ADV", "INTJ", "NEG"):
            subject = p.chunk_at.get(i + 1)
            if word == "so" and subject is not None and t.tag[subject.last : subject.last + 1] in (["VERB"], ["AUX"]):
                break  # "the hose has perished | so it wants replacing"
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
            if t.low[following : following + 2] in _AFTER_IT and verb.objects:
                following += 2
            if following in p.chunk_at and not clause_starts(p, following) and verb.objects:
                i = _add_object(p, verb, i, following)
                continue
            if t.tag[following : following + 1] == ["PREP"] and prep_phrase(p, following) is not None:
                i = following
                continue
            break
        elif (
            word == ","
            and verb.objects
            and t.low[i + 1 : i + 2] == ["then"]
            and i + 2 in p.chunk_at
            and not clause_starts(p, i + 2)
        ):
            i = _add_object(p, verb, i, i + 2)
        elif (
            word == ","
            and verb.objects
            and t.tag[i + 1 : i + 2] == ["CONJ"]
            and i + 2 in p.chunk_at
            and (len(verb.objects) > 1 or p.chunk_at[i + 2].determiner and _ends_clause(p, p.chunk_at[i + 2].last))
        ):
            if clause_starts(p, i + 2):
                break
            i = _add_object(p, verb, i, i + 2)
        elif word == "," and i + 1 in p.chunk_at and verb.negated and not verb.objects and not clause_starts(p, i + 1):
            verb.objects.append(p.chunk_at[i + 1])  # "loosen, but do not remove, the nuts"
            i = p.chunk_at[i + 1].last
        elif word == "," and i + 1 in p.chunk_at and verb.objects and _list_goes_on(p, i + 1):
            i = _add_object(p, verb, i, i + 1)
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
        verb.sequel = [chunk for chunk in verb.sequel if chunk in verb.objects]


def _ends_clause(p: Parsed, i: int) -> bool:
    return p.tagged.tag[i : i + 1] in ([], ["PUNCT"], ["SUB"])


def _add_object(p: Parsed, verb: VerbPhrase, joint: int, at: int) -> int:
    """Take the noun phrase at `at` as a further object; "then" or "after that" before it makes it an act of its own."""
    chunk = p.chunk_at[at]
    verb.objects.append(chunk)
    if {"then", "after"} & set(p.tagged.low[joint:at]):
        verb.sequel.append(chunk)
    return chunk.last


def _list_goes_on(p: Parsed, i: int) -> bool:
    """ "the cover, the seal and the bolts": a comma between objects, not between clauses."""
    t = p.tagged
    chunk = p.chunk_at[i]
    j = chunk.last
    if clause_starts(p, i):
        return False
    phrase = prep_phrase(p, j)
    if phrase is not None and phrase.preposition in {"of", "from", "on", "in", "at", "for", "with"}:
        j = phrase.last
    bare = chunk.determiner is None and i > 2 and t.low[i - 1] == "," and chunk.pronoun is None
    if bare and t.tag[j : j + 1] in (["PREP"], ["PUNCT"], []) and t.low[j : j + 1] != [","] and t.tag[i - 2] == "NOUN":
        before = next((other for other in p.chunks if other.last == i - 1), None)
        if before is not None and before.determiner is None and before.pronoun is None:
            return True  # "remove retainer, key, adjusting nut from spindle"
    if t.low[j : j + 1] == [","] and t.tag[j + 1 : j + 2] == ["CONJ"]:
        j += 1
    if t.tag[j : j + 1] == ["CONJ"] and (j + 1) in p.chunk_at and not clause_starts(p, j + 1):
        return True
    if t.low[j : j + 1] == [","] and (j + 1) in p.chunk_at:
        return _list_goes_on(p, j + 1)
    return (
        chunk.pronoun == "both" or (chunk.pronoun or "").startswith("both") or (chunk.pronoun or "").startswith("all")
    )


def _is_particle(p: Parsed, verb: VerbPhrase, i: int, passive: bool, lexicon: Lexicon) -> bool:
    """Whether a preposition right behind the verb is its particle ("switch off the operator", "take out both bolts")."""
    t = p.tagged
    word = t.low[i]
    if word not in grammar.PARTICLES or passive or verb.phrases or verb.particle not in (None, "back", "straight"):
        return False
    if verb.objects:
        # "… before you press the bush in the guard bolts go to …": the next noun phrase starts a clause of its own.
        sense = lexicon.verb_sense(verb.base, word)
        named = sense is not None and word in sense.particles
        told = not set(verb.aux) & grammar.HAVE
        return named and told and verb.particle is None and i + 1 in p.chunk_at and clause_starts(p, i + 1)
    if t.low[i + 1 : i + 2] in (["of"], ["from"]):
        return False
    if any(t.tag[j] not in ("ADV", "INTJ", "PART") for j in range(verb.at + 1, i)):
        return False
    sense = lexicon.verb_sense(verb.base, word)
    exact = sense is not None and word in sense.particles
    if not exact:
        return False
    # An -ing or -s form with a subject that moves by itself ("comes off the hub") takes no object.
    if (
        verb.base in {"come", "go", "sit", "fit", "slide", "drop", "fall"}
        and verb.form in ("s", "g")
        and verb.subject is not None
    ):
        return False
    return i + 1 in p.chunk_at
