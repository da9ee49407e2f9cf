"""The logistic model that the fitting scripts share."""

from __future__ import annotations

import numpy as np


def logistic(
    x: np.ndarray,
    y: np.ndarray,
    penalty: np.ndarray,
    care: np.ndarray,
    signed: bool = False,
    known: float | np.ndarray = 0.0,
) -> np.ndarray:
    """Weights of a logistic model with a quadratic penalty, none of them (but the base, first) below 0 unless `signed`, by
    projected Newton steps. `care` is how much each line counts, `known` log odds that are settled beforehand."""
    weights = np.zeros(x.shape[1])
    free = np.ones(x.shape[1], bool)
    for _ in range(60):
        p = 1 / (1 + np.exp(-np.clip(x @ weights + known, -30, 30)))
        slope = x.T @ (care * (p - y)) + penalty * weights
        bend = (x * (care * p * (1 - p))[:, None]).T @ x + np.diag(penalty + 1e-6)
        step = np.zeros_like(weights)
        step[free] = np.linalg.solve(bend[np.ix_(free, free)], slope[free])
        weights = weights - np.clip(step, -1.0, 1.0)  # far from the best place a full step overshoots
        low = (weights < 0) & (np.arange(len(weights)) > 0) & (not signed)
        weights[low] = 0
        free = ~low
    return weights
