"""A user's own terms and verbs over the shipped ones."""

from __future__ import annotations

import pytest

from extract.lexicon import load


@pytest.fixture
def table(tmp_path):
    def write(text: str, name: str = "own.csv", encoding: str = "utf-8"):
        file = tmp_path / name
        file.write_text(text, encoding=encoding)
        return file

    return write


def test_user_term_needs_its_name_and_kind_only(table):
    file = table("term,kind\nKelly  Bar,part\n")
    lexicon = load(file)
    term = lexicon.term("kelly bars")
    assert (term.id, term.term, term.plural, term.kind) == ("kelly-bar", "kelly bar", "kelly bars", "part")
    assert term.source == str(file)
    assert load().term("kelly bar") is None


def test_plural_of_a_user_term_is_regular_given_or_none(table):
    lexicon = load(table("term,plural,kind\nkelly bush,,part\nkelly ox,kelly oxen,part\nkelly mud,-,fluid\n"))
    assert lexicon.plural("kelly bush") == "kelly bushes"
    assert lexicon.plural("kelly ox") == "kelly oxen" and lexicon.singular("kelly oxen") == "kelly ox"
    assert lexicon.term("kelly mud").plural == "" and lexicon.plural("kelly mud") == "kelly mud"


def test_user_row_with_a_shipped_id_replaces_the_whole_term(table):
    shipped = load().term("gaiter")
    lexicon = load(table(f"id,term,us,plural,kind\n{shipped.id},gaiter,,gaiters,seal\n"))
    assert lexicon.term("gaiter").kind == "seal"
    assert lexicon.term(shipped.spellings()[-1]) is not lexicon.term("gaiter")


def test_user_spelling_wins_over_a_shipped_term_that_keeps_its_others(table):
    lexicon = load(table("term,others,kind\nhydraulic ram seal,oring|o-ring,seal\n"))
    assert lexicon.term("oring").term == "hydraulic ram seal"
    assert lexicon.term("sealing ring").term == "sealing ring"


def test_later_table_wins_over_an_earlier_one(table):
    one, two = (
        table("term,kind\nbackplate pin,part\n", "one.csv"),
        table("term,kind\nbackplate pin,fastener\n", "two.csv"),
    )
    assert load(one, two).term("backplate pin").kind == "fastener"
    assert load(two, one).term("backplate pin").kind == "part"


def test_table_from_a_spreadsheet_is_read(table):
    file = table('term,kind,remarks\r\nkelly bar,part,"square, hollow"\r\n', encoding="utf-8-sig")
    assert load(file).term("kelly bar").kind == "part"


def test_user_verb_is_inflected(table):
    lexicon = load(table("base,particles,sense,plain,inverse,undone\nspag,off|out,remove,remove,fit,yes\n"))
    assert lexicon.verb_forms["spagged"] == (("spag", "d"), ("spag", "n"))
    assert lexicon.verb_forms["spagging"] == (("spag", "g"),)
    assert lexicon.verb_sense("spag", "out").inverse == "fit"
    assert lexicon.verb_sense("spag", None) is None


def test_user_verb_takes_the_inflections_of_a_shipped_one(table):
    lexicon = load(table("base,particles,sense,plain\ntake,home,fit,fit\n"))
    assert lexicon.verb_sense("take", "home").past == "took"


def test_user_verb_replaces_the_shipped_sense_of_the_same_particle_only(table):
    lexicon = load(table("base,particles,sense,plain\ntake,off,loosen,loosen\n"))
    assert lexicon.verb_sense("take", "off", "part").sense == "loosen"
    assert lexicon.verb_sense("take", "out", "part").sense == "remove"
    assert load().verb_sense("take", "off", "part").sense == "remove"


def test_user_verb_for_one_kind_of_object_leaves_the_others(table):
    lexicon = load(table("id,base,sense,plain,objects\nown,drop,vent,vent,fluid\n"))
    assert lexicon.verb_sense("drop", None, "fluid").sense == "vent"
    assert lexicon.verb_sense("drop", None, "part").sense == "remove"


def test_hash_tells_lexicons_apart(table):
    assert load().hash == load().hash
    assert load(table("term,kind\nkelly bar,part\n")).hash != load().hash
    assert load(table("base,sense,plain\nspag,remove,remove\n", "v.csv")).hash != load().hash
