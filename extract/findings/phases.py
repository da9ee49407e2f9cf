"""Which half of the job each utterance speaks of: the work at this point, or the refit.

The words of an utterance tell it (`lexicons/phases.toml`), and so does what follows: a turn that is only hinted at
("anyway, back together") holds if from there on parts are fitted and tightened, and not taken off.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

from extract.language.clauses import VerbPhrase
from extract.language.heard import Heard
from extract.lexicon import Lexicon
from extract.rules import load_rules
from extract.speech import Place

#: Senses of taking apart: as long as one is still to come, the talk is not yet putting back.
APART = frozenset({"remove", "loosen", "disconnect", "unclip", "open", "drain", "isolate", "cut", "destroy"})
#: Senses that a refit is told with.
_TOGETHER = frozenset({"fit", "connect", "close", "secure", "tighten", "fill", "restore", "adjust", "uncover"})
_ASIDE = frozenset({"if", "when", "once", "after", "before", "until", "because", "which", "that"})
_TIGHTNESS = re.compile(r"\b(?:newton|foot pounds?|foot-pounds?|inch pounds?|nm\b)")
_GOES_BACK = re.compile(r"\b(?:goes?|going|go) (?:back|in|on|with|together)\b|\bback (?:in|on|together)\b|\bagain\b")
#: One utterance weighs at most this much for, and this much against, a turn.
_MOST, _LEAST = 3.0, -2.0
#: What a hinted turn, and one that nothing announces, must gather from there to the end.
_BORNE_OUT, _UNANNOUNCED = 4.0, 4.5


@dataclass(frozen=True, slots=True)
class PhaseFound:
    """`refit` says that the utterance speaks of the refit, `onward` that the talk as a whole has come to it.

    `place` names the words and the rule; null where the utterance only follows the talk.
    """

    refit: bool
    onward: bool
    place: Place | None


@dataclass(frozen=True, slots=True)
class _Said:
    """What the rules read in one utterance: the scope that decides, and the words of a hinted turn."""

    scope: str
    place: Place | None
    hint: Place | None


def find_phases(heard: Heard) -> tuple[PhaseFound, ...]:
    """One entry an utterance."""
    said = [_read(heard.searched(utterance.index), utterance.index) for utterance in heard.utterances]
    turn = _turn(heard, said)
    found: list[PhaseFound] = []
    onward = False
    for index, one in enumerate(said):
        onward = one.scope != "work" and (onward or one.scope == "onward" or index == turn)
        place = one.place or (one.hint if index == turn else None)
        found.append(PhaseFound(onward or one.scope == "here", onward, place))
    return tuple(found)


def _read(text: str, index: int) -> _Said:
    here: Place | None = None
    hint: Place | None = None
    for rule in load_rules("phases").near(text):
        match = rule.pattern.search(text)
        if match is None:
            continue
        scope, place = rule.text("scope"), Place(index, match.start(), match.end(), rule.id)
        if scope == "work":
            return _Said("work", None, None)
        if scope == "hint":
            hint = hint or place
            continue
        here = here or place
        if scope == "onward":
            return _Said("onward", here, hint)
    return _Said("here" if here is not None else "", here, hint)


def _turn(heard: Heard, said: Sequence[_Said]) -> int | None:
    """The utterance from which the words that follow bear out that the talk has come to the refit."""
    told = next((index for index, one in enumerate(said) if one.scope == "onward"), len(said))
    hints = [index for index in range(told) if said[index].hint is not None]
    unannounced = [index for index in range(told) if said[index].scope == "here"] if told == len(said) else []
    if not hints and not unannounced:
        return None
    speaks = [_speaks_for_refit(heard, index, one) for index, one in enumerate(said)]
    gathered = [0.0] * (len(said) + 1)
    for index in reversed(range(len(said))):
        gathered[index] = gathered[index + 1] + max(_LEAST, min(_MOST, speaks[index]))
    best = max(hints, key=lambda index: gathered[index], default=None)
    if best is not None and gathered[best] >= _BORNE_OUT:
        return best
    last_apart = max((index for index, value in enumerate(speaks) if value <= -1.5), default=-1)
    return next((i for i in unannounced if i > last_apart and gathered[i] >= _UNANNOUNCED), None)


def _speaks_for_refit(heard: Heard, index: int, said: _Said) -> float:
    """How much an utterance speaks for the refit; below 0 it speaks of taking apart."""
    text = heard.searched(index)
    value = {"work": -3.0, "here": 1.5, "onward": 2.5}.get(said.scope, 0.0) + (2.5 if said.hint is not None else 0.0)
    value += 1.0 if _TIGHTNESS.search(text) else 0.0
    value += 0.7 if _GOES_BACK.search(text) else 0.0
    parsed = heard.parsed[index]
    for verb in parsed.verbs:
        sense = _commanded(verb, heard.lexicon)
        new = any({"new", "fresh"} & set(parsed.tagged.low[chunk.first : chunk.last]) for chunk in verb.objects)
        if sense in APART:
            value += 0.5 if new else -1.5
        elif sense in _TOGETHER:
            value += 2.0 if new else 1.0
    return value


def _commanded(verb: VerbPhrase, lexicon: Lexicon) -> str | None:
    """The sense of a verb that tells what to do, not one that tells what was done, must not be or happens."""
    if verb.negated or verb.opener in _ASIDE or {"have", "'ve", "has", "had"} & set(verb.aux):
        return None
    if verb.form not in ("b", "g") and not (verb.form in ("n", "dn") and verb.aux):
        return None
    sense = lexicon.verb_sense(verb.base, verb.particle)
    return None if sense is None else sense.sense
