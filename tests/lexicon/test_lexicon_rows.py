"""Every row of the shipped tables: form, kinds, and what its cells say about one another."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest
from lemminflect import getAllInflections

import lexicons
from extract.lexicon import load
from extract.lexicon_tables import (
    MODIFIER_COLUMNS,
    MODIFIER_KINDS,
    OBJECT_KINDS,
    SENSES,
    TERM_COLUMNS,
    TERM_KINDS,
    UNDONE,
    VERB_COLUMNS,
)

FOLDER = Path(lexicons.__file__).parent
LEXICON = load()
SLANG = """
    whip pop bust crack nip rattle gun buzz zip bash whack thump chuck bin ditch junk wiggle jiggle wriggle waggle
    fish yank nick bung
"""
#: Senses that leave nothing for the refit to undo.
LEAVES_NOTHING = {"inspect", "measure", "clean", "apply", "tighten", "renew", "replace", "note", "mark", "wear"}


def rows(name: str) -> list[dict[str, str]]:
    with (FOLDER / name).open(encoding="utf-8", newline="") as stream:
        return list(csv.DictReader(stream, strict=True))


@pytest.mark.parametrize(
    ("name", "columns"),
    [
        ("terms.csv", TERM_COLUMNS),
        ("verbs.csv", VERB_COLUMNS),
        ("modifiers.csv", MODIFIER_COLUMNS),
        ("english.csv", ("word", "classes", "lemma_noun", "lemma_verb")),
    ],
)
def test_table_has_its_columns_and_no_stray_space_or_line_end(name, columns):
    data = (FOLDER / name).read_bytes()
    assert b"\r" not in data and data.endswith(b"\n") and not data.endswith(b"\n\n")
    table = rows(name)
    assert tuple(table[0]) == columns
    for row in table:
        assert None not in row and None not in row.values(), row
        assert all(cell == " ".join(cell.split()) for cell in row.values()), row


def test_tables_are_as_broad_as_they_claim():
    assert len(LEXICON.terms) >= 1_100
    assert len(LEXICON.verbs) >= 350 and len({verb.base for verb in LEXICON.verbs}) >= 220
    assert len(LEXICON.modifiers) >= 350
    assert len(LEXICON.english) >= 30_000
    assert (FOLDER / "english.csv").stat().st_size < 1_500_000


def test_term_spellings_are_lower_case_and_told_once():
    seen: dict[str, str] = {}
    for term in LEXICON.terms:
        assert term.kind in TERM_KINDS
        for spelling in term.spellings():
            assert spelling == spelling.lower().strip() and spelling, term
            assert seen.setdefault(spelling, term.id) == term.id, (spelling, term.id, seen[spelling])


def test_term_found_by_every_listed_spelling_and_plural():
    listed = {spelling for term in LEXICON.terms for spelling in term.spellings()}
    for term in LEXICON.terms:
        for spelling in term.spellings():
            assert LEXICON.term(spelling) is term
        if term.plural and term.plural not in listed:
            assert LEXICON.term(term.plural) is term
            assert LEXICON.singular(term.plural) == term.term
            assert LEXICON.plural(term.term) == term.plural


def test_modifier_kinds_are_known():
    assert set(LEXICON.modifiers.values()) == set(MODIFIER_KINDS)


def test_verb_cells_are_known_values():
    for verb in LEXICON.verbs:
        assert verb.sense in SENSES and verb.undone in UNDONE, verb
        assert verb.objects and set(verb.objects) <= set(OBJECT_KINDS), verb


def test_every_sense_has_a_verb():
    assert {verb.sense for verb in LEXICON.verbs} == set(SENSES)


def test_plain_and_inverse_begin_with_a_verb():
    # Source: lemminflect's dictionary (SPECIALIST lexicon), or a verb of our own table ("unclip").
    own = {verb.base for verb in LEXICON.verbs}
    for verb in LEXICON.verbs:
        for phrase in filter(None, (verb.plain, verb.inverse)):
            first = phrase.split()[0]
            assert first in own or getAllInflections(first, upos="VERB"), (verb.id, phrase)


def test_plain_verb_is_no_bench_slang():
    slang = set(SLANG.split())
    assert not [verb.id for verb in LEXICON.verbs if verb.plain.split()[0] in slang]


def test_what_the_refit_undoes_has_an_inverse_and_nothing_else_claims_to():
    for verb in LEXICON.verbs:
        if verb.undone == "yes":
            assert verb.inverse or verb.sense == "release", verb.id
        if verb.sense in (
            "inspect",
            "measure",
            "clean",
            "apply",
            "tighten",
            "renew",
            "replace",
            "note",
            "mark",
            "wear",
        ):
            assert verb.undone == "no", verb.id
        if verb.sense in ("destroy", "cut"):
            assert verb.undone in ("never", "no"), verb.id


def test_verbs_that_count_as_one_action_are_all_known():
    groups = (FOLDER / "verb_groups.txt").read_text("utf-8").splitlines()
    phrases = {phrase.strip() for line in groups if not line.startswith("#") for phrase in line.split(",")} - {""}
    phrases.remove("take a picture")  # the noun says what is done
    unknown = []
    for base, _, particle in (phrase.partition(" ") for phrase in sorted(phrases)):
        sense = LEXICON.verb_sense(base, particle or None)
        if sense is None or particle not in (*sense.particles, ""):
            unknown.append(f"{base} {particle}")
    assert not unknown


def test_english_rows_are_sorted_and_well_formed():
    table = rows("english.csv")
    words = [row["word"] for row in table]
    assert words == sorted(set(words))
    for row in table:
        for letters in row["classes"].split("|"):
            assert letters in ("N", "J", "R") or (
                letters[0] == "V" and set(letters[1:]) <= set("bsdng") and letters[1:]
            )
