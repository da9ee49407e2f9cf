from __future__ import annotations

import csv
import io

import pytest
from sample_case import ENGINE, make_case
from typer.testing import CliRunner

from extract import lexicon
from extract.cli import make_app
from extract.review import answers
from extract.review import case as case_module
from extract.review.learning import Proposal, propose, terms_csv


@pytest.fixture(scope="module")
def words():
    return lexicon.load()


def test_part_name_that_the_lexicon_lacks_is_proposed_with_its_sentence(tmp_path, words):
    case = make_case(tmp_path)
    draft = case.recompute()
    point = next(f for f in draft.flags if f.code == "ambiguous_reference")
    case.decide(answers.words(draft, point.id, "Take the zorbel off.", "Ada"))
    parts, _ = propose([case.outcome()], words)
    assert [(p.word, p.evidence) for p in parts] == [("zorbel", ["Take the zorbel off."])]
    rows = list(csv.DictReader(io.StringIO(terms_csv(parts))))
    assert rows == [{"term": "zorbel", "kind": "part", "remarks": "Take the zorbel off."}]


def test_sentence_that_a_spreadsheet_would_run_is_made_harmless():
    table = terms_csv([Proposal("zorbel", "part", [" =HYPERLINK(zorbel)"])])
    assert next(csv.DictReader(io.StringIO(table)))["remarks"] == "' =HYPERLINK(zorbel)"


def test_next_draft_can_load_what_was_proposed(tmp_path, words):
    case = make_case(tmp_path)
    case.decide(answers.part_name(case.recompute(), "shaft seal", "zorbel ring", "Ada"))
    table = tmp_path / "own.csv"
    table.write_text(terms_csv(propose([case.outcome()], words)[0]), encoding="utf-8")
    assert lexicon.load(table).term("zorbel ring") is not None


def test_terms_are_added_at_the_end_of_the_users_table(tmp_path, monkeypatch):
    monkeypatch.setattr(case_module, "shipped_engine", lambda: ENGINE)
    case = make_case(tmp_path)
    case.decide(answers.part_name(case.recompute(), "shaft seal", "zorbel ring", "Ada"))
    table = tmp_path / "own.csv"
    table.write_text("kind,term\npart,quibble", encoding="utf-8")
    for _ in range(2):
        result = CliRunner().invoke(make_app(), ["lexicon", "learn", str(case.folder), "-o", str(table)])
        assert result.exit_code == 0, result.output
        assert table.read_text(encoding="utf-8") == "kind,term\npart,quibble\npart,zorbel ring\n"
    assert "Nothing new to learn." in result.output


def test_names_that_the_lexicon_has_and_words_that_were_spoken_are_not_proposed(tmp_path, words):
    case = make_case(tmp_path)
    draft = case.recompute()
    point = next(f for f in draft.flags if f.code == "ambiguous_reference")
    case.decide(answers.words(draft, point.id, "Take the bolt off.", "Ada"))
    assert propose([case.outcome()], words) == ([], [])


def test_verb_of_a_step_that_a_reviewer_wrote_is_proposed(tmp_path, words):
    case = make_case(tmp_path)
    case.decide(answers.edit(case.recompute(), "1", "Frobnicate the pump.", "Ada"))
    case.decide(answers.edit(case.recompute(), "2", "Remove the valve.", "Ada"))
    _, verbs = propose([case.outcome()], words)
    assert [(p.word, p.evidence) for p in verbs] == [("frobnicate", ["Frobnicate the pump."])]


def test_decision_that_was_taken_back_teaches_nothing(tmp_path, words):
    case = make_case(tmp_path)
    edit = answers.edit(case.recompute(), "1", "Frobnicate the pump.", "Ada")
    case.decide(edit)
    case.decide(answers.undo(edit, "Ada"))
    assert propose([case.outcome()], words) == ([], [])
