"""Words of the closed classes: determiner or pronoun, preposition or particle, and the like.

`PLAIN` holds those that have one class wherever they stand, `BY_CONTEXT` the rules of the others. A rule is given the
token, the class and word before it that matter for structure, and the class and word behind it; it answers with the
class of the word, or with "" where it is a word of the open classes here.
"""

from __future__ import annotations

from collections.abc import Callable

from extract.language import grammar
from extract.language.context import Context, Tagged

Rule = Callable[[Context, Tagged, int, str, str, str, str], str]

_NOMINAL = ("DET", "NUM", "NOUN", "ADJ", "PRON")
_ORDINALS = ("right", "next", "first", "second", "last")
_COMPLETE = frozenset({"turn", "turns", "degrees"})
_AWAY = frozenset({"off", "out"})
_PARTICIPLE = frozenset("dng")


def _discourse(context: Context, t: Tagged, i: int, previous: str, before: str, following: str, after: str) -> str:
    """ "right", "well", "next": openers, unless they describe a noun."""
    word = t.low[i]
    if word in _ORDINALS and previous in ("DET", "NUM"):
        described = context.noun_follows(t, i) or after in {"one", "ones", "two", "three", "step", "steps"}
        if described:
            return "ADJ"
        return "ADV" if previous == "NUM" and word == "first" else "NOUN"  # "ten first, then twenty"
    if (
        word == "right"
        and after in {"hand", "side", "angle", "angles", "front", "rear"}
        and previous in ("DET", "PREP", "ADJ")
    ):
        return "ADJ"
    return "ADV" if word in {"next", "first", "second", "last", "now", "so"} else "INTJ"


def _joint(context: Context, t: Tagged, i: int, previous: str, before: str, following: str, after: str) -> str:
    """ "before", "after", "since": before a clause or before a noun phrase."""
    if following in ("END", "PUNCT") and t.low[i] in ("before", "after"):
        return "ADV"
    return "SUB" if following == "PRON" or context.clause_follows(t, i + 1) else "PREP"


def _once(context: Context, t: Tagged, i: int, previous: str, before: str, following: str, after: str) -> str:
    return "SUB" if following in _NOMINAL else "ADV"


def _demonstrative(context: Context, t: Tagged, i: int, previous: str, before: str, following: str, after: str) -> str:
    word = t.low[i]
    if word == "that":
        if after in ("'ll", "'d"):
            return "PRON"
        if previous == "NOUN":
            ahead = context.peek(t, i + 2)
            whole = following in ("NOUN", "ADJ") and (
                ahead == "AUX" or t.low[i + 2 : i + 3] == ["'s"] or f"{after} {' '.join(t.low[i + 2 : i + 3])}" in context.words.terms
            )  # fmt: skip
            return "DET" if whole or after == "one" else "SUB"
        if (
            previous == "VERB"
            and following == "DET"
            and before not in ("give", "gives", "giving", "gave")
            or before in ("sure", "certain")
        ):
            return "SUB"
        if after in {"nothing", "everything", "it", "they", "you", "we", "there", "none"} and previous not in (
            "START",
            "PREP",
        ):
            return "SUB"
    if context.compound(t, i + 1):
        return "DET"
    if following in ("NOUN", "ADJ", "NUM") or after in ("one", "ones"):
        if word in ("this", "that") and context.verb_after_demonstrative(t, i):
            return "PRON"
        return "DET"
    return "PRON"


def _measured(context: Context, t: Tagged, i: int, previous: str, before: str, following: str, after: str) -> str:
    """ "ten long": describes the number before it."""
    return "ADJ" if previous == "NUM" and following in ("END", "PUNCT", "CONJ") else ""


def _comparative(context: Context, t: Tagged, i: int, previous: str, before: str, following: str, after: str) -> str:
    return "ADJ" if previous == "NUM" or following == "NOUN" else "ADV"


def _quantifier(context: Context, t: Tagged, i: int, previous: str, before: str, following: str, after: str) -> str:
    if t.low[i] == "either" and "b" in context.words.of(after).forms and context.peek(t, i + 2) in ("DET", "PRON"):
        return "ADV"  # "either tap the shaft out or press it out"
    if following in _NOMINAL or after == "of":
        return "DET"
    named = i + 1 < len(t.low) and (context.compound(t, i + 1) or context.words.of(after).thing)
    described = (
        following == "VERB" and not _PARTICIPLE.isdisjoint(context.words.of(after).forms) and context.noun_follows(t, i)
    )
    return "DET" if named or described else "PRON"


def _them(context: Context, t: Tagged, i: int, previous: str, before: str, following: str, after: str) -> str:
    if following in ("NOUN", "ADJ") and not context.verb_after_demonstrative(t, i):
        return "DET" if previous != "VERB" or context.is_thing_next(t, i) else "PRON"
    return "PRON"


def _her(context: Context, t: Tagged, i: int, previous: str, before: str, following: str, after: str) -> str:
    return "DET" if following == "NOUN" and context.is_thing_next(t, i) else "PRON"


