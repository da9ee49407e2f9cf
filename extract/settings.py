"""Settings that a user can choose; everything else follows from the talk and the lexicons."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Settings:
    """`unclear_below` is the trust under which an utterance counts as unclear (0 to 1).

    `equipment_caution` picks the signal word scheme: False is ANSI Z535 (NOTICE for damage to equipment
    only), True writes CAUTION for it, as military and simplified-English standards do.
    """

    unclear_below: float = 0.65
    equipment_caution: bool = False
