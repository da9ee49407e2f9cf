"""Noun or verb? Adjective or verb? Decided by what stands before, what follows, and whether the clause has its verb."""

from __future__ import annotations

from extract.language import grammar
from extract.language.context import Context, Tagged, before_is_attributive
from extract.language.word_classes import WordClass


def is_verb(
    context: Context, t: Tagged, i: int, word_class: WordClass, previous: str, previous_word: str, following: str, after: str,
    clause_has_verb: bool,
) -> bool:  # fmt: skip
    """Noun or verb? Adjective or verb? The rules in the order in which they are safest."""
    tags = word_class.tags
    forms = word_class.forms
    only_verb = tags == ("VERB",)
    if (
        following == "PRON"
        and word_class.thing
        and previous in ("NOUN", "ADJ")
        and t.low[i + 2 : i + 3] in (["'s"], ["'ll"], ["is"])
    ):
        following = "AUX"  # "with a paint scraper it's …": the pronoun is the subject of what follows
    phrase_next = following in ("DET", "PRON", "NUM")
    if previous == "NEG":
        return True
    if previous == "AUX":
        if previous_word in grammar.BE:
            if "n" in forms and following == "NOUN" and "g" not in forms:
                return False  # "it's split flanges"
            if "g" in forms or "n" in forms:
                return not (tags[0] == "ADJ" and not word_class.work) or following in ("PREP", "TO")
            return only_verb
        if previous_word in grammar.HAVE:
            return "n" in forms or only_verb
        if previous_word in ("need", "needs"):
            return True
        return True
    if previous == "TO":
        if "b" not in forms:
            return False
        if only_verb or phrase_next or following in ("PREP", "PART", "ADV"):
            return True
        return tags[0] == "VERB" or (word_class.work and not word_class.thing) or (
            following in ("NOUN", "ADJ") and word_class.work
        )  # fmt: skip
    if previous == "ADJ" and "g" in forms and following in {"PREP", "END", "PUNCT", "CONJ"} and not only_verb:
        return False
    if (
        previous == "ADJ"
        and following == "DET"
        and tags[0] == "VERB"
        and i > 2
        and t.tag[i - 2] == "DET"
        and t.tag[i - 3] == "PREP"
    ):
        return "b" in forms  # "on the automatic pull the …"
    if previous in ("DET", "NUM") or (previous == "ADJ" and before_is_attributive(t, i)):
        if previous_word in {"them", "all", "both", "each"} and previous != "DET":
            return phrase_next
        return previous == "NUM" and "s" not in forms and phrase_next and "b" in forms and not word_class.thing
    if previous == "PREP":
        if "g" in forms:
            if (
                previous_word == "by"
                and after in grammar.PARTICLES
                and context.peek(t, i + 2) in ("DET", "PRON", "NUM")
            ):
                return True
            if previous_word in ("with", "of", "from") and not phrase_next and context.noun_follows(t, i):
                return False
            return phrase_next or (following in ("NOUN", "ADJ") and not context.compound(t, i)) or (
                only_verb and not context.noun_follows(t, i)
            )  # fmt: skip
        if following in ("END", "PUNCT") or previous_word in {"of", "from", "with", "at", "for", "in", "into"}:
            return only_verb and "b" in forms and phrase_next
        return only_verb or (phrase_next and "b" in forms and t.tag[i - 1] != "PREP")
    if previous == "PRON":
        if previous_word in grammar.SUBJECT_PRONOUNS and previous_word not in ("it",):
            return True
        if "b" in forms and (phrase_next or following in ("PART", "PREP")) and not clause_has_verb:
            return True
        if "s" in forms and (
            previous_word == "it" or previous_word in ("them", "these", "those") and t.low[i - 2 : i - 1] == ["of"]
        ):
            return True  # "if it leaks nip it up", "one of them snaps"
        if previous_word in ("it", "this", "that") and ("s" in forms or "d" in forms):
            return not word_class.thing or following in {"DET", "PREP", "PART", "ADV", "END", "PUNCT"}
        if previous_word in grammar.OBJECT_PRONOUNS and i >= 2 and t.low[i - 2] in grammar.CAUSATIVES:
            return True
        if "b" in forms and only_verb:
            return True
        return "b" in forms and word_class.work and (phrase_next or tags[0] == "VERB") and tags[0] != "ADJ"
    if previous in {"START", "PUNCT", "CONJ", "SUB", "INTJ", "ADV"}:
        return _at_clause_start(context, t, i, word_class, previous, previous_word, following, after)
    if previous in ("PART",):
        if "b" in forms and (phrase_next or only_verb):
            return True
        return "b" in forms and word_class.work and tags[0] == "VERB" and following in ("NOUN", "ADJ")
    if previous == "VERB":
        # "go ahead and undo", "help lift the": a bare verb after a verb is rare; gerunds are not.
        if "g" in forms and t.base[i - 1] in {
            "need",
            "want",
            "start",
            "stop",
            "finish",
            "keep",
            "avoid",
            "mean",
            "require",
        }:
            return True
        if "n" in forms and t.base[i - 1] in ("get", "need", "want") and not context.noun_follows(t, i):
            return True
        if (
            following == "DET"
            and word_class.work
            and (tags[0] == "VERB" or not word_class.thing)
            and t.form[i - 1] in ("g", "n", "dn")
        ):
            return "b" in forms  # "while that's draining pop the breather out"
        if t.form[i - 1] == "s" and following == "PRON" and context.peek(t, i + 2) not in ("VERB", "AUX"):
            return "b" in forms  # "if it leaks nip it up"
        return only_verb and "b" in forms and phrase_next
    if previous in ("NOUN", "ADJ"):
        return _after_noun(context, t, i, word_class, following, after, clause_has_verb)
    return tags[0] == "VERB"


