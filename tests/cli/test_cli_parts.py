import pytest
from typer.testing import CliRunner

from extract.cli import make_app

TALK = """[0:00] This is the hub of the trailer.

[0:05] Undo the six hub bolts with a nineteen-mil socket and pull the hub off.

[0:12] You always fit six new hub bolts.
"""


@pytest.fixture
def talk(tmp_path):
    file = tmp_path / "hub.txt"
    file.write_text(TALK, encoding="utf-8")
    return file


def run(*arguments):
    return CliRunner().invoke(make_app(), ["parts", *map(str, arguments)])


def test_parts_of_a_transcript_are_printed(talk):
    result = run(talk)
    assert result.exit_code == 0, result.output
    assert result.output.splitlines()[2] == "Parts to renew"
    assert "6  hub bolt" in result.output and "film 0:12" in result.output


def test_tools_are_listed_with_their_steps_and_over_several_talks_with_their_jobs(talk):
    assert run(talk).output.splitlines()[-2:] == ["Tools named in the talk", "  19 mm socket  step 1"]
    assert run(talk, talk).output.splitlines()[-2:] == ["Tools named in the talks", "  19 mm socket  for hub"]


def test_a_bad_talk_does_not_stop_the_rest_and_the_exit_code_is_two(talk, tmp_path):
    result = run(tmp_path / "missing.vtt", talk)
    assert result.exit_code == 2
    assert "missing.vtt" in result.output and "ub" in result.output
    assert "Traceback" not in result.output


def test_lists_are_written_as_csv_and_workbook(talk, tmp_path):
    result = run(talk, "--csv", tmp_path / "parts.csv", "--xlsx", tmp_path / "parts.xlsx")
    assert result.exit_code == 0, result.output
    assert (tmp_path / "parts.csv").read_bytes().startswith(b"\xef\xbb\xbfkind,item")
    assert (tmp_path / "parts.xlsx").read_bytes().startswith(b"PK")


def test_several_talks_are_summed(talk):
    result = run(talk, talk)
    assert result.exit_code == 0 and result.output.startswith("2 jobs")
    assert "12  hub bolt" in result.output


def test_a_folder_without_a_draft_is_a_clear_error(tmp_path):
    result = run(tmp_path)
    assert result.exit_code == 2 and "draft.json" in result.output
