"""Builds english.csv: the possible word classes of the frequent English words.

Run by hand after a change of the word choice; the program itself never imports this file:

    python lexicons/builders/build_english.py --wordnet DICT_FOLDER --brill EN_LEXICON.TXT

`DICT_FOLDER` is the `dict` folder of WordNet 3.1 (with `index.sense`), `EN_LEXICON.TXT` the Brill tagger
lexicon that the package textblob carries. lexicons/SOURCES.md tells where they come from and what each gives.
"""

from __future__ import annotations

import argparse
import csv
import gzip
from collections import defaultdict
from importlib.resources import files
from pathlib import Path

from extract.wordforms import plural_by_rule

LEXICONS = Path(__file__).parents[1]
WORDS = 33_000
COLUMNS = ("word", "classes", "lemma_noun", "lemma_verb")
LETTER = {"noun": "N", "verb": "V", "adj": "J", "adv": "R"}
WORDNET_LETTER = {"1": "N", "2": "V", "3": "J", "4": "R", "5": "J"}
BRILL_LETTER = {"NN": "N", "VB": "V", "JJ": "J", "RB": "R"}
#: The closed classes, which the tagger knows by itself; their rare open readings ("the" as a noun) only mislead.
CLOSED_CLASSES = """
    a an the this that these those my your his her its our their whose which what who whom i you he she it we they
    me him us them mine yours hers ours theirs myself yourself himself herself itself ourselves themselves and or nor
    but if because although though while whereas unless until till since than as whether of at by for from in into
    onto with without within upon to toward towards through throughout during before after between among against
    about above below under over am is are was were be been being have has had having do does did doing done will
    would shall should must may might can could cannot ought not no yes so too very there here where when why how all
    any both each every either neither some such same other another much many more most few less least only just also
    again ever never always
    anything something nothing everything anyone someone everyone anybody somebody nobody everybody whoever whatever
    whichever whomever none
"""
CLOSED = frozenset(CLOSED_CLASSES.split())
#: Words of the workshop that no source here lists; as adverb and adjective. Common practice, no source.
SHOP_WORDS = """
    crosswise crossways anticlockwise anti-clockwise counter-clockwise lengthways lengthwise edgeways edgewise endways
    endwise axially radially rearward rearwards finger-tight fingertight hand-tight handtight underslung overhung
    cross-threaded crossthreaded upside-down spring-loaded end-to-end back-to-front inside-out side-on face-up
    face-down face-first
"""
#: Spellings that go together: where one is listed, the other is too (Oxford and Webster practice).
PAIRS = (
    ("our", "or"), ("ise", "ize"), ("isa", "iza"), ("isi", "izi"), ("yse", "yze"), ("ysi", "yzi"), ("tre", "ter"),
    ("lled", "led"), ("lling", "ling"), ("ller", "ler"), ("ogue", "og"), ("ence", "ense"), ("grey", "gray"),
    ("tyre", "tire"), ("gauge", "gage"), ("plough", "plow"), ("draught", "draft"), ("kerb", "curb"),
    ("aluminium", "aluminum"), ("mould", "mold"), ("sulph", "sulf"), ("vice", "vise"), ("fibre", "fiber"),
    ("metre", "meter"), ("colour", "color"), ("cheque", "check"), ("programme", "program"), ("calibre", "caliber"),
    ("calliper", "caliper"),
)  # fmt: skip


def lemminflect_table(name: str) -> list[list[str]]:
    """Rows of one of lemminflect's data files."""
    data = (files("lemminflect") / "resources" / name).read_bytes()
    return [line.split(",") for line in gzip.decompress(data).decode("utf-8").splitlines()]


def readings() -> tuple[dict[str, dict[str, str]], dict[str, dict[str, set[str]]]]:
    """Word → letter → lemma, and verb → word form → form letters (b, s, d, n, g)."""
    lemmas: dict[str, dict[str, str]] = defaultdict(dict)
    forms: dict[str, dict[str, set[str]]] = defaultdict(lambda: defaultdict(set))
    for base, kind, *cells in lemminflect_table("infl_lu.csv.gz"):
        if kind not in LETTER:
            continue
        lemmas[base].setdefault(LETTER[kind], base)
        for cell in cells:
            for form in filter(None, cell.split("/")):
                lemmas[form].setdefault(LETTER[kind], base)
        if kind == "verb":
            past, participle, ing, third = (cells + [""] * 4)[:4]
            forms[base][base].add("b")
            for letter, cell in (("d", past), ("n", participle or past), ("g", ing), ("s", third)):
                for form in filter(None, cell.split("/")):
                    forms[base][form].add(letter)
    for form, kind, base, *_ in lemminflect_table("lemma_lu.csv.gz"):
        if kind in LETTER:
            lemmas[form].setdefault(LETTER[kind], base.split("/")[0])
    return lemmas, forms


def wordnet_counts(folder: Path) -> dict[str, dict[str, int]]:
    """Lemma → letter → how often WordNet's tagged texts use it so."""
    counts: dict[str, dict[str, int]] = defaultdict(lambda: defaultdict(int))
    for line in (folder / "index.sense").read_text("utf-8").splitlines():
        key, _, _, count = line.split()
        lemma, rest = key.split("%")
        counts[lemma][WORDNET_LETTER[rest[0]]] += int(count)
    return counts


def things(folder: Path) -> set[str]:
    """Nouns of WordNet for anything but places and people, whose names it writes in lower case."""
    keys = (line.split()[0] for line in (folder / "index.sense").read_text("utf-8").splitlines())
    senses: dict[str, set[str]] = defaultdict(set)
    for key in keys:
        lemma, rest = key.split("%")
        senses[lemma].add(rest[:4])
    return {
        lemma for lemma, kinds in senses.items() if kinds & {"1:06", "1:10", "1:04"} and not kinds & {"1:15", "1:18"}
    }