def _at_clause_start(
    context: Context,
    t: Tagged,
    i: int,
    word_class: WordClass,
    previous: str,
    previous_word: str,
    following: str,
    after: str,
) -> bool:
    tags = word_class.tags
    forms = word_class.forms
    only_verb = tags == ("VERB",)
    phrase_next = following in ("DET", "PRON", "NUM")
    if "b" in forms:
        if (
            previous == "CONJ"
            and word_class.thing
            and not only_verb
            and following != "DET"
            and after not in {"it", "them", "em", "'em"}
            and context.bare_noun_before(t, i)
        ):
            return False  # "oil and grease", "any nut or bolt"
        if phrase_next or only_verb:
            return True
        if previous_word == "," and word_class.thing and not only_verb and following in ("PUNCT", "CONJ"):
            return False  # "remove cotter pin, nut, and washer"
        listed = previous == "CONJ" and word_class.thing and not only_verb and context.noun_before_conjunction(t, i)
        if (after in grammar.PARTICLES or after in ("to",)) and not (
            listed and tags[0] != "VERB" and not _phrasal(context, t.low[i], after)
        ):
            return tags[0] == "VERB" or word_class.work
        if previous == "CONJ" and following in {"END", "PUNCT", "PREP", "AUX", "CONJ"}:
            coordinated_noun = context.noun_before_conjunction(t, i)
            if coordinated_noun and word_class.thing:
                return False
            return tags[0] == "VERB" or (word_class.work and not coordinated_noun)
        if following in ("NOUN", "ADJ", "ADV"):
            if context.compound(t, i):
                return False
            return word_class.work or tags[0] == "VERB"
        if following == "CONJ" and tags[0] == "NOUN" and i + 2 < len(t):
            beside = context.words.of(t.low[i + 2])
            if word_class.thing and beside.thing and context.peek(t, i + 3) not in ("DET", "PRON"):
                return False  # "oil and grease attack …"
        if tags[0] == "NOUN" and after in ("for", "of") and not only_verb:
            return False
        if following in {"PREP", "END", "PUNCT", "CONJ", "TO"}:
            return (word_class.work and tags[0] != "ADJ") or tags[0] == "VERB"
        if following == "VERB" and not word_class.work:
            return False
        if following == "VERB" and set(context.words.of(after).forms) <= {"b", "s"}:
            return False
        return word_class.work and following != "AUX"
    if "g" in forms:
        if phrase_next:
            return True
        if following in ("NOUN", "ADJ"):
            return not context.compound(t, i)
        return only_verb or word_class.work
    if "s" in forms:
        return only_verb or (not word_class.thing and phrase_next)
    if ("d" in forms or "n" in forms) and phrase_next:
        return True
    return only_verb or ("n" in forms and word_class.work and following in {"PREP", "ADV", "PART", "TO"})


def _phrasal(context: Context, word: str, particle: str) -> bool:
    """Whether the lexicon knows the verb with this particle, and the particle is not also the usual preposition of a place."""
    sense = context.words.lexicon.verb_sense(word, particle)
    return particle not in {"on", "in", "over", "through"} and sense is not None and particle in sense.particles


def _is_let(t: Tagged, i: int) -> bool:
    """Whether "let" and one noun phrase stand before the word."""
    j = i - 1
    while j >= 0 and t.tag[j] in ("NOUN", "ADJ", "NUM", "DET"):
        j -= 1
    return 0 <= j < i - 1 and t.low[j] == "let"


def _moves_off(t: Tagged, i: int) -> bool:
    """Whether "off", "out" or "away" stands behind the word, at most an adverb between, and ends its clause."""
    j = i + 2 if t.low[i + 1 : i + 2] in (["right"], ["straight"], ["just"]) else i + 1
    return t.low[j : j + 1] in (["off"], ["out"], ["away"]) and (
        j + 1 >= len(t) or t.low[j + 1] in {",", ".", "and", "so", "then", "next", "off", "of"}
    )


