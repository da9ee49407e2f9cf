"""Builds confusions.csv: which sounds a recogniser writes for others, counted in misheard words.

Run by hand, after build_sounds.py; the program itself never imports this file:

    python lexicons/builders/build_confusions.py

Words of `recognised_talk.txt` that were misheard are laid beside what was said, sound by sound, with the costs
that the counts so far give; each way of mishearing a word counts once a talk.
"""

from __future__ import annotations

import csv
from collections import Counter
from collections.abc import Iterator, Mapping
from pathlib import Path

from misheard_talk import Recognised, recognised

from extract import lexicon as lexicons
from extract.findings import sounds

HERE = Path(__file__).parent.parent
ROUNDS = 3
#: Words farther apart than this were not misheard by sound.
_FAR = 0.42


def pairs(talks: list[Recognised]) -> Iterator[tuple[str, str]]:
    """Sounds said and written of each misheard word, once a talk."""
    for talk in talks:
        for said, written in sorted({(m.said, m.written) for m in talk.misheard}):
            one, other = sounds.pronounce(said), sounds.pronounce(written)
            if one and other and sounds.distance(other, one) <= _FAR:
                yield one, other


def laid_together(said: str, written: str, costs: Mapping[tuple[str, str], float]) -> Iterator[tuple[str, str]]:
    """The cheapest way to make one sound string of the other, as pairs of sounds."""
    none = sounds.NOTHING
    best: dict[tuple[int, int], tuple[float, str, str]] = {(0, 0): (0.0, "", "")}
    for i in range(len(said) + 1):
        for j in range(len(written) + 1):
            for a, b in ((said[i : i + 1], written[j : j + 1]), (said[i : i + 1], ""), ("", written[j : j + 1])):
                if not a and not b:
                    continue
                place = (i + len(a), j + len(b))
                cost = best[i, j][0] + costs[a or none, b or none]
                if place not in best or cost < best[place][0] - 1e-9:
                    best[place] = (cost, a, b)
    i, j = len(said), len(written)
    while i or j:
        _, a, b = best[i, j]
        yield a or none, b or none
        i, j = i - len(a), j - len(b)


def counted(talks: list[Recognised]) -> Counter[tuple[str, str]]:
    """How often each sound was written for each other one."""
    found = sorted(pairs(talks))
    counts: Counter[tuple[str, str]] = Counter()
    for _ in range(ROUNDS):
        costs = sounds.confusion_costs(counts)
        counts = Counter(pair for said, written in found for pair in laid_together(said, written, costs))
    return counts


def main() -> None:
    talks = list(recognised(lexicons.load()))
    counts = counted(talks)
    with (HERE / "confusions.csv").open("w", encoding="utf-8", newline="") as file:
        table = csv.writer(file, lineterminator="\n")
        table.writerow(("said", "written", "times"))
        table.writerows((said, written, times) for (said, written), times in sorted(counts.items()))
    print(len(talks), "talks", sum(len(t.misheard) for t in talks), "misheard", sum(counts.values()), "sounds")


if __name__ == "__main__":
    main()
