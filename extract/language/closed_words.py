"""Words of the closed classes that context decides: determiner or pronoun, preposition or particle, and the like."""

from __future__ import annotations

from extract.language import grammar
from extract.language.context import Context, Tagged


def closed_class(
    context: Context, t: Tagged, i: int, word: str, previous: str, previous_word: str, following: str, after: str
) -> str:
    """Class of a word of the closed classes that context decides; empty for words of the open classes."""
    phrase_next = following in ("DET", "NUM", "NOUN", "ADJ", "PRON")
    split = after in ("the", "it", "them", "em", "this", "that", "those", "both", "your") and bool(
        {"off", "out"} & set(t.low[i + 2 : i + 8])
    )
    if (
        word == "back"
        and (after in ("off", "out", "up") or split)
        and previous in ("START", "PUNCT", "CONJ", "INTJ", "ADV", "TO")
    ):
        return ""
    if word in ("right", "well", "grand", "so", "next", "first", "second", "last", "now"):
        if word in ("right", "next", "first", "second", "last") and previous in ("DET", "NUM"):
            return (
                "ADJ"
                if context.noun_follows(t, i) or after in ("one", "ones", "two", "three", "step", "steps")
                else "NOUN"
            )
        if (
            word == "right"
            and after in ("hand", "side", "angle", "angles", "front", "rear")
            and previous in ("DET", "PREP", "ADJ")
        ):
            return "ADJ"
        return "ADV" if word in ("next", "first", "second", "last", "now", "so") else "INTJ"
    if word in ("before", "after", "since", "until", "till", "as", "like", "than"):
        if following in ("END", "PUNCT") and word in ("before", "after"):
            return "ADV"
        if word in ("until", "till", "as", "than"):
            return "SUB"
        return "SUB" if following == "PRON" or context.clause_follows(t, i + 1) else "PREP"
    if word == "once":
        return "SUB" if following in ("DET", "PRON", "NOUN", "ADJ", "NUM") else "ADV"
    if word == "that" or word in grammar.DEMONSTRATIVES:
        if word == "that" and after in ("'ll", "'d"):
            return "PRON"
        if previous in ("NOUN",) and word == "that":
            ahead = context.peek(t, i + 2)
            whole = following in ("NOUN", "ADJ") and (
                ahead == "AUX" or t.low[i + 2 : i + 3] == ["'s"] or f"{after} {' '.join(t.low[i + 2 : i + 3])}" in context.words.terms
            )  # fmt: skip
            return "DET" if whole or after == "one" else "SUB"
        if word == "that" and previous == "VERB" and following == "DET":
            return "SUB"
        if (
            word == "that"
            and after in ("nothing", "everything", "it", "they", "you", "we", "there", "none")
            and previous not in ("START", "PREP")
        ):
            return "SUB"
        if i + 1 < len(t) and context.compound(t, i + 1):
            return "DET"
        if word in ("this", "these", "those", "that") and (
            following in ("NOUN", "ADJ", "NUM") or after in ("one", "ones")
        ):
            if word in ("this", "that") and context.verb_after_demonstrative(t, i):
                return "PRON"
            return "DET"
        return "PRON"
    if word in ("which", "who", "whose", "where", "what"):
        return "SUB"
    if (
        word in ("long", "short", "big", "small", "left", "right", "old")
        and previous == "NUM"
        and following in ("END", "PUNCT", "CONJ")
    ):
        return "ADJ"
    if word in ("more", "less"):
        return "ADJ" if previous == "NUM" or following == "NOUN" else "ADV"
    if word in (
        "both",
        "all",
        "some",
        "any",
        "each",
        "either",
        "neither",
        "many",
        "several",
        "few",
        "another",
        "enough",
    ):
        named = i + 1 < len(t) and (context.compound(t, i + 1) or context.words.of(after).thing)
        described = (
            following == "VERB" and context.noun_follows(t, i) and set(context.words.of(after).forms) & {"d", "n", "g"}
        )
        return (
            "DET"
            if named or described or following in ("NOUN", "ADJ", "DET", "NUM", "PRON") or after == "of"
            else "PRON"
        )
    if word == "them" and following in ("NOUN", "ADJ") and not context.verb_after_demonstrative(t, i):
        return "DET" if previous not in ("VERB",) or context.is_thing_next(t, i) else "PRON"
    if word == "her":
        return "DET" if following == "NOUN" and context.is_thing_next(t, i) else "PRON"
    if word in ("no",):
        noun = i + 1 < len(t) and "NOUN" in context.words.of(after).tags
        return "DET" if noun or following in ("NOUN", "ADJ", "NUM") else "INTJ"
    if word in grammar.DETERMINERS:
        return "DET"
    if word in grammar.PRONOUNS:
        return "PRON"
    if word in ("inside", "outside", "underneath", "above", "opposite") and previous == "DET":
        return "NOUN"
    if word in grammar.PARTICLES and word in grammar.PREPOSITIONS:
        if word == "out" and after == "of":
            return "PREP"
        if (
            previous in ("NOUN", "PRON", "VERB")
            and t.tag[i + 1 : i + 2] == ["NUM"]
            and {"turn", "turns", "degrees"} & set(t.low[i + 2 : i + 7])
        ):
            return "PART"
        ahead = context.peek(t, i + 2)
        if following == "PREP" and after in grammar.PARTICLES and ahead == "NOUN":
            return "PREP"  # "in forward gear"
        named = following == "VERB" and i + 1 < len(t) and (
            context.words.of(after).thing or "b" not in context.words.of(after).forms)  # fmt: skip
        return "PREP" if (phrase_next or named) and not context.verb_start(t, i + 1) else "PART"
    if word in grammar.PREPOSITIONS:
        return "PREP"
    if word in ("away", "back", "apart", "aside", "together", "forwards", "backwards", "upwards", "downwards",
                "inwards", "outwards", "sideways", "upright", "forward", "backward", "upward", "downward", "outward", "inward"):  # fmt: skip
        if word in ("forward", "upward", "downward") and previous == "PREP" and following == "NOUN":
            return "ADJ"
        if word == "upright" and previous in ("DET", "ADJ") and following == "NOUN":
            return "ADJ"
        if word == "back" and previous in ("DET", "ADJ", "NUM"):
            return "ADJ" if context.noun_follows(t, i) else "NOUN"
        return "PART"
    if word in ("loose", "open", "home", "free", "clear", "tight", "shut", "straight", "flush"):
        if previous in ("VERB", "PRON", "NOUN", "PART") and not phrase_next and following != "VERB":
            return "PART" if previous != "NOUN" or i >= 2 else ""
        if previous == "VERB" and after in ("the", "a", "it", "them"):
            return "PART"
        return ""
    if word in grammar.SUBORDINATORS:
        return "SUB"
    if word in grammar.INTERJECTIONS:
        return "INTJ" if word not in ("actually", "basically", "obviously") else "ADV"
    if word in grammar.ADVERBS:
        return "ADV"
    return ""
