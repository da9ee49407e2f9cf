"""`benchtalk lexicon check`."""

from __future__ import annotations

import pytest
from typer.testing import CliRunner

from extract.cli import make_app
from extract.errors import LexiconError


def run(*arguments: str):
    return CliRunner().invoke(make_app(), ["lexicon", "check", *arguments])


def test_good_tables_are_counted(tmp_path):
    terms, verbs = tmp_path / "terms.csv", tmp_path / "verbs.csv"
    terms.write_text("term,kind\nkelly bar,part\ndrill stem,part\n", encoding="utf-8")
    verbs.write_text("base,sense,plain\nspag,remove,remove\n", encoding="utf-8")
    result = run(str(terms), str(verbs))
    assert result.exit_code == 0
    assert f"{terms}: no mistakes (terms: 2, verb senses: 0)" in result.output
    assert f"{verbs}: no mistakes (terms: 0, verb senses: 1)" in result.output


def test_mistake_reaches_the_caller_as_an_error_of_ours(tmp_path):
    file = tmp_path / "terms.csv"
    file.write_text("term,kind\nkelly bar,widget\n", encoding="utf-8")
    result = run(str(file))
    assert isinstance(result.exception, LexiconError) and result.exception.line == 2


@pytest.mark.parametrize("arguments", [["lexicon", "--help"], ["lexicon", "check", "--help"]])
def test_help_tells_what_the_command_does(arguments):
    result = CliRunner().invoke(make_app(), arguments)
    assert result.exit_code == 0 and "terms" in result.output
