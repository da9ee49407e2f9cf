"""What the words of a condition say: which sort of machine, or which part that only some have."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace

from extract.findings import condition_names as names
from extract.findings.condition_axes import Meaning, axis_of, guarded, year_of_age, year_told_before
from extract.findings.condition_text import NAMING, Sentence, rules_for
from extract.language.phrases import Chunk
from extract.rules import Rule

#: Nouns that stand for the machine, or for one sort of it.
_SORTS = frozenset({
    "machine", "one", "version", "model", "type", "kind", "sort", "variant", "style",
    "edition", "spec", "pattern", "series", "build", "setup", "arrangement", "design", "unit",
})  # fmt: skip
#: Words behind a noun phrase that tell what was done to it: "if you've got the cover off".
_RESULT = frozenset(
    {"off", "out", "loose", "apart", "undone", "free", "clear", "back", "away", "open", "left", "stuck"}
)
_BOUGHT = frozenset({"ordered", "specified", "supplied", "delivered"})
_SECOND_SUBJECT = frozenset({"you", "ye", "y'all", "we"})
#: Kinds of things that a machine has, or has not, without being of another sort.
_NO_EQUIPMENT = frozenset({"person", "fluid", "material", "place", "abstract"})
#: "if you've got a magnet, fish it out with that": what is used for the work is no sort of machine.
_USED = re.compile(r"\b(?:with|use|using) (?:it|that|this|one|them|those)\b")
_KILOWATTS = re.compile(r"\bkilowatts?\b")
#: Dimensions by their comparatives.
_DIMENSIONS = {
    "wider": "width", "narrower": "width", "longer": "length", "shorter": "length", "taller": "height",
    "higher": "height", "heavier": "weight", "lighter": "weight", "deeper": "depth",
}  # fmt: skip


def read_meaning(
    sentence: Sentence, rule: Rule, match: re.Match[str], known: Sequence[Meaning], announced: int
) -> tuple[Meaning | None, int]:
    """The condition that `match` opens and where its words end in the plain text.

    `announced` is where the words of an announcement end, -1 without one.
    """
    read = rule.text("read")
    at = sentence.token(match.end())
    groups = match.groupdict()
    meaning: Meaning | None = None
    last = match.end()
    if groups.get("subject") and not _one_phrase(sentence, match):
        return None, last
    sized = names.sized_at(sentence, match.end()) if read == "identity" else None
    if sized is not None:
        meaning, last = sized
    elif read == "absent":
        gone = next((chunk for chunk in sentence.parsed.chunks if chunk.first <= at < chunk.last), None)
        meaning = next(
            (one for one in reversed(known) if gone and one.kind == "option" and one.head == gone.noun), None
        )
    elif read == "group":
        meaning = _from_group(sentence, rule, match)
    elif read == "rated":
        meaning = _from_rating(sentence, match)
    elif read == "relative":
        meaning = year_told_before(groups["value"], known)
    elif read == "age":
        meaning = year_of_age(groups["value"], known)
    elif read == "object":
        meaning = _from_object(sentence, match)
    else:
        chunk = _phrase_at(sentence, at)
        if read == "fitted" and not _is_sort(sentence, groups["subject"]):
            return None, last
        if read == "ordered" and chunk is not None:
            chunk = replace(chunk, kind="part")  # what a buyer chooses is a part of the machine, whatever its name
        if read == "ordered" or read == "owned" or read == "fitted" or read == "part":
            meaning = _owned(sentence, chunk, match.group(), known)
        elif read == "identity":
            meaning = _identity(sentence, at, chunk, match.group(), known)
        elif read == "variant":
            meaning = _variant_here(sentence, rule, match, at, chunk, known, announced)
        elif read == "sort" and chunk is not None and chunk.kind in ("part", "seal", "fastener"):
            meaning = _of_the_sort(sentence, chunk)
        elif read == "contrast" and chunk is not None:
            meaning = _sibling(sentence, chunk, known)
        if meaning is not None and chunk is not None:
            last = max(last, next((s for s, token in sentence.starts if token >= chunk.last), len(sentence.plain)))
            value = sentence.plain.find(meaning.value.lower(), match.start())
            last = max(last, value + len(meaning.value)) if value >= 0 else last
    if meaning is not None and rule.fields.get("negated"):
        meaning = replace(meaning, negated=read == "absent" or not meaning.negated)
    return meaning, last


def _one_phrase(sentence: Sentence, match: re.Match[str]) -> bool:
    """Whether the words of the subject are one noun phrase, and not "undo bolts"."""
    t = sentence.t
    chunk = sentence.parsed.chunk_at.get(sentence.token(match.start("subject")))
    last = chunk.last if chunk is not None else 0
    last += names.stands_for_one(t, last)
    behind = range(last, sentence.token(match.end("subject")))
    return chunk is not None and all(t.tag[i] == "VERB" and "n" in (t.form[i] or "") for i in behind)


def _phrase_at(sentence: Sentence, at: int) -> Chunk | None:
    """The noun phrase at a token, without what stands before it; words that name a variant make one by themselves."""
    t = sentence.t
    while at < len(t) and (t.tag[at] == "INTJ" or t.low[at] in ("just", "only", "actually", "really")):
        at += 1
    if at >= len(t):
        return None
    named = names.sort_named(t, at) or names.compound_at(sentence, at)
    if named is not None:
        return named
    chunk = sentence.parsed.chunk_at.get(at)
    behind = (
        t.tag[chunk.last : chunk.last + 1]
        if chunk is not None and t.low[chunk.last : chunk.last + 1] != ["there"]
        else []
    )
    if chunk is not None and chunk.head > chunk.first + 1 and behind in (["DET"], ["PRON"]):
        name = " ".join(t.low[chunk.first + 1 : chunk.head])
        if chunk.determiner and any(
            rule.id in NAMING and rule.pattern.fullmatch(name) for rule in rules_for("axis").near(name)
        ):
            # "on the automatic pull the lines off": what looks like the head is the verb of the sentence.
            return replace(chunk, last=chunk.head, head=chunk.head - 1, noun=t.low[chunk.head - 1], kind="unknown")
    if chunk is not None and chunk.pronoun is None and names.stands_for_one(t, chunk.last):
        # "the three-blade one": the parser takes "three-blade" for the head.
        return replace(chunk, last=chunk.last + 1, head=chunk.last, noun="one", kind="unknown")
    if (
        chunk is not None
        and not (chunk.pronoun and (chunk.quantity or 0) > 1)
        and (t.tag[at] != "DET" or chunk.last > at + 1)
    ):
        return chunk
    inside = next((one for one in sentence.parsed.chunks if one.first < at < one.last), None)
    if inside is not None:
        return replace(inside, first=at, determiner=None)
    determiner = t.low[at] if t.tag[at] == "DET" else None
    name = at + 1 if determiner else at
    for last in range(min(name + 3, len(t)), name, -1):
        rest = " ".join(t.low[name:last])
        if any(rule.id in NAMING and rule.pattern.fullmatch(rest) for rule in rules_for("axis").near(rest)):
            noun = sentence.lexicon.singular(t.low[last - 1])
            return Chunk(at, last, last - 1, t.phrase(name, last), noun, determiner=determiner)
    after = sentence.parsed.chunk_at.get(name + 1)
    if after is None or after.determiner or after.quantity or after.pronoun and not _is_sort_noun(sentence, after):
        return None
    participle = t.tag[name] == "VERB" and "n" in (t.form[name] or "")
    if participle or determiner and t.tag[name] in ("ADJ", "PART", "ADV", "VERB", "PREP"):
        return replace(after, first=at, determiner=determiner)
    return None


def _is_sort_noun(sentence: Sentence, chunk: Chunk) -> bool:
    return sentence.lexicon.singular(sentence.t.low[chunk.head]) in _SORTS


def _from_group(sentence: Sentence, rule: Rule, match: re.Match[str]) -> Meaning | None:
    groups = match.groupdict()
    value = re.sub(r"(\d)(?=mm\b|cm\b|kg\b|kw\b)", r"\1 ", " ".join(groups["value"].split()))
    value = _KILOWATTS.sub("kw", value)
    axis: str | None = rule.text("axis") or None
    if axis == "year":
        value = re.sub(r"\b(?:the |model )*year |including (?:the )?", "", value.replace("-", " "))
        return Meaning("variant", axis, value, family="year")
    if axis == "series":
        return Meaning("variant", axis, value, family="series")
    if rule.id == "open.part-fitted":
        return None if guarded(value) else Meaning("option", None, value, head=value.split()[-1])
    subject = groups["subject"].split()
    chunk = _phrase_at(sentence, sentence.token(match.start("subject")))
    if chunk is None or chunk.kind in ("fastener", "fluid", "material", "tool"):
        return None
    noun = sentence.lexicon.singular(subject[-1])
    if subject[0] == "the" and noun == subject[-1] or noun not in _SORTS and noun == subject[-1]:
        return None
    dimension = groups.get("axis") or "size"
    dimension = _DIMENSIONS.get(dimension, dimension).split()[-1]
    return Meaning("variant", f"{noun} {dimension}", value, head=noun, family="measure")


def _from_rating(sentence: Sentence, match: re.Match[str]) -> Meaning | None:
    """ "the 1.5 kW motor", "a six metre boom": a machine or a part of it, never a tool, named by its size."""
    noun = sentence.lexicon.singular(match.group("noun"))
    term = sentence.lexicon.term(noun)
    if noun not in _SORTS and (term is None or term.kind not in ("machine", "assembly")):
        return None
    value = _KILOWATTS.sub("kw", match.group("value"))
    return Meaning("variant", noun if noun not in _SORTS else "size", value, head=noun, family="measure")


def _from_object(sentence: Sentence, match: re.Match[str]) -> Meaning | None:
    """ "undo the strap, if fitted": the part named last before, else the first one after."""
    start = sentence.token(match.start())
    end = sentence.token(match.end())
    things = [
        chunk
        for chunk in sentence.parsed.chunks
        if chunk.pronoun is None and chunk.kind in ("part", "fastener", "seal", "unknown", "machine")
    ]
    before = [
        chunk for verb in sentence.parsed.verbs for chunk in verb.objects if chunk.last <= start and chunk in things
    ]
    before = before or [chunk for chunk in things if chunk.last <= start]
    after = [chunk for chunk in things if chunk.first >= end]
    chosen = before[-1] if before else after[0] if after else None
    if chosen is None:
        return None
    return Meaning("option", None, " ".join(sentence.words(chosen)), head=chosen.noun)


def _is_sort(sentence: Sentence, subject: str) -> bool:
    """Whether "on … with" speaks of a sort of machine: a bare plural, or "the ones"."""
    words = [word for word in subject.split() if word not in _BOUGHT]
    last = words[-1]
    noun = sentence.lexicon.singular(last)
    term = sentence.lexicon.term(noun)
    if noun in _SORTS or (term is not None and term.kind == "machine"):
        return True
    if (
        noun == last
        or words[0] in ("the", "these", "those")
        or term is not None
        and term.kind in ("fastener", "seal", "tool", "fluid", "material")
    ):
        return False
    return (
        sentence.lexicon.english.get(last) is None
        or term is not None
        or "N" in str(sentence.lexicon.english[last].classes)
    )


def _owned(sentence: Sentence, chunk: Chunk | None, said: str, known: Sequence[Meaning]) -> Meaning | None:
    """What a machine has: a sort of part ("the upright exhaust"), or a part that others lack ("an oil feed pipe")."""
    t = sentence.t
    if chunk is None or chunk.vague or chunk.determiner in ("any", "no", "every", "each", "your", "my", "his"):
        return None
    after = t.low[chunk.last : chunk.last + 1]
    if after in (["in"], ["on"], ["under"]) and t.low[chunk.last + 1 : chunk.last + 2] in (["your"], ["front"]):
        return None  # "if you have the cover in your hand"
    if after and (after[0] in _RESULT or t.tag[chunk.last] == "PART"):
        return None
    if _is_sort_noun(sentence, chunk):
        return _sort(sentence, chunk, known)
    phrase = " ".join(sentence.words(chunk))
    doing = t.low[chunk.last : chunk.last + 1]
    compound = (
        bool(doing) and doing[0].endswith("ing") and t.tag[chunk.last + 1 : chunk.last + 2] not in (["DET"], ["NUM"])
    )
    if compound and t.tag[chunk.last] in ("VERB", "ADJ"):
        phrase += f" {doing[0]}"  # "roller cooling"
    else:
        compound = False
    owner = said.split()[1] if len(said.split()) > 1 else ""
    second = owner.split("'")[0] in _SECOND_SUBJECT
    axis = axis_of(phrase.lower(), True)
    # A puller that "you" have is no sort of machine, the tow bar that a tractor has is.
    term = sentence.lexicon.term(phrase.lower())
    lent = second or owner.startswith(("there", "with", "of", "who"))
    lent_tool = chunk.kind == "tool" and lent and (term is not None or " " not in phrase)
    used = second and _USED.search(sentence.plain)
    strange = chunk.kind in _NO_EQUIPMENT and not compound or lent_tool or used
    if chunk.pronoun or strange and axis is None or guarded(phrase.lower()):
        return None
    if second and chunk.determiner != "the" and axis is None and chunk.kind not in ("part", "machine"):
        return None
    return _sort_of_part(sentence, chunk, known) or Meaning("option", None, phrase, head=chunk.noun)


def _sort_of_part(sentence: Sentence, chunk: Chunk, known: Sequence[Meaning]) -> Meaning | None:
    words = sentence.words(chunk)
    phrase = " ".join(words).lower()
    axis = axis_of(phrase, True)
    if axis is not None:
        own = names.has_own_name(sentence, chunk, axis)
        return None if own else _with_axis(sentence, chunk, axis, phrase, known)
    sibling = _sibling(sentence, chunk, known)
    if sibling is not None:
        return sibling
    describing = sentence.t.tag[chunk.head - 1] in ("ADJ", "VERB") or "-" in words[0]
    if chunk.determiner == "the" and len(words) > 1 and describing and chunk.kind != "unknown":
        return Meaning("variant", chunk.noun, " ".join(words[:-1]), head=chunk.noun)
    return None


def _with_axis(
    sentence: Sentence, chunk: Chunk, axis: tuple[str, str, str], phrase: str, known: Sequence[Meaning]
) -> Meaning:
    """A variant named by its axis; the axis takes the name of the part, or the one that it has had before."""
    name, value, family = axis
    before = next((meaning for meaning in reversed(known) if meaning.family == family), None)
    covered = (
        phrase.rstrip("s").endswith(value.rstrip("s"))
        or _is_sort_noun(sentence, chunk)
        or family in ("axis.cylinders", "axis.gearbox", "axis.engine", "axis.drive")
    )
    if before is not None and before.axis:
        name = before.axis
    elif not covered:
        name = chunk.text.split()[-1]
    single = (
        value.removesuffix("s")
        if value not in ("series", "chassis") and family in ("axis.gearbox", "axis.engine", "axis.drive")
        else value
    )
    return Meaning("variant", name, single, head=chunk.noun, family=family)


def _sort(sentence: Sentence, chunk: Chunk, known: Sequence[Meaning]) -> Meaning | None:
    """ "the one with the foot pedal", "the long version"."""
    t = sentence.t
    with_at = chunk.last
    age = names.age_in(sentence.words(chunk))
    if age is not None:
        return year_of_age(age, known)
    if t.low[with_at : with_at + 1] in (["with"], ["without"]):
        inner = sentence.parsed.chunk_at.get(with_at + 1)
        meaning = _owned(sentence, inner, "", known)
        if meaning is not None:
            return replace(meaning, negated=t.low[with_at] == "without")
    words = [word for word in sentence.words(chunk) if word.lower() != t.low[chunk.head]]
    return _described(sentence, " ".join(words), chunk, known)


def _described(sentence: Sentence, describing: str, chunk: Chunk, known: Sequence[Meaning]) -> Meaning | None:
    if (
        not describing
        or guarded(describing.lower())
        or describing.lower() in ("other", "next", "new", "second", "third", "whole", "single")
    ):
        return None
    axis = axis_of(describing.lower(), True) or axis_of(describing.lower(), False)
    if axis is not None:
        return _with_axis(sentence, chunk, axis, describing.lower(), known)
    return Meaning("variant", "version", describing, head=chunk.noun)


def _of_the_sort(sentence: Sentence, chunk: Chunk) -> Meaning | None:
    """ "the steel tank": a part of one sort."""
    words = sentence.words(chunk)
    value = _sort_words(sentence, words)
    if not value or guarded(value.lower()) or value.lower() in ("new", "spare"):
        return None
    return Meaning("variant", chunk.noun, value, head=chunk.noun)


def _sort_words(sentence: Sentence, words: Sequence[str]) -> str:
    """The words before the noun, with the figure of a size: "20 mm" of "the 20 mm shaft"."""
    value = " ".join(words[:-1])
    figure = re.search(rf"\b[\d.]+ {re.escape(value.lower())} (?={re.escape(words[-1].lower())})", sentence.plain)
    return figure.group().strip() if value and figure is not None else value


def _sibling(sentence: Sentence, chunk: Chunk, known: Sequence[Meaning]) -> Meaning | None:
    """Another sort of the same part: "the underslung exhaust" after "the upright exhaust"."""
    words = sentence.words(chunk)
    option = next((one for one in reversed(known) if one.kind == "option" and one.head == chunk.noun), None)
    if option is not None and option.negated and {word.lower() for word in words} <= set(option.value.lower().split()):
        return replace(option, negated=False)  # "without a damper … With the damper, …"
    if len(words) < 2:
        return None
    value = _sort_words(sentence, words)
    if guarded(value.lower()):
        return None
    for meaning in known:
        sort = meaning.axis == chunk.noun if meaning.kind == "variant" else " " in meaning.value
        new = meaning.value.lower() not in (value.lower(), " ".join(words).lower())
        if meaning.head == chunk.noun and sort and new:
            return Meaning("variant", chunk.noun, value, head=chunk.noun)
    return None


def _identity(sentence: Sentence, at: int, chunk: Chunk | None, said: str, known: Sequence[Meaning]) -> Meaning | None:
    """ "if it's the automatic", "if yours is a diesel", "if it's the press-fit shell"."""
    t = sentence.t
    if chunk is None:
        word = t.low[at] if at < len(t) else ""
        axis = axis_of(word, True)
        return Meaning("variant", axis[0], axis[1], family=axis[2]) if axis and not guarded(word) else None
    following = t.low[chunk.last : chunk.last + 1]
    words = sentence.words(chunk)
    phrase = " ".join(words)
    if _is_sort_noun(sentence, chunk):
        return None if following in (["that"], ["which"]) else _sort(sentence, chunk, known)
    if guarded(phrase.lower()) or following in (["that"], ["which"], ["you"]):
        return None
    axis = axis_of(phrase.lower(), True)
    if axis is not None:
        return _with_axis(sentence, chunk, axis, phrase.lower(), known)
    owner = said.split()[1].split("'")[0]
    if len(words) < 2 or chunk.kind not in ("part", "seal", "fastener", "machine") or owner in _SECOND_SUBJECT:
        return None
    sized = axis_of(phrase.lower(), False)
    if chunk.kind == "machine" and sized is not None:
        return _with_axis(sentence, chunk, sized, phrase.lower(), known)
    if chunk.determiner != "the":
        return Meaning("variant", "type", phrase, head=chunk.noun)
    return Meaning("variant", chunk.noun, " ".join(words[:-1]), head=chunk.noun)


def _variant_here(
    sentence: Sentence,
    rule: Rule,
    match: re.Match[str],
    at: int,
    chunk: Chunk | None,
    known: Sequence[Meaning],
    announced: int,
) -> Meaning | None:
    """ "on the four-cylinder", "the diesel version has …": a sort of machine, not a place on it."""
    t = sentence.t
    if (
        chunk is None
        or chunk.pronoun
        and not _is_sort_noun(sentence, chunk)
        or chunk.determiner in ("your", "my", "this", "that", "its", "another", "one")
    ):
        return None
    words = sentence.words(chunk)
    phrase = " ".join(words).lower()
    axis = axis_of(phrase, True)
    if not words or axis is None and guarded(phrase):
        return None
    preposition = match.group().split()[0] if match.group().split() else ""
    of_announced = announced >= 0 and match.start() <= announced <= match.end()
    if rule.id == "open.kind-is":
        prep_at = sentence.token(match.start())
        clause_start = sentence.starts_clause(prep_at)
        if (
            t.tag[prep_at] == "PART"
            or preposition in ("to", "in")
            and not of_announced
            or preposition == "with"
            and not clause_start
        ):
            return None
    else:
        clause_start = True
    generic = _is_sort_noun(sentence, chunk)
    age = names.age_in(words[:-1])
    if age is not None and generic and rule.id == "open.subject":
        return year_of_age(age, known)
    if rule.id == "open.except" and names.other_tool(sentence, match):
        return None
    if rule.id == "open.subject" and chunk.noun == "one" and not known:
        return None  # "the long one comes out first": without a variant before it, that is a bolt
    if axis is not None:
        value = axis[1]
        alone = (
            phrase.rstrip("s") in (value, value.rstrip("s"))
            or axis[2] == "axis.cylinders"
            and len(phrase.replace("-", " ").split()) <= 2
        )
        named = (
            generic
            or alone
            or chunk.kind == "machine"
            or chunk.noun in ("engine", "gearbox", "box", "transmission", "drive", "motor", "system", axis[0])
        )
        if rule.id == "open.subject" and phrase in ("manual", "manuals"):
            return None
        if named or of_announced or (clause_start and axis[2] in ("axis.cylinders", "axis.speeds", "axis.build")):
            return _or_other(sentence, chunk, _with_axis(sentence, chunk, axis, phrase, known))
        return None
    if (
        of_announced
        and preposition in ("to", "for", "on")
        and chunk.determiner == "the"
        and chunk.kind in ("part", "machine")
    ):
        return _of_the_sort(sentence, chunk) or Meaning("variant", "machine", phrase, head=chunk.noun)
    if not (generic or chunk.kind == "machine") or len(words) < 2:
        return None
    sized = axis_of(" ".join(words[:-1]).lower(), False)
    if chunk.kind == "machine" or chunk.noun in ("machine", "unit", "one", "end", "part"):
        if sized is not None:
            return _with_axis(sentence, chunk, sized, phrase, known)
        if not clause_start or not any(one.axis in ("version", "type") for one in known):
            return None
    return _described(sentence, " ".join(words[:-1]), chunk, known)


def _or_other(sentence: Sentence, chunk: Chunk, meaning: Meaning) -> Meaning:
    """ "on the diesel or the hybrid": either may hold."""
    if sentence.t.low[chunk.last : chunk.last + 1] not in (["or"], ["and"]):
        return meaning
    other = sentence.parsed.chunk_at.get(chunk.last + 1)
    axis = axis_of(" ".join(sentence.words(other)).lower(), True) if other is not None else None
    if axis is None or axis[0] != meaning.axis:
        return meaning
    return replace(meaning, value=f"{meaning.value} or {axis[1]}", values=(meaning.value, axis[1]))
