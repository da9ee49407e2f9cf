"""The chance that a logistic model gives."""

from __future__ import annotations

import math

#: Log odds beyond this tell nothing more, and would overflow.
_SURE = 30.0


def chance(log_odds: float) -> float:
    """The chance (0 to 1) of what stands at these log odds (natural logarithm): the logistic function."""
    return 1.0 / (1.0 + math.exp(-max(-_SURE, min(_SURE, log_odds))))