def _no(context: Context, t: Tagged, i: int, previous: str, before: str, following: str, after: str) -> str:
    noun = following in ("NOUN", "ADJ", "NUM") or i + 1 < len(t.low) and "NOUN" in context.words.of(after).tags
    hooked = i + 2 < len(t.low) and "s" in context.words.of(t.low[i + 2]).forms  # "so no beggar hooks it up"
    return "DET" if noun or hooked else "INTJ"


def _side(context: Context, t: Tagged, i: int, previous: str, before: str, following: str, after: str) -> str:
    """ "the inside", "inside the housing"."""
    return "NOUN" if previous == "DET" else "PREP"


def _particle_or_preposition(
    context: Context, t: Tagged, i: int, previous: str, before: str, following: str, after: str
) -> str:
    if t.low[i] in ("out", "off") and after == "of":
        return "PREP"
    if (
        previous in ("NOUN", "PRON", "VERB")
        and t.tag[i + 1 : i + 2] == ["NUM"]
        and not _COMPLETE.isdisjoint(t.low[i + 2 : i + 7])
    ):
        return "PART"
    if following == "PREP" and after in grammar.PARTICLES and context.peek(t, i + 2) == "NOUN":
        return "PREP"  # "in forward gear"
    named = following == "VERB" and i + 1 < len(t.low) and (
        context.words.of(after).thing or "b" not in context.words.of(after).forms)  # fmt: skip
    return "PREP" if (following in _NOMINAL or named) and not context.verb_start(t, i + 1) else "PART"


def _direction(context: Context, t: Tagged, i: int, previous: str, before: str, following: str, after: str) -> str:
    """ "pull it forward", "the forward gear"."""
    word = t.low[i]
    if word == "together" and after == "with":
        return "ADV"  # "together with its spring": what comes along, not how it is moved
    if word in ("forward", "upward", "downward") and previous == "PREP" and following == "NOUN":
        return "ADJ"
    if word == "upright" and previous in ("DET", "ADJ") and following == "NOUN":
        return "ADJ"
    return "PART"


def _back(context: Context, t: Tagged, i: int, previous: str, before: str, following: str, after: str) -> str:
    if previous in {"START", "PUNCT", "CONJ", "INTJ", "ADV", "TO"} and (
        after in ("off", "out", "up")
        or after in {"the", "it", "them", "em", "this", "that", "those", "both", "your"}
        and not _AWAY.isdisjoint(t.low[i + 2 : i + 8])
    ):
        return ""  # "back the screw off"
    if (
        previous in ("PRON", "NOUN")
        and after in ("off", "out", "up")
        and t.low[i + 2 : i + 3] in (["the"], ["your"], ["all"], ["both"])
        and "VERB" not in t.tag[:i]
    ):
        return ""  # "for both of them back out the screws"
    if previous in ("DET", "ADJ", "NUM"):
        return "ADJ" if context.noun_follows(t, i) else "NOUN"
    return "PART"


def _result(context: Context, t: Tagged, i: int, previous: str, before: str, following: str, after: str) -> str:
    """ "pull it clear": how a part is afterwards."""
    if previous in {"VERB", "PRON", "NOUN", "PART"} and following not in _NOMINAL and following != "VERB":
        return "PART" if previous != "NOUN" or i >= 2 else ""
    return "PART" if previous == "VERB" and after in {"the", "a", "it", "them"} else ""


#: The rules, and the words of each; a word that stands in two lists goes by the first.
_RULES: tuple[tuple[Rule, str], ...] = (
    (_discourse, "right well grand so next first second last now"),
    (_joint, "before after since like"),
    (_once, "once"),
    (_demonstrative, "this that these those"),
    (_measured, "long short big small left old"),
    (_comparative, "more less"),
    (_quantifier, "both all some any each either neither many several few another enough"),
    (_them, "them"),
    (_her, "her"),
    (_no, "no"),
    (_side, "inside outside underneath above opposite"),
    (_particle_or_preposition, " ".join(grammar.PARTICLES & grammar.PREPOSITIONS)),
    (_back, "back"),
    (
        _direction,
        "away apart aside together forwards backwards upwards downwards inwards outwards sideways upright forward "
        "backward upward downward outward inward rid",
    ),
    (_result, "loose open home free clear tight shut straight flush"),
)
BY_CONTEXT: dict[str, Rule] = {word: rule for rule, words in reversed(_RULES) for word in words.split()}

_CLASSES: tuple[tuple[str, frozenset[str]], ...] = (
    ("SUB", frozenset("until till as than which who whose where what".split())),
    ("DET", grammar.DETERMINERS),
    ("PRON", grammar.PRONOUNS),
    ("PREP", grammar.PREPOSITIONS),
    ("SUB", grammar.SUBORDINATORS),
    ("ADV", frozenset(["actually", "basically", "obviously"])),
    ("INTJ", grammar.INTERJECTIONS),
    ("ADV", grammar.ADVERBS),
)
PLAIN: dict[str, str] = {word: tag for tag, words in reversed(_CLASSES) for word in words if word not in BY_CONTEXT}