def brill_letters(path: Path) -> dict[str, str]:
    """Word → the letter of its most likely class in Brill's lexicon."""
    letters = {}
    for line in path.read_text("utf-8").splitlines():
        word, _, tag = line.partition(" ")
        if word.islower() and tag[:2] in BRILL_LETTER and tag != "NNP":
            letters[word] = BRILL_LETTER[tag[:2]]
    return letters


def spelling_variants(word: str) -> list[str]:
    """The other British or American spellings that a word might have (most of them are no words)."""
    found = []
    for one, other in PAIRS:
        for here, there in ((one, other), (other, one)):
            if here in word:
                found.append(word.replace(here, there))
    return found


def own_readings() -> tuple[dict[str, dict[str, str]], dict[str, dict[str, set[str]]]]:
    """Readings of the single words of the shop tables, in the form of `readings`; they are listed however rare."""
    lemmas: dict[str, dict[str, str]] = defaultdict(dict)
    forms: dict[str, dict[str, set[str]]] = defaultdict(lambda: defaultdict(set))
    for row in rows_of("terms.csv"):
        spellings = [row["term"], row["us"], *row["others"].split("|")]
        for word in spellings:
            if " " not in word:
                lemmas[word]["N"] = word
                if row["plural"] != "-":
                    lemmas[row["plural"] if word == row["term"] else plural_by_rule(word)].setdefault("N", word)
    for row in rows_of("verbs.csv"):
        base = row["base"]
        cells = (("b", base), ("s", row["third"]), ("d", row["past"]), ("n", row["participle"]), ("g", row["ing"]))
        for letter, cell in cells:
            for form in cell.split("|"):
                lemmas[form]["V"] = base
                forms[base][form].add(letter)
    return lemmas, forms


def rows_of(name: str) -> list[dict[str, str]]:
    with (LEXICONS / name).open(encoding="utf-8", newline="") as stream:
        return list(csv.DictReader(stream))


def modifier_words() -> set[str]:
    return {row["word"] for row in rows_of("modifiers.csv")}


def build(wordnet: Path, brill: Path) -> list[tuple[str, str, str, str]]:
    from wordfreq import top_n_list, zipf_frequency

    lemmas, forms = readings()
    counts, likely = wordnet_counts(wordnet), brill_letters(brill)
    own, own_forms = own_readings()
    for word, found in own.items():
        for letter, lemma in found.items():
            lemmas[word].setdefault(letter, lemma)
    for base, found in own_forms.items():
        for form, letters in found.items():
            forms[base][form] |= letters
    for word, letters in counts.items():
        for letter in "JR":  # lemminflect lists few adverbs
            if letter in letters:
                lemmas[word].setdefault(letter, word)
    for word in sorted(things(wordnet) | {word for word, letter in likely.items() if letter == "N"}):
        # It also lacks some nouns of our day ("website").
        if word not in lemmas and len(word) > 2 and not word.endswith("s") and zipf_frequency(word, "en") > 3:
            lemmas[word]["N"] = word
            many = plural_by_rule(word)
            if many not in lemmas:
                lemmas[many]["N"] = word

    shop = SHOP_WORDS.split()
    for word in shop:
        lemmas[word].setdefault("R", word)
        lemmas[word].setdefault("J", word)
    for word in modifier_words():
        if word not in lemmas:
            lemmas[word]["J"] = word

    def usable(word: str) -> bool:
        return word.replace("-", "").replace("'", "").isalpha() and word.isascii() and word not in CLOSED

    chosen = [w for w in top_n_list("en", 80_000) if usable(w) and lemmas.get(w) and len(w) > 1][:WORDS]
    wanted = set(chosen) | {w for w in (*own, *shop, *modifier_words()) if w and usable(w) and lemmas.get(w)}
    for word in list(wanted):
        wanted.update(v for v in spelling_variants(word) if lemmas.get(v) and zipf_frequency(v, "en") > 1.5)
        verb = lemmas[word].get("V")
        if verb and zipf_frequency(verb, "en") > 3.3:
            wanted.update(f for f in forms[verb] if usable(f) and zipf_frequency(f, "en") > 1)
    rows = []
    for word in sorted(wanted):
        letters = dict(lemmas[word])

        def weight(letter: str, word: str = word, letters: dict[str, str] = letters) -> tuple[int, int, int]:
            known = counts.get(letters[letter].lower(), {})
            return (likely.get(word) == letter, known.get(letter, -1), -"NVJR".index(letter))

        # A reading that neither WordNet, Brill's lexicon nor the shop tables know is dropped where another is known.
        kept = [x for x in letters if weight(x) > (False, -1, 0) or x in own.get(word, ())] or list(letters)
        kept.sort(key=weight, reverse=True)
        classes = []
        for letter in kept:
            if letter == "V":
                marks = forms.get(letters["V"], {}).get(word, set())
                if not marks:
                    continue
                classes.append("V" + "".join(m for m in "bsdng" if m in marks))
            else:
                classes.append(letter)
        if classes:
            noun = letters["N"] if "N" in kept and letters["N"] != word else ""
            verb = letters["V"] if "V" in kept and letters["V"] != word else ""
            rows.append((word, "|".join(classes), noun, verb))
    return rows


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--wordnet", type=Path, required=True)
    parser.add_argument("--brill", type=Path, required=True)
    options = parser.parse_args()
    rows = build(options.wordnet, options.brill)
    with (LEXICONS / "english.csv").open("w", encoding="utf-8", newline="") as stream:
        writer = csv.writer(stream, lineterminator="\n")
        writer.writerow(COLUMNS)
        writer.writerows(rows)


if __name__ == "__main__":
    main()
