"""Utterances whose words are probably not what was said."""

from __future__ import annotations

from collections.abc import Sequence

from extract.language.heard import Heard
from extract.speech import Action, FlagFound, TrustFound

#: How many signals a flag names, the weightiest first.
_NAMED = 4


def find_garbled(
    heard: Heard, trust: Sequence[TrustFound], actions: Sequence[Action], deaf: frozenset[int]
) -> tuple[FlagFound, ...]:
    """One flag for each utterance that is not trusted: `stop` between the first and the last act, else `check`."""
    working = [act.place.utterance for act in actions if not act.negated]
    found: list[FlagFound] = []
    for judged in trust:
        if judged.utterance not in deaf:
            continue
        inside = bool(working) and working[0] <= judged.utterance <= max(working)
        signals = sorted(judged.signals.items(), key=lambda item: (item[1], item[0]))[:_NAMED]
        found.append(
            FlagFound(
                heard.whole(judged.utterance, "trust.threshold"),
                "garbled",
                "stop" if inside else "check",
                "These words are probably not what was said; nothing was taken from them."
                + (" An act may be missing here." if inside else ""),
                {"trust": round(judged.trust, 3), "signals": {name: round(share, 2) for name, share in signals}},
            )
        )
    return tuple(found)