def _after_noun(
    context: Context, t: Tagged, i: int, word_class: WordClass, following: str, after: str, clause_has_verb: bool
) -> bool:
    tags = word_class.tags
    forms = word_class.forms
    only_verb = tags == ("VERB",)
    phrase_next = following in ("DET", "PRON", "NUM")
    if (
        following in {"END", "PUNCT", "CONJ", "AUX"}
        and not only_verb
        and word_class.thing
        and f"{t.low[i - 1]} {t.low[i]}" in context.words.terms
    ):
        return False  # "the pump of the generator set"
    if "b" in forms and word_class.work and following in {"PREP", "END", "PUNCT"} and _is_let(t, i):
        return f"{t.low[i - 1]} {t.low[i]}" not in context.words.terms  # "let the bearings soak in oil"
    if t.low[i] == "back" and after in ("off", "out") and not clause_has_verb:
        return context.peek(t, i + 2) in ("DET", "NUM")  # "for this lot back out the six screws"
    if t.tag[i - 1] == "ADV" and (("s" in forms) or ("b" in forms and only_verb)) and not clause_has_verb:
        return True  # "the spring just slides off": no noun goes on behind an adverb
    plural_before = t.low[i - 1].endswith("s") and not t.low[i - 1].endswith("ss")
    rival = i + 2 < len(t) and "b" in forms and "b" in context.words.of(after).forms and not t.tag[i + 1]
    if rival and context.peek(t, i + 2) in ("DET", "PRON"):
        # "the power assist pull the …": of two words that could be the verb, the one before the object is.
        return False
    if clause_has_verb:
        # A new clause without a mark between ("… the cover lift it off"), or a participle behind its noun.
        term = context.words.terms.get(t.low[i])
        named = f"{t.low[i - 1]} {t.low[i]}" in context.words.terms or (
            term is not None and term.kind in ("fluid", "material") and i > 1 and t.tag[i - 2] in {"DET", "ADJ", "VERB", "PREP"}
        )  # fmt: skip
        if named and not only_verb:
            return False
        if "g" in forms and word_class.thing and after == "of" and not only_verb:
            return False  # "the cylinder packing of the press"
        if "b" in forms and phrase_next and (word_class.work or only_verb or tags[0] == "VERB"):
            return not word_class.thing or only_verb or tags[0] == "VERB" or after in {
                "it", "them", "em", "the", "your", "that", "those", "both"}  # fmt: skip
        if (
            "b" in forms
            and word_class.work
            and (not word_class.thing or tags[0] == "VERB" or _phrasal(context, t.low[i], after))
            and after in grammar.PARTICLES
            and context.peek(t, i + 2) in ("DET", "PRON")
        ):
            return True
        if "b" in forms and plural_before and word_class.work and _moves_off(t, i):
            return True  # "… and the two gears slide right off"
        if ("n" in forms or "d" in forms or "g" in forms) and (only_verb or tags[0] == "VERB") and following in {
            "PREP", "PART", "ADV", "DET", "TO", "END", "PUNCT", "AUX", "CONJ",
        }:  # fmt: skip
            return True
        if "s" in forms and only_verb:
            return True
        return only_verb and "b" in forms
    if t.low[i - 1] in grammar.RECORDINGS and "s" in forms:
        return True
    if after in grammar.BE and ("b" in forms or "s" in forms) and not only_verb:
        return False  # "the generator set is …"
    if t.low[i - 1] in {"lot", "rest", "whole", "one", "ones", "thing", "other"} and "s" in forms and not plural_before:
        return True
    if after in {"they", "we", "you", "i", "ye", "there"} and not only_verb:
        return False
    if "s" in forms and not plural_before:
        named = f"{t.low[i - 1]} {t.low[i]}" in context.words.terms
        if named and not only_verb and following not in ("DET", "PRON"):
            return False  # "cable ties also have to be renewed"
        if only_verb or (
            not word_class.thing and following in {"DET", "PRON", "PREP", "PART", "ADV", "ADJ", "NUM", "END", "PUNCT"}
        ):
            return True
        if not named and following == "ADJ" and not context.noun_follows(t, i):
            return True  # "the head stays hot"
        return not named and (
            following in ("DET", "PRON") or ((not word_class.thing or tags[0] == "VERB") and after in grammar.PARTICLES)
        )
    if "d" in forms or "n" in forms:
        return only_verb or tags[0] == "VERB" or following in ("PREP", "PART", "DET")
    if "g" in forms:
        return following in ("DET", "PRON", "NUM") or (only_verb and following in ("PREP", "PART"))
    if "b" in forms and plural_before:
        return only_verb or phrase_next or (not word_class.thing and following in {"PREP", "PART", "ADV", "ADJ"})
    if (
        "b" in forms
        and phrase_next
        and word_class.work
        and (not word_class.thing or tags[0] == "VERB" or following == "DET")
    ):
        # "at the pump end pull the …": without -s no verb of the noun before it, so a command.
        return f"{t.low[i - 1]} {t.low[i]}" not in context.words.terms
    return only_verb and "b" in forms and following in {"DET", "PRON", "NUM", "PART", "PREP", "ADV"}
