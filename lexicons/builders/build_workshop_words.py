"""Builds workshop_words.txt: how often each word was said in our own workshop talk.

Run by hand; the program itself never imports this file:

    python lexicons/builders/build_workshop_words.py

Counts the honest talk of honest_talk.txt and what is said in the demo talks, garbled utterances left out. The fits
leave the talk that they look at out of the counts.
"""

from __future__ import annotations

import json
from collections import Counter
from pathlib import Path

from workshop_talk import honest_talks

from extract.findings import wordstats as ws

HERE = Path(__file__).parent.parent


def demo_talks() -> dict[str, list[str]]:
    """What was said in each demo talk, one string an utterance; garbled ones are left out."""
    found = {}
    for path in sorted((HERE.parent / "corpora_demo").glob("*.gold.jsonl")):
        rows = [json.loads(row) for row in path.read_text("utf-8").splitlines() if row]
        lines = [row.get("said") or row["text"] for row in rows if row["role"] != "unclear"]
        found[path.name.split(".")[0]] = lines
    return found


def counts(lines: list[str]) -> Counter[str]:
    """How often each word stands in these lines; numbers are left out."""
    return Counter(t.word for line in lines for t in ws.tokens(line) if not ws.is_number(t.word))


def main() -> None:
    total: Counter[str] = Counter()
    for lines in [*honest_talks(), *demo_talks().values()]:
        total += counts(lines)
    rows = [f"{word} {count}" for word, count in sorted(total.items())]
    head = "# How often each word was said in our own workshop talk; made by builders/build_workshop_words.py."
    (HERE / "workshop_words.txt").write_text("\n".join([head, *rows]) + "\n", "utf-8")
    print(sum(total.values()), "words,", len(rows), "different ones")


if __name__ == "__main__":
    main()
