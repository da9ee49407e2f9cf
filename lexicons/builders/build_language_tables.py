"""Builds common_words.txt, word_pairs.bin and word_orders.bin from plain texts.

Run by hand; the program itself never imports this file:

    python lexicons/builders/build_language_tables.py TEXTS

`TEXTS` is the folder that collect_texts.py made. Sources and licences: lexicons/SOURCES_TRUST.md.
"""

from __future__ import annotations

import argparse
import re
import zlib
from array import array
from collections import Counter
from collections.abc import Iterable, Iterator
from pathlib import Path

import wordfreq
from workshop_talk import sentences as workshop_sentences

from extract import lexicon as lexicons
from extract.findings import wordstats as ws

HERE = Path(__file__).parent.parent
WORDS = 45_000
#: How much a text counts: sentences of conversation more, fragments of definitions less.
WEIGHTS = {"chatterbot": 4.0, "workshop": 1.0, "wordnet_definitions": 0.4, "wordnet_examples": 1.5}
#: Occurrences of all pairs in the list of book pairs, from the known share of "of the" (0.57 % of pairs).
BOOK_PAIRS = 177_045_273_024 / 0.0057
#: Fields of WordNet's nouns, by their number in its data files.
FIELDS = {
    3: "tops", 4: "act", 5: "animal", 6: "artifact", 7: "attribute", 8: "body", 9: "thought", 10: "message",
    11: "event", 12: "feeling", 13: "food", 14: "group", 15: "place", 16: "motive", 17: "thing", 18: "person",
    19: "phenomenon", 20: "plant", 21: "possession", 22: "process", 23: "amount", 24: "relation", 25: "shape",
    26: "state", 27: "substance", 28: "time",
}  # fmt: skip
_SENTENCE_END = re.compile(r"(?<=[.!?])[\"')\]]*\s+(?=[\"'(\[]*[A-Z0-9])|\n\s*\n|[;:]\s|--|—")


def split(text: str) -> Iterator[str]:
    """Sentences of running text."""
    for part in _SENTENCE_END.split(text.replace("_", "")):
        part = " ".join(part.split())
        if part:
            yield part


def texts(folder: Path) -> Iterator[tuple[str, Iterable[str]]]:
    """Name and sentences of each text."""
    for path in sorted(folder.glob("*.txt")):
        yield path.stem, split(path.read_text("utf-8", errors="ignore"))
    yield "workshop", workshop_sentences()


def fields(wordnet: Path) -> dict[str, str]:
    """The field of the most used sense of each noun."""
    offsets = {}
    for line in (wordnet / "data.noun").read_text("latin-1").splitlines():
        if line[0].isdigit():
            parts = line.split(" ", 2)
            offsets[parts[0]] = FIELDS[int(parts[1])]
    found = {}
    for line in (wordnet / "index.noun").read_text("latin-1").splitlines():
        if not line.startswith(" "):
            parts = line.split()
            if "_" not in parts[0]:
                found[parts[0]] = offsets[next(p for p in parts[4:] if len(p) == 8 and p.isdigit())]
    return found


def write_table(name: str, rates: dict[int, int]) -> None:
    """Write keys and codes, keys in order."""
    keys = sorted(rates)
    data = len(keys).to_bytes(4, "little") + array("I", keys).tobytes() + bytes(rates[k] for k in keys)
    (HERE / name).write_bytes(zlib.compress(data, 9))
    print(name, len(keys), "entries", (HERE / name).stat().st_size, "bytes")


def main() -> None:
    parser = argparse.ArgumentParser()
    parser.add_argument("texts", type=Path)
    given = parser.parse_args()

    lexicon = lexicons.load()
    words = [w for w in wordfreq.top_n_list("en", 80_000) if re.fullmatch(r"[a-z]+(?:'[a-z]+)?", w)][:WORDS]
    field = fields(given.texts / "wordnet")
    rows = []
    for word in sorted(words):
        english = lexicon.english.get(word)
        noun = english.lemma_noun if english and english.lemma_noun else word
        rows.append(f"{word} {round(wordfreq.zipf_frequency(word, 'en') * 10)} {field.get(noun, '')}".rstrip())
    head = "# word, ten times its Zipf value, field of meaning of the noun; built, see SOURCES_TRUST.md"
    (HERE / "common_words.txt").write_text(head + "\n" + "\n".join(rows) + "\n", "utf-8")
    ws._words.cache_clear()
    known = set(words)

    pairs: Counter[tuple[str, str]] = Counter()
    orders: Counter[tuple[str, ...]] = Counter()
    total = 0.0
    for name, sentences in texts(given.texts):
        weight = WEIGHTS.get(name, 1.0)
        count = 0
        for sentence in sentences:
            found = [t.word for t in ws.tokens(sentence)]
            if not found:
                continue
            count += len(found)
            found = ws.in_full(found) if name != "wordnet_definitions" else ws.in_full(found)[1:-1]
            kept = ["#" if ws.is_number(w) else w for w in found]
            for pair in zip(kept, kept[1:], strict=False):
                pairs[pair] += weight
            classes = [w if w in (ws.START, ws.END) else ws.word_class(w, lexicon) for w in found]
            for at, third in enumerate(classes):
                orders[(third,)] += weight
                if at:
                    orders[classes[at - 1], third] += weight
                if at > 1:
                    orders[classes[at - 2], classes[at - 1], third] += weight
        total += count * weight
        print(name, count)

    books: dict[tuple[str, str], float] = {}
    for line in (given.texts / "pairs" / "bigrams.txt").read_text("utf-8-sig").splitlines():
        first, second, count_text = line.split()
        books[first, second] = int(count_text) / BOOK_PAIRS * 1e6
    scale = 1e6 / total
    rates: dict[int, int] = {}
    marks = {ws.START, ws.END, "#"}
    for pair in pairs.keys() | books.keys():
        own = pairs.get(pair, 0.0)
        if pair not in books and own < 2.5 or not all(w in known or w in marks for w in pair):
            continue
        rate = (own * scale + books[pair]) / 2 if pair in books else own * scale
        rates[ws.key(*pair)] = ws.encode(rate)
    write_table("word_pairs.bin", rates)
    closed = ws.function_words().keys() | {ws.START, ws.END}
    kept = {
        ws.key(*found): ws.encode(count * scale)
        for found, count in orders.items()
        if len(found) < 3 or (count > 2 and sum(part in closed for part in found) > 1)
    }
    write_table("word_orders.bin", kept)


if __name__ == "__main__":
    main()
