"""The refit that the program derives from a printed removal, against the printed installation of the same manual.

An outside check of the inverses and of the order; `pairs.toml` names document, paragraph and address. The floors
are what is reached.
"""

from __future__ import annotations

from collections import Counter

import pytest
from published_passages import draft_of, entries, kendall, paired, same_count, same_part

PAIRS = entries("pairs.toml", "pair")
FLOORS = {"parts": 0.88, "counts": 0.9, "order": 0.88, "new": 0.95}


def same_counted_part(printed, found) -> bool:
    """The same part in the same number."""
    return same_part(printed[0], found[0]) and same_count(printed, found)


@pytest.fixture(scope="module")
def reached(tmp_path_factory) -> dict[str, float]:
    folder = tmp_path_factory.mktemp("pairs")
    counts: Counter = Counter()
    orders = []
    for pair in PAIRS:
        made = draft_of(pair["removal"], folder)
        refit = [(part.text, number, part.quantity) for number, step in enumerate(made.refit) for part in step.objects]
        pairs = paired(pair["installed"], refit, same_counted_part, lambda one, other: same_part(one[0], other[0]))
        counts["parts"] += len(pair["installed"])
        counts["parts found"] += len(pairs)
        for place, index in pairs:
            counts["counts"] += bool(pair["installed"][place][1])
            counts["counts found"] += (
                bool(pair["installed"][place][1]) and refit[index][2] == pair["installed"][place][1]
            )
        renewals = [renewal.item for renewal in made.renewals]
        counts["new"] += len(pair["new"])
        counts["new found"] += len(paired(pair["new"], renewals, same_part))
        orders.append(kendall(refit[index][1] for _, index in pairs))
    shares = {name: counts[f"{name} found"] / counts[name] for name in ("parts", "counts", "new")}
    return shares | {"order": sum(orders) / len(orders)}


def test_there_are_five_pairs_at_least():
    assert len(PAIRS) >= 5


def test_printed_installations_install_what_was_removed():
    for pair in PAIRS:
        text = " ".join(pair["removal"].lower().split())
        for part, _ in pair["installed"]:
            assert part.split()[-1].rstrip("s") in text, (pair["id"], part)


@pytest.mark.parametrize("name", FLOORS)
def test_the_derived_refit_reaches_its_floor(reached, name):
    assert reached[name] >= FLOORS[name], reached
