"""Mistakes in a user's table: each is told with file, line, what is wrong and what to do."""

from __future__ import annotations

import pytest

from extract.errors import LexiconError
from extract.lexicon import load


@pytest.mark.parametrize(
    ("text", "line", "what", "remedy"),
    [
        ("term,kind\ndipper pin,part\nkelly bar,widget\n", 3, 'kind "widget" is unknown', "Use one of: part, fastener"),
        ("term,kind\n,part\n", 2, "the term is empty", "Write its name"),
        ("term,kind\ndipper pin,\n", 2, 'kind "" is unknown', "Use one of"),
        ("term,kind\nkelly bar,part|widget\n", 2, 'kind "widget" is unknown', "Use one of"),
        ("term,kind\nkelly bar,part|\n", 2, 'kind "" is unknown', "Use one of"),
        ("id,term,kind\na,dipper pin,part\na,kelly bar,part\n", 3, 'the id "a" stands on line 2', "an id of its own"),
        (
            "term,others,kind\nkelly bar,,part\ndrill stem,kelly-bar|kelly bar,part\n",
            3,
            'the spelling "kelly bar" stands on line 2',
            "with one term only",
        ),
        ("term,kind\nKelly Bar,part\nkelly bar,part\n", 3, "kelly-bar", "an id of its own"),
        ("name,kind\nkelly bar,part\n", 1, 'the column "term" is missing', "Begin the table with the header id,term"),
        ("term\nkelly bar\n", 1, 'the column "kind" is missing', "id,term,us,others"),
        ("term;kind\nkelly bar;part\n", 1, 'the column "term" is missing', "Separate the cells with commas"),
        ("term,kind,colour\nkelly bar,part,red\n", 1, 'the column "colour" is unknown', "Known columns: id, term"),
        ("term,kind,kind\nkelly bar,part,part\n", 1, "a column stands there twice", "Keep one"),
        ("term,kind\nkelly bar,part,long,thing\n", 2, "4 cells in a table of 2 columns", "Put text with a comma"),
        ('term,kind\nkelly bar,part\n"drill stem,part\n', 3, "the table is broken", "Close every quote"),
        ("term,kind\nkelly bar?,part\n", 2, '"kelly bar?" in the column term', "Use letters, digits"),
        ("", 1, 'the column "term" is missing', "Begin the table"),
        ("base,plain\nkibble,crush\n", 1, 'the column "sense" is missing', "Begin the table with the header id,base"),
        ("base,sense,plain\nkibble,crush,crush\n", 2, 'sense "crush" is unknown', "Use one of: remove"),
        ("base,sense,plain\nkibble,prepare,\n", 2, "the column plain is empty", "Write a verb"),
        ("base,sense,plain\n,prepare,crush\n", 2, "the column base is empty", "Write a verb"),
        ("base,sense,plain,undone\nkibble,prepare,crush,maybe\n", 2, 'undone "maybe" is unknown', "yes, no, never"),
        ("base,sense,plain,objects\nkibble,prepare,crush,rock\n", 2, 'objects "rock" is unknown', "Use one of: part"),
        (
            "id,base,particles,sense,plain\n1,kibble,up,prepare,crush\n2,kibble,up|down,clean,sweep\n",
            3,
            'the verb "kibble up for any" stands on line 2',
            "tell them apart by objects",
        ),
        ("base,sense,plain\nkibble,prepare,crush\nkibble,clean,sweep\n", 3, 'the id "own-kibble"', "an id of its own"),
    ],
)
def test_mistake_is_told_with_its_line_and_a_remedy(tmp_path, text, line, what, remedy):
    file = tmp_path / "own.csv"
    file.write_text(text, encoding="utf-8")
    with pytest.raises(LexiconError) as caught:
        load(file)
    error = caught.value
    assert error.file == str(file) and error.line == line
    assert what in error.what and remedy in error.remedy


def test_text_that_is_not_utf8_is_told_with_its_line(tmp_path):
    file = tmp_path / "own.csv"
    file.write_bytes("term,kind\nkelly bar,part\nschäkel,part\n".encode("latin-1"))
    with pytest.raises(LexiconError) as caught:
        load(file)
    assert caught.value.line == 3 and "UTF-8" in str(caught.value)


def test_missing_file_and_folder_are_told(tmp_path):
    for path in (tmp_path / "none.csv", tmp_path):
        with pytest.raises(LexiconError, match="cannot be read"):
            load(path)


def test_line_is_right_after_a_cell_with_a_line_break_and_after_empty_lines(tmp_path):
    file = tmp_path / "own.csv"
    file.write_text('term,kind,remarks\nkelly bar,part,"one\ntwo"\n\n,,\ndrill stem,widget,\n', encoding="utf-8")
    with pytest.raises(LexiconError) as caught:
        load(file)
    assert caught.value.line == 6


def test_one_bad_table_leaves_the_shipped_lexicon_as_it_was(tmp_path):
    before = load().hash
    file = tmp_path / "own.csv"
    file.write_text("term,kind\nbolt,widget\n", encoding="utf-8")
    with pytest.raises(LexiconError):
        load(file)
    assert load().hash == before and load().term("bolt").kind == "fastener"
