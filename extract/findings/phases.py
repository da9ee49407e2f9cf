"""Which half of the job each utterance speaks of: the work at this point, or the refit."""

from __future__ import annotations

from dataclasses import dataclass

from extract.language.heard import Heard
from extract.rules import load_rules
from extract.speech import Place


@dataclass(frozen=True, slots=True)
class PhaseFound:
    """`refit` says that the utterance speaks of the refit, `onward` that the talk as a whole has come to it.

    `place` names the words and the rule; null where the utterance only follows the talk.
    """

    refit: bool
    onward: bool
    place: Place | None


def find_phases(heard: Heard) -> tuple[PhaseFound, ...]:
    """One entry an utterance."""
    found: list[PhaseFound] = []
    onward = False
    for said in heard.utterances:
        text = said.analysed.lower()
        here: Place | None = None
        for rule in load_rules("phases"):
            match = rule.pattern.search(text)
            if match is None:
                continue
            place = Place(said.index, match.start(), match.end(), rule.id)
            scope = rule.text("scope")
            if scope == "work":
                onward = False
                here = None
                break
            here = here or place
            if scope == "onward":
                onward = True
                break
        found.append(PhaseFound(onward or here is not None, onward, here))
    return tuple(found)
